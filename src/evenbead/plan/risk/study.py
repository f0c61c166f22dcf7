"""The risk of a day: thousands of days drawn, failures counted, inputs ranked by what knowing them would tell."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from evenbead.physics.draws import balanced_count, drawn
from evenbead.physics.outcomes import probability_of
from evenbead.physics.uncertainty import Estimate
from evenbead.physics.worth import worth_of_measuring
from evenbead.plan.risk.inputs import INPUTS, distributions
from evenbead.plan.risk.rooms import LIMITS, STOPS_THE_PRINT, rooms

if TYPE_CHECKING:
    from collections.abc import Mapping

    from numpy.typing import NDArray

    from evenbead.physics.outcomes import Chance
    from evenbead.plan.model import Expected
    from evenbead.plan.risk.inputs import Input
    from evenbead.plan.risk.trial import Trial

    Floats = NDArray[np.float64]

_NEARLY_ALWAYS = 0.99


@dataclass(frozen=True, slots=True, kw_only=True)
class Worth:
    """What knowing one input would tell about which limits the day keeps."""

    input: Input
    explained: Estimate
    """Share of the doubt that would go: of the variances p(1 - p) of all limits together. [1]"""


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
    """Limits passed in nearly every draw: hardly any measurement would tell otherwise."""


def risk_of(trial: Trial, expected: Expected, *, draws: int, seed: int) -> Risk:
    """The risk by so many draws, rounded up to a power of two; the same for the same seed."""
    count = balanced_count(draws)
    values = drawn(distributions(trial.situation, expected), count=count, seed=seed)
    found = rooms(trial, values)
    failed = {name: np.asarray(room < 0) for name, room in found.items()}
    stopping = [failed[name] for name in STOPS_THE_PRINT if name in failed]
    return Risk(
        draws=count,
        seed=seed,
        failures={name: probability_of(flags) for name, flags in failed.items()},
        unknown=tuple(name for name in LIMITS if name not in found),
        finishing=probability_of(~np.logical_or.reduce(stopping)) if stopping else None,
        all_kept=probability_of(~np.logical_or.reduce(list(failed.values()))),
        worth=_worth(values, failed),
        always=tuple(name for name, flags in failed.items() if flags.mean() > _NEARLY_ALWAYS),
    )


def _worth(values: Mapping[str, Floats], failed: Mapping[str, NDArray[np.bool_]]) -> tuple[Worth, ...]:
    """Which single measurement would tell most about which limits are kept; empty where nothing is in doubt.

    Each limit counts by its own variance: asked only whether the day fails, a limit that is nearly always passed would
    hide all others.
    """
    doubtful = [flags for flags in failed.values() if flags.any() and not flags.all()]
    moving = {name: column for name, column in values.items() if np.ptp(column) > 0}
    if not doubtful or not moving:
        return ()
    weights = np.array([np.var(flags) for flags in doubtful])
    told = [{found.name: found.explained for found in worth_of_measuring(moving, flags)} for flags in doubtful]
    shares = {
        known: _weighted_mean([found[known.name] for found in told], weights)
        for known in INPUTS
        if known.name in moving
    }
    ranked = sorted(shares, key=lambda known: -float(shares[known].value))
    return tuple(Worth(input=known, explained=shares[known]) for known in ranked)


def _weighted_mean(estimates: list[Estimate], weights: Floats) -> Estimate:
    """Mean by weights of estimates from the same draws; their doubts add without canceling, the cautious side."""
    shares = weights / weights.sum()
    values, doubts = ([float(getattr(found, name)) for found in estimates] for name in ("value", "u"))
    return Estimate(value=float(shares @ values), u=float(shares @ doubts))
