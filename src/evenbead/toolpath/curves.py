"""Curves of a drawing as strokes: chords close to the curve, each with the true length of its piece of it.

Circles have closed forms. For ellipses and splines the curve is halved until every chord stays within the
allowed distance, and the length of each piece is the integral of |C'(t)| by Gauss and Legendre's rule,
which on pieces this short is exact to rounding.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise
from typing import TYPE_CHECKING, Self

import numpy as np

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from evenbead.toolpath.model import Floats

    Curve = Callable[[Floats], Floats]
    """Parameters (t,) to points or velocities (t, 3)."""

_COARSEST = np.pi / 4  # so that a circle smaller than the allowed distance keeps a shape
_HALVINGS = 24
_TURN = np.cos(np.pi / 4)  # most that a curve turns within a chord
_MOST_CHORDS = 100_000  # of one curve: more is a mistake in the drawing
_STRAIGHT = 1e-7  # a bulge below this lengthens its leg by less than rounding does
_NODES, _WEIGHTS = np.polynomial.legendre.leggauss(12)


@dataclass(frozen=True, slots=True, kw_only=True)
class Stroke:
    """An unbroken line of a drawing, in its own units.

    points:  (m + 1, 3)   corners
    length:  (m,)         true length of the piece of curve that each chord stands for
    """

    points: Floats
    length: Floats

    @property
    def reversed(self) -> Self:
        """The same line drawn from its other end."""
        return type(self)(points=self.points[::-1], length=self.length[::-1])


def polyline(points: Floats) -> Stroke:
    """Straight lines through these points."""
    return Stroke(points=points, length=np.linalg.norm(np.diff(points, axis=0), axis=1))


def arc(centre: Floats, *, radius: float, start: float, sweep: float, chord: float) -> Stroke:
    """Part of a level circle, counterclockwise for a positive sweep.

    Examples
    --------
    >>> quarter = arc(np.zeros(3), radius=2.0, start=0.0, sweep=np.pi / 2, chord=0.001)
    >>> float(quarter.length.sum()), quarter.points[-1].round(12).tolist()
    (3.14159265, [0.0, 2.0, 0.0])
    """
    # A chord over the angle A leaves its circle by R (1 - cos(A/2)) = 2 R sin²(A/4).
    widest = min(4 * np.arcsin(np.sqrt(min(chord / (2 * radius), 1.0))), _COARSEST) if radius > 0 else _COARSEST
    if not abs(sweep) / widest < _MOST_CHORDS:
        raise ValueError(f"an arc with a radius of {radius:.3g} needs too many chords")
    count = max(int(np.ceil(abs(sweep) / widest)), 1)
    angle = start + sweep * np.arange(count + 1) / count
    points = np.column_stack([np.cos(angle), np.sin(angle), np.zeros(count + 1)]) * radius + centre
    return Stroke(points=points, length=np.full(count, radius * abs(sweep) / count))


def bulged(points: Floats, bulges: Sequence[float], *, closed: bool, chord: float) -> Stroke:
    """A polyline whose legs may be arcs: the bulge is the tangent of a quarter of the angle, left turns positive."""
    if closed:
        points = np.vstack([points, points[:1]])
    legs = [
        _bulged_leg(points[i], points[i + 1], bulge, chord=chord)
        if abs(bulge) > _STRAIGHT
        else polyline(points[i : i + 2])
        for i, bulge in enumerate(bulges[: len(points) - 1])
    ]
    return Stroke(
        points=np.vstack([points[:1], *(leg.points[1:] for leg in legs)]),
        length=np.concatenate([np.empty(0), *(leg.length for leg in legs)]),
    )


def _bulged_leg(begin: Floats, end: Floats, bulge: float, *, chord: float) -> Stroke:
    sweep = 4 * np.arctan(bulge)
    across = end - begin
    # From the middle of the leg, the centre lies to the left by half the leg over tan(sweep/2).
    left = np.array([-across[1], across[0], 0.0])
    centre = (begin + end) / 2 + left / 2 * (1 - bulge**2) / (2 * bulge)
    radius = float(np.linalg.norm(begin - centre))
    start = float(np.arctan2(begin[1] - centre[1], begin[0] - centre[0]))
    leg = arc(centre, radius=radius, start=start, sweep=sweep, chord=chord)
    leg.points[[0, -1]] = begin, end
    return leg


def ellipse(centre: Floats, major: Floats, minor: Floats, *, start: float, sweep: float, chord: float) -> Stroke:
    """Part of an ellipse: centre + major cos t + minor sin t."""

    def point(t: Floats) -> Floats:
        at: Floats = centre + np.outer(np.cos(t), major) + np.outer(np.sin(t), minor)
        return at

    def velocity(t: Floats) -> Floats:
        speed: Floats = np.outer(np.cos(t), minor) - np.outer(np.sin(t), major)
        return speed

    breaks = start + sweep * np.linspace(0.0, 1.0, max(int(np.ceil(abs(sweep) / _COARSEST)), 1) + 1)
    return _followed(point, velocity, breaks, chord=chord)


def spline(control: Floats, knots: Floats, weights: Floats, *, degree: int, chord: float) -> Stroke:
    """A B-spline, rational where the weights differ, over the knots at which it is complete."""
    homogeneous = np.column_stack([control * weights[:, None], weights])
    # The derivative of a B-spline is one of a degree less, over the differences of its control points.
    spans = knots[degree + 1 : -1] - knots[1 : -degree - 1]
    steps = np.diff(homogeneous, axis=0) * np.divide(degree, spans, out=np.zeros_like(spans), where=spans > 0)[:, None]

    def point(t: Floats) -> Floats:
        at = _de_boor(homogeneous, knots, t, degree=degree)
        return at[:, :3] / at[:, 3:]

    def velocity(t: Floats) -> Floats:
        at = _de_boor(homogeneous, knots, t, degree=degree)
        change = _de_boor(steps, knots[1:-1], t, degree=degree - 1)
        # Quotient rule: C = A/w, C' = (A' - w' C) / w
        return (change[:, :3] - change[:, 3:] * at[:, :3] / at[:, 3:]) / at[:, 3:]

    inner = np.unique(knots[degree : len(control) + 1])
    breaks = np.unique(np.concatenate([np.linspace(a, b, 5) for a, b in pairwise(inner)]))
    return _followed(point, velocity, breaks, chord=chord)


def _de_boor(control: Floats, knots: Floats, t: Floats, *, degree: int) -> Floats:
    """Points of a B-spline by de Boor's recursion, all parameters at once."""
    last = len(control) - 1
    span = np.clip(np.searchsorted(knots, t, side="right") - 1, degree, last)
    points = control[span[:, None] + np.arange(-degree, 1)]
    for level in range(1, degree + 1):
        for j in range(degree, level - 1, -1):
            low = knots[span + j - degree]
            width = knots[span + j + 1 - level] - low
            share = np.divide(t - low, width, out=np.zeros_like(t), where=width > 0)[:, None]
            points[:, j] = (1 - share) * points[:, j - 1] + share * points[:, j]
    found: Floats = points[:, degree]
    return found


