"""Will the layers bond: the interval at every place against the open time, and the drying of the surface.

No single interval is right for every mortar. The limit is the job's own, or what is left of the open time at the
temperature of the hour; the drying is reported beside it, by two formulas.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from evenbead.physics.drying import evaporation
from evenbead.physics.setting import open_time
from evenbead.plan.fresh.unknown import unknown
from evenbead.plan.model import Check
from evenbead.plan.spans import percent, span
from evenbead.quantities import DURATION, EVAPORATION, shown

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from evenbead.physics.drying import Evaporation
    from evenbead.plan.fresh.situation import Situation
    from evenbead.plan.model import Verdict

    Floats = NDArray[np.float64]


_COLDEST_FACE, _HOTTEST_FACE = -18.0, 80.0  # degC; where the formulas of drying end


def interval_limits(situation: Situation) -> tuple[Floats, str] | None:
    """The longest allowed interval at each covered place, by when it is covered, and what sets it. [s]

    Open time is that of the mortar as pumped: of one with accelerator mixed in near the nozzle it says nothing.
    """
    looks, limit = situation.intervals, situation.case.job.limits.layer_interval
    if limit is not None:
        return np.full(len(looks), limit), "limits.layer_interval"
    fresh = situation.case.mortar.fresh
    if fresh is None or fresh.open_time is None or situation.two_part:
        return None
    day = situation.day
    # Open time runs from water contact, so what was spent in chamber and hose is gone when the bead is laid.
    spent = situation.settling.age_at_nozzle
    laid = day.time[day.printing]
    left = np.asarray(open_time(day.warm, at_reference=fresh.open_time, since=laid - spent, rate=day.rate)) - spent
    at_place = np.interp(looks.laid - looks.interval, laid, np.maximum(left, 0.0))
    return at_place, "open time at the hour's temperature"


def interval_check(situation: Situation) -> Check:
    """Is every bead covered while it can still bond?"""
    looks = situation.intervals
    if not len(looks):
        return Check(
            name="interval", verdict="ok", value=0.0, limit=None, margin=None,
            why="no bead is covered by another", governs="one layer", kind=DURATION,
        )  # fmt: skip
    limits = interval_limits(situation)
    longest = float(looks.interval[looks.longest])
    if limits is None:
        missing = "the open time (fresh.open_time) or limits.layer_interval"
        if situation.two_part:
            missing = "limits.layer_interval: by how much the accelerator shortens the open time is not known"
        return unknown("interval", missing, "lay test beads, cover them after rising times, pull them apart")
    allowed, source = limits
    left = allowed - looks.interval
    worst = int(np.argmin(left))
    limit, value = float(allowed[worst]), float(looks.interval[worst])
    over = float(looks.length[left < 0].sum()) / max(float(looks.length.sum()), 1e-9)
    verdict: Verdict = "stop" if left[worst] < 0 else "caution" if value > 0.75 * limit else "ok"
    why = f"longest {span(longest)}, allowed {span(limit)} by {source}"
    if over > 0:
        why += f"; {percent(over)} of the covered length is later than that"
    return Check(
        name="interval",
        verdict=verdict,
        value=value,
        limit=limit,
        margin=float(left[worst]),
        why=why,
        governs=source,
        change=""
        if verdict == "ok"
        else "print faster, cool the mortar, split the layer, or treat the joint as agreed",
        kind=DURATION,
    )


def face_drying(*, mortar_c: Floats, air_c: Floats, humidity: Floats, wind: Floats) -> Evaporation:
    """Drying of the fresh face, also where balance, frost or doubt leave the formulas: the heat check says that."""
    mortar_c, air_c = (np.clip(reading, _COLDEST_FACE, _HOTTEST_FACE) for reading in (mortar_c, air_c))
    return evaporation(mortar_temp_c=mortar_c, air_temp_c=air_c, humidity=humidity, wind=wind)


def drying_check(situation: Situation) -> Check:
    """Does the fresh surface dry too fast?"""
    day, limit = situation.day, situation.case.job.limits.evaporation
    if day.air_c is None or day.humidity is None or day.wind is None:
        return unknown("drying", "air temperature, humidity and wind over the whole print ([[weather]])",
                       "a weather meter beside the print, every hour")  # fmt: skip
    lost = face_drying(mortar_c=day.fresh_c, air_c=day.air_c, humidity=day.humidity, wind=day.wind)
    higher = np.where(day.printing, np.asarray(lost.higher), -np.inf)
    worst = int(np.argmax(higher))
    value = float(higher[worst])
    uno, menzel = (
        shown(float(np.asarray(rate)[worst]), EVAPORATION, situation.system, digits=2)
        for rate in (lost.uno, lost.menzel)
    )
    verdict: Verdict = "ok" if value <= limit else "caution" if value <= 2 * limit else "stop"
    return Check(
        name="drying",
        verdict=verdict,
        value=value,
        limit=limit,
        margin=limit - value,
        why=f"at most {uno} by Uno, {menzel} by Menzel, {span(float(day.time[worst]))} into the print; "
        f"{shown(limit, EVAPORATION, situation.system, digits=2)} allowed",
        governs="wind, sun and humidity",
        change=""
        if verdict == "ok"
        else "another start hour, shade and a wind break, mist or cover the top layer, cooler mortar",
        kind=EVAPORATION,
    )
