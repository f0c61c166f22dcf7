"""Machine code (G-code) to a `Program`: the file, its encoding, its end, and what to tell the person about it.

The file is read in pieces, so that its size does not matter. `words` and `interpreter` say how it is understood.
"""

from __future__ import annotations

from itertools import chain
from typing import TYPE_CHECKING, Any, Final, Literal

import numpy as np

from evenbead.errors import Fault, InputRefused
from evenbead.toolpath import interpreter, kernels, refusals, words
from evenbead.toolpath.gathering import MOST_FAULTS, Gathering
from evenbead.toolpath.model import Program

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator
    from pathlib import Path
    from typing import BinaryIO

    from evenbead.toolpath.kernels import Kernels

_PIECE: Final = 4 * 2**20
_BYTE_ORDER_MARK: Final = b"\xef\xbb\xbf"
_WIDE_MARKS: Final = (b"\xff\xfe", b"\xfe\xff")


def read_machine_code(
    path: Path,
    *,
    dwell_unit: Literal["s", "ms"] = "s",
    chord: float = 0.0001,
    deleted_blocks: Literal["skip", "run"] = "skip",
    progress: Callable[[int, int], None] | None = None,
) -> Program:
    """What a file of machine code commands, move by move.

    Read are G0 to G3 with arcs by centre and by radius in all three planes, dwell, units, absolute and relative
    coordinates, arc centres and extrusion, offsets (G10 L2, G53 to G59.3, G92), feed per minute and inverse time. A
    code that would change the path in a way the file alone does not tell is refused, never guessed.

    Parameters
    ----------
    path : Path
        The file: ASCII, or UTF-8 or Latin-1 in its comments.
    dwell_unit : "s" or "ms"
        Of the P of a G4: seconds in RS-274/NGC (3.5.4), milliseconds on some machines.
    chord : float
        How far the chords of an arc may lie from it. [m]
    deleted_blocks : "skip" or "run"
        What to do with blocks marked by a slash. Machines have a switch for it; the mark is made to leave them out.
    progress : callable, optional
        Called with bytes done and bytes in all.

    Returns
    -------
    program : Program
        Places are those of the machine, which starts at X0 Y0 Z0.

    Raises
    ------
    InputRefused
        With every fault found, up to the first twenty.

    Source: NISTIR 6556, the RS274/NGC interpreter, version 3 (Kramer, Proctor, Messina 2000), from memory.
    """
    if not chord > 0:
        raise ValueError(f"chord is {chord}, expected a length above 0")
    try:
        with path.open("rb") as file:
            reading = _Reading(file, source=str(path), size=path.stat().st_size, progress=progress)
            return reading.program(
                dwell=1.0 if dwell_unit == "s" else 0.001, chord=chord, skip=deleted_blocks == "skip"
            )
    except OSError as cause:
        raise InputRefused.because(
            f"can't be read: {cause.strerror or cause}", expected="expected a file of machine code", file=str(path)
        ) from cause


def _suitable(size: int) -> Kernels:
    """Compiled kernels where they pay, or where they are at hand already."""
    pays_from = kernels.PAYS_FROM if kernels.compiled.cache_info().currsize == 0 else kernels.PAYS_AT_HAND_FROM
    return (kernels.compiled() if size >= pays_from else None) or kernels.plain()


