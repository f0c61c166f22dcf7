"""Words shared by every rendering of a plan: verdicts, clock times, durations, settings in order."""

from __future__ import annotations

import itertools
import math
from collections import Counter
from datetime import timedelta
from typing import TYPE_CHECKING

from evenbead.plan.spans import percent, span
from evenbead.quantities import MASS_FLOW, ROTATION, converted, rounded, shown, unit_label

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator
    from datetime import datetime

    from evenbead.plan.model import ChannelSetting, Check, Plan, Refill, Verdict
    from evenbead.quantities import Kind, UnitSystem

__all__ = [
    "SIGNS",
    "VERDICTS",
    "WORDS",
    "bags",
    "best_start",
    "between",
    "channels",
    "clock",
    "in_reading_order",
    "motor_speed",
    "overall",
    "rate",
    "refill_words",
    "shortened",
    "span",
    "speed",
    "speed_doubt",
    "tolerance",
    "with_doubt",
]

VERDICTS: tuple[Verdict, ...] = ("stop", "caution", "unknown", "ok")
"""From the one to read first to the one to read last."""

WORDS: dict[Verdict, str] = {"ok": "ok", "caution": "caution", "stop": "STOP", "unknown": "unknown"}
SIGNS: dict[Verdict, str] = {"ok": "✓", "caution": "!", "stop": "×", "unknown": "?"}  # noqa: RUF001  (the sign itself)


def in_reading_order(checks: Iterable[Check]) -> list[Check]:
    """Checks with the gravest verdict first, else as they came."""
    return sorted(checks, key=lambda check: VERDICTS.index(check.verdict))


def overall(plan: Plan) -> tuple[Verdict, str]:
    """The gravest verdict of a plan, and a sentence that says so."""
    counts = Counter(check.verdict for check in plan.checks)
    worst = next(verdict for verdict in VERDICTS if counts[verdict])
    if worst == "ok":
        return worst, f"All {len(plan.checks)} checks are ok."
    named = ", ".join(check.name for check in plan.checks if check.verdict == worst)
    sentence = {"stop": "Don't print like this", "caution": "Look before printing", "unknown": "Not known"}[worst]
    return worst, f"{sentence}: {named}."


def channels(plan: Plan) -> Iterator[ChannelSetting]:
    """The metered channels in the order in which they are set."""
    yield plan.settings.water
    yield plan.settings.powder
    if plan.settings.accelerator:
        yield plan.settings.accelerator


def speed(channel: ChannelSetting) -> str:
    """A channel's speed with the half width of what it may rightly be."""
    return f"{motor_speed(channel.speed)} ± {speed_doubt(channel)} rpm"


def speed_doubt(channel: ChannelSetting) -> str:
    """Half width of what a channel's speed may rightly be, to a tenth where that says anything. No unit."""
    half = converted(max(channel.speed_high - channel.speed, channel.speed - channel.speed_low), ROTATION, "rpm")
    return f"{half:.1f}" if 0.1 <= half < 10 else rounded(half, 2)


def motor_speed(value: float) -> str:
    """A speed as a drive shows it, to a tenth of a revolution a minute below a thousand. No unit."""
    rpm = converted(value, ROTATION, "rpm")
    return f"{rpm:.0f}" if rpm >= 1000 else f"{rpm:.1f}"


def with_doubt(value: float, half: float, kind: Kind | None, system: UnitSystem = "metric") -> str:
    """A value and the half width of its interval, both to the same decimals: two digits of the doubt.

    Examples
    --------
    >>> from evenbead.quantities import VOLUME_FLOW
    >>> with_doubt(7.02e-5, 3.6e-7, VOLUME_FLOW), with_doubt(0.158, 0.00127, None)
    ('4.212 ± 0.022 L/min', '0.1580 ± 0.0013')
    """
    unit = kind.unit(system) if kind else ""
    shown_value, shown_half = (converted(number, kind, unit) if kind else number for number in (value, half))
    decimals = 4 if shown_half <= 0 else min(max(1 - math.floor(math.log10(shown_half)), 0), 6)
    return f"{shown_value:.{decimals}f} ± {shown_half:.{decimals}f} {unit_label(unit)}".rstrip()


def tolerance(value: float) -> str:
    """How far a speed may be off. No unit."""
    return rounded(converted(value, ROTATION, "rpm"), 3)


def rate(channel: ChannelSetting, system: UnitSystem) -> str:
    """A channel's mass flow."""
    return shown(channel.mass_flow, MASS_FLOW, system)


def clock(start: datetime, seconds: float) -> str:
    """A clock time so many seconds after the start, to the nearest minute; the day is added when it is another one."""
    moment = start + timedelta(seconds=seconds + 30)  # what is shown is cut to the minute
    return f"{moment:%H:%M}" if moment.date() == start.date() else f"{moment:%a %H:%M}"


def between(low: str, high: str) -> str:
    """Two ends of a range in words; once where they read the same."""
    return low if low == high else f"{low} to {high}"


def shortened(name: str, most: int) -> str:
    """A name cut to what fits on its line.

    Examples
    --------
    >>> shortened("Curved garden wall", 13)
    'Curved garde…'
    """
    return name if len(name) <= most else f"{name[: most - 1].rstrip()}…"


def bags(count: int) -> str:
    """So many bags."""
    return "1 bag" if count == 1 else f"{count} bags"


def refill_words(refills: Iterable[Refill], start: datetime) -> list[str]:
    """Refill times under the number of bags that go in."""
    return [
        f"{bags(count)} at " + "  ".join(clock(start, refill.at) for refill in group)
        for count, group in itertools.groupby(refills, key=lambda refill: refill.bags)
    ]


def best_start(plan: Plan) -> str:
    """The best start hour of the day, and what it buys."""
    best = plan.best_start
    if best is None:
        return "not known without weather"
    now = next((hour for hour in plan.start_hours if hour.shift == 0), None)
    if best.shift == 0 or (now is not None and best.room - now.room < 0.02):
        return f"{clock(plan.start, 0)} as planned: no other hour of the weather given leaves more room"
    room = f"{percent(max(best.room, 0.0))} of the tightest limit ({best.governs}) is left"
    planned = "" if now is None else f", {percent(max(now.room, 0.0))} as planned"
    return f"{clock(plan.start, best.shift)}: {room}{planned}"
