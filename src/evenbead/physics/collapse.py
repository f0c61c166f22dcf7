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
    strength = np.asarray(yield_stress) * (factor * aspect * width)
    shape = np.broadcast_shapes(strength.shape, load.shape)
    return np.asarray(np.divide(strength, load, out=np.full(shape, np.inf), where=load > 0.0))


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
    layer = factors.argmin(axis=-2)
    least = np.take_along_axis(factors, layer[..., None, :], axis=-2)[..., 0, :]
    return Course(load_factor=least, layer=layer)
