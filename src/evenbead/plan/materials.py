"""What must be on site: powder, water, accelerator, and when the hopper wants bags."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from evenbead.physics.mixture import mass_flows, powder_for, water_per_bag
from evenbead.plan.model import Litres, Materials, Refill

if TYPE_CHECKING:
    from evenbead.documents import Case
    from evenbead.physics.mixture import Proportions
    from evenbead.plan.model import Demand, Settling
    from evenbead.plan.running import Running

_WASH_CONTENTS = 3  # contents of hose and chamber

WASH_WATER_SOURCE = "common practice, no source: three contents of hose and chamber"


def materials_for(
    case: Case, proportions: Proportions, demand: Demand, settling: Settling, running: Running
) -> Materials:
    """Everything to order and carry, and the refill times."""
    flow, supply = demand.flow.mean, case.job.supply
    held = settling.hose_volume + settling.chamber_volume
    off_bead = flow * max(running.total - demand.on_time, 0.0)
    needed = demand.printed_volume + settling.start_waste + held + off_bead
    powder_needed = float(powder_for(proportions, needed))
    first_fill, schedule, lowest = refills(
        case,
        powder_needed=powder_needed,
        powder_before=float(powder_for(proportions, settling.start_waste + held)),
        powder_flow=float(mass_flows(proportions, flow).powder),
        running=running,
    )
    # The spare must at least keep the hopper above its level to the end; that powder is not lost, but must be there.
    spare_powder = max(supply.allowance * powder_needed, case.station.hopper.refill_at)
    powder = powder_needed + spare_powder
    return Materials(
        litres=Litres(
            printed=demand.printed_volume,
            start_waste=settling.start_waste,
            held=held,
            off_bead=off_bead,
            spare=needed * spare_powder / powder_needed,
        ),
        powder=powder,
        bag=case.mortar.bag,
        bags=_bags(powder / case.mortar.bag),
        water=powder * case.mortar.water_powder_ratio.target,
        water_per_bag=float(water_per_bag(case.mortar.bag, case.mortar.water_powder_ratio.target)),
        accelerator=powder * float(proportions.accelerator_dose),
        first_fill=first_fill,
        refills=schedule,
        lowest_hopper=lowest,
        wash_water=supply.wash_water if supply.wash_water is not None else _WASH_CONTENTS * held,
    )


def refills(
    case: Case, *, powder_needed: float, powder_before: float, powder_flow: float, running: Running
) -> tuple[int, tuple[Refill, ...], float]:
    """Bags in the hopper at first, the refills, and the lowest level when each refill is made in time. [kg]

    The hopper is filled with whole bags before the station starts. It starts early enough to have wetted out, settled
    and filled the hose when the print begins: refills in that time have times before the print. Whenever the level has
    come down to where it must not fall below, as many bags go in as there is room for, but never more than the
    print still needs.
    """
    hopper, bag = case.station.hopper, case.mortar.bag
    to_supply = _bags((powder_needed + hopper.refill_at) / bag)
    first = min(_whole(hopper.capacity / bag), to_supply)
    level, supplied = first * bag, first
    lowest = level
    schedule: list[Refill] = []
    run = -powder_before / powder_flow
    per_refill = _whole((hopper.capacity - hopper.refill_at) / bag)
    while supplied < to_supply and per_refill > 0:
        wait = max((level - hopper.refill_at) / powder_flow, 0.0)
        if run + wait > running.total:
            break
        run += wait
        level -= wait * powder_flow
        lowest = min(lowest, level)
        bags = min(_whole((hopper.capacity - level) / bag), to_supply - supplied)
        schedule.append(Refill(at=running.when(run), bags=bags))
        level += bags * bag
        supplied += bags
    lowest = max(min(lowest, level - (running.total - run) * powder_flow), 0.0)
    return first, tuple(schedule), lowest


def _whole(bags: float) -> int:
    """Whole bags there is room for; a room of 1.9999999 bags holds two."""
    return math.floor(bags + 1e-9)


def _bags(bags: float) -> int:
    """Whole bags that hold this much; 2.0000001 bags are two."""
    return math.ceil(bags - 1e-9)
