"""The fastest print that keeps every probability of failure under a wanted level."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from evenbead.physics.draws import balanced_count, drawn
from evenbead.plan.risk.feeds import allowed_paces
from evenbead.plan.risk.inputs import distributions
from evenbead.plan.risk.rooms import LIMITS, MOVED_BY_PACE, rooms

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping

    from numpy.typing import NDArray

    from evenbead.plan.model import Expected
    from evenbead.plan.risk.trial import Trial

    Floats = NDArray[np.float64]

_FASTEST, _SLOWEST, _STEPS = 0.2, 10.0, 64
_CLOSE = 0.005  # of the pace found; the steps looked at before lie 6 % apart


@dataclass(frozen=True, slots=True, kw_only=True)
class Suggestion:
    """A pace: every time between layers multiplied by it, the print speed divided."""

    wanted: float
    pace: float | None
    """None where no pace looked at keeps every probability that low."""
    binding: str
    """The limit that stops it from being faster, or that no pace keeps; "feeds" where a motor runs at its fastest,
    and empty where nothing stops it at any pace looked at."""
    probability: float
    """Of that limit, at the pace or, without one, at the pace where it is least."""
    apart: Mapping[str, float]
    """Limits that no pace keeps, with the least probability of each: the pace is not what passes them."""
    pace_of_rest: float | None
    """The least pace that keeps all other limits; the pace itself where none stands apart."""


def fastest(trial: Trial, expected: Expected, *, wanted: float, draws: int, seed: int) -> Suggestion:
    """The least pace at which each failure is no more probable than wanted, by the same draws at every pace."""
    values = drawn(distributions(trial.situation, expected), count=balanced_count(draws), seed=seed)
    quickest, slowest = allowed_paces(trial.situation.settings)
    first, last = max(quickest, _FASTEST), min(slowest, _SLOWEST)
    if not first <= last:
        return Suggestion(wanted=wanted, pace=None, binding="feeds", probability=1.0, apart={}, pace_of_rest=None)
    paces = np.geomspace(first, last, _STEPS)
    still = _risks(trial, values, 1.0, [name for name in LIMITS if name not in MOVED_BY_PACE])
    moved = [_risks(trial, values, float(pace), MOVED_BY_PACE) for pace in paces]
    least = still | {name: min(risks[name] for risks in moved) for name in moved[0]}
    apart = {name: risk for name, risk in least.items() if risk > wanted}
    rest = [name for name in moved[0] if name not in apart]
    worst = [_worst({name: risks[name] for name in rest}) for risks in moved]
    good = [place for place, (risk, _) in enumerate(worst) if risk <= wanted]
    if not good:  # each limit has paces that keep it, but no pace keeps them all
        risk, name = min(worst)
        return Suggestion(wanted=wanted, pace=None, binding=name, probability=risk, apart=apart, pace_of_rest=None)
    if good[0] == 0:
        found = _Found(pace=first, binding="feeds" if quickest > _FASTEST else "", probability=worst[0][0])
    else:
        found = _between(trial, values, wanted, paces[good[0] - 1 : good[0] + 1], rest)
    if not apart:
        return Suggestion(
            wanted=wanted, pace=found.pace, binding=found.binding, probability=found.probability, apart={},
            pace_of_rest=found.pace,
        )  # fmt: skip
    risk, name = _worst(apart)
    return Suggestion(wanted=wanted, pace=None, binding=name, probability=risk, apart=apart, pace_of_rest=found.pace)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Found:
    pace: float
    binding: str
    probability: float


def _between(trial: Trial, values: Mapping[str, Floats], wanted: float, ends: Floats, limits: list[str]) -> _Found:
    """The pace between one that fails and one that keeps all limits, and which of them binds there."""
    low, high = float(ends[0]), float(ends[1])
    failing = _risks(trial, values, low, limits)
    while high > low * (1 + _CLOSE):
        middle = math.sqrt(low * high)
        tried = _risks(trial, values, middle, limits)
        if _worst(tried)[0] <= wanted:
            high = middle
        else:
            low, failing = middle, tried
    binding = _worst(failing)[1]
    return _Found(pace=high, binding=binding, probability=_risks(trial, values, high, [binding])[binding])


def _worst(risks: Mapping[str, float]) -> tuple[float, str]:
    """The most probable failure; none where there is none to look at."""
    return max(((risk, name) for name, risk in risks.items()), default=(0.0, ""))


def _risks(trial: Trial, values: Mapping[str, Floats], pace: float, limits: Iterable[str]) -> dict[str, float]:
    found = rooms(trial, values, pace=pace, limits=limits)
    return {name: float(np.mean(room < 0)) for name, room in found.items()}
