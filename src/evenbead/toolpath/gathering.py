"""From the rows that the kernels write to the columns of a `Program`.

The kernels fill a bench of fixed size. Whenever it is full its rows are put away, with arcs cut into chords, at the end
of columns that grow where they are, so that no row is ever held twice.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, Final

import numpy as np

from evenbead.toolpath import interpreter, words
from evenbead.toolpath.chords import with_chords
from evenbead.toolpath.interpreter import Arcs, Rows, SwitchRows
from evenbead.toolpath.modal import switched_on
from evenbead.toolpath.model import Switches
from evenbead.toolpath.words import Faults, Longs, Words

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from evenbead.toolpath.kernels import Kernels

    Array = NDArray[Any]
    Found = tuple[int, int, float]

MOST_FAULTS: Final = 20
"""Faults that are reported; a file with more has one cause, and no one reads on."""
_LONG_NUMBERS: Final = 4096
_SWITCHES: Final = 4096
_ARCS: Final = 4096  # few enough for their chords to be a small part of the path


class Gathering:
    """One reading: the machine, the bench, what was put away, and what was found wrong."""

    def __init__(self, kernels: Kernels, *, dwell: float, chord: float, skip: bool) -> None:
        column, state = kernels.column, kernels.state
        self.kernels = kernels
        self.chord = chord
        self.skip = int(skip)
        self.machine = switched_on(kernels, dwell=dwell)
        self.tally = state("q", interpreter.TALLY)
        self.tally[words.LINE] = 1
        self.powers = state("d", len(words.POWERS_OF_TEN))
        self.powers[:] = np.array(words.POWERS_OF_TEN) if isinstance(self.powers, np.ndarray) else words.POWERS_OF_TEN
        self.words = Words(letter=column("B", kernels.words), value=column("d", kernels.words))
        self.longs = Longs(*(column("q", _LONG_NUMBERS) for _ in Longs._fields))
        self.faults = Faults(
            code=column("q", MOST_FAULTS), line=column("q", MOST_FAULTS), detail=column("d", MOST_FAULTS)
        )
        self.rows = Rows(*(column(_ROW_KINDS[name], kernels.rows) for name in Rows._fields))
        self.arcs = Arcs(*(column(_ARC_KINDS[name], _ARCS) for name in Arcs._fields))
        self.switches = SwitchRows(code=column("q", _SWITCHES), row=column("q", _SWITCHES))
        self.found: list[Found] = []
        self._columns = {name: np.zeros(_CORNERS[name], kind) for name, kind in _ROW_KINDS.items()}
        self._codes: list[Array] = []
        self._moves: list[Array] = []
        self._count = 0

    @property
    def over(self) -> bool:
        """The program has ended, or there is no point in reading on."""
        return bool(self.tally[interpreter.ENDED] or self.tally[words.CLOSED]) or len(self.found) >= MOST_FAULTS

    def read(self, data: bytes, stop: int) -> None:
        """Do the lines of this text up to here."""
        text = self.kernels.text(data)
        at = 0
        while at < stop and not self.over:
            at, count = self.kernels.scan(
                text, at, stop, self.words, self.longs, self.faults, self.tally, self.powers, self.skip
            )
            for long in range(self.tally[words.LONGS]):
                digits = bytes(data[self.longs.start[long] : self.longs.stop[long]])
                self.words.value[self.longs.word[long]] = float(digits.translate(None, b" \t"))
            self._interpret(count)
            self._collect_faults()

    def _interpret(self, count: int) -> None:
        word = 0
        while True:
            word = self.kernels.interpret(
                self.words, word, count, self.machine, self.rows, self.arcs, self.switches, self.faults, self.tally
            )
            if word >= count or self.tally[interpreter.ENDED]:
                return
            self.put_away()

    def _collect_faults(self) -> None:
        count = self.tally[words.FAULTS]
        columns = (self.faults.code, self.faults.line, self.faults.detail)
        self.found += zip(*(column[:count] for column in columns), strict=True)
        self.tally[words.FAULTS] = 0

    def put_away(self) -> None:
        """Cut the arcs on the bench into chords, and keep its rows."""
        n = self.tally[interpreter.ROWS]
        rows = {name: np.asarray(column)[:n] for name, column in zip(Rows._fields, self.rows, strict=True)}
        begins = np.arange(n + 1)
        if k := self.tally[interpreter.ARCS]:
            arcs = Arcs(*(np.asarray(column)[:k] for column in self.arcs))
            corner = np.array([[self._columns[axis][self._count]] for axis in "xyz"])
            cut = with_chords(rows, arcs, corner=corner, deviation=self.chord)
            rows, begins = cut.rows, cut.begins
            self.found += cut.faults[:MOST_FAULTS]
        if k := self.tally[interpreter.SWITCHES]:
            self._codes.append(np.array(self.switches.code[:k], np.int32))
            self._moves.append(self._count + begins[np.array(self.switches.row[:k])])
        self._keep(rows)
        self.tally[interpreter.ROWS] = self.tally[interpreter.ARCS] = self.tally[interpreter.SWITCHES] = 0

    def _keep(self, rows: dict[str, Array]) -> None:
        old = self._count
        self._count += len(rows["x"])
        for name, column in self._columns.items():
            start, stop = old + _CORNERS[name], self._count + _CORNERS[name]
            if stop > len(column):
                column.resize(max(stop, len(column) + len(column) // 4), refcheck=False)
            column[start:stop] = rows[name]

    def columns(self) -> dict[str, Array]:
        """All rows, as the columns of a `Program`; nothing can be gathered after."""
        self.put_away()
        for name, column in self._columns.items():
            column.resize(self._count + _CORNERS[name], refcheck=False)
        return self._columns | {"rapid": self._columns["rapid"].view(np.bool_)}

    def switch_columns(self) -> Switches:
        """The M codes met, once all rows are put away."""
        if not self._codes:
            return Switches.none()
        return Switches(code=np.concatenate(self._codes), move=np.concatenate(self._moves))


_ROW_KINDS: Final = dict.fromkeys(Rows._fields, "d") | {"rapid": "B", "line": "i"}
_ARC_KINDS: Final = dict.fromkeys(Arcs._fields, "d") | {"row": "q", "plane": "q"}
_CORNERS: Final = dict.fromkeys(Rows._fields, 0) | {"x": 1, "y": 1, "z": 1}
"""How many more corners than rows a column has: the first, where the machine starts."""
