"""Words shared by every rendering of a plan: verdicts, clock times, durations, settings in order."""

from __future__ import annotations

import itertools
from collections import Counter
from datetime import timedelta
from typing import TYPE_CHECKING

from evenbead.quantities import MASS_FLOW, ROTATION, converted, rounded, shown

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator
    from datetime import datetime

    from evenbead.plan.model import ChannelSetting, Check, Plan, Refill, Verdict
    from evenbead.quantities import UnitSystem

VERDICTS: tuple[Verdict, ...] = ("stop", "caution", "unknown", "ok")
"""From the one to read first to the one to read last."""

WORDS: dict[Verdict, str] = {"ok": "ok", "caution": "caution", "stop": "STOP", "unknown": "unknown"}
SIGNS: dict[Verdict, str] = {"ok": "✓", "caution": "!", "stop": "✕", "unknown": "?"}


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
    half = max(channel.speed_high - channel.speed, channel.speed - channel.speed_low)
    return f"{motor_speed(channel.speed)} ± {rounded(converted(half, ROTATION, 'rpm'), 2)} rpm"


def motor_speed(value: float) -> str:
    """A speed as a drive shows it, to a tenth of a revolution a minute below a hundred. No unit."""
    rpm = converted(value, ROTATION, "rpm")
    return f"{rpm:.0f}" if rpm >= 100 else f"{rpm:.1f}"


def tolerance(value: float) -> str:
    """How far a speed may be off. No unit."""
    return rounded(converted(value, ROTATION, "rpm"), 3)


def rate(channel: ChannelSetting, system: UnitSystem) -> str:
    """A channel's mass flow."""
    return shown(channel.mass_flow, MASS_FLOW, system)


def clock(start: datetime, seconds: float) -> str:
    """A clock time so many seconds after the start, to the nearest minute; the day is added when it is another one."""
    moment = start + timedelta(minutes=round(seconds / 60))
    return f"{moment:%H:%M}" if moment.date() == start.date() else f"{moment:%a %H:%M}"


def span(seconds: float) -> str:
    """A duration in the largest units that matter.

    Examples
    --------
    >>> span(45), span(350), span(6_780)
    ('45 s', '5 min 50 s', '1 h 53 min')
    """
    whole = round(seconds)
    if whole < 60:
        return f"{whole} s"
    if whole < 3600:
        return f"{whole // 60} min {whole % 60} s" if whole % 60 else f"{whole // 60} min"
    minutes = round(seconds / 60)
    return f"{minutes // 60} h {minutes % 60:02d} min"


def bags(count: int) -> str:
    """So many bags."""
    return "1 bag" if count == 1 else f"{count} bags"


def refill_words(refills: Iterable[Refill], start: datetime) -> list[str]:
    """Refill times under the number of bags that go in."""
    return [
        f"{bags(count)} at " + "  ".join(clock(start, refill.at) for refill in group)
        for count, group in itertools.groupby(refills, key=lambda refill: refill.bags)
    ]
