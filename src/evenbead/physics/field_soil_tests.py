"""Tests that came to mortar from soil laboratories: vanes, penetrometer, fall cone and slumped cylinder.

They measure static yield stress on mortar at rest, some of them on the printed bead itself. Two of them need a constant
that no geometry gives (the bearing factor of a penetrometer, the factor of a fall cone): it is measured against a vane
on the same mortar, and its doubt is part of the result.

Results and their doubt are as in `field_tests`; compare a test with its own kind only.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

import numpy as np

from evenbead.physics.constants import GRAVITY
from evenbead.physics.field_compression import COMPRESSION_OVER_SHEAR
from evenbead.physics.field_tests import FieldTest, mean_with_instrument, scatter_of, value_from
from evenbead.physics.ranges import within
from evenbead.physics.uncertainty import Estimate

if TYPE_CHECKING:
    from numpy.typing import ArrayLike

    from evenbead.physics.field_compression import Criterion

# [Demont2024]: a pocket vane of 25.5 mm whose 7e-5 N·m stand for 7 Pa.
_POCKET_VANE_CONSTANT = 1.0e-5


def pocket_vane(
    torques: ArrayLike,
    *,
    torque_u: float,
    constant: float = _POCKET_VANE_CONSTANT,
    relative_constant_u: float = 0.05,
) -> FieldTest:
    """Yield stress from a small vane turned on the face of the bead: torque over a constant.

    Parameters
    ----------
    torques : float or (n,) array
        Highest torque of each turn. [N*m]
    torque_u : float
        Standard uncertainty of the instrument. [N*m]
    constant : float
        Torque for each unit of yield stress. [m^3]
    relative_constant_u : float
        Standard uncertainty of the constant over the constant; an assumption unless it was calibrated. [1]

    Returns
    -------
    test : FieldTest
        [Pa]

    Valid for: a flat face wider than the vane, turned slowly and evenly.

    Source: [Demont2024]; abstract; the constant is worked out from its torque and stress; that of the assumed doubt is
    common practice, no source.

    Examples
    --------
    >>> pocket_vane([0.020, 0.022, 0.021], torque_u=7e-5).yield_stress.value
    2100.0
    """
    mean = mean_with_instrument(torques, instrument_u=torque_u, name="torque")
    of_vane = Estimate(value=constant, u=relative_constant_u * constant)
    return FieldTest(
        test=f"pocket vane, constant {constant:g} m³",
        yield_stress=value_from(lambda torque, k: torque / k, mean, of_vane),
        scatter=scatter_of(torques),
    )


def deep_vane(
    torques: ArrayLike, *, diameter: float, height: float, torque_u: float, size_u: float = 0.05e-3
) -> FieldTest:
    """Yield stress from a vane turned inside the mortar: τ = T/[π D² (H/2 + D/6)].

    Parameters
    ----------
    torques : float or (n,) array
        Highest torque of each turn. [N*m]
    diameter : float
        Of the vane. [m]
    height : float
        Of its blades. [m]
    torque_u : float
        Standard uncertainty of the instrument. [N*m]
    size_u : float
        Standard uncertainty of diameter and of height. [m]

    Returns
    -------
    test : FieldTest
        [Pa]

    Valid for: a vane covered by mortar on all sides, at least as deep as it is high, far from walls, turned slowly.

    Source: [Dzuy1985]; from memory.

    Examples
    --------
    >>> deep_vane(0.1, diameter=0.0255, height=0.051, torque_u=1e-3).yield_stress.value
    1645.4
    """
    mean = mean_with_instrument(torques, instrument_u=torque_u, name="torque")
    return FieldTest(
        test=f"vane {diameter * 1000:g} x {height * 1000:g} mm",
        yield_stress=value_from(
            lambda torque, d, h: torque / (math.pi * d**2 * (h / 2.0 + d / 6.0)),
            mean,
            Estimate(value=diameter, u=size_u),
            Estimate(value=height, u=size_u),
        ),
        scatter=scatter_of(torques),
    )


def penetrometer(
    forces: ArrayLike, *, area: float, bearing_factor: float, bearing_factor_u: float, force_u: float
) -> FieldTest:
    """Yield stress from the force that drives a needle or cone slowly in: τ = F/(N A).

    Parameters
    ----------
    forces : float or (n,) array
        At the depth for which N was calibrated. [N]
    area : float
        Of the tip, across. [m^2]
    bearing_factor : float
        N, calibrated for this tip at this depth against a vane on the same mortar; it has no default. [1]
    bearing_factor_u : float
        Its standard uncertainty. [1]
    force_u : float
        Standard uncertainty of the instrument. [N]

    Returns
    -------
    test : FieldTest
        [Pa]

    Valid for: slow penetration, some 1 to 200 kPa; below that the depth and the weight of the tip must be allowed for.

    Source: [Reiter2022]; abstract; N could not be read there.

    Examples
    --------
    >>> found = penetrometer([9.0, 9.4], area=1e-4, bearing_factor=9.2, bearing_factor_u=0.5, force_u=0.1)
    >>> found.yield_stress.value / 1000
    10.0
    """
    mean = mean_with_instrument(forces, instrument_u=force_u, name="force")
    factor = Estimate(value=bearing_factor, u=bearing_factor_u)
    return FieldTest(
        test=f"penetrometer {area * 1e6:.3g} mm², factor {bearing_factor:g}",
        yield_stress=value_from(lambda force, n: force / (n * area), mean, factor),
        scatter=scatter_of(forces),
    )


def fall_cone(depths: ArrayLike, *, mass: float, factor: float, factor_u: float, depth_u: float = 0.1e-3) -> FieldTest:
    """Yield stress from how deep a cone falls in under its own weight: τ = k m g/d².

    Parameters
    ----------
    depths : float or (n,) array
        How far its point went in. [m]
    mass : float
        Of the falling part. [kg]
    factor : float
        k, for the angle and face of the cone: about 0.8 for 30°, with 0.4 to 1.33 reported; calibrate it. [1]
    factor_u : float
        Its standard uncertainty. [1]
    depth_u : float
        Standard uncertainty of the depth. [m]

    Returns
    -------
    test : FieldTest
        [Pa]

    Valid for: cones that come to rest before their face is buried, in mortar whose grains are small against the depth.

    Source: [Hansbo1957]; from memory; the range of k seen in an abstract.

    Examples
    --------
    >>> found = fall_cone([0.0199, 0.0201], mass=0.080, factor=0.8, factor_u=0.1)
    >>> found.yield_stress.value
    1569.1
    """
    mean = mean_with_instrument(depths, instrument_u=depth_u, name="depth")
    of_cone = Estimate(value=factor, u=factor_u)
    return FieldTest(
        test=f"fall cone {mass * 1000:g} g, factor {factor:g}",
        yield_stress=value_from(lambda depth, k: k * mass * GRAVITY / depth**2, mean, of_cone),
        scatter=scatter_of(depths),
    )


def slumped_cylinder(
    slumps: ArrayLike,
    *,
    height: float,
    density: float,
    slump_u: float = 1e-3,
    criterion: Criterion = "Tresca",
) -> FieldTest:
    """Yield stress from how far a cylinder sinks when its mould is lifted off.

    With x = k τ/(density · g H), s/H = 1 - x (1 - ln x): below a depth that can carry itself, each slice is squeezed
    until it can.

    Parameters
    ----------
    slumps : float or (n,) array
        How far the top sank, more than nothing and less than the height. [m]
    height : float
        Of the mould. [m]
    density : float
        Of the fresh mortar. [kg/m^3]
    slump_u : float
        Standard uncertainty of the reading. [m]
    criterion : "von Mises" or "Tresca"
        k is √3 or 2; the source uses 2. [-]

    Returns
    -------
    test : FieldTest
        [Pa]

    Valid for: stiff mortar that sinks and stays a column; smooth mould, no tapping.

    Source: [Pashias1996]; from memory, and derived again from the weight above each slice.

    Examples
    --------
    >>> slumped_cylinder([0.024, 0.026], height=0.100, density=2100.0).yield_stress.value
    393.8
    """
    from scipy.optimize import brentq  # noqa: PLC0415  (SciPy is slow to import)

    within(np.asarray(slumps, float), "slump", above=0.0, below=height)
    mean = mean_with_instrument(slumps, instrument_u=slump_u, name="slump")

    def stress(slump: float) -> float:
        stands = brentq(lambda x: 1.0 - x * (1.0 - math.log(x)) - slump / height, 1e-300, 1.0)
        return float(stands) * density * GRAVITY * height / COMPRESSION_OVER_SHEAR[criterion]

    return FieldTest(
        test=f"slump of a cylinder {height * 1000:g} mm high",
        yield_stress=value_from(stress, mean),
        scatter=scatter_of(slumps),
    )
