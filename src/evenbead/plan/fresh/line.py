"""Can it be pumped, and for how long may it stand: hose pressure, open time in the line, the longest safe pause."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from evenbead.physics.mixture import fresh_density
from evenbead.physics.pumping import FlowCurve, pressure_for_flow
from evenbead.physics.pumping_lines import Stretch, longest_pause_along, static_head
from evenbead.physics.setting import open_time
from evenbead.plan.fresh.bond import interval_limits
from evenbead.plan.fresh.situation import law_of
from evenbead.plan.fresh.unknown import unknown
from evenbead.plan.model import Check
from evenbead.plan.spans import span
from evenbead.quantities import DURATION, PRESSURE, shown

if TYPE_CHECKING:
    from collections.abc import Iterator

    from numpy.typing import NDArray

    from evenbead.plan.fresh.situation import Situation
    from evenbead.plan.model import Verdict

    Floats = NDArray[np.float64]

ACCELERATED = 600.0
"""How long mortar with accelerator may stand in the line before it is cleaned. [s]  Common practice, no source."""
_EASY = 0.7  # share of the hose's limit up to which nothing is said (common practice, no source)


def hose_pressure_check(situation: Situation) -> Check:
    """Does pumping at the plan's flow stay below what the hose bears?"""
    hose, fresh = situation.case.station.hose, situation.case.mortar.fresh
    if fresh is None or fresh.yield_stress is None or fresh.plastic_viscosity is None:
        return unknown(
            "hose pressure",
            "yield stress and plastic viscosity (fresh.yield_stress, fresh.plastic_viscosity)",
            "the pressure gauge at three flows gives both",
        )
    if hose.pressure_limit is None:
        return unknown(
            "hose pressure", "what the hose bears (hose.pressure_limit)", "read it off hose, couplings and pump"
        )
    flowing = fresh.dynamic_yield_stress or fresh.yield_stress
    curve = FlowCurve(yield_stress=flowing, consistency=fresh.plastic_viscosity)
    friction = float(pressure_for_flow(situation.settings.flow, length=hose.length, bore=hose.bore, curve=curve))
    value = friction + head_pressure(situation)
    limit = hose.pressure_limit
    verdict: Verdict = "ok" if value <= _EASY * limit else "caution" if value <= limit else "stop"
    return Check(
        name="hose pressure",
        verdict=verdict,
        value=value,
        limit=limit,
        margin=limit - value,
        why=f"{shown(value, PRESSURE, situation.system)} at the mean flow without a lubricating layer, "
        f"the hose bears {shown(limit, PRESSURE, situation.system)}",
        governs="yield stress" if 4 * flowing * hose.length / hose.bore > friction / 2 else "plastic viscosity",
        change="" if verdict == "ok" else "a shorter or wider hose, wetter or fresher mortar, less flow",
        kind=PRESSURE,
    )


def head_pressure(situation: Situation) -> float:
    """What the mortar standing in the rising hose brings on the pump. [Pa]"""
    density = float(fresh_density(situation.proportions))
    return float(static_head(rise=situation.case.station.hose.rise, density=density))


def line_age_check(situation: Situation) -> Check:
    """Is the mortar still open when it leaves the nozzle, at the warmest hour?"""
    fresh, day = situation.case.mortar.fresh, situation.day
    age = situation.settling.age_at_nozzle
    if fresh is None or fresh.open_time is None:
        return unknown("open time in line", "the open time (fresh.open_time)",
                       f"how long a sample stays printable; the line takes {span(age)} of it")  # fmt: skip
    mixed = day.time[day.printing]
    open_for = np.asarray(open_time(day.warm, at_reference=fresh.open_time, since=mixed, rate=day.rate))
    limit = float(open_for.min())
    verdict: Verdict = "ok" if age <= limit / 2 else "caution" if age <= limit else "stop"
    settling = situation.settling
    return Check(
        name="open time in line",
        verdict=verdict,
        value=age,
        limit=limit,
        margin=limit - age,
        why=f"{span(age)} from water contact to nozzle, open for {span(limit)} at the warmest hour of the print",
        governs="hose volume" if settling.hose_volume > settling.chamber_volume else "chamber volume",
        change="" if verdict == "ok" else "a shorter or thinner hose, more flow, cooler mortar",
        kind=DURATION,
    )


