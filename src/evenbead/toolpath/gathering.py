"""From the rows that the kernels write to the columns of a `Program`.

The kernels fill a bench of fixed size. Whenever it is full its rows are put away, with arcs cut into chords, as a
stretch of compact columns; at the end the stretches are joined column by column, so that no more than one column is
held twice.
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
        self._corner = np.zeros((3, 1))
        self._stretches: dict[str, list[Array]] = {name: [] for name in Rows._fields}
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
        first = self._count
        begins = None
        if k := self.tally[interpreter.ARCS]:
            arcs = Arcs(*(np.asarray(column)[:k] for column in self.arcs))
            cut = with_chords(rows, arcs, corner=self._corner, deviation=self.chord)
            rows, begins = cut.rows, cut.begins
            self.found += cut.faults[:MOST_FAULTS]
        else:
            rows = {name: column.copy() for name, column in rows.items()}
        for name, column in rows.items():
            self._stretches[name].append(column)
        if self.tally[interpreter.SWITCHES]:
            self._keep_switches(begins)
        made = len(rows["x"])
        if made:
            self._corner = np.array([[rows[axis][-1]] for axis in "xyz"])
        self._count = first + made
        self.tally[interpreter.ROWS] = self.tally[interpreter.ARCS] = self.tally[interpreter.SWITCHES] = 0

    def columns(self) -> dict[str, Array]:
        """All rows, joined; the stretches are given up on the way."""
        self.put_away()
        joined: dict[str, Array] = {}
        for name in Rows._fields:
            stretches = self._stretches.pop(name)
            if name in {"x", "y", "z"}:
                stretches.insert(0, np.zeros(1))
            joined[name] = np.concatenate(stretches)
            stretches.clear()
        joined["rapid"] = joined["rapid"].view(np.bool_)
        return joined

    def switch_columns(self) -> Switches:
        """The M codes met, once all rows are put away."""
        if not self._codes:
            return Switches.none()
        return Switches(code=np.concatenate(self._codes).astype(np.int32), move=np.concatenate(self._moves))

    def _keep_switches(self, begins: Array | None) -> None:
        n = self.tally[interpreter.SWITCHES]
        row = np.array(self.switches.row[:n], np.int64)
        self._codes.append(np.array(self.switches.code[:n], np.int64))
        self._moves.append(self._count + (row if begins is None else begins[row]))


_ROW_KINDS: Final = dict.fromkeys(Rows._fields, "d") | {"rapid": "B", "line": "i"}
_ARC_KINDS: Final = dict.fromkeys(Arcs._fields, "d") | {"row": "q", "plane": "q"}
