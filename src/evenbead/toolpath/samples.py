"""Looks at the printed path at even distances, and what lies beneath each of them.

A path of a million short moves or of a thousand long ones is looked at in the same way: at places
about half a bead width apart, each standing for a short straight stretch. The way is counted level, as
seen from above, and only while the bead is on.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from evenbead.errors import InputRefused

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from evenbead.toolpath.model import Bools, Floats, Toolpath

    Indices = NDArray[np.int64]
    Shift = tuple[float, float]

# Shares of the layer height. A bead that lies this much higher lies on the other: anywhere, just over half,
# so that a crossing inside one turn of a spiral is no layer; right after a break in the file, a fifth, so that
# thin layers of an adaptive height are found.
LIES_ON = 0.55
LIES_ON_AFTER_BREAK = 0.2
_LONGEST = 1e8  # what a machine lays in a life [bead widths]
_DIRECTIONS = np.arange(36) * np.pi / 72  # a right angle in steps of 2.5 degrees
_ENOUGH_FOR_DIRECTIONS = 20_000
_MANY_IN_A_CELL = 40
"""Looks at a cell that are searched for a lower one; more in one cell are no print."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Samples:
    """Places along the printed path, in the order laid.

    x, y, z:      (s,) m     nozzle
    east, north:  (s,) -     level direction of travel, zero in a vertical move
    slope:        (s,) -     rise over level way, at most 1 either way
    way:          (s,) m     level length laid before
    run:          (s,) int   stretch of unbroken bead
    """

    x: Floats
    y: Floats
    z: Floats
    east: Floats
    north: Floats
    slope: Floats
    way: Floats
    run: Indices
    first_move: int
    _move: Indices
    """Printed moves."""
    _way_after: Floats
    """Level length laid up to the end of each printed move."""

    def place(self, way: float, sample: int) -> tuple[float, float]:
        """The place on the path after this much way, seen from a sample close by."""
        sample = min(sample, len(self.way) - 1)
        ahead = way - self.way[sample]
        return float(self.x[sample] + ahead * self.east[sample]), float(self.y[sample] + ahead * self.north[sample])

    def moves(self) -> tuple[Indices, Floats]:
        """The move on which each look falls, and the share of it that lies before: (s,) each."""
        k = np.minimum(np.searchsorted(self._way_after, self.way, side="right"), len(self._move) - 1)
        level = np.diff(self._way_after, prepend=0.0)[k]
        before = self.way - (self._way_after[k] - level)
        return self._move[k], np.clip(np.divide(before, level, out=np.full(len(k), 0.5), where=level > 0), 0.0, 1.0)

    def move_at(self, way: float) -> int:
        """The printed move that begins nearest to this way."""
        k = min(int(np.searchsorted(self._way_after, way)), len(self._move) - 1)
        begin = self._way_after[k - 1] if k else 0.0
        if way - begin > (self._way_after[k] - begin) / 2 and k + 1 < len(self._move):
            k += 1
        return int(self._move[k])


@dataclass(frozen=True, slots=True, kw_only=True)
class Looks:
    """Samples half a bead width apart, and what each lies on: what layers and intervals are both read from.

    strong, weak:  (s,) int   most recent sample that it lies on, by the larger and by the smaller rise; -1 for none
    """

    samples: Samples
    strong: Indices
    weak: Indices


def looks_of(toolpath: Toolpath, *, bead_width: float, layer_height: float) -> Looks:
    """Looks at a whole print, about every half bead width.

    Parameters
    ----------
    toolpath : Toolpath
        A path with at least one printed move.
    bead_width : float
        Beads closer than half of it, seen from above, lie on each other. [m]
    layer_height : float
        Nominal height of a layer. [m]

    Raises
    ------
    InputRefused
        The path is longer than any print.
    """
    if toolpath.path_length > _LONGEST * bead_width:
        raise InputRefused.because(
            f"the path is {toolpath.path_length / 1000:.4g} km long",
            expected="check the units of the toolpath and of the bead width",
            file=toolpath.source,
        )
    samples = samples_of(toolpath, spacing=bead_width / 2)
    rises = (LIES_ON * layer_height, LIES_ON_AFTER_BREAK * layer_height)
    strong, weak = beneath(samples, reach=bead_width / 2, rises=rises)
    return Looks(samples=samples, strong=strong, weak=weak)


