"""Timed catches to a line: weighted least squares, through the origin or with an offset.

Conventions, because programs that agree on a line may still differ in its standard errors, as York's data show
[York2004]:

- The covariance is scaled by the reduced chi-square when the catches scatter more than their stated doubt, and never
  reduced when they happen to scatter less. Without stated doubt it stems from the scatter alone.
- Intervals use Student's t with the number of catches less the number of fitted values, also where the stated doubt
  decides: that doubt is itself only an estimate.
- An offset is kept only if it differs from zero at 95 %, and needs three different speeds to be tested at all.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Literal

import numpy as np

from evenbead.errors import NotPossible
from evenbead.physics.metering import MeterLine
from evenbead.physics.metering_catches import Catches, catch_flows
from evenbead.physics.uncertainty import chance_of_as_much, coverage_factor

if TYPE_CHECKING:
    from numpy.typing import ArrayLike, NDArray

    Floats = NDArray[np.float64]

Form = Literal["by evidence", "origin", "offset"]
Scaling = Literal["cautious", "residual"]

_LEVEL = 0.95
_SPEEDS_FOR_AN_OFFSET = 3
# An offset smaller than this share of the largest flow is round-off, not an offset.
_ROUND_OFF = 1e-12


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class LineFit:
    """A line and how well it fits.

    Attributes
    ----------
    line : MeterLine
        The line. [-]
    residuals : (n,) array
        Flow caught less flow of the line. [kg/s]
    standardised : (n,) array
        The same over the standard deviation of a catch, after any raising of it. [1]
    residual_sd : float
        Square root of the reduced chi-square: a pure number when doubts were stated, else in kg/s. [-]
    r_squared : float
        Share of the variation that the line explains; about zero flow for a line through the origin, about the mean
        flow otherwise. [1]
    offset_t : float or None
        Offset over its standard uncertainty, where it could be tested. [1]
    offset_p : float or None
        How often chance alone would show as large an offset. [1]
    why : str
        Why the line has its form, in a sentence. [-]
    """

    line: MeterLine
    residuals: Floats
    standardised: Floats
    residual_sd: float
    r_squared: float
    offset_t: float | None
    offset_p: float | None
    why: str


@dataclass(frozen=True, slots=True, kw_only=True)
class LackOfFit:
    """Whether a straight line is enough, judged by catches repeated at the same speed.

    Attributes
    ----------
    ratio : float
        Variance of the means about the line over variance of the repeats. [1]
    dof_line : int
        Degrees of freedom of the first. [1]
    dof_repeats : int
        Degrees of freedom of the second. [1]
    probability : float
        How often chance alone would show as large a ratio on a straight channel. [1]
    """

    ratio: float
    dof_line: int
    dof_repeats: int
    probability: float

    @property
    def straight(self) -> bool:
        """The catches do not contradict a straight line at 95 %."""
        return self.probability >= 1.0 - _LEVEL


def line_from_catches(catches: Catches, *, form: Form = "by evidence") -> LineFit:
    """The line of a channel from its catches, weighted by their doubt.

    Parameters
    ----------
    catches : Catches
        At two different speeds at least. [-]
    form : "by evidence", "origin" or "offset"
        Which line to fit; by evidence, an offset is kept only where it is significant. [-]

    Returns
    -------
    fit : LineFit
        [kg/s]

    Source: as `fitted_line`.
    """
    flows = catch_flows(catches)
    if not np.all(flows.u > 0.0):
        return fitted_line(flows.speed, flows.flow, form=form)
    fit = fitted_line(flows.speed, flows.flow, flows.u, form=form)
    # A further catch of the usual time: the scale leaves a constant doubt, stopwatch and pulsation one in proportion.
    raised = math.sqrt(fit.line.variance_factor)
    usual_time = float(np.median(catches.time))
    line = replace(
        fit.line,
        catch_sd=raised * catches.scale_uncertainty / usual_time,
        catch_relative=raised * math.hypot(catches.stopwatch_uncertainty / usual_time, catches.pulsation),
    )
    return replace(fit, line=line)


def fitted_line(
    speed: ArrayLike,
    flow: ArrayLike,
    uncertainty: ArrayLike | None = None,
    *,
    form: Form = "by evidence",
    scaling: Scaling = "cautious",
) -> LineFit:
    """The weighted least-squares line through flows at speeds.

    Parameters
    ----------
    speed : (n,) array
        Motor speeds, two different ones at least. [rev/s]
    flow : (n,) array
        Flow at each. [kg/s]
    uncertainty : (n,) array, optional
        Standard uncertainty of each flow; alike and unknown unless given. [kg/s]
    form : "by evidence", "origin" or "offset"
        Which line to fit. [-]
    scaling : "cautious" or "residual"
        Whether stated uncertainties are only ever raised to match the scatter, or taken as mere weights. [-]

    Returns
    -------
    fit : LineFit
        [kg/s]

    Raises
    ------
    NotPossible
        Catches at one single speed, or too few for the form asked for.

    Source: [Draper1998] chapters 1, 3 and 9; checked against [NIST-StRD].

    Examples
    --------
    >>> fit = fitted_line([50, 100, 150, 200, 250], [1.02, 2.11, 3.17, 4.22, 5.30], form="offset")
    >>> fit.line.slope, fit.line.intercept
    (0.02134, -0.037)
    """
    points = _Points.of(speed, flow, uncertainty)
    if points.distinct < 2:
        raise NotPossible("catches at one single speed can't tell how the flow follows the speed: catch at another")
    if points.distinct < _SPEEDS_FOR_AN_OFFSET:
        if form == "offset":
            raise NotPossible("a line with an offset needs catches at three different speeds")
        return _fit(points, scaling, "origin", why="an offset can't be tested with fewer than three speeds")
    test = _offset_test(points, scaling)
    if form != "by evidence":
        return _fit(points, scaling, form, test=test, why="as asked for")
    return _fit(points, scaling, "offset" if test.significant else "origin", test=test, why=test.words)


def lack_of_fit(
    speed: ArrayLike,
    flow: ArrayLike,
    uncertainty: ArrayLike | None = None,
    *,
    form: Literal["origin", "offset"],
) -> LackOfFit | None:
    """Whether repeated catches contradict a straight line.

    Parameters
    ----------
    speed : (n,) array
        Motor speeds; equal ones are repeats. [rev/s]
    flow : (n,) array
        Flow at each. [kg/s]
    uncertainty : (n,) array, optional
        Standard uncertainty of each flow, as weights; alike unless given. [kg/s]
    form : "origin" or "offset"
        The line to judge. [-]

    Returns
    -------
    test : LackOfFit or None
        None where it can't be judged: no repeats, repeats without any scatter, or no speeds to spare. [1]

    Source: [Draper1998] 2.1, lack of fit and pure error; [NIST-mpc].
    """
    from scipy.special import fdtrc  # noqa: PLC0415  (SciPy is slow to import)

    points = _Points.of(speed, flow, uncertainty)
    _, group = np.unique(points.speed, return_inverse=True)
    weights = np.bincount(group, points.weight)
    means = np.bincount(group, points.weight * points.flow) / weights
    repeats = float(np.sum(points.weight * (points.flow - means[group]) ** 2))
    dof_line, dof_repeats = points.distinct - (1 if form == "origin" else 2), len(points.speed) - points.distinct
    if dof_line < 1 or dof_repeats < 1 or repeats == 0.0:
        return None
    solution = _solve(points, form)
    about_line = float(np.sum(points.weight * (means[group] - solution.at(points.speed)) ** 2))
    ratio = (about_line / dof_line) / (repeats / dof_repeats)
    return LackOfFit(
        ratio=ratio,
        dof_line=dof_line,
        dof_repeats=dof_repeats,
        probability=float(fdtrc(dof_line, dof_repeats, ratio)),
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class _Points:
    """The columns of a fit, with the weight 1/u² of each point."""

    speed: Floats
    flow: Floats
    weight: Floats
    stated: bool
    distinct: int

    @classmethod
    def of(cls, speed: ArrayLike, flow: ArrayLike, uncertainty: ArrayLike | None) -> _Points:
        speeds, flows = np.asarray(speed, np.float64), np.asarray(flow, np.float64)
        doubts = np.ones_like(flows) if uncertainty is None else np.asarray(uncertainty, np.float64)
        if not speeds.shape == flows.shape == doubts.shape or speeds.ndim != 1:
            raise ValueError(f"columns of {speeds.shape}, {flows.shape} and {doubts.shape}, expected one length")
        if not np.all(np.isfinite(speeds) & np.isfinite(flows) & (doubts > 0.0) & np.isfinite(doubts)):
            raise ValueError("a speed or flow is not finite, or an uncertainty is not above zero")
        return cls(
            speed=speeds,
            flow=flows,
            weight=doubts**-2.0,
            stated=uncertainty is not None,
            distinct=len(np.unique(speeds)),
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class _Solution:
    """Best line, and its covariance for weights that are exactly right."""

    intercept: float
    slope: float
    intercept_variance: float
    slope_variance: float
    covariance: float
    dof: int

    def at(self, speed: Floats) -> Floats:
        return self.intercept + self.slope * speed


@dataclass(frozen=True, slots=True, kw_only=True)
class _OffsetTest:
    t: float
    p: float
    significant: bool
    words: str


def _solve(points: _Points, form: Literal["origin", "offset"]) -> _Solution:
    """Least squares about the weighted means, where nothing large cancels."""
    x, y, w = points.speed, points.flow, points.weight
    if form == "origin":
        square = float(np.sum(w * x * x))
        slope = float(np.sum(w * x * y)) / square
        return _Solution(
            intercept=0.0,
            slope=slope,
            intercept_variance=0.0,
            slope_variance=1.0 / square,
            covariance=0.0,
            dof=len(x) - 1,
        )
    total = float(np.sum(w))
    x_mean, y_mean = float(np.sum(w * x)) / total, float(np.sum(w * y)) / total
    square = float(np.sum(w * (x - x_mean) ** 2))
    slope = float(np.sum(w * (x - x_mean) * (y - y_mean))) / square
    return _Solution(
        intercept=y_mean - slope * x_mean,
        slope=slope,
        intercept_variance=1.0 / total + x_mean**2 / square,
        slope_variance=1.0 / square,
        covariance=-x_mean / square,
        dof=len(x) - 2,
    )


def _variance_factor(points: _Points, solution: _Solution, scaling: Scaling) -> tuple[float, float]:
    """The reduced chi-square, and the factor by which the covariance is raised."""
    reduced = float(np.sum(points.weight * (points.flow - solution.at(points.speed)) ** 2)) / solution.dof
    return reduced, max(reduced, 1.0) if points.stated and scaling == "cautious" else reduced


def _offset_test(points: _Points, scaling: Scaling) -> _OffsetTest:
    """Student's t of the offset of the line that has one."""
    solution = _solve(points, "offset")
    _, factor = _variance_factor(points, solution, scaling)
    u = math.sqrt(solution.intercept_variance * factor)
    offset = solution.intercept if abs(solution.intercept) > _ROUND_OFF * float(np.max(np.abs(points.flow))) else 0.0
    t = 0.0 if offset == 0.0 else math.copysign(math.inf, offset) if u == 0.0 else offset / u
    limit = coverage_factor(solution.dof, level=_LEVEL)
    significant = abs(t) >= limit
    relation, verdict = (">=", "stands out") if significant else ("<", "does not stand out")
    return _OffsetTest(
        t=t,
        p=chance_of_as_much(t, dof=solution.dof),
        significant=significant,
        words=f"the offset {verdict} from the scatter (|t| = {abs(t):.2f} {relation} {limit:.2f})",
    )


