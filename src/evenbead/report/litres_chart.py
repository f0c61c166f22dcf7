"""The time-litres chart of a plan: clock time across, litres laid up, layers and refills where they fall."""

from __future__ import annotations

from datetime import timedelta
from typing import TYPE_CHECKING

import numpy as np

from evenbead.quantities import TEMPERATURE, VOLUME, converted, rounded, shown, unit_label
from evenbead.report import words
from evenbead.report.svg import BLUE, GREEN, INK, ORANGE, RULE, SHADE, SOFT, Scale, Sheet, clock_ticks, ticks

if TYPE_CHECKING:
    from evenbead.plan.model import Plan
    from evenbead.quantities import UnitSystem

_WIDTH, _HEIGHT = 920, 620
_LEFT, _RIGHT, _TOP, _BOTTOM = 64, 24, 112, 230
_STRIP = 26
_FLIGHT_WORDS = 220  # room for the words beside the bar


def litres_chart(plan: Plan, system: UnitSystem = "metric") -> str:
    """The chart as SVG text.

    The curve is what is laid; it is flat while the bead is off. The strips below it share its time: layers
    (some of them named), refills of the hopper, and how warm air and mortar are.
    """
    unit = VOLUME.unit(system)
    laid = plan.progress.volume * converted(1.0, VOLUME, unit)
    end = plan.demand.duration
    time = Scale(low=0, high=end, start=_LEFT, end=_WIDTH - _RIGHT)
    up = Scale(low=0, high=float(laid[-1]) * 1.1, start=_HEIGHT - _BOTTOM, end=_TOP)
    printed = shown(plan.demand.printed_volume, VOLUME, system)
    sheet = Sheet(
        width=_WIDTH,
        height=_HEIGHT,
        title=f"{plan.job}: litres against time",
        description=f"{printed} in {words.span(end)} and {plan.demand.layers} layers, with the hopper's refills.",
    )
    _heading(sheet, plan, printed)
    _grid(sheet, plan, time, up, unit)
    sheet.polyline(time.all(plan.progress.time), up.all(laid), colour=BLUE, width=2.2)
    sheet.mark(time(end), up(float(laid[-1])), "dot", colour=BLUE)
    last = f"{printed} at {words.clock(plan.start, end)}"
    sheet.text(time(end) - 8, up(float(laid[-1])) - 8, last, anchor="end", colour=BLUE, bold=True)
    _judged_from(sheet, plan, time)
    _layer_strip(sheet, plan, time)
    _refill_strip(sheet, plan, time)
    _warmth_strip(sheet, plan, time, system)
    return sheet.svg()


def _heading(sheet: Sheet, plan: Plan, printed: str) -> None:
    _, sentence = words.overall(plan)
    sheet.text(_LEFT, 30, words.shortened(plan.job, 44), size=19, bold=True)
    day = f"{plan.start:%a %d %b %Y}"
    span = words.span(plan.demand.duration)
    station = words.shortened(plan.station, 44)
    sheet.text(_LEFT, 50, f"{printed} laid in {span} at {station}, {day}.", size=12, colour=SOFT)
    sheet.text(_LEFT, 67, sentence, size=12, colour=SOFT)


def _grid(sheet: Sheet, plan: Plan, time: Scale, up: Scale, unit: str) -> None:
    for volume in ticks(0, up.high):
        sheet.line(_LEFT, up(volume), _WIDTH - _RIGHT, up(volume), colour=RULE)
        sheet.text(_LEFT - 8, up(volume) + 4, rounded(volume, 4), anchor="end", colour=SOFT)
    sheet.text(_LEFT - 8, _TOP - 10, unit_label(unit), anchor="end", colour=SOFT)
    midnight = plan.start.replace(hour=0, minute=0, second=0, microsecond=0)
    begin = (plan.start - midnight).total_seconds()
    for tick in clock_ticks(begin, begin + time.high):
        x = time(tick - begin)
        sheet.line(x, _TOP, x, _HEIGHT - 34, colour=RULE)
        sheet.text(x, _HEIGHT - 16, f"{midnight + timedelta(seconds=tick):%H:%M}", anchor="middle", colour=SOFT)
    sheet.line(_LEFT, up(0), _WIDTH - _RIGHT, up(0))


