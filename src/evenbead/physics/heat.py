"""How warm fresh mortar comes out: a balance of the heat that powder, water, ice, accelerator and shaft bring.

Nothing is lost to the surroundings inside the mixer, so heat in is heat out. Heat is counted from liquid water and dry
powder at 0 °C; ice enters below that, by what melting takes. The balance is linear in every temperature; solved for the
water or the ice that a target needs it stands in `heat_targets`, and what the hose does afterwards in `hose_heat`.

Amounts are masses with joules, or mass flows with watts: the balance is the same. All numbers may be columns, such as
the hours of a day or draws of uncertain inputs.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from evenbead.errors import NotPossible
from evenbead.physics.ranges import within
from evenbead.physics.water_transport import ICE_HEAT, MELTING_HEAT, WATER_HEAT

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]
    Numbers = float | Floats

POWDER_HEAT = 800.0
"""Specific heat of dry mortar powder, assumed until measured. [J/kg/K]  Source: between cement and sand, see the range.
The rule of 0.22 of water's, usual for concrete, means 920 and is on the high side for dry powders [NIST-paste]."""

POWDER_HEAT_RANGE = (750.0, 840.0)
"""Where it lies for cement with quartz or limestone sand. [J/kg/K]  Source: [NIST-paste] for cement, 750;
[Cardarelli2008] for dry sand, 753 to 799, and granite, 775 to 837."""

