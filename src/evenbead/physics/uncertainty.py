"""Doubt that travels: standard uncertainties in, the standard uncertainty of a result out.

First order only. Each input is a value with a standard uncertainty; a result moves with each input by a sensitivity,
and the squares add. Where a sensitivity vanishes at the best estimate this says too little, and a simulation with
random draws is the right tool instead.

The rules are those of the Guide to the expression of uncertainty in measurement [GUM2008].
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from evenbead.errors import NotPossible

if TYPE_CHECKING:
    from collections.abc import Callable

    from numpy.typing import ArrayLike, NDArray

    Floats = NDArray[np.float64]
    Numbers = float | Floats

# Step of a central difference: a hundredth of the doubt, so that the slope is that of the range in question, but
# never so small that round-off in the value itself shows (the cube root of the spacing of floats).
_STEP_OF_DOUBT = 0.01
_SMALLEST_RELATIVE_STEP = float(np.cbrt(np.finfo(np.float64).eps))


@dataclass(frozen=True, slots=True, kw_only=True)
class Estimate:
    """A value and how far to trust it.

    Attributes
    ----------
    value : float or array
        Best estimate, in the unit of whatever is estimated. [-]
    u : float or array
        Standard uncertainty, in the same unit. [-]
    dof : float
        Degrees of freedom behind `u`; infinite where `u` is taken as known. [1]
    """

    value: Numbers
    u: Numbers
    dof: float = math.inf

    @property
    def u95(self) -> Numbers:
        """Half width of the interval that holds 95 % of what the value could be, in the unit of the value."""
        return expanded_uncertainty(self.u, dof=self.dof, level=0.95)


def combined_uncertainty(
    sensitivities: ArrayLike, uncertainties: ArrayLike, correlation: ArrayLike | None = None
) -> float:
    """The standard uncertainty of a result from those of its inputs.

    With sensitivities c, uncertainties u and correlations r, u² = ΣΣ (cᵢ uᵢ) rᵢⱼ (cⱼ uⱼ).

    Parameters
    ----------
    sensitivities : (n,) array
        How far the result moves for each input, each in the unit of the result over that of the input. [-]
    uncertainties : (n,) array
        Standard uncertainty of each input, in its own unit. [-]
    correlation : (n, n) array, optional
        Correlation matrix of the inputs; independent unless given. [1]

    Returns
    -------
    u : float
        In the unit of the result. [-]

    Source: [GUM2008] eq. 10 and 16.

    Examples
    --------
    >>> combined_uncertainty([1.0, 1.0], [3.0, 4.0])
    5.0
    """
    parts = np.asarray(sensitivities, float) * np.asarray(uncertainties, float)
    if correlation is None:
        return float(np.sqrt(parts @ parts))
    # A correlation of exactly -1 may leave a negative round-off where the truth is zero.
    return float(np.sqrt(max(parts @ np.asarray(correlation, float) @ parts, 0.0)))


def effective_dof(contributions: ArrayLike, dofs: ArrayLike) -> float:
    """Degrees of freedom of a combined uncertainty of independent parts.

    The Welch-Satterthwaite formula: dof = u⁴ / Σ(uᵢ⁴/dofᵢ).

    Parameters
    ----------
    contributions : (n,) array
        Standard uncertainty that each input brings to the result, in the unit of the result. [-]
    dofs : (n,) array
        Degrees of freedom of each; infinity where it is taken as known. [1]

    Returns
    -------
    dof : float
        Infinite when no part has a finite number, or when there is no uncertainty at all. [1]

    Source: [GUM2008] eq. G.2b.

    Examples
    --------
    >>> effective_dof([1.0, 1.0], [10, 10])
    20.0
    """
    parts = np.asarray(contributions, float)
    largest = float(np.max(np.abs(parts), initial=0.0))
    if largest == 0.0:
        return math.inf
    shares = (parts / largest) ** 2
    weight = float(np.sum(shares**2 / np.asarray(dofs, float)))
    return float(np.sum(shares) ** 2 / weight) if weight > 0.0 else math.inf


def coverage_factor(dof: float = math.inf, *, level: float = 0.95) -> float:
    """By what to multiply a standard uncertainty to cover a share of what the value could be.

    The two-sided quantile of Student's t. Degrees of freedom are cut down to a whole number, the cautious side.

    Parameters
    ----------
    dof : float
        Degrees of freedom, at least 1. [1]
    level : float
        Share to cover, between 0 and 1. [1]

    Returns
    -------
    factor : float
        [1]

    Source: [GUM2008] G.4.1 and table G.2.

    Examples
    --------
    >>> coverage_factor(16.75, level=0.99), coverage_factor()
    (2.92, 1.96)
    """
    from scipy.special import ndtri, stdtrit  # noqa: PLC0415  (SciPy is slow to import)

    if not 0.0 < level < 1.0:
        raise ValueError(f"level is {level}, expected a share between 0 and 1")
    if dof < 1.0:
        raise ValueError(f"dof is {dof}, expected at least 1")
    upper = 0.5 + level / 2
    return float(ndtri(upper)) if math.isinf(dof) else float(stdtrit(math.floor(dof), upper))


def expanded_uncertainty(u: Numbers, *, dof: float = math.inf, level: float = 0.95) -> Numbers:
    """Half width of the interval that covers a share of what the value could be.

    Parameters
    ----------
    u : float or array
        Standard uncertainty. [-]
    dof : float
        Degrees of freedom behind it. [1]
    level : float
        Share to cover. [1]

    Returns
    -------
    half_width : float or array
        In the unit of `u`. [-]

    Source: [GUM2008] eq. 18 and G.1d.
    """
    return coverage_factor(dof, level=level) * u


def sensitivities(function: Callable[[Floats], ArrayLike], values: ArrayLike, uncertainties: ArrayLike) -> Floats:
    """How far a result moves for each input, by central differences around the best estimates.

    Parameters
    ----------
    function : callable
        Takes the n inputs as one array; gives one result, or m of them. [-]
    values : (n,) array
        Best estimates of the inputs, each in its own unit. [-]
    uncertainties : (n,) array
        Their standard uncertainties, which set the step of the difference. [-]

    Returns
    -------
    slopes : (n,) or (m, n) array
        Results by inputs, each in the unit of the result over that of the input. [-]

    Valid for: functions that are smooth over a hundredth of each uncertainty.

    Source: [GUM2008] 5.1.3, note 2, with a smaller step.
    """
    centre = np.asarray(values, float)
    scale = np.where(centre == 0.0, 1.0, np.abs(centre))
    doubt = np.asarray(uncertainties, float)
    steps = np.maximum(_STEP_OF_DOUBT * doubt, np.where(doubt > 0.0, np.abs(centre), scale) * _SMALLEST_RELATIVE_STEP)
    columns = []
    for index, step in enumerate(steps):
        above, below = centre.copy(), centre.copy()
        above[index] += step
        below[index] -= step
        rise = np.asarray(function(above), float) - np.asarray(function(below), float)
        columns.append(rise / (above[index] - below[index]))
    return np.stack(columns, axis=-1)


def propagated(
    function: Callable[[Floats], float],
    values: ArrayLike,
    uncertainties: ArrayLike,
    *,
    dofs: ArrayLike | None = None,
    correlation: ArrayLike | None = None,
) -> Estimate:
    """A result with its doubt, from inputs with theirs.

    Parameters
    ----------
    function : callable
        Takes the n inputs as one array and gives one result. [-]
    values : (n,) array
        Best estimates of the inputs, each in its own unit. [-]
    uncertainties : (n,) array
        Their standard uncertainties. [-]
    dofs : (n,) array, optional
        Degrees of freedom of each; infinite unless given. [1]
    correlation : (n, n) array, optional
        Correlation matrix of the inputs; independent unless given. [1]

    Returns
    -------
    result : Estimate
        In the unit of the function. Correlated inputs have no effective number of degrees of freedom of their own:
        the smallest of those that contribute stands in, which is the cautious side. [-]

    Valid for: functions that are close to straight over the uncertainties.

    Source: [GUM2008] eq. 10, 16 and G.2b.

    Examples
    --------
    >>> area = propagated(lambda x: x[0] * x[1], [2.0, 3.0], [0.1, 0.1])
    >>> area.value, area.u
    (6.0, 0.3606)
    """
    centre = np.asarray(values, float)
    doubt = np.asarray(uncertainties, float)
    slopes = sensitivities(function, centre, doubt)
    freedom = np.full(centre.shape, np.inf) if dofs is None else np.asarray(dofs, float)
    parts = slopes * doubt
    contributing = freedom[parts != 0.0]
    dof = effective_dof(parts, freedom) if correlation is None else float(np.min(contributing, initial=np.inf))
    u = combined_uncertainty(slopes, doubt, correlation)
    return Estimate(value=float(function(centre)), u=u, dof=dof)


def propagated_covariance(slopes: ArrayLike, covariance: ArrayLike) -> Floats:
    """The covariance matrix of several results of the same inputs.

    Parameters
    ----------
    slopes : (m, n) array
        Sensitivity of each of m results to each of n inputs, as `sensitivities` gives them. [-]
    covariance : (n, n) array
        Covariance matrix of the inputs. [-]

    Returns
    -------
    covariance : (m, m) array
        Squares of the standard uncertainties stand on the diagonal. [-]

    Source: [GUM2008] F.1.2.3, note 2, and H.2.3.
    """
    matrix = np.asarray(slopes, np.float64)
    result: Floats = matrix @ np.asarray(covariance, np.float64) @ matrix.T
    return result


def quotient(numerator: Estimate, denominator: Estimate) -> Estimate:
    """One independent quantity over another, such as water flow over powder flow.

    Parameters
    ----------
    numerator : Estimate
        What is divided. [-]
    denominator : Estimate
        By what it is divided; its value is not zero. [-]

    Returns
    -------
    ratio : Estimate
        In the quotient of the two units. [-]

    Valid for: a denominator that is many times its uncertainty; near zero the ratio is far from normal.

    Source: [GUM2008] eq. 10 and G.2b.

    Examples
    --------
    >>> ratio = quotient(Estimate(value=0.0240, u=0.00024), Estimate(value=0.150, u=0.006))
    >>> ratio.value, float(ratio.u)
    (0.160, 0.0066)
    """
    if np.any(np.asarray(denominator.value) == 0.0):
        raise NotPossible("a ratio to nothing has no value: the flow it is divided by is zero")
    value = numerator.value / denominator.value
    of_numerator = np.abs(numerator.u / denominator.value)
    of_denominator = np.abs(value * denominator.u / denominator.value)
    return Estimate(
        value=value,
        u=np.hypot(of_numerator, of_denominator),
        dof=_smallest_effective_dof((of_numerator, numerator.dof), (of_denominator, denominator.dof)),
    )


def probability_within(estimate: Estimate, *, low: Numbers, high: Numbers) -> Numbers:
    """The probability that a value lies in a band, given its estimate.

    Normal when the uncertainty is taken as known, Student's t when it stems from few readings.

    Parameters
    ----------
    estimate : Estimate
        Value and uncertainty, in the unit of the band. [-]
    low : float or array
        Lower edge; minus infinity for none. [-]
    high : float or array
        Upper edge; infinity for none. [-]

    Returns
    -------
    probability : float or array
        0 or 1 where there is no uncertainty at all. [1]

    Source: [GUM2008] G.3.

    Examples
    --------
    >>> float(probability_within(Estimate(value=0.158, u=0.004), low=0.150, high=0.170))
    0.976
    """
    from scipy.special import ndtr, stdtr  # noqa: PLC0415  (SciPy is slow to import)

    value, u = np.asarray(estimate.value, float), np.asarray(estimate.u, float)
    known = u == 0.0
    spread = np.where(known, 1.0, u)
    below, above = (np.asarray(low, float) - value) / spread, (value - np.asarray(high, float)) / spread
    if math.isinf(estimate.dof):
        outside = ndtr(below) + ndtr(above)
    else:
        outside = stdtr(estimate.dof, below) + stdtr(estimate.dof, above)
    inside = np.where(known, (below <= 0.0) & (above <= 0.0), 1.0 - outside)
    probability: Numbers = np.clip(inside, 0.0, 1.0)[()]
    return probability


def chance_of_as_much(t: float, *, dof: float = math.inf) -> float:
    """How often chance alone shows a difference as large, either way, when there is none.

    Parameters
    ----------
    t : float
        The difference over its standard uncertainty. [1]
    dof : float
        Degrees of freedom behind that uncertainty. [1]

    Returns
    -------
    probability : float
        Of |Student's t| being as large or larger. [1]

    Source: [Draper1998] chapter 1, the two-sided t test.

    Examples
    --------
    >>> chance_of_as_much(-1.126729, dof=34)
    0.26775
    """
    from scipy.special import ndtr, stdtr  # noqa: PLC0415  (SciPy is slow to import)

    return 2.0 * float(ndtr(-abs(t)) if math.isinf(dof) else stdtr(dof, -abs(t)))


def _smallest_effective_dof(*parts: tuple[Numbers, float]) -> float:
    """The effective degrees of freedom of a sum of contributions, each with its own; the smallest over arrays."""
    if all(math.isinf(dof) for _, dof in parts):
        return math.inf
    contributions = np.stack(np.broadcast_arrays(*(np.asarray(u, float) for u, _ in parts)), axis=-1)
    each = contributions.reshape(-1, len(parts))
    dofs = [dof for _, dof in parts]
    return min((effective_dof(row, dofs) for row in each), default=math.inf)
