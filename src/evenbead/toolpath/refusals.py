"""What is wrong with machine code, in words: the kernels write numbers, this says what they mean."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from evenbead.errors import Fault
from evenbead.toolpath import arcs, interpreter, words
from evenbead.toolpath.modal import REFUSED_G

if TYPE_CHECKING:
    from collections.abc import Callable


def _letter(detail: float) -> str:
    return chr(int(detail))


def _g(detail: float) -> str:
    return f"G{detail:g}"


def _character(detail: float) -> str:
    byte = int(detail)
    return f'"{chr(byte)}"' if 32 <= byte < 127 else f"the byte 0x{byte:02X}"


def _millimetres(detail: float) -> str:
    return f"{detail * 1000:.3g} mm"


_MOTION = "expected G0, G1, G2 or G3 in this block or before it"
_ARC = "expected the centre by I, J, K (two of them, those of the plane) or the radius by R"

# Kind of fault -> what it is about (the key of the fault), what is wrong, what was expected.
_WORDING: Final[dict[int, tuple[Callable[[float], str] | None, str, str]]] = {
    words.NO_NUMBER: (_letter, "no number after the letter", "expected digits, such as 12.5"),
    words.TWO_POINTS: (_letter, "two decimal points in a number", "expected one"),
    words.POWER_OF_TEN: (
        _letter,
        "this reads like a power of ten, as in 1e-05, which machine code does not have",
        "expected plain decimals, or a blank before E",
    ),
    words.OPEN_COMMENT: (None, "a comment is not closed", "expected ) before the end of the line"),
    words.NESTED_COMMENT: (None, "a comment inside a comment", "expected ) before the next ("),
    words.LONE_BRACKET: (None, ") without (", "expected a comment to be opened before it is closed"),
    words.WRONG_CHECKSUM: (None, "the checksum does not fit the line", "the file was changed or damaged; make it anew"),
    words.BAD_CHECKSUM: (None, "the checksum is no number", "expected a whole number after * and then the line's end"),
    words.VARIABLE: (
        _character,
        "variables and expressions are not read",
        "expected numbers; let the program that made the file write them out",
    ),
    words.O_WORD: (
        None,
        "an O word: subprograms and loops are not read",
        "expected plain blocks (a program number may stand alone on the line after %)",
    ),
    words.BAD_CHARACTER: (_character, "a character that machine code does not have", "expected letters and numbers"),
    words.CONTROL_CHARACTER: (_character, "this is not a text file", "expected machine code as plain text"),
    words.LONG_LINE: (
        None,
        f"a line longer than {words.LONGEST_LINE:,} bytes",
        "expected machine code, one block to a line",
    ),
    words.MANY_WORDS: (None, f"more than {words.MOST_WORDS} words on one line", "expected one block to a line"),
    words.LATE_SLASH: (None, "/ in the middle of a line", "expected it first, before the line number"),
    words.LATE_NUMBER: (_letter, "a line number in the middle of a line", "expected N first"),
    words.LATE_PERCENT: (None, "% in the middle of a line", "expected it alone, at the start and end of the program"),
    interpreter.UNKNOWN_G: (_g, "an unknown code", "expected a code of RS-274/NGC or ISO 6983"),
    interpreter.TWO_OF_A_GROUP: (_g, "two codes of one group in a block", "expected one; split the block"),
    interpreter.REPEATED_LETTER: (_letter, "a letter twice in a block", "expected it once"),
    interpreter.UNKNOWN_M: (lambda detail: f"M{detail:g}", "no M code", "expected a whole number from 0 to 999999"),
    interpreter.DWELL_TIME: (lambda _: "G4", "a dwell without its time", "expected P and a number, 0 or more"),
    interpreter.NEGATIVE_FEED: (lambda _: "F", "a negative feed", "expected a number above 0"),
    interpreter.ZERO_FEED: (lambda _: "F", "a feed move at feed 0 never ends", "expected a number above 0"),
    interpreter.NO_INVERSE_FEED: (
        lambda _: "F",
        "in inverse time (G93) each feed move needs its own F",
        "expected F in this block, or G94 before it",
    ),
    interpreter.NO_MOTION_CODE: (None, "axis words, and no code says how to move", _MOTION),
    interpreter.NOTHING_TO_SET: (lambda _: "G92", "no axis is named", "expected at least one axis word"),
    interpreter.TABLE_WORDS: (
        lambda _: "G10",
        "only the setting of a coordinate system is read",
        "expected L2, and P from 1 to 9",
    ),
    interpreter.SPARE_LETTER: (_letter, "nothing in the block uses this letter", "expected a code that takes it"),
    interpreter.TWO_USES: (None, "two codes of the block want its axis words", "expected one; split the block"),
    interpreter.G53_WITHOUT_LINE: (lambda _: "G53", "machine coordinates on an arc", "expected G0 or G1"),
    interpreter.CENTRE_MISSING: (None, "an arc without its centre", _ARC),
    interpreter.CENTRE_AND_RADIUS: (None, "an arc with both centre and radius", _ARC),
    interpreter.CENTRE_OUT_OF_PLANE: (
        None,
        "the centre of an arc lies outside its plane",
        "expected I and J in G17, I and K in G18, J and K in G19",
    ),
    interpreter.RADIUS_WITHOUT_END: (lambda _: "R", "an arc by radius without an end", "expected an axis of its plane"),
    interpreter.TOO_LARGE: (_letter, "the number is too large", "expected less than 1e12"),
    arcs.NO_RADIUS: (
        None,
        "an arc of no size: its centre is its start, or it is given by radius and ends where it starts",
        "expected I, J, K from the start to the centre",
    ),
    arcs.RADIUS_TOO_SMALL: (
        lambda _: "R",
        "the radius is too small: it falls short of half the way from start to end",
        f"expected at most {_millimetres(arcs.RADIUS_TOLERANCE)} short",
    ),
    arcs.CENTRES_DISAGREE: (
        None,
        "start and end of the arc are not equally far from its centre",
        f"expected at most {_millimetres(arcs.RADIUS_TOLERANCE)} between the two",
    ),
    arcs.TOO_MANY_CHORDS: (
        None,
        f"the arc needs more than {arcs.MOST_CHORDS:,} chords",
        "expected a smaller radius, or allow a larger deviation",
    ),
}

_MEASURED: Final = {arcs.RADIUS_TOO_SMALL, arcs.CENTRES_DISAGREE}


def fault(kind: int, line: int, detail: float, *, file: str) -> Fault:
    """A fault in words.

    Parameters
    ----------
    kind : int
        As `words`, `interpreter` and `arcs` number them.
    line : int
        Of the file, from 1.
    detail : float
        The byte, letter, code or length that the fault is about.
    file : str
        As the person named it.

    Examples
    --------
    >>> print(fault(words.NO_NUMBER, 7, ord("X"), file="wall.gcode"))
    wall.gcode:7: X: no number after the letter; expected digits, such as 12.5
    """
    if kind == interpreter.REFUSED_G:
        tenth = round(detail * 10)
        why = next(why for why, codes in REFUSED_G.items() if tenth in codes)
        return Fault(what=why, expected="expected plain moves, G0 to G3", file=file, line=line, key=_g(detail))
    about, what, expected = _WORDING[kind]
    if kind in _MEASURED:
        what = f"{what} (by {_millimetres(detail)})"
    return Fault(what=what, expected=expected, file=file, line=line, key=about(detail) if about else "")