def _followed(point: Curve, velocity: Curve, breaks: Floats, *, chord: float) -> Stroke:
    """Halve the pieces between breaks until they are close to straight, then measure them."""
    at = breaks
    for _ in range(_HALVINGS):
        corners = point(at)
        # A tip within a piece would hide from a few looks at its distance, but not in its directions.
        heading = velocity(at)
        far = np.einsum("ij,ij->i", heading[:-1], heading[1:]) < _TURN * (
            np.linalg.norm(heading[:-1], axis=1) * np.linalg.norm(heading[1:], axis=1)
        )
        for share in (0.25, 0.5, 0.75):
            between = point(at[:-1] + share * np.diff(at))
            far |= _distance(between, corners[:-1], corners[1:]) > chord
        if not far.any():
            break
        if len(at) > _MOST_CHORDS:
            raise ValueError("the curve needs too many chords")
        at = np.insert(at, np.flatnonzero(far) + 1, ((at[:-1] + at[1:]) / 2)[far])
    half = np.diff(at) / 2
    nodes = (at[:-1] + half)[:, None] + half[:, None] * _NODES
    speed = np.linalg.norm(velocity(nodes.ravel()), axis=1).reshape(nodes.shape)
    return Stroke(points=point(at), length=np.abs(half) * (speed @ _WEIGHTS))


def _distance(points: Floats, begin: Floats, end: Floats) -> Floats:
    """Distance of each point from the chord beside it."""
    across = end - begin
    square = np.einsum("ij,ij->i", across, across)
    along = np.einsum("ij,ij->i", points - begin, across)
    share = np.clip(np.divide(along, square, out=np.zeros_like(square), where=square > 0), 0.0, 1.0)
    found: Floats = np.linalg.norm(points - begin - share[:, None] * across, axis=1)
    return found
