"""What setting tests say: times of initial and final set, and how strongly temperature moves them.

Penetration resistance rises with a power of time, so its logarithm is a straight line in the logarithm of time, and
the set is where that line crosses a resistance agreed on. The needle method instead reads a depth and interpolates.
Sets at several temperatures give the activation energy: the logarithm of the time is a straight line in 1/T.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from evenbead.errors import NotPossible
from evenbead.physics.constants import GAS_CONSTANT, ZERO_CELSIUS
from evenbead.physics.metering_fit import fitted_line
from evenbead.physics.ranges import within
from evenbead.physics.uncertainty import Estimate

if TYPE_CHECKING:
    from numpy.typing import ArrayLike, NDArray

    from evenbead.physics.metering import MeterLine

    Floats = NDArray[np.float64]

INITIAL_SET_RESISTANCE = 3.5e6
"""Penetration resistance at initial set. [Pa]  Source: [ASTM-C403]."""

FINAL_SET_RESISTANCE = 27.6e6
"""Penetration resistance at final set. [Pa]  Source: [ASTM-C403]."""

# [ASTM-C403]; the number of readings seen in an excerpt, the correlation from memory.
_READINGS_WANTED = 6
_CORRELATION_WANTED = 0.98
_NEEDLE_DEPTH = 25e-3


@dataclass(frozen=True, slots=True, kw_only=True)
class SetTimes:
    """Initial and final set from one series of readings.

    Attributes
    ----------
    initial : Estimate
        Time after mixing. [s]
    final : Estimate
        Time after mixing. [s]
    exponent : float
        Power of time with which the resistance rises. [1]
    correlation : float
        Of the logarithms. [1]
    cautions : tuple of str
        Why the times should be doubted, in sentences; empty if nothing speaks against them. [-]
    """

    initial: Estimate
    final: Estimate
    exponent: float
    correlation: float
    cautions: tuple[str, ...] = ()


def set_times(
    time: ArrayLike,
    resistance: ArrayLike,
    *,
    initial_at: float = INITIAL_SET_RESISTANCE,
    final_at: float = FINAL_SET_RESISTANCE,
) -> SetTimes:
    """Initial and final set from readings of penetration resistance.

    log(resistance) = a + b·log(time), fitted, and read where it crosses the two resistances. The doubt is that of the
    fitted line; the batch itself, and who takes the readings, add to it.

    Parameters
    ----------
    time : (n,) array
        Since the water met the powder; three readings at least. [s]
    resistance : (n,) array
        Force over area of the needle. [Pa]
    initial_at : float
        Resistance that counts as initial set. [Pa]
    final_at : float
        Resistance that counts as final set. [Pa]

    Returns
    -------
    times : SetTimes
        [s]

    Raises
    ------
    NotPossible
        Too few readings, or resistance that does not rise.

    Valid for: mortar sieved from concrete, mortar and grout. A reading that disturbs its neighbour's hole spoils the
    line and is left out by the person, not by the program.

    Source: [ASTM-C403].

    Examples
    --------
    >>> hours = np.array([3.0, 3.5, 4.0, 4.5, 5.0, 5.5])
    >>> found = set_times(hours * 3600, 1.2e6 * (hours / 3.0) ** 4.0)
    >>> found.initial.value / 3600, found.final.value / 3600
    (3.92, 6.57)
    """
    t = np.asarray(within(np.asarray(time, float), "time", above=0.0))
    stress = np.asarray(within(np.asarray(resistance, float), "resistance", above=0.0))
    if t.ndim != 1 or t.shape != stress.shape or len(np.unique(t)) < 3:
        raise NotPossible("set times need readings of resistance at three different times at least: take more")
    fit = fitted_line(np.log(t), np.log(stress), form="offset")
    if fit.line.slope <= 0.0:
        raise NotPossible("the resistance does not rise with time: look at the readings, or wait for it to set")
    correlation = math.sqrt(max(fit.r_squared, 0.0))
    return SetTimes(
        initial=_crossing(fit.line, math.log(initial_at)),
        final=_crossing(fit.line, math.log(final_at)),
        exponent=fit.line.slope,
        correlation=correlation,
        cautions=tuple(_cautions_on(stress, correlation, initial_at=initial_at, final_at=final_at)),
    )


def needle_set(time: ArrayLike, depth: ArrayLike, *, at_depth: float = _NEEDLE_DEPTH) -> float:
    """Initial set by the Vicat needle: when it goes in 25 mm, read between the readings on either side.

    Parameters
    ----------
    time : (n,) array
        Since the water met the powder, ascending. [s]
    depth : (n,) array
        How far the needle goes in. [m]
    at_depth : float
        Depth that counts as initial set. [m]

    Returns
    -------
    time : float
        [s]

    Raises
    ------
    NotPossible
        Readings that do not come down to the depth, or begin below it.

    Valid for: readings close to one another around the depth.

    Source: [ASTM-C191]; the formula seen in a copy.

    Examples
    --------
    >>> needle_set([3600.0, 3900.0, 4200.0, 4500.0], [0.030, 0.028, 0.027, 0.025]) / 60
    75.0
    """
    t, d = np.asarray(time, float), np.asarray(depth, float)
    if t.ndim != 1 or t.shape != d.shape or np.any(np.diff(t) <= 0.0):
        raise ValueError("time is not ascending, or there is not one depth for each")
    at_or_below = np.flatnonzero(d <= at_depth)
    if len(at_or_below) == 0:
        raise NotPossible("the needle still goes in deeper than at initial set: go on reading")
    first = int(at_or_below[0])
    if d[first] == at_depth:
        return float(t[first])
    if first == 0:
        raise NotPossible("the first reading is past initial set already: begin sooner")
    share = (d[first - 1] - at_depth) / (d[first - 1] - d[first])
    return float(t[first - 1] + share * (t[first] - t[first - 1]))


def activation_energy(temperature_c: ArrayLike, time: ArrayLike, *, relative_u: float | None = None) -> Estimate:
    """Activation energy from setting (or open) times at several temperatures.

    ln t = c + (E/R)/T. With two temperatures this is E = R ln(t_1/t_2)/(1/T_1 - 1/T_2).

    Parameters
    ----------
    temperature_c : (n,) array
        Of the mortar during each test, two different ones at least. [degC]
    time : (n,) array
        Time to the same state in each. [s]
    relative_u : float, optional
        Standard uncertainty of each time over that time. Unless given, the scatter about the line tells it, which
        takes three temperatures. [1]

    Returns
    -------
    energy : Estimate
        [J/mol]

    Raises
    ------
    NotPossible
        Too few temperatures, or mortar that does not set sooner where it is warmer.

    Valid for: the range of temperatures tested, and one recipe: admixtures change it.

    Source: [ASTM-C1074]; from memory.

    Examples
    --------
    >>> energy = activation_energy([10.0, 20.0, 30.0], [107.1, 60.0, 34.9])
    >>> energy.value / 1000
    40.0
    """
    inverse = 1.0 / (np.asarray(temperature_c, float) + ZERO_CELSIUS)
    t = np.asarray(within(np.asarray(time, float), "time", above=0.0))
    if inverse.ndim != 1 or inverse.shape != t.shape:
        raise ValueError(f"{inverse.shape} temperatures for {t.shape} times, expected one for each")
    distinct = len(np.unique(inverse))
    if distinct < 2 or (distinct == 2 and relative_u is None):
        raise NotPossible("activation energy needs times at three temperatures, or at two with their uncertainty")
    centred = inverse - inverse.mean()
    slope = float(centred @ np.log(t) / (centred @ centred))
    if slope <= 0.0:
        raise NotPossible("the mortar does not set sooner where it is warmer: no activation energy fits these times")
    if relative_u is not None:
        u, dof = relative_u / math.sqrt(centred @ centred), math.inf
    else:
        line = fitted_line(inverse, np.log(t), form="offset").line
        u, dof = math.sqrt(line.slope_variance), line.dof
    return Estimate(value=GAS_CONSTANT * slope, u=GAS_CONSTANT * u, dof=dof)


def _crossing(line: MeterLine, level: float) -> Estimate:
    """Where the fitted line of logarithms crosses a level, with the doubt of the line there."""
    log_time = (level - line.intercept) / line.slope
    gradient = np.array([1.0, log_time])
    u = math.sqrt(max(float(gradient @ line.covariance_matrix @ gradient), 0.0)) / line.slope
    return Estimate(value=math.exp(log_time), u=math.exp(log_time) * u, dof=line.dof)


def _cautions_on(stress: Floats, correlation: float, *, initial_at: float, final_at: float) -> list[str]:
    cautions = []
    if len(stress) < _READINGS_WANTED:
        cautions.append(f"{len(stress)} readings, {_READINGS_WANTED} are wanted")
    if correlation < _CORRELATION_WANTED:
        cautions.append(f"the readings scatter: correlation {correlation:.3f}, wanted {_CORRELATION_WANTED} or more")
    if not np.min(stress) <= initial_at <= np.max(stress):
        cautions.append("initial set lies outside the readings")
    if np.max(stress) < final_at:
        cautions.append("final set lies beyond the readings")
    return cautions
