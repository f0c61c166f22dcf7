"""The bath around a cooling coil: how fast its ice goes, when to refill, and how it warms once the ice is gone.

While ice touches the water all heat goes into melting and the bath stays at 0 °C. After that it warms towards the
temperature of the water that runs through the coil, and beyond where the sun helps.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from evenbead.physics.cooling_coil import coil_outlet
from evenbead.physics.ranges import within
from evenbead.physics.water_transport import MELTING_HEAT, WATER_HEAT

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]
    Numbers = float | Floats


@dataclass(frozen=True, slots=True, kw_only=True)
class IceShift:
    """The ice of a shift.

    Attributes
    ----------
    melted : float
        All ice that melts. [kg]
    refill_times : (k,) array
        When the bath is down to its reserve and is filled up again. [s]
    refill : float
        What each of them takes. [kg]
    left : float
        Ice in the bath at the end. [kg]
    """

    melted: float
    refill_times: Floats
    refill: float
    left: float


def ice_rate(heat: Numbers, *, gain: Numbers = 0.0) -> Numbers:
    """Ice that melts each second.

    Parameters
    ----------
    heat : float or array
        Taken out of the mixing water, see `coil_outlet`. [W]
    gain : float or array
        What comes in through the walls and the lid: from the ice lost by a bath that stood without flow. [W]

    Returns
    -------
    rate : float or array
        [kg/s]

    Valid for: ice at 0 °C; colder ice lasts up to a tenth longer.

    Source: energy balance; [CRD-C307] for the heat of fusion.

    Examples
    --------
    >>> ice_rate(4186.0) * 3600
    45.1
    """
    return (within(heat, "heat", at_least=0.0) + within(gain, "gain", at_least=0.0)) / MELTING_HEAT


def ice_life(ice: Numbers, *, heat: Numbers, gain: Numbers = 0.0) -> Numbers:
    """How long a load of ice keeps the bath at 0 °C.

    Parameters
    ----------
    ice : float or array
        In the bath now, above what must stay so that ice still touches the water around the coil. [kg]
    heat : float or array
        Taken out of the mixing water. [W]
    gain : float or array
        As in `ice_rate`. [W]

    Returns
    -------
    time : float or array
        Infinite when no heat comes in. [s]

    Source: energy balance, as in `ice_rate`.

    Examples
    --------
    >>> float(ice_life(20.0, heat=1500.0)) / 60
    74.2
    """
    within(ice, "ice", at_least=0.0)
    with np.errstate(divide="ignore"):
        time: Numbers = np.divide(ice, ice_rate(heat, gain=gain))
    return time


def ice_melted(times: Floats, heat: Floats, *, gain: Numbers = 0.0) -> Floats:
    """Ice melted since the start of a shift, at each of its times.

    Parameters
    ----------
    times : (n + 1,) array
        Ends of the stretches of the shift, rising. [s]
    heat : (..., n) array
        Taken out of the mixing water during each stretch; zero in a pause. [W]
    gain : float or (..., n) array
        As in `ice_rate`, during each stretch. [W]

    Returns
    -------
    melted : (..., n + 1) array
        Starts at zero and never falls. [kg]

    Source: energy balance, as in `ice_rate`.

    Examples
    --------
    >>> ice_melted(np.array([0.0, 3600.0, 7200.0]), np.array([1000.0, 2000.0])).tolist()
    [0.0, 10.78, 32.34]
    """
    lengths = np.diff(np.asarray(times, float))
    if not np.all(lengths > 0.0):
        raise ValueError("times of a shift must rise")
    stretches = np.asarray(ice_rate(heat, gain=gain)) * lengths
    start = np.zeros((*stretches.shape[:-1], 1))
    return np.concatenate([start, np.cumsum(stretches, axis=-1)], axis=-1)


def ice_over_shift(times: Floats, heat: Floats, *, full: float, reserve: float = 0.0, gain: Numbers = 0.0) -> IceShift:
    """When a bath must be refilled over a shift, starting full, and what ice it takes.

    Parameters
    ----------
    times : (n + 1,) array
        Ends of the stretches of the shift, rising. [s]
    heat : (n,) array
        Taken out of the mixing water during each stretch. [W]
    full : float
        Ice in the full bath. [kg]
    reserve : float
        Ice at which it is filled up: less no longer touches the water all around the coil. [kg]
    gain : float or (n,) array
        As in `ice_rate`. [W]

    Returns
    -------
    shift : IceShift
        [kg]

    Source: energy balance, as in `ice_rate`.

    Examples
    --------
    >>> day = ice_over_shift(np.array([0.0, 14400.0]), np.array([1500.0]), full=40.0, reserve=10.0)
    >>> (day.refill_times / 60).round().tolist(), round(day.melted, 1), round(day.left, 1)
    ([111.0, 223.0], 64.7, 35.3)
    """
    refill = within(full, "full", above=0.0) - within(reserve, "reserve", at_least=0.0)
    within(refill, "full less reserve", above=0.0)
    melted = ice_melted(times, heat, gain=gain)
    total = float(melted[-1])
    # A refill that would fall on the very end is left for the next day.
    count = max(int(np.ceil(total / refill * (1.0 - 1e-12))) - 1, 0)
    wanted: Floats = np.multiply(refill, np.arange(1, count + 1, dtype=np.float64))
    return IceShift(
        melted=total,
        refill_times=_times_when(wanted, melted, np.asarray(times, float)),
        refill=float(refill),
        left=float(full + count * refill - total),
    )


def bath_temperature(
    time: Numbers,
    *,
    bath: Numbers,
    flow: Numbers,
    inlet_temp_c: Numbers,
    conductance: Numbers,
    start_temp_c: Numbers = 0.0,
    gain: Numbers = 0.0,
) -> Numbers:
    """Temperature of a bath without ice, while water runs through the coil in it.

    It nears a final temperature, that of the water at the inlet and a little more for the heat that leaks in.

    Parameters
    ----------
    time : float or array
        Since the last ice melted. [s]
    bath : float or array
        Water in the bath, the melted ice included. [kg]
    flow : float or array
        Mass flow through the coil. [kg/s]
    inlet_temp_c : float or array
        Of the water before the coil. [degC]
    conductance : float or array
        Of the coil, kept as it was with ice, although a warm bath stirs itself better. [W/K]
    start_temp_c : float or array
        Of the bath at time zero. [degC]
    gain : float or array
        Heat that leaks in. [W]

    Returns
    -------
    temperature_c : float or array
        [degC]

    Valid for: a bath of one temperature.

    Source: energy balance of the bath, with the coil as in `coil_outlet`.

    Examples
    --------
    >>> float(bath_temperature(600.0, bath=60.0, flow=4.0 / 60, inlet_temp_c=25.0, conductance=255.7))
    8.2
    """
    within(time, "time", at_least=0.0)
    rate, final = _warming(bath=bath, flow=flow, inlet_temp_c=inlet_temp_c, conductance=conductance, gain=gain)
    return final + (start_temp_c - final) * np.exp(-np.asarray(time) * rate)


def time_to_outlet(
    outlet_temp_c: Numbers,
    *,
    bath: Numbers,
    flow: Numbers,
    inlet_temp_c: Numbers,
    conductance: Numbers,
    start_temp_c: Numbers = 0.0,
    gain: Numbers = 0.0,
) -> Numbers:
    """How long a bath without ice still cools the water to a wanted temperature.

    Parameters
    ----------
    outlet_temp_c : float or array
        Warmest water wanted behind the coil. [degC]
    bath : float or array
        Water in the bath, the melted ice included. [kg]
    flow : float or array
        Mass flow through the coil. [kg/s]
    inlet_temp_c : float or array
        Of the water before the coil. [degC]
    conductance : float or array
        Of the coil, above zero. [W/K]
    start_temp_c : float or array
        Of the bath when the last ice has melted. [degC]
    gain : float or array
        Heat that leaks in. [W]

    Returns
    -------
    time : float or array
        Zero where the water is too warm from the start; infinite where the outlet never gets so warm. [s]

    Source: `bath_temperature` solved for the time, as in `bath_temperature`.

    Examples
    --------
    >>> float(time_to_outlet(15.0, bath=60.0, flow=4.0 / 60, inlet_temp_c=25.0, conductance=255.7)) / 60
    10.1
    """
    rate, final = _warming(bath=bath, flow=flow, inlet_temp_c=inlet_temp_c, conductance=conductance, gain=gain)
    share = coil_outlet(flow=flow, inlet_temp_c=inlet_temp_c, conductance=conductance).effectiveness
    bath_limit = inlet_temp_c - (np.asarray(inlet_temp_c) - outlet_temp_c) / share
    ahead = np.asarray(bath_limit) - start_temp_c
    way = np.asarray(final) - start_temp_c
    comes = (ahead > 0.0) & (ahead < way)
    covered = np.divide(ahead, way, out=np.zeros(np.broadcast(ahead, way).shape), where=comes)
    time: Numbers = np.where(ahead >= np.maximum(way, 0.0), np.inf, -np.log1p(-covered) / rate)[()]
    return time


def _times_when(wanted: Floats, melted: Floats, times: Floats) -> Floats:
    """When so much has melted first: at the start of a stretch in which nothing melts, not somewhere in it."""
    after = np.searchsorted(melted, wanted, side="left")
    after = np.minimum(after, len(melted) - 1)
    before = after - 1
    share = (wanted - melted[before]) / (melted[after] - melted[before])
    found: Floats = times[before] + share * (times[after] - times[before])
    return found


def _warming(
    *, bath: Numbers, flow: Numbers, inlet_temp_c: Numbers, conductance: Numbers, gain: Numbers
) -> tuple[Numbers, Numbers]:
    """Share of the way to its final temperature that the bath goes each second [1/s], and that temperature [degC]."""
    within(bath, "bath", above=0.0)
    share = coil_outlet(
        flow=flow, inlet_temp_c=inlet_temp_c, conductance=within(conductance, "conductance", above=0.0)
    ).effectiveness
    exchanged = share * flow
    return exchanged / bath, inlet_temp_c + within(gain, "gain", at_least=0.0) / (exchanged * WATER_HEAT)
