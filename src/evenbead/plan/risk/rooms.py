"""Many days at once: for every draw of the inputs, how far each limit is kept.

Each limit is a *room*: above zero it is kept, below it is passed. A print that stands with a load factor of one or
more has room; what a load factor wants beyond one is for the plan to ask, not for nature. Everything else is the
margin of the plan's check of that name.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from evenbead.physics.pumping import FlowCurve, pressure_for_flow
from evenbead.physics.pumping_lines import Stretch, longest_pause
from evenbead.physics.rheology import water_factor
from evenbead.plan.fresh.bond import face_drying
from evenbead.plan.fresh.line import ACCELERATED, head_pressure, not_counted
from evenbead.plan.fresh.situation import growth_in_wall, law_of
from evenbead.plan.fresh.warmth import COLDEST, HOTTEST

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Iterator, Mapping

    from numpy.typing import NDArray

    from evenbead.plan.risk.trial import Place, Trial

    Floats = NDArray[np.float64]

LIMITS = ("ratio", "collapse", "buckling", "interval", "drying", "hose pressure", "pause", "fresh temperature")
"""What can go wrong on a day, in the words of the checks."""

STOPS_THE_PRINT = ("collapse", "buckling", "hose pressure")
"""Passing one of these ends the print; the others make it worse."""

MOVED_BY_PACE = tuple(name for name in LIMITS if name != "ratio")
"""What a slower or faster print changes: less flow stays longer at the mixer's shaft, and comes out warmer."""


@dataclass(frozen=True, slots=True, kw_only=True)
class _Days:
    """The draws of a trial, and what several limits need of them. (n,) each."""

    trial: Trial
    drawn: Mapping[str, Floats]
    pace: Floats
    ratio: Floats
    air: Floats
    """By how much air, powder and water are warmer. [K]"""
    mortar: Floats
    """By how much the mortar is warmer: as powder and water, and what the shaft does at this pace. [K]"""
    wetter: Floats
    """By what the water multiplies yield stress and stiffness."""
    aged: Floats
    """By what the ages in the wall are multiplied."""
    sooner: Floats
    """By how much faster the mortar ages where it must stay open."""


def rooms(
    trial: Trial, draws: Mapping[str, Floats], *, pace: Floats | float = 1.0, limits: Iterable[str] = LIMITS
) -> dict[str, Floats]:
    """The room left below each limit that can be told, for every draw.

    Parameters
    ----------
    trial : Trial
        The day.
    draws : mapping
        By the names of `inputs.INPUTS`, (n,) each.
    pace : (n,) array or float
        By what every time between layers is multiplied; the flow changes inversely. The weather stays that of the
        planned hours.
    limits : iterable of str
        The limits to look at.
    """
    days = _days(trial, draws, pace)
    found = {name: _ROOMS[name](days) for name in limits}
    return {name: room for name, room in found.items() if room is not None}


def _days(trial: Trial, drawn: Mapping[str, Floats], pace: Floats | float) -> _Days:
    fresh, target = trial.situation.case.mortar.fresh, trial.situation.case.mortar.water_powder_ratio.target
    rate, air, ratio = trial.situation.day.rate, drawn["temperature"], drawn["ratio"] * drawn["feed"]
    paces = np.broadcast_to(np.asarray(pace, float), ratio.shape)
    mortar = air + trial.shaft_rise * (paces - 1.0)
    sensitivity = ((fresh.water_sensitivity if fresh else None) or 0.0) * drawn["water_sensitivity"]

    def faster(at: Place, tighter: Callable[[Floats, Floats], Floats]) -> Floats:
        then, planned = tighter(*at.both(mortar=mortar, air=air)), tighter(*at.both(mortar=0.0, air=0.0))
        return np.asarray(rate.factor(then) / rate.factor(planned))

    return _Days(
        trial=trial,
        drawn=drawn,
        pace=paces,
        ratio=ratio,
        air=air,
        mortar=mortar,
        wetter=np.asarray(water_factor(ratio - target, sensitivity=sensitivity)),
        aged=faster(trial.coolest, np.minimum) * paces,
        sooner=faster(trial.warmest, np.maximum),
    )


def _ratio(days: _Days) -> Floats:
    band = days.trial.situation.case.mortar.water_powder_ratio
    return np.minimum(days.ratio - band.low, band.high - days.ratio)


def _collapse(days: _Days) -> Floats | None:
    fresh, grown = days.trial.situation.case.mortar.fresh, growth_in_wall(days.trial.situation)
    if not days.trial.feet or fresh is None or fresh.yield_stress is None or grown is None:
        return None
    start = fresh.yield_stress * days.drawn["yield_stress"] * days.wetter
    gained = days.drawn["growth"] * days.wetter
    factors = [foot.load_factor(start, gained, growth=grown.law, ageing=days.aged) for foot in days.trial.feet]
    return np.asarray(np.minimum.reduce(factors) * days.drawn["collapse_model"] - 1.0)


