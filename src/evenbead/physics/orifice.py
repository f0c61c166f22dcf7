"""Flow through a narrow place: an orifice, and a valve that nobody touches."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

import numpy as np

from evenbead.physics.ranges import within
from evenbead.physics.water import WATER_DENSITY

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Numbers = float | NDArray[np.float64]

ORIFICE_EXPONENT = 0.5
"""Flow against pressure drop, where a valve or a narrow place makes it. [1]  Source: [CengelCimbala2006] chapter 8."""

ORIFICE_DISCHARGE = 0.61
"""Of a sharp-edged orifice. [1]  Source: [CengelCimbala2006] chapter 8."""


def orifice_flow(
    *,
    pressure_drop: Numbers,
    orifice: Numbers,
    bore: Numbers,
    density: Numbers = WATER_DENSITY,
    discharge: Numbers = ORIFICE_DISCHARGE,
) -> Numbers:
    """Flow through an orifice in a pipe, Q = C A √(2 ΔP/(density (1 - β⁴))), β = orifice/bore.

    Parameters
    ----------
    pressure_drop : float or array
        Between taps before and behind it, not below zero. [Pa]
    orifice : float or array
        Diameter of the hole. [m]
    bore : float or array
        Of the pipe, wider than the hole. [m]
    density : float or array
        Of the liquid. [kg/m^3]
    discharge : float or array
        Discharge coefficient. [1]

    Returns
    -------
    flow : float or array
        [m^3/s]

    Source: [CengelCimbala2006] chapter 8.

    Examples
    --------
    >>> float(orifice_flow(pressure_drop=13825.0, orifice=0.03, bore=0.04, density=788.4)) * 1000
    3.088
    """
    ratio = np.divide(orifice, within(bore, "bore", above=0.0))
    within(ratio, "orifice over bore", above=0.0, below=1.0)
    within(pressure_drop, "pressure_drop", at_least=0.0)
    area = math.pi / 4.0 * np.square(orifice)
    flow: Numbers = discharge * area * np.sqrt(2.0 * np.asarray(pressure_drop) / (density * (1.0 - ratio**4)))
    return flow


def fixed_valve_flow_ratio(pressure_ratio: Numbers, *, exponent: Numbers = ORIFICE_EXPONENT) -> Numbers:
    """By what the flow through a valve that nobody touches changes, when the pressure before it does.

    A tenth more pressure is a twentieth more water, and as much more in the water/powder ratio. A metering pump with
    closed chambers does not do this.

    Parameters
    ----------
    pressure_ratio : float or array
        New pressure drop over old. [1]
    exponent : float or array
        0.5 for a valve, 0.54 for a long pipe. [1]

    Returns
    -------
    flow_ratio : float or array
        New flow over old. [1]

    Source: [CengelCimbala2006] chapter 8, as in `orifice_flow`.

    Examples
    --------
    >>> fixed_valve_flow_ratio(1.10), fixed_valve_flow_ratio(0.90)
    (1.0488, 0.9487)
    """
    return within(pressure_ratio, "pressure_ratio", at_least=0.0) ** exponent