def _judged_from(sheet: Sheet, plan: Plan, time: Scale) -> None:
    """How long a change stays in flight, drawn to scale where nothing else is."""
    end = time(min(plan.settling.judge_after, time.high))
    sheet.box(_LEFT, _TOP - 20, max(end - _LEFT, 1), 8, colour=ORANGE)
    said = f"a change is in flight for {words.span(plan.settling.judge_after)}"
    if end + 8 + _FLIGHT_WORDS < _WIDTH:
        sheet.text(end + 8, _TOP - 12, said, colour=ORANGE)
    else:
        sheet.text(end, _TOP - 25, said, colour=ORANGE, anchor="end")


def _layer_strip(sheet: Sheet, plan: Plan, time: Scale) -> None:
    y = _HEIGHT - _BOTTOM + 30
    sheet.text(_LEFT - 8, y + 15, "layer", anchor="end", colour=SOFT)
    starts = plan.layers.start
    ends = starts + plan.layers.duration
    every = _named_every(len(starts))
    for k, (start, end) in enumerate(zip(starts, ends, strict=True)):
        left, right = time(float(start)), time(float(end))
        if right - left >= 1 or k % max(len(starts) // 400, 1) == 0:
            sheet.box(left, y, max(right - left, 0.4), _STRIP - 6, colour=SHADE if k % 2 else RULE)
    for k in sorted({0, *range(every - 1, len(starts), every)}):
        middle = (time(float(starts[k])) + time(float(ends[k]))) / 2
        sheet.text(middle, y + 14, str(k + 1), size=10, anchor="middle", colour=INK)


def _named_every(layers: int) -> int:
    return next(step for step in (1, 2, 5, 10, 20, 50, 100, 200, 500, 1000, 10_000, 100_000) if layers / step <= 20)


def _refill_strip(sheet: Sheet, plan: Plan, time: Scale) -> None:
    y = _HEIGHT - _BOTTOM + 70
    sheet.text(_LEFT - 8, y + 10, "bags", anchor="end", colour=SOFT)
    refills = [(0.0, plan.materials.first_fill)]
    refills += [(max(refill.at, 0.0), refill.bags) for refill in plan.materials.refills]
    room = np.diff([time(at) for at, _ in refills], append=_WIDTH)
    for (at, bags), space in zip(refills, room, strict=True):
        sheet.mark(time(at), y + 4, "up", colour=GREEN, size=5)
        if space > 16:
            sheet.text(time(at), y + 22, str(bags), size=10, anchor="middle", colour=GREEN)


def _warmth_strip(sheet: Sheet, plan: Plan, time: Scale, system: UnitSystem) -> None:
    """Temperatures of air and fresh mortar, each named at its end with its value."""
    top = _HEIGHT - _BOTTOM + 112
    sheet.text(_LEFT - 8, top + 36, unit_label(TEMPERATURE.unit(system)), anchor="end", colour=SOFT)
    during = plan.weather.time <= plan.demand.duration
    curves = [
        (label, colour, values[during])
        for label, colour, values in (
            ("air", SOFT, plan.weather.air_c),
            ("fresh mortar", BLUE, plan.weather.fresh_c),
        )
        if values is not None
    ]
    if not curves:
        sheet.text(_LEFT + 8, top + 36, "not known: the job gives no weather for these hours", colour=SOFT)
        return
    readings = np.concatenate([values for _, _, values in curves])
    warmth = Scale(low=float(readings.min()) - 1, high=float(readings.max()) + 1, start=top + 62, end=top)
    sheet.line(_LEFT, top + 62, _WIDTH - _RIGHT, top + 62, colour=RULE)
    for name, colour, values in curves:
        sheet.polyline(time.all(plan.weather.time[during]), warmth.all(values), colour=colour, width=2)
        lowest, highest = (shown(float(edge), TEMPERATURE, system) for edge in (values.min(), values.max()))
        said = f"{name} {lowest}" if lowest == highest else f"{name} {lowest} to {highest}"
        sheet.text(_LEFT + 8, warmth(float(values[0])) - 9, said, size=11, colour=colour)
