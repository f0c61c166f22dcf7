"""How likely each failure is, which measurement would tell most, and where there is room to work."""

from evenbead.plan.risk.inputs import INPUTS, distributions
from evenbead.plan.risk.rooms import LIMITS, STOPS_THE_PRINT, rooms
from evenbead.plan.risk.study import Risk, risk_of
from evenbead.plan.risk.suggestion import Suggestion, fastest
from evenbead.plan.risk.trial import Trial, trial_of
from evenbead.plan.risk.window import Window, window_of

__all__ = [
    "INPUTS",
    "LIMITS",
    "STOPS_THE_PRINT",
    "Risk",
    "Suggestion",
    "Trial",
    "Window",
    "distributions",
    "fastest",
    "risk_of",
    "rooms",
    "trial_of",
    "window_of",
]
