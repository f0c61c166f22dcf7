"""Before the print: what the day asks of the station, and how far to trust it."""

from evenbead.plan.contract import as_contract, layer_rows
from evenbead.plan.day import plan_day
from evenbead.plan.model import Check, Plan

__all__ = ["Check", "Plan", "as_contract", "layer_rows", "plan_day"]
