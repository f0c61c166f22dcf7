"""Which measurement would tell most, from the draws of a simulation that was made anyway: no further run is needed.

The draws are sorted by one input and cut into bins. What differs from bin to bin is what that input explains of a
result (the first-order share of `sensitivity`); what scatters within a bin is left to the others.

A failure seen in some of the draws is a guess between going ahead and giving up. Knowing one input exactly splits the
draws into those where it now looks better and those where it looks worse. How far they part is what knowing it is
worth, whether or not anything is decided by it; how much less is lost by deciding afterwards is what it saves.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from evenbead.errors import NotPossible
from evenbead.physics.ranges import within
from evenbead.physics.uncertainty import Estimate

if TYPE_CHECKING:
    from collections.abc import Mapping

    from numpy.typing import ArrayLike, NDArray

    Floats = NDArray[np.float64]
    Bools = NDArray[np.bool_]
    Indexes = NDArray[np.intp]

_FEWEST_DRAWS = 64
# Bins are this power of the number of draws: more would follow chance, fewer would miss the shape. Decisions are upset
# by chance more easily than a variance, and get fewer. Ours, by trial.
_BINS_TO_EXPLAIN = 0.4
_BINS_TO_DECIDE = 1 / 3
_SMALLEST_BIN = 8


@dataclass(frozen=True, slots=True, kw_only=True)
class Worth:
    """What knowing one input exactly would do to the doubt whether it fails.

    Attributes
    ----------
    name : str
        The input. [-]
    explained : Estimate
        Share of the variance p(1 - p) of failing or not that would vanish on average: 0 tells nothing, 1 all. [1]
    saved : float
        By how much the expected loss would fall, as a share of what a failure costs. [1]
    failing_rank : float
        Mean rank of the input among the draws that fail, from 0 (they all have the lowest values) over 0.5 (no matter)
        to 1 (the highest). [1]
    """

    name: str
    explained: Estimate
    saved: float
    failing_rank: float


def first_order_from_draws(inputs: Mapping[str, ArrayLike], result: ArrayLike) -> dict[str, Estimate]:
    """First-order shares of the variance of a result, from draws that were made anyway.

    The draws are sorted by an input and cut into bins of equally many. The share is the variance of the means of the
    bins over that of the result, less what chance alone puts there (ε², an adjusted correlation ratio).

    Parameters
    ----------
    inputs : mapping of (n,) arrays
        Draws of each input by name; a noisy reading of one may stand for it, and then shows what that reading would
        tell. [-]
    result : (n,) array
        The result of each draw. [-]

    Returns
    -------
    shares : dict of Estimate
        By name; zero for an input that never changes. The uncertainty is that due to the number of draws. [1]

    Raises
    ------
    NotPossible
        Too few draws, or a result that never changes.

    Valid for: inputs with many different values. Correlated inputs share what they explain, which then counts for
    each. With ten thousand draws about half a hundredth is lost to the width of the bins, and as much again with points
    of Sobol's sequence, in which there is less of chance to take off.

    Source: [Plischke2013] and [Kelley1935].

    Examples
    --------
    >>> from evenbead.physics.draws import unit_points
    >>> points = unit_points(["a", "b"], count=16_384, seed=1)
    >>> shares = first_order_from_draws(points, points["a"] + 2.0 * points["b"])
    >>> round(shares["a"].value, 2), round(shares["b"].value, 2)
    (0.20, 0.80)
    """
    results = _finite(np.asarray(result, np.float64))
    columns = {name: _column(name, column, results) for name, column in inputs.items()}
    if len(results) < _FEWEST_DRAWS:
        raise NotPossible(f"{len(results)} draws show no pattern: take at least {_FEWEST_DRAWS}")
    if np.ptp(results) == 0.0:
        raise NotPossible("the result is the same in every draw: there is no scatter to explain")
    return {name: _explained(column, results) for name, column in columns.items()}


def worth_of_measuring(
    inputs: Mapping[str, ArrayLike], failed: ArrayLike, *, tolerated: float = 0.5
) -> tuple[Worth, ...]:
    """What each input would be worth to know, the most telling first.

    A measurement that leaves a doubt is worth less. To see how much, give its reading in place of the input: the drawn
    value plus a draw of the error of the instrument.

    Parameters
    ----------
    inputs : mapping of (n,) arrays
        Draws of each input by name. [-]
    failed : (n,) bool array
        Whether that draw fails. [-]
    tolerated : float
        Probability of failing at which going ahead and giving up are worth the same. At one half, `saved` is the
        share of wrong decisions avoided; smaller the dearer a failure is against giving up for nothing. [1]

    Returns
    -------
    ranked : tuple of Worth
        By the share explained. What two inputs tell only together counts for neither. [1]

    Raises
    ------
    NotPossible
        Too few draws, or all or none of them fail.

    Valid for: inputs with many different values. `saved` is judged on other draws than it was decided on, so that it
    errs to the low side by chance, and needs some tens of failures.

    Source: [Li2012] for the share explained, [Raiffa1961] for what is saved and [Strong2014] for both from draws; the
    halving of the draws is ours.

    Examples
    --------
    >>> from evenbead.physics.draws import unit_points
    >>> points = unit_points(["growth", "speed"], count=4096, seed=1)
    >>> best, other = worth_of_measuring(points, points["speed"] - 0.5 * points["growth"] > 0.5)
    >>> best.name, round(best.explained.value, 2), round(best.saved, 2), best.failing_rank > 0.5
    ('speed', 0.55, 0.12, True)
    """
    fails = np.asarray(failed, bool)
    within(tolerated, "tolerated probability", above=0.0, below=1.0)
    hits = np.count_nonzero(fails)
    if hits in (0, len(fails)):
        raise NotPossible(
            f"{'all' if hits else 'none'} of {len(fails)} draws fail: what would tell them apart can't be seen"
        )
    explained = first_order_from_draws(inputs, fails)
    worths = [
        _worth(name, np.asarray(inputs[name], float), fails, share, tolerated) for name, share in explained.items()
    ]
    return tuple(sorted(worths, key=lambda worth: (-float(worth.explained.value), worth.name)))


def _explained(column: Floats, results: Floats) -> Estimate:
    """The share of the variance of the results that the bins of an input explain."""
    if np.ptp(column) == 0.0:
        return Estimate(value=0.0, u=0.0)
    count = len(results)
    away = results[np.argsort(column, kind="stable")] - results.mean()
    starts, sizes = _bins(count, power=_BINS_TO_EXPLAIN)
    means = np.repeat(np.add.reduceat(away, starts) / sizes, sizes)
    within_bins = np.add.reduceat((away - means) ** 2, starts) / (sizes - 1)
    share = max(1.0 - float(within_bins @ sizes) / count / float(np.var(results, ddof=1)), 0.0)
    # How a single draw moves the share, and what the binning itself adds where nothing is explained.
    influence = (2.0 * away * means - means**2 - share * away**2) / np.mean(away**2)
    of_bins = (1.0 - share) * math.sqrt(2.0 * (len(starts) - 1)) / count
    return Estimate(value=share, u=math.hypot(float(np.std(influence)) / math.sqrt(count), of_bins))


def _worth(name: str, column: Floats, fails: Bools, explained: Estimate, tolerated: float) -> Worth:
    if np.ptp(column) == 0.0:
        return Worth(name=name, explained=explained, saved=0.0, failing_rank=0.5)
    order = np.argsort(column, kind="stable")
    ranks = np.flatnonzero(fails[order]) + 0.5
    return Worth(
        name=name,
        explained=explained,
        saved=_saved(fails[order], tolerated),
        failing_rank=float(ranks.mean() / len(fails)),
    )


def _saved(fails: Bools, tolerated: float) -> float:
    """The expected loss of deciding once for all draws, less that of deciding bin by bin along the order given.

    Going ahead loses 1 where it fails; giving up loses the odds of the tolerated probability where it would not have.
    Each bin is decided by one half of its draws and judged by the other, both ways round: judged by the same draws,
    chance would look like knowledge.
    """
    odds = tolerated / (1.0 - tolerated)
    share = float(fails.mean())
    starts, sizes = _bins(len(fails), power=_BINS_TO_DECIDE)
    halves = [np.where(np.arange(len(fails)) % 2 == half, 1.0, 0.0) for half in (0, 1)]
    shares = [np.add.reduceat(half * fails, starts) / np.add.reduceat(half, starts) for half in halves]
    lost = [
        np.where(decided > tolerated, odds * (1.0 - judged), judged) for decided, judged in (shares, reversed(shares))
    ]
    afterwards = float(np.sum((lost[0] + lost[1]) / 2 * sizes)) / len(fails)
    return max(min(share, odds * (1.0 - share)) - afterwards, 0.0)


def _bins(count: int, *, power: float) -> tuple[Indexes, Indexes]:
    """Where the bins of sorted draws start, and how many each holds.

    Equally many, but the outermost halved again and again: rare failures crowd at one end, and within one wide bin the
    way there would not be seen.
    """
    bins = round(count**power)
    widest = count // bins
    halvings = widest >> np.arange(1, max(widest // _SMALLEST_BIN, 1).bit_length())
    starts = np.unique(np.concatenate([np.arange(bins) * count // bins, halvings, count - halvings]))
    return starts, np.diff(starts, append=count)


def _column(name: str, column: ArrayLike, results: Floats) -> Floats:
    """The draws of one input, as many as there are results."""
    values = _finite(np.asarray(column, np.float64))
    if values.shape != results.shape or values.ndim != 1:
        raise ValueError(f"{name} has shape {values.shape}, expected one value for each of {results.shape} results")
    return values


def _finite(values: Floats) -> Floats:
    if not np.all(np.isfinite(values)):
        raise ValueError("a draw has no finite value, expected a number for each")
    return values
