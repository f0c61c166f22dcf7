"""Layers of a toolpath: the longest runs of printing in which nothing comes to lie on what the same run laid.

Height alone can't tell a layer: a spiral rises all the time, a wave rises and falls, a sloping base tilts a whole
layer, and pieces at several heights share one pass. What makes a new layer is that its bead lies *on* the bead of
the layer before. So the printed path is followed in time, and at every half bead width it is asked which bead
lies beneath, and when that was laid. A new layer begins where the answer is: in the layer now being laid.

The place found that way is rough by a bead width or so. It is moved to where the file itself breaks, a step in
height or a stretch without bead; where it doesn't (a spiral), to where the path passes the layer's start again.

Pieces printed one after the other need one more thought. The first bead of the second piece lies on nothing,
like a neighbour in the same pass would. The two differ in what follows: if the new place is built upon
before the old one is, work has moved on, and a layer begins there.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

import numpy as np

from evenbead.toolpath.samples import LIES_ON_AFTER_BREAK, Breaks, Looks, Samples, breaks_of, looks_of, samples_of

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from evenbead.toolpath.model import Floats, Toolpath

# How far back a break may be to count as the place where the layer began. [bead widths]
_REACH = 3.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Layers:
    """The layer of every move, and what each layer is.

    index:       (n,) int32   layer of the move, from 0; a move without bead belongs to the layer laid before it,
                              and is -1 before the first bead
    z:           (k,) m       mean nozzle height over the length laid
    length:      (k,) m       laid
    first_move:  (k,) int64   index of the first printed move
    last_move:   (k,) int64   index of the last one
    """

    index: NDArray[np.int32]
    z: Floats
    length: Floats
    first_move: NDArray[np.int64]
    last_move: NDArray[np.int64]

    def __post_init__(self) -> None:
        for column in (self.index, self.z, self.length, self.first_move, self.last_move):
            column.setflags(write=False)

    def __len__(self) -> int:
        return len(self.z)


def layers_of(toolpath: Toolpath, *, bead_width: float, layer_height: float, looks: Looks | None = None) -> Layers:
    """The layers in the order laid.

    Parameters
    ----------
    toolpath : Toolpath
        A path with at least one printed move.
    bead_width : float
        Beads closer than half of it, seen from above, lie on each other. [m]
    layer_height : float
        Nominal height of a layer; single layers may be down to a fifth of it where the file breaks
        between them, and down to about half of it in a path without breaks. [m]
    looks : Looks, optional
        Of the same path, width and height, where they have been made already.

    Returns
    -------
    layers : Layers

    Raises
    ------
    InputRefused
        The path is longer than any print.

    Notes
    -----
    A move is never divided. Where a layer of a spiral ends within a move, the nearer end of the move counts.

    Source: common practice, no source.
    """
    looks = looks or looks_of(toolpath, bead_width=bead_width, layer_height=layer_height)
    samples = looks.samples
    breaks = breaks_of(toolpath, samples, rise=LIES_ON_AFTER_BREAK * layer_height)
    under = np.maximum(looks.strong, _after_break(looks.weak, samples, breaks, reach=_REACH * bead_width))
    cut = _Cut(samples=samples, breaks=breaks, under=under, bead_width=bead_width, layer_height=layer_height)
    # Two ways to settle where a layer began. The longest runs make the fewest layers; if both make the same
    # number, the one that follows the heights reads better.
    near, level = cut.starts("break"), cut.starts("level")
    return _described(toolpath, near if len(near) < len(level) else level)


def estimated_layer_height(toolpath: Toolpath) -> float | None:
    """The typical rise between two passes over the same place, for a file that comes without a job. [m]

    Where no place is passed twice at different heights, the nozzle height of the only layer; None if that is
    not above zero.
    """
    across = max(float(np.ptp(toolpath.x)), float(np.ptp(toolpath.y)))
    laid = float(toolpath.length[toolpath.on].sum())
    # Half a million looks are enough for a median, however long the path.
    spacing = max(min(max(across / 200, 0.002), 0.010), laid / 500_000)
    samples = samples_of(toolpath, spacing=spacing)
    rises = _rises(samples, cell=2 * min(spacing, 0.010), apart=20 * spacing)
    if rises.size:
        return float(np.median(rises))
    height = float(samples.z.min())
    return height if height > 0 else None


def _rises(samples: Samples, *, cell: float, apart: float) -> Floats:
    """Rises between one look at a place and the next, where some way was made between them."""
    column = np.floor(samples.x / cell).astype(np.int64)
    row = np.floor(samples.y / cell).astype(np.int64)
    order = np.lexsort((row, column))  # stable: time runs on within a cell
    same = (np.diff(column[order]) == 0) & (np.diff(row[order]) == 0)
    rise = np.diff(samples.z[order])
    way = np.diff(samples.way[order])
    found: Floats = rise[same & (rise > 1e-5) & (way > apart)]
    return found


def _after_break(under: NDArray[np.int64], samples: Samples, breaks: Breaks, *, reach: float) -> NDArray[np.int64]:
    """What lies beneath, kept only shortly after a break and only if it was laid before that break."""
    if len(breaks.sample) == 0:
        return np.full_like(under, -1)
    latest = np.repeat(np.arange(-1, len(breaks.way)), np.diff(breaks.sample, prepend=0, append=len(under)))
    known = np.maximum(latest, 0)
    near = (latest >= 0) & (samples.way - breaks.way[known] <= reach) & (under < breaks.sample[known])
    return np.where(near, under, -1)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Cut:
    """Everything needed to cut the path into layers."""

    samples: Samples
    breaks: Breaks
    under: NDArray[np.int64]
    bead_width: float
    layer_height: float

    def starts(self, prefer: Literal["break", "level"]) -> list[int]:
        """The first move of each layer."""
        moved_on = _MovedOn(self)
        total = len(self.samples.z)
        moves = [int(self.samples.first_move)]
        first, before, way, guess = 0, -1, 0.0, 1024
        while first < total:
            hit = _first_at_least(self.under, first, guess)
            begin = self._settled(hit, first, way, prefer) if hit < total else (total, 0.0, 0)
            if before >= 0:
                begin = moved_on.within(first, begin[0], before) or begin
            guess = max(2 * (begin[0] - first), 256)
            before, (first, way, move) = first, begin
            if first < total:
                moves.append(move)
        return sorted(set(moves))

    def _settled(self, hit: int, first: int, way: float, prefer: Literal["break", "level"]) -> tuple[int, float, int]:
        """Where the layer that is known by `hit` began: its first sample, the way there, its first move."""
        lower = int(self.under[hit])
        ways = (self._break_near, self._level_change) if prefer == "break" else (self._level_change, self._break_near)
        for find in ways:
            found = find(hit, lower)
            if found is not None:
                return int(self.breaks.sample[found]), float(self.breaks.way[found]), int(self.breaks.move[found])
        return self._passing(hit, first, lower, way)

    def _break_near(self, hit: int, lower: int) -> int | None:
        """The last break shortly before the hit, else the first one right after it."""
        breaks, here = self.breaks, self.samples.way[hit]
        after = int(np.searchsorted(breaks.way, here, side="right"))
        if (
            after > 0
            and here - breaks.way[after - 1] <= _REACH * self.bead_width
            and lower < breaks.sample[after - 1] <= hit
        ):
            return after - 1
        if after < len(breaks.way) and breaks.way[after] - here <= self.bead_width:
            return after
        return None

    def _level_change(self, hit: int, lower: int) -> int | None:
        """The break at which the path came to the height of the hit, if a break it was."""
        z = self.samples.z
        rise = min(z[hit] - z[lower], self.layer_height)
        elsewhere = np.flatnonzero(np.abs(z[lower:hit] - z[hit]) >= rise / 2)
        if len(elsewhere) == 0:
            return None
        found = int(self.breaks.at[lower + int(elsewhere[-1]) + 1])
        return found if found >= 0 else None

    def _passing(self, hit: int, first: int, lower: int, way: float) -> tuple[int, float, int]:
        """Where the path comes by the start of the layer again; the hit itself, if it lies elsewhere."""
        samples, width = self.samples, self.bead_width
        at = samples.way[hit]
        ahead = samples.way[lower] - way  # what lies beneath came this far after the start of the layer
        if ahead <= _REACH * width:
            a, b = np.searchsorted(samples.way, (at - ahead - width, at - ahead + width))
            a = max(int(a), lower + 1)
            b = max(int(b), a + 1)
            x, y = samples.place(way, first)
            # Each sample stands for a straight stretch: the foot of the start on it is exact between samples.
            dx, dy = x - samples.x[a:b], y - samples.y[a:b]
            along = np.clip(dx * samples.east[a:b] + dy * samples.north[a:b], -width / 4, width / 4)
            off = (dx - along * samples.east[a:b]) ** 2 + (dy - along * samples.north[a:b]) ** 2
            best = int(np.argmin(off))
            at = samples.way[a + best] + along[best]
        sample = max(int(np.searchsorted(samples.way, at)), lower + 1)
        return min(sample, len(samples.z)), float(at), samples.move_at(float(at))


class _MovedOn:
    """Breaks at which work moves on to another piece although nothing is built upon yet."""

    def __init__(self, cut: _Cut) -> None:
        z, under = cut.samples.z, cut.under
        gaps = np.flatnonzero(cut.breaks.bead_off & (cut.breaks.sample > 0))
        here = cut.breaks.sample[gaps]
        ends = np.append(here, len(z))[1:]
        support = np.maximum.reduceat(under, here) if len(here) else np.empty(0, np.int64)
        steps = np.flatnonzero(np.abs(z[here] - z[here - 1]) >= 0.5 * cut.layer_height)
        self._here, self._support, self._gaps, self._ends = here[steps], support[steps], gaps[steps], ends[steps]
        self._breaks = cut.breaks
        # When each bead is first built upon.
        never = len(z)
        self._covered = np.full(len(z) + 1, never, np.int64)
        later = np.flatnonzero(under >= 0)[::-1]
        self._covered[under[later]] = later

    def within(self, first: int, end: int, before: int) -> tuple[int, float, int] | None:
        """The first such break inside the layer from `first` to `end`, whose predecessor began at `before`."""
        if before < 0:
            return None
        a, b = np.searchsorted(self._here, (first + 1, end))
        for k in np.flatnonzero(self._support[a:b] < before) + a:
            here, gap = int(self._here[k]), int(self._gaps[k])
            built = self._covered[here : int(self._ends[k])].min()
            if built < self._covered[first:here].min():
                return here, float(self._breaks.way[gap]), int(self._breaks.move[gap])
        return None


def _first_at_least(under: NDArray[np.int64], first: int, guess: int) -> int:
    """The first sample from `first` on that lies on one not before `first`, looked for in growing stretches."""
    at = first + 1
    while at < len(under):
        stretch = under[at : at + guess] >= first
        found = int(stretch.argmax())
        if stretch[found]:
            return at + found
        at += guess
        guess *= 2
    return len(under)


def _described(toolpath: Toolpath, starts: list[int]) -> Layers:
    """The layers that begin at these moves."""
    first_move = np.asarray(starts, np.int64)
    n = len(toolpath)
    index = np.zeros(n, np.int32)
    index[first_move] = 1
    np.cumsum(index, out=index)
    index -= 1
    rows = np.flatnonzero(toolpath.on)
    layer, length = index[rows], toolpath.length[rows]
    middle = (toolpath.z[rows] + toolpath.z[rows + 1]) / 2
    laid = np.bincount(layer, weights=length, minlength=len(first_move)).astype(np.float64)
    last = np.searchsorted(layer, np.arange(len(first_move)), side="right") - 1
    return Layers(
        index=index,
        z=np.bincount(layer, weights=length * middle, minlength=len(first_move)) / laid,
        length=laid,
        first_move=first_move,
        last_move=rows[last].astype(np.int64),
    )
