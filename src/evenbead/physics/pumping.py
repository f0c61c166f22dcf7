"""Mortar in a round hose: flow for a pressure, pressure for a flow, and how the velocity is spread over the bore.

All of it hangs on the shear stress at the wall, τ_w = Δp D/(4L): whatever the mortar, it falls evenly from there to
nothing in the middle. Where it is below the yield stress the mortar moves as a plug. A thin lubricating layer, if
there is one, lets the whole column slip: its velocity adds to that of shearing.

The mortar is a Herschel-Bulkley fluid, τ = τ_0 + K·(rate of shear)ⁿ; with n = 1 it is a Bingham fluid and K its
plastic viscosity.

This fails where coarse grains jam, where water is pressed out, and in bends and nipples, which are not counted. No
published pressure per metre of mortar hose of 25 to 35 mm was found: a station's own readings beat all of this.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from evenbead.physics.ranges import within

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]
    Numbers = float | Floats


@dataclass(frozen=True, slots=True, kw_only=True)
class FlowCurve:
    """How a flowing mortar resists shearing: τ = τ_0 + K·(rate of shear)ⁿ.

    Attributes
    ----------
    yield_stress : float or array
        τ_0, dynamic: that of mortar in motion, not at rest; not negative. [Pa]
    consistency : float or array
        K, above zero: the plastic viscosity where the exponent is 1, else in Pa·sⁿ. [Pa*s]
    exponent : float or array
        n, above zero; below 1 it thins as it is sheared faster. [1]
    """

    yield_stress: Numbers
    consistency: Numbers
    exponent: Numbers = 1.0

    def __post_init__(self) -> None:
        within(self.yield_stress, "yield stress", at_least=0.0)
        within(self.consistency, "consistency", above=0.0)
        within(self.exponent, "exponent", above=0.0)


@dataclass(frozen=True, slots=True, kw_only=True)
class SlipLayer:
    """The lubricating layer at the wall: τ_w = τ_i + k·v.

    Attributes
    ----------
    yield_stress : float or array
        τ_i, the wall stress at which slip begins, not negative. [Pa]
    friction : float or array
        k, the rise of wall stress with the velocity of slip, above zero. [Pa*s/m]
    """

    yield_stress: Numbers
    friction: Numbers

    def __post_init__(self) -> None:
        within(self.yield_stress, "yield stress of the layer", at_least=0.0)
        within(self.friction, "friction of the layer", above=0.0)


def slip_layer(*, yield_stress: Numbers, viscosity: Numbers, thickness: Numbers) -> SlipLayer:
    """The lubricating layer from what it is made of: k = μ/e.

    Parameters
    ----------
    yield_stress : float or array
        Of the paste in the layer. [Pa]
    viscosity : float or array
        Plastic viscosity of that paste. [Pa*s]
    thickness : float or array
        Of the layer. [m]

    Returns
    -------
    layer : SlipLayer
        [Pa*s/m]

    Valid for: layers thin against the bore. Measured ones were 1 to 3 mm, in concrete with coarse grains; in a
    mortar hose it is thinner and mostly unmeasured.

    Source: [Kaplan2005]; from memory.

    Examples
    --------
    >>> slip_layer(yield_stress=10.0, viscosity=0.5, thickness=0.5e-3).friction
    1000.0
    """
    return SlipLayer(yield_stress=yield_stress, friction=viscosity / thickness)


def wall_stress(pressure: Numbers, *, length: Numbers, bore: Numbers) -> Numbers:
    """Shear stress at the wall of a hose, from the pressure lost along it.

    Parameters
    ----------
    pressure : float or array
        Lost to friction along the hose. [Pa]
    length : float or array
        Of the hose. [m]
    bore : float or array
        Inner diameter. [m]

    Returns
    -------
    stress : float or array
        [Pa]

    Source: balance of forces on the column of mortar; definition.

    Examples
    --------
    >>> wall_stress(8e5, length=10.0, bore=0.025)
    500.0
    """
    return pressure * bore / (4.0 * length)


def mean_velocity(stress: Numbers, *, bore: Numbers, curve: FlowCurve, layer: SlipLayer | None = None) -> Numbers:
    """Flow over area at a wall stress.

    With φ = τ_0/τ_w, v = (D/2) n (τ_w/K)^(1/n) (1-φ)^((n+1)/n) [(1-φ)²/(3n+1) + 2φ(1-φ)/(2n+1) + φ²/(n+1)]; for n = 1
    this is the equation of Buckingham and Reiner, and without yield stress that of Hagen and Poiseuille. Slip adds
    (τ_w - τ_i)/k.

    Parameters
    ----------
    stress : float or array
        At the wall. [Pa]
    bore : float or array
        Inner diameter. [m]
    curve : FlowCurve
        Of the mortar. [Pa]
    layer : SlipLayer, optional
        At the wall; none unless given. [Pa]

    Returns
    -------
    velocity : float or array
        Zero below the yield stress, if nothing slips. [m/s]

    Valid for: laminar flow, see `critical_reynolds`.

    Source: [Chhabra2008] chapter 3; from memory, and equal to the integral of the velocity profile. Slip: [Kaplan2005].

    Examples
    --------
    >>> mortar = FlowCurve(yield_stress=200.0, consistency=40.0, exponent=0.5)
    >>> stress = wall_stress(6e5, length=10.0, bore=0.025)
    >>> float(mean_velocity(stress, bore=0.025, curve=mortar)) * math.pi / 4 * 0.025**2
    1.44043e-05
    """
    velocity: Numbers = _velocity(stress, _numbers(bore, curve, layer))[()]
    return velocity


def flow_at_pressure(
    pressure: Numbers, *, length: Numbers, bore: Numbers, curve: FlowCurve, layer: SlipLayer | None = None
) -> Numbers:
    """Flow through a hose that a pressure drives.

    Parameters
    ----------
    pressure : float or array
        Lost to friction along the hose: pump pressure less static head. [Pa]
    length : float or array
        Of the hose. [m]
    bore : float or array
        Inner diameter. [m]
    curve : FlowCurve
        Of the mortar. [Pa]
    layer : SlipLayer, optional
        At the wall; none unless given. [Pa]

    Returns
    -------
    flow : float or array
        [m^3/s]

    Valid for: as `mean_velocity`.

    Source: as `mean_velocity`.

    Examples
    --------
    >>> mortar = FlowCurve(yield_stress=200.0, consistency=5.0)
    >>> float(flow_at_pressure(8.557e5, length=10.0, bore=0.025, curve=mortar)) * 60000
    5.000
    """
    stress = wall_stress(pressure, length=length, bore=bore)
    return mean_velocity(stress, bore=bore, curve=curve, layer=layer) * (math.pi / 4.0 * bore**2)


def pressure_for_flow(
    flow: Numbers, *, length: Numbers, bore: Numbers, curve: FlowCurve, layer: SlipLayer | None = None
) -> Numbers:
    """Pressure lost to friction along a hose at a flow: the inverse of `flow_at_pressure`.

    Parameters
    ----------
    flow : float or array
        Through the hose, not negative. [m^3/s]
    length : float or array
        Of the hose. [m]
    bore : float or array
        Inner diameter. [m]
    curve : FlowCurve
        Of the mortar. [Pa]
    layer : SlipLayer, optional
        At the wall; none unless given. [Pa]

    Returns
    -------
    pressure : float or array
        For no flow, the least that would set moving mortar in motion. [Pa]

    Valid for: as `mean_velocity`. Without a layer it is the upper estimate; segregation to the wall brought it down to
    some 60 % in one published rig.

    Source: as `mean_velocity`.

    Examples
    --------
    >>> mortar = FlowCurve(yield_stress=200.0, consistency=5.0)
    >>> float(pressure_for_flow(5e-3 / 60, length=10.0, bore=0.025, curve=mortar)) / 1e5
    8.557
    """
    velocity = flow / (math.pi / 4.0 * bore**2)
    return stress_for_velocity(velocity, bore=bore, curve=curve, layer=layer) * (4.0 * length / bore)


def stress_for_velocity(
    velocity: Numbers, *, bore: Numbers, curve: FlowCurve, layer: SlipLayer | None = None
) -> Numbers:
    """Wall stress at a mean velocity: the inverse of `mean_velocity`.

    Parameters
    ----------
    velocity : float or array
        Flow over area, not negative. [m/s]
    bore : float or array
        Inner diameter. [m]
    curve : FlowCurve
        Of the mortar. [Pa]
    layer : SlipLayer, optional
        At the wall; none unless given. [Pa]

    Returns
    -------
    stress : float or array
        [Pa]

    Valid for: as `mean_velocity`.

    Source: as `mean_velocity`; the root is found by bracketing, case by case.

    Examples
    --------
    >>> water_like = FlowCurve(yield_stress=0.0, consistency=1.0)
    >>> float(stress_for_velocity(0.1, bore=0.02, curve=water_like))
    40.0
    """
    from scipy.optimize import elementwise  # noqa: PLC0415  (SciPy is slow to import)

    within(velocity, "velocity", at_least=0.0)
    n = np.asarray(curve.exponent, float)
    # Above τ_0 + max(τ_0, K (4v(3n+1)/(nD))ⁿ) even the weakest of the three terms moves fast enough.
    power = curve.consistency * (4.0 * velocity * (3.0 * n + 1.0) / (n * bore)) ** n
    low = _least_stress(curve, layer)
    high = curve.yield_stress + np.maximum(curve.yield_stress, power)
    numbers = _numbers(bore, curve, layer)
    low, high, wanted, *columns = (
        np.asarray(column, np.float64) for column in np.broadcast_arrays(low, high, velocity, *numbers)
    )
    # Where nothing flows the bracket may have no width: any will do, since its lower end is the answer.
    high = np.where(high > low, high, low + 1.0)

    def too_fast(stress: Floats, wanted: Floats, *numbers: Floats) -> Floats:
        return _velocity(stress, numbers) - wanted

    found = elementwise.find_root(too_fast, (low, high), args=(wanted, *columns))
    stress: Numbers = np.where(wanted > 0.0, found.x, low)[()]
    return stress


def _numbers(bore: Numbers, curve: FlowCurve, layer: SlipLayer | None) -> tuple[Numbers, ...]:
    """All that a velocity depends on besides the wall stress, in a row that a root finder can hand on."""
    of_mortar = (bore, curve.yield_stress, curve.consistency, curve.exponent)
    return of_mortar if layer is None else (*of_mortar, layer.yield_stress, layer.friction)


def _velocity(stress: Numbers, numbers: tuple[Numbers, ...]) -> Floats:
    """Mean velocity: shearing, and slip where the row holds a layer."""
    bore, yield_stress, consistency, exponent, *slip = numbers
    at_wall, n = np.asarray(stress, np.float64), np.asarray(exponent, np.float64)
    excess = np.maximum(at_wall - yield_stress, 0.0)
    # The sheared share of the radius, 1 - φ, from the excess itself: accurate also just above the yield stress.
    sheared = excess / np.where(at_wall > 0.0, at_wall, 1.0)
    plug = 1.0 - sheared
    shape = sheared**2 / (3.0 * n + 1.0) + 2.0 * plug * sheared / (2.0 * n + 1.0) + plug**2 / (n + 1.0)
    velocity: Floats = bore / 2.0 * n * (excess / consistency) ** (1.0 / n) * sheared * shape
    return velocity if not slip else velocity + np.maximum(at_wall - slip[0], 0.0) / slip[1]


def _least_stress(curve: FlowCurve, layer: SlipLayer | None) -> Numbers:
    """Wall stress below which nothing moves."""
    stress: Numbers = curve.yield_stress if layer is None else np.minimum(curve.yield_stress, layer.yield_stress)
    return stress
