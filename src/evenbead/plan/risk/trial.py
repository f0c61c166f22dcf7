"""Many days at once: for every draw of the inputs, how far each limit is kept.

Each limit is a *room*: above zero it is kept, below it is passed. A print that stands with a load factor of one or
more has room; what a load factor wants beyond one is for the plan to ask, not for nature.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from evenbead.physics.buckling import buckling_of_columns
from evenbead.physics.collapse import VON_MISES
from evenbead.physics.drying import evaporation
from evenbead.physics.fresh_wall import ages
from evenbead.physics.heat import sensitivities
from evenbead.physics.pumping import FlowCurve, pressure_for_flow
from evenbead.physics.pumping_lines import Stretch, longest_pause
from evenbead.physics.rheology import water_factor, yield_stress
from evenbead.physics.wall_stiffness import bending_rigidity, shear_stiffness
from evenbead.plan.fresh.bond import interval_limits
from evenbead.plan.fresh.line import head_pressure
from evenbead.plan.fresh.situation import growth_in_wall, law_of
from evenbead.plan.fresh.wall import stacks

if TYPE_CHECKING:
    from collections.abc import Mapping

    from numpy.typing import NDArray

    from evenbead.physics.fresh_wall import Layers
    from evenbead.plan.fresh.situation import Situation

    Floats = NDArray[np.float64]

_CLOSE = 1e-3  # of a load factor: far below its doubt
LIMITS = ("ratio", "collapse", "buckling", "interval", "drying", "hose pressure", "pause", "fresh temperature")
"""What can go wrong on a day, in the words of the checks."""

STOPS_THE_PRINT = ("collapse", "buckling", "hose pressure")
"""Passing one of these ends the print; the others make it worse."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Trial:
    """A situation prepared for many draws."""

    situation: Situation
    walls: tuple[Layers, ...]
    longest_interval: float
    open_at: float
    """Factor of ageing at the warmest hour, and the coolest: open time and growth scale by them."""
    cool_at: float
    worst_heat: int
    """Index of the warmest quarter of an hour of the print."""


def trial_of(situation: Situation) -> Trial:
    """What does not change from draw to draw."""
    day = situation.day
    warm, cool = (np.asarray(history.temperature_c)[day.printing] for history in (day.warm, day.cool))
    intervals = situation.intervals
    return Trial(
        situation=situation,
        walls=tuple(stacks(situation)),
        longest_interval=float(intervals.interval.max()) if len(intervals) else 0.0,
        open_at=float(warm.max()),
        cool_at=float(cool.mean()),
        worst_heat=int(np.argmax(np.where(day.printing, day.fresh_c, -np.inf))),
    )


def rooms(trial: Trial, draws: Mapping[str, Floats], *, pace: Floats | float = 1.0) -> dict[str, Floats]:
    """The room left below each limit that can be told, for every draw.

    Parameters
    ----------
    trial : Trial
        The day.
    draws : mapping
        By the names of `inputs.INPUTS`, (n,) each.
    pace : (n,) array or float
        By what every time between layers is multiplied; the flow changes inversely.
    """
    situation = trial.situation
    fresh, band = situation.case.mortar.fresh, situation.case.mortar.water_powder_ratio
    ratio = draws["ratio"] * draws["feed"]
    pace = np.broadcast_to(np.asarray(pace, float), ratio.shape)
    found = {"ratio": np.minimum(ratio - band.low, band.high - ratio)}
    if fresh is None:
        return found
    sensitivity = (fresh.water_sensitivity or 0.0) * draws["water_sensitivity"]
    wetter = np.asarray(water_factor(ratio - band.target, sensitivity=sensitivity))
    rate = situation.day.rate
    reference = np.asarray(rate.factor(trial.cool_at))
    cool = np.asarray(rate.factor(trial.cool_at + draws["temperature"])) / reference
    warm = np.asarray(rate.factor(trial.open_at + draws["temperature"]))
    found |= _collapse(trial, draws, wetter, cool * pace)
    found |= _buckling(trial, draws, wetter, cool * pace)
    found |= _bond(trial, draws, warm, pace)
    found |= _line(trial, draws, wetter, warm, pace)
    found |= _weather(trial, draws)
    return found


def load_by_count(wall: Layers) -> tuple[Floats, Floats]:
    """For each number of layers that can lie on a foot, the least age it has then and the load. (k,) each.

    In a wall of equal layers a foot under k layers always bears the same load, so only the least age counts.
    """
    age = ages(wall)
    count = wall.count
    least = np.array([np.diagonal(age, offset=k).min() for k in range(count)])
    return least, np.cumsum(wall.weight)


def _collapse(trial: Trial, draws: Mapping[str, Floats], wetter: Floats, ageing: Floats) -> dict[str, Floats]:
    fresh, grown = trial.situation.case.mortar.fresh, growth_in_wall(trial.situation)
    if fresh is None or fresh.yield_stress is None or grown is None:
        return {}
    start = fresh.yield_stress * draws["yield_stress"]
    factor = np.full(start.shape, np.inf)
    for wall in trial.walls:
        least, load = load_by_count(wall)
        stress = np.asarray(
            yield_stress(start[:, None] / draws["growth"][:, None], growth=grown.law, age=least * ageing[:, None])
        )
        strength = VON_MISES * stress * (draws["growth"] * wetter)[:, None] * wall.width
        factor = np.minimum(factor, (strength / load).min(axis=1))
    return {"collapse": factor * draws["collapse_model"] - 1.0}


