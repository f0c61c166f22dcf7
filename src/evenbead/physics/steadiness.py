"""Whether there are draws enough for the digits that are wanted, or one more batch is needed.

The rule is that of the supplement on simulation to the guide on uncertainty [JCGM-101]: batches made apart from each
other say how much mean, uncertainty and interval still wander.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from evenbead.physics.outcomes import coverage_interval, estimate_of
from evenbead.physics.ranges import within
from evenbead.physics.uncertainty import Estimate

if TYPE_CHECKING:
    from numpy.typing import ArrayLike, NDArray

    Numbers = float | NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True)
class Steadiness:
    """Whether the number of draws suffices for the digits wanted.

    Attributes
    ----------
    mean : Estimate
        Mean of all draws; its uncertainty, and that of the next three, is that due to the number of draws. [-]
    u : Estimate
        Standard uncertainty of the result. [-]
    low : Estimate
        Lower end of the interval. [-]
    high : Estimate
        Upper end of the interval. [-]
    tolerance : float
        Half of the last digit wanted of the standard uncertainty. [-]
    steady : bool
        Twice the uncertainty of each of the four is within the tolerance. [-]
    """

    mean: Estimate
    u: Estimate
    low: Estimate
    high: Estimate
    tolerance: float
    steady: bool


def numerical_tolerance(u: float, *, digits: int = 2) -> float:
    """How far a number may be off without touching the digits that are wanted.

    Half of the last digit of a standard uncertainty that is given with so many significant digits.

    Parameters
    ----------
    u : float
        Standard uncertainty, above zero. [-]
    digits : int
        Significant digits of it that are wanted, mostly one or two. [1]

    Returns
    -------
    tolerance : float
        In the unit of `u`. [-]

    Source: [JCGM-101] 7.9.2.

    Examples
    --------
    >>> numerical_tolerance(0.00035), numerical_tolerance(2.0, digits=1)
    (5e-06, 0.5)
    """
    within(u, "standard uncertainty", above=0.0)
    # The digits as they would be printed, so that 0.0997 with two of them counts as 0.10.
    exponent = int(f"{u:.{digits - 1}e}".split("e")[1])
    return 0.5 * 10.0 ** (exponent - digits + 1)


def draws_per_batch(*, level: float = 0.95) -> int:
    """How many draws a batch needs, for `steadiness` to judge by batches.

    Parameters
    ----------
    level : float
        Share that the interval of the result is to hold. [1]

    Returns
    -------
    count : int
        At least 10 000, and so many that a hundred lie outside the interval. [1]

    Source: [JCGM-101] 7.9.4 b.

    Examples
    --------
    >>> draws_per_batch(), draws_per_batch(level=0.999)
    (10000, 100000)
    """
    within(level, "level", above=0.0, below=1.0)
    # Round-off in the level must not cost one draw more.
    return max(10_000, math.ceil(round(100.0 / (1.0 - level), 6)))


def steadiness(batches: ArrayLike, *, digits: int = 2, level: float = 0.95) -> Steadiness:
    """Whether mean, uncertainty and interval of a result stand to the digit wanted, or more draws are needed.

    The batches are made apart from each other, each with a seed of its own. While the answer is no, one more is made.

    Parameters
    ----------
    batches : (h, n) array
        At least two batches of a result, each of `draws_per_batch` draws. [-]
    digits : int
        Significant digits wanted of the standard uncertainty. [1]
    level : float
        Share that the interval is to hold, with as many draws below it as above. [1]

    Returns
    -------
    steadiness : Steadiness
        Mean and uncertainty of all draws together, the ends as the mean over the batches. [-]

    Valid for: a result that scatters; one that never changes is steady by itself.

    Source: [JCGM-101] 7.9.4, whose batches give the four uncertainties.

    Examples
    --------
    >>> batches = np.random.default_rng(1).normal(size=(4, 10_000))
    >>> steadiness(batches, digits=1).steady, steadiness(batches, digits=3).steady
    (True, False)
    """
    draws = np.asarray(batches, float)
    if draws.ndim != 2 or len(draws) < 2:
        raise ValueError(f"the batches have shape {draws.shape}, expected at least two rows of draws")
    each, whole = estimate_of(draws), estimate_of(draws.ravel())
    ends = coverage_interval(draws, level=level)
    found = {
        "mean": _over_batches(each.value),
        "u": Estimate(value=whole.u, u=_over_batches(each.u).u, dof=len(draws) - 1),
        "low": _over_batches(ends.low),
        "high": _over_batches(ends.high),
    }
    tolerance = numerical_tolerance(float(whole.u), digits=digits) if whole.u else 0.0
    steady = all(2.0 * float(part.u) <= tolerance for part in found.values())
    return Steadiness(**found, tolerance=tolerance, steady=steady)


def _over_batches(column: Numbers) -> Estimate:
    """The mean of what each batch says, and the standard uncertainty of that mean."""
    of_batches = np.asarray(column, float)
    u = float(np.std(of_batches, ddof=1)) / math.sqrt(len(of_batches))
    return Estimate(value=float(np.mean(of_batches)), u=u, dof=len(of_batches) - 1)
