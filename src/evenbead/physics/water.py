"""Properties of the mixing water."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Numbers = float | NDArray[np.float64]

WATER_DENSITY = 998.2
"""Water at 20 °C. [kg/m^3]  Source: [Tanaka2001], rounded."""

# [Tanaka2001] table 1: the coefficients a1 to a5 of the density of ordinary, air-free water.
_TANAKA = (-3.983_035, 301.797, 522_528.9, 69.348_81, 999.974_950)
_COLDEST_C, _WARMEST_C = 0.0, 40.0


def water_density(temperature_c: Numbers) -> Numbers:
    """Density of ordinary water, free of air, at atmospheric pressure.

    Parameters
    ----------
    temperature_c : float or array
        Water temperature, 0 to 40. [degC]

    Returns
    -------
    density : float or array
        [kg/m^3]

    Valid for: 0 to 40 °C; refused outside.

    Source: [Tanaka2001] eq. 1 and table 1.

    Examples
    --------
    >>> water_density(20.0)
    998.207
    """
    reading = np.asarray(temperature_c, float)
    if not np.all((reading >= _COLDEST_C) & (reading <= _WARMEST_C)):
        raise ValueError(f"temperature_c is {temperature_c}, expected {_COLDEST_C} to {_WARMEST_C}")
    a1, a2, a3, a4, a5 = _TANAKA
    return a5 * (1.0 - (temperature_c + a1) ** 2 * (temperature_c + a2) / (a3 * (temperature_c + a4)))
