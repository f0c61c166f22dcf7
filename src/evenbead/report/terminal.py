"""A plan in the terminal: what to set, whether to go, what to carry, readable at a glance."""

from __future__ import annotations

from typing import TYPE_CHECKING

from rich.padding import Padding
from rich.text import Text

from evenbead.quantities import LENGTH, MASS, VOLUME, VOLUME_FLOW, shown
from evenbead.report import words
from evenbead.report.tables import pairs, plain_table

if TYPE_CHECKING:
    from collections.abc import Iterable

    from rich.console import Console
    from rich.table import Table

    from evenbead.plan.model import ChannelSetting, Plan, Verdict
    from evenbead.quantities import UnitSystem

_STYLES: dict[Verdict, str] = {"ok": "green", "caution": "bold yellow", "stop": "bold red", "unknown": "bold cyan"}


_WIDE = 64  # columns of a terminal, below which tables become lines


def print_plan(plan: Plan, console: Console, system: UnitSystem) -> None:
    """The whole report."""
    worst, sentence = words.overall(plan)
    end = words.clock(plan.start, plan.demand.duration)
    console.print()
    console.print(Text(plan.job, style="bold"), Text(f"at {plan.station}, with {plan.mortar}"))
    console.print(f"{plan.start:%a %d %b %Y}, printing {words.clock(plan.start, 0)} to {end}", style="dim")
    console.print()
    console.print(Text(f"{words.SIGNS[worst]} {sentence}", style=_STYLES[worst]))
    wide = console.width >= _WIDE
    _section(console, "Checks", _checks(plan, wide=wide))
    _section(console, "Set", _settings(plan, system) if wide else pairs(_settings_in_words(plan, system)))
    _section(console, "Expect", pairs(_expectations(plan, system)))
    _section(console, "The print", pairs(_print(plan, system)))
    _section(console, "Have on site", pairs(_materials(plan, system)))
    if plan.assumed:
        _section(console, "Assumed, because nobody gave it", _assumed(plan, wide=wide))
    _section(console, "Mind", Text("\n".join(plan.cautions)))


def _section(console: Console, title: str, body: Table | Text) -> None:
    console.print()
    console.print(Text(title, style="bold"))
    console.print(Padding(body, (0, 0, 0, 2), expand=False))


def _checks(plan: Plan, *, wide: bool) -> Table:
    """Verdict, question and reason; the question stands in front of its reason where there is no room beside it."""
    table = plain_table(columns=3, whole=(0, 1)) if wide else plain_table(columns=2)
    for check in words.in_reading_order(plan.checks):
        verdict = Text(f"{words.SIGNS[check.verdict]} {words.WORDS[check.verdict]}", style=_STYLES[check.verdict])
        reason = Text(check.why if wide else f"{check.name}: {check.why}")
        if check.change:
            reason.append(f"\nchange: {check.change}", style="italic")
        table.add_row(verdict, *([check.name] if wide else []), reason)
    return table


def _settings_in_words(plan: Plan, system: UnitSystem) -> Iterable[tuple[str, str]]:
    yield "mixer", f"{words.motor_speed(plan.settings.mixer_speed)}{_allowed(plan)} rpm"
    for channel in words.channels(plan):
        yield channel.name, f"{words.speed(channel)}, {words.rate(channel, system)}, {_inside(channel)}"


def _settings(plan: Plan, system: UnitSystem) -> Table:
    table = plain_table(columns=4, numbers=(1, 2), whole=(0, 1, 2))
    table.add_row("mixer", f"{words.motor_speed(plan.settings.mixer_speed)}{_allowed(plan)} rpm", "", "")
    for channel in words.channels(plan):
        table.add_row(channel.name, words.speed(channel), words.rate(channel, system), _inside(channel))
    return table


def _allowed(plan: Plan) -> str:
    tolerance = plan.settings.mixer_speed_tolerance
    return f" ± {words.tolerance(tolerance)}" if tolerance is not None else ""


def _inside(channel: ChannelSetting) -> str:
    return "within the catches" if channel.within_catches else "outside the catches"


