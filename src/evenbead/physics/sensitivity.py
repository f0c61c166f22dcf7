"""Which doubt matters: how much of the scatter of a result each input brings, by itself and together with others.

The *first-order* share of an input is what would vanish from the variance of the result, on average, if that input
were known exactly; its *total* share is what would be left if all others were. For independent inputs the first shares
add up to at most one, the total ones to at least one, and the difference between the two is what the input does only
together with others. [Sobol1993]

Both take runs of their own, as many samples as there are inputs and two more. From the draws of a simulation that was
made anyway the first one comes at no further run: see `worth`.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

import numpy as np

from evenbead.errors import NotPossible
from evenbead.physics.draws import unit_points

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from numpy.typing import ArrayLike, NDArray

    Floats = NDArray[np.float64]

# The second, independent column of an input is drawn under its name with this mark.
_SECOND = " (second)"


@dataclass(frozen=True, slots=True, kw_only=True)
class Design:
    """Cases to run: two independent samples, and one for each input in which that input alone comes from the second.

    Attributes
    ----------
    names : tuple of str
        The k inputs. [-]
    count : int
        Cases in each sample, n. [1]
    points : dict of ((k + 2) n,) arrays
        Shares between 0 and 1 by name: the first sample, the second, then one mixed sample for each input. [1]
    """

    names: tuple[str, ...]
    count: int
    points: Mapping[str, Floats]


@dataclass(frozen=True, slots=True, kw_only=True)
class Indices:
    """Shares of the variance of a result, input by input.

    Attributes
    ----------
    names : tuple of str
        The k inputs. [-]
    first : (..., k) array
        What each brings by itself; chance may carry a share of nothing a little below zero. [1]
    total : (..., k) array
        What each brings by itself and together with others. [1]
    first_u : (..., k) array
        Standard uncertainty of `first` due to the number of cases. [1]
    total_u : (..., k) array
        Standard uncertainty of `total` due to the number of cases. [1]
    """

    names: tuple[str, ...]
    first: Floats
    total: Floats
    first_u: Floats
    total_u: Floats


def designs(names: Sequence[str], *, count: int, seed: int) -> Design:
    """The cases to run for the shares of all inputs.

    Parameters
    ----------
    names : sequence of str
        The k inputs, all different. [-]
    count : int
        Cases in each of k + 2 samples, best a power of two. [1]
    seed : int
        Not negative. [1]

    Returns
    -------
    design : Design
        Its points become values by the `at` of each input's distribution. [-]

    Valid for: independent inputs.

    Source: [Saltelli2010] section 3.

    Examples
    --------
    >>> design = designs(["a", "b"], count=1024, seed=1)
    >>> found = indices(design, 3.0 * design.points["a"] + 4.0 * design.points["b"])
    >>> found.first.round(2), found.total.round(2)
    (array([0.36, 0.64]), array([0.36, 0.64]))
    """
    both = unit_points([*names, *(f"{name}{_SECOND}" for name in names)], count=count, seed=seed)
    points = {}
    for name in names:
        one, two = both[name], both[f"{name}{_SECOND}"]
        points[name] = np.concatenate([one, two, *(two if other == name else one for other in names)])
    return Design(names=tuple(names), count=count, points=points)


def indices(
    design: Design, evaluations: ArrayLike, *, estimator: Literal["saltelli", "jansen"] = "saltelli"
) -> Indices:
    """First-order and total shares from the results of the cases of a design.

    With f_A, f_B and f_ABi the results of the three kinds of sample and V the variance of the first two, the first
    share is the mean of f_B (f_ABi - f_A) over V, or by Jansen 1 less the mean of (f_B - f_ABi)² over 2V; the total
    one is the mean of (f_A - f_ABi)² over 2V.

    Parameters
    ----------
    design : Design
        The cases. [-]
    evaluations : (..., (k + 2) n) array
        One finite result for each case, in their order. [-]
    estimator : "saltelli" or "jansen"
        For the first share: the former is the better one where shares are small, the latter where one is large. [-]

    Returns
    -------
    indices : Indices
        The uncertainties are those of independent cases, the cautious side for a design with as many cases as a power
        of two. [1]

    Raises
    ------
    NotPossible
        The result is the same in all cases.

    Valid for: independent inputs.

    Source: [Saltelli2010] table 2, b and f; [Jansen1999].
    """
    results = np.asarray(evaluations, np.float64)
    inputs = len(design.names)
    expected = (inputs + 2) * design.count
    if results.shape[-1:] != (expected,):
        raise ValueError(f"the results have shape {results.shape}, expected {expected} along the last axis")
    samples = results.reshape(*results.shape[:-1], inputs + 2, design.count)
    samples = samples - _finite(samples[..., :2, :]).mean(axis=(-2, -1), keepdims=True)
    one, two, mixed = samples[..., :1, :], samples[..., 1:2, :], _finite(samples[..., 2:, :])
    square = (one**2 + two**2) / 2
    own = two * (mixed - one) if estimator == "saltelli" else square - (two - mixed) ** 2 / 2
    first, first_u = _share(own, square)
    total, total_u = _share((one - mixed) ** 2 / 2, square)
    return Indices(names=design.names, first=first, total=total, first_u=first_u, total_u=total_u)


def _share(part: Floats, whole: Floats) -> tuple[Floats, Floats]:
    """The mean of a part over that of the whole, and the standard uncertainty of that ratio."""
    variance = whole.mean(axis=-1)
    if np.any(variance == 0.0):
        raise NotPossible("the result is the same in all cases: there is no scatter to explain")
    share = part.mean(axis=-1) / variance
    rest = part - share[..., np.newaxis] * whole
    return share, rest.std(axis=-1) / variance / math.sqrt(part.shape[-1])


def _finite(values: Floats) -> Floats:
    if not np.all(np.isfinite(values)):
        raise ValueError("a draw has no finite value, expected a number for each")
    return values