ACCELERATOR_HEAT = 3000.0
"""Specific heat of a liquid accelerator, assumed: a strong salt solution. [J/kg/K]  Source: common practice, no
source."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Heats:
    """Specific heats of what goes in.

    Attributes
    ----------
    powder : float or array
        Dry powder. [J/kg/K]
    accelerator : float or array
        Accelerator as delivered. [J/kg/K]
    water : float or array
        Liquid water. [J/kg/K]
    ice : float or array
        Ice below its melting point. [J/kg/K]
    melting : float or array
        What melting takes. [J/kg]
    """

    powder: Numbers = POWDER_HEAT
    accelerator: Numbers = ACCELERATOR_HEAT
    water: Numbers = WATER_HEAT
    ice: Numbers = ICE_HEAT
    melting: Numbers = MELTING_HEAT

    def __post_init__(self) -> None:
        for name in ("powder", "accelerator", "water", "ice", "melting"):
            within(getattr(self, name), name, above=0.0)


@dataclass(frozen=True, slots=True, kw_only=True)
class Charge:
    """What is mixed, and how warm it is. Amounts are all masses, or all mass flows.

    Attributes
    ----------
    powder : float or array
        Dry powder. [kg] or [kg/s]
    powder_temp_c : float or array
        Of the powder as it falls into the mixer. [degC]
    water : float or array
        Metered liquid water. [kg] or [kg/s]
    water_temp_c : float or array
        Of the water as it enters the mixer, 0 to 100. [degC]
    ice : float or array
        Ice that melts in the mixer. [kg] or [kg/s]
    ice_temp_c : float or array
        At most 0. [degC]
    accelerator : float or array
        Accelerator as delivered. [kg] or [kg/s]
    accelerator_temp_c : float or array, optional
        Needed as soon as there is accelerator. [degC]
    shaft_heat : float or array
        What the shaft leaves in the mortar. [J] or [W]
    """

    powder: Numbers
    powder_temp_c: Numbers
    water: Numbers
    water_temp_c: Numbers
    ice: Numbers = 0.0
    ice_temp_c: Numbers = 0.0
    accelerator: Numbers = 0.0
    accelerator_temp_c: Numbers | None = None
    shaft_heat: Numbers = 0.0

    def __post_init__(self) -> None:
        within(self.powder, "powder", above=0.0)
        within(self.powder_temp_c, "powder_temp_c", at_least=-60.0, at_most=200.0)
        within(self.water, "water", at_least=0.0)
        within(self.water_temp_c, "water_temp_c", at_least=0.0, at_most=100.0)
        within(self.ice, "ice", at_least=0.0)
        within(self.ice_temp_c, "ice_temp_c", at_least=-60.0, at_most=0.0)
        within(self.accelerator, "accelerator", at_least=0.0)
        within(self.shaft_heat, "shaft_heat", at_least=0.0)
        if self.accelerator_temp_c is not None:
            within(self.accelerator_temp_c, "accelerator_temp_c", at_least=-60.0, at_most=200.0)
        elif np.any(np.asarray(self.accelerator) > 0.0):
            raise ValueError("accelerator_temp_c is missing, expected one because accelerator is not zero")


@dataclass(frozen=True, slots=True, kw_only=True)
class HeatSensitivities:
    """How far the fresh temperature moves with each input.

    Attributes
    ----------
    water_temp : float or array
        For each degree of the water. [1]
    powder_temp : float or array
        For each degree of the powder. [1]
    accelerator_temp : float or array
        For each degree of the accelerator. [1]
    ice : float or array
        For each kilogram, or kilogram a second, of ice in place of as much water; below zero. [K/kg] or [K*s/kg]
    shaft_heat : float or array
        For each joule, or each watt where amounts are flows. [K/J] or [K/W]
    """

    water_temp: Numbers
    powder_temp: Numbers
    accelerator_temp: Numbers
    ice: Numbers
    shaft_heat: Numbers


_USUAL = Heats()


def heat_capacity(charge: Charge, *, heats: Heats = _USUAL) -> Numbers:
    """What it takes to warm the whole mix by one degree, once all ice has melted.

    Parameters
    ----------
    charge : Charge
        What is mixed. [-]
    heats : Heats
        Specific heats. [-]

    Returns
    -------
    capacity : float or array
        For masses, or for mass flows. [J/K] or [W/K]

    Source: [NIST-paste], where the rule agrees with measured cement pastes within 2 %.

    Examples
    --------
    >>> float(heat_capacity(Charge(powder=1.0, powder_temp_c=20.0, water=0.16, water_temp_c=15.0)))
    1469.8
    """
    solids = charge.powder * heats.powder + charge.accelerator * heats.accelerator
    return solids + (charge.water + charge.ice) * heats.water


def specific_heat(charge: Charge, *, heats: Heats = _USUAL) -> Numbers:
    """Specific heat of the fresh mortar, by the rule of mixtures.

    Parameters
    ----------
    charge : Charge
        What is mixed. [-]
    heats : Heats
        Specific heats of the parts. [-]

    Returns
    -------
    specific_heat : float or array
        [J/kg/K]

    Source: [NIST-paste].

    Examples
    --------
    >>> paste = Charge(powder=1.0, powder_temp_c=20.0, water=0.4, water_temp_c=20.0)
    >>> specific_heat(paste, heats=Heats(powder=750.0, water=4180.0))
    1730.
    """
    mass = charge.powder + charge.water + charge.ice + charge.accelerator
    return heat_capacity(charge, heats=heats) / mass


def shaft_heat(
    *, power: Numbers, no_load_power: Numbers = 0.0, efficiency: Numbers = 1.0, share: Numbers = 1.0
) -> Numbers:
    """Heat that a mixing shaft leaves in the mortar.

    Parameters
    ----------
    power : float or array
        Electrical power while mixing. [W]
    no_load_power : float or array
        Electrical power of the empty machine, which warms motor and gear instead. [W]
    efficiency : float or array
        Of motor and gear, for the power above that. [1]
    share : float or array
        Of the shaft's work that stays in the mortar as heat; 1 is the upper bound. [1]

    Returns
    -------
    heat : float or array
        [W]

    Valid for: an upper bound; no measured value for continuous mortar mixers was found.

    Source: energy balance; common practice, no source for taking the no-load power off.

    Examples
    --------
    >>> shaft_heat(power=1500.0, no_load_power=300.0, efficiency=0.85)
    1020.0
    """
    within(no_load_power, "no_load_power", at_least=0.0)
    within(np.asarray(power) - no_load_power, "power above no_load_power", at_least=0.0)
    within(efficiency, "efficiency", above=0.0, at_most=1.0)
    within(share, "share", at_least=0.0, at_most=1.0)
    return share * efficiency * (power - no_load_power)


def fresh_temperature(charge: Charge, *, heats: Heats = _USUAL, site_offset: Numbers = 0.0) -> Numbers:
    """Temperature of fresh mortar as it leaves the mixer.

    T = (Σ m c T + ice (c_ice T_ice - L) + shaft heat) / (Σ m c), all melted ice counted as water below the line.

    Parameters
    ----------
    charge : Charge
        What is mixed. [-]
    heats : Heats
        Specific heats. [-]
    site_offset : float or array
        By how much this site has measured warmer than the balance: early hydration, warm iron, sun. [K]

    Returns
    -------
    temperature_c : float or array
        [degC]

    Raises
    ------
    NotPossible
        The balance ends at or below 0 °C: ice would be left, or water would freeze.

    Valid for: ice that is all melted on leaving the mixer, which a chamber passed in seconds will not do for lumps;
    no heat exchanged with the machine, so not the first minutes of a cold or sun-warmed one.

    Source: [ACI-305R] with the specific heats free; [CRD-C307] for the offset.

    Examples
    --------
    >>> float(fresh_temperature(Charge(powder=100.0, powder_temp_c=30.0, water=16.0, water_temp_c=15.0)))
    23.17
    """
    return not_frozen(balance_temperature(charge, heats=heats)) + site_offset


def balance_temperature(charge: Charge, *, heats: Heats = _USUAL) -> Numbers:
    """Where the balance ends, also where no mortar could be: heat counted from 0 °C over heat capacity.

    Parameters
    ----------
    charge : Charge
        What is mixed. [-]
    heats : Heats
        Specific heats. [-]

    Returns
    -------
    temperature_c : float or array
        A temperature of mortar only above zero. [degC]

    Source: as in `fresh_temperature`.
    """
    solids = charge.powder * heats.powder * charge.powder_temp_c
    if charge.accelerator_temp_c is not None:
        solids = solids + charge.accelerator * heats.accelerator * charge.accelerator_temp_c
    water = charge.water * heats.water * charge.water_temp_c
    ice = charge.ice * (heats.ice * charge.ice_temp_c - heats.melting)
    return (solids + water + ice + charge.shaft_heat) / heat_capacity(charge, heats=heats)


def not_frozen(temperature_c: Numbers) -> Numbers:
    """The end of a balance, when all of it is mortar without ice.

    Parameters
    ----------
    temperature_c : float or array
        As `balance_temperature` gives it. [degC]

    Returns
    -------
    temperature_c : float or array
        Unchanged. [degC]

    Raises
    ------
    NotPossible
        Some of it is at or below 0 °C.

    Source: definition of the balance's reach.
    """
    if np.any(np.asarray(temperature_c) <= 0.0):
        raise NotPossible(
            f"the heat balance ends at {float(np.min(temperature_c)):.1f} °C: "
            "ice would be left in the mortar, or its water would freeze"
        )
    return temperature_c


def sensitivities(charge: Charge, *, heats: Heats = _USUAL) -> HeatSensitivities:
    """How far the fresh temperature moves when one input does.

    Parameters
    ----------
    charge : Charge
        What is mixed. [-]
    heats : Heats
        Specific heats. [-]

    Returns
    -------
    sensitivities : HeatSensitivities
        Those to temperatures add up to 1 when there is no ice. [-]

    Source: derivative of the balance, as in `fresh_temperature`.

    Examples
    --------
    >>> felt = sensitivities(Charge(powder=1.0, powder_temp_c=30.0, water=0.16, water_temp_c=20.0))
    >>> float(felt.water_temp), float(felt.powder_temp)
    (0.456, 0.544)
    """
    capacity = heat_capacity(charge, heats=heats)
    return HeatSensitivities(
        water_temp=charge.water * heats.water / capacity,
        powder_temp=charge.powder * heats.powder / capacity,
        accelerator_temp=charge.accelerator * heats.accelerator / capacity,
        ice=-(heats.water * charge.water_temp_c + heats.melting - heats.ice * charge.ice_temp_c) / capacity,
        shaft_heat=1.0 / capacity,
    )
