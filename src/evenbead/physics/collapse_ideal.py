"""Collapse of the ideal wall: even in width, rising without steps, its yield stress growing by a law of its age.

The bottom layer governs, and the answers are closed forms. `collapse` treats real layers; the two don't share code.

This fails as `collapse` does, and where layers are so few or so thick that steps matter.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

import numpy as np

from evenbead.physics.collapse import VON_MISES
from evenbead.physics.constants import GRAVITY

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]
    Numbers = float | Floats


def yield_stress_needed(*, height: Numbers, density: Numbers, factor: Numbers = VON_MISES) -> Numbers:
    """Shear yield stress at which mortar carries this height of itself.

    Parameters
    ----------
    height : float or array
        Of mortar, the layer itself included. [m]
    density : float or array
        Of the fresh mortar. [kg/m^3]
    factor : float or array
        From `yield_factor`. [1]

    Returns
    -------
    yield_stress : float or array
        [Pa]

    Valid for: walls of even width.

    Source: [Roussel2018], from memory.

    Examples
    --------
    >>> yield_stress_needed(height=0.020, density=2200.0)
    249.2
    """
    return density * GRAVITY * height / factor


def rise_without_collapse(*, growth: Numbers, density: Numbers, factor: Numbers = VON_MISES) -> Numbers:
    """Speed at which a wall may rise for ever when its yield stress grows in proportion to time.

    Parameters
    ----------
    growth : float or array
        Of the shear yield stress. [Pa/s]
    density : float or array
        Of the fresh mortar. [kg/m^3]
    factor : float or array
        From `yield_factor`. [1]

    Returns
    -------
    rise : float or array
        Up to it, collapse never comes; buckling may. [m/s]

    Valid for: linear growth, even layers and an even rise.

    Source: [Roussel2018], from memory.

    Examples
    --------
    >>> rise_without_collapse(growth=0.5, density=2200.0) * 3600
    0.14451
    """
    return factor * growth / (density * GRAVITY)


def rise_without_collapse_exponential(
    *, yield_stress: Numbers, growth: Numbers, time: Numbers, density: Numbers, factor: Numbers = VON_MISES
) -> Numbers:
    """The same when the yield stress grows as τ0 + A tc (exp(t/tc) - 1).

    The least over t of factor · τ(t)/t, less by the weight of each cubic metre. With x = t/tc it lies where
    exp(x) (x - 1) = τ0/(A tc) - 1.

    Parameters
    ----------
    yield_stress : float or array
        Just after it is laid, τ0. [Pa]
    growth : float or array
        Its growth at first, A. [Pa/s]
    time : float or array
        Characteristic time of the growth, tc. [s]
    density : float or array
        Of the fresh mortar. [kg/m^3]
    factor : float or array
        From `yield_factor`. [1]

    Returns
    -------
    rise : float or array
        Up to it, collapse never comes; buckling may. [m/s]

    Valid for: as `rise_without_collapse`, and until setting.

    Source: [Perrot2015] for the growth law, from memory; the minimum in closed form is our own.

    Examples
    --------
    >>> rise = rise_without_collapse_exponential(yield_stress=500.0, growth=0.5, time=1800.0, density=2200.0)
    >>> float(rise) * 3600
    0.32173
    """
    from scipy.special import lambertw  # noqa: PLC0415  (SciPy is slow to import)

    start = np.asarray(yield_stress / (growth * time))
    x = 1.0 + np.asarray(lambertw(((start - 1.0) / math.e).tolist()), np.complex128).real
    # exp(x) is the slope of the tangent from the origin, which touches the growth curve at x.
    result: Numbers = (factor * growth * np.exp(x) / (density * GRAVITY))[()]
    return result


def collapse_time(
    *, yield_stress: Numbers, growth: Numbers, rise: Numbers, density: Numbers, factor: Numbers = VON_MISES
) -> Numbers:
    """When the bottom layer yields, for yield stress that grows in proportion to time and a wall that rises evenly.

    factor τ0/(w v - factor A) with w the weight of each cubic metre and v the rise. The height is the rise times this.

    Parameters
    ----------
    yield_stress : float or array
        Just after it is laid. [Pa]
    growth : float or array
        Of the shear yield stress. [Pa/s]
    rise : float or array
        Of the wall. [m/s]
    density : float or array
        Of the fresh mortar. [kg/m^3]
    factor : float or array
        From `yield_factor`. [1]

    Returns
    -------
    time : float or array
        Infinite where the wall outruns its weight. [s]

    Valid for: linear growth, walls of even width.

    Source: [Roussel2018], from memory.

    Examples
    --------
    >>> float(collapse_time(yield_stress=500.0, growth=0.5, rise=0.5 / 3600, density=2200.0))
    406.5
    """
    excess = np.asarray(density * GRAVITY * rise - factor * growth)
    result: Numbers = np.where(excess > 0.0, factor * yield_stress / np.where(excess > 0.0, excess, 1.0), np.inf)[()]
    return result


def collapse_height(*, strength: Numbers, curing: Numbers, rise: Numbers, density: Numbers) -> Numbers:
    """Height at collapse from the compressive strength, which grows as s (1 + ξ t).

    l_p = s/(w - ξ s/v) with w the weight of each cubic metre and v the rise.

    Parameters
    ----------
    strength : float or array
        Compression at yield just after it is laid, s. [Pa]
    curing : float or array
        Relative growth, ξ. [1/s]
    rise : float or array
        Of the wall. [m/s]
    density : float or array
        Of the fresh mortar. [kg/m^3]

    Returns
    -------
    height : float or array
        Infinite where the wall never collapses. [m]

    Valid for: linear growth, walls of even width.

    Source: [Suiker2018], from memory.

    Examples
    --------
    >>> float(collapse_height(strength=10e3, curing=0.02 / 60, rise=0.5e-3, density=2100.0))
    0.71801
    """
    time = collapse_time(yield_stress=strength, growth=strength * curing, rise=rise, density=density, factor=1.0)
    return rise * time
