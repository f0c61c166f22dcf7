"""Check plots for the pages that explain: our functions as lines, what they are held against as rings.

The rings are the values that the tests hold too: from the data files of tests/published where there is one, else those
recomputed outside the project that stand in tests/physics.
"""

from __future__ import annotations

import itertools
import math
import tomllib
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np

from evenbead.physics.bonding_published import BOND_LOSSES
from evenbead.physics.buckling_ideal import critical_length
from evenbead.physics.drying import menzel_evaporation, uno_evaporation
from evenbead.physics.growth import BilinearGrowth, ExponentialGrowth, LinearGrowth
from evenbead.physics.pumping import FlowCurve, pressure_for_flow
from evenbead.physics.setting import TemperatureHistory, open_time
from evenbead.physics.setting_rate import Arrhenius
from evenbead.report.svg import BLUE, GREEN, INK, ORANGE, RULE, SOFT, Scale, Sheet, ticks

if TYPE_CHECKING:
    from collections.abc import Sequence

PUBLISHED = Path(__file__).parent.parent / "tests" / "published"
_WIDTH, _HEIGHT = 620, 360
_LEFT, _TOP, _BOTTOM = 70, 78, 52
_STYLES = ((BLUE, ""), (ORANGE, "7 4"), (GREEN, "2 4"), (INK, "10 3 2 3"), (SOFT, "5 2"), (BLUE, "1 3"))


@dataclass(frozen=True, slots=True, kw_only=True)
class Line:
    """A line with its words at the right end."""

    name: str
    x: Sequence[float] | np.ndarray
    y: Sequence[float] | np.ndarray


@dataclass(frozen=True, slots=True, kw_only=True)
class Plot:
    """Lines and rings over two axes. Logarithmic axes run over whole powers of ten."""

    title: str
    remark: str
    across: str
    up: str
    lines: Sequence[Line]
    rings: Sequence[tuple[float, float]] = ()
    logarithmic: bool = False
    margin: int = 180
    """Room for the words beside the lines."""

    def svg(self) -> str:
        """The picture."""
        sheet = Sheet(
            width=_WIDTH, height=_HEIGHT, title=self.title, description=f"{self.remark}. {self.up} over {self.across}."
        )
        right = _WIDTH - self.margin
        sheet.text(_LEFT, 26, self.title, size=16, bold=True)
        sheet.text(_LEFT, 45, self.remark, size=11, colour=SOFT)
        sheet.text(_LEFT - 8, _TOP - 12, self.up, size=11, colour=SOFT)
        sheet.text(right, _HEIGHT - 10, self.across, size=11, colour=SOFT, anchor="end")
        x, y = self._scale(0, _LEFT, right), self._scale(1, _HEIGHT - _BOTTOM, _TOP)
        for tick in self._ticks(x):
            sheet.line(x(tick), _TOP, x(tick), _HEIGHT - _BOTTOM, colour=RULE)
            sheet.text(x(tick), _HEIGHT - _BOTTOM + 17, self._label(tick), size=11, colour=SOFT, anchor="middle")
        for tick in self._ticks(y):
            sheet.line(_LEFT, y(tick), right, y(tick), colour=RULE)
            sheet.text(_LEFT - 8, y(tick) + 4, self._label(tick), size=11, colour=SOFT, anchor="end")
        ends = _spread([y(self._on(line.y)[-1]) for line in self.lines])
        for line, end, (colour, dash) in zip(self.lines, ends, _STYLES, strict=False):
            sheet.polyline(x.all(self._on(line.x)), y.all(self._on(line.y)), colour=colour, width=2, dash=dash)
            last = x(self._on(line.x)[-1])
            sheet.line(last + 5, y(self._on(line.y)[-1]), right + 8, end, colour=SOFT, width=0.5)
            sheet.text(right + 12, end + 4, line.name, size=11, colour=colour)
        for px, py in self.rings:
            sheet.mark(x(self._on([px])[0]), y(self._on([py])[0]), "ring", size=4)
        return sheet.svg()

    def _on(self, values: Sequence[float] | np.ndarray) -> np.ndarray:
        """Values as they lie on the axes."""
        return np.log10(values) if self.logarithmic else np.asarray(values, float)

    def _scale(self, axis: int, start: float, end: float) -> Scale:
        columns = [self._on(line.y if axis else line.x) for line in self.lines]
        columns += [self._on([ring[axis] for ring in self.rings])] if self.rings else []
        low, high = min(c.min() for c in columns), max(c.max() for c in columns)
        if self.logarithmic:
            return Scale(low=math.floor(low + 1e-9), high=math.ceil(high - 1e-9), start=start, end=end)
        return Scale(low=min(low, 0.0) if axis else low, high=high * 1.04 if axis else high, start=start, end=end)

    def _ticks(self, scale: Scale) -> list[float]:
        if self.logarithmic:
            return [float(power) for power in range(int(scale.low), int(scale.high) + 1)]
        return ticks(scale.low, scale.high, about=5)

    def _label(self, tick: float) -> str:
        return f"{10.0**tick:g}" if self.logarithmic else f"{tick:g}"


def _spread(wanted: list[float], apart: float = 15.0) -> list[float]:
    """Heights of labels, moved down until none lies on another."""
    order = np.argsort(wanted)
    placed = list(wanted)
    for above, below in itertools.pairwise(order):
        placed[below] = max(placed[below], placed[above] + apart)
    return placed


def check_plots() -> dict[str, str]:
    """Name and SVG text of each plot."""
    plots = {
        "check-growth": growth(),
        "check-open-time": open_times(),
        "check-drying": drying(),
        "check-bond": bond(),
        "check-hose": hose(),
        "check-buckling": buckling(),
    }
    return {f"{name}.svg": plot.svg() for name, plot in plots.items()}


