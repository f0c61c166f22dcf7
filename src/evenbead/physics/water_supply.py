"""Water pressure at the station: what the tap gives at a flow, and what the hose takes of it.

A tap is known by two readings of one gauge: with nothing running, and with a known flow running. Between and beyond
them the loss grows with a power of the flow, 1/0.54 where pipes make it and 2 where one narrow place does. From the
tap to the station a hose of known bore takes its own share. It is a check, not a design of a water system.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from evenbead.errors import NotPossible
from evenbead.physics.orifice import ORIFICE_EXPONENT
from evenbead.physics.pipe_friction import friction_factor
from evenbead.physics.ranges import within
from evenbead.physics.water import WATER_DENSITY

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]
    Numbers = float | Floats
    Flags = bool | NDArray[np.bool_]

STATEMENT = "A check, not a design. The water supplier and the local plumbing code decide what may be drawn and how."
"""What every result of a water check carries."""

PIPE_EXPONENT = 0.54
"""Flow against pressure drop, where long pipes make the loss. [1]  Source: [NFPA-291], as a web page
states it."""

SMOOTH_HOSE = 1.5e-6
"""Roughness of a smooth plastic or rubber hose. [m]  Source: from memory."""

_WATER_AT_20 = 1.0016e-3
_GRAVITY = 9.806_65
_AT_REST = 1e-12


@dataclass(frozen=True, slots=True, kw_only=True)
class TapReadings:
    """Two readings of one gauge at the tap.

    Attributes
    ----------
    static : float or array
        With nothing running. [Pa]
    running : float or array
        With the known flow running. [Pa]
    flow : float or array
        That flow, by bucket and watch. [m^3/s]
    """

    static: Numbers
    running: Numbers
    flow: Numbers

    def __post_init__(self) -> None:
        within(self.static, "static", above=0.0)
        within(self.running, "running", at_least=0.0)
        within(np.subtract(self.static, self.running), "static less running", above=0.0)
        within(self.flow, "flow", above=0.0)


@dataclass(frozen=True, slots=True, kw_only=True)
class WaterHose:
    """The way from the tap to the station.

    Attributes
    ----------
    length : float or array
        Of the hose. [m]
    bore : float or array
        Inner diameter. [m]
    roughness : float or array
        Of its wall. [m]
    fittings : float or array
        Sum of the loss coefficients of couplings, bends and valves. [1]
    rise : float or array
        Height of the station above the tap; below zero where it lies lower. [m]
    """

    length: Numbers
    bore: Numbers
    roughness: Numbers = SMOOTH_HOSE
    fittings: Numbers = 0.0
    rise: Numbers = 0.0

    def __post_init__(self) -> None:
        within(self.length, "length", at_least=0.0)
        within(self.bore, "bore", above=0.0)
        within(self.roughness, "roughness", at_least=0.0)
        within(self.fittings, "fittings", at_least=0.0)
        within(self.rise, "rise")


@dataclass(frozen=True, slots=True, kw_only=True)
class HoseLoss:
    """What a hose takes at a flow.

    Attributes
    ----------
    pressure : float or array
        Lost along it, height included. [Pa]
    velocity : float or array
        Mean over the bore. [m/s]
    reynolds : float or array
        [1]
    friction_factor : float or array
        After Darcy. [1]
    """

    pressure: Numbers
    velocity: Numbers
    reynolds: Numbers
    friction_factor: Numbers


@dataclass(frozen=True, slots=True, kw_only=True)
class WaterCheck:
    """Whether the pressure at the station plausibly suffices. See `statement`.

    Attributes
    ----------
    tap_pressure : float or array
        At the tap, at the demand; below zero where the tap can't give so much. [Pa]
    hose_loss : float or array
        From tap to station. [Pa]
    pressure : float or array
        At the station, at the demand. [Pa]
    static_pressure : float or array
        At the station with nothing running. [Pa]
    margin : float or array
        Pressure less what pump or regulator needs. [Pa]
    enough : bool or array
        The margin is not below zero. [-]
    """

    tap_pressure: Numbers
    hose_loss: Numbers
    pressure: Numbers
    static_pressure: Numbers
    margin: Numbers
    enough: Flags

    @property
    def statement(self) -> str:
        """What this result is, and who decides."""
        return STATEMENT


def tap_pressure(readings: TapReadings, flow: Numbers, *, exponent: Numbers = PIPE_EXPONENT) -> Numbers:
    """Pressure at the tap while a flow runs.

    P = static - (static - running) (flow/known flow)^(1/exponent).

    Parameters
    ----------
    readings : TapReadings
        Of the same tap, at the same hour of day. [-]
    flow : float or array
        All that is drawn, not below zero. [m^3/s]
    exponent : float or array
        0.54 where pipes make the loss, 0.5 where a valve or a meter does. [1]

    Returns
    -------
    pressure : float or array
        Below zero where the tap can't give this flow. [Pa]

    Valid for: flows up to about twice the known one; other users of the main change both readings.

    Source: [NFPA-291], solved for the pressure.

    Examples
    --------
    >>> garden = TapReadings(static=4.0e5, running=3.0e5, flow=10e-3 / 60)
    >>> tap_pressure(garden, 15e-3 / 60) / 1e5
    1.88
    """
    within(exponent, "exponent", above=0.0, at_most=1.0)
    ratio = within(flow, "flow", at_least=0.0) / readings.flow
    return readings.static - (readings.static - readings.running) * ratio ** (1.0 / exponent)


def tap_flow(readings: TapReadings, pressure: Numbers, *, exponent: Numbers = PIPE_EXPONENT) -> Numbers:
    """Flow that a tap gives while its pressure falls no lower than this.

    Parameters
    ----------
    readings : TapReadings
        Of the same tap. [-]
    pressure : float or array
        Lowest allowed at the tap, at most the static one. [Pa]
    exponent : float or array
        As in `tap_pressure`. [1]

    Returns
    -------
    flow : float or array
        [m^3/s]

    Raises
    ------
    NotPossible
        The static pressure itself is lower.

    Source: [NFPA-291].

    Examples
    --------
    >>> garden = TapReadings(static=4.0e5, running=3.0e5, flow=10e-3 / 60)
    >>> float(tap_flow(garden, 2.0e5)) * 60e3
    14.54
    """
    within(exponent, "exponent", above=0.0, at_most=1.0)
    spare = np.asarray(readings.static - np.asarray(pressure))
    if np.any(spare < 0.0):
        raise NotPossible("the tap has less pressure than that even with nothing running")
    flow: Numbers = readings.flow * (spare / (readings.static - readings.running)) ** exponent
    return flow


def hose_loss(
    hose: WaterHose, flow: Numbers, *, density: Numbers = WATER_DENSITY, viscosity: Numbers = _WATER_AT_20
) -> HoseLoss:
    """Pressure that a hose takes at a flow.

    ΔP = (f L/D + Σ K) · density · v²/2 + density · g · rise.

    Parameters
    ----------
    hose : WaterHose
        From tap to station. [-]
    flow : float or array
        Through it, not below zero. [m^3/s]
    density : float or array
        Of the water. [kg/m^3]
    viscosity : float or array
        Of the water, see `water_viscosity`; that at 20 °C unless given. [Pa*s]

    Returns
    -------
    loss : HoseLoss
        [Pa]

    Source: [CengelCimbala2006] chapter 8.

    Examples
    --------
    >>> garden = WaterHose(length=30.0, bore=12.7e-3)
    >>> float(hose_loss(garden, 10e-3 / 60).pressure) / 1e5
    0.5575
    """
    within(density, "density", above=0.0)
    velocity = 4.0 * within(flow, "flow", at_least=0.0) / (math.pi * hose.bore**2)
    reynolds = density * velocity * hose.bore / within(viscosity, "viscosity", above=0.0)
    factor = friction_factor(reynolds, relative_roughness=hose.roughness / hose.bore)
    # In a hose at rest the laminar factor is infinite and the loss is none: 64/Re v² goes to zero with v.
    along = np.where(reynolds > _AT_REST, factor, 0.0) * hose.length / hose.bore
    return HoseLoss(
        pressure=(along + hose.fittings) * density * velocity**2 / 2.0 + density * _GRAVITY * hose.rise,
        velocity=velocity,
        reynolds=reynolds,
        friction_factor=factor,
    )


def water_check(
    readings: TapReadings,
    hose: WaterHose,
    *,
    demand: Numbers,
    minimum: Numbers,
    exponent: Numbers | None = None,
    density: Numbers = WATER_DENSITY,
    viscosity: Numbers = _WATER_AT_20,
) -> WaterCheck:
    """Whether the pressure at the station suffices while everything that draws water draws it.

    Parameters
    ----------
    readings : TapReadings
        At the tap. [-]
    hose : WaterHose
        From tap to station. [-]
    demand : float or array
        Mixing water, wash water and whatever else may run at the same time. [m^3/s]
    minimum : float or array
        What pump or regulator needs at its inlet. [Pa]
    exponent : float or array, optional
        As in `tap_pressure`; unless given the lower pressure of 0.54 and 0.5 counts. [1]
    density : float or array
        Of the water. [kg/m^3]
    viscosity : float or array
        Of the water. [Pa*s]

    Returns
    -------
    check : WaterCheck
        With the sentence that it is a check and no design. [-]

    Source: as in `tap_pressure` and `hose_loss`.

    Examples
    --------
    >>> check = water_check(
    ...     TapReadings(static=4.0e5, running=3.0e5, flow=10e-3 / 60), WaterHose(length=30.0, bore=12.7e-3),
    ...     demand=8e-3 / 60, minimum=1.5e5)
    >>> float(check.pressure) / 1e5, bool(check.enough)
    (2.96, True)
    """
    low, high = (ORIFICE_EXPONENT, PIPE_EXPONENT) if exponent is None else (exponent, exponent)
    at_tap: Numbers = np.minimum(
        tap_pressure(readings, demand, exponent=low), tap_pressure(readings, demand, exponent=high)
    )
    lost = hose_loss(hose, demand, density=density, viscosity=viscosity).pressure
    pressure = at_tap - lost
    return WaterCheck(
        tap_pressure=at_tap,
        hose_loss=lost,
        pressure=pressure,
        static_pressure=readings.static - density * _GRAVITY * hose.rise,
        margin=pressure - minimum,
        enough=pressure >= minimum,
    )
