"""Buckling under its own weight of a free straight wall whose layers stiffen with age.

Let φ be the slope of the deflected wall, B the bending rigidity of a metre of wall and N the weight above, z upwards.
The wall buckles when its weight, times the load factor λ, has a solution of

    (B φ')' + λ N φ = 0,   φ = 0 at the foot,   φ' = 0 at the top.

Finite elements: in each layer the deflection is a cubic, as in a Hermite beam element, so that φ is a parabola; B is
one number for each layer, and N falls linearly through it. A free wall is statically determinate, and with φ written as
a straight line plus a bubble, inverse iteration needs no more than two running sums: moments from the top down, slopes
from the foot up. Nothing is assembled or factored, and all moments and draws go at once. The result is that of
assembled Hermite elements to the last digits; it approaches from above, with the fourth power of the layer height.

This fails for a wall that leans, is pushed by wind or nozzle, or rests on soft ground; for one so thick that it shears
rather than bends (the load factor is then a few percent too high); and for mortar that creeps. `buckling_held` and
`buckling_curved` treat walls that are not free or not straight; for those, this is the lower bound.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from evenbead.physics.fresh_wall import Course, Layers, loads

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]
    Whole = NDArray[np.int64]
    Numbers = float | Floats

# Rows times layers worked on at once: about what a processor's own memory holds.
_BLOCK = 12_000
_MOST_ITERATIONS = 500


@dataclass(frozen=True, slots=True, kw_only=True)
class Walls:
    """Walls as they stand at single moments, one in each row, layers from the foot up.

    Attributes
    ----------
    rigidity : (walls, layers) array
        Of bending, for each metre of wall; without meaning where nothing stands. [N*m]
    load : (walls, layers) array
        Weight at the foot of each layer, its own included; zero where nothing stands. [N/m]
    height : (layers,) or (walls, layers) array
        Of the layers. [m]
    shape : tuple
        Of the draws and moments that the rows are. [1]
    """

    rigidity: Floats
    load: Floats
    height: Floats
    shape: tuple[int, ...]


def plate_modulus(modulus: Numbers, poisson: Numbers) -> Numbers:
    """Modulus with which a long wall bends, E/(1 - ν²), because its ends can't spread.

    Parameters
    ----------
    modulus : float or array
        Young's modulus. [Pa]
    poisson : float or array
        Poisson's ratio; 0 gives a narrow column, and is cautious. [1]

    Returns
    -------
    modulus : float or array
        [Pa]

    Valid for: walls many times longer than thick.

    Source: [Suiker2018], from memory; plate theory of any textbook.

    Examples
    --------
    >>> plate_modulus(78e3, 0.3)
    85714.3
    """
    return modulus / (1.0 - poisson**2)


def bending_rigidity(*, modulus: Numbers, width: Numbers, poisson: Numbers = 0.0) -> Numbers:
    """Bending rigidity of a metre of wall, E d³/(12 (1 - ν²)).

    Parameters
    ----------
    modulus : float or array
        Young's modulus. [Pa]
    width : float or array
        Of the wall, d. [m]
    poisson : float or array
        As in `plate_modulus`. [1]

    Returns
    -------
    rigidity : float or array
        [N*m]

    Valid for: beads that rest on each other over the width given.

    Source: [Suiker2018], from memory; plate theory of any textbook.

    Examples
    --------
    >>> bending_rigidity(modulus=78e3, width=0.04, poisson=0.3)
    0.45714
    """
    return plate_modulus(modulus, poisson) * width**3 / 12.0


def standing_walls(layers: Layers, modulus: Floats, *, poisson: Numbers = 0.0, moments: Floats | None = None) -> Walls:
    """What stands at each moment, each moment of each draw a wall of its own.

    Parameters
    ----------
    layers : Layers
        Of the wall. [-]
    modulus : (..., layers, moments) array
        Young's modulus of each layer at each moment. [Pa]
    poisson : float or array
        As in `plate_modulus`. [1]
    moments : (..., moments) array, optional
        As in `fresh_wall.ages`. [s]

    Returns
    -------
    walls : Walls
        [-]

    Source: definition.
    """
    load = loads(layers, moments)
    width = np.asarray(layers.width)
    width = width[..., :, None] if width.ndim else width
    rigidity = np.asarray(bending_rigidity(modulus=np.asarray(modulus), width=width, poisson=poisson))
    if not np.all((rigidity > 0.0) | (load == 0.0)):
        raise ValueError("a layer that stands has no stiffness above zero")
    height = np.asarray(layers.height, np.float64)
    shape = np.broadcast_shapes(load.shape, rigidity.shape, (*height.shape[:-1], 1, 1))

    def rows(values: Floats) -> Floats:
        turned = np.swapaxes(np.broadcast_to(values, shape), -1, -2)
        return np.reshape(turned, (-1, shape[-2]))

    # Layer heights that are the same in all draws stay one row.
    heights = np.broadcast_to(height, (shape[-2],)) if height.ndim <= 1 else rows(height[..., :, None])
    return Walls(rigidity=rows(rigidity), load=rows(load), height=heights, shape=(*shape[:-2], shape[-1]))


def buckling_course(
    layers: Layers,
    modulus: Floats,
    *,
    poisson: Numbers = 0.0,
    moments: Floats | None = None,
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
    tolerance : float
        Relative change of the load factor at which the iteration ends; the error is far smaller. [1]

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
    (array([1.37779, 1.13930]), 0)
    """
    walls = standing_walls(layers, modulus, poisson=poisson, moments=moments)
    factor, layer = buckling_of_columns(
        rigidity=walls.rigidity, load=walls.load, height=walls.height, tolerance=tolerance
    )
    return Course(load_factor=factor.reshape(walls.shape), layer=layer.reshape(walls.shape))


