"""How mortar warms or cools on its way from mixer to nozzle, flowing or standing.

One conductance describes the whole hose, skin and all. Nobody publishes it for mortar hoses; temperatures read at both
ends of a running hose give it. Until then it is none, and the mortar leaves as it entered.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from evenbead.errors import NotPossible
from evenbead.physics.ranges import within

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Numbers = float | NDArray[np.float64]


def hose_temperature(
    *, inlet_temp_c: Numbers, surroundings_temp_c: Numbers, capacity_flow: Numbers, conductance: Numbers = 0.0
) -> Numbers:
    """Temperature of flowing mortar at the end of its hose.

    It nears that of the surroundings by exp(-conductance/capacity flow).

    Parameters
    ----------
    inlet_temp_c : float or array
        Of the mortar as it enters the hose. [degC]
    surroundings_temp_c : float or array
        What the hose feels: air in the shade; the sun warms its skin well beyond that. [degC]
    capacity_flow : float or array
        Mass flow times specific heat, as `heat_capacity` gives for flows. [W/K]
    conductance : float or array
        Of the whole hose, from temperatures read at both ends; none unless measured. [W/K]

    Returns
    -------
    temperature_c : float or array
        Mean over the bore at the nozzle. [degC]

    Valid for: steady flow and surroundings alike along the hose; no heat of hydration or of pumping.

    Source: [Cengel2007] chapter 8, a pipe in surroundings of one temperature.

    Examples
    --------
    >>> float(hose_temperature(inlet_temp_c=22.0, surroundings_temp_c=40.0, capacity_flow=220.0, conductance=12.0))
    22.96
    """
    within(capacity_flow, "capacity_flow", above=0.0)
    within(conductance, "conductance", at_least=0.0)
    return surroundings_temp_c + (inlet_temp_c - surroundings_temp_c) * np.exp(-np.divide(conductance, capacity_flow))


def standing_temperature(
    *,
    start_temp_c: Numbers,
    surroundings_temp_c: Numbers,
    capacity: Numbers,
    time: Numbers,
    conductance: Numbers = 0.0,
) -> Numbers:
    """Temperature of mortar that stands still in its hose during a pause.

    Parameters
    ----------
    start_temp_c : float or array
        When the pump stopped. [degC]
    surroundings_temp_c : float or array
        As in `hose_temperature`. [degC]
    capacity : float or array
        Heat capacity of the mortar in the hose. [J/K]
    time : float or array
        Since the pump stopped. [s]
    conductance : float or array
        Of the whole hose, as in `hose_temperature`. [W/K]

    Returns
    -------
    temperature_c : float or array
        Mean over the bore; the skin is nearer to the surroundings. [degC]

    Valid for: pauses in which hydration brings no heat worth counting.

    Source: [Cengel2007] chapter 4, a body of one temperature.

    Examples
    --------
    >>> float(standing_temperature(
    ...     start_temp_c=22.0, surroundings_temp_c=40.0, capacity=36e3, conductance=12.0, time=600.0))
    25.26
    """
    within(capacity, "capacity", above=0.0)
    within(conductance, "conductance", at_least=0.0)
    within(time, "time", at_least=0.0)
    decay = np.exp(-np.asarray(time) * conductance / capacity)
    return surroundings_temp_c + (start_temp_c - surroundings_temp_c) * decay


def hose_conductance(
    *, inlet_temp_c: Numbers, outlet_temp_c: Numbers, surroundings_temp_c: Numbers, capacity_flow: Numbers
) -> Numbers:
    """Conductance of a hose from the mortar's temperature at both of its ends.

    Parameters
    ----------
    inlet_temp_c : float or array
        Of the mortar as it enters the hose. [degC]
    outlet_temp_c : float or array
        At the nozzle, of the same mortar: read one hose volume later. [degC]
    surroundings_temp_c : float or array
        As in `hose_temperature`. [degC]
    capacity_flow : float or array
        Mass flow times specific heat. [W/K]

    Returns
    -------
    conductance : float or array
        Of the whole hose. [W/K]

    Raises
    ------
    NotPossible
        The mortar moved away from its surroundings, or past them.

    Source: the inverse of `hose_temperature`, as in `hose_temperature`.

    Examples
    --------
    >>> float(hose_conductance(inlet_temp_c=22.0, outlet_temp_c=22.96, surroundings_temp_c=40.0, capacity_flow=220.0))
    12.06
    """
    within(capacity_flow, "capacity_flow", above=0.0)
    start = np.asarray(inlet_temp_c, float) - surroundings_temp_c
    end = np.asarray(outlet_temp_c, float) - surroundings_temp_c
    if not np.all((start * end > 0.0) & (np.abs(end) <= np.abs(start))):
        raise NotPossible("between the ends of the hose the mortar must come nearer to its surroundings, not pass them")
    conductance: Numbers = capacity_flow * np.log(start / end)
    return conductance
