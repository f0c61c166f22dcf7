"""Arcs of machine code: where the centre is, how far the turn goes, and the chords that stand for it.

All arcs of a stretch of the file are done at once, as columns. The chords are for pictures and neighbourhoods; the
length each of them carries is its share of the true arc or helix.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

import numpy as np

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]
    Integers = NDArray[np.int64]

RADIUS_TOLERANCE: Final = 50e-6
"""How far start and end may lie from one circle about the centre. [m]

RS-274/NGC refuses more than 0.002 mm (3.5.3.2, from memory). Files written with two decimals of a millimetre or three
of an inch miss that by rounding alone, so the limit here is what rounding can do, well below any bead. Within it the
radius changes evenly from start to end.
"""
MOST_CHORDS: Final = 20_000
"""Chords of one arc: at 0.1 mm a full circle of 8 km radius. More is a mistake in the file or in the deviation."""

RADIUS_TOO_SMALL: Final = 80
CENTRES_DISAGREE: Final = 81
NO_RADIUS: Final = 82
TOO_MANY_CHORDS: Final = 83

_SAME_POINT: Final = 1e-9
_COARSEST: Final = np.pi / 4  # so that a circle smaller than the deviation keeps a shape


@dataclass(frozen=True, slots=True, kw_only=True)
class Turns:
    """Arcs by what they are, in the plane they turn in.

    centre_a, centre_b:  (k,) m
    start_radius:        (k,) m
    end_radius:          (k,) m     differs from the first within `RADIUS_TOLERANCE`
    start_angle:         (k,) rad
    sweep:               (k,) rad   positive counterclockwise
    rise:                (k,) m     along the axis of the plane
    fault:               (k,) int   0 where the arc is sound
    misfit:              (k,) m     what the fault is about: how far the radii disagree or the radius falls short
    """

    centre_a: Floats
    centre_b: Floats
    start_radius: Floats
    end_radius: Floats
    start_angle: Floats
    sweep: Floats
    rise: Floats
    fault: Integers
    misfit: Floats

    @property
    def length(self) -> Floats:
        """Length of arc or helix. [m]"""
        return np.hypot(np.abs(self.sweep) * (self.start_radius + self.end_radius) / 2, self.rise)

    def chords(self, deviation: float) -> Integers:
        """How many chords keep within this distance of the arc. [m]"""
        radius = np.maximum(np.maximum(self.start_radius, self.end_radius), deviation / 2)
        # 1 - cos(step / 2) = deviation / radius, written with a sine because the cosine loses it for a large radius
        step = np.minimum(4 * np.arcsin(np.sqrt(deviation / (2 * radius))), _COARSEST)
        chords: Floats = np.maximum(np.ceil(np.abs(self.sweep) / step - 1e-9), 1)
        return chords.astype(np.int64)


def turns(*, start: Floats, end: Floats, turn: Floats, radius: Floats, centre: Floats) -> Turns:
    """Arcs from the words that describe them.

    Parameters
    ----------
    start, end : (3, k) array
        Places in the order of the plane: the two of the plane, then the one along its axis. [m]
    turn : (k,) array
        1 counterclockwise, -1 clockwise.
    radius : (k,) array
        As programmed: positive for the turn of at most half a circle, negative for the longer one, 0 where the centre
        is given. [m]
    centre : (2, k) array
        Where it is given. [m]

    Returns
    -------
    turns : Turns

    Source: NISTIR 6556 sections 3.5.3.1 (radius) and 3.5.3.2 (centre), from memory.

    Examples
    --------
    >>> quarter = turns(start=np.array([[1.0], [0], [0]]), end=np.array([[0.0], [1], [0]]),
    ...                 turn=np.ones(1), radius=np.zeros(1), centre=np.zeros((2, 1)))
    >>> float(quarter.length[0])
    1.570796
    """
    by_radius = radius != 0
    a, b, shortfall = _centre_by_radius(start, end, turn, radius)
    a, b = np.where(by_radius, a, centre[0]), np.where(by_radius, b, centre[1])
    start_radius = np.hypot(start[0] - a, start[1] - b)
    end_radius = np.hypot(end[0] - a, end[1] - b)
    start_angle = np.arctan2(start[1] - b, start[0] - a)
    turned = np.mod(turn * (np.arctan2(end[1] - b, end[0] - a) - start_angle), 2 * np.pi)
    closed = np.hypot(end[0] - start[0], end[1] - start[1]) < _SAME_POINT
    sweep = turn * np.where(closed | (turned == 0), 2 * np.pi, turned)

    misfit = np.where(by_radius, shortfall, np.abs(end_radius - start_radius))
    fault = np.where(
        by_radius,
        np.where(closed, NO_RADIUS, np.where(shortfall > RADIUS_TOLERANCE, RADIUS_TOO_SMALL, 0)),
        np.where(
            start_radius < _SAME_POINT,
            NO_RADIUS,
            np.where(misfit > RADIUS_TOLERANCE, CENTRES_DISAGREE, 0),
        ),
    )
    return Turns(
        centre_a=a,
        centre_b=b,
        start_radius=start_radius,
        end_radius=end_radius,
        start_angle=start_angle,
        sweep=sweep,
        rise=end[2] - start[2],
        fault=fault.astype(np.int64),
        misfit=misfit,
    )


def _centre_by_radius(start: Floats, end: Floats, turn: Floats, radius: Floats) -> tuple[Floats, Floats, Floats]:
    """Centre of an arc given by its radius, and how far the radius falls short of half the chord.

    The centre lies on the perpendicular through the middle of the chord: to its left for a counterclockwise turn of
    at most half a circle, to its right for a clockwise or for a longer one, and back to the left for both.
    """
    along_a, along_b = end[0] - start[0], end[1] - start[1]
    chord = np.hypot(along_a, along_b)
    shortfall = chord / 2 - np.abs(radius)
    height = np.sqrt(np.maximum((np.abs(radius) - chord / 2) * (np.abs(radius) + chord / 2), 0))
    side = turn * np.sign(radius) * height / np.where(chord > 0, chord, 1)
    middle_a, middle_b = (start[0] + end[0]) / 2, (start[1] + end[1]) / 2
    return middle_a - side * along_b, middle_b + side * along_a, shortfall


def corners(bows: Turns, owner: Integers, share: Floats) -> tuple[Floats, Floats]:
    """Points in the plane at a share of the turn of the arcs that own them. [m]"""
    angle = bows.start_angle[owner] + bows.sweep[owner] * share
    radius = bows.start_radius[owner] + (bows.end_radius - bows.start_radius)[owner] * share
    return bows.centre_a[owner] + radius * np.cos(angle), bows.centre_b[owner] + radius * np.sin(angle)
