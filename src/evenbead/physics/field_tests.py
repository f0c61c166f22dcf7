"""Tests a person can do at the nozzle or at a table beside it, and the yield stress they tell, with its doubt.

Every result carries the name of its test. Values of different tests are different series: on the same mortar a
rheometer was seen 17 to 53 % below a penetrometer, and mortar struck on a bench is not mortar that came down a hose.
Compare a test with its own kind only, and prefer the ones at the nozzle.

The doubt counts the scatter of repeats and the instrument; what a model of the test leaves out is said in `cautions`.
Soil tests carried over to mortar (vanes, cone, cylinder) stand in `field_soil_tests`.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from evenbead.physics.constants import GRAVITY
from evenbead.physics.ranges import within
from evenbead.physics.readings import mean_of_readings
from evenbead.physics.uncertainty import Estimate, propagated

if TYPE_CHECKING:
    from collections.abc import Callable

    from numpy.typing import ArrayLike

_ROOT_3 = math.sqrt(3.0)
# A spread counts as thin while its height is small against its radius.
_THIN_SPREAD = 0.1


@dataclass(frozen=True, slots=True, kw_only=True)
class FieldTest:
    """What a test in the field says.

    Attributes
    ----------
    test : str
        Which test with which geometry; never compare across these. [-]
    yield_stress : Estimate
        In shear. [Pa]
    scatter : float or None
        Standard deviation of the repeats over their mean; not known from one reading. [1]
    cautions : tuple of str
        Where the reading is outside what the model of the test holds for; empty if nowhere. [-]
    """

    test: str
    yield_stress: Estimate
    scatter: float | None
    cautions: tuple[str, ...] = ()


def mean_with_instrument(readings: ArrayLike, *, instrument_u: float, name: str) -> Estimate:
    """The mean of repeats, with their scatter and the doubt that the instrument shares among them all.

    Parameters
    ----------
    readings : float or (n,) array
        One or more readings, above zero. [-]
    instrument_u : float
        Standard uncertainty of the instrument, in the unit of the readings; needed for a single one. [-]
    name : str
        What is read, for messages. [-]

    Returns
    -------
    mean : Estimate
        In the unit of the readings. [-]

    Source: [GUM2008] 4.2 and 4.3.

    Examples
    --------
    >>> mean = mean_with_instrument([0.0272, 0.0283], instrument_u=0.0001, name="slug mass")
    >>> mean.value, mean.u
    (0.02775, 0.00056)
    """
    column = np.atleast_1d(np.asarray(within(np.asarray(readings, float), name, above=0.0)))
    if len(column) == 1:
        within(instrument_u, f"uncertainty of the only {name}", above=0.0)
        return Estimate(value=float(column[0]), u=instrument_u)
    repeats = mean_of_readings(column)
    return value_from(lambda mean, offset: mean + offset, repeats, Estimate(value=0.0, u=instrument_u))


def scatter_of(readings: ArrayLike) -> float | None:
    """Standard deviation of repeats over their mean: how even the mortar is, and how steady the hand.

    Parameters
    ----------
    readings : float or (n,) array
        Repeats of one reading. [-]

    Returns
    -------
    scatter : float or None
        None for a single reading, from which it can't be seen. [1]

    Source: definition.

    Examples
    --------
    >>> scatter_of([0.027, 0.028, 0.029])
    0.0357
    """
    column = np.atleast_1d(np.asarray(readings, float))
    return float(np.std(column, ddof=1) / np.mean(column)) if len(column) > 1 else None


def falling_slugs(
    masses: ArrayLike,
    *,
    nozzle_diameter: float,
    density: float,
    scale_u: float = 0.5e-3,
    diameter_u: float = 0.1e-3,
) -> FieldTest:
    """Yield stress from slugs that break off under their own weight below a nozzle held in the air.

    A slug tears where its weight reaches the tensile yield stress over the nozzle: m g/A = √3 τ.

    Parameters
    ----------
    masses : float or (n,) array
        Mass of each slug, or the mean of many weighed together. [kg]
    nozzle_diameter : float
        Inner diameter; for another shape, that of the circle of the same area. [m]
    density : float
        Of the fresh mortar; only to see how long the slugs are. [kg/m^3]
    scale_u : float
        Standard uncertainty of the scale. [kg]
    diameter_u : float
        Standard uncertainty of the diameter. [m]

    Returns
    -------
    test : FieldTest
        [Pa]

    Valid for: slow flow, slugs longer than the nozzle is wide. The mass is that of the neck and all below it.

    Source: [Ducoulombier2021]; abstract; the formula is from memory and follows from the balance of forces.

    Examples
    --------
    >>> test = falling_slugs([0.0866, 0.0871, 0.0863, 0.0868], nozzle_diameter=0.025, density=2100.0)
    >>> test.yield_stress.value, test.yield_stress.u
    (1000., 10.1)
    """
    mean = mean_with_instrument(masses, instrument_u=scale_u, name="slug mass")
    stress = value_from(
        lambda mass, width: 4.0 * GRAVITY * mass / (_ROOT_3 * math.pi * width**2),
        mean,
        Estimate(value=nozzle_diameter, u=diameter_u),
    )
    length = slug_length(float(stress.value), density=density)
    cautions = (
        [] if length > nozzle_diameter else ["the slugs are shorter than the nozzle is wide: the value is a guess"]
    )
    return FieldTest(
        test=f"falling slugs, nozzle {nozzle_diameter * 1000:g} mm",
        yield_stress=stress,
        scatter=scatter_of(masses),
        cautions=tuple(cautions),
    )


def slug_length(yield_stress: float, *, density: float) -> float:
    """How long a slug hangs before it tears off: √3 τ/(density · g).

    Parameters
    ----------
    yield_stress : float
        In shear. [Pa]
    density : float
        Of the fresh mortar. [kg/m^3]

    Returns
    -------
    length : float
        [m]

    Source: as `falling_slugs`.

    Examples
    --------
    >>> slug_length(500.0, density=2100.0) * 1000
    42.05
    """
    return _ROOT_3 * yield_stress / (density * GRAVITY)


def mini_cone_spread(
    diameters: ArrayLike,
    *,
    volume: float,
    density: float,
    reading_u: float = 1e-3,
    volume_u: float = 0.0,
) -> FieldTest:
    """Yield stress from the spread of a small cone that was lifted and left alone, untapped.

    τ = 225 density · g V²/(128 π² R⁵): the spread stops where its edge can no longer be pushed on.

    Parameters
    ----------
    diameters : float or (n,) array
        Of the spread, across and along, of one or more lifts. [m]
    volume : float
        Of the cone, see `cone_volume`. [m^3]
    density : float
        Of the fresh mortar. [kg/m^3]
    reading_u : float
        Standard uncertainty of the ruler and of where the edge is. [m]
    volume_u : float
        Standard uncertainty of the volume. [m^3]

    Returns
    -------
    test : FieldTest
        [Pa]

    Valid for: thin spreads, V/(π R³) below 0.1. Printing mortar mostly stands too high for it; grout does not.

    Source: [Roussel2005]; from memory, and derived again from the height of a spread at rest.

    Examples
    --------
    >>> cone = cone_volume(top=0.070, bottom=0.100, height=0.060)
    >>> float(mini_cone_spread([0.249, 0.251], volume=cone, density=2100.0).yield_stress.value)
    14.2
    """
    mean = mean_with_instrument(diameters, instrument_u=reading_u, name="spread")
    stress = value_from(
        lambda width, amount: 225.0 * density * GRAVITY * amount**2 / (128.0 * math.pi**2 * (width / 2.0) ** 5),
        mean,
        Estimate(value=volume, u=volume_u),
    )
    slope = volume / (math.pi * (float(mean.value) / 2.0) ** 3)
    thick = f"the spread is too thick for the formula: height over radius {slope:.2f}, wanted {_THIN_SPREAD} or less"
    return FieldTest(
        test=f"spread of a cone of {volume * 1e6:.0f} mL",
        yield_stress=stress,
        scatter=scatter_of(diameters),
        cautions=(thick,) if slope > _THIN_SPREAD else (),
    )


def cone_volume(*, top: float, bottom: float, height: float) -> float:
    """Volume of a cone with its point cut off.

    Parameters
    ----------
    top : float
        Diameter of the smaller end. [m]
    bottom : float
        Diameter of the larger end. [m]
    height : float
        Between them. [m]

    Returns
    -------
    volume : float
        [m^3]

    Source: geometry.

    Examples
    --------
    >>> cone_volume(top=0.070, bottom=0.100, height=0.060) * 1e6
    344.00
    """
    return math.pi * height / 12.0 * (top**2 + top * bottom + bottom**2)


def flow_table_index(diameters: ArrayLike, *, reading_u: float = 1e-3) -> Estimate:
    """Spread on the flow table: an index of consistency, and no yield stress.

    The drops of the table shake the mortar, so that no formula leads from here to a yield stress: two mortars of the
    same spread have stood 220 mm and 1140 mm high before they fell. Use it to see whether today is like yesterday.

    Parameters
    ----------
    diameters : float or (n,) array
        Of the spread, across and along, of one or more tests. [m]
    reading_u : float
        Standard uncertainty of the ruler and of where the edge is. [m]

    Returns
    -------
    spread : Estimate
        [m]

    Valid for: comparing tests with the same table and number of drops.

    Source: [EN-1015-3]; from memory. The pair of mortars: [Bhattacherjee2022], abstract.

    Examples
    --------
    >>> spread = flow_table_index([0.172, 0.176])
    >>> spread.value, spread.u
    (0.174, 0.0022)
    """
    return mean_with_instrument(diameters, instrument_u=reading_u, name="spread")


def value_from(formula: Callable[..., float], *inputs: Estimate) -> Estimate:
    """A value from the formula of a test, with the doubt of each of its inputs.

    Parameters
    ----------
    formula : callable
        Takes the values of the inputs, in their order. [-]
    inputs : Estimate
        Each in its own unit; independent of one another. [-]

    Returns
    -------
    value : Estimate
        In the unit of the formula. [-]

    Source: [GUM2008] eq. 10 and G.2b.

    Examples
    --------
    >>> found = value_from(lambda torque, k: torque / k, Estimate(value=2e-3, u=5e-5), Estimate(value=1e-5, u=2e-7))
    >>> found.value, found.u
    (200., 6.40)
    """
    values, doubts, dofs = zip(*((float(x.value), float(x.u), x.dof) for x in inputs), strict=True)
    return propagated(lambda column: float(formula(*column)), values, doubts, dofs=dofs)
