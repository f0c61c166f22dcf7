"""Where the next catch helps most."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from evenbead.physics.metering import catch_variance, flow_at

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from evenbead.physics.metering import MeterLine

    Floats = NDArray[np.float64]

# Gains that agree this closely are the same gain: the catch is then made where the day's work is.
_SAME_GAIN = 1e-9


@dataclass(frozen=True, slots=True, kw_only=True)
class NextCatch:
    """Where to catch once more, and what that brings.

    Attributes
    ----------
    speed : float
        Motor speed of the catch. [rev/s]
    u_before : float
        Standard uncertainty of the flow at the wanted speed as it is. [kg/s]
    u_after : float
        What is left of it after the catch. [kg/s]
    reduction : float
        Share of the uncertainty that the catch takes away. [1]
    """

    speed: float
    u_before: float
    u_after: float
    reduction: float


def next_catch_speed(line: MeterLine, *, wanted: float, lowest: float, highest: float) -> NextCatch:
    """The speed at which one further catch most narrows the flow at a wanted speed.

    The catch is taken to scatter like those before it (`catch_variance`). For covariance matrix C and a = (1, speed),
    one catch of variance v lowers the variance at the wanted speed by (a C a_wanted)²/(v + a C a). That is a quotient
    of two parabolas, whose single inner peak has a closed form, once for catches slower than the slowest so far and
    once for all others.

    Parameters
    ----------
    line : MeterLine
        Of this channel so far. [-]
    wanted : float
        Speed at which the channel is to run. [rev/s]
    lowest : float
        Slowest speed of the motor. [rev/s]
    highest : float
        Fastest speed of the motor. [rev/s]

    Returns
    -------
    catch : NextCatch
        Where several speeds are as good, the one nearest to the wanted speed. [rev/s]

    Valid for: a line that is straight, as fitted; it doesn't look for bends. A line through the origin whose catches
    scatter in proportion to their flow learns as much at any speed.

    Source: rank-one update of a least-squares covariance, [Atkinson2007], c-optimality; from memory.

    Examples
    --------
    >>> from evenbead.physics.metering import MeterLine
    >>> line = MeterLine(intercept=0.0, slope=0.02, intercept_variance=4e-8, slope_variance=1e-8, covariance=-1e-8,
    ...                  dof=3, through_origin=False, speed_low=1.0, speed_high=4.0, catches=5, catch_sd=4e-4)
    >>> next_catch_speed(line, wanted=8.0, lowest=0.5, highest=12.0).speed
    12.0
    """
    if not lowest <= highest:
        raise ValueError(f"the motor runs from {lowest} to {highest} rev/s, expected the lower speed first")
    u_before = float(flow_at(line, wanted).u)
    candidates = np.array(
        [min(max(wanted, lowest), highest), lowest, highest, line.speed_low, *_inner_peaks(line, wanted)]
    )
    candidates = candidates[(candidates >= lowest) & (candidates <= highest)]
    gains = _gain(line, candidates, wanted)
    good = candidates[gains >= np.max(gains) * (1.0 - _SAME_GAIN)]
    speed = float(good[np.argmin(np.abs(good - wanted))])
    u_after = float(np.sqrt(max(u_before**2 - float(np.max(gains)), 0.0)))
    reduction = 1.0 - u_after / u_before if u_before > 0.0 else 0.0
    return NextCatch(speed=speed, u_before=u_before, u_after=u_after, reduction=reduction)


def _gain(line: MeterLine, speed: Floats, wanted: float) -> Floats:
    """Variance at the wanted speed that a catch at each speed takes away. [kg^2/s^2]"""
    constant, rise = line.covariance_matrix @ (1.0, wanted)
    flow = flow_at(line, speed)
    total = np.asarray(flow.u, float) ** 2 + catch_variance(line, flow.value)
    gain: Floats = np.divide((constant + rise * speed) ** 2, total, out=np.zeros_like(speed), where=total > 0.0)
    return gain


def _inner_peaks(line: MeterLine, wanted: float) -> list[float]:
    """Where the gain is level between the ends, if anywhere: below the slowest catch, and above it."""
    constant, rise = line.covariance_matrix @ (1.0, wanted)
    share = line.catch_relative**2
    slowest = line.intercept + line.slope * line.speed_low
    peaks = []
    # The flow that the doubt of the catch follows, as a line: constant, or that of the channel itself.
    for start, climb in ((slowest, 0.0), (line.intercept, line.slope)):
        # v + a C a as a parabola in the speed of the catch: level + tilt · speed + bend · speed²
        level = line.catch_sd**2 + share * start**2 + line.intercept_variance
        tilt = 2.0 * (share * start * climb + line.covariance)
        bend = share * climb**2 + line.slope_variance
        below = rise * tilt - 2.0 * constant * bend
        if below != 0.0:
            peaks.append((constant * tilt - 2.0 * rise * level) / below)
    return peaks
