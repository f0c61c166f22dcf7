"""Power and water at the station: plausibility checks, never a design."""

from __future__ import annotations

from typing import TYPE_CHECKING

from evenbead.physics.cord import section_resistance
from evenbead.physics.power_supply import Load, Supply, power_check
from evenbead.physics.water import WATER_DENSITY
from evenbead.physics.water_supply import TapReadings, WaterHose, water_check
from evenbead.plan.fresh.unknown import unknown
from evenbead.plan.model import Check
from evenbead.plan.spans import percent
from evenbead.quantities import CURRENT, PRESSURE, VOLUME_FLOW, shown

if TYPE_CHECKING:
    from evenbead.plan.fresh.situation import Situation
    from evenbead.plan.model import Verdict

_WASHING = 3.0  # common practice, no source: about threefold water to wash out


def power_supply_check(situation: Situation) -> Check:
    """Can the supply plausibly feed the station?"""
    station = situation.case.station
    point, mixer = station.power, station.mixer
    if point is None or mixer.power is None:
        return unknown("power supply", "the supply ([power]) and the mixer's rated power (mixer.power)",
                       "read breaker, cord and nameplates; a licensed electrician decides")  # fmt: skip
    cord = point.cord_length is not None and point.cord_section is not None
    found = power_check(
        [Load(power=mixer.power), Load(power=point.other_power)],
        Supply(
            voltage=point.voltage,
            breaker=point.breaker,
            phases=point.phases,
            cord_length=point.cord_length if cord and point.cord_length else 0.0,
            cord_resistance=float(section_resistance(point.cord_section)) if cord and point.cord_section else 0.0,
        ),
    )
    current, limit = float(found.current), float(found.continuous_limit)
    verdict: Verdict = "stop" if not found.breaker_carries else "ok" if bool(found.drop_is_small) else "caution"
    drop = f"drop in the cord {percent(float(found.drop_share))}" if cord else "cord not given"
    return Check(
        name="power supply",
        verdict=verdict,
        value=current,
        limit=limit,
        margin=limit - current,
        why=f"{shown(current, CURRENT, digits=2)} with all motors running, {shown(limit, CURRENT, digits=2)} may be "
        f"drawn for hours; {drop}. {found.statement}",
        governs="breaker" if verdict != "caution" else "cord",
        change="" if verdict == "ok" else "ask a licensed electrician: another circuit, a thicker or shorter cord",
        kind=CURRENT,
    )


def water_supply_check(situation: Situation) -> Check:
    """Does the water pressure suffice while the station draws the most it will?"""
    tap = situation.case.station.water_supply
    if tap is None:
        return unknown("water supply", "two readings of the gauge ([water_supply])",
                       "the pressure with nothing drawn, and again at a flow caught in a bucket")  # fmt: skip
    demand = _WASHING * situation.settings.water.mass_flow / WATER_DENSITY
    found = water_check(
        TapReadings(static=tap.static_pressure, running=tap.running_pressure, flow=tap.running_flow),
        WaterHose(length=0.0, bore=0.0127),
        demand=demand,
        minimum=tap.needed_pressure,
    )
    value = float(found.pressure)
    left, needed = (shown(pressure, PRESSURE, situation.system) for pressure in (max(value, 0.0), tap.needed_pressure))
    drawn = shown(demand, VOLUME_FLOW, situation.system)
    verdict: Verdict = "ok" if bool(found.enough) else "stop"
    return Check(
        name="water supply",
        verdict=verdict,
        value=value,
        limit=tap.needed_pressure,
        margin=float(found.margin),
        why=f"{left} left at {drawn}, about what washing out draws; {needed} needed. {found.statement}",
        governs="pressure at flow",
        change="" if verdict == "ok" else "a wider water hose, a tank and pump between, or less drawn elsewhere",
        kind=PRESSURE,
    )