def growth() -> Plot:
    ages = np.linspace(0.0, 3600.0, 121)
    laws = {
        "exponential, 0.5 Pa/s, 30 min": (500.0, ExponentialGrowth(rate=0.5, time=1800.0)),
        "bilinear, 5 then 0.8 Pa/s": (1000.0, BilinearGrowth(reflocculation=5.0, rise=1500.0, structuration=0.8)),
        "linear, 0.5 Pa/s": (500.0, LinearGrowth(rate=0.5)),
    }
    seconds = (60.0, 600.0, 1800.0, 3600.0)
    recomputed = [
        *zip(seconds, (530.0, 800.0, 1400.0, 2300.0), strict=True),
        *zip(seconds, (530.51, 856.05, 2046.45, 6250.15), strict=True),
        *zip((100.0, 300.0, 600.0, 3600.0), (1500.0, 2500.0, 2740.0, 5140.0), strict=True),
    ]
    return Plot(
        title="Yield stress at rest, by three laws",
        remark="rings: recomputed outside the project",
        across="min at rest",
        up="kPa",
        lines=[
            Line(name=name, x=ages / 60, y=(start + np.asarray(law.gain(ages))) / 1e3)
            for name, (start, law) in laws.items()
        ],
        rings=[(age / 60, stress / 1e3) for age, stress in recomputed],
    )


def open_times() -> Plot:
    warm = np.linspace(5.0, 40.0, 141)
    histories = TemperatureHistory.constant(warm)
    lines = [
        Line(
            name=f"{energy} kJ/mol",
            x=warm,
            y=np.asarray(open_time(histories, at_reference=3600.0, rate=Arrhenius(activation_energy=energy * 1e3)))
            / 60,
        )
        for energy in (40, 30, 50)
    ]
    return Plot(
        title="How long mortar stays open that is open for an hour at 20 °C",
        remark="rings: 40 kJ/mol, recomputed outside the project",
        across="°C",
        up="min",
        lines=lines,
        rings=[(10.0, 107.1), (15.0, 79.8), (20.0, 60.0), (25.0, 45.6), (30.0, 34.9), (35.0, 27.0)],
    )


def drying() -> Plot:
    table = _check("pca-evaporation", "table-of-wind-at-70-degF")
    winds = np.linspace(0.0, 25.0, 101)
    per_hour = 3600.0 / 4.882_428
    air = {"mortar_temp_c": 190 / 9, "air_temp_c": 190 / 9, "humidity": 0.7, "wind": winds * 0.44704}
    return Plot(
        title="Drying of a wet face at 70 °F and 70 % humidity",
        remark="rings: the table for slabs, from memory; the formulas are fits to it",
        across="mph of wind",
        up="lb/ft²/h",
        lines=[
            Line(name="Menzel", x=winds, y=np.asarray(menzel_evaporation(**air)) * per_hour),
            Line(name="Uno", x=winds, y=np.asarray(uno_evaporation(**air)) * per_hour),
        ],
        rings=list(zip(_numbers(table["given"]["winds"]), _numbers(table["expected"]["rates"]), strict=True)),
    )


def bond() -> Plot:
    studies = [study for study in BOND_LOSSES if study.points]
    points = [(minutes / 60, 100 * lost) for study in studies for minutes, lost in study.points]
    return Plot(
        title="Strength that joints lost, as studies saw it",
        remark="rings: what was read in abstracts; the lines only join them",
        across="min between the layers",
        up="% lost",
        lines=[
            Line(
                name=f"{study.condition.split(',')[-1].strip()} {study.source}",
                x=[t / 60 for t, _ in study.points],
                y=[100 * lost for _, lost in study.points],
            )
            for study in studies
        ],
        rings=points,
        margin=245,
    )


def hose() -> Plot:
    flows = np.linspace(0.0, 10.0, 101)
    lines = [
        Line(
            name=f"{bore} mm",
            x=flows,
            y=np.asarray(
                pressure_for_flow(
                    flows / 60e3,
                    length=10.0,
                    bore=bore / 1e3,
                    curve=FlowCurve(yield_stress=200.0, consistency=5.0),
                )
            )
            / 1e5,
        )
        for bore in (25, 32, 40)
    ]
    return Plot(
        title="Pressure in 10 m of hose, 200 Pa and 5 Pa s",
        remark="ring: recomputed outside the project; no lubricating layer",
        across="L/min",
        up="bar",
        lines=lines,
        rings=[(5.0, 8.557)],
    )


def buckling() -> Plot:
    check = _check("suiker-2018", "stiffening-in-proportion-to-time")
    numbers = np.geomspace(0.01, 100.0, 41)
    known = zip(check["given"]["numbers"], _numbers(check["expected"]["integrated"]), strict=True)
    return Plot(
        title="Height at which a free wall buckles while it stiffens",
        remark="in units of its scale; rings: solved by two programs outside the project",
        across="stiffening number",
        up="height",
        lines=[Line(name="ours", x=numbers, y=[critical_length(lambda s, k=k: 1.0 + k * s) for k in numbers])],
        rings=[(number, height) for number, height in known if number > 0],
        logarithmic=True,
    )


def _check(stem: str, check_id: str) -> dict[str, dict[str, list[str]]]:
    file = tomllib.loads((PUBLISHED / f"{stem}.toml").read_text(encoding="utf-8"))
    return next(check for check in file["check"] if check["id"] == check_id)


def _numbers(printed: list[str]) -> list[float]:
    return [float(text.split()[0]) for text in printed]
