"""A cylinder of fresh mortar pressed without a mould: strength, yield stress and elastic modulus from one test.

It is the one test of the field that measures both what the stability of a wall hangs on: the stress at which it yields
and the stiffness with which it resists buckling. Repeated at several ages it gives the growth of both.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

import numpy as np

from evenbead.errors import NotPossible
from evenbead.physics.field_tests import value_from
from evenbead.physics.metering_fit import fitted_line
from evenbead.physics.ranges import within
from evenbead.physics.uncertainty import Estimate

if TYPE_CHECKING:
    from numpy.typing import ArrayLike, NDArray

    Floats = NDArray[np.float64]

Criterion = Literal["von Mises", "Tresca"]

COMPRESSION_OVER_SHEAR = {"von Mises": math.sqrt(3.0), "Tresca": 2.0}
"""Yield stress in compression over that in shear. [1]  Source: definition of the two criteria."""

# Beyond this a specimen has barrelled so much that its mean section says little.
_LARGEST_STRAIN = 0.20


@dataclass(frozen=True, slots=True, kw_only=True)
class CompressionTest:
    """What a cylinder of fresh mortar says when it is pressed without a mould.

    Attributes
    ----------
    strength : Estimate
        Highest stress on the section as it was then. [Pa]
    yield_stress : Estimate
        In shear, by the criterion chosen. [Pa]
    elastic_modulus : Estimate
        Slope of stress over strain in the range chosen. [Pa]
    strain : float
        Shortening over height at the highest stress. [1]
    cautions : tuple of str
        Where the test is outside what it holds for; empty if nowhere. [-]
    """

    strength: Estimate
    yield_stress: Estimate
    elastic_modulus: Estimate
    strain: float
    cautions: tuple[str, ...] = ()


def pressed_cylinder(
    forces: ArrayLike,
    shortenings: ArrayLike,
    *,
    diameter: float,
    height: float,
    force_u: float = 0.1,
    diameter_u: float = 0.5e-3,
    modulus_strains: tuple[float, float] = (0.0, 0.05),
    criterion: Criterion = "von Mises",
) -> CompressionTest:
    """Strength, yield stress and elastic modulus from one cylinder pressed without a mould.

    The stress is F (1 - e)/A_0 with e = shortening over height: the section grows as the volume stays.
    The yield stress in shear is the strength over √3 (von Mises) or 2 (Tresca).

    Parameters
    ----------
    forces : (n,) array
        While it is pressed. [N]
    shortenings : (n,) array
        At the same moments. [m]
    diameter : float
        Before. [m]
    height : float
        Before. [m]
    force_u : float
        Standard uncertainty of the force. [N]
    diameter_u : float
        Standard uncertainty of the diameter. [m]
    modulus_strains : (float, float)
        Range of strain whose slope is the modulus; three readings in it at least. [1]
    criterion : "von Mises" or "Tresca"
        From compression to shear. [-]

    Returns
    -------
    test : CompressionTest
        The doubt of the modulus is that of the fitted slope and of the section. [Pa]

    Raises
    ------
    NotPossible
        Too few readings in the range of the modulus.

    Valid for: cylinders twice as high as wide, pressed faster than they age. One specimen each: repeat it, and take
    the mean. A slenderness below 1.5 makes it look stronger.

    Source: [Wolfs2018]; abstract; the formula is the definition of true stress at constant volume.

    Examples
    --------
    >>> steps = np.linspace(0.0, 0.010, 11)
    >>> found = pressed_cylinder(3.0e3 * steps, steps, diameter=0.070, height=0.140)
    >>> found.strength.value / 1000, found.yield_stress.value / 1000
    (7.238, 4.179)
    """
    force = np.asarray(within(np.asarray(forces, float), "force", at_least=0.0))
    strain = np.asarray(within(np.asarray(shortenings, float) / height, "strain", at_least=0.0, below=1.0))
    if force.ndim != 1 or force.shape != strain.shape:
        raise ValueError(f"{force.shape} forces for {strain.shape} shortenings, expected one for each")
    stress = 4.0 * force * (1.0 - strain) / (math.pi * diameter**2)
    peak = int(np.argmax(stress))
    width = Estimate(value=diameter, u=diameter_u)
    strength = value_from(
        lambda pressed, d: 4.0 * pressed * (1.0 - strain[peak]) / (math.pi * d**2),
        Estimate(value=float(force[peak]), u=force_u),
        width,
    )
    factor = COMPRESSION_OVER_SHEAR[criterion]
    return CompressionTest(
        strength=strength,
        yield_stress=Estimate(value=strength.value / factor, u=strength.u / factor, dof=strength.dof),
        elastic_modulus=_modulus(strain, stress, modulus_strains, width),
        strain=float(strain[peak]),
        cautions=tuple(_cautions_on(strain, peak, slenderness=height / diameter)),
    )


def _modulus(strain: Floats, stress: Floats, strains: tuple[float, float], width: Estimate) -> Estimate:
    """Slope of stress over strain in a range, with the doubt of the fit and of the section."""
    low, high = strains
    inside = (strain >= low) & (strain <= high)
    if len(np.unique(strain[inside])) < 3:
        raise NotPossible(f"a modulus needs three readings at strains of {low:g} to {high:g} at least")
    line = fitted_line(strain[inside], stress[inside], form="offset").line
    fitted = Estimate(value=line.slope, u=math.sqrt(line.slope_variance), dof=line.dof)
    diameter = float(width.value)
    return value_from(lambda slope, d: slope * (diameter / d) ** 2, fitted, width)


def _cautions_on(strain: Floats, peak: int, *, slenderness: float) -> list[str]:
    cautions = []
    if peak == len(strain) - 1:
        cautions.append("the stress was still rising at the last reading: the strength is a lower bound")
    if strain[peak] > _LARGEST_STRAIN:
        cautions.append(f"the strength came at a strain of {strain[peak]:.2f}: the section is hardly known there")
    if slenderness < 1.5:
        cautions.append(
            f"the specimen is {slenderness:.2g} times as high as wide, wanted 2: it looks stronger than it is"
        )
    return cautions
