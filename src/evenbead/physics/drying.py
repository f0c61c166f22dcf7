"""How fast water leaves the face of a fresh bead.

Two formulas are in use, both for a free water surface and both for slabs. Printed mortar bleeds almost nothing, so that
they are upper bounds for the loss; a wall has two faces and no mould, so that its trouble starts at lower rates than a
slab's. Either can be off by 40 %: both are always given, and a conclusion holds only where it holds for both.

Wind is that half a metre above the surface. A weather station's, at 10 m, is carried down by `wind_at_height`. How
much has left until the next bead covers the face stands in `drying_dose`.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from evenbead.physics.ranges import within

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Numbers = float | NDArray[np.float64]

_HOUR = 3600.0
_KM_H = 1.0 / 3.6


@dataclass(frozen=True, slots=True, kw_only=True)
class Evaporation:
    """Water lost from a wet face each second, by both formulas.

    Attributes
    ----------
    uno : float or array
        By Uno's formula. [kg/m^2/s]
    menzel : float or array
        By Menzel's. [kg/m^2/s]
    """

    uno: Numbers
    menzel: Numbers

    @property
    def higher(self) -> Numbers:
        """The cautious one of the two. [kg/m^2/s]"""
        higher: Numbers = np.maximum(self.uno, self.menzel)
        return higher

    @property
    def lower(self) -> Numbers:
        """The hopeful one of the two. [kg/m^2/s]"""
        lower: Numbers = np.minimum(self.uno, self.menzel)
        return lower


@dataclass(frozen=True, slots=True, kw_only=True)
class EvaporationLimit:
    """A rate above which somebody asks for measures against drying.

    Attributes
    ----------
    rate : float
        [kg/m^2/s]
    meant_for : str
        What it was set for. [-]
    source : str
        Who set it, and how we know. [-]
    """

    rate: float
    meant_for: str
    source: str


@dataclass(frozen=True, slots=True, kw_only=True)
class UnoConstants:
    """The constants of E = c [(T_c + d)^2.5 - r (T_a + d)^2.5] (V + e), as printed with E in kg/m²/h and V in km/h.

    Attributes
    ----------
    scale : float
        c. [-]
    offset : float
        d. [-]
    still_air : float
        e. [-]
    """

    scale: float
    offset: float
    still_air: float


@dataclass(frozen=True, slots=True, kw_only=True)
class MenzelConstants:
    """The constants of W = c (e_0 - e_a) (a + b V), as printed with W in kg/m²/h, pressures in kPa and V in km/h.

    Attributes
    ----------
    scale : float
        c. [-]
    still_air : float
        a. [-]
    wind : float
        b. [-]
    """

    scale: float
    still_air: float
    wind: float


UNO_METRIC = UnoConstants(scale=5e-6, offset=18.0, still_air=4.0)
"""Uno's own rounded constants. Source: [Uno1998]; seen quoted."""

UNO_FROM_US = UnoConstants(scale=5.275e-6, offset=17.778, still_air=4.023_36)
"""The same formula from °F, mph and lb/ft²/h without rounding: 4 to 5 % more. Source: a weather meter's note, seen."""

MENZEL_METRIC = MenzelConstants(scale=0.315, still_air=0.253, wind=0.060)
"""The rounded metric form. Source: [ACI-305R]; from memory."""

# 0.44 lb/ft²/h for each psi, 0.253 + 0.096 for each mph.
_POUND_PER_SQUARE_FOOT, _PSI_IN_KPA, _MPH_IN_KM_H = 4.882_428, 6.894_757, 1.609_344
MENZEL_US = MenzelConstants(
    scale=0.44 * _POUND_PER_SQUARE_FOOT / _PSI_IN_KPA, still_air=0.253, wind=0.096 / _MPH_IN_KM_H
)
"""The form behind the nomograph, converted exactly. Source: [Menzel1954]; seen in a public program."""

EVAPORATION_LIMITS = (
    EvaporationLimit(
        rate=0.5 / _HOUR,
        meant_for="mixes that bleed little; taken over from slabs as the warning for printed walls",
        source="[ACI-305R] as quoted by a supplier of silica fume; for walls: common practice, no source",
    ),
    EvaporationLimit(
        rate=0.75 / _HOUR,
        meant_for="mixes with fine supplementary binders, between the other two",
        source="[ACI-305R]; from memory",
    ),
    EvaporationLimit(
        rate=1.0 / _HOUR,
        meant_for="ordinary concrete slabs",
        source="[ACI-305R], 0.2 lb/ft²/h, as quoted in several places",
    ),
)
"""Rates at which measures are asked for, lowest first. They are data: a site may put its own in their place."""


def saturation_vapour_pressure(temperature_c: Numbers) -> Numbers:
    """Pressure of water vapour in air that can hold no more.

    Parameters
    ----------
    temperature_c : float or array
        Of the air, or of the wet face. [degC]

    Returns
    -------
    pressure : float or array
        [Pa]

    Valid for: 0 to 50 °C, within 0.3 % of tables; the constants are those the evaporation formulas were made with.

    Source: [Uno1998]; from memory.

    Examples
    --------
    >>> float(saturation_vapour_pressure(30.0))
    4251.7
    """
    temperature = np.asarray(within(temperature_c, "temperature_c", at_least=-20.0, at_most=80.0), float)
    pressure: Numbers = (610.0 * np.exp(17.3 * temperature / (237.3 + temperature)))[()]
    return pressure


