"""Plastic collapse: a layer yields under what lies on it before it has stiffened enough.

A slender wall is squeezed in one direction only, so a layer yields where the stress at its foot reaches a multiple of
its shear yield stress: √3 by von Mises, 2 by Tresca, more with internal friction. The stress is the weight of the layer
and of all above it over the width that carries.

This fails where a bead is squeezed as it is laid, by the nozzle or by the fall; where the wall leans or bears on a part
of its width; and where the yield stress measured is not that of mortar that has been through the hose. Collapse is not
the only way to fall: a slender wall mostly buckles first, see `buckling`.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Literal

import numpy as np

from evenbead.physics.constants import GRAVITY
from evenbead.physics.fresh_wall import Course, Layers, loads

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]
    Numbers = float | Floats

Criterion = Literal["von Mises", "Tresca", "Mohr-Coulomb"]

VON_MISES = math.sqrt(3.0)
"""Compression at yield over shear yield stress, squeezed in one direction only. [1]"""


def yield_factor(criterion: Criterion = "von Mises", *, friction: Numbers = 0.0) -> Numbers:
    """Compression at which mortar yields, over its shear yield stress, squeezed in one direction only.

    √3, 2, or 2 cos φ/(1 - sin φ), which is 2 for φ = 0.

    Parameters
    ----------
    criterion : "von Mises", "Tresca" or "Mohr-Coulomb"
        When mortar yields. [-]
    friction : float or array
        Angle of internal friction in radians; for Mohr-Coulomb, where the yield stress is the cohesion. [1]

    Returns
    -------
    factor : float or array
        [1]

    Valid for: a slender wall, free to spread to both sides.

    Source: [Wolfs2018] for Mohr-Coulomb in printed mortar, from memory; the three criteria are those of any textbook.

    Examples
    --------
    >>> yield_factor("Tresca"), float(yield_factor("Mohr-Coulomb", friction=math.radians(20.0)))
    (2.0, 2.85630)
    """
    if criterion == "von Mises":
        return VON_MISES
    if criterion == "Tresca":
        return 2.0
    result: Numbers = 2.0 * np.cos(friction) / (1.0 - np.sin(friction))
    return result


def squeezed_strip_factor(*, width: Numbers, height: Numbers) -> Numbers:
    """The same for a strip squeezed between rough plates: an upper estimate, for showing only.

    2 + w/(2h), by the slab method. The layers above a bead spread with it and are no rough plates: this must not decide
    whether a wall stands.

    Parameters
    ----------
    width : float or array
        Of the bead. [m]
    height : float or array
        Of what is squeezed. [m]

    Returns
    -------
    factor : float or array
        [1]

    Valid for: w well above h, and plates on which the mortar does not slide.

    Source: from memory, slab analysis of metal forming; [Perrot2016] uses a factor of this kind.

    Examples
    --------
    >>> squeezed_strip_factor(width=0.04, height=0.01)
    4.0
    """
    return 2.0 + width / (2.0 * height)


def squeezed_disc_factor(*, diameter: Numbers, height: Numbers) -> Numbers:
    """The same for a disc squeezed between rough plates, √3 + D/(3h): an upper estimate, for showing only.

    Parameters
    ----------
    diameter : float or array
        Of the disc. [m]
    height : float or array
        Of what is squeezed. [m]

    Returns
    -------
    factor : float or array
        [1]

    Valid for: as `squeezed_strip_factor`; tends to von Mises for a slender cylinder.

    Source: from memory, slab analysis of metal forming.

    Examples
    --------
    >>> squeezed_disc_factor(diameter=0.06, height=0.02)
    2.7320508
    """
    return VON_MISES + diameter / (3.0 * height)


def collapse_load_factors(
    layers: Layers,
    yield_stress: Floats,
    *,
    factor: Numbers = VON_MISES,
    aspect: Numbers = 1.0,
    moments: Floats | None = None,
) -> Floats:
    """By what the weight could be multiplied before each layer yields, at each moment.

    factor · aspect · τ · width/load.

    Parameters
    ----------
    layers : Layers
        Of the wall. [-]
    yield_stress : (..., layers, moments) array
        Shear yield stress of each layer at each moment; not read where the layer is not laid yet. [Pa]
    factor : float or array
        From `yield_factor`. [1]
    aspect : float or array
        Correction for squat layers that confine themselves, 1 or more; 1 is cautious. [1]
    moments : (..., moments) array, optional
        As in `fresh_wall.ages`. [s]

    Returns
    -------
    load_factor : (..., layers, moments) array
        1 where the layer yields; infinite where it is not laid yet. [1]

    Source: [Roussel2018] for von Mises, from memory; [KrugerBound2019] for the place of the aspect factor.

    Examples
    --------
    >>> from evenbead.physics.fresh_wall import ages, even_layers
    >>> wall = even_layers(2, interval=60.0, height=0.02, width=0.04, density=2200.0)
    >>> collapse_load_factors(wall, 500.0 + 0.5 * ages(wall))[0].tolist()
    [2.00704, 1.06373]
    """
    load = loads(layers, moments)
    width = np.asarray(layers.width)
    width = width[..., :, None] if width.ndim else width
    strength = factor * aspect * np.asarray(yield_stress) * width
    standing = load > 0.0
    return np.asarray(np.where(standing, strength / np.where(standing, load, 1.0), np.inf))


def collapse_course(
    layers: Layers,
    yield_stress: Floats,
    *,
    factor: Numbers = VON_MISES,
    aspect: Numbers = 1.0,
    moments: Floats | None = None,
) -> Course:
    """How near a growing wall is to collapse at each moment, and in which layer.

    Parameters
    ----------
    layers : Layers
        Of the wall. [-]
    yield_stress : (..., layers, moments) array
        As in `collapse_load_factors`. [Pa]
    factor : float or array
        From `yield_factor`. [1]
    aspect : float or array
        As in `collapse_load_factors`. [1]
    moments : (..., moments) array, optional
        As in `fresh_wall.ages`. [s]

    Returns
    -------
    course : Course
        [1]

    Source: as `collapse_load_factors`.
    """
    factors = collapse_load_factors(layers, yield_stress, factor=factor, aspect=aspect, moments=moments)
    return Course(load_factor=factors.min(axis=-2), layer=factors.argmin(axis=-2))


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
