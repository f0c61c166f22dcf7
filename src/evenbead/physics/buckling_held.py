"""Buckling under its own weight of a straight wall that is held at its two ends, by returns or by corners.

The wall is a thin plate, clamped at the foot, free at the top and held along two vertical edges a length b apart. The
deflection is a sum of shapes along the wall times functions of height, which are Hermite elements, one in each layer:

    supported   the edges stay in line but may turn; one sine is exact
    clamped     the edges may not turn either; even polynomials, four unless told otherwise

A return holds the end of a wall somewhere between: it is a wall itself, soft and growing. For a closed rectangle the
supported case is the lower bound, the clamped case the upper one. A length without end gives the free wall again.

This fails where a return is shorter than a few widths, or is laid later than the wall it should hold; where a corner
tears; and as `buckling` does.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

import numpy as np

from evenbead.physics.fresh_wall import Course, Layers
from evenbead.physics.wall_stiffness import standing_walls

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]
    Whole = NDArray[np.int64]
    Numbers = float | Floats

Edges = Literal["supported", "clamped"]

_MOST_ITERATIONS = 500


def held_buckling_course(
    layers: Layers,
    modulus: Floats,
    *,
    length: float,
    edges: Edges = "supported",
    poisson: float,
    moments: Floats | None = None,
    shapes: int = 4,
    tolerance: float = 1e-6,
) -> Course:
    """How near a growing wall between two returns is to buckling, and which layer bends most as it does.

    Parameters
    ----------
    layers : Layers
        Of the wall. [-]
    modulus : (..., layers, moments) array
        Young's modulus of each layer at each moment; not read where the layer is not laid yet. [Pa]
    length : float
        From one held edge to the other. [m]
    edges : "supported" or "clamped"
        How they hold; supported is cautious. [-]
    poisson : float
        Poisson's ratio. [1]
    moments : (..., moments) array, optional
        As in `fresh_wall.ages`. [s]
    shapes : int
        How many shapes along a clamped wall; fewer give more. [1]
    tolerance : float
        Relative change of the load factor at which the iteration ends. [1]

    Returns
    -------
    course : Course
        [1]

    Valid for: see the module.

    Source: [Suiker2018] for the model, from memory; plate energy as in [Timoshenko1961], from memory.

    Examples
    --------
    >>> from evenbead.physics.fresh_wall import ages, even_layers
    >>> wall = even_layers(16, interval=18.6, height=0.01, width=0.04, density=2070.0)
    >>> held_buckling_course(wall, 78e3 + 20.0 * ages(wall), length=0.5, poisson=0.3).load_factor[-1:]
    array([1.7722])
    """
    walls = standing_walls(layers, modulus, poisson=poisson, moments=moments)
    heights = np.broadcast_to(walls.height, walls.load.shape)
    along = shapes_along(edges, shapes)
    factor, layer = np.full(len(heights), np.inf), np.zeros(len(heights), np.int64)
    mode = np.zeros(0)
    for row, load in enumerate(walls.load):
        used = np.s_[row, : np.count_nonzero(load)]
        if load[0] > 0.0:
            plate = _Plate(
                along,
                rigidity=walls.rigidity[used],
                load=walls.load[used],
                height=heights[used],
                length=length,
                poisson=poisson,
            )
            factor[row], layer[row], mode = plate.buckling(mode, tolerance)
    return Course(load_factor=factor.reshape(walls.shape), layer=layer.reshape(walls.shape))


@dataclass(frozen=True, slots=True, kw_only=True)
class ShapesAlong:
    """Integrals along the wall, from 0 to 1, of products of the shapes and of their derivatives.

    Attributes
    ----------
    plain : (shapes, shapes) array
        Of shape and shape. [1]
    slope : (shapes, shapes) array
        Of slope and slope. [1]
    curvature : (shapes, shapes) array
        Of curvature and curvature. [1]
    mixed : (shapes, shapes) array
        Of shape and curvature; symmetric, because every shape is zero at both ends. [1]
    """

    plain: Floats
    slope: Floats
    curvature: Floats
    mixed: Floats


def shapes_along(edges: Edges, shapes: int = 4) -> ShapesAlong:
    """The shapes in which a held wall deflects along its length.

    Parameters
    ----------
    edges : "supported" or "clamped"
        How its ends are held. [-]
    shapes : int
        How many for clamped edges: (1 - x²)² times even Legendre polynomials, x from -1 to 1. [1]

    Returns
    -------
    along : ShapesAlong
        [1]

    Source: [Timoshenko1961] for the sine, from memory; the polynomials are a Ritz basis of our own.

    Examples
    --------
    >>> float(shapes_along("supported").slope[0, 0] / shapes_along("supported").plain[0, 0])
    9.8696
    """
    if edges == "supported":
        half = np.array([[0.5]])
        turn = math.pi**2
        return ShapesAlong(plain=half, slope=half * turn, curvature=half * turn**2, mixed=-half * turn)
    basis = [np.polynomial.Polynomial([1.0, 0.0, -2.0, 0.0, 1.0]) * _legendre(2 * k) for k in range(shapes)]
    x, weight = np.polynomial.legendre.leggauss(2 * shapes + 6)
    # With x from -1 to 1 a derivative along the wall is twice one by x, and an integral half of one.
    values = [2.0**order * np.array([p.deriv(order)(x) for p in basis]) for order in range(3)]

    def integral(a: int, b: int) -> Floats:
        return np.asarray((values[a] * weight / 2.0) @ values[b].T)

    return ShapesAlong(plain=integral(0, 0), slope=integral(1, 1), curvature=integral(2, 2), mixed=integral(0, 2))


def _legendre(degree: int) -> np.polynomial.Polynomial:
    return np.polynomial.Legendre.basis(degree).convert(kind=np.polynomial.Polynomial)


def _hermite() -> dict[str, Floats]:
    """Integrals over the unit element of products of the four cubics, a turn counted positive along the height."""
    x, weight = np.polynomial.legendre.leggauss(5)
    x, weight = (x + 1.0) / 2.0, weight / 2.0
    cubics = [np.polynomial.Polynomial(c) for c in ([1, 0, -3, 2], [0, 1, -2, 1], [0, 0, 3, -2], [0, 0, -1, 1])]
    plain, slope, curvature = (np.array([p.deriv(order)(x) for p in cubics]) for order in range(3))
    mixed = (plain * weight) @ curvature.T
    return {
        "plain": (plain * weight) @ plain.T,
        "slope": (slope * weight) @ slope.T,
        "curvature": (curvature * weight) @ curvature.T,
        "mixed": mixed + mixed.T,
        "slope_below": (slope * weight * (1.0 - x)) @ slope.T,
        "slope_above": (slope * weight * x) @ slope.T,
    }


_UPWARD = _hermite()
_POWER = np.add.outer([0, 1, 0, 1], [0, 1, 0, 1])


class _Plate:
    """One wall at one moment. Unknowns are, node by node upward, the deflections of all shapes and then their turns."""

    def __init__(
        self, along: ShapesAlong, *, rigidity: Floats, load: Floats, height: Floats, length: float, poisson: float
    ) -> None:
        self.shapes = len(along.plain)
        above = np.append(load[1:], 0.0)
        terms = (
            (rigidity / height**3, _UPWARD["curvature"], along.plain),
            (rigidity * height / length**4, _UPWARD["plain"], along.curvature),
            (rigidity / height * poisson / length**2, _UPWARD["mixed"], along.mixed),
            (rigidity / height * 2.0 * (1.0 - poisson) / length**2, _UPWARD["slope"], along.slope),
        )
        self.bending = sum((self._elements(height, *term) for term in terms), np.zeros(()))
        self.weight = self._elements(height, load / height, _UPWARD["slope_below"], along.plain)
        self.weight += self._elements(height, above / height, _UPWARD["slope_above"], along.plain)

    def _elements(self, height: Floats, size: Floats, upward: Floats, along: Floats) -> Floats:
        turned = size[:, None, None] * upward * height[:, None, None] ** _POWER
        width = 4 * self.shapes
        return np.asarray(np.einsum("lab,jk->lajbk", turned, along).reshape(len(size), width, width))

    def buckling(self, start: Floats, tolerance: float) -> tuple[float, int, Floats]:
        """Load factor, layer that bends most, and mode, by inverse iteration from the mode of a lower wall."""
        from scipy.linalg import cho_solve_banded, cholesky_banded  # noqa: PLC0415  (SciPy is slow to import)

        banded = cholesky_banded(self._banded(), lower=True, check_finite=False)
        force = self._pushed(self._started(start))
        factor, mode = math.inf, force
        for _ in range(_MOST_ITERATIONS):
            before = factor
            mode = cho_solve_banded((banded, True), force, check_finite=False)
            energy = mode @ force
            force = self._pushed(mode)
            factor = float(energy / (mode @ force))
            force *= factor
            if abs(factor - before) <= tolerance * factor:
                break
        parts = self._parts(mode)
        energies = np.einsum("li,lij,lj->l", parts, self.bending, parts)
        return factor, int(energies.argmax()), np.asarray(mode / np.abs(mode).max())

    def _started(self, start: Floats) -> Floats:
        """A mode to begin with: that of the wall before, its top carried on, or a plain lean."""
        node = 2 * self.shapes
        layers = len(self.bending)
        if start.size and start.size <= layers * node:
            return np.concatenate([start, np.tile(start[-node:], layers - start.size // node)])
        lean = np.zeros((layers, 2, self.shapes))
        lean[:, 0, 0] = np.linspace(1.0 / layers, 1.0, layers)
        return lean.ravel()

    def _parts(self, mode: Floats) -> Floats:
        """The unknowns of each element; the foot does not move."""
        nodes = np.concatenate([np.zeros((1, 2 * self.shapes)), mode.reshape(-1, 2 * self.shapes)])
        return np.concatenate([nodes[:-1], nodes[1:]], axis=1)

    def _pushed(self, mode: Floats) -> Floats:
        """What the weight adds to each equation."""
        node = 2 * self.shapes
        pushed = np.einsum("lij,lj->li", self.weight, self._parts(mode))
        force = pushed[:, node:]
        force[:-1] += pushed[1:, :node]
        return np.asarray(force.ravel())

    def _banded(self) -> Floats:
        """Bending of all elements in the lower banded form of LAPACK, without the foot."""
        node = 2 * self.shapes
        layers = len(self.bending)
        banded = np.zeros((2 * node, (layers + 1) * node))
        for row in range(2 * node):
            for column in range(row + 1):
                places = banded[row - column, column : column + layers * node : node]
                places += self.bending[:, row, column]
        return banded[:, node:]
