"""What a motor speed delivers: the straight line of one metered channel, and how to use it both ways.

A screw or a pump with closed chambers delivers in proportion to its speed, perhaps less a constant leak. The line
through timed catches says how much; its covariance says how well that is known. Asked forward it gives the flow at
a speed, asked backward the speed for a flow. Both come with their doubt, and both say when they leave the range in
which anything was caught.

How a line is found stands in `metering_fit`; where to catch next, in `metering_design`.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from evenbead.errors import NotPossible
from evenbead.physics.uncertainty import Estimate, chance_of_as_much, coverage_factor, effective_dof

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Numbers = float | NDArray[np.float64]
    Flags = bool | NDArray[np.bool_]


@dataclass(frozen=True, slots=True, kw_only=True)
class MeterLine:
    """Mass flow against motor speed: flow = intercept + slope · speed.

    Attributes
    ----------
    intercept : float
        Flow at no speed; zero when the line goes through the origin, below it for a leak. [kg/s]
    slope : float
        Mass delivered by each revolution. [kg/rev]
    intercept_variance : float
        Square of the standard uncertainty of the intercept. [kg^2/s^2]
    slope_variance : float
        Square of the standard uncertainty of the slope. [kg^2/rev^2]
    covariance : float
        Of the two; mostly negative. [kg^2/s/rev]
    dof : float
        Degrees of freedom: catches less fitted numbers. [1]
    through_origin : bool
        The intercept was not fitted. [-]
    speed_low : float
        Slowest catch. [rev/s]
    speed_high : float
        Fastest catch. [rev/s]
    catches : int
        How many there were. [1]
    catch_sd : float
        Standard deviation of a single catch that does not depend on its flow. [kg/s]
    catch_relative : float
        Standard deviation of a single catch over its flow; the two add as squares. [1]
    variance_factor : float
        By how much the variances of the catches were raised to match their scatter about the line; 1 when they
        scatter no more than was expected of them. [1]
    """

    intercept: float
    slope: float
    intercept_variance: float
    slope_variance: float
    covariance: float
    dof: float
    through_origin: bool
    speed_low: float
    speed_high: float
    catches: int
    catch_sd: float = 0.0
    catch_relative: float = 0.0
    variance_factor: float = 1.0

    @property
    def covariance_matrix(self) -> NDArray[np.float64]:
        """Of intercept and slope, in this order. [-]"""
        return np.array([[self.intercept_variance, self.covariance], [self.covariance, self.slope_variance]])


@dataclass(frozen=True, slots=True, kw_only=True)
class Interval:
    """Where a value is expected, at a stated level.

    Attributes
    ----------
    low : float or array
        Lower end, in the unit of the value. [-]
    high : float or array
        Upper end, in the unit of the value. [-]
    level : float
        Share of cases that the interval holds. [1]
    """

    low: Numbers
    high: Numbers
    level: float


@dataclass(frozen=True, slots=True, kw_only=True)
class SpeedForFlow:
    """A motor speed read backward from a line.

    Attributes
    ----------
    speed : float or array
        Best estimate. [rev/s]
    u : float or array
        Standard uncertainty, first order. [rev/s]
    dof : float
        Degrees of freedom behind it. [1]
    interval : Interval
        The exact interval, which is a little lopsided. [rev/s]
    weakness : float
        Fieller's g: the square of the slope's relative half width. Small for a good line; at 1 the slope can't be told
        from zero. [1]
    within_catches : bool or array
        The speed lies between the slowest and the fastest catch. [-]
    """

    speed: Numbers
    u: Numbers
    dof: float
    interval: Interval
    weakness: float
    within_catches: Flags


@dataclass(frozen=True, slots=True, kw_only=True)
class Drift:
    """How far a channel has moved between two lines.

    Attributes
    ----------
    difference : float
        New flow less old flow, at the same speed. [kg/s]
    relative : float
        The same over the old flow. [1]
    u : float
        Standard uncertainty of the difference. [kg/s]
    dof : float
        Degrees of freedom behind it. [1]
    probability : float
        How often chance alone would show as much or more, if nothing had moved. [1]
    significant : bool
        The difference is larger than its uncertainty at the level asked for. [-]
    """

    difference: float
    relative: float
    u: float
    dof: float
    probability: float
    significant: bool


def flow_at(line: MeterLine, speed: Numbers) -> Estimate:
    """The mean flow at a motor speed, with the uncertainty of the line alone.

    Parameters
    ----------
    line : MeterLine
        Of this channel. [-]
    speed : float or array
        Motor speed. [rev/s]

    Returns
    -------
    flow : Estimate
        A single catch scatters more than this: see `further_catch`. [kg/s]

    Valid for: speeds within the catches; beyond them the line is a guess that `within_catches` marks.

    Source: [Draper1998] chapter 3; [GUM2008] H.3.

    Examples
    --------
    >>> line = MeterLine(intercept=0.0, slope=0.02, intercept_variance=0.0, slope_variance=1e-8, covariance=0.0,
    ...                  dof=4, through_origin=True, speed_low=1.0, speed_high=10.0, catches=5)
    >>> flow = flow_at(line, 5.0)
    >>> flow.value, float(flow.u)
    (0.1, 0.0005)
    """
    return Estimate(value=line.intercept + line.slope * speed, u=np.sqrt(_line_variance(line, speed)), dof=line.dof)


def further_catch(line: MeterLine, speed: Numbers, *, level: float = 0.95) -> Interval:
    """Where one further catch at a speed is expected, if nothing has changed.

    Parameters
    ----------
    line : MeterLine
        Of this channel. [-]
    speed : float or array
        Motor speed of the catch. [rev/s]
    level : float
        Share of such catches that the interval holds. [1]

    Returns
    -------
    flow : Interval
        [kg/s]

    Source: [Draper1998] chapter 3.
    """
    flow = line.intercept + line.slope * speed
    half = coverage_factor(line.dof, level=level) * np.sqrt(_line_variance(line, speed) + catch_variance(line, flow))
    return Interval(low=flow - half, high=flow + half, level=level)


def within_catches(line: MeterLine, speed: Numbers) -> Flags:
    """Whether a speed lies in the range in which something was caught.

    Parameters
    ----------
    line : MeterLine
        Of this channel. [-]
    speed : float or array
        Motor speed. [rev/s]

    Returns
    -------
    within : bool or array
        [-]

    Source: common practice, no source: a fitted line is trusted between its points.
    """
    flags: Flags = ((np.asarray(speed) >= line.speed_low) & (np.asarray(speed) <= line.speed_high))[()]
    return flags


def speed_for(line: MeterLine, flow: Numbers, *, readings: float = math.inf, level: float = 0.95) -> SpeedForFlow:
    """The motor speed that gives a flow.

    The exact interval holds every speed at which the line, within its doubt, can give the flow (Fieller). A flow that
    is wanted is known exactly; one that was caught at an unknown speed carries the scatter of its catches as well.

    Parameters
    ----------
    line : MeterLine
        Of this channel. [-]
    flow : float or array
        Wanted, or caught. [kg/s]
    readings : float
        Number of catches of which `flow` is the mean; infinite for a flow that is wanted. [1]
    level : float
        Share that the interval holds. [1]

    Returns
    -------
    speed : SpeedForFlow
        With its doubt. [rev/s]

    Raises
    ------
    NotPossible
        The slope can't be told from zero, or no forward speed gives this flow.

    Source: [Draper1998] 3.2, inverse regression; [NIST-mpc] for the first-order form.

    Examples
    --------
    >>> line = MeterLine(intercept=0.0, slope=0.02, intercept_variance=0.0, slope_variance=1e-8, covariance=0.0,
    ...                  dof=4, through_origin=True, speed_low=1.0, speed_high=10.0, catches=5)
    >>> found = speed_for(line, 0.1)
    >>> found.speed, float(found.u)
    (5.0, 0.025)
    """
    factor = coverage_factor(line.dof, level=level)
    weakness = math.inf if line.slope <= 0.0 else factor**2 * line.slope_variance / line.slope**2
    if weakness >= 1.0:
        raise NotPossible("these catches can't tell that the flow rises with the speed: no speed can be read from them")
    speed = (flow - line.intercept) / line.slope
    if np.any(np.asarray(speed) < 0.0):
        raise NotPossible("no forward speed gives a flow this small: the line starts above it")
    variance = _line_variance(line, speed) + catch_variance(line, flow) / readings
    lower, upper = _fieller(line, speed, variance, factor=factor, weakness=weakness)
    return SpeedForFlow(
        speed=speed,
        u=np.sqrt(variance) / line.slope,
        dof=line.dof,
        interval=Interval(low=speed + lower, high=speed + upper, level=level),
        weakness=weakness,
        within_catches=within_catches(line, speed),
    )


def drift(old: MeterLine, new: MeterLine, *, speed: float, level: float = 0.95) -> Drift:
    """How far the flow at one speed has moved from an old line to a new one, and whether that is more than chance.

    Parameters
    ----------
    old : MeterLine
        The line trusted so far. [-]
    new : MeterLine
        The line of fresh catches of the same channel. [-]
    speed : float
        Motor speed at which it matters. [rev/s]
    level : float
        Confidence at which a drift counts as significant. [1]

    Returns
    -------
    drift : Drift
        [kg/s]

    Source: [GUM2008] eq. 10 and G.2b, for the difference of two independent values.
    """
    before, after = flow_at(old, speed), flow_at(new, speed)
    difference = float(after.value - before.value)
    u = math.hypot(float(before.u), float(after.u))
    dof = effective_dof([float(before.u), float(after.u)], [before.dof, after.dof])
    # Two lines without any doubt differ by what they differ; nothing is left to chance.
    t = difference / u if u > 0.0 else math.inf if difference else 0.0
    return Drift(
        difference=difference,
        relative=difference / float(before.value) if before.value else math.inf,
        u=u,
        dof=dof,
        probability=chance_of_as_much(t, dof=dof),
        significant=abs(t) > coverage_factor(dof, level=level),
    )


def catch_variance(line: MeterLine, flow: Numbers) -> Numbers:
    """The variance of a single catch at a flow, about the line.

    A part that is constant and a part in proportion to the flow. The second is not carried below the slowest catch:
    a smaller catch is not surer than those that were made, and where the line meets zero it would seem exact.

    Parameters
    ----------
    line : MeterLine
        Of this channel. [-]
    flow : float or array
        Mean flow at the speed of the catch. [kg/s]

    Returns
    -------
    variance : float or array
        [kg^2/s^2]

    Source: [GUM2008] eq. 10 for two independent parts; the floor is common practice, no source.
    """
    slowest = line.intercept + line.slope * line.speed_low
    variance: Numbers = (line.catch_sd**2 + (line.catch_relative * np.maximum(np.abs(flow), abs(slowest))) ** 2)[()]
    return variance


def _line_variance(line: MeterLine, speed: Numbers) -> Numbers:
    """Variance of the fitted flow at a speed. [kg^2/s^2]"""
    raw = line.intercept_variance + 2.0 * line.covariance * speed + line.slope_variance * speed**2
    variance: Numbers = np.maximum(raw, 0.0)[()]
    return variance


def _fieller(
    line: MeterLine, speed: Numbers, variance: Numbers, *, factor: float, weakness: float
) -> tuple[Numbers, Numbers]:
    """Both ends of the exact interval, as distances from the best estimate.

    With d that distance, (b d)² = t² (variance + 2 c d + var_b d²), where c is the covariance of slope and flow at the
    best estimate. Solved about the best estimate, where little cancels.
    """
    square = factor**2 / line.slope**2
    lean = square * (line.covariance + line.slope_variance * speed)
    half = np.sqrt(lean**2 + (1.0 - weakness) * square * variance)
    return (lean - half) / (1.0 - weakness), (lean + half) / (1.0 - weakness)
