"""How warm the mortar gets, and what keeps it cool enough: colder water, ice, a coil."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from evenbead.errors import NotPossible
from evenbead.physics.cooling_coil import coil_conductance, coil_outlet
from evenbead.physics.heat_targets import ice_for_target, water_for_target
from evenbead.physics.ice_bath import ice_life, ice_rate
from evenbead.physics.water import WATER_DENSITY
from evenbead.plan.fresh.unknown import unknown
from evenbead.plan.model import Check
from evenbead.plan.spans import span
from evenbead.quantities import MASS, TEMPERATURE, shown

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from evenbead.physics.heat import Charge
    from evenbead.plan.fresh.situation import Situation
    from evenbead.plan.model import Verdict

    Numbers = float | NDArray[np.float64]

COLDEST = 5.0
"""Fresh mortar colder than this hardly sets and may freeze. [degC]  Common practice, no source."""
_MANY = 0.5  # of the mixing water as ice; balances go wrong beyond, see `ice_for_target`
HOTTEST = 35.0
_HOTTEST_SOURCE = "[ACI-305.1] asks for a record or trial above 95 °F, as cited"


def fresh_temperature_check(situation: Situation) -> Check:
    """Does the fresh mortar stay below its limit in every hour?"""
    day = situation.day
    if not day.fresh_known:
        return unknown("fresh temperature", "weather, or the temperatures of powder and water",
                       "a thermometer in an opened bag and in the water")  # fmt: skip
    given = situation.case.job.limits.fresh_temperature
    limit = HOTTEST if given is None else given
    during = np.where(day.printing, day.fresh_c, -np.inf)
    worst = int(np.argmax(during))
    value = float(during[worst])
    verdict: Verdict = "ok" if value <= limit - 2 else "caution" if value <= limit else "stop"
    lowest = float(np.where(day.printing, day.fresh_c, np.inf).min())
    low, high, most = (shown(reading, TEMPERATURE, situation.system) for reading in (lowest, value, limit))
    course = (
        f"{low} to {high}, warmest {span(float(day.time[worst]))} into the print"
        if low != high
        else f"{high} throughout"
    )
    if lowest < COLDEST:
        return _too_cold(situation, lowest, f"{course}; colder than {shown(COLDEST, TEMPERATURE, situation.system)}")
    source = "limits.fresh_temperature" if given is not None else _HOTTEST_SOURCE
    return Check(
        name="fresh temperature",
        verdict=verdict,
        value=value,
        limit=limit,
        margin=limit - value,
        why=f"{course}; {most} allowed by {source}",
        governs="powder, water, air and shaft",
        change="" if verdict == "ok" else "colder water or ice (see cooling), powder in the shade, an earlier start",
        kind=TEMPERATURE,
    )


def _too_cold(situation: Situation, lowest: float, course: str) -> Check:
    """The check for a cold morning: how warm the water would have to be."""
    charge = situation.day.charge
    change = "a later start, powder kept warm"
    if charge is not None:
        water = water_for_target(charge, COLDEST + 5.0)
        warm = shown(float(np.max(water.water_temp_c)), TEMPERATURE, situation.system)
        change = f"water at {warm}, {change}"
    return Check(
        name="fresh temperature",
        verdict="caution",
        value=lowest,
        limit=COLDEST,
        margin=lowest - COLDEST,
        why=f"{course}, where mortar hardly sets (common practice, no source)",
        governs="powder, water, air and shaft",
        change=change,
        kind=TEMPERATURE,
    )


def cooling_check(situation: Situation) -> Check:
    """What water temperature, ice or coil keeps the mortar below its limit?"""
    day, charge = situation.day, situation.day.charge
    if charge is None:
        return unknown("cooling", "weather, or the temperatures of powder and water", "a thermometer in bag and water")
    given = situation.case.job.limits.fresh_temperature
    limit = HOTTEST if given is None else given
    try:
        needed = np.asarray(water_for_target(charge, limit).needed_temp_c)
    except NotPossible as reason:
        return unknown("cooling", str(reason), "look at the temperatures of powder and water")
    needed = np.broadcast_to(needed, day.time.shape)
    supplied = np.broadcast_to(np.asarray(charge.water_temp_c, float), day.time.shape)
    short = np.where(day.printing, needed - supplied, np.inf)
    worst = int(np.argmin(short))
    value, arrives = float(needed[worst]), float(supplied[worst])
    if short[worst] >= 0:
        enough = shown(min(value, 100.0), TEMPERATURE, situation.system)
        return _answer("ok", value, arrives, f"no cooling needed: water up to {enough} would do", "")
    words, done = _measures(situation, charge, worst, limit, value)
    return _answer(
        "caution" if done else "stop", value, arrives, words, "prepare it before the start, or start earlier"
    )


def _answer(verdict: Verdict, needed: float, arrives: float, why: str, change: str) -> Check:
    return Check(
        name="cooling",
        verdict=verdict,
        value=arrives,
        limit=needed,
        margin=needed - arrives,
        why=why,
        governs="temperature of the mixing water",
        change=change,
        kind=TEMPERATURE,
    )


def _measures(situation: Situation, charge: Charge, worst: int, limit: float, needed: float) -> tuple[str, bool]:
    """What would do it at the worst moment, in words, and whether anything would."""
    system, done = situation.system, False
    parts = [f"water at {shown(needed, TEMPERATURE, system)} needed at the warmest hour"]
    coil = situation.case.station.coil
    flow = situation.settings.water.mass_flow
    arrives = float(np.broadcast_to(np.asarray(charge.water_temp_c, float), situation.day.time.shape)[worst])
    if coil is not None and needed > coil.bath:
        conductance = float(
            coil_conductance(
                flow=coil.flow * WATER_DENSITY,
                inlet_temp_c=coil.water_in,
                outlet_temp_c=coil.water_out,
                bath_temp_c=coil.bath,
            )
        )
        outlet = coil_outlet(flow=flow, inlet_temp_c=arrives, conductance=conductance, bath_temp_c=coil.bath)
        reached = float(outlet.temperature_c)
        hourly = shown(float(ice_rate(outlet.heat)) * 3600, MASS, system)
        done = reached <= needed
        lasts = "" if not coil.ice else f": its {shown(coil.ice, MASS, system)} last {_life(coil.ice, outlet.heat)}"
        parts.append(f"the coil gives {shown(reached, TEMPERATURE, system)} and melts {hourly} of ice an hour{lasts}")
    try:
        ice = ice_for_target(charge, limit)
        share = float(np.max(np.broadcast_to(np.asarray(ice.share), situation.day.time.shape)[worst]))
        if bool(np.all(np.broadcast_to(np.asarray(ice.reached), situation.day.time.shape)[worst])):
            hourly = shown(share * flow * 3600, MASS, system)
            doubt = ", more than half of it: not to be trusted" if share > _MANY else ""
            parts.append(f"or {hourly} of crushed ice an hour in place of as much water{doubt}")
            done = True
    except NotPossible:
        pass
    if not done:
        parts.append("neither coil nor ice in the water reaches it")
    return "; ".join(parts), done


def _life(ice: float, heat: Numbers) -> str:
    """How long ice lasts at this heat, in words."""
    return span(float(ice_life(ice, heat=heat)))
