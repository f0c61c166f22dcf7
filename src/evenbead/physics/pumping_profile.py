"""Inside the hose: velocity over the bore, the first arrival of new mortar, and whether the flow is laminar.

The middle moves as a plug, faster than the mean. New mortar therefore shows at the nozzle before a whole hose volume
has passed: with a thin lubricating layer just before, in a mortar that shears across the bore after as little as half.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from evenbead.physics.pumping import mean_velocity
from evenbead.physics.ranges import within

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from evenbead.physics.pumping import FlowCurve, SlipLayer

    Floats = NDArray[np.float64]
    Numbers = float | Floats

# [Hanks1963] for a fluid without yield stress: the Reynolds number at which flow in a pipe stops being laminar.
_NEWTONIAN_LIMIT = 2100.0
_HEDSTROM_SCALE = 16_800.0


def velocity_at(
    radius: Numbers, *, stress: Numbers, bore: Numbers, curve: FlowCurve, layer: SlipLayer | None = None
) -> Numbers:
    """Velocity at a distance from the middle of the hose.

    Parameters
    ----------
    radius : float or array
        From the middle, zero to half the bore. [m]
    stress : float or array
        At the wall, above zero. [Pa]
    bore : float or array
        Inner diameter. [m]
    curve : FlowCurve
        Of the mortar. [Pa]
    layer : SlipLayer, optional
        At the wall; none unless given. [Pa]

    Returns
    -------
    velocity : float or array
        [m/s]

    Valid for: as `mean_velocity`.

    Source: as `mean_velocity`.

    Examples
    --------
    >>> from evenbead.physics.pumping import FlowCurve
    >>> mortar = FlowCurve(yield_stress=200.0, consistency=5.0)
    >>> velocity_at(np.array([0.0, 0.004, 0.0125]), stress=534.8, bore=0.025, curve=mortar).round(3)
    array([0.262, 0.262, 0.   ])
    """
    power = 1.0 / np.asarray(curve.exponent, float)
    at_wall = np.maximum(np.asarray(stress, float) - curve.yield_stress, 0.0)
    here = np.maximum(stress * np.asarray(radius, float) / (bore / 2.0) - curve.yield_stress, 0.0)
    spread = at_wall ** (power + 1.0) - here ** (power + 1.0)
    sheared = bore / 2.0 / stress * np.asarray(curve.consistency, float) ** -power * spread / (power + 1.0)
    slip = 0.0 if layer is None else np.maximum(stress - layer.yield_stress, 0.0) / layer.friction
    velocity: Numbers = (sheared + slip)[()]
    return velocity


def plug_radius(stress: Numbers, *, bore: Numbers, curve: FlowCurve) -> Numbers:
    """Radius inside which the mortar moves without being sheared.

    Parameters
    ----------
    stress : float or array
        At the wall, above zero. [Pa]
    bore : float or array
        Inner diameter. [m]
    curve : FlowCurve
        Of the mortar. [Pa]

    Returns
    -------
    radius : float or array
        The whole of the hose where the wall stress is below the yield stress. [m]

    Source: as `wall_stress`.

    Examples
    --------
    >>> from evenbead.physics.pumping import FlowCurve
    >>> float(plug_radius(534.8, bore=0.025, curve=FlowCurve(yield_stress=200.0, consistency=5.0))) * 1000
    4.67
    """
    share: Numbers = np.minimum(curve.yield_stress / np.asarray(stress, float), 1.0)
    return bore / 2.0 * share


def first_arrival(stress: Numbers, *, bore: Numbers, curve: FlowCurve, layer: SlipLayer | None = None) -> Numbers:
    """Share of the hose volume that passes before the first new mortar arrives: mean velocity over that of the plug.

    Parameters
    ----------
    stress : float or array
        At the wall, enough to move the mortar. [Pa]
    bore : float or array
        Inner diameter. [m]
    curve : FlowCurve
        Of the mortar. [Pa]
    layer : SlipLayer, optional
        At the wall; none unless given. [Pa]

    Returns
    -------
    share : float or array
        1 for a plug that slips, 1/2 for a Newtonian fluid. [1]

    Valid for: steady flow without mixing across the bore.

    Source: as `velocity_at`.

    Examples
    --------
    >>> from evenbead.physics.pumping import FlowCurve
    >>> mortar = FlowCurve(yield_stress=200.0, consistency=5.0)
    >>> float(first_arrival(534.8, bore=0.025, curve=mortar))
    0.648
    """
    mean = mean_velocity(stress, bore=bore, curve=curve, layer=layer)
    return mean / velocity_at(0.0, stress=stress, bore=bore, curve=curve, layer=layer)


def reynolds(*, velocity: Numbers, bore: Numbers, density: Numbers, viscosity: Numbers) -> Numbers:
    """Inertia against viscosity, density · v D/μ.

    Parameters
    ----------
    velocity : float or array
        Flow over area. [m/s]
    bore : float or array
        Inner diameter. [m]
    density : float or array
        Of the mortar. [kg/m^3]
    viscosity : float or array
        Plastic viscosity. [Pa*s]

    Returns
    -------
    number : float or array
        Of the order of 1 for mortar in a hose. [1]

    Source: definition.

    Examples
    --------
    >>> reynolds(velocity=3.47, bore=0.0206, density=1530.0, viscosity=0.00686)
    15943.
    """
    return density * velocity * bore / viscosity


def hedstrom(*, bore: Numbers, density: Numbers, yield_stress: Numbers, viscosity: Numbers) -> Numbers:
    """Yield stress against viscosity in a hose, density · τ_0 D²/μ².

    Parameters
    ----------
    bore : float or array
        Inner diameter. [m]
    density : float or array
        Of the mortar. [kg/m^3]
    yield_stress : float or array
        Dynamic. [Pa]
    viscosity : float or array
        Plastic viscosity. [Pa*s]

    Returns
    -------
    number : float or array
        [1]

    Source: definition.

    Examples
    --------
    >>> hedstrom(bore=0.0206, density=1530.0, yield_stress=3.8, viscosity=0.00686)
    52428.
    """
    return density * yield_stress * bore**2 / viscosity**2


def critical_reynolds(hedstrom_number: Numbers) -> Numbers:
    """The Reynolds number up to which a Bingham fluid flows laminar.

    With x/(1 - x)³ = He/16 800, Re_c = He/(8x) (1 - 4x/3 + x⁴/3).

    Parameters
    ----------
    hedstrom_number : float or array
        As `hedstrom` gives it, not negative. [1]

    Returns
    -------
    number : float or array
        2100 without yield stress; rises with it. [1]

    Valid for: Bingham fluids in round pipes. For mortar it only confirms the obvious; it guards wash-out water.

    Source: [Hanks1963]; from memory.

    Examples
    --------
    >>> critical_reynolds(np.array([0.0, 1e4, 1e6])).round()
    array([ 2100.,  3329., 15289.])
    """
    from scipy.optimize import elementwise  # noqa: PLC0415  (SciPy is slow to import)

    within(hedstrom_number, "Hedstrom number", at_least=0.0)
    ratio = np.asarray(hedstrom_number, float) / _HEDSTROM_SCALE

    def too_large(x: Floats, ratio: Floats) -> Floats:
        return x - ratio * (1.0 - x) ** 3

    # A root next to nothing need not be halved down to the smallest float.
    found = elementwise.find_root(too_large, (0.0, 1.0), args=(ratio,), tolerances={"xatol": 1e-15})
    x = np.asarray(found.x, np.float64)
    # He/(8x) is 2100/(1 - x)³, which also holds where both vanish.
    number: Numbers = (_NEWTONIAN_LIMIT / (1.0 - x) ** 3 * (1.0 - 4.0 / 3.0 * x + x**4 / 3.0))[()]
    return number