def buckling_of_columns(
    *, rigidity: Floats, load: Floats, height: Numbers, tolerance: float = 1e-6
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
    tolerance : float
        As in `buckling_course`. [1]

    Returns
    -------
    load_factor : (walls,) array
        Infinite where nothing stands. [1]
    layer : (walls,) array
        Index of the layer in which most of the bending energy sits. [1]

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
            factor[start:end], layer[start:end] = _block(rigidity[block], load[block], own, tolerance)
        start = end
    return factor, layer


def _block(rigidity: Floats, load: Floats, height: Floats, tolerance: float) -> tuple[Floats, Whole]:
    """Inverse iteration with Rayleigh quotients, all rows at once."""
    stands = load > 0.0
    limber = height / np.where(stands, rigidity, 1.0)
    limber[~stands] = 0.0
    geometric = _Geometric(load, height)
    low, high, bubble = np.ones_like(load), np.ones_like(load), np.zeros_like(load)
    low[:, 0] = 0.0
    forces = geometric.times(low, high, bubble)
    factor, energy = np.full(len(load), np.inf), np.zeros_like(load)
    for _ in range(_MOST_ITERATIONS):
        before = factor
        moment = _moments(forces)
        turn, bubble = moment * limber, forces[2] * limber * (3.0 / 16.0)
        high = np.cumsum(turn, axis=1)
        low[:, 1:] = high[:, :-1]
        energy = moment * turn + forces[2] * bubble
        forces = geometric.times(low, high, bubble)
        work = (low * forces[0] + high * forces[1] + bubble * forces[2]).sum(axis=1)
        stood = work > 0.0
        factor = np.where(stood, energy.sum(axis=1) / np.where(stood, work, 1.0), np.inf)
        if np.all(np.abs(factor - before)[stood] <= tolerance * factor[stood]):
            break
        # Keeps the slopes near one; without it their size falls by the load factor each time.
        forces *= np.where(stood, factor, 1.0)[:, None]
    return factor, energy.argmax(axis=1)


def _moments(forces: Floats) -> Floats:
    """Bending moment in each layer: all that turns the nodes above its foot."""
    nodes = forces[1].copy()
    nodes[:, :-1] += forces[0][:, 1:]
    return np.asarray(np.cumsum(nodes[:, ::-1], axis=1)[:, ::-1])


class _Geometric:
    """The element matrices of the weight, for slopes low (1 - x) + high x + bubble 4x(1 - x) and x from 0 to 1."""

    def __init__(self, load: Floats, height: Floats) -> None:
        above = np.zeros_like(load)
        above[:, :-1] = load[:, 1:]
        both = height * (load + above)
        self.low_low = height * (3.0 * load + above) / 12.0
        self.high_high = height * (load + 3.0 * above) / 12.0
        self.low_high = both / 12.0
        self.low_bubble = height * (3.0 * load + 2.0 * above) / 15.0
        self.high_bubble = height * (2.0 * load + 3.0 * above) / 15.0
        self.bubble_bubble = both * (4.0 / 15.0)

    def times(self, low: Floats, high: Floats, bubble: Floats) -> Floats:
        """What turns the lower end, the upper end and the bubble of each layer, in this order."""
        forces = np.empty((3, *low.shape))
        forces[0] = self.low_low * low + self.low_high * high + self.low_bubble * bubble
        forces[1] = self.low_high * low + self.high_high * high + self.high_bubble * bubble
        forces[2] = self.low_bubble * low + self.high_bubble * high + self.bubble_bubble * bubble
        return forces