def _expectations(plan: Plan, system: UnitSystem) -> Iterable[tuple[str, str]]:
    expected, settling = plan.expected, plan.settling
    ratio = words.with_doubt(float(expected.ratio.value), float(expected.ratio.u95), None)
    yield "ratio", f"{ratio} water/powder by mass"
    if expected.ratio_with_accelerator is not None:
        yield "", f"{expected.ratio_with_accelerator:.4f} with the water in the accelerator"
    yield "flow", words.with_doubt(float(expected.flow.value), float(expected.flow.u95), VOLUME_FLOW, system)
    yield "start", f"good at the mixer {words.span(settling.start)} after starting; {_waste(plan, system)} to waste"
    yield (
        "a change",
        f"through the mixer in {words.span(settling.change)}, through the hose in {words.span(settling.hose)}",
    )
    yield "judge", f"at the nozzle {words.span(settling.judge_after)} after a change, not before"
    yield "", "doubts are for 95 %, from the catches"


def _waste(plan: Plan, system: UnitSystem) -> str:
    return shown(plan.settling.start_waste, VOLUME, system)


def _print(plan: Plan, system: UnitSystem) -> Iterable[tuple[str, str]]:
    demand, layers = plan.demand, plan.layers
    yield "bead", f"{shown(demand.path_length, LENGTH, system)} long, {shown(demand.printed_volume, VOLUME, system)}"
    yield "flow", f"{shown(demand.flow.mean, VOLUME_FLOW, system)} on average{_unevenness(plan, system)}"
    times = words.between(*(words.span(float(end)) for end in (layers.duration.min(), layers.duration.max())))
    yield "layers", f"{demand.layers}, each {times}, top at {shown(float(layers.z.max()), LENGTH, system)}"
    parts = (("laying", demand.on_time), ("travel", demand.travel_time), ("dwell", demand.dwell_time))
    named = ", ".join(f"{words.span(time)} {name}" for name, time in parts if time > 0)
    yield "time", f"{words.span(demand.duration)}: {named}"
    if plan.best_start is not None:
        yield "best start", words.best_start(plan)
    for note in plan.notes:
        yield "note", note


def _unevenness(plan: Plan, system: UnitSystem) -> str:
    flow = plan.demand.flow
    if flow.high - flow.low < 1e-6 * flow.mean:
        return ""
    low, high = (shown(end, VOLUME_FLOW, system) for end in (flow.low, flow.high))
    return f"; at times the path asks for {low} or {high}"


def _materials(plan: Plan, system: UnitSystem) -> Iterable[tuple[str, str]]:
    materials = plan.materials
    yield (
        "powder",
        (f"{materials.bags} bags of {shown(materials.bag, MASS, system)} ({shown(materials.powder, MASS, system)})"),
    )
    per_bag = shown(materials.water_per_bag, MASS, system)
    yield "water", f"{shown(materials.water, MASS, system)} for mixing, {per_bag} a bag"
    if materials.accelerator:
        yield "accelerator", shown(materials.accelerator, MASS, system)
    yield "wash water", shown(materials.wash_water, VOLUME, system)
    parts = materials.litres
    named = (("printed", parts.printed), ("start", parts.start_waste), ("left in mixer and hose", parts.held),
             ("beside the bead", parts.off_bead), ("spare", parts.spare))  # fmt: skip
    yield "mortar", ", ".join(f"{shown(volume, VOLUME, system)} {name}" for name, volume in named)
    yield "hopper", f"{words.bags(materials.first_fill)} before starting"
    for refill in words.refill_words(materials.refills, plan.start):
        yield "", refill


def _assumed(plan: Plan, *, wide: bool) -> Table:
    table = plain_table(columns=2) if wide else plain_table(columns=1, whole=())
    for assumption in plan.assumed:
        said = Text(assumption.value).append(f" ({assumption.source})", style="dim")
        table.add_row(*([Text(assumption.key), said] if wide else [Text(f"{assumption.key}: ").append_text(said)]))
    return table
