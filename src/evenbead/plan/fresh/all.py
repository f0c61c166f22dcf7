"""Every check of the fresh mortar, in the order in which people ask."""

from __future__ import annotations

from typing import TYPE_CHECKING

from evenbead.plan.fresh.bond import drying_check, interval_check
from evenbead.plan.fresh.line import hose_pressure_check, line_age_check, pause_check
from evenbead.plan.fresh.supplies import power_supply_check, water_supply_check
from evenbead.plan.fresh.wall import buckling_check, collapse_check
from evenbead.plan.fresh.warmth import cooling_check, fresh_temperature_check

if TYPE_CHECKING:
    from evenbead.plan.fresh.situation import Situation
    from evenbead.plan.model import Check


def fresh_checks(situation: Situation) -> tuple[Check, ...]:
    """The answers for one situation."""
    return tuple(
        check(situation)
        for check in (
            collapse_check,
            buckling_check,
            interval_check,
            drying_check,
            hose_pressure_check,
            line_age_check,
            pause_check,
            fresh_temperature_check,
            cooling_check,
            power_supply_check,
            water_supply_check,
        )
    )
