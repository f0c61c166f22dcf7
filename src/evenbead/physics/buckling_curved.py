"""Curved fresh walls: what theory promises, how far tests fall below it, and bounds instead of one number.

A straight free wall buckles by bending. A closed ring can't bend sideways as a whole without stretching, and stands
much higher. Shell theory puts a number on it, and tests on real shells fall far below that number, because small faults
of shape decide. So the promise is never used bare: a knock-down is an input of its own, to be recorded with the result.

For a print that is curved, or closed, two things are known: it stands at least as high as the same wall free and
straight (`buckling`), and not higher than the perfect shell. What lies between is for a trial print to find.

This fails for arcs with a free vertical edge, which gain little; for rings lower than a few half waves, which the foot
holds as well; and for walls thick against their radius, where thin shell theory ends.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from evenbead.physics.fresh_wall import Course, Layers, loads

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]
    Numbers = float | Floats


@dataclass(frozen=True, slots=True, kw_only=True)
class Bounds:
    """Between what the load factor of a curved wall lies at each moment.

    Attributes
    ----------
    low : (..., moments) array
        Of the same wall, free and straight: use this to decide. [1]
    high : (..., moments) array
        Of the perfect ring, and never below the other: to show what curvature might give. [1]
    """

    low: Floats
    high: Floats


def ring_buckling_stress(
    *, modulus: Numbers, width: Numbers, radius: Numbers, poisson: Numbers, knock_down: Numbers
) -> Numbers:
    """Vertical stress at which a closed ring wrinkles, k E d/(R √(3 (1 - ν²))).

    Parameters
    ----------
    modulus : float or array
        Young's modulus. [Pa]
    width : float or array
        Of the wall, d. [m]
    radius : float or array
        Of its middle line, R. [m]
    poisson : float or array
        Poisson's ratio. [1]
    knock_down : float or array
        Share k of the theory that is counted on, 1 for the perfect shell. No default: it is a decision, to be
        recorded. [1]

    Returns
    -------
    stress : float or array
        [Pa]

    Valid for: closed rings at least two half waves high (`ring_half_wave`), radius ten times the width or more.

    Source: [Timoshenko1961], from memory.

    Examples
    --------
    >>> float(ring_buckling_stress(modulus=78e3, width=0.04, radius=0.25, poisson=0.3, knock_down=1.0))
    7553.2
    """
    return knock_down * modulus * width / (radius * np.sqrt(3.0 * (1.0 - poisson**2)))


def ring_half_wave(*, width: Numbers, radius: Numbers, poisson: Numbers) -> Numbers:
    """Height of one wrinkle of a ring that buckles evenly all round, π √(R d)/(12 (1 - ν²))^(1/4).

    Parameters
    ----------
    width : float or array
        Of the wall, d. [m]
    radius : float or array
        Of its middle line, R. [m]
    poisson : float or array
        Poisson's ratio. [1]

    Returns
    -------
    height : float or array
        A ring not much higher than this is held by its foot, and the theory of tall shells does not describe it. [m]

    Valid for: as `ring_buckling_stress`.

    Source: [Timoshenko1961], from memory.

    Examples
    --------
    >>> float(ring_half_wave(width=0.04, radius=0.25, poisson=0.3))
    0.17282
    """
    result: Numbers = math.pi * np.sqrt(radius * width) / (12.0 * (1.0 - poisson**2)) ** 0.25
    return result


def ring_course(
    layers: Layers,
    modulus: Floats,
    *,
    radius: Numbers,
    poisson: Numbers,
    knock_down: Numbers,
    moments: Floats | None = None,
) -> Course:
    """How near a growing closed ring is to wrinkling at each moment, and in which layer.

    Each layer is held against the stress at its own foot with its own stiffness, as if the whole ring were so; stiffer
    neighbours would help, so this is on the safe side of the theory it rests on.

    Parameters
    ----------
    layers : Layers
        Of the wall. [-]
    modulus : (..., layers, moments) array
        Young's modulus of each layer at each moment; not read where the layer is not laid yet. [Pa]
    radius : float or array
        Of the middle line. [m]
    poisson : float or array
        Poisson's ratio. [1]
    knock_down : float or array
        As in `ring_buckling_stress`. [1]
    moments : (..., moments) array, optional
        As in `fresh_wall.ages`. [s]

    Returns
    -------
    course : Course
        [1]

    Valid for: as `ring_buckling_stress`.

    Source: as `ring_buckling_stress`.

    Examples
    --------
    >>> from evenbead.physics.fresh_wall import ages, even_layers
    >>> ring = even_layers(37, interval=18.6, height=0.01, width=0.04, density=2070.0)
    >>> course = ring_course(ring, 78e3 + 0.0 * ages(ring), radius=0.25, poisson=0.3, knock_down=1.0)
    >>> float(course.least)
    1.0056
    """
    load = loads(layers, moments)
    width = np.asarray(layers.width)
    width = width[..., :, None] if width.ndim else width
    stress = ring_buckling_stress(
        modulus=np.asarray(modulus), width=width, radius=radius, poisson=poisson, knock_down=knock_down
    )
    standing = load > 0.0
    factors = np.where(standing, stress * width / np.where(standing, load, 1.0), np.inf)
    return Course(load_factor=factors.min(axis=-2), layer=factors.argmin(axis=-2))


def curved_bounds(free: Course, perfect_ring: Course) -> Bounds:
    """Between what the load factor of a curved wall lies.

    Parameters
    ----------
    free : Course
        Of the same wall, free and straight, from `buckling.buckling_course`. [1]
    perfect_ring : Course
        Of the ring without knock-down, from `ring_course`; of the tightest radius if it varies. [1]

    Returns
    -------
    bounds : Bounds
        [1]

    Valid for: buckling only; collapse is the same, curved or straight.

    Source: common practice, no source: decide by the lower bound, report both.

    Examples
    --------
    >>> free = Course(load_factor=np.array([2.0, 0.5]), layer=np.array([0, 0]))
    >>> ring = Course(load_factor=np.array([1.5, 1.1]), layer=np.array([0, 0]))
    >>> curved_bounds(free, ring).high
    array([2. , 1.1])
    """
    return Bounds(low=free.load_factor, high=np.maximum(free.load_factor, perfect_ring.load_factor))
