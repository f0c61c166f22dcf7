"""Mixing water cooled in a coil that stands in a bath: what comes out, from one timed run at the site.

In a bath of one temperature the water nears it by exp(-NTU), where NTU is the conductance of the coil over the heat
that the flow carries for each degree. That conductance can't be read off a drawing: in a still ice bath the water
around the coil hardly moves, because it is heaviest at 4 °C, and nothing tells how much melting stirs it. One run with
a thermometer at both ends does tell. Then stir and refill as in that run, or measure again.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from evenbead.errors import NotPossible
from evenbead.physics.ranges import within
from evenbead.physics.uncertainty import Estimate
from evenbead.physics.water_transport import WATER_HEAT

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]
    Numbers = float | Floats

FILM_EXPONENT = 0.8
"""Power of the flow with which the film inside a tube grows while the flow is turbulent. [1]  Source: [Cengel2007]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class CoilOutlet:
    """What leaves a coil.

    Attributes
    ----------
    temperature_c : float or array
        Of the water at the outlet. [degC]
    heat : float or array
        Taken out of the water; below zero in a bath that is warmer. [W]
    effectiveness : float or array
        Share of the way from inlet to bath temperature. [1]
    transfer_units : float or array
        Conductance over capacity flow. [1]
    """

    temperature_c: Numbers
    heat: Numbers
    effectiveness: Numbers
    transfer_units: Numbers


def effectiveness(transfer_units: Numbers) -> Numbers:
    """Share of the way to the bath's temperature that the water goes, 1 - exp(-NTU).

    Parameters
    ----------
    transfer_units : float or array
        Conductance over capacity flow. [1]

    Returns
    -------
    effectiveness : float or array
        0 to 1. [1]

    Valid for: a bath of one temperature, in contact with the whole coil.

    Source: [Cengel2007] chapter 11, one side of unlimited capacity.

    Examples
    --------
    >>> float(effectiveness(3.044522))
    0.952381
    """
    share: Numbers = -np.expm1(-np.asarray(within(transfer_units, "transfer_units", at_least=0.0)))
    return share


def transfer_units(*, inlet_temp_c: Numbers, outlet_temp_c: Numbers, bath_temp_c: Numbers = 0.0) -> Numbers:
    """Transfer units of a coil from three temperatures, ln[(inlet - bath)/(outlet - bath)].

    Parameters
    ----------
    inlet_temp_c : float or array
        Of the water before the coil. [degC]
    outlet_temp_c : float or array
        Of the water behind it, once it has become steady. [degC]
    bath_temp_c : float or array
        Of the bath around the coil. [degC]

    Returns
    -------
    transfer_units : float or array
        [1]

    Raises
    ------
    NotPossible
        The water has not come nearer to the bath, or has passed it.

    Source: [Cengel2007] chapter 11.

    Examples
    --------
    >>> float(transfer_units(inlet_temp_c=25.0, outlet_temp_c=10.0))
    0.9163
    """
    start = np.asarray(inlet_temp_c, float) - bath_temp_c
    end = np.asarray(outlet_temp_c, float) - bath_temp_c
    if not np.all((start * end > 0.0) & (np.abs(end) <= np.abs(start))):
        raise NotPossible("water in a coil comes nearer to the bath and never passes it: check the three thermometers")
    units: Numbers = np.log(start / end)
    return units


