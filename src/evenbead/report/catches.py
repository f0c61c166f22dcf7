"""The study of one channel's catches, as `evenbead catch` shows it."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Literal

from rich.table import Table
from rich.text import Text

from evenbead.documents import Station, read_catches, read_document, typed_quantity
from evenbead.documents.station import Catch
from evenbead.errors import InputRefused
from evenbead.physics.metering import flow_at, within_catches
from evenbead.physics.metering_catches import catch_flows
from evenbead.physics.metering_fit import lack_of_fit
from evenbead.plan.settings import advised_catch, catches_of, meter_line
from evenbead.quantities import MASS_FLOW, ROTATION, converted, shown
from evenbead.report.catch_plot import catch_plot, line_words
from evenbead.report.picture import picture, write_together
from evenbead.report.tables import pairs
from evenbead.report.words import with_doubt

if TYPE_CHECKING:
    from pathlib import Path

    from rich.console import Console

    from evenbead.documents.station import Channel
    from evenbead.physics.metering_catches import CatchFlows
    from evenbead.physics.metering_design import NextCatch
    from evenbead.physics.metering_fit import LackOfFit, LineFit
    from evenbead.quantities import UnitSystem


@dataclass(frozen=True, slots=True, kw_only=True)
class CatchStudy:
    """One channel: its catches, the line, and the next catch for the speed in question."""

    name: str
    flows: CatchFlows
    fit: LineFit
    bend: LackOfFit | None
    wanted: float
    next_catch: NextCatch


def study(file: Path, *, channel: str | None, at: str | None) -> CatchStudy:
    """The study of a station's channel, or of a list of catches.

    Raises
    ------
    InputRefused
        The file, the channel or the speed can't be used.
    """
    wanted = None if at is None else typed_quantity(at, Catch.model_fields["speed"], name="--at")
    name, found = _channel(file, channel)
    try:
        fit = meter_line(found, name)
    except InputRefused as refused:
        raise InputRefused(replace(fault, file=str(file)) for fault in refused.faults) from None
    flows = catch_flows(catches_of(found))
    line = fit.line
    if wanted is None:
        wanted = (line.speed_low + line.speed_high) / 2
    low, high = found.speed_range
    form: Literal["origin", "offset"] = "origin" if line.through_origin else "offset"
    return CatchStudy(
        name=name,
        flows=flows,
        fit=fit,
        bend=lack_of_fit(flows.speed, flows.flow, flows.u, form=form),
        wanted=wanted,
        next_catch=advised_catch(line, wanted=wanted, lowest=min(low, wanted), highest=max(high, wanted)),
    )


def _channel(file: Path, channel: str | None) -> tuple[str, Channel]:
    if file.suffix.lower() == ".csv":
        return channel or file.stem, read_catches(file)
    station = read_document(file, Station)
    named = {"water": station.water, "powder": station.powder, "accelerator": station.accelerator}
    known = [name for name, part in named.items() if part is not None]
    if channel is None:
        raise InputRefused.because(
            "a station has several channels", expected=f"say which: --channel {' or '.join(known)}", file=str(file)
        )
    found = named[channel]
    if found is None:
        raise InputRefused.because(f"has no {channel} channel", expected=f"it has {', '.join(known)}", file=str(file))
    return channel, found


def draw(made: CatchStudy, path: Path, system: UnitSystem) -> None:
    """The catch plot as a file."""
    plot = catch_plot(made.name, made.flows, made.fit, made.next_catch, system)
    write_together({path: picture(plot, path)})


def print_study(made: CatchStudy, console: Console, system: UnitSystem) -> None:
    """The study in words and numbers."""
    line, fit = made.fit.line, made.fit
    console.print()
    console.print(Text(f"Catches: {made.name}", style="bold"))
    console.print()
    table = Table(box=None, pad_edge=False, padding=(0, 3, 0, 0), header_style="dim")
    for heading in ("speed", "caught", "line", "off by", "in its doubts"):
        table.add_column(heading, justify="right")
    unit = MASS_FLOW.unit(system)
    flows = converted(1.0, MASS_FLOW, unit) * made.flows.flow
    lines = converted(1.0, MASS_FLOW, unit) * (made.flows.flow - fit.residuals)
    decimals = max(3 - math.floor(math.log10(flows.min())), 0)
    for k in range(line.catches):
        table.add_row(
            shown(float(made.flows.speed[k]), ROTATION, system),
            f"{flows[k]:.{decimals}f} {unit}",
            f"{lines[k]:.{decimals}f} {unit}",
            f"{100 * (flows[k] - lines[k]) / flows[k]:+.2f} %",
            f"{float(fit.standardised[k]):+.1f}",
        )
    console.print(table)
    console.print()
    console.print(pairs(_findings(made, system), name_style="dim"))


def _findings(made: CatchStudy, system: UnitSystem) -> list[tuple[str, str]]:
    line, fit, best = made.fit.line, made.fit, made.next_catch
    estimate = flow_at(line, made.wanted)
    inside = "" if within_catches(line, made.wanted) else ", outside the speeds caught"
    delivers = with_doubt(float(estimate.value), float(estimate.u95), MASS_FLOW, system)
    found = [
        ("line", line_words(fit, system)),
        ("form", fit.why),
        (
            "delivers",
            f"{delivers if estimate.value > 0 else 'nothing'} at {shown(made.wanted, ROTATION)}{inside}",
        ),
        ("scatter", _scatter(fit)),
    ]
    if made.bend is not None:
        verdict = "the repeats bend away from a line" if made.bend.probability < 0.05 else "the repeats fit a line"
        found.append(("straightness", f"{verdict} (F = {made.bend.ratio:.2f}, p = {made.bend.probability:.2f})"))
    gain = f"it narrows the doubt there by {100 * best.reduction:.0f} %"
    found.append(("next catch", f"at {shown(best.speed, ROTATION)}: {gain}"))
    return found


def _scatter(fit: LineFit) -> str:
    factor = fit.line.variance_factor
    if factor > 1:
        return (
            f"the catches scatter {factor**0.5:.1f} times as much as scale and stopwatch explain; "
            "the doubts are widened by that"
        )
    return "the catches scatter no more than scale and stopwatch explain"
