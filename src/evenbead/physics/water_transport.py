"""How water holds heat, conducts it and flows: what coils, hoses and heat balances need of it.

Viscosity and conductivity are short fits to the reference equations of water at atmospheric pressure. Its specific
heat changes by half a percent between 0 and 60 °C and stands as a constant.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from evenbead.physics.ranges import within

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Numbers = float | NDArray[np.float64]

WATER_HEAT = 4186.0
"""Specific heat of liquid water; 4178 to 4220 between 0 and 60 °C. [J/kg/K]  Source: [IAPWS-SR6], rounded."""

ICE_HEAT = 2100.0
"""Specific heat of ice just below its melting point. [J/kg/K]  Source: from memory."""

MELTING_HEAT = 334e3
"""Heat taken up by melting ice, at 0 °C. [J/kg]  Source: [CRD-C307], 143.5 Btu/lb, rounded."""

_COLDEST_C, _WARMEST_C = 0.0, 100.0
_REFERENCE_KELVIN = 300.0
_ZERO_KELVIN = 273.15

# [IAPWS-SR6] equations 7 and 8: factor and exponent of each power of T/300 K.
_VISCOSITY = ((280.68, -1.9), (511.45, -7.7), (61.131, -19.6), (0.45903, -40.0))
_CONDUCTIVITY = ((1.6630, -1.15), (-1.7781, -3.4), (1.1567, -6.0), (-0.432115, -7.6))


def water_viscosity(temperature_c: Numbers) -> Numbers:
    """Dynamic viscosity of liquid water at atmospheric pressure.

    Parameters
    ----------
    temperature_c : float or array
        Water temperature, 0 to 100. [degC]

    Returns
    -------
    viscosity : float or array
        [Pa*s]

    Valid for: 0 to 100 °C; refused outside.

    Source: [IAPWS-SR6] eq. 7.

    Examples
    --------
    >>> water_viscosity(20.0) * 1000
    1.0016
    """
    return 1e-6 * _powers(temperature_c, _VISCOSITY)


def water_conductivity(temperature_c: Numbers) -> Numbers:
    """Thermal conductivity of liquid water at atmospheric pressure.

    Parameters
    ----------
    temperature_c : float or array
        Water temperature, 0 to 100. [degC]

    Returns
    -------
    conductivity : float or array
        [W/m/K]

    Valid for: 0 to 100 °C; refused outside.

    Source: [IAPWS-SR6] eq. 8.

    Examples
    --------
    >>> water_conductivity(20.0)
    0.598
    """
    return _powers(temperature_c, _CONDUCTIVITY)


def water_prandtl(temperature_c: Numbers) -> Numbers:
    """Prandtl number of liquid water: how much faster it passes on momentum than heat.

    Parameters
    ----------
    temperature_c : float or array
        Water temperature, 0 to 100. [degC]

    Returns
    -------
    prandtl : float or array
        [1]

    Valid for: 0 to 100 °C; refused outside.

    Source: the definition, viscosity · specific heat / conductivity.

    Examples
    --------
    >>> water_prandtl(10.0)
    9.445
    """
    return water_viscosity(temperature_c) * WATER_HEAT / water_conductivity(temperature_c)


def _powers(temperature_c: Numbers, terms: tuple[tuple[float, float], ...]) -> Numbers:
    """The sum of powers of the reduced temperature."""
    reading = within(temperature_c, "temperature_c", at_least=_COLDEST_C, at_most=_WARMEST_C)
    reduced = (reading + _ZERO_KELVIN) / _REFERENCE_KELVIN
    total: Numbers = sum(factor * reduced**exponent for factor, exponent in terms)
    return total
