"""The fastest print that keeps every probability of failure under a wanted level."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from evenbead.physics.draws import balanced_count, drawn
from evenbead.plan.risk.inputs import distributions
from evenbead.plan.risk.trial import LIMITS, rooms

if TYPE_CHECKING:
    from evenbead.plan.model import Expected
    from evenbead.plan.risk.trial import Trial

_FASTEST, _SLOWEST, _STEPS = 0.2, 10.0, 40


@dataclass(frozen=True, slots=True, kw_only=True)
class Suggestion:
    """A pace: every time between layers multiplied by it, the print speed divided."""

    wanted: float
    pace: float | None
    """None where no pace looked at keeps every probability that low."""
    binding: str
    """The limit that stops it from being faster, or that no pace keeps."""
    probability: float
    """Of that limit, at the pace or, without one, at the pace where it is least."""


def fastest(trial: Trial, expected: Expected, *, wanted: float, draws: int, seed: int) -> Suggestion:
    """The least pace at which each failure is rarer than wanted, by the same draws at every pace."""
    values = drawn(distributions(trial.situation, expected), count=balanced_count(draws), seed=seed)
    paces = np.geomspace(_FASTEST, _SLOWEST, _STEPS)
    risks = [_risks(trial, values, pace) for pace in paces]
    worst = np.array([max(risk.values()) for risk in risks])
    good = np.flatnonzero(worst <= wanted)
    if not len(good):
        least = int(np.argmin(worst))
        name = max(risks[least], key=lambda limit: risks[least][limit])
        return Suggestion(wanted=wanted, pace=None, binding=name, probability=float(worst[least]))
    first = int(good[0])
    before = risks[first - 1] if first else risks[first]
    name = max(before, key=lambda limit: before[limit])
    return Suggestion(wanted=wanted, pace=float(paces[first]), binding=name, probability=risks[first][name])


def _risks(
    trial: Trial, values: dict[str, np.ndarray[tuple[int], np.dtype[np.float64]]], pace: float
) -> dict[str, float]:
    found = rooms(trial, values, pace=pace)
    return {name: float(np.mean(found[name] < 0)) for name in LIMITS if name in found}