def _fit(
    points: _Points,
    scaling: Scaling,
    form: Literal["origin", "offset"],
    *,
    why: str,
    test: _OffsetTest | None = None,
) -> LineFit:
    solution = _solve(points, form)
    reduced, factor = _variance_factor(points, solution, scaling)
    residuals = points.flow - solution.at(points.speed)
    catch_sd, catch_relative = _typical_catch(points, factor)
    spread = np.sqrt(factor / points.weight)
    line = MeterLine(
        intercept=solution.intercept,
        slope=solution.slope,
        intercept_variance=solution.intercept_variance * factor,
        slope_variance=solution.slope_variance * factor,
        covariance=solution.covariance * factor,
        dof=solution.dof,
        through_origin=form == "origin",
        speed_low=float(np.min(points.speed)),
        speed_high=float(np.max(points.speed)),
        catches=len(points.speed),
        catch_sd=catch_sd,
        catch_relative=catch_relative,
        variance_factor=factor if points.stated else 1.0,
    )
    return LineFit(
        line=line,
        residuals=residuals,
        standardised=np.divide(residuals, spread, out=np.zeros_like(residuals), where=spread > 0.0),
        residual_sd=math.sqrt(reduced),
        r_squared=_r_squared(points, residuals, form),
        offset_t=None if test is None else test.t,
        offset_p=None if test is None else test.p,
        why=why,
    )


def _typical_catch(points: _Points, factor: float) -> tuple[float, float]:
    """Constant and relative standard deviation of a catch: the scatter, or the typical stated doubt, raised."""
    if not points.stated:
        return math.sqrt(factor), 0.0
    flowing = points.flow != 0.0
    relative = np.abs(1.0 / (np.sqrt(points.weight[flowing]) * points.flow[flowing]))
    return 0.0, math.sqrt(factor) * float(np.median(relative)) if relative.size else 0.0


def _r_squared(points: _Points, residuals: Floats, form: Literal["origin", "offset"]) -> float:
    """About zero for a line through the origin: about the mean it could turn negative."""
    w, y = points.weight, points.flow
    centre = 0.0 if form == "origin" else float(np.sum(w * y) / np.sum(w))
    total = float(np.sum(w * (y - centre) ** 2))
    return 1.0 - float(np.sum(w * residuals**2)) / total if total > 0.0 else 1.0
