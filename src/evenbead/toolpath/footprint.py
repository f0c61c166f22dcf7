"""The footprint of a layer: how many pieces and closed loops, how thick the wall, how far it runs without a return.

A wall that turns, or leans on another strand, stands better than a free straight one. How much better is a question
for `physics`; here is what the toolpath shows.
"""

from __future__ import annotations

import math
from collections import deque
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from collections.abc import Iterator

    from evenbead.toolpath.layers import Layers
    from evenbead.toolpath.model import Floats, Toolpath

_RETURN = math.radians(45.0)  # a turn that holds what comes before it (common practice, no source)
_ALONG = 4.0  # bead widths over which a heading is taken: a wiggle shorter than that is no return
_FOLDED = 0.6  # of that way, as the crow flies; less where the bead turns back on itself
_FREE_END = 3.0
"""By what a stretch with a free end counts longer. A long plate with one free edge buckles at 0.425, between two
supported edges at 4, in the same units [Timoshenko1961], from memory: it is as weak as one √(4/0.425) times as wide."""
_MOST_CORNERS = 20_000  # of one layer that are looked at


@dataclass(frozen=True, slots=True, kw_only=True)
class Footprint:
    """One layer seen from above.

    pieces:         how many parts do not touch each other
    loops:          how many holes they enclose
    thickness:      area over length of bead [m]; more than the bead's width where strands do not overlap is impossible,
                    less means that strands lie on or beside each other
    free_stretch:   longest way along the bead between two turns of 45 degrees [m]; a stretch that ends free counts
                    threefold, and infinite where nothing turns at all
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

    runs = _runs(toolpath, layers, layer)
    lines = MultiLineString([LineString(run) for run in runs]).simplify(bead_width / 50)
    shape = unary_union(lines.buffer(bead_width / 2, quad_segs=4))
    polygons = list(getattr(shape, "geoms", [shape]))
    length = sum(float(np.hypot(*np.diff(run, axis=0).T).sum()) for run in runs)
    return Footprint(
        pieces=len(polygons),
        loops=sum(len(polygon.interiors) for polygon in polygons),
        thickness=float(shape.area) / length if length > 0 else bead_width,
        free_stretch=max(_free_stretch(run, bead_width=bead_width) for run in runs),
    )


def free_stretch_of(toolpath: Toolpath, layers: Layers, layer: int, *, bead_width: float) -> float:
    """The free stretch of a layer alone, which is quick. [m]"""
    return max(_free_stretch(run, bead_width=bead_width) for run in _runs(toolpath, layers, layer))


def _runs(toolpath: Toolpath, layers: Layers, layer: int) -> list[Floats]:
    """Corners of each unbroken run of bead of a layer, (m, 2) each."""
    moves = np.arange(layers.first_move[layer], layers.last_move[layer] + 1)
    on = moves[toolpath.on[moves]]
    runs = []
    for piece in np.split(on, np.flatnonzero(np.diff(on) > 1) + 1):
        corners = np.append(piece, piece[-1] + 1)
        thinned = np.append(corners[: -1 : max(len(corners) // _MOST_CORNERS, 1)], corners[-1])
        runs.append(np.column_stack([toolpath.x[thinned], toolpath.y[thinned]]))
    return runs


def _free_stretch(run: Floats, *, bead_width: float) -> float:
    """Longest way along a run on which its heading stays within the angle of a return. [m]"""
    way = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(run, axis=0).T))])
    total = float(way[-1])
    if total <= _ALONG * bead_width:
        return math.inf  # too short to turn
    closed = math.dist(run[0], run[-1]) <= bead_width
    count = max(int(2 * total / bead_width), 8)
    at = np.linspace(0.0, total, count + 1)
    x, y = np.interp(at, way, run[:, 0]), np.interp(at, way, run[:, 1])
    step = total / count
    if closed:  # once more around, so that the seam parts no stretch
        x, y = np.concatenate([x, x[1:]]), np.concatenate([y, y[1:]])
    over = max(round(_ALONG * bead_width / step), 1)
    dx, dy = x[over:] - x[:-over], y[over:] - y[:-over]
    # Where the bead turns back beside itself its heading says nothing: the two strands are one straight wall.
    sound = np.flatnonzero(np.hypot(dx, dy) >= _FOLDED * over * step)
    if not sound.size:
        return math.inf
    heading = np.unwrap(2 * np.arctan2(dy[sound], dx[sound])) / 2
    longest = 0.0
    for first, last in _steady(heading):
        # A heading taken over some way turns before the corner is reached: half of that way is given back.
        reach = (sound[last] - sound[first] + 1 + over / 2) * step
        if closed:
            longest = max(longest, reach if reach < total else math.inf)
            continue
        ends = int(first == 0) + int(last == len(heading) - 1)
        longest = max(longest, (reach + over * step / 2 * ends) * (1.0, _FREE_END, math.inf)[ends])
    return float(longest)


def _steady(heading: Floats) -> Iterator[tuple[int, int]]:
    """First and last index of each longest stretch over which the heading keeps within a return."""
    low, high = deque[int](), deque[int]()
    first = 0
    for last, angle in enumerate(heading.tolist()):
        inside = (first, last - 1)
        while low and heading[low[-1]] >= angle:
            low.pop()
        while high and heading[high[-1]] <= angle:
            high.pop()
        low.append(last)
        high.append(last)
        moved = first
        while heading[high[0]] - heading[low[0]] > _RETURN:
            first += 1
            if low[0] < first:
                low.popleft()
            if high[0] < first:
                high.popleft()
        if first > moved:
            yield inside
    yield first, len(heading) - 1
