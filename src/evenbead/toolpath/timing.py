"""When each move is made: at the commanded speeds, or with an acceleration that makes the nozzle slow in corners.

**Along a straight move** at constant acceleration a, speed and way are tied by v² = v₀² + 2 a s. Counted in v²
everything is linear in s, so a speed limit at one corner limits every other corner along the path: the square
of the speed there is at most the square of the limit plus 2 a times the way between. The highest speeds that
respect all limits are therefore two running minima, one from the front and one from the back, and no loop.

**In a corner** the direction would have to change at once. The nozzle rounds it instead, on an arc that leaves
the first move and joins the second. An arc of radius R that touches both legs of a corner with turn angle θ
begins and ends R tan(θ/2) before and after the corner, and passes it at a distance of R / cos(θ/2) - R. Held
below the allowed deviation d, and within half of each move (the other half belongs to the next corner), that is

    R = min( d cos(θ/2) / (1 - cos(θ/2)),  min(L₁, L₂) / (2 tan(θ/2)) ),

and with the acceleration turned fully inward, v² / R = a, the corner may be taken at v = √(a R). For a circle
in many chords the second term is the radius of the circle, whatever the number of chords: the speed
on a curve does not depend on how finely it was cut up.

Source: plane geometry and uniformly accelerated motion, derived above.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from evenbead.errors import InputRefused

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from evenbead.toolpath.model import Bools, Floats, Toolpath


@dataclass(frozen=True, slots=True, kw_only=True)
class Timing:
    """When each move of a toolpath is made.

    start:     (n,) s     from the start of the path
    duration:  (n,) s     of the move, with the dwell in its row
    speed:     (n,) m/s   mean over the move, dwell excluded; NaN where there is no length
    entry:     (n,) m/s   at the start of the move; the commanded speed where no acceleration is given
    exit:      (n,) m/s   at its end
    top:       (n,) m/s   the highest reached in between
    """

    start: Floats
    duration: Floats
    speed: Floats
    entry: Floats
    exit: Floats
    top: Floats
    on_time: float
    """Time with the bead on. [s]"""
    travel_time: float
    """Time moving with the bead off. [s]"""
    dwell_time: float
    """Time standing still because the file says so. [s]"""
    assumed: tuple[str, ...] = ()
    """Sentences on the speeds that the file did not give."""

    def __post_init__(self) -> None:
        for column in (self.start, self.duration, self.speed, self.entry, self.exit, self.top):
            column.setflags(write=False)

    @property
    def total(self) -> float:
        """Time from the first move to the end of the last. [s]"""
        return float(self.start[-1] + self.duration[-1]) if len(self.start) else 0.0


def timing_of(
    toolpath: Toolpath,
    *,
    speed: float | None = None,
    rapid_speed: float | None = None,
    acceleration: float | None = None,
    corner_deviation: float = 0.001,
) -> Timing:
    """When each move is made.

    Parameters
    ----------
    toolpath : Toolpath
        The moves; commanded speeds may be missing.
    speed : float, optional
        Taken where the file gives none. [m/s]
    rapid_speed : float, optional
        Of positioning moves. Without it they are taken at the feed speed in force. [m/s]
    acceleration : float, optional
        The most the machine changes its velocity by, along the path and across it. Without it every speed is
        reached at once. [m/s^2]
    corner_deviation : float
        How far the nozzle may cut a corner. 1 mm is an assumption (no source), small against any bead. [m]

    Returns
    -------
    timing : Timing

    Raises
    ------
    InputRefused
        A move has no speed, and none is given to take instead.
    """
    commanded, assumed = _commanded(toolpath, speed=speed, rapid_speed=rapid_speed)
    moving = toolpath.length > 0
    if acceleration is None:
        under_way = np.divide(toolpath.length, commanded, out=np.zeros(len(toolpath)), where=moving)
        entry = exit_ = top = np.where(moving, commanded, 0.0)
    else:
        under_way, entry, exit_, top = _accelerated(
            toolpath, commanded, acceleration=acceleration, corner_deviation=corner_deviation
        )
    duration = under_way + toolpath.dwell
    end = np.cumsum(duration)
    on_time = float(under_way[toolpath.on].sum())
    return Timing(
        start=np.concatenate(([0.0], end[:-1])) if len(end) else end,
        duration=duration,
        speed=np.divide(toolpath.length, under_way, out=np.full(len(toolpath), np.nan), where=moving),
        entry=entry,
        exit=exit_,
        top=top,
        on_time=on_time,
        travel_time=float(under_way.sum()) - on_time,
        dwell_time=float(toolpath.dwell.sum()),
        assumed=assumed,
    )


def moments_along(
    toolpath: Toolpath, timing: Timing, moves: NDArray[np.int64], share: Floats, *, acceleration: float | None = None
) -> Floats:
    """When the nozzle passes places within moves, each given by the share of its move's length that lies before it.

    Parameters
    ----------
    toolpath : Toolpath
        The path. [-]
    timing : Timing
        When each of its moves is made. [s]
    moves : (m,) int array
        Moves, by their index. [-]
    share : (m,) array
        From 0 at the start of the move to 1 at its end. [1]
    acceleration : float, optional
        That the timing was made with. [m/s^2]

    Returns
    -------
    moment : (m,) array
        From the start of the path. [s]

    Source: uniformly accelerated motion.
    """
    under_way = timing.duration[moves] - toolpath.dwell[moves]
    if acceleration is None:
        return np.asarray(timing.start[moves] + share * under_way)
    entry, top, leaving = timing.entry[moves], timing.top[moves], timing.exit[moves]
    before = share * toolpath.length[moves]
    after = toolpath.length[moves] - before
    speeding_up, slowing_down = (top**2 - end**2 for end in (entry, leaving))
    rising = np.maximum(np.sqrt(entry**2 + 2 * acceleration * before) - entry, 0.0) / acceleration
    falling = np.maximum(np.sqrt(leaving**2 + 2 * acceleration * after) - leaving, 0.0) / acceleration
    steady = np.divide(before - speeding_up / (2 * acceleration), top, out=np.zeros(len(moves)), where=top > 0)
    passed = np.where(
        2 * acceleration * before <= speeding_up,
        rising,
        np.where(2 * acceleration * after <= slowing_down, under_way - falling, (top - entry) / acceleration + steady),
    )
    return np.asarray(timing.start[moves] + np.clip(passed, 0.0, under_way))


def _commanded(toolpath: Toolpath, *, speed: float | None, rapid_speed: float | None) -> tuple[Floats, tuple[str, ...]]:
    """The commanded speed of every move, and what had to be assumed for it."""
    moving = toolpath.length > 0
    rapid = toolpath.rapid & moving
    commanded = toolpath.speed.copy()
    assumed = []
    if rapid_speed is not None:
        commanded[rapid] = rapid_speed
    missing = moving & ~(commanded > 0)  # NaN, zero and below
    if speed is not None and (missing & ~rapid).any():
        commanded[missing & ~rapid] = speed
        assumed.append(f"{_moves(missing & ~rapid)} without a speed in the file made at the job's speed")
    if rapid_speed is None and rapid.any():
        commanded[missing & rapid] = _in_force(commanded, moving & ~rapid, missing & rapid, otherwise=speed)
        assumed.append(f"{_moves(rapid)} (positioning) made at the feed speed in force, as no rapid speed is given")
    missing = moving & ~(commanded > 0)
    if missing.any():
        first = int(np.argmax(missing))
        raise InputRefused.because(
            f"no speed for {_moves(missing)}, this one first",
            expected="expected a feed word above zero in the file, or printing.speed in the job",
            file=toolpath.source,
            line=int(toolpath.line[first]) or None,
        )
    return commanded, tuple(assumed)


def _in_force(commanded: Floats, feeds: Bools, wanted: Bools, *, otherwise: float | None) -> Floats:
    """The feed speed last commanded before each wanted move; before the first one, the first."""
    known = np.flatnonzero(feeds & (commanded > 0))
    if known.size == 0:
        return np.full(int(wanted.sum()), np.nan if otherwise is None else otherwise)
    before = np.searchsorted(known, np.flatnonzero(wanted)) - 1
    found: Floats = commanded[known[np.maximum(before, 0)]]
    return found


def _accelerated(
    toolpath: Toolpath, commanded: Floats, *, acceleration: float, corner_deviation: float
) -> tuple[Floats, Floats, Floats, Floats]:
    """Time under way, entry, exit and top speed of every move at limited acceleration."""
    rows = np.flatnonzero(toolpath.length > 0)
    length, cruise = toolpath.length[rows], commanded[rows] ** 2
    limit = np.zeros(len(rows) + 1)  # of the squared speed where moves meet; the path starts and ends at rest
    if len(rows) > 1:
        limit[1:-1] = acceleration * _corner_radius(toolpath, rows, deviation=corner_deviation)
        np.minimum(limit[1:-1], np.minimum(cruise[:-1], cruise[1:]), out=limit[1:-1])
        stood = np.concatenate(([0.0], np.cumsum(toolpath.dwell)))
        # A dwell anywhere after the start of one move and before the start of the next brings the nozzle to rest.
        limit[1:-1][stood[rows[1:]] > stood[rows[:-1]]] = 0.0
    squared = _reachable(limit, length, acceleration=acceleration)
    node = np.sqrt(squared)
    peak = np.minimum(cruise, (squared[:-1] + squared[1:]) / 2 + acceleration * length)
    top = np.sqrt(peak)
    changing = (2 * top - node[:-1] - node[1:]) / acceleration
    steady = np.maximum(length - (2 * peak - squared[:-1] - squared[1:]) / (2 * acceleration), 0.0) / top
    columns = np.zeros((4, len(toolpath)))
    columns[:, rows] = changing + steady, node[:-1], node[1:], top
    return columns[0], columns[1], columns[2], columns[3]


def _reachable(limit: Floats, length: Floats, *, acceleration: float) -> Floats:
    """The highest squared speeds that respect every limit, from the front and from the back."""
    gained = 2 * acceleration * np.concatenate(([0.0], np.cumsum(length)))
    forward = np.minimum.accumulate(limit - gained) + gained
    backward = np.minimum.accumulate((limit + gained)[::-1])[::-1] - gained
    # Rounding may leave a hair above the limit or below zero.
    return np.clip(np.minimum(forward, backward), 0.0, limit)


def _corner_radius(toolpath: Toolpath, rows: np.ndarray[tuple[int], np.dtype[np.intp]], *, deviation: float) -> Floats:
    """Radius of the arc that rounds the corner between each move and the next. [m]"""
    direction = np.stack([np.diff(corner)[rows] for corner in (toolpath.x, toolpath.y, toolpath.z)])
    chord = np.sqrt(np.einsum("ij,ij->j", direction, direction))
    with np.errstate(divide="ignore", invalid="ignore"):
        direction /= chord
        # Sum and difference of the two unit directions keep their digits where the turn is slight.
        total, change = direction[:, 1:] + direction[:, :-1], direction[:, 1:] - direction[:, :-1]
        cosine = np.sqrt(np.einsum("ij,ij->j", total, total)) / 2
        sine = np.sqrt(np.einsum("ij,ij->j", change, change)) / 2
        shorter = np.minimum(toolpath.length[rows[1:]], toolpath.length[rows[:-1]])
        # 1 - cos = sin² / (1 + cos)
        radius = np.minimum(deviation * cosine * (1 + cosine) / sine**2, shorter / 2 * cosine / sine)
    # A curve that ends where it began, in one chord, has no direction: stop there.
    return np.where(np.isnan(radius), 0.0, radius)


def _moves(which: Bools) -> str:
    count = int(which.sum())
    return "1 move" if count == 1 else f"{count} moves"