class _Reading:
    """One file being read."""

    def __init__(self, file: BinaryIO, *, source: str, size: int, progress: Callable[[int, int], None] | None) -> None:
        self.file = file
        self.source = source
        self.size = size
        self.progress = progress
        self.cut_short = False
        """The last line has no end."""

    def program(self, *, dwell: float, chord: float, skip: bool) -> Program:
        pieces = self._pieces()
        first = next(pieces)
        # The kernels are chosen only now, so that a file that is refused at sight is refused at once.
        gathering = Gathering(_suitable(self.size), dwell=dwell, chord=chord, skip=skip)
        for text, stop in chain([first], pieces):
            gathering.read(text, stop)
            if gathering.over:
                break
        columns = gathering.columns()
        self._refuse_what_was_found(gathering)
        if not len(columns["length"]):
            raise self._refusal("there is no move in it", expected="expected machine code with G0, G1, G2 or G3")
        notes = (*_missing_feed(columns), *self._notes(gathering))
        return Program(source=self.source, switches=gathering.switch_columns(), notes=notes, **columns)

    def _pieces(self) -> Iterator[tuple[bytes, int]]:
        """Text whose lines are all ended up to the place that comes with it."""
        rest = b""
        done = 0
        empty = True
        while piece := self.file.read(_PIECE):
            if done == 0:
                self._check_encoding(piece)
            done += len(piece)
            if empty:
                piece = piece.removeprefix(_BYTE_ORDER_MARK)
            empty = empty and not piece
            if b"\0" in piece:
                raise self._refusal("this is not a text file", expected="expected machine code as plain text")
            text = rest + piece if rest else piece
            stop = text.rfind(b"\n") + 1
            # A CR at the very end may be half of a line end, so it waits for what follows.
            stop = max(stop, text.rfind(b"\r", stop, len(text) - 1) + 1)
            rest = text[stop:]
            if len(rest) > words.LONGEST_LINE:
                # It will be refused for this line; what comes after need not be read.
                self.size = done
                rest = text[: stop + words.LONGEST_LINE + 1]
                break
            if stop:
                yield text, stop
            if self.progress is not None:
                self.progress(min(done, self.size), self.size)
        if empty:
            raise self._refusal("the file is empty", expected="expected machine code")
        if rest:
            self.cut_short = not rest.endswith(b"\r")
            yield (rest + b"\n" if self.cut_short else rest), len(rest) + self.cut_short

    def _check_encoding(self, piece: bytes) -> None:
        if piece.startswith(_WIDE_MARKS):
            raise self._refusal(
                "the text is in UTF-16 or UTF-32", expected="expected ASCII, UTF-8 or Latin-1; save it again as UTF-8"
            )

    def _refuse_what_was_found(self, gathering: Gathering) -> None:
        found = sorted(gathering.found, key=lambda one: one[1])[:MOST_FAULTS]
        # One control character explains all the rest, and the person needs to hear only of that.
        control = [one for one in found if one[0] == words.CONTROL_CHARACTER][:1]
        faults = [refusals.fault(kind, int(line), detail, file=self.source) for kind, line, detail in control or found]
        tally = gathering.tally
        if len(faults) >= MOST_FAULTS:
            faults.append(Fault(what=f"reading stopped after {MOST_FAULTS} faults", file=self.source))
        elif tally[words.OPENED] and not tally[words.CLOSED] and not tally[interpreter.ENDED]:
            faults.append(
                Fault(
                    what="the file is cut off: it begins with % and has no end",
                    expected="expected a second %, M2 or M30 at the end",
                    file=self.source,
                    line=int(tally[words.LINE]) - 1,
                )
            )
        if faults:
            raise InputRefused(faults)

    def _notes(self, gathering: Gathering) -> Iterator[str]:
        mode, tally = gathering.machine.mode, gathering.tally
        for place, sentence in _NOTES.items():
            if mode[place]:
                yield f"Line {mode[place]}: {sentence}"
        if not mode[interpreter.UNITS_SEEN]:
            yield "No G20 or G21 in the file: lengths are taken as millimetres."
        if int(mode[interpreter.SYSTEMS_USED]).bit_count() > 1 and not mode[interpreter.TABLE_SET]:
            yield (
                "More than one of the coordinate systems G54 to G59.3 is used and the file sets none of them (G10 L2): "
                "all are taken to have the machine's zero."
            )
        if tally[words.DELETED]:
            yield f"Blocks marked with a slash were left out ({tally[words.DELETED]} of them)."
        if self.cut_short and not (tally[interpreter.ENDED] or tally[words.CLOSED]):
            yield "The last line has no line end, and no M2 or M30 says that the program is over: is the file whole?"

    def _refusal(self, what: str, *, expected: str) -> InputRefused:
        return InputRefused.because(what, expected=expected, file=self.source)


def _missing_feed(columns: dict[str, Any]) -> Iterator[str]:
    """A note, if there are feed moves whose speed the file does not give."""
    unknown = np.isnan(columns["speed"]) & ~columns["rapid"] & (columns["length"] > 0)
    if unknown.any():
        first = columns["line"][np.argmax(unknown)]
        yield f"Line {first}: feed moves before any F; their speed must come from the job."


_NOTES: Final = {
    interpreter.ROTARY_SEEN: "words A, B, C, U, V and W are left aside; the path is that of X, Y and Z.",
    interpreter.HOME_SEEN: "home (G28, G30) is taken as the machine's X0 Y0 Z0.",
    interpreter.EXTRUSION_MIXED: "E is taken as absolute, as M82 says, although G91 is in force.",
    interpreter.PUSH_WITHOUT_FEED: "E moves alone before any F is given; that is taken to need no time.",
    interpreter.OWN_WORDS: "words after an M code from M100 up are taken as belonging to it, not as a move.",
}