@dataclass(frozen=True, slots=True, kw_only=True)
class Breaks:
    """Where the file itself breaks: the bead is off for a way, or the height steps.

    way:       (b,) m      level length laid before
    move:      (b,) int    first printed move after
    sample:    (b,) int    first sample after
    bead_off:  (b,) bool   the bead was off; else a step in height
    at:        (s + 1,) int   break right before each sample, -1 for none
    """

    way: Floats
    move: Indices
    sample: Indices
    bead_off: Bools
    at: Indices


def samples_of(toolpath: Toolpath, *, spacing: float) -> Samples:
    """Looks at the printed path about this far apart, at least one in each run of bead."""
    move = np.flatnonzero(toolpath.on)
    level = _level_lengths(toolpath)[move]
    after = np.cumsum(level)
    first = _run_starts(toolpath, move)
    begin = after[first] - level[first]
    extent = np.diff(np.append(begin, after[-1]))
    # The small allowance keeps the count when a move is cut in pieces and the sum is rounded differently.
    count = np.maximum(np.ceil(extent / spacing - 1e-6), 1).astype(np.int64)
    run = np.repeat(np.arange(len(first)), count)
    within = np.arange(len(run)) - np.repeat(np.cumsum(count) - count, count)
    way = begin[run] + (within + 0.5) * (extent / count)[run]
    k = np.minimum(np.searchsorted(after, way, side="right"), len(move) - 1)
    flat = level[k] == 0
    over = np.where(flat, 1.0, level[k])
    share = np.where(flat, 0.5, (way - after[k] + level[k]) / over)
    corner = move[k]
    x, y, z = toolpath.x[corner], toolpath.y[corner], toolpath.z[corner]
    dx, dy, dz = toolpath.x[corner + 1] - x, toolpath.y[corner + 1] - y, toolpath.z[corner + 1] - z
    return Samples(
        x=x + share * dx,
        y=y + share * dy,
        z=z + share * dz,
        east=np.where(flat, 0.0, dx / over),
        north=np.where(flat, 0.0, dy / over),
        slope=np.where(flat, 0.0, np.clip(dz / over, -1.0, 1.0)),
        way=way,
        run=run,
        first_move=int(move[0]),
        _move=move,
        _way_after=after,
    )


def breaks_of(toolpath: Toolpath, samples: Samples, *, rise: float) -> Breaks:
    """The breaks of a file: bead off, or a step in height of at least `rise` that is steeper than 30 degrees."""
    move, after = samples._move, samples._way_after  # noqa: SLF001  (one module, one idea)
    begin = np.concatenate(([0.0], after[:-1]))
    gaps = _run_starts(toolpath, move)[1:]
    steps = _step_starts(toolpath, move, gaps, rise=rise)
    where = np.union1d(gaps, steps)
    sample = np.searchsorted(samples.way, begin[where])
    at = np.full(len(samples.way) + 1, -1, np.int64)
    at[sample] = np.arange(len(where))
    return Breaks(
        way=begin[where], move=move[where], sample=sample, bead_off=np.isin(where, gaps, assume_unique=True), at=at
    )


def beneath(samples: Samples, *, reach: float, rises: tuple[float, ...], shift: Shift = (0.0, 0.0)) -> Indices:
    """The most recent sample that each sample lies on, a row for each of the least rises; -1 for none.

    Parameters
    ----------
    samples : Samples
        Looks at the path, in the order laid.
    reach : float
        Samples closer than this, seen from above, can lie on each other. [m]
    rises : (float, ...)
        Least difference in height, the largest first. The height of the lower bead is carried on along
        its slope to the place of the upper one. [m]
    shift : (float, float)
        By what share of a cell the grid is moved each way. Two looks in reach share a cell in at least one of the
        four grids moved by half a cell or not; a single grid may part them. [1]
    """
    order, cell = _by_cell(samples, angle=_across(samples), size=2 * reach, shift=shift)
    x, y, z = samples.x[order], samples.y[order], samples.z[order]
    uphill_x, uphill_y = (samples.slope * samples.east)[order], (samples.slope * samples.north)[order]
    # Beads of one run lie on each other only if some way was made between them; those of two runs always may.
    apart = (samples.way + 8 * reach * samples.run)[order]
    # Carried along the steepest slope in reach, less than this can't become the smallest rise: most pairs end here.
    least = rises[-1] - reach * float(np.abs(samples.slope).max())
    lower_of = np.full((len(rises), len(order)), -1, np.int64)
    open_ = np.flatnonzero(cell[1:] == cell[:-1]) + 1
    for back in range(1, _MANY_IN_A_CELL):
        above = np.flatnonzero(z[open_] - z[open_ - back] > least)
        upper = open_[above]
        lower = upper - back
        dx, dy = x[upper] - x[lower], y[upper] - y[lower]
        rise = z[upper] - z[lower] - dx * uphill_x[lower] - dy * uphill_y[lower]
        near = (dx * dx + dy * dy <= reach * reach) & (apart[upper] - apart[lower] > 4 * reach)
        for row, enough in enumerate(rises):
            # Going back in time, the first one met is the most recent.
            lies = upper[near & (rise >= enough) & (lower_of[row, upper] < 0)]
            lower_of[row, lies] = lies - back
        # The largest rise is the last to be met: who has it is done.
        open_ = open_[(lower_of[0, open_] < 0) & (open_ > back)]
        open_ = open_[cell[open_] == cell[open_ - back - 1]]
        if open_.size == 0:
            break
    found = np.full((len(rises), len(order)), -1, np.int64)
    for row, lower in enumerate(lower_of):
        have = np.flatnonzero(lower >= 0)
        found[row, order[have]] = order[lower[have]]
    return found