def pause_limits(situation: Situation) -> Iterator[tuple[float, str]]:
    """Everything that limits a pause at its worst moment, each with its name. [s]"""
    mortar, station, day = situation.case.mortar, situation.case.station, situation.day
    fresh = mortar.fresh
    mixed = day.time[day.printing]
    hose = station.hose
    if fresh and fresh.yield_stress is not None and fresh.growth is not None and hose.pressure_limit is not None:
        line = Stretch(
            length=max(hose.length, 1e-3), bore=hose.bore, yield_stress=fresh.yield_stress, growth=law_of(fresh.growth)
        )
        rest = longest_pause_along(
            [line],
            limit=hose.pressure_limit,
            history=day.warm,
            since=mixed,
            rate=day.rate,
            head=head_pressure(situation),
        )
        yield float(np.min(rest)), "restart pressure"
    if fresh and fresh.open_time is not None:
        open_for = np.asarray(open_time(day.warm, at_reference=fresh.open_time, since=mixed, rate=day.rate))
        yield float(open_for.min()) - situation.settling.age_at_nozzle, "open time of the mortar in the line"
    if situation.two_part and mortar.accelerator:
        given = mortar.accelerator.pause_limit
        by = "supplier's limit" if given is not None else "common practice (no source; the supplier's limit not given)"
        yield (ACCELERATED if given is None else given), f"{by} with accelerator mixed in"
    limits = interval_limits(situation)
    if limits is not None and len(situation.intervals):
        yield float((limits[0] - situation.intervals.interval).min()), "layer interval at the wall"


def not_counted(situation: Situation) -> list[str]:
    """The limits of a pause that can't be told, each with what is missing."""
    fresh, hose = situation.case.mortar.fresh, situation.case.station.hose
    missing = []
    if fresh is None or fresh.yield_stress is None or fresh.growth is None or hose.pressure_limit is None:
        missing.append("restart pressure (fresh.yield_stress, fresh.growth, hose.pressure_limit)")
    if fresh is None or fresh.open_time is None:
        missing.append("open time in the line (fresh.open_time)")
    return missing


def pause_check(situation: Situation) -> Check:
    """How long may the print stand still, whenever it happens?"""
    wanted = situation.case.job.limits.pause
    limits = list(pause_limits(situation))
    found = [limit for limit in limits if np.isfinite(limit[0])]
    missing = not_counted(situation)
    if not found or len(missing) > 1:
        named = " and ".join(missing) or "anything that could limit it"
        known = f"; {min(found)[1]} alone allows {span(max(min(found)[0], 0.0))}" if found else ""
        return unknown("pause", f"{named}{known}", "ask the supplier first; then see the other checks")
    longest, governs = min(found)
    longest = max(longest, 0.0)
    verdict: Verdict = "ok" if longest >= wanted else "caution" if longest >= wanted / 2 else "stop"
    others = ", ".join(f"{name} {span(max(limit, 0.0))}" for limit, name in sorted(found)[1:])
    return Check(
        name="pause",
        verdict=verdict,
        value=longest,
        limit=wanted,
        margin=longest - wanted,
        why=f"{span(longest)} at the worst moment, by {governs}"
        + (f" (others: {others})" if others else "")
        + (f"; not counted: {missing[0]}" if missing else "")
        + f"; {span(wanted)} must be borne. Longer: stop and clean",
        governs=governs,
        change=""
        if verdict == "ok"
        else "cooler mortar, a shorter or wider hose, faster layers, and people who know the limit",
        kind=DURATION,
    )
