"""How long it takes to know whether a growing wall stands, and how well a general finite element program agrees.

    python benchmarks/stability.py

Three questions: a tall print at every layer; many days with other mortar and rhythm; and single walls against
CalculiX, which solves them with solid elements. Times of the same run are compared, so that the machine drops out.
"""

from __future__ import annotations

import sys
import tempfile
import time
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np

from evenbead.physics.buckling import buckling_course
from evenbead.physics.collapse import collapse_course
from evenbead.physics.fresh_wall import Layers, ages, even_layers
from evenbead.physics.rhythm import in_rhythm, telling_moments

sys.path.insert(0, str(Path(__file__).parent.parent / "tests"))
from calculix_wall import MISSING, calculix, calculix_load_factor

if TYPE_CHECKING:
    from collections.abc import Callable

LAYERS = 300
DRAWS = 10_000
DRAWN_LAYERS = 100
BLOCK = 16
"""Draws whose matrices of layers by moments are worked on at once: they should stay in the processor's own memory."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """One question: the best time of several runs, and what else there is to say."""

    what: str
    seconds: float
    limit: float | None = None
    others_seconds: float | None = None
    difference: float | None = None
    """Our load factor over that of the other program, less one."""

    @property
    def faster(self) -> float | None:
        return None if self.others_seconds is None else self.others_seconds / self.seconds


def best(run: Callable[[], object], repeats: int = 5) -> float:
    """Seconds of the quickest of several runs."""
    times = []
    for _ in range(repeats):
        begin = time.perf_counter()
        run()
        times.append(time.perf_counter() - begin)
    return min(times)


def every_step() -> Row:
    wall = even_layers(LAYERS, interval=60.0, height=0.01, width=0.05, density=2100.0)

    def run() -> None:
        age = ages(wall)
        collapse_course(wall, 500.0 + 0.5 * age)
        buckling_course(wall, 80e3 + 150.0 * age, poisson=0.3)

    return Row(what=f"{LAYERS} layers at every layer, collapse and buckling", seconds=best(run), limit=0.2)


def many_days(draws: int = DRAWS) -> Row:
    """Least load factor of each of many days: collapse at every layer, buckling at the moments that tell."""
    rng = np.random.default_rng(1)
    wall = even_layers(DRAWN_LAYERS, interval=60.0, height=0.01, width=0.05, density=2100.0)
    few = telling_moments(buckling_course(wall, 80e3 + 150.0 * ages(wall), poisson=0.3).load_factor, within=3.0)
    start, growth, stiff, stiffening, rhythm, width = rng.uniform(0.7, 1.3, (6, draws))

    def part(day: slice) -> Layers:
        wide = 0.05 * width[day, None]
        return Layers(laid=in_rhythm(wall, rhythm[day]).laid, height=0.01, width=wide, area=0.01 * wide, density=2100.0)

    def run() -> None:
        for first in range(0, draws, BLOCK):
            day = slice(first, first + BLOCK)
            drawn = part(day)
            age = ages(drawn)
            collapse_course(drawn, 500.0 * start[day, None, None] + 0.5 * growth[day, None, None] * age)
        drawn = part(slice(None))
        moments = drawn.laid[:, few]
        modulus = 80e3 * stiff[:, None, None] + 150.0 * stiffening[:, None, None] * ages(drawn, moments)
        buckling_course(drawn, modulus, poisson=0.3, moments=moments)

    return Row(what=f"{draws:,} days of {DRAWN_LAYERS} layers", seconds=best(run, 1), limit=10.0)


def against_calculix(count: int, poisson: float) -> Row:
    """One wall as it stands at the end. The program starts anew for each wall, as it must in use."""
    width = 0.05
    wall = even_layers(count, interval=60.0, height=0.01, width=width, density=2100.0)
    end = wall.laid[-1:]
    modulus = 80e3 + 150.0 * ages(wall, end)
    ours = float(buckling_course(wall, modulus, poisson=poisson, moments=end).least)
    seconds = best(lambda: buckling_course(wall, 80e3 + 150.0 * ages(wall, end), poisson=poisson, moments=end))
    what = f"{count} layers, {count * 0.01 / width:g} widths high, Poisson's ratio {poisson:g}"
    if calculix() is None:
        return Row(what=what, seconds=seconds)
    with tempfile.TemporaryDirectory() as folder:
        begin = time.perf_counter()
        theirs = calculix_load_factor(
            Path(folder),
            modulus=modulus[:, 0],
            height=0.01,
            width=np.full(count, width),
            density=2100.0,
            poisson=poisson,
        )
        others_seconds = time.perf_counter() - begin
    return Row(what=what, seconds=seconds, others_seconds=others_seconds, difference=ours / theirs - 1.0)


def measured() -> list[Row]:
    """A row for each question."""
    many_days(BLOCK)  # the first run pays for imports
    walls = [(300, 0.0), (100, 0.0), (100, 0.3), (40, 0.3), (20, 0.3)]
    return [every_step(), many_days(), *[against_calculix(*wall) for wall in walls]]


if __name__ == "__main__":
    for row in measured():
        parts = [f"{row.what:<58}", f"{row.seconds * 1e3:9.2f} ms"]
        if row.limit is not None:
            parts.append(f"(limit {row.limit:g} s)")
        if row.difference is not None:
            parts.append(f"{row.faster:6.0f} times faster than CalculiX, {row.difference:+.2%} off it")
        print("  ".join(parts))
    if calculix() is None:
        print(MISSING)
