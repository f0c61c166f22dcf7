"""Strokes joined end to end, and chains put in an order that travels little.

A drawing lists its lines in the order someone drew them. A print needs unbroken runs: two strokes whose ends
meet become one; where more than two meet, the straightest way goes on.
"""

from __future__ import annotations

from collections import defaultdict
from itertools import product
from typing import TYPE_CHECKING

import numpy as np

from evenbead.toolpath.curves import Stroke

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from evenbead.toolpath.model import Floats


def without_repeats(strokes: Sequence[Stroke], *, tolerance: float) -> list[Stroke]:
    """Strokes drawn once each, where a drawing has the same line twice on top of itself, in either direction."""
    seen, kept = set(), []
    for stroke in strokes:
        middle = stroke.points[len(stroke.points) // 2] if len(stroke.points) % 2 else stroke.points.mean(axis=0)
        ends = sorted(tuple(np.rint(end / tolerance)) for end in stroke.points[[0, -1]])
        mark = (*ends, tuple(np.rint(middle / tolerance)), round(float(stroke.length.sum()) / tolerance))
        if mark not in seen:
            seen.add(mark)
            kept.append(stroke)
    return kept


def chained(strokes: Sequence[Stroke], *, tolerance: float) -> list[Stroke]:
    """Strokes joined where their ends lie within the tolerance.

    The first stroke of a chain keeps the direction in which it was drawn; the others are turned to fit. A chain that
    comes back to its start ends there exactly.
    """
    ends = _Ends(strokes, tolerance=tolerance)
    chains = []
    for first, stroke in enumerate(strokes):
        if not ends.take(first):
            continue
        forward = [stroke, *ends.onward(stroke)]
        backward = list(ends.onward(stroke.reversed))
        links = [link.reversed for link in reversed(backward)] + forward
        chains.append(_joined(links, tolerance=tolerance))
    return chains


def is_closed(chain: Stroke) -> bool:
    """Whether a chain ends where it began."""
    return bool((chain.points[0] == chain.points[-1]).all()) and len(chain.length) > 1


def in_order(chains: Sequence[Stroke]) -> list[Stroke]:
    """The first chain drawn, then always the one that begins nearest; an open chain may begin at either end."""
    rest = list(chains)
    ordered = [rest.pop(0)]
    while rest:
        here = ordered[-1].points[-1]
        begins = np.array([chain.points[0] for chain in rest])
        # A loop's other end is its begin, so the comparison below never turns it.
        ends = np.array([chain.points[-1] for chain in rest])
        from_begin, from_end = np.linalg.norm(begins - here, axis=1), np.linalg.norm(ends - here, axis=1)
        nearest = int(np.argmin(np.minimum(from_begin, from_end)))
        chain = rest.pop(nearest)
        ordered.append(chain if from_begin[nearest] <= from_end[nearest] else chain.reversed)
    return ordered


class _Ends:
    """The free ends of strokes, found by place."""

    def __init__(self, strokes: Sequence[Stroke], *, tolerance: float) -> None:
        self._strokes, self._tolerance = strokes, tolerance
        self._free = set(range(len(strokes)))
        self._cells: dict[tuple[int, ...], list[tuple[int, bool]]] = defaultdict(list)
        for index, stroke in enumerate(strokes):
            for at_start in (True, False):
                self._cells[self._cell(stroke.points[0 if at_start else -1])].append((index, at_start))

    def take(self, index: int) -> bool:
        """Whether a stroke is still free; from now on it isn't."""
        if index not in self._free:
            return False
        self._free.remove(index)
        return True

    def onward(self, stroke: Stroke) -> Iterator[Stroke]:
        """The strokes that go on from the end of this one, each taken and turned to fit."""
        begin, here = stroke.points[0], stroke
        while np.linalg.norm(here.points[-1] - begin) > self._tolerance or here is not stroke:
            found = self._straightest(here)
            if found is None:
                return
            here = found
            yield here
            if np.linalg.norm(here.points[-1] - begin) <= self._tolerance:
                return

    def _straightest(self, stroke: Stroke) -> Stroke | None:
        end = stroke.points[-1]
        heading = _direction(stroke.points[-2], end)
        best, best_score = None, -np.inf
        cell = self._cell(end)
        for step in product((-1, 0, 1), repeat=2):
            for index, at_start in self._cells.get((cell[0] + step[0], cell[1] + step[1]), ()):
                if index not in self._free:
                    continue
                fitting = self._strokes[index] if at_start else self._strokes[index].reversed
                if np.linalg.norm(fitting.points[0] - end) > self._tolerance:
                    continue
                score = float(heading @ _direction(fitting.points[0], fitting.points[1]))
                if score > best_score:
                    best, best_score = (index, fitting), score
        if best is None:
            return None
        self._free.remove(best[0])
        return best[1]

    def _cell(self, point: Floats) -> tuple[int, ...]:
        return tuple(int(c) for c in np.floor(point[:2] / self._tolerance))


def _direction(begin: Floats, end: Floats) -> Floats:
    across = end - begin
    size = np.linalg.norm(across)
    unit: Floats = across / size if size else across
    return unit


def _joined(links: Sequence[Stroke], *, tolerance: float) -> Stroke:
    points = np.vstack([links[0].points[:1], *(link.points[1:] for link in links)])
    length = np.concatenate([link.length for link in links])
    if len(length) > 1 and np.linalg.norm(points[-1] - points[0]) <= tolerance:
        points[-1] = points[0]
    return Stroke(points=points, length=length)
