"""The footprint of a layer: how many pieces and closed loops, how thick the wall, how far it runs without a return.

A wall that turns, or leans on another strand, stands better than a free straight one. How much better is a question
for `physics`; here is what the toolpath shows.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from evenbead.toolpath.layers import Layers
    from evenbead.toolpath.model import Floats, Toolpath

_RETURN = math.radians(45.0)  # a turn that holds what comes before it (common practice, no source)
_MOST_CORNERS = 20_000  # of one layer that are looked at


@dataclass(frozen=True, slots=True, kw_only=True)
class Footprint:
    """One layer seen from above.

    pieces:         how many parts do not touch each other
    loops:          how many holes they enclose
    thickness:      area over length of bead [m]; more than the bead's width where strands do not overlap is impossible,
                    less means that strands lie on or beside each other
    free_stretch:   longest way along the bead between two turns of 45 degrees [m]
    """

    pieces: int
    loops: int
    thickness: float
    free_stretch: float

    @property
    def closed(self) -> bool:
        """Whether the wall closes on itself."""
        return self.loops > 0


def footprint_of(toolpath: Toolpath, layers: Layers, layer: int, *, bead_width: float) -> Footprint:
    """The footprint of one layer, counted from 0.

    Source: plane geometry by shapely; common practice, no source for the turn that counts as a return.
    """
    from shapely import LineString, MultiLineString, unary_union  # noqa: PLC0415  (takes long to import)

    runs = _runs(toolpath, int(layers.first_move[layer]), int(layers.last_move[layer]))
    lines = MultiLineString([LineString(run) for run in runs]).simplify(bead_width / 50)
    shape = unary_union(lines.buffer(bead_width / 2, quad_segs=4))
    polygons = list(getattr(shape, "geoms", [shape]))
    length = sum(float(np.hypot(*np.diff(run, axis=0).T).sum()) for run in runs)
    return Footprint(
        pieces=len(polygons),
        loops=sum(len(polygon.interiors) for polygon in polygons),
        thickness=float(shape.area) / length if length > 0 else bead_width,
        free_stretch=max(_free_stretch(run, spacing=bead_width / 2) for run in runs),
    )


def _runs(toolpath: Toolpath, first: int, last: int) -> list[Floats]:
    """Corners of each unbroken run of bead of a layer, (m, 2) each."""
    moves = np.arange(first, last + 1)
    on = moves[toolpath.on[first : last + 1]]
    runs = []
    for piece in np.split(on, np.flatnonzero(np.diff(on) > 1) + 1):
        corners = np.append(piece, piece[-1] + 1)
        corners = corners[:: max(len(corners) // _MOST_CORNERS, 1)]
        runs.append(np.column_stack([toolpath.x[corners], toolpath.y[corners]]))
    return [run for run in runs if len(run) > 1]


def _free_stretch(run: Floats, *, spacing: float) -> float:
    """Longest way along a run on which its heading turns by less than a return. [m]"""
    way = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(run, axis=0).T))])
    if way[-1] <= 2 * spacing:
        return float(way[-1])
    at = np.linspace(0.0, way[-1], max(int(way[-1] / spacing), 3))
    x, y = np.interp(at, way, run[:, 0]), np.interp(at, way, run[:, 1])
    heading = np.unwrap(np.arctan2(np.diff(y), np.diff(x)))
    turned: NDArray[np.float64] = np.concatenate([[0.0], np.cumsum(np.abs(np.diff(heading)))])
    reach = np.searchsorted(turned, turned + _RETURN, side="right")
    return float((at[np.minimum(reach, len(at) - 1)] - at[: len(reach)]).max())
