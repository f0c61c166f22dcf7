"""Timed catches of one metered channel: a mass in a time at a motor speed, and how far to trust it.

The doubt of a catch comes from the scale, the stopwatch and the pulsation of the channel. It weights the catch when a
line is fitted (see `metering_fit`).
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Catches:
    """Timed catches of one channel.

    Attributes
    ----------
    speed : (n,) array
        Motor speed of each. [rev/s]
    mass : (n,) array
        What was caught. [kg]
    time : (n,) array
        For how long. [s]
    scale_uncertainty : float
        Standard uncertainty of a mass. [kg]
    stopwatch_uncertainty : float
        Standard uncertainty of a time, with the hand that holds the bucket. [s]
    pulsation : float
        Standard deviation of a catch that stems from the beat of the channel, over its flow. [1]
    """

    speed: Floats
    mass: Floats
    time: Floats
    scale_uncertainty: float = 0.0
    stopwatch_uncertainty: float = 0.0
    pulsation: float = 0.0

    def __post_init__(self) -> None:
        for name in ("speed", "mass", "time"):
            column = np.array(getattr(self, name), np.float64)
            if column.ndim != 1 or column.shape != np.shape(self.speed):
                raise ValueError(f"{name} has shape {column.shape}, expected that of speed, {np.shape(self.speed)}")
            if not np.all(np.isfinite(column) & (column > 0.0)):
                raise ValueError(f"{name} is not above zero in every catch")
            column.setflags(write=False)
            object.__setattr__(self, name, column)
        for name in ("scale_uncertainty", "stopwatch_uncertainty", "pulsation"):
            if not 0.0 <= getattr(self, name) < math.inf:
                raise ValueError(f"{name} is {getattr(self, name)}, expected zero or more")


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class CatchFlows:
    """The mass flow of each catch.

    Attributes
    ----------
    speed : (n,) array
        Motor speed. [rev/s]
    flow : (n,) array
        Mass over time. [kg/s]
    u : (n,) array
        Standard uncertainty of the flow; zero when no doubt was stated. [kg/s]
    """

    speed: Floats
    flow: Floats
    u: Floats


def catch_flows(catches: Catches) -> CatchFlows:
    """The mass flow of each catch, with its standard uncertainty.

    Parameters
    ----------
    catches : Catches
        As weighed and timed. [-]

    Returns
    -------
    flows : CatchFlows
        [kg/s]

    Valid for: doubts that are independent from catch to catch. A scale that reads wrong in proportion moves the whole
    line and is not seen here.

    Source: [GUM2008] 5.1.6, relative variances of a quotient.

    Examples
    --------
    >>> flows = catch_flows(Catches(speed=[2.5], mass=[1.31], time=[60.0], scale_uncertainty=0.005,
    ...                             stopwatch_uncertainty=0.3))
    >>> flows.flow * 60, flows.u / flows.flow
    (array([1.31]), array([0.00629]))
    """
    flow = catches.mass / catches.time
    relative = np.sqrt(
        (catches.scale_uncertainty / catches.mass) ** 2
        + (catches.stopwatch_uncertainty / catches.time) ** 2
        + catches.pulsation**2
    )
    return CatchFlows(speed=catches.speed, flow=flow, u=flow * relative)
