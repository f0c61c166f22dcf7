"""The yield stress of a mortar at its water, age and temperature, and how long it takes to reach one.

What is measured once, at the target ratio and the reference temperature, is carried to any other state: more water
lowers it exponentially, rest raises it by a law of growth, and warmth makes rest count for more (equivalent age, see
`setting`). An accelerator has its own growth, measured at a few doses; between them it is interpolated, outside them
it is held and said to be outside.

All of it is yield stress in shear. It must not be mixed with compressive strength, nor with values from another
instrument: on one and the same mix two instruments can differ by half.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, fields
from typing import TYPE_CHECKING

import numpy as np

from evenbead.physics.ranges import within
from evenbead.physics.setting import equivalent_age, time_at_equivalent_age

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from evenbead.physics.growth import GrowthLaw
    from evenbead.physics.setting import TemperatureHistory
    from evenbead.physics.setting_rate import RateLaw

    Floats = NDArray[np.float64]
    Numbers = float | Floats
    Flags = NDArray[np.bool_]


@dataclass(frozen=True, slots=True, kw_only=True)
class DosedGrowth:
    """Growth as measured at several doses of accelerator: the same law, with numbers of its own at each dose.

    Attributes
    ----------
    dose : (m,) array
        Doses tested, ascending, each once. [1]
    growth : GrowthLaw
        A law whose every number is an (m,) array, one for each dose. [-]
    """

    dose: Floats
    growth: GrowthLaw

    def __post_init__(self) -> None:
        doses = np.asarray(self.dose, np.float64)
        if doses.ndim != 1 or len(doses) == 0 or not np.all(np.diff(doses) > 0.0):
            raise ValueError(f"doses are {doses}, expected at least one, and ascending")
        for name, numbers in _numbers_of(self.growth).items():
            if np.shape(numbers) != doses.shape:
                raise ValueError(f"{name} has shape {np.shape(numbers)}, expected one number for each of {len(doses)}")
        object.__setattr__(self, "dose", doses)


@dataclass(frozen=True, slots=True, kw_only=True)
class GrowthAtDose:
    """A law read between the doses that were measured.

    Attributes
    ----------
    growth : GrowthLaw
        With the numbers at the dose asked for. [-]
    measured : bool or array
        The dose lies between doses that were tested; elsewhere the law of the nearest one stands in. [-]
    """

    growth: GrowthLaw
    measured: bool | Flags


def water_factor(ratio_change: Numbers, *, sensitivity: Numbers) -> Numbers:
    """By what a change of the water/powder ratio multiplies the yield stress: exp(-k Δ).

    Parameters
    ----------
    ratio_change : float or array
        Ratio less the ratio of the test, positive for wetter. [1]
    sensitivity : float or array
        k, the fall of the logarithm of yield stress with the ratio, not negative. [1]

    Returns
    -------
    factor : float or array
        [1]

    Valid for: the few percent around the tested ratio over which k was fitted, for one mortar. One published pair,
    0.30 to 0.26 with a rise of 96.51 %, gives k = 16.9; another mortar has another.

    Source: an exponential through a published pair, seen in an abstract; common practice, no source for the form.

    Examples
    --------
    >>> float(water_factor(-0.04, sensitivity=16.889))
    1.9651
    """
    within(sensitivity, "water sensitivity", at_least=0.0)
    factor: Numbers = np.exp(-np.asarray(sensitivity, float) * ratio_change)
    return factor


def yield_stress(
    start: Numbers,
    *,
    growth: GrowthLaw,
    age: Numbers,
    ratio_change: Numbers = 0.0,
    water_sensitivity: Numbers = 0.0,
) -> Numbers:
    """Yield stress after a rest, at a water/powder ratio.

    The start and its growth both move with the water, since the sensitivity is measured on yield stress as it is
    found, whatever its age.

    Parameters
    ----------
    start : float or array
        Yield stress when rest begins, at the tested ratio. [Pa]
    growth : GrowthLaw
        How it grows at rest. [-]
    age : float or array
        Equivalent age at rest, not negative. [s]
    ratio_change : float or array
        Water/powder ratio less that of the test. [1]
    water_sensitivity : float or array
        As in `water_factor`. [1]

    Returns
    -------
    yield_stress : float or array
        [Pa]

    Valid for: as the law and `water_factor`. That growth moves with water as the start does is the cautious reading:
    one study saw thixotropy change less than yield stress.

    Source: [Roussel2006]; abstract; the form is from memory.

    Examples
    --------
    >>> from evenbead.physics.growth import LinearGrowth
    >>> float(yield_stress(500.0, growth=LinearGrowth(rate=0.5), age=600.0))
    800.0
    """
    within(age, "age at rest", at_least=0.0)
    return (start + growth.gain(age)) * water_factor(ratio_change, sensitivity=water_sensitivity)


def yield_stress_along(
    start: Numbers,
    *,
    growth: GrowthLaw,
    history: TemperatureHistory,
    since: Numbers,
    until: Numbers,
    rate: RateLaw,
    ratio_change: Numbers = 0.0,
    water_sensitivity: Numbers = 0.0,
) -> Numbers:
    """Yield stress after a rest at changing temperature: `yield_stress` at the equivalent age.

    Parameters
    ----------
    start : float or array
        Yield stress when rest begins. [Pa]
    growth : GrowthLaw
        How it grows at rest at the reference temperature. [-]
    history : TemperatureHistory
        Temperature of the mortar. [degC]
    since : float or array
        When rest begins. [s]
    until : float or array
        When the yield stress is asked for, not before. [s]
    rate : RateLaw
        How fast it ages at each temperature. [1]
    ratio_change : float or array
        As in `yield_stress`. [1]
    water_sensitivity : float or array
        As in `yield_stress`. [1]

    Returns
    -------
    yield_stress : float or array
        [Pa]

    Valid for: a planning estimate; the start itself is not moved by temperature here, though with some plasticisers
    it does move, either way.

    Source: as `yield_stress` and `equivalent_age`.
    """
    age = equivalent_age(history, since=since, until=until, rate=rate)
    return yield_stress(start, growth=growth, age=age, ratio_change=ratio_change, water_sensitivity=water_sensitivity)


def longest_rest(
    limit: Numbers,
    *,
    start: Numbers,
    growth: GrowthLaw,
    ratio_change: Numbers = 0.0,
    water_sensitivity: Numbers = 0.0,
) -> Numbers:
    """Equivalent age at rest at which a yield stress is reached: the inverse of `yield_stress`.

    Parameters
    ----------
    limit : float or array
        The yield stress to reach, or not to pass. [Pa]
    start : float or array
        Yield stress when rest begins. [Pa]
    growth : GrowthLaw
        How it grows at rest. [-]
    ratio_change : float or array
        As in `yield_stress`. [1]
    water_sensitivity : float or array
        As in `yield_stress`. [1]

    Returns
    -------
    age : float or array
        Zero where the start is there already, infinite where it never gets there. [s]

    Valid for: as `yield_stress`.

    Source: as `yield_stress`.

    Examples
    --------
    >>> from evenbead.physics.growth import LinearGrowth
    >>> float(longest_rest(875.0, start=300.0, growth=LinearGrowth(rate=0.5)))
    1150.0
    """
    return growth.age_for(limit / water_factor(ratio_change, sensitivity=water_sensitivity) - start)


def longest_rest_along(
    limit: Numbers,
    *,
    start: Numbers,
    growth: GrowthLaw,
    history: TemperatureHistory,
    since: Numbers,
    rate: RateLaw,
    ratio_change: Numbers = 0.0,
    water_sensitivity: Numbers = 0.0,
) -> Numbers:
    """Time at rest after which a yield stress is reached, at changing temperature.

    Parameters
    ----------
    limit : float or array
        The yield stress to reach, or not to pass. [Pa]
    start : float or array
        Yield stress when rest begins. [Pa]
    growth : GrowthLaw
        How it grows at rest at the reference temperature. [-]
    history : TemperatureHistory
        Temperature of the mortar. [degC]
    since : float or array
        When rest begins. [s]
    rate : RateLaw
        How fast it ages at each temperature. [1]
    ratio_change : float or array
        As in `yield_stress`. [1]
    water_sensitivity : float or array
        As in `yield_stress`. [1]

    Returns
    -------
    duration : float or array
        Real time, infinite where it never gets there. [s]

    Valid for: as `yield_stress_along`.

    Source: as `yield_stress` and `equivalent_age`.
    """
    age = longest_rest(
        limit, start=start, growth=growth, ratio_change=ratio_change, water_sensitivity=water_sensitivity
    )
    return time_at_equivalent_age(history, age, since=since, rate=rate) - since


def growth_at_dose(measured: DosedGrowth, dose: Numbers) -> GrowthAtDose:
    """The law of growth at a dose of accelerator, read between doses that were tested.

    Every number of the law is interpolated so that it never overshoots its neighbours (monotone cubic pieces).

    Parameters
    ----------
    measured : DosedGrowth
        Growth at several doses. [-]
    dose : float or array
        Accelerator per powder. [1]

    Returns
    -------
    at_dose : GrowthAtDose
        Outside the tested doses the nearest one stands in, and `measured` says so. [-]

    Valid for: doses between those tested; a dose between two far apart is a guess at what happens there.

    Source: [Fritsch1980]; from memory.

    Examples
    --------
    >>> from evenbead.physics.growth import LinearGrowth
    >>> tests = DosedGrowth(dose=[0.02, 0.04, 0.06], growth=LinearGrowth(rate=np.array([1.5, 4.0, 9.0])))
    >>> found = growth_at_dose(tests, np.array([0.03, 0.08]))
    >>> found.growth.rate.round(2), found.measured
    (array([2.49, 9.  ]), array([ True, False]))
    """
    from scipy.interpolate import PchipInterpolator  # noqa: PLC0415  (SciPy is slow to import)

    low, high = measured.dose[0], measured.dose[-1]
    asked = np.asarray(dose, np.float64)
    held = np.clip(asked, low, high)
    numbers = {}
    for name, values in _numbers_of(measured.growth).items():
        if len(measured.dose) == 1:
            numbers[name] = np.full_like(held, np.asarray(values)[0])[()]
        else:
            numbers[name] = PchipInterpolator(measured.dose, np.asarray(values, np.float64))(held)[()]
    inside: bool | Flags = ((asked >= low) & (asked <= high))[()]
    return GrowthAtDose(growth=type(measured.growth)(**numbers), measured=inside)


def strain_at_yield(*, yield_stress: Numbers, elastic_modulus: Numbers) -> Numbers:
    """Compressive strain at which a mortar yields, by its own numbers: √3 τ/E.

    Parameters
    ----------
    yield_stress : float or array
        In shear. [Pa]
    elastic_modulus : float or array
        At the same age, above zero. [Pa]

    Returns
    -------
    strain : float or array
        A few hundredths are usual; a mortar that yields only at 1 or more contradicts itself. [1]

    Source: the definitions of modulus and of von Mises' yield stress; definition.

    Examples
    --------
    >>> float(strain_at_yield(yield_stress=3050.0, elastic_modulus=78e3))
    0.0677
    """
    within(elastic_modulus, "elastic modulus", above=0.0)
    return math.sqrt(3.0) * yield_stress / elastic_modulus


def _numbers_of(growth: GrowthLaw) -> dict[str, Numbers]:
    """The numbers of a law by their names."""
    return {field.name: getattr(growth, field.name) for field in fields(growth)}  # type: ignore[arg-type]