def _buckling(days: _Days) -> Floats | None:
    """Of the free, straight wall, as in the plan; water is taken to soften as it weakens."""
    fresh = days.trial.situation.case.mortar.fresh
    if not days.trial.buckling or fresh is None or fresh.elastic_modulus is None or fresh.elastic_growth is None:
        return None
    stiffness = fresh.elastic_modulus * days.drawn["stiffness"] * days.wetter
    stiffening = fresh.elastic_growth * days.drawn["stiffening"] * days.aged * days.wetter
    factors = [curve.load_factor(stiffness, stiffening) for curve in days.trial.buckling]
    return np.asarray(np.minimum.reduce(factors) * days.drawn["buckling_model"] - 1.0)


def _interval(days: _Days) -> Floats | None:
    covered = days.trial.covered
    if covered is None:
        return None
    if covered.limit is not None:
        return np.asarray(covered.limit - np.max(covered.waited, initial=0.0) * days.pace)
    longer, spent = days.drawn["open_time"] / days.sooner, days.trial.situation.settling.age_at_nozzle
    found = np.full(days.pace.shape, np.inf)
    for stays_open, waited in zip(covered.stays_open, covered.waited, strict=True):
        found = np.minimum(found, stays_open * longer - (spent + waited) * days.pace)
    return found


def _drying(days: _Days) -> Floats | None:
    day = days.trial.situation.day
    if day.air_c is None or day.humidity is None or day.wind is None:
        return None
    most = np.zeros(days.air.shape)
    for at in days.trial.drying:
        lost = face_drying(
            mortar_c=day.fresh_c[at] + days.mortar,
            air_c=day.air_c[at] + days.air,
            humidity=np.clip(day.humidity[at] + days.drawn["humidity"], 0.0, 1.0),
            wind=day.wind[at] * days.drawn["wind"],
        )
        most = np.maximum(most, np.asarray(lost.higher))
    return days.trial.situation.case.job.limits.evaporation - most


def _fresh_temperature(days: _Days) -> Floats | None:
    """As in the plan, what is too cold counts before what is too hot."""
    if days.trial.fresh_c is None:
        return None
    given, (coldest, hottest) = days.trial.situation.case.job.limits.fresh_temperature, days.trial.fresh_c
    above = coldest + days.mortar - COLDEST
    below = (HOTTEST if given is None else given) - (hottest + days.mortar)
    return np.where(above < 0, above, below)


def _hose_pressure(days: _Days) -> Floats | None:
    fresh, hose = days.trial.situation.case.mortar.fresh, days.trial.situation.case.station.hose
    if fresh is None or fresh.yield_stress is None or fresh.plastic_viscosity is None or hose.pressure_limit is None:
        return None
    flowing = (fresh.dynamic_yield_stress or fresh.yield_stress) * days.drawn["yield_stress"] * days.wetter
    curve = FlowCurve(yield_stress=flowing, consistency=fresh.plastic_viscosity * days.drawn["viscosity"])
    flow = days.trial.situation.settings.flow / days.pace
    friction = np.asarray(pressure_for_flow(flow, length=hose.length, bore=hose.bore, curve=curve))
    return hose.pressure_limit - friction - head_pressure(days.trial.situation)


def _pause(days: _Days) -> Floats | None:
    """At the worst moment, against the pause that the job wants to bear."""
    found = [limit for limit in _pauses(days) if np.any(np.isfinite(limit))]
    if not found or len(not_counted(days.trial.situation)) > 1:
        return None
    longest = np.maximum(np.minimum.reduce(found), 0.0)
    return np.asarray(longest - days.trial.situation.case.job.limits.pause)


def _pauses(days: _Days) -> Iterator[Floats]:
    """Everything that limits a pause, as in the plan. [s]"""
    situation, ageing = days.trial.situation, days.trial.ageing
    fresh, accelerator = situation.case.mortar.fresh, situation.case.mortar.accelerator
    rest = _restart(days)
    if rest is not None:
        yield ageing.takes(rest / days.sooner)
    if fresh is not None and fresh.open_time is not None:
        stays_open = ageing.takes(fresh.open_time * days.drawn["open_time"] / days.sooner)
        yield stays_open - situation.settling.age_at_nozzle * days.pace
    if situation.two_part and accelerator:
        yield np.full(days.pace.shape, ACCELERATED if accelerator.pause_limit is None else accelerator.pause_limit)
    late = _interval(days)
    if late is not None:
        yield late


def _restart(days: _Days) -> Floats | None:
    """Equivalent age of rest after which the pump can't move the hose any more."""
    situation = days.trial.situation
    fresh, hose = situation.case.mortar.fresh, situation.case.station.hose
    if fresh is None or fresh.yield_stress is None or fresh.growth is None or hose.pressure_limit is None:
        return None
    # Start and pressures over the drawn growth, instead of a law of growth for each draw.
    gained = days.drawn["growth"] * days.wetter
    line = Stretch(
        length=max(hose.length, 1e-3),
        bore=hose.bore,
        yield_stress=fresh.yield_stress * days.drawn["yield_stress"] / days.drawn["growth"],
        growth=law_of(fresh.growth),
    )
    limit, head = hose.pressure_limit / gained, head_pressure(situation) / gained
    return np.asarray(longest_pause([line], limit=limit, head=head))


_ROOMS: dict[str, Callable[[_Days], Floats | None]] = {
    "ratio": _ratio,
    "collapse": _collapse,
    "buckling": _buckling,
    "interval": _interval,
    "drying": _drying,
    "hose pressure": _hose_pressure,
    "pause": _pause,
    "fresh temperature": _fresh_temperature,
}
