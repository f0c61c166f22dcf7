"""Where the bead gets too wide or too thin when the flow stays and the nozzle's speed does not."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from evenbead.physics.bead import speed_for, width_at

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
    worst_width: float
    """Mean width over the move that is furthest off. [m]"""
    worst_move: int

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
    slow, fast = (
        float(speed_for(flow=flow, width=bead.width * factor, height=height, section=section))
        for factor in (1 + tolerance, 1 - tolerance)
    )
    on = np.flatnonzero(toolpath.on & (toolpath.length > 0))
    length = toolpath.length[on]
    below_slow, below_fast = (_length_below(speed, timing, on, length, acceleration) for speed in (slow, fast))
    width = np.asarray(width_at(flow=flow, speed=timing.speed[on], height=height, section=section))
    worst = int(np.argmax(np.abs(width - bead.width)))
    total = float(length.sum())
    return WidthOutside(
        tolerance=tolerance,
        wide=float(below_slow.sum()) / total,
        thin=float((length - below_fast).sum()) / total,
        worst_width=float(width[worst]),
        worst_move=int(on[worst]),
    )


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
