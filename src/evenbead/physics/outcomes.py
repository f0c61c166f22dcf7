"""What many draws of a result say: mean, doubt, interval and probability.

The draws stand along the last axis, so that a whole table of results (every layer, every check) is read at once. What
is said here of the doubt *due to the number of draws* holds for random draws; with points of Sobol's sequence the true
one is smaller, often much, and these are the cautious side.

The rules are those of the supplement on simulation to the guide on uncertainty [JCGM-101].
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

import numpy as np

from evenbead.errors import NotPossible
from evenbead.physics.metering import Interval
from evenbead.physics.ranges import within
from evenbead.physics.uncertainty import Estimate, coverage_factor

if TYPE_CHECKING:
    from numpy.typing import ArrayLike, NDArray

    Floats = NDArray[np.float64]
    Numbers = float | Floats


@dataclass(frozen=True, slots=True, kw_only=True)
class Chance:
    """A probability found by counting draws.

    Attributes
    ----------
    value : float or array
        Share of the draws in which it happened. [1]
    u : float or array
        Standard uncertainty due to the number of draws: half of Wilson's interval at one standard deviation, which is
        above zero even where it never happened. [1]
    low : float or array
        Lower end of the interval at the level. [1]
    high : float or array
        Upper end of the interval at the level. [1]
    level : float
        How often such an interval holds the true probability. [1]
    count : int
        How many draws there were. [1]
    """

    value: Numbers
    u: Numbers
    low: Numbers
    high: Numbers
    level: float
    count: int

    @property
    def estimate(self) -> Estimate:
        """Value and standard uncertainty alone. [1]"""
        return Estimate(value=self.value, u=self.u)


def estimate_of(values: ArrayLike) -> Estimate:
    """Mean and standard uncertainty of a result from its draws.

    Parameters
    ----------
    values : (..., n) array
        Draws along the last axis, at least two. [-]

    Returns
    -------
    estimate : Estimate
        The uncertainty is the scatter of the draws: it says how well the result is known, not how well the mean of the
        draws is. [-]

    Source: [JCGM-101] eq. 16 and 17.

    Examples
    --------
    >>> estimate_of([1.0, 2.0, 3.0])
    Estimate(value=2.0, u=1.0, dof=inf)
    """
    draws = _draws(values)
    return Estimate(value=_plain(np.mean(draws, axis=-1)), u=_plain(np.std(draws, axis=-1, ddof=1)))


def coverage_interval(
    values: ArrayLike, *, level: float = 0.95, kind: Literal["symmetric", "shortest"] = "symmetric"
) -> Interval:
    """The interval that holds a share of the draws.

    Parameters
    ----------
    values : (..., n) array
        Draws along the last axis. [-]
    level : float
        Share to hold, between 0 and 1. [1]
    kind : "symmetric" or "shortest"
        As many draws below it as above, or the shortest of all; they agree where the draws lie symmetrically. The
        shortest needs many times the draws for the same steadiness. [-]

    Returns
    -------
    interval : Interval
        In the unit of the values. [-]

    Raises
    ------
    NotPossible
        Too few draws to leave any outside.

    Valid for: n well above 1/(1 - level), so that many draws lie outside.

    Source: [JCGM-101] 7.7.2 and 7.7.4.

    Examples
    --------
    >>> found = coverage_interval([9, 1, 8, 2, 7, 3, 6, 4, 5, 10], level=0.8)
    >>> found.low, found.high
    (1.0, 9.0)
    """
    ordered = np.sort(_draws(values), axis=-1)
    count = ordered.shape[-1]
    within(level, "level", above=0.0, below=1.0)
    span = math.floor(level * count + 0.5)
    if not 0 < span < count:
        raise NotPossible(f"{count} draws are too few for an interval that holds {level:.4g} of them")
    if kind == "symmetric":
        # The guide counts from one, and takes the nearest whole number where a half would be left.
        first = (count - span + 1) // 2 - 1
        low, high = ordered[..., first], ordered[..., first + span]
    else:
        starts = np.argmin(ordered[..., span:] - ordered[..., :-span], axis=-1)[..., np.newaxis]
        low = np.take_along_axis(ordered, starts, axis=-1)[..., 0]
        high = np.take_along_axis(ordered, starts + span, axis=-1)[..., 0]
    return Interval(low=_plain(low), high=_plain(high), level=level)


def quantile_of(values: ArrayLike, share: float) -> Estimate:
    """The value below which a share of the draws lies, with the doubt due to their number.

    The standard error √(p(1-p)/n)/f needs the density f there; half the distance between the draws whose ranks lie one
    standard deviation of the count to either side needs none, and comes to the same.

    Parameters
    ----------
    values : (..., n) array
        Draws along the last axis. [-]
    share : float
        p, between 0 and 1. [1]

    Returns
    -------
    quantile : Estimate
        Its uncertainty is that due to the number of draws. [-]

    Raises
    ------
    NotPossible
        Too few draws beyond the quantile to tell.

    Valid for: random draws; cautious for Sobol's sequence.

    Source: [David2003] 7.1, the interval of order statistics, from memory.

    Examples
    --------
    >>> quantile_of(np.arange(1, 10_002), 0.975)
    Estimate(value=9751.0, u=15.6, dof=inf)
    """
    draws = _draws(values)
    within(share, "share", above=0.0, below=1.0)
    step = math.sqrt(share * (1.0 - share) / draws.shape[-1])
    if not step <= share <= 1.0 - step:
        raise NotPossible(f"{draws.shape[-1]} draws are too few to see the value below which {share:.4g} of them lie")
    below, value, above = np.quantile(draws, [share - step, share, share + step], axis=-1)
    return Estimate(value=_plain(value), u=_plain((above - below) / 2))


def probability_of(flags: ArrayLike, *, level: float = 0.95, kind: Literal["wilson", "exact"] = "wilson") -> Chance:
    """How probable something is, from the draws in which it happened.

    Parameters
    ----------
    flags : (..., n) bool array
        Whether it happened, draws along the last axis. [-]
    level : float
        How often the interval is to hold the true probability. [1]
    kind : "wilson" or "exact"
        Wilson's interval, which holds it about that often; or that of Clopper and Pearson, which holds it at least
        that often and is wider. [-]

    Returns
    -------
    chance : Chance
        With an upper end above zero even where it never happened. [1]

    Valid for: random draws; cautious for Sobol's sequence.

    Source: [Wilson1927] and [Clopper1934]; compared in [Newcombe1998].

    Examples
    --------
    >>> never = probability_of(np.zeros(10_000, bool))
    >>> never.value, never.high
    (0.0, 0.00038)
    """
    happened = np.asarray(flags, bool)
    count = happened.shape[-1]
    if count == 0:
        raise NotPossible("no draw, no probability")
    hits = np.asarray(np.count_nonzero(happened, axis=-1), float)
    if kind == "wilson":
        middle, half = _wilson(hits, count, coverage_factor(level=level))
        # Where all or none of the draws are hits the end is exactly 1 or 0.
        low = np.where(hits == 0, 0.0, middle - half)
        high = np.where(hits == count, 1.0, middle + half)
    else:
        low, high = _clopper_pearson(hits, count, level)
    return Chance(
        value=_plain(hits / count),
        u=_plain(_wilson(hits, count, 1.0)[1]),
        low=_plain(low),
        high=_plain(high),
        level=level,
        count=count,
    )


def _wilson(hits: Floats, count: int, z: float) -> tuple[Floats, Floats]:
    """Middle and half width of the interval of all probabilities within z standard deviations of the count."""
    share = hits / count
    widening = 1.0 + z**2 / count
    middle = (share + z**2 / (2 * count)) / widening
    half = z * np.sqrt(share * (1.0 - share) / count + (z / (2 * count)) ** 2) / widening
    return middle, half


def _clopper_pearson(hits: Floats, count: int, level: float) -> tuple[Floats, Floats]:
    """The probabilities at which as many hits, or as few, would just be too rare."""
    from scipy.special import betaincinv  # noqa: PLC0415  (SciPy is slow to import)

    within(level, "level", above=0.0, below=1.0)
    tail, misses = (1.0 - level) / 2, count - hits
    low = np.where(hits == 0, 0.0, betaincinv(np.maximum(hits, 1.0), misses + 1.0, tail))
    high = np.where(misses == 0, 1.0, betaincinv(hits + 1.0, np.maximum(misses, 1.0), 1.0 - tail))
    return low, high


def _draws(values: ArrayLike) -> Floats:
    """Draws as an array, none of them without a value."""
    draws = np.asarray(values, np.float64)
    if draws.ndim == 0 or draws.shape[-1] < 2:
        raise NotPossible("one draw shows no scatter: take at least two")
    if np.any(np.isnan(draws)):
        raise ValueError("a draw has no value (NaN), expected a number for each")
    return draws


def _plain(value: ArrayLike) -> Numbers:
    """A float for a single result, an array for a table of them."""
    result = np.asarray(value, np.float64)
    return float(result) if result.ndim == 0 else result
