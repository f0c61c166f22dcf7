"""The risk of a day: thousands of days drawn, failures counted, inputs ranked by what knowing them would tell."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from evenbead.physics.draws import balanced_count, drawn
from evenbead.physics.outcomes import probability_of
from evenbead.physics.worth import worth_of_measuring
from evenbead.plan.risk.inputs import INPUTS, distributions
from evenbead.plan.risk.rooms import LIMITS, STOPS_THE_PRINT, rooms

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
    finishing: Chance | None
    """That the wall stands and the hose bears it to the end, as far as these can be told; None where none can."""
    all_kept: Chance
    """That no limit is passed of those that can be told."""
    worth: tuple[Worth, ...]
    """Inputs, the most telling first."""
    always: tuple[str, ...]
    """Limits passed in every draw: no measurement tells anything about them."""


def risk_of(trial: Trial, expected: Expected, *, draws: int, seed: int) -> Risk:
    """The risk by so many draws, rounded up to a power of two; the same for the same seed."""
    count = balanced_count(draws)
    values = drawn(distributions(trial.situation, expected), count=count, seed=seed)
    found = rooms(trial, values)
    failed = {name: np.asarray(room < 0) for name, room in found.items()}
    stopping = [failed[name] for name in STOPS_THE_PRINT if name in failed]
    always = tuple(name for name, flags in failed.items() if flags.all())
    doubtful = [flags for name, flags in failed.items() if name not in always]
    return Risk(
        draws=count,
        seed=seed,
        failures={name: probability_of(flags) for name, flags in failed.items()},
        unknown=tuple(name for name in LIMITS if name not in found),
        finishing=probability_of(~np.logical_or.reduce(stopping)) if stopping else None,
        all_kept=probability_of(~np.logical_or.reduce(list(failed.values()))),
        worth=_worth(values, np.logical_or.reduce(doubtful)) if doubtful else (),
        always=always,
    )


def _worth(values: dict[str, Floats], failed: NDArray[np.bool_]) -> tuple[Worth, ...]:
    """Which single measurement would tell most about whether the day fails; empty where it never or always does."""
    if failed.all() or not failed.any():
        return ()
    moving = {name: column for name, column in values.items() if np.ptp(column) > 0}
    ranked = worth_of_measuring(moving, failed)
    by_name = {known.name: known for known in INPUTS}
    return tuple(Worth(input=by_name[found.name], explained=found.explained) for found in ranked)
