"""What a mortar is made of: volumes, densities and rates from its proportions.

Volumes add. A kilogram of powder, its water and its accelerator fill the sum of their own volumes, and entrained
air swells the whole by its share. Rules that start from the bulk volume of loose powder have no place here: the
same bag can fill very different volumes before it is wetted.

Amounts are counted per kilogram of dry powder, as a data sheet does.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from evenbead.physics.ranges import within
from evenbead.physics.water import WATER_DENSITY

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]
    Numbers = float | Floats


@dataclass(frozen=True, slots=True, kw_only=True)
class Proportions:
    """What goes into a mortar, per kilogram of dry powder.

    Attributes
    ----------
    water_ratio : float or array
        Mass of metered water over mass of powder. [1]
    powder_density : float or array
        Absolute density of the dry powder: of its grains, without the air between them. [kg/m^3]
    air : float or array
        Share of the fresh volume that is air. [1]
    accelerator_dose : float or array
        Mass of accelerator, as delivered, over mass of powder. [1]
    accelerator_density : float or array, optional
        Density of the accelerator as delivered; needed as soon as there is a dose. [kg/m^3]
    accelerator_water : float or array
        Share of the accelerator's mass that is water. [1]
    water_density : float or array
        Density of the water. [kg/m^3]
    """

    water_ratio: Numbers
    powder_density: Numbers
    air: Numbers = 0.0
    accelerator_dose: Numbers = 0.0
    accelerator_density: Numbers | None = None
    accelerator_water: Numbers = 0.0
    water_density: Numbers = WATER_DENSITY

    def __post_init__(self) -> None:
        within(self.water_ratio, "water_ratio", at_least=0.0)
        within(self.powder_density, "powder_density", above=0.0)
        within(self.air, "air", at_least=0.0, below=1.0)
        within(self.accelerator_dose, "accelerator_dose", at_least=0.0)
        within(self.accelerator_water, "accelerator_water", at_least=0.0, at_most=1.0)
        within(self.water_density, "water_density", above=0.0)
        if self.accelerator_density is not None:
            within(self.accelerator_density, "accelerator_density", above=0.0)
        elif np.any(np.asarray(self.accelerator_dose) > 0.0):
            raise ValueError("accelerator_density is missing, expected one because accelerator_dose is not zero")


@dataclass(frozen=True, slots=True, kw_only=True)
class MassFlows:
    """What is metered each second.

    Attributes
    ----------
    powder : float or array
        Dry powder. [kg/s]
    water : float or array
        Metered water, without that in the accelerator. [kg/s]
    accelerator : float or array
        Accelerator as delivered. [kg/s]
    """

    powder: Numbers
    water: Numbers
    accelerator: Numbers


@dataclass(frozen=True, slots=True, kw_only=True)
class Delivery:
    """What a set of mass flows makes.

    Attributes
    ----------
    flow : float or array
        Volume of fresh mortar made each second. [m^3/s]
    water_ratio : float or array
        Metered water over powder. [1]
    accelerator_dose : float or array
        Accelerator as delivered over powder. [1]
    """

    flow: Numbers
    water_ratio: Numbers
    accelerator_dose: Numbers


def mortar_yield(proportions: Proportions) -> Numbers:
    """Volume of fresh mortar from each kilogram of powder.

    The volumes of powder, water and accelerator add, and air swells the sum by 1/(1 - air).

    Parameters
    ----------
    proportions : Proportions
        What goes in. [-]

    Returns
    -------
    volume : float or array
        Per kilogram of dry powder. [m^3/kg]

    Valid for: powder that neither dissolves nor takes up water by volume; its setting is later than this.

    Source: the absolute-volume method, [ASTM-C138] for the air; common practice, no source for bagged mortar.

    Examples
    --------
    >>> mortar_yield(Proportions(water_ratio=0.16, powder_density=2700.0)) * 1000
    0.5307
    """
    return _air_free_volume(proportions) / (1.0 - proportions.air)


def fresh_density(proportions: Proportions) -> Numbers:
    """Density of the fresh mortar, with its air.

    Parameters
    ----------
    proportions : Proportions
        What goes in. [-]

    Returns
    -------
    density : float or array
        [kg/m^3]

    Source: [ASTM-C138].

    Examples
    --------
    >>> fresh_density(Proportions(water_ratio=0.16, powder_density=2650.0, air=0.03))
    2093.
    """
    return _mass(proportions) / mortar_yield(proportions)


def air_from_density(measured_density: Numbers, proportions: Proportions) -> Numbers:
    """Share of air in a fresh mortar whose density was measured, a = 1 - D/T.

    T is the density that the same proportions would have without air. Density alone can't tell more air from more
    water: the ratio must be known.

    Parameters
    ----------
    measured_density : float or array
        Density of the fresh mortar. [kg/m^3]
    proportions : Proportions
        What went in; its own `air` plays no part. [-]

    Returns
    -------
    air : float or array
        Negative when the mortar is denser than its parts allow, that is, when the ratio or a density is wrong. [1]

    Source: [ASTM-C138], gravimetric air content.

    Examples
    --------
    >>> air_from_density(2094.0, Proportions(water_ratio=0.16, powder_density=2650.0))
    0.030
    """
    return 1.0 - measured_density * _air_free_volume(proportions) / _mass(proportions)


def mass_flows(proportions: Proportions, flow: Numbers) -> MassFlows:
    """What to meter each second for a flow of fresh mortar.

    Parameters
    ----------
    proportions : Proportions
        What goes in. [-]
    flow : float or array
        Volume of fresh mortar wanted each second. [m^3/s]

    Returns
    -------
    flows : MassFlows
        Powder, water and accelerator. [kg/s]

    Source: the absolute-volume method, as in `mortar_yield`.

    Examples
    --------
    >>> five_litres_a_minute = 5e-3 / 60
    >>> flows = mass_flows(Proportions(water_ratio=0.16, powder_density=2650.0, air=0.03), five_litres_a_minute)
    >>> flows.powder * 60, flows.water * 60
    (9.02, 1.444)
    """
    powder = flow / mortar_yield(proportions)
    return MassFlows(
        powder=powder, water=powder * proportions.water_ratio, accelerator=powder * proportions.accelerator_dose
    )


def powder_for(proportions: Proportions, volume: Numbers) -> Numbers:
    """Mass of dry powder in a volume of fresh mortar.

    Parameters
    ----------
    proportions : Proportions
        What goes in. [-]
    volume : float or array
        Of fresh mortar. [m^3]

    Returns
    -------
    powder : float or array
        [kg]

    Source: the absolute-volume method, as in `mortar_yield`.

    Examples
    --------
    >>> powder_for(Proportions(water_ratio=0.16, powder_density=2700.0), 0.1)
    188.4
    """
    return volume / mortar_yield(proportions)


def delivery(
    *,
    powder: Numbers,
    water: Numbers,
    powder_density: Numbers,
    air: Numbers = 0.0,
    accelerator: Numbers = 0.0,
    accelerator_density: Numbers | None = None,
    water_density: Numbers = WATER_DENSITY,
) -> Delivery:
    """What a set of metered mass flows makes: the inverse of `mass_flows`.

    Parameters
    ----------
    powder : float or array
        Mass flow of dry powder, above zero. [kg/s]
    water : float or array
        Mass flow of metered water. [kg/s]
    powder_density : float or array
        Absolute density of the dry powder. [kg/m^3]
    air : float or array
        Share of the fresh volume that is air. [1]
    accelerator : float or array
        Mass flow of accelerator as delivered. [kg/s]
    accelerator_density : float or array, optional
        Needed as soon as accelerator flows. [kg/m^3]
    water_density : float or array
        Density of the water. [kg/m^3]

    Returns
    -------
    delivery : Delivery
        Flow, ratio and dose. [-]

    Source: the absolute-volume method, as in `mortar_yield`.

    Examples
    --------
    >>> made = delivery(powder=0.150, water=0.024, powder_density=2650.0, air=0.03)
    >>> made.flow * 60e3, made.water_ratio
    (4.988, 0.160)
    """
    within(powder, "powder", above=0.0)
    proportions = Proportions(
        water_ratio=water / powder,
        powder_density=powder_density,
        air=air,
        accelerator_dose=accelerator / powder,
        accelerator_density=accelerator_density,
        water_density=water_density,
    )
    return Delivery(
        flow=powder * mortar_yield(proportions),
        water_ratio=proportions.water_ratio,
        accelerator_dose=proportions.accelerator_dose,
    )


def water_per_bag(bag: Numbers, water_ratio: Numbers) -> Numbers:
    """Mass of water that a bag of powder takes.

    Parameters
    ----------
    bag : float or array
        Mass of powder in a bag. [kg]
    water_ratio : float or array
        Mass of water over mass of powder. [1]

    Returns
    -------
    water : float or array
        [kg]

    Source: the definition of the water/powder ratio.

    Examples
    --------
    >>> water_per_bag(25.0, 0.158)
    3.95
    """
    return bag * water_ratio


def effective_water_ratio(proportions: Proportions) -> Numbers:
    """All water over powder: what is metered, and what the accelerator brings along.

    Parameters
    ----------
    proportions : Proportions
        What goes in. [-]

    Returns
    -------
    water_ratio : float or array
        [1]

    Source: common practice, no source: the water of an admixture counts as mixing water.

    Examples
    --------
    >>> accelerated = Proportions(
    ...     water_ratio=0.150, powder_density=2700.0,
    ...     accelerator_dose=0.04, accelerator_density=1400.0, accelerator_water=0.5,
    ... )
    >>> effective_water_ratio(accelerated)
    0.170
    """
    return proportions.water_ratio + proportions.accelerator_dose * proportions.accelerator_water


def _air_free_volume(proportions: Proportions) -> Numbers:
    """Volume of powder, water and accelerator, per kilogram of powder. [m^3/kg]"""
    volume = 1.0 / proportions.powder_density + proportions.water_ratio / proportions.water_density
    if proportions.accelerator_density is None:
        return volume
    return volume + proportions.accelerator_dose / proportions.accelerator_density


def _mass(proportions: Proportions) -> Numbers:
    """Mass of everything, per kilogram of powder. [1]"""
    return 1.0 + proportions.water_ratio + proportions.accelerator_dose