def coil_conductance(
    *,
    flow: Numbers,
    inlet_temp_c: Numbers,
    outlet_temp_c: Numbers,
    bath_temp_c: Numbers = 0.0,
    specific_heat: Numbers = WATER_HEAT,
) -> Numbers:
    """Conductance of a coil from one steady run, or the one a wanted outlet asks for.

    Parameters
    ----------
    flow : float or array
        Mass flow of the water. [kg/s]
    inlet_temp_c : float or array
        Of the water before the coil. [degC]
    outlet_temp_c : float or array
        Of the water behind it. [degC]
    bath_temp_c : float or array
        Of the bath around the coil. [degC]
    specific_heat : float or array
        Of what flows in the coil. [J/kg/K]

    Returns
    -------
    conductance : float or array
        Area times overall heat transfer coefficient. [W/K]

    Source: [Cengel2007] chapter 11.

    Examples
    --------
    >>> float(coil_conductance(flow=4.0 / 60, inlet_temp_c=25.0, outlet_temp_c=10.0))
    255.7
    """
    units = transfer_units(inlet_temp_c=inlet_temp_c, outlet_temp_c=outlet_temp_c, bath_temp_c=bath_temp_c)
    return within(flow, "flow", above=0.0) * specific_heat * units


def measured_conductance(
    *,
    flow: Estimate,
    inlet_temp_c: Estimate,
    outlet_temp_c: Estimate,
    bath_temp_c: Estimate,
    specific_heat: float = WATER_HEAT,
) -> Estimate:
    """Conductance of a coil from one timed run, with the doubt that flow and thermometers leave.

    Parameters
    ----------
    flow : Estimate
        Mass flow of the water, by bucket and watch. [kg/s]
    inlet_temp_c : Estimate
        Of the water before the coil. [degC]
    outlet_temp_c : Estimate
        Of the water behind it. [degC]
    bath_temp_c : Estimate
        Of the bath around the coil. [degC]
    specific_heat : float
        Of what flows in the coil. [J/kg/K]

    Returns
    -------
    conductance : Estimate
        The doubts are taken as known and independent: one thermometer for all three places is better than this says.
        [W/K]

    Valid for: an outlet that differs from the bath by many times the thermometers' doubt.

    Source: [GUM2008] eq. 10 on `coil_conductance`.

    Examples
    --------
    >>> run = measured_conductance(
    ...     flow=Estimate(value=4.0 / 60, u=0.02 / 60), inlet_temp_c=Estimate(value=25.0, u=0.3),
    ...     outlet_temp_c=Estimate(value=10.0, u=0.3), bath_temp_c=Estimate(value=0.0, u=0.3))
    >>> float(run.value), float(run.u)
    (255.7, 10.4)
    """
    value = coil_conductance(
        flow=flow.value,
        inlet_temp_c=inlet_temp_c.value,
        outlet_temp_c=outlet_temp_c.value,
        bath_temp_c=bath_temp_c.value,
        specific_heat=specific_heat,
    )
    capacity = flow.value * specific_heat
    by_inlet = capacity / (inlet_temp_c.value - bath_temp_c.value)
    by_outlet = capacity / (outlet_temp_c.value - bath_temp_c.value)
    parts = (
        value / flow.value * flow.u,
        by_inlet * inlet_temp_c.u,
        by_outlet * outlet_temp_c.u,
        (by_outlet - by_inlet) * bath_temp_c.u,
    )
    return Estimate(value=value, u=np.sqrt(sum(np.square(part) for part in parts)), dof=math.inf)


def conductance_at(
    *,
    conductance: Numbers,
    reference_flow: Numbers,
    flow: Numbers,
    inside_share: Numbers = 0.0,
    exponent: Numbers = FILM_EXPONENT,
) -> Numbers:
    """Conductance of the same coil at another flow than that of its run.

    Kept as it is unless a share of the resistance is put down to the film inside the tube, which thins with the flow:
    1/UA' = (1/UA) (share (reference flow/flow)^0.8 + 1 - share). In a still bath most of the resistance is outside.

    Parameters
    ----------
    conductance : float or array
        From the run. [W/K]
    reference_flow : float or array
        Mass flow of the run. [kg/s]
    flow : float or array
        Mass flow for which it is wanted. [kg/s]
    inside_share : float or array
        Share of the whole resistance that lay inside the tube during the run, 0 to 1. [1]
    exponent : float or array
        Power of the flow; 0.8 for turbulent flow, less for laminar. [1]

    Returns
    -------
    conductance : float or array
        [W/K]

    Valid for: flows of the same kind, turbulent both or laminar both; below the change the film is far weaker.

    Source: [Cengel2007] chapters 3 and 8; the share is a judgement, no source.

    Examples
    --------
    >>> conductance_at(conductance=256.0, reference_flow=4.0, flow=2.0)
    256.
    >>> conductance_at(conductance=256.0, reference_flow=4.0, flow=2.0, inside_share=0.2)
    223.0
    """
    within(conductance, "conductance", above=0.0)
    within(inside_share, "inside_share", at_least=0.0, at_most=1.0)
    ratio = within(reference_flow, "reference_flow", above=0.0) / within(flow, "flow", above=0.0)
    return conductance / (inside_share * ratio**exponent + 1.0 - inside_share)


