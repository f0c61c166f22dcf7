"""A plan from documents and toolpath: the one function that brings the parts together."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from evenbead.documents import Assumption
from evenbead.errors import InputRefused
from evenbead.plan.cautions import cautions_for
from evenbead.plan.checks import hopper_check, ratio_check, speed_checks, width_check
from evenbead.plan.demand import demand_of, layer_columns, progress_of
from evenbead.plan.fresh.all import fresh_checks
from evenbead.plan.fresh.conditions import day_of, require_bridged
from evenbead.plan.fresh.situation import Situation
from evenbead.plan.fresh.start_hour import best_start, start_hours
from evenbead.plan.materials import WASH_WATER_SOURCE, materials_for
from evenbead.plan.model import Plan, Weather
from evenbead.plan.running import running_time
from evenbead.plan.settings import expected_from, proportions_of, settings_for
from evenbead.plan.settling import settling_of
from evenbead.quantities import VOLUME, shown
from evenbead.toolpath.footprint import footprint_of, free_stretch_of
from evenbead.toolpath.intervals import intervals_of, layers_beneath
from evenbead.toolpath.layers import layers_of
from evenbead.toolpath.samples import looks_of
from evenbead.toolpath.timing import timing_of

if TYPE_CHECKING:
    from collections.abc import Iterator
    from datetime import datetime

    from evenbead.documents import Case
    from evenbead.plan.model import Demand, Expected, Materials
    from evenbead.quantities import UnitSystem
    from evenbead.toolpath.layers import Layers
    from evenbead.toolpath.model import Toolpath
    from evenbead.toolpath.timing import Timing


_LONGEST_PRINT = 100 * 86_400  # s


@dataclass(frozen=True, slots=True, kw_only=True)
class Prepared:
    """What plan and risk both start from."""

    timing: Timing
    layers: Layers
    demand: Demand
    expected: Expected
    situation: Situation


def prepared(case: Case, toolpath: Toolpath, *, system: UnitSystem = "metric") -> Prepared:
    """Times, layers, settings and the day's conditions of a print. Raises as `plan_day`."""
    bead, printing = case.job.bead, case.job.printing
    timing = timing_of(
        toolpath,
        speed=printing.speed,
        rapid_speed=printing.rapid_speed,
        acceleration=printing.acceleration,
        corner_deviation=printing.corner_deviation,
    )
    _require_a_day(timing, toolpath)
    size = {"bead_width": bead.width, "layer_height": bead.layer_height}
    looks = looks_of(toolpath, **size)
    layers = layers_of(toolpath, **size, looks=looks)
    demand = demand_of(toolpath, timing, layers, bead)
    proportions = proportions_of(case.mortar, case.station)
    try:
        settings = settings_for(case, proportions, flow=demand.flow.mean)
    except InputRefused as refused:
        raise case.in_station(refused) from None
    expected = expected_from(case, proportions, settings)
    settling = settling_of(case.station.mixer, case.station.hose, case.mortar.water_powder_ratio, flow=demand.flow.mean)
    require_bridged(case, duration=demand.duration)
    intervals = intervals_of(toolpath, timing, **size, acceleration=printing.acceleration, looks=looks)
    situation = Situation(
        case=case,
        day=day_of(case, settings, duration=demand.duration),
        layers=layer_columns(timing, layers, bead),
        intervals=intervals,
        settings=settings,
        settling=settling,
        proportions=proportions,
        beneath=layers_beneath(intervals, layers),
        footprint=lambda layer: footprint_of(toolpath, layers, layer, bead_width=bead.width),
        free_stretch=lambda layer: free_stretch_of(toolpath, layers, layer, bead_width=bead.width),
        system=system,
    )
    return Prepared(timing=timing, layers=layers, demand=demand, expected=expected, situation=situation)


def plan_day(case: Case, toolpath: Toolpath, *, made_at: datetime, system: UnitSystem = "metric") -> Plan:
    """A whole plan.

    Parameters
    ----------
    case : Case
        Job, station and mortar. [-]
    toolpath : Toolpath
        The print, with the bead switched. [-]
    made_at : datetime
        The time now. [-]
    system : "metric" or "us"
        Units of the words in it; its numbers are SI whichever. [-]

    Raises
    ------
    InputRefused
        The catches give no speeds, or the toolpath no times.
    """
    ready = prepared(case, toolpath, system=system)
    job, demand, settings, situation = case.job, ready.demand, ready.situation.settings, ready.situation
    settling, proportions = situation.settling, situation.proportions
    running = running_time(toolpath, ready.timing, pause_over=job.limits.pause_over)
    materials = materials_for(case, proportions, demand, settling, running)
    checks = (
        *speed_checks(settings, system),
        ratio_check(case, settings, ready.expected, system),
        width_check(case, toolpath, ready.timing, ready.layers, flow=demand.flow.mean, system=system),
        hopper_check(case, materials, powder_flow=settings.powder.mass_flow, system=system),
        *fresh_checks(situation),
    )
    hours = start_hours(situation, duration=demand.duration)
    return Plan(
        job=job.name,
        station=case.station.name,
        mortar=case.mortar.name,
        start=job.start,
        made_at=made_at,
        demand=demand,
        settings=settings,
        expected=ready.expected,
        settling=settling,
        materials=materials,
        checks=checks,
        layers=situation.layers,
        progress=progress_of(toolpath, ready.timing, job.bead),
        weather=Weather(
            time=situation.day.time,
            air_c=situation.day.air_c,
            fresh_c=situation.day.fresh_c if situation.day.fresh_known else None,
        ),
        start_hours=hours,
        best_start=best_start(hours),
        assumed=(*_assumed(case, toolpath, ready.timing, materials, system), *situation.day.assumed),
        notes=(f"when the bead is on: {toolpath.why}", *toolpath.notes),
        cautions=cautions_for(case.mortar),
    )


def _require_a_day(timing: Timing, toolpath: Toolpath) -> None:
    """Refuse a print so long that its speeds can't be meant."""
    if timing.total > _LONGEST_PRINT:
        days = timing.total / 86_400
        raise InputRefused.because(
            f"the print would take {days:.3g} days",
            expected=f"expected less than {_LONGEST_PRINT // 86_400}; look at the speeds and their unit",
            file=toolpath.source,
        )


def _assumed(
    case: Case, toolpath: Toolpath, timing: Timing, materials: Materials, system: UnitSystem
) -> Iterator[Assumption]:
    # The spreads matter only to the risk, which lists them itself.
    yield from (assumption for assumption in case.assumed(system) if ": spread." not in assumption.key)
    if case.job.printing.when is None:
        yield Assumption(key="job: printing.when", value="as the toolpath shows", source=toolpath.why)
    if case.job.printing.acceleration is None:
        yield Assumption(
            key="job: printing.acceleration", value="no limit", source="every speed is taken as reached at once"
        )
    if case.job.supply.wash_water is None:
        yield Assumption(
            key="job: supply.wash_water", value=shown(materials.wash_water, VOLUME, system), source=WASH_WATER_SOURCE
        )
    for words in timing.assumed:
        yield Assumption(key="toolpath: speed", value=words, source="nothing else is given")
