"""Rows of arcs to rows of chords, with everything else in step."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, Final

import numpy as np

from evenbead.toolpath.arcs import MOST_CHORDS, TOO_MANY_CHORDS, Turns, corners, turns

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from evenbead.toolpath.interpreter import Arcs

    Array = NDArray[Any]

_AXES: Final = ("x", "y", "z")
_PLANES: Final = np.array([[0, 1, 2], [2, 0, 1], [1, 2, 0]])
"""Axes of G17, G18 and G19: the two of the plane so that a turn from one to the next is counterclockwise, the third."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Cut:
    """Rows in which arcs have become chords.

    rows:    columns by name
    begins:  (n + 1,)  where each old row begins among the new ones
    faults:  kind, line and measure of the arcs that can't be
    """

    rows: dict[str, Array]
    begins: Array
    faults: list[tuple[int, int, float]]


def with_chords(rows: dict[str, Array], arcs: Arcs, *, corner: Array, deviation: float) -> Cut:
    """Rows whose arcs are cut into chords.

    Parameters
    ----------
    rows : dict of (n,) arrays
        By the names of `Program`; length and speed of an arc may still be missing.
    arcs : Arcs
        Which of them are arcs, and of which kind.
    corner : (3, 1) array
        Where the first row starts. [m]
    deviation : float
        How far a chord may lie from its arc. [m]
    """
    axes = _PLANES[arcs.plane - 17].T
    along = np.arange(len(arcs.row))
    ends = np.stack([rows[name][arcs.row] for name in _AXES])
    starts = np.stack([np.concatenate([corner[axis], rows[name]])[arcs.row] for axis, name in enumerate(_AXES)])
    start, end = starts[axes, along], ends[axes, along]
    bows = turns(start=start, end=end, turn=arcs.turn, radius=arcs.radius, centre=np.stack([arcs.a, arcs.b]))
    chords = bows.chords(deviation)
    fault = np.where((bows.fault == 0) & (chords > MOST_CHORDS), TOO_MANY_CHORDS, bows.fault)
    chords = np.where(fault == 0, chords, 1)

    whole = dict(rows)
    whole["length"], whole["speed"] = rows["length"].copy(), rows["speed"].copy()
    whole["length"][arcs.row] = bows.length
    whole["speed"][arcs.row] = np.where(arcs.rate > 0, bows.length * arcs.rate, rows["speed"][arcs.row])

    counts = np.ones(len(rows["x"]), np.int64)
    counts[arcs.row] = chords
    begins = np.concatenate([[0], np.cumsum(counts)])
    cut = {name: np.repeat(column, counts) for name, column in whole.items()}
    share = 1 / np.repeat(counts, counts)
    cut["length"] *= share
    cut["advance"] *= share
    _place_inner_corners(cut, bows, chords, axes=axes, begins=begins[arcs.row], third=start[2])
    # An arc whose start an earlier fault has moved is not to blame.
    told = np.flatnonzero((fault != 0) & (arcs.sure != 0))
    faults = [(int(fault[i]), int(rows["line"][arcs.row[i]]), float(bows.misfit[i])) for i in told]
    return Cut(rows=cut, begins=begins, faults=faults)


def _place_inner_corners(
    cut: dict[str, Array], bows: Turns, chords: Array, *, axes: Array, begins: Array, third: Array
) -> None:
    """Put the end of every chord but the last of its arc on the curve; the last ends where the arc does."""
    inner = chords - 1
    arc = np.repeat(np.arange(len(chords)), inner)
    step = np.arange(len(arc)) - np.repeat(np.cumsum(inner) - inner, inner)
    share = (step + 1) / chords[arc]
    row = begins[arc] + step
    first, second = corners(bows, arc, share)
    for order, value in enumerate((first, second, third[arc] + bows.rise[arc] * share)):
        for axis, name in enumerate(_AXES):
            here = axes[order][arc] == axis
            cut[name][row[here]] = value[here]
