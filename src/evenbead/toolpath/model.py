"""The toolpath as columns: what a file commands (`Program`) and what that lays (`Toolpath`).

A path of a million moves is a handful of NumPy columns, never a list of objects. Corners are shared: move ``i``
goes from corner ``i`` to corner ``i + 1``. Arcs and splines stand as chords that stay within a stated distance
of the true curve, while `length` is the true length of the piece of curve each chord stands for: time and
litres are therefore exact, and only pictures and neighbourhoods are approximate.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Self

import numpy as np

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]
    Bools = NDArray[np.bool_]
    Lines = NDArray[np.int32]


@dataclass(frozen=True, slots=True, kw_only=True)
class Switches:
    """The M codes of a program in the order met, so that a pair of them can switch the bead.

    code:  (k,) the number after M
    move:  (k,) index of the first move made after the code
    """

    code: NDArray[np.int32]
    move: NDArray[np.int64]

    @classmethod
    def none(cls) -> Self:
        return cls(code=np.empty(0, np.int32), move=np.empty(0, np.int64))


@dataclass(frozen=True, slots=True, kw_only=True)
class Program:
    """What a file commands, move by move, before it is decided when the bead is on.

    x, y, z:   (n + 1,) m     corners
    length:    (n,) m         along the true curve; 0 for a dwell or an extrusion in place
    speed:     (n,) m/s       commanded along the path; NaN where the file gives none
    rapid:     (n,) bool      a positioning move (G0), whose speed the machine knows and the file does not
    dwell:     (n,) s         time stood still in this row
    advance:   (n,) m         forward travel of the extrusion axis during the move
    line:      (n,) int32     line of the file, from 1; 0 where the file has no lines (a drawing)
    flag:      (n,) bool or None   the file's own printing mark (point lists and drawings have one)
    """

    source: str
    x: Floats
    y: Floats
    z: Floats
    length: Floats
    speed: Floats
    rapid: Bools
    dwell: Floats
    advance: Floats
    line: Lines
    flag: Bools | None = None
    switches: Switches = field(default_factory=Switches.none)
    notes: tuple[str, ...] = ()
    """Sentences for the person about what the reader met and how it took it."""

    def __post_init__(self) -> None:
        _check_columns(self, corners=("x", "y", "z"), rows=("length", "speed", "rapid", "dwell", "advance", "line"))

    def __len__(self) -> int:
        return len(self.length)


@dataclass(frozen=True, slots=True, kw_only=True)
class Toolpath:
    """Moves with the bead on or off. Columns as in `Program`, and:

    on:   (n,) bool   the bead is laid during this move
    why:  how it was decided when the bead is on, in a sentence
    """

    source: str
    x: Floats
    y: Floats
    z: Floats
    length: Floats
    speed: Floats
    rapid: Bools
    dwell: Floats
    on: Bools
    line: Lines
    why: str
    notes: tuple[str, ...] = ()

    def __post_init__(self) -> None:
        _check_columns(self, corners=("x", "y", "z"), rows=("length", "speed", "rapid", "dwell", "on", "line"))

    def __len__(self) -> int:
        return len(self.length)

    @property
    def path_length(self) -> float:
        """Length laid. [m]"""
        return float(self.length[self.on].sum())

    @property
    def travel_length(self) -> float:
        """Length moved without laying. [m]"""
        return float(self.length[~self.on].sum())


def _check_columns(path: Program | Toolpath, *, corners: tuple[str, ...], rows: tuple[str, ...]) -> None:
    n = len(path.length)
    for names, expected in ((corners, n + 1), (rows, n)):
        for name in names:
            column = getattr(path, name)
            if column.shape != (expected,):
                raise ValueError(f"{name} has shape {column.shape}, expected ({expected},)")
            column.setflags(write=False)
