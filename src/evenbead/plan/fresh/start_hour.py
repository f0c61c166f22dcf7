"""The best start hour of the day: when heat, drying and open time leave the most room.

Each is measured as the share of its limit that is left at the worst moment of the print; the hour with the largest
least share is the best. A colder hour stiffens a wall more slowly, so collapse and buckling have to be looked at again
for the hour chosen.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

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

_HOUR = 3600.0
_REACH = 12  # hours looked at before and after the job's own start
_ROOM_OF_HEAT = 15.0  # K; a fresh mortar this far below its limit has all the room there is


@dataclass(frozen=True, slots=True, kw_only=True)
class _Room:
    least: float
    governs: str


def start_hours(situation: Situation, *, duration: float) -> tuple[StartHour, ...]:
    """Every start, hour by hour, that the weather given covers, with the room it leaves. Empty without weather."""
    return tuple(_looked_at(situation, duration))


def best_start(hours: tuple[StartHour, ...]) -> StartHour | None:
    """The start with the most room; of equals the one nearest to the job's own."""
    return max(hours, key=lambda hour: (round(hour.room, 3), -abs(hour.shift)), default=None)


def _looked_at(situation: Situation, duration: float) -> Iterator[StartHour]:
    for hour in range(-_REACH, _REACH + 1):
        shift = hour * _HOUR
        try:
            day = day_of(situation.case, situation.settings, duration=duration, shift=shift)
        except EvenbeadError:
            continue
        if day.air_c is None:
            continue
        room = _room(replace(situation, day=day))
        if room is not None:
            yield StartHour(shift=shift, room=room.least, governs=room.governs)


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