def _across(samples: Samples) -> float:
    """The angle of a grid whose lines the path crosses rather than follows.

    A wall along the border between two cells would lie now in one, now in the other, and never on itself.
    """
    thin = slice(None, None, len(samples.way) // _ENOUGH_FOR_DIRECTIONS + 1)
    heading = np.arctan2(samples.north[thin], samples.east[thin]) % (np.pi / 2)
    share = np.histogram(heading, bins=len(_DIRECTIONS), range=(0.0, np.pi / 2))[0]
    # Following a line of the grid weighs most, and crossing it at a small angle still much.
    between = _DIRECTIONS[:, None] - (_DIRECTIONS + _DIRECTIONS[1] / 2)
    weight = 1 / (np.sin(2 * between) ** 2 + 0.01)
    return float(_DIRECTIONS[np.argmin(weight @ share)])


def _by_cell(samples: Samples, *, angle: float, size: float, shift: Shift) -> tuple[Indices, Indices]:
    """Samples ordered by cell and within it by time, and the cell of each."""
    cosine, sine = np.cos(angle) / size, np.sin(angle) / size
    x, y = samples.x - samples.x[0], samples.y - samples.y[0]
    column = np.floor(cosine * x + sine * y + shift[0]).astype(np.int64)
    row = np.floor(cosine * y - sine * x + shift[1]).astype(np.int64)
    bits = max(len(column) - 1, 1).bit_length()
    # Cells share a number now and then; their samples are far apart and never taken for neighbours.
    number = ((column * 73_856_093) ^ (row * 19_349_663)) & ((1 << (62 - bits)) - 1)
    packed = np.sort((number << bits) | np.arange(len(column)))
    return packed & ((1 << bits) - 1), packed >> bits


def _level_lengths(toolpath: Toolpath) -> Floats:
    """Length of each move as seen from above. [m]"""
    dx, dy = np.diff(toolpath.x), np.diff(toolpath.y)
    found: Floats = np.sqrt(dx * dx + dy * dy)
    return found


def _run_starts(toolpath: Toolpath, move: Indices) -> Indices:
    """Which printed moves come after a way without bead, the first one included."""
    travelled = np.cumsum(np.where(toolpath.on, 0.0, toolpath.length))[move]
    return np.flatnonzero(np.diff(travelled, prepend=-1.0) > 0)


def _step_starts(toolpath: Toolpath, move: Indices, gaps: Indices, *, rise: float) -> Indices:
    """Which printed moves begin a steep change of height; pieces of one step count once."""
    climb = toolpath.z[move + 1] - toolpath.z[move]
    steep = np.abs(climb) > 0.5 * toolpath.length[move]
    if not steep.any():
        return np.empty(0, np.int64)
    gap = np.zeros(len(move), bool)
    gap[gaps] = True
    goes_on = np.zeros(len(move), bool)
    goes_on[1:] = steep[1:] & steep[:-1] & ~gap[1:]
    start = np.flatnonzero(~goes_on)
    height = np.add.reduceat(np.where(steep, climb, 0.0), start)
    return start[steep[start] & (np.abs(height) >= rise)]
