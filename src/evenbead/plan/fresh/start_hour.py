"""The best start hour of the day: when heat, drying and open time leave the most room.

Each is measured as the share of its limit that is left at the worst moment of the print; the hour with the largest
least share is the best. A colder hour stiffens a wall more slowly, so collapse and buckling have to be looked at again
for the hour chosen.
"""

from __future__ import annotations

from dataclasses import dataclass, fields, replace
from typing import TYPE_CHECKING

import numpy as np

from evenbead.errors import EvenbeadError
from evenbead.plan.fresh.bond import drying_check, interval_check
from evenbead.plan.fresh.conditions import day_of
from evenbead.plan.fresh.line import line_age_check
from evenbead.plan.fresh.warmth import fresh_temperature_check
from evenbead.plan.model import StartHour

if TYPE_CHECKING:
    from collections.abc import Iterator

    from evenbead.plan.fresh.situation import Situation
    from evenbead.plan.model import Check
    from evenbead.toolpath.intervals import Intervals

_HOUR = 3600.0
_REACH = 12  # hours looked at before and after the job's own start
_ROOM_OF_HEAT = 15.0  # K; a fresh mortar this far below its limit has all the room there is


@dataclass(frozen=True, slots=True, kw_only=True)
class _Room:
    least: float
    governs: str


def start_hours(situation: Situation, *, duration: float) -> tuple[StartHour, ...]:
    """Every start, hour by hour, with the room it leaves. Empty without weather.

    A start counts when it lies between the first and the last weather given, and the weather reaches over the print.
    """
    return tuple(_looked_at(replace(situation, intervals=_worst_of(situation.intervals)), duration))


def best_start(hours: tuple[StartHour, ...]) -> StartHour | None:
    """The start with the most room; of equals the one nearest to the job's own."""
    return max(hours, key=lambda hour: (round(hour.room, 3), -abs(hour.shift)), default=None)


def _looked_at(situation: Situation, duration: float) -> Iterator[StartHour]:
    job = situation.case.job
    for hour in range(-_REACH, _REACH + 1):
        shift = hour * _HOUR
        start = job.start.timestamp() + shift
        if not job.weather or not job.weather[0].time.timestamp() <= start <= job.weather[-1].time.timestamp():
            continue
        try:
            day = day_of(situation.case, situation.settings, duration=duration, shift=shift)
        except EvenbeadError:
            continue
        if day.air_c is None:
            continue
        room = _room(replace(situation, day=day))
        if room is not None:
            yield StartHour(shift=shift, room=room.least, governs=room.governs)


def _worst_of(intervals: Intervals) -> Intervals:
    """The longest interval of every minute: limits that follow the weather hardly change in so short a time."""
    if not len(intervals):
        return intervals
    minute = np.floor(intervals.laid / 60.0).astype(np.int64)
    order = np.lexsort((intervals.interval, minute))
    keep = order[np.append(np.diff(minute[order]) > 0, True)]
    columns = {each.name: getattr(intervals, each.name)[keep] for each in fields(intervals)}
    return replace(intervals, **columns)


def _room(situation: Situation) -> _Room | None:
    heat = fresh_temperature_check(situation)
    shares = {heat.name: heat.margin / _ROOM_OF_HEAT} if heat.margin is not None else {}
    for check in (drying_check(situation), interval_check(situation), line_age_check(situation)):
        share = _share_left(check)
        if share is not None:
            shares[check.name] = share
    if not shares:
        return None
    governs = min(shares, key=lambda name: shares[name])
    return _Room(least=shares[governs], governs=governs)


def _share_left(check: Check) -> float | None:
    return None if check.margin is None or not check.limit else check.margin / abs(check.limit)
