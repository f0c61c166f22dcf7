"""Buckling under its own weight of a free straight wall whose layers stiffen with age.

Let φ be the turn of the cross-section of the deflected wall, B the bending rigidity and S the shear stiffness of a
metre of wall, and N the weight above. Pushed by λ times its weight the wall leans by ψ = φ + λ N ψ/S. It buckles when

    (B φ')' + λ N ψ = 0,   φ = 0 at the foot,   φ' = 0 at the top

has a solution. In the thin theory S is endless and ψ = φ. Fresh walls fall when only a few widths high, and then the
thick theory matters: at four widths it takes off about 7 %.

Finite elements: in each layer φ is a parabola, as in a Hermite beam element, and so is ψ, which may jump between
layers; B and S are one number for each layer, and N falls linearly through it. A free wall is statically determinate,
and with φ written as a straight line plus a bubble, inverse iteration needs no more than two running sums: moments from
the top down, turns from the foot up. Nothing is assembled or factored, and all moments and draws go at once. The thin
result is that of assembled Hermite elements to the last digits, near the truth by the fourth power of layer height.

This fails for a wall that leans, is pushed by wind or nozzle, or rests on soft ground; for beads that hang over each
other; and for mortar that creeps. `buckling_held` and `buckling_curved` treat walls that are not free or not straight;
for those, this is the lower bound.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Literal

import numpy as np

from evenbead.physics.fresh_wall import Course, Layers
from evenbead.physics.wall_stiffness import standing_walls

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]
    Whole = NDArray[np.int64]
    Numbers = float | Floats

Theory = Literal["thick", "thin"]

# Rows times layers worked on at once: about what a processor's own memory holds.
_BLOCK = 12_000
_MOST_ITERATIONS = 500


def buckling_course(
    layers: Layers,
    modulus: Floats,
    *,
    poisson: Numbers = 0.0,
    moments: Floats | None = None,
    theory: Theory = "thick",
    tolerance: float = 1e-6,
) -> Course:
    """How near a growing free wall is to buckling at each moment, and which layer bends most as it does.

    Parameters
    ----------
    layers : Layers
        Of the wall. [-]
    modulus : (..., layers, moments) array
        Young's modulus of each layer at each moment; not read where the layer is not laid yet. [Pa]
    poisson : float or array
        As in `plate_modulus`. [1]
    moments : (..., moments) array, optional
        As in `fresh_wall.ages`. [s]
    theory : "thick" or "thin"
        Whether shear counts; thick is lower. [-]
    tolerance : float
        Relative change of the load factor at which the iteration ends; the error is smaller, but up to
        ten times that while a wall is no higher than wide. [1]

    Returns
    -------
    course : Course
        [1]

    Valid for: see the module; plane walls, free at their ends and at the top, clamped at the foot.

    Source: [Suiker2018] for the model, from memory; [Greenhill1881] for the wall that does not stiffen.

    Examples
    --------
    >>> from evenbead.physics.fresh_wall import ages, even_layers
    >>> wall = even_layers(16, interval=18.6, height=0.01, width=0.04, density=2070.0)
    >>> course = buckling_course(wall, 78e3 + 20.0 * ages(wall), poisson=0.3)
    >>> course.load_factor[-2:], int(course.governing_layer)
    (array([1.27868, 1.06671]), 0)
    """
    walls = standing_walls(layers, modulus, poisson=poisson, moments=moments)
    factor, layer = buckling_of_columns(
        rigidity=walls.rigidity,
        shear=walls.shear if theory == "thick" else None,
        load=walls.load,
        height=walls.height,
        tolerance=tolerance,
    )
    return Course(load_factor=factor.reshape(walls.shape), layer=layer.reshape(walls.shape))


def buckling_of_columns(
    *, rigidity: Floats, load: Floats, height: Numbers, shear: Floats | None = None, tolerance: float = 1e-6
) -> tuple[Floats, Whole]:
    """Load factors of many free walls, one in each row, layers from the foot up.

    Parameters
    ----------
    rigidity : (walls, layers) array
        Of bending, for each metre of wall; not read where nothing stands. [N*m]
    load : (walls, layers) array
        Weight at the foot of each layer, its own included, falling evenly through the layer; zero where nothing
        stands. [N/m]
    height : float or array
        Of the layers, ``(layers,)`` or ``(walls, layers)``. [m]
    shear : (walls, layers) array, optional
        Stiffness against it, for each metre of wall; endless, which is the thin theory, unless given. [N/m]
    tolerance : float
        As in `buckling_course`. [1]

    Returns
    -------
    load_factor : (walls,) array
        Infinite where nothing stands. [1]
    layer : (walls,) array
        Index of the layer in which most of the elastic energy sits. [1]

    Valid for: see the module.

    Source: as `buckling_course`.

    Examples
    --------
    >>> one = buckling_of_columns(rigidity=np.ones((1, 8)), load=np.arange(8.0, 0.0, -1.0)[None] / 8, height=1 / 8)
    >>> one[0]
    array([7.8374])
    """
    walls, count = load.shape
    factor, layer = np.full(walls, np.inf), np.zeros(walls, np.int64)
    heights = np.broadcast_to(height, (*np.shape(height)[:-1], count))
    start = 0
    while start < walls:
        end = min(start + max(_BLOCK // count, 1), walls)
        # Layers that stand in none of these walls cost nothing.
        used = int(np.max(np.count_nonzero(load[start:end], axis=1)))
        if used:
            block = np.s_[start:end, :used]
            own = heights[..., :used] if heights.ndim == 1 else heights[block]
            sheared = None if shear is None else shear[block]
            factor[start:end], layer[start:end] = _block(rigidity[block], sheared, load[block], own, tolerance)
        start = end
    return factor, layer


def _block(
    rigidity: Floats, shear: Floats | None, load: Floats, height: Floats, tolerance: float
) -> tuple[Floats, Whole]:
    """Inverse iteration with Rayleigh quotients, all rows at once."""
    stands = load > 0.0
    limber = np.where(stands, height / np.where(stands, rigidity, 1.0), 0.0)
    slack = None if shear is None else np.where(stands, 1.0 / np.where(stands, shear * height, 1.0), 0.0)
    geometric = _geometric(load, height)
    lean = np.zeros((3, *load.shape))
    lean[:2] = 1.0
    factor, energy = np.full(len(load), np.inf), np.zeros_like(load)
    forces = _pushed(geometric, lean)
    for _ in range(_MOST_ITERATIONS):
        before = factor
        moment = _moments(forces)
        turn = moment * limber
        lean[1] = np.cumsum(turn, axis=1)
        lean[0, :, 1:], lean[0, :, 0] = lean[1, :, :-1], 0.0
        lean[2] = forces[2] * limber * (3.0 / 16.0)
        energy = moment * turn + forces[2] * lean[2]
        if slack is not None:
            sheared = np.tensordot(_PLAIN_INVERSE, forces, axes=1) * slack
            lean += sheared
            energy += (sheared * forces).sum(axis=0)
        forces = _pushed(geometric, lean)
        work = (lean * forces).sum(axis=(0, 2))
        stood = work > 0.0
        factor = np.where(stood, energy.sum(axis=1) / np.where(stood, work, 1.0), np.inf)
        if np.all(np.abs(factor[stood] - before[stood]) <= tolerance * factor[stood]):
            break
        # Keeps the turns near one; without it their size falls by the load factor each time.
        forces *= np.where(stood, factor, 1.0)[:, None]
    return factor, energy.argmax(axis=1)


def _moments(forces: Floats) -> Floats:
    """Bending moment in each layer: all that turns the nodes above its foot."""
    nodes = forces[1].copy()
    nodes[:, :-1] += forces[0][:, 1:]
    return np.asarray(np.cumsum(nodes[:, ::-1], axis=1)[:, ::-1])


# A lean is low (1 - x) + high x + bubble 4x(1 - x) in each layer, x from 0 at its foot to 1. These are the integrals of
# the products of the three, and the same weighted with 1 - x; weighted with x they are mirrored.
_PLAIN_INVERSE = np.linalg.inv(np.array([[1 / 3, 1 / 6, 1 / 3], [1 / 6, 1 / 3, 1 / 3], [1 / 3, 1 / 3, 8 / 15]]))
_BELOW = np.array([[1 / 4, 1 / 12, 1 / 5], [1 / 12, 1 / 12, 2 / 15], [1 / 5, 2 / 15, 4 / 15]])
_ABOVE = _BELOW[np.ix_([1, 0, 2], [1, 0, 2])]


def _geometric(load: Floats, height: Floats) -> dict[tuple[int, int], Floats]:
    """The element matrices of the weight, their upper halves."""
    above = np.zeros_like(load)
    above[:, :-1] = load[:, 1:]
    low, high = load * height, above * height
    return {(i, j): _BELOW[i, j] * low + _ABOVE[i, j] * high for i in range(3) for j in range(i, 3)}


def _pushed(geometric: dict[tuple[int, int], Floats], lean: Floats) -> Floats:
    """How the weight, leaning, turns the lower end, the upper end and the bubble of each layer."""
    forces = np.empty_like(lean)
    for row in range(3):
        forces[row] = sum(geometric[min(row, k), max(row, k)] * lean[k] for k in range(3))
    return forces