def uno_evaporation(
    *,
    mortar_temp_c: Numbers,
    air_temp_c: Numbers,
    humidity: Numbers,
    wind: Numbers,
    constants: UnoConstants = UNO_METRIC,
) -> Numbers:
    """Water lost from a wet face each second, by Uno's formula.

    Parameters
    ----------
    mortar_temp_c : float or array
        Of the face. [degC]
    air_temp_c : float or array
        [degC]
    humidity : float or array
        Of the air, 0 to 1. [1]
    wind : float or array
        Half a metre above the face. [m/s]
    constants : UnoConstants
        Which version of it. [-]

    Returns
    -------
    rate : float or array
        Zero where water would condense on the face. [kg/m^2/s]

    Valid for: a free water surface, 15 to 40 °C: an upper bound for mortar, within about 40 %.

    Source: [Uno1998].

    Examples
    --------
    >>> air = {"air_temp_c": 30.0, "humidity": 0.4, "wind": 20 / 3.6}
    >>> float(uno_evaporation(mortar_temp_c=30.0, **air)) * 3600
    1.1493
    """
    _check_air(humidity, wind)
    c = constants
    of_face = (np.asarray(mortar_temp_c, float) + c.offset) ** 2.5
    of_air = humidity * (np.asarray(air_temp_c, float) + c.offset) ** 2.5
    hourly = c.scale * (of_face - of_air) * (np.asarray(wind, float) / _KM_H + c.still_air)
    rate: Numbers = (np.maximum(hourly, 0.0) / _HOUR)[()]
    return rate


def menzel_evaporation(
    *,
    mortar_temp_c: Numbers,
    air_temp_c: Numbers,
    humidity: Numbers,
    wind: Numbers,
    constants: MenzelConstants = MENZEL_METRIC,
) -> Numbers:
    """Water lost from a wet face each second, by the formula behind the nomograph for slabs.

    Parameters
    ----------
    mortar_temp_c : float or array
        Of the face. [degC]
    air_temp_c : float or array
        [degC]
    humidity : float or array
        Of the air, 0 to 1. [1]
    wind : float or array
        Half a metre above the face. [m/s]
    constants : MenzelConstants
        Which version of it. [-]

    Returns
    -------
    rate : float or array
        Zero where water would condense on the face. [kg/m^2/s]

    Valid for: as `uno_evaporation`.

    Source: [Menzel1954] and [ACI-305R].

    Examples
    --------
    >>> air = {"air_temp_c": 30.0, "humidity": 0.5, "wind": 20 / 3.6}
    >>> float(menzel_evaporation(mortar_temp_c=30.0, **air)) * 3600
    0.973
    """
    _check_air(humidity, wind)
    of_air = humidity * saturation_vapour_pressure(air_temp_c)
    lack = (saturation_vapour_pressure(mortar_temp_c) - of_air) / 1000.0
    hourly = constants.scale * lack * (constants.still_air + constants.wind * np.asarray(wind, float) / _KM_H)
    rate: Numbers = (np.maximum(hourly, 0.0) / _HOUR)[()]
    return rate


def evaporation(*, mortar_temp_c: Numbers, air_temp_c: Numbers, humidity: Numbers, wind: Numbers) -> Evaporation:
    """Water lost from a wet face each second, by both formulas in their metric form.

    Parameters
    ----------
    mortar_temp_c : float or array
        Of the face. [degC]
    air_temp_c : float or array
        [degC]
    humidity : float or array
        Of the air, 0 to 1. [1]
    wind : float or array
        Half a metre above the face. [m/s]

    Returns
    -------
    evaporation : Evaporation
        [kg/m^2/s]

    Valid for: as `uno_evaporation`.

    Source: as `uno_evaporation` and `menzel_evaporation`.
    """
    return Evaporation(
        uno=uno_evaporation(mortar_temp_c=mortar_temp_c, air_temp_c=air_temp_c, humidity=humidity, wind=wind),
        menzel=menzel_evaporation(mortar_temp_c=mortar_temp_c, air_temp_c=air_temp_c, humidity=humidity, wind=wind),
    )


def wind_at_height(
    wind: Numbers, *, measured_at: float = 10.0, height: float = 0.5, roughness: float = 0.01
) -> Numbers:
    """Wind near the face from that of a mast: the logarithmic profile over open ground.

    Parameters
    ----------
    wind : float or array
        At the mast. [m/s]
    measured_at : float
        Height of the mast. [m]
    height : float
        Where it is wanted, above the roughness. [m]
    roughness : float
        Height at which the profile vanishes: some 0.01 for bare ground, 0.03 for grass. [m]

    Returns
    -------
    wind : float or array
        [m/s]

    Valid for: open ground. Between buildings, and along a wall, it can be either more or less: measure it there.

    Source: [FAO-56] eq. 47 for short grass; the roughness of bare ground is from memory.

    Examples
    --------
    >>> wind_at_height(5.0)
    2.83
    """
    within(roughness, "roughness", above=0.0, below=min(height, measured_at))
    return wind * float(np.log(height / roughness) / np.log(measured_at / roughness))


def _check_air(humidity: Numbers, wind: Numbers) -> None:
    within(humidity, "humidity", at_least=0.0, at_most=1.0)
    within(wind, "wind", at_least=0.0)
