"""A day prepared for many draws: all that stays the same from draw to draw, worked out once.

What the checks of the plan find on the expected day is kept in a form that scales, so that a draw at the median of
every input gives the margins of the plan again. Other paces keep the weather of the planned hours: a print that takes
far longer would meet another afternoon.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from evenbead.physics.heat import sensitivities
from evenbead.physics.setting import time_at_equivalent_age
from evenbead.plan.fresh.bond import face_drying, interval_limits
from evenbead.plan.risk.walls import BucklingCurve, Foot, buckling_curves, feet_of

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from evenbead.plan.fresh.conditions import Day
    from evenbead.plan.fresh.situation import Situation

    Floats = NDArray[np.float64]

_QUARTERS = 24  # quarter hours, those that dry most, in which drying is looked at
_SINCE = 96  # moments of the print from which ageing is followed, about a day of quarter hours
_YOUNGEST, _OLDEST, _AGES = 60.0, 14 * 86_400.0, 80  # s


@dataclass(frozen=True, slots=True, kw_only=True)
class Ageing:
    """How soon the mortar reaches an equivalent age when it is mixed at the worst moment of the print.

    age:       (k,) s   at the reference temperature
    duration:  (k,) s   of real time, the least of the print
    """

    age: Floats
    duration: Floats

    def takes(self, age: Floats) -> Floats:
        """Real time until this age; beyond the last it goes on as on average. [s]"""
        within = np.interp(age, self.age, self.duration)
        beyond = age / self.age[-1] * self.duration[-1]
        return np.asarray(np.where(age > self.age[-1], beyond, within))


@dataclass(frozen=True, slots=True, kw_only=True)
class Place:
    """How warm mortar and air are; without air, what is around the mortar is as warm as itself. [degC]"""

    mortar_c: float
    air_c: float | None

    def both(self, *, mortar: Floats | float, air: Floats | float) -> tuple[Floats, Floats]:
        """Mortar and what is around it, each warmer by so much."""
        made = np.asarray(self.mortar_c + mortar)
        return made, made if self.air_c is None else np.asarray(self.air_c + air)


@dataclass(frozen=True, slots=True, kw_only=True)
class Covered:
    """The covered places that can be the first to be too late, whatever the pace and the open time.

    waited:      (p,) s     since the bead beneath was laid
    stays_open:  (p,) s     time from water contact for which that bead stays open
    limit:       s or None  the job's own, which counts instead; infinite where no bead covers another
    """

    waited: Floats
    stays_open: Floats
    limit: float | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Trial:
    """A situation prepared for many draws."""

    situation: Situation
    feet: tuple[Foot, ...]
    """Of the walls that are nearest to collapse; empty where it can't be told."""
    buckling: tuple[BucklingCurve, ...]
    covered: Covered | None
    """None where nothing tells how late is too late."""
    ageing: Ageing
    warmest: Place
    """Mortar and air when either is at its warmest, for what must stay open."""
    coolest: Place
    """Mortar and air on average over the print, the colder of which counts for what must stiffen."""
    shaft_rise: float
    """By how much the shaft warms the mortar at the planned flow; at another flow as much less or more. [K]"""
    fresh_c: tuple[float, float] | None
    """The coldest and the warmest fresh mortar; None where nothing tells. [degC]"""
    drying: NDArray[np.intp]
    """The moments of the day that dry most; none without air, humidity and wind."""


def trial_of(situation: Situation) -> Trial:
    """What does not change from draw to draw."""
    day = situation.day
    warmest = int(np.argmax(np.where(day.printing, np.asarray(day.warm.temperature_c), -np.inf)))
    mortar = day.fresh_c[day.printing]
    return Trial(
        situation=situation,
        feet=feet_of(situation),
        buckling=buckling_curves(situation),
        covered=_covered(situation),
        ageing=_ageing(day),
        warmest=_place(day, np.array([warmest])),
        coolest=_place(day, np.flatnonzero(day.printing)),
        shaft_rise=_shaft_rise(day),
        fresh_c=(float(mortar.min()), float(mortar.max())) if day.fresh_known else None,
        drying=_drying(day),
    )


def _place(day: Day, moments: NDArray[np.intp]) -> Place:
    air_c = None if day.air_c is None else float(day.air_c[moments].mean())
    return Place(mortar_c=float(day.fresh_c[moments].mean()), air_c=air_c)


def _shaft_rise(day: Day) -> float:
    if day.charge is None:
        return 0.0
    return float(np.mean(day.charge.shaft_heat * np.asarray(sensitivities(day.charge).shaft_heat)))


def _ageing(day: Day) -> Ageing:
    mixed = day.time[day.printing]
    if len(mixed) > _SINCE:
        warmest = int(np.argmax(np.asarray(day.warm.temperature_c)[day.printing]))
        mixed = mixed[np.unique(np.append(np.linspace(0, len(mixed) - 1, _SINCE).astype(int), warmest))]
    age = np.concatenate([[0.0], np.geomspace(_YOUNGEST, _OLDEST, _AGES)])
    reached = time_at_equivalent_age(day.warm, age[:, None], since=mixed, rate=day.rate)
    return Ageing(age=age, duration=np.asarray(reached - mixed).min(axis=1))


def _covered(situation: Situation) -> Covered | None:
    waited = situation.intervals.interval
    if not len(waited):
        return Covered(waited=waited, stays_open=waited, limit=np.inf)
    limits = interval_limits(situation)
    if limits is None:
        return None
    stays_open = limits[0] + situation.settling.age_at_nozzle
    first = first_to_be_late(stays_open, waited)
    limit = situation.case.job.limits.layer_interval
    return Covered(waited=waited[first], stays_open=stays_open[first], limit=limit)


def first_to_be_late(stays_open: Floats, waited: Floats) -> NDArray[np.intp]:
    """Places that some open time and pace could make the first to be too late.

    What is left is f·open - p·waited for some f and p above zero: least at a corner of the hull of all places, on its
    side of short open times and long waits.
    """
    order = np.lexsort((-waited, stays_open))
    longest = np.maximum.accumulate(waited[order])
    rising = order[np.concatenate([[True], longest[1:] > longest[:-1]])]
    corners: list[int] = []
    for place in rising.tolist():
        while len(corners) > 1 and not _turns(stays_open, waited, corners[-2], corners[-1], place):
            corners.pop()
        corners.append(place)
    return np.array(corners, np.intp)


def _turns(x: Floats, y: Floats, first: int, second: int, third: int) -> bool:
    """Whether the way from the first place over the second to the third turns right."""
    return bool((x[second] - x[first]) * (y[third] - y[first]) < (x[third] - x[first]) * (y[second] - y[first]))


def _drying(day: Day) -> NDArray[np.intp]:
    if day.air_c is None or day.humidity is None or day.wind is None:
        return np.empty(0, np.intp)
    lost = face_drying(mortar_c=day.fresh_c, air_c=day.air_c, humidity=day.humidity, wind=day.wind)
    higher = np.where(day.printing, np.asarray(lost.higher), -np.inf)
    most = np.argsort(-higher)[:_QUARTERS]
    return np.asarray(most[day.printing[most]])
