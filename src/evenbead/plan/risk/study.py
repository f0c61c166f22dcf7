"""The risk of a day: thousands of days drawn, failures counted, inputs ranked by what knowing them would tell."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from evenbead.physics.draws import balanced_count, drawn
from evenbead.physics.outcomes import probability_of
from evenbead.physics.worth import worth_of_measuring
from evenbead.plan.risk.inputs import INPUTS, distributions
from evenbead.plan.risk.trial import LIMITS, STOPS_THE_PRINT, rooms

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from evenbead.physics.outcomes import Chance
    from evenbead.physics.uncertainty import Estimate
    from evenbead.plan.model import Expected
    from evenbead.plan.risk.inputs import Input
    from evenbead.plan.risk.trial import Trial

    Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True)
class Worth:
    """What knowing one input would tell about whether the day fails."""

    input: Input
    explained: Estimate
    """Share of the doubt that would go. [1]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Risk:
    """Probabilities of a day, each with the interval that the number of draws leaves."""

    draws: int
    seed: int
    failures: dict[str, Chance]
    unknown: tuple[str, ...]
    """Limits that can't be told, because something was not measured."""
    finishing: Chance
    """That the wall stands and the hose bears it to the end."""
    all_kept: Chance
    """That no limit is passed at all."""
    worth: tuple[Worth, ...]
    """Inputs, the most telling first."""


def risk_of(trial: Trial, expected: Expected, *, draws: int, seed: int) -> Risk:
    """The risk by so many draws, rounded up to a power of two; the same for the same seed."""
    count = balanced_count(draws)
    values = drawn(distributions(trial.situation, expected), count=count, seed=seed)
    found = rooms(trial, values)
    failed = {name: np.asarray(found[name] < 0) for name in LIMITS if name in found}
    stopped = np.zeros(count, bool)
    for name in STOPS_THE_PRINT:
        stopped |= failed.get(name, stopped)
    any_failed = np.logical_or.reduce(list(failed.values()))
    return Risk(
        draws=count,
        seed=seed,
        failures={name: probability_of(flags) for name, flags in failed.items()},
        unknown=tuple(name for name in LIMITS if name not in found),
        finishing=probability_of(~stopped),
        all_kept=probability_of(~any_failed),
        worth=_worth(values, any_failed),
    )


def _worth(values: dict[str, Floats], failed: NDArray[np.bool_]) -> tuple[Worth, ...]:
    """Which single measurement would tell most about whether the day fails; empty where it never or always does."""
    if failed.all() or not failed.any():
        return ()
    moving = {name: column for name, column in values.items() if np.ptp(column) > 0}
    ranked = worth_of_measuring(moving, failed)
    by_name = {known.name: known for known in INPUTS}
    return tuple(Worth(input=by_name[found.name], explained=found.explained) for found in ranked)
