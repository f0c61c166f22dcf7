"""Where the bead gets too wide or too thin when the flow stays and the nozzle's speed does not."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from evenbead.physics.bead import section_area, speed_for, width_at

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from evenbead.documents.job import Bead
    from evenbead.toolpath.model import Toolpath
    from evenbead.toolpath.timing import Timing

    Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True)
class WidthOutside:
    """Share of the printed length on which the width is off by more than a tolerance, and the worst place."""

    tolerance: float
    wide: float
    thin: float
    worst_move: int
    """Where to look: the move furthest off in its mean, else the one with the greatest length outside."""
    worst_width: float | None
    """Mean width over that move; None where it is off at its ends only. [m]"""

    @property
    def share(self) -> float:
        return self.wide + self.thin


def width_outside(
    toolpath: Toolpath, timing: Timing, bead: Bead, *, flow: float, tolerance: float, acceleration: float | None
) -> WidthOutside:
    """Lengths outside the tolerance at a constant flow.

    A width belongs to a speed, so the question is where the nozzle runs slower than the speed of the widest
    allowed bead or faster than that of the thinnest. Inside a move the speed rises and falls evenly, which gives
    the length below a speed exactly.
    """
    height, section = bead.layer_height, bead.section
    slow, fast = (_speed_of(flow, bead.width * factor, bead) for factor in (1 + tolerance, 1 - tolerance))
    on = np.flatnonzero(toolpath.on & (toolpath.length > 0))
    length = toolpath.length[on]
    below_slow, below_fast = (_length_below(speed, timing, on, length, acceleration) for speed in (slow, fast))
    width = np.asarray(width_at(flow=flow, speed=timing.speed[on], height=height, section=section))
    off = np.abs(width - bead.width)
    in_its_mean = bool(off.max() > tolerance * bead.width)
    worst = int(np.argmax(off if in_its_mean else below_slow + length - below_fast))
    total = float(length.sum())
    return WidthOutside(
        tolerance=tolerance,
        wide=float(below_slow.sum()) / total,
        thin=float((length - below_fast).sum()) / total,
        worst_move=int(on[worst]),
        worst_width=float(width[worst]) if in_its_mean else None,
    )


def _speed_of(flow: float, width: float, bead: Bead) -> float:
    """Speed that lays a bead of this width; none is fast enough for a section that has no area left."""
    if section_area(width=width, height=bead.layer_height, section=bead.section) <= 0:
        return math.inf
    return float(speed_for(flow=flow, width=width, height=bead.layer_height, section=bead.section))


def _length_below(
    speed: float, timing: Timing, moves: NDArray[np.intp], length: Floats, acceleration: float | None
) -> Floats:
    """Length of each move on which the nozzle is slower than a speed. [m]"""
    top = timing.top[moves]
    if acceleration is None:
        return np.where(top < speed, length, 0.0)
    reached = np.minimum(speed, top) ** 2
    gaining = np.maximum(reached - timing.entry[moves] ** 2, 0.0) / (2 * acceleration)
    losing = np.maximum(reached - timing.exit[moves] ** 2, 0.0) / (2 * acceleration)
    return np.where(top < speed, length, np.minimum(gaining + losing, length))