def coil_outlet(
    *,
    flow: Numbers,
    inlet_temp_c: Numbers,
    conductance: Numbers,
    bath_temp_c: Numbers = 0.0,
    specific_heat: Numbers = WATER_HEAT,
) -> CoilOutlet:
    """What leaves a coil, and the heat that it leaves in the bath.

    Parameters
    ----------
    flow : float or array
        Mass flow of the water. [kg/s]
    inlet_temp_c : float or array
        Of the water before the coil. [degC]
    conductance : float or array
        Of the coil in this bath, see `measured_conductance`. [W/K]
    bath_temp_c : float or array
        Of the bath: 0 while ice touches its water everywhere. [degC]
    specific_heat : float or array
        Of what flows in the coil. [J/kg/K]

    Returns
    -------
    outlet : CoilOutlet
        Temperature, heat and how they came about. [-]

    Valid for: steady flow, and a bath stirred and filled as in the run that gave the conductance.

    Source: [Cengel2007] chapter 11.

    Examples
    --------
    >>> out = coil_outlet(flow=2.0 / 60, inlet_temp_c=25.0, conductance=255.7)
    >>> float(out.temperature_c), float(out.heat)
    (4.00, 2930.)
    """
    capacity = within(flow, "flow", above=0.0) * specific_heat
    units = within(conductance, "conductance", at_least=0.0) / capacity
    share = effectiveness(units)
    drop = share * (np.asarray(inlet_temp_c) - bath_temp_c)
    return CoilOutlet(
        temperature_c=inlet_temp_c - drop, heat=capacity * drop, effectiveness=share, transfer_units=units
    )


def largest_flow(
    *,
    conductance: Numbers,
    inlet_temp_c: Numbers,
    outlet_temp_c: Numbers,
    bath_temp_c: Numbers = 0.0,
    specific_heat: Numbers = WATER_HEAT,
) -> Numbers:
    """The largest flow that a coil brings to a wanted temperature.

    Parameters
    ----------
    conductance : float or array
        Of the coil in this bath, kept at every flow. [W/K]
    inlet_temp_c : float or array
        Of the water before the coil. [degC]
    outlet_temp_c : float or array
        Wanted behind it, between bath and inlet. [degC]
    bath_temp_c : float or array
        Of the bath. [degC]
    specific_heat : float or array
        Of what flows in the coil. [J/kg/K]

    Returns
    -------
    flow : float or array
        Infinite where nothing need be cooled. [kg/s]

    Source: `coil_conductance` solved for the flow, as in `coil_conductance`.

    Examples
    --------
    >>> float(largest_flow(conductance=255.7, inlet_temp_c=25.0, outlet_temp_c=10.0)) * 60
    4.00
    """
    units = transfer_units(inlet_temp_c=inlet_temp_c, outlet_temp_c=outlet_temp_c, bath_temp_c=bath_temp_c)
    with np.errstate(divide="ignore"):
        flow: Numbers = np.divide(within(conductance, "conductance", above=0.0), specific_heat * units)
    return flow
