"""How a line really mixes, read from a mark: a dye, or a step of the water setting, measured at the outlet.

Moments are quick and need no model; a fit to the step response tells the plug from the tanks. Both work in whatever
the table is counted in: volume passed where the flow was recorded, time where it was steady.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from evenbead.errors import NotPossible
from evenbead.physics.mixing import HoldUp, step_response

if TYPE_CHECKING:
    from numpy.typing import ArrayLike, NDArray

    Floats = NDArray[np.float64]

# A fitted chain longer than this can't be told from a plug in any table measured by hand.
_MOST_TANKS = 500.0


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Trace:
    """What a mark put in at once says about a line.

    Attributes
    ----------
    area : float
        Under the curve, in content times volume (or time). [-]
    mean : float
        Mean residence, in the unit of the table. [-]
    variance : float
        Variance of the residence, in its square. [-]
    density : (n,) array
        The curve scaled to unit area. [-]
    """

    area: float
    mean: float
    variance: float
    density: Floats

    @property
    def tanks(self) -> float:
        """Equal tanks in series with this mean and variance, without any plug. [1]"""
        return tanks_from_moments(mean=self.mean, variance=self.variance)


@dataclass(frozen=True, slots=True, kw_only=True)
class HoldUpFit:
    """A hold-up fitted to a measured step.

    Attributes
    ----------
    hold_up : HoldUp
        Best fit, in the unit of the table. [-]
    plug_u : float
        Standard uncertainty of the plug, in the unit of the table. [-]
    mixed_u : float
        Standard uncertainty of the mixed volume, in the unit of the table. [-]
    tanks_u : float
        Standard uncertainty of the number of tanks. [1]
    residual_sd : float
        Scatter of the readings about the fitted response. [1]
    """

    hold_up: HoldUp
    plug_u: float
    mixed_u: float
    tanks_u: float
    residual_sd: float


def trace_of(passed: ArrayLike, content: ArrayLike) -> Trace:
    """Area, mean and variance of the curve that a mark leaves at the outlet.

    Straight lines between the readings. Anything that was in the mortar before the mark is to be taken off first, and
    the readings should go on until the curve is back at zero: a cut tail shortens the mean and more so the variance.

    Parameters
    ----------
    passed : (n,) array
        Volume passed (or time) since the mark went in, ascending. [-]
    content : (n,) array
        What was read at the outlet, in any unit that is in proportion to the content. [-]

    Returns
    -------
    trace : Trace
        In the unit of `passed`. [-]

    Source: [Levenspiel1999] chapter 11.

    Examples
    --------
    >>> trace = trace_of([0, 5, 10, 15, 20, 25, 30, 35], [0, 3, 5, 5, 4, 2, 1, 0])
    >>> trace.area, trace.mean, trace.variance
    (100.0, 15.0, 47.5)
    """
    x, c = np.asarray(passed, np.float64), np.asarray(content, np.float64)
    if x.shape != c.shape or x.ndim != 1 or len(x) < 3:
        raise NotPossible("a tracer curve needs three readings at least, each with the volume passed")
    if np.any(np.diff(x) <= 0.0):
        raise ValueError("passed is not ascending")
    area = float(np.trapezoid(c, x))
    if not area > 0.0:
        raise NotPossible("no tracer came out: the curve has no area")
    density = c / area
    mean = float(np.trapezoid(x * density, x))
    return Trace(area=area, mean=mean, variance=float(np.trapezoid((x - mean) ** 2 * density, x)), density=density)


def tanks_from_moments(*, mean: float, variance: float) -> float:
    """Equal tanks in series that have this mean and variance, N = mean²/variance.

    For a stretch between two places of measurement, mean and variance are the differences between them.

    Parameters
    ----------
    mean : float
        Mean residence in the mixed part, without any plug, in volume passed or in time. [-]
    variance : float
        Its variance, in the square of that. [-]

    Returns
    -------
    tanks : float
        [1]

    Raises
    ------
    NotPossible
        More spread than a single tank: a dead corner, a short cut, or a mark that was not put in at once.

    Source: [Levenspiel1999] chapter 14.

    Examples
    --------
    >>> tanks_from_moments(mean=280.0 - 220.0, variance=1000.0 - 100.0)
    4.0
    """
    if not (mean > 0.0 and variance > 0.0):
        raise NotPossible(f"mean {mean:g} and variance {variance:g} are not both above zero")
    tanks = mean**2 / variance
    if tanks < 1.0:
        raise NotPossible("the mark is spread wider than one tank would: look for a dead corner or a short cut")
    return tanks


def fitted_hold_up(passed: ArrayLike, share: ArrayLike) -> HoldUpFit:
    """Plug, mixed volume and number of tanks that best follow a measured step.

    Least squares on the step response, all readings alike. It is far less touchy about the tail than moments are.

    Parameters
    ----------
    passed : (n,) array
        Volume passed (or time) since the step at the inlet. [-]
    share : (n,) array
        Share of the step that has arrived at the outlet, about 0 to 1. [1]

    Returns
    -------
    fit : HoldUpFit
        In the unit of `passed`. [-]

    Raises
    ------
    NotPossible
        Fewer than four readings, or a step that the readings do not show.

    Source: [Levenspiel1999] chapter 14 for the response; least squares.

    Examples
    --------
    >>> passed = np.linspace(0.0, 12.0, 25)
    >>> fit = fitted_hold_up(passed, step_response(HoldUp(plug=1.0, mixed=3.0, tanks=2.5), passed))
    >>> fit.hold_up.plug, fit.hold_up.mixed, fit.hold_up.tanks
    (1.000, 3.000, 2.500)
    """
    from scipy.optimize import least_squares  # noqa: PLC0415  (SciPy is slow to import)

    x, f = np.asarray(passed, np.float64), np.asarray(share, np.float64)
    if x.shape != f.shape or x.ndim != 1 or len(x) < 4:
        raise NotPossible("three unknowns need four readings at least, each with the volume passed")
    reach = float(np.max(x))
    if not (reach > 0.0 and float(np.max(f)) > 0.5 > float(np.min(f))):
        raise NotPossible("the readings do not show the step: take some before and some after half of it has arrived")
    half = float(np.interp(0.5, np.maximum.accumulate(f[np.argsort(x)]), np.sort(x)))

    def misfit(unknowns: Floats) -> Floats:
        plug, mixed, tanks = unknowns
        return np.asarray(step_response(HoldUp(plug=plug * reach, mixed=mixed * reach, tanks=tanks), x)) - f

    found = least_squares(
        misfit,
        x0=[0.3 * half / reach, 0.7 * half / reach, 3.0],
        bounds=([0.0, 1e-6, 1.0], [1.0, 10.0, _MOST_TANKS]),
        x_scale=[0.1, 0.1, 1.0],
        xtol=1e-12,
        ftol=1e-12,
        gtol=1e-12,
    )
    scatter = math.sqrt(2.0 * float(found.cost) / (len(x) - 3))
    spread = scatter * _parameter_spread(np.asarray(found.jac, np.float64))
    plug, mixed, tanks = (float(value) for value in found.x)
    return HoldUpFit(
        hold_up=HoldUp(plug=plug * reach, mixed=mixed * reach, tanks=tanks),
        plug_u=float(spread[0]) * reach,
        mixed_u=float(spread[1]) * reach,
        tanks_u=float(spread[2]),
        residual_sd=scatter,
    )


def convolved(content: ArrayLike, density: ArrayLike, *, step: float) -> Floats:
    """What comes out of a line whose response was measured rather than fitted.

    Parameters
    ----------
    content : (n,) array
        What goes in, at even steps. [-]
    density : (m,) array
        Scaled curve of a mark, as `trace_of` gives it, at the same steps. [-]
    step : float
        Volume passed (or time) from one value to the next. [-]

    Returns
    -------
    content : (n + m - 1,) array
        What comes out, at the same steps; it begins at the sum of the two beginnings. [-]

    Source: [Levenspiel1999] chapter 11, the convolution integral.

    Examples
    --------
    >>> convolved([8.0, 4.0, 6.0], [0.05, 0.50, 0.35, 0.10], step=1.0)
    array([0.4, 4.2, 5.1, 5.2, 2.5, 0.6])
    """
    return np.convolve(np.asarray(content, np.float64), np.asarray(density, np.float64)) * step


def _parameter_spread(slopes: Floats) -> Floats:
    """Standard uncertainty of each fitted number for readings with unit scatter; infinite where they say nothing."""
    _, sizes, directions = np.linalg.svd(slopes, full_matrices=False)
    with np.errstate(divide="ignore", invalid="ignore"):
        shares = np.where(directions == 0.0, 0.0, directions / sizes[:, np.newaxis])
    spread: Floats = np.sqrt(np.sum(shares**2, axis=0))
    return spread