def _buckling(trial: Trial, draws: Mapping[str, Floats], wetter: Floats, ageing: Floats) -> dict[str, Floats]:
    fresh = trial.situation.case.mortar.fresh
    if fresh is None or fresh.elastic_modulus is None or fresh.elastic_growth is None:
        return {}
    poisson = fresh.poisson_ratio or 0.0
    factor = np.full(wetter.shape, np.inf)
    for wall in trial.walls:
        at_end = wall.laid[-1] - wall.laid
        load = np.broadcast_to(np.cumsum(wall.weight[::-1])[::-1], (len(wetter), wall.count))
        modulus = (
            fresh.elastic_modulus * draws["stiffness"][:, None]
            + fresh.elastic_growth * (draws["stiffening"] * ageing)[:, None] * at_end
        ) * wetter[:, None]
        rigidity = np.asarray(bending_rigidity(modulus=modulus, width=wall.width, poisson=poisson))
        shear = np.asarray(shear_stiffness(modulus=modulus, width=wall.width, poisson=poisson))
        found, _ = buckling_of_columns(rigidity=rigidity, shear=shear, load=load, height=wall.height, tolerance=_CLOSE)
        factor = np.minimum(factor, found)
    return {"buckling": factor * draws["buckling_model"] - 1.0}


def _bond(trial: Trial, draws: Mapping[str, Floats], warm: Floats, pace: Floats) -> dict[str, Floats]:
    situation = trial.situation
    if not len(situation.intervals):
        return {}
    interval = trial.longest_interval * pace
    limit, fresh = situation.case.job.limits.layer_interval, situation.case.mortar.fresh
    if limit is not None:
        return {"interval": np.asarray(limit - interval)}
    if fresh is None or fresh.open_time is None:
        return {}
    left = fresh.open_time * draws["open_time"] / warm - situation.settling.age_at_nozzle * pace
    return {"interval": left - interval}


def _line(trial: Trial, draws: Mapping[str, Floats], wetter: Floats, warm: Floats, pace: Floats) -> dict[str, Floats]:
    situation = trial.situation
    case, fresh, hose = situation.case, situation.case.mortar.fresh, situation.case.station.hose
    found: dict[str, Floats] = {}
    if fresh is None:
        return found
    pauses: list[Floats] = []
    if fresh.yield_stress is not None and hose.pressure_limit is not None:
        start = fresh.yield_stress * draws["yield_stress"] * wetter
        if fresh.plastic_viscosity is not None:
            flowing = start * (fresh.dynamic_yield_stress or fresh.yield_stress) / fresh.yield_stress
            curve = FlowCurve(yield_stress=flowing, consistency=fresh.plastic_viscosity * draws["viscosity"])
            flow = situation.settings.flow / pace
            friction = np.asarray(pressure_for_flow(flow, length=hose.length, bore=hose.bore, curve=curve))
            found["hose pressure"] = hose.pressure_limit - friction - head_pressure(situation)
        if fresh.growth is not None:
            # Growth scales with its own doubt and with the water: the same rest then counts for more or less of it.
            line = Stretch(
                length=max(hose.length, 1e-3), bore=hose.bore,
                yield_stress=start / (draws["growth"] * wetter), growth=law_of(fresh.growth),
            )  # fmt: skip
            limit = hose.pressure_limit / (draws["growth"] * wetter)
            head = head_pressure(situation) / (draws["growth"] * wetter)
            pauses.append(np.asarray(longest_pause([line], limit=limit, head=head)) / warm)
    if fresh.open_time is not None:
        pauses.append(fresh.open_time * draws["open_time"] / warm - situation.settling.age_at_nozzle * pace)
    accelerator = case.mortar.accelerator
    if situation.two_part and accelerator and accelerator.pause_limit is not None:
        pauses.append(np.full(wetter.shape, accelerator.pause_limit))
    if interval_limits(situation) is not None and len(situation.intervals):
        pauses.append(_bond(trial, draws, warm, pace)["interval"])
    if pauses:
        found["pause"] = np.minimum.reduce(pauses) - case.job.limits.pause
    return found


def _weather(trial: Trial, draws: Mapping[str, Floats]) -> dict[str, Floats]:
    situation, day = trial.situation, trial.situation.day
    found: dict[str, Floats] = {}
    offset = draws["temperature"]
    at = trial.worst_heat
    mortar = day.fresh_c[at] + offset * _share_moved(trial)
    limit = situation.case.job.limits.fresh_temperature
    if day.fresh_known and limit is not None:
        found["fresh temperature"] = limit - mortar
    if day.air_c is not None and day.humidity is not None and day.wind is not None:
        lost = evaporation(
            mortar_temp_c=day.fresh_c[day.printing][:, None] + offset * _share_moved(trial),
            air_temp_c=day.air_c[day.printing][:, None] + offset,
            humidity=np.clip(day.humidity[day.printing][:, None] + draws["humidity"], 0.0, 1.0),
            wind=day.wind[day.printing][:, None] * draws["wind"],
        )
        found["drying"] = situation.case.job.limits.evaporation - np.asarray(lost.higher).max(axis=0)
    return found


def _share_moved(trial: Trial) -> float:
    """By how much the mortar warms when powder and water are a kelvin warmer."""
    charge = trial.situation.day.charge
    if charge is None:
        return 1.0
    moved = sensitivities(charge)
    return float(np.mean(np.asarray(moved.water_temp) + np.asarray(moved.powder_temp)))
