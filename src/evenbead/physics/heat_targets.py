"""What brings fresh mortar to a wanted temperature: the water, cooled or warmed, or ice in its place.

The heat balance of `heat` is linear, so each follows without any search. Where a target is out of reach the answer is
the nearest that can be had, together with what it gives.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np

from evenbead.errors import NotPossible
from evenbead.physics.heat import Charge, Heats, balance_temperature, not_frozen, sensitivities
from evenbead.physics.ranges import within

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Numbers = float | NDArray[np.float64]
    Flags = bool | NDArray[np.bool_]

HOTTEST_WATER_C = 60.0
"""Mixing water is not heated beyond this. [degC]  Source: [ACI-306R], 140 °F, by way of a newsletter that quotes it."""

_USUAL = Heats()


@dataclass(frozen=True, slots=True, kw_only=True)
class WaterForTarget:
    """How warm the mixing water must be for a wanted fresh temperature.

    Attributes
    ----------
    needed_temp_c : float or array
        By the balance alone; may lie where no liquid water is. [degC]
    water_temp_c : float or array
        The nearest that is allowed. [degC]
    fresh_temp_c : float or array
        What the mortar then comes out at. [degC]
    reached : bool or array
        The target is met. [-]
    """

    needed_temp_c: Numbers
    water_temp_c: Numbers
    fresh_temp_c: Numbers
    reached: Flags


@dataclass(frozen=True, slots=True, kw_only=True)
class IceForTarget:
    """How much of the mixing water must be ice for a wanted fresh temperature.

    Attributes
    ----------
    ice : float or array
        In place of as much water; zero where none is needed. [kg] or [kg/s]
    share : float or array
        Of all mixing water. [1]
    fresh_temp_c : float or array
        What the mortar then comes out at. [degC]
    reached : bool or array
        The mortar is at most as warm as wanted. [-]
    """

    ice: Numbers
    share: Numbers
    fresh_temp_c: Numbers
    reached: Flags


def water_for_target(
    charge: Charge,
    target_temp_c: Numbers,
    *,
    coldest_c: Numbers = 0.0,
    hottest_c: Numbers = HOTTEST_WATER_C,
    heats: Heats = _USUAL,
    site_offset: Numbers = 0.0,
) -> WaterForTarget:
    """How warm or cold the mixing water must be for a fresh temperature, on hot days and on cold mornings.

    Parameters
    ----------
    charge : Charge
        What is mixed; its own water temperature plays no part. [-]
    target_temp_c : float or array
        Wanted fresh temperature. [degC]
    coldest_c : float or array
        Coldest water there is. [degC]
    hottest_c : float or array
        Warmest water that may be used. [degC]
    heats : Heats
        Specific heats. [-]
    site_offset : float or array
        As in `fresh_temperature`. [K]

    Returns
    -------
    water : WaterForTarget
        Needed, allowed, and what comes of it. [degC]

    Raises
    ------
    NotPossible
        There is no liquid water to warm, or even the nearest water leaves ice.

    Source: the balance solved for the water's temperature; [ACI-306R] for the cap.

    Examples
    --------
    >>> frosty = Charge(powder=100.0, powder_temp_c=2.0, water=16.0, water_temp_c=5.0)
    >>> warm = water_for_target(frosty, 15.0)
    >>> float(warm.water_temp_c), float(warm.fresh_temp_c), bool(warm.reached)
    (30.53, 15.00, True)
    """
    if np.any(np.asarray(charge.water) <= 0.0):
        raise NotPossible("there is no liquid mixing water whose temperature could be chosen")
    within(coldest_c, "coldest_c", at_least=0.0, at_most=100.0)
    within(np.asarray(hottest_c) - coldest_c, "hottest_c above coldest_c", at_least=0.0)
    moved = sensitivities(charge, heats=heats).water_temp
    at_zero = balance_temperature(replace(charge, water_temp_c=0.0), heats=heats)
    needed = (target_temp_c - site_offset - at_zero) / moved
    used = np.clip(needed, coldest_c, hottest_c)
    return WaterForTarget(
        needed_temp_c=needed,
        water_temp_c=used,
        fresh_temp_c=not_frozen(at_zero + moved * used) + site_offset,
        reached=used == needed,
    )


def ice_for_target(
    charge: Charge,
    target_temp_c: Numbers,
    *,
    largest_share: Numbers = 1.0,
    heats: Heats = _USUAL,
    site_offset: Numbers = 0.0,
) -> IceForTarget:
    """How much ice, in place of as much water, brings the mortar down to a fresh temperature.

    Parameters
    ----------
    charge : Charge
        What is mixed. Its water and its ice together are the mixing water that is shared out anew. [-]
    target_temp_c : float or array
        Warmest fresh temperature wanted. [degC]
    largest_share : float or array
        Most of the mixing water that may be ice. [1]
    heats : Heats
        Specific heats. [-]
    site_offset : float or array
        As in `fresh_temperature`. [K]

    Returns
    -------
    ice : IceForTarget
        None of it where the mortar is cool enough without. [kg] or [kg/s]

    Raises
    ------
    NotPossible
        The target, or what is left of it without the offset, is at or below 0 °C.

    Valid for: flaked or crushed ice that all melts in the mixer. One study found that such balances go wrong beyond
    half of the water as ice and are good up to about a fifth.

    Source: the balance solved for the ice, as in [ACI-305R].

    Examples
    --------
    >>> hot = Charge(powder=100.0, powder_temp_c=35.0, water=16.0, water_temp_c=25.0)
    >>> need = ice_for_target(hot, 25.0)
    >>> float(need.ice), float(need.share)
    (1.824, 0.1140)
    """
    within(largest_share, "largest_share", at_least=0.0, at_most=1.0)
    not_frozen(np.asarray(target_temp_c) - site_offset)
    mixing_water = charge.water + charge.ice
    without = balance_temperature(replace(charge, water=mixing_water, ice=0.0), heats=heats)
    each = -sensitivities(charge, heats=heats).ice
    needed = (without + site_offset - target_temp_c) / each
    ice = np.clip(needed, 0.0, largest_share * mixing_water)
    # Without mixing water there is nothing that could be ice.
    share = np.divide(ice, mixing_water, out=np.zeros(np.shape(ice)), where=np.asarray(mixing_water) > 0.0)[()]
    return IceForTarget(
        ice=ice, share=share, fresh_temp_c=not_frozen(without - each * ice) + site_offset, reached=ice >= needed
    )
