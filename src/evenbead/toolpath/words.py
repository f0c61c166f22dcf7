# ruff: noqa: PLR0917, PLR1714, SIM109  (compiled code takes its columns by position, and sets are slow in it)
"""Bytes of machine code to words: ``g1x10 y 5 (to the gate)`` becomes G 1, X 10, Y 5, end of block.

This is the first of the two kernels of the machine-code reader. Both are written once, in the part of Python that
numba can compile: plain loops over anything that can be indexed by a number. Small files run through them as they
stand; for large ones `kernels` compiles the same functions. A kernel therefore raises nothing. It writes down what
is wrong as a number, and `refusals` finds the words for it.

The grammar is that of RS-274/NGC (NISTIR 6556, section 3.3, from memory): blanks mean nothing outside a comment, not
even inside a number; letters have no case; a number has no exponent. Added to it, because files have them: a
semicolon starts a comment, a checksum may close a line, and a line may be ended by LF, CR or both.
"""

from __future__ import annotations

from typing import Any, Final, NamedTuple, TypeAlias

Column: TypeAlias = Any
"""A list, bytes or array when run as Python; a NumPy array when compiled. Mypy can't say that of one function."""

LONGEST_LINE: Final = 65_536
"""Bytes. RS-274/NGC allows 256; no hand or program writes more than this, so it is some other kind of file."""
MOST_WORDS: Final = 200
"""Words on a line: more than all letters, codes and parameters that one block can use."""

END: Final = 10
"""Stands in `Words.letter` after the last word of a block; its value is the number of the line."""
LOST: Final = 0
"""Stands for a line that could not be read."""

# Places in the tally, which carries the count of everything from one stretch of the file to the next.
LINE: Final = 0
BLOCKS: Final = 1
FAULTS: Final = 2
LONGS: Final = 3
DELETED: Final = 4
OPENED: Final = 5
CLOSED: Final = 6
SCAN_TALLY: Final = 7

# What can be wrong with a line before it is known what it means.
NO_NUMBER: Final = 1
TWO_POINTS: Final = 2
OPEN_COMMENT: Final = 3
NESTED_COMMENT: Final = 4
LONE_BRACKET: Final = 5
WRONG_CHECKSUM: Final = 6
BAD_CHECKSUM: Final = 7
VARIABLE: Final = 8
O_WORD: Final = 9
BAD_CHARACTER: Final = 10
CONTROL_CHARACTER: Final = 11
LONG_LINE: Final = 12
MANY_WORDS: Final = 13
LATE_SLASH: Final = 14
LATE_NUMBER: Final = 15
LATE_PERCENT: Final = 16
POWER_OF_TEN: Final = 17

_FITS: Final = 10**17  # a mantissa below this takes one more digit without leaving 64 bits
_EXACT: Final = 2**53  # up to here a float holds every whole number
_POWERS: Final = 22  # up to here a float holds the power of ten
_READ: Final = 0
_MISSING: Final = 1
_LONG: Final = 2
_TWICE: Final = 3

POWERS_OF_TEN: Final = tuple(float(10**n) for n in range(_POWERS + 1))


class Words(NamedTuple):
    """Words of a stretch of the file, block after block: the capital letter's code, and the number after it."""

    letter: Column
    value: Column


class Faults(NamedTuple):
    """What was found wrong: which kind, on which line, and the byte, letter or number it is about."""

    code: Column
    line: Column
    detail: Column


class Longs(NamedTuple):
    """Numbers with more digits than the kernel is exact for: which word, and where its digits start and stop."""

    word: Column
    start: Column
    stop: Column


def add_fault(faults: Faults, tally: Column, code: int, line: int, detail: float) -> None:
    """Write a fault down, unless there are more than anyone reads."""
    count = tally[FAULTS]
    if count < len(faults.code):
        faults.code[count] = code
        faults.line[count] = line
        faults.detail[count] = detail
        tally[FAULTS] = count + 1


def scan(  # noqa: C901, PLR0912, PLR0915  (one pass over the bytes; every branch is one rule of the grammar)
    data: Column,
    at: int,
    stop: int,
    words: Words,
    longs: Longs,
    faults: Faults,
    tally: Column,
    powers: Column,
    skip: int,
) -> tuple[int, int]:
    """Read whole lines into words until the file's stretch, the room for words or the program ends.

    Parameters
    ----------
    data : bytes or (n,) uint8
        Text in which every line below `stop` is ended.
    at, stop : int
        Where to begin, and where to stop.
    words, longs, faults, tally
        Written to. `tally` holds the number of the line to begin with.
    powers : (23,)
        `POWERS_OF_TEN`, in the form that is quickest to index.
    skip : int
        Whether blocks marked with a slash are left out.

    Returns
    -------
    at, count : int
        Where to go on, and how many words were written.
    """
    letters, values = words.letter, words.value
    count = 0
    line = tally[LINE]
    room = len(letters) - MOST_WORDS - 2
    tally[LONGS] = 0
    while at < stop and count < room and tally[LONGS] + MOST_WORDS < len(longs.word):
        begin, first, first_long = at, count, tally[LONGS]
        wrong, about = 0, 0
        numbered = own = last = False
        while True:
            c = data[at]
            if 97 <= c <= 122:
                c -= 32
            if 65 <= c <= 90:
                start = at + 1
                at, value, outcome = _number(data, start, powers)
                if c == 78 and outcome != _MISSING:  # N: a line number says nothing about the path
                    if count > first or numbered:
                        wrong, about = LATE_NUMBER, c
                        break
                    numbered = True
                    continue
                if c == 79:  # O
                    if not (tally[OPENED] == 1 and tally[BLOCKS] == 0 and count == first and _stands_alone(data, at)):
                        wrong, about = O_WORD, c
                        break
                    continue
                if outcome == _MISSING or outcome == _TWICE:
                    wrong, about = (NO_NUMBER if outcome == _MISSING else TWO_POINTS), c
                    break
                if (
                    c == 69 and count > first and letters[count - 1] != 71 and _power_of_ten(data, start)
                ):  # E, not after G
                    wrong, about = POWER_OF_TEN, c
                    break
                if count - first >= MOST_WORDS:
                    wrong = MANY_WORDS
                    break
                if outcome == _LONG:
                    long = tally[LONGS]
                    longs.word[long], longs.start[long], longs.stop[long] = count, start, at
                    tally[LONGS] = long + 1
                letters[count] = c
                values[count] = value
                count += 1
                if c == 77:  # M
                    own = own or value >= 100
                    last = last or value == 2 or value == 30
                continue
            if c == 10 or c == 13:
                break
            at += 1
            if c == 32 or c == 9:
                continue
            if c == 59:  # ;
                at = _line_end(data, at)
            elif c == 40:  # (
                at, wrong = _comment_end(data, at)
            elif c == 42:  # *
                at, wrong = _checksum(data, begin, at)
            elif c == 47 or c == 37:  # / %
                if count > first or numbered:
                    wrong = LATE_SLASH if c == 47 else LATE_PERCENT
                elif c == 47:
                    if skip:
                        tally[DELETED] += 1
                        at = _line_end(data, at)
                else:
                    at = _line_end(data, at)
                    if tally[BLOCKS] == 0 and tally[OPENED] == 0:
                        tally[OPENED] = 1
                    else:
                        tally[CLOSED] = 1
            elif c == 35 or c == 61 or c == 91 or c == 93:  # # = [ ]
                wrong, about = VARIABLE, c
            elif c == 41:  # )
                wrong = LONE_BRACKET
            elif c < 32 or c == 127:
                wrong, about = CONTROL_CHARACTER, c
            else:
                wrong, about = BAD_CHARACTER, c
            if wrong:
                break
        at = _line_end(data, at)
        if own and wrong != CONTROL_CHARACTER and wrong != WRONG_CHECKSUM:
            wrong = 0  # an M code from M100 up is the machine builder's, and so is the text after it
        if at - begin > LONGEST_LINE:
            wrong = LONG_LINE
        if wrong:
            add_fault(faults, tally, wrong, line, about)
            tally[LONGS] = first_long
            letters[first] = LOST
            count = first + 1
            tally[BLOCKS] += 1
        elif count > first:
            letters[count] = END
            values[count] = line
            count += 1
            tally[BLOCKS] += 1
            if last:
                tally[CLOSED] = 1
        at += 2 if data[at] == 13 and at + 1 < stop and data[at + 1] == 10 else 1
        line += 1
        if tally[CLOSED] or tally[FAULTS] >= len(faults.code):
            break
    tally[LINE] = line
    return at, count


def _number(data: Column, at: int, powers: Column) -> tuple[int, float, int]:  # noqa: C901, PLR0912
    """The number at this place: the byte after it, its value, and whether it could be read.

    Digits are gathered as a whole number and divided by a power of ten once. Below 2**53 that is the nearest float,
    as `float()` gives; up to eighteen digits it is within one unit in the last place; what is longer is left to
    `float()`.
    """
    c = data[at]
    while c == 32 or c == 9:
        at += 1
        c = data[at]
    negative = c == 45
    if negative or c == 43:
        at += 1
    mantissa, digits, whole, cut = 0, 0, -1, False
    outcome = _READ
    while True:
        c = data[at]
        if c > 57:
            break
        if c >= 48:
            digits += 1
            if mantissa < _FITS:
                mantissa = mantissa * 10 + (c - 48)
            else:
                cut = True
        elif c == 46:
            if whole >= 0:
                outcome = _TWICE
                break
            whole = digits
        elif c != 32 and c != 9:
            break
        at += 1
    if digits == 0:
        return at, 0.0, _MISSING
    decimals = digits - whole if whole >= 0 else 0
    if cut or decimals > _POWERS:
        return at, 0.0, (_LONG if outcome == _READ else outcome)
    value = float(mantissa)
    if decimals:
        value = value / powers[decimals] if mantissa <= _EXACT else _quotient(mantissa, powers[decimals])
    return at, (-value if negative else value), outcome


def _power_of_ten(data: Column, at: int) -> bool:
    """Whether the E before this place belongs to a number such as 1e-05 or 6.1e-17.

    RS-274/NGC has no such numbers, but scripts print them, and then X1e-05 would be X 1 and E -5. So an E that follows
    a digit at once, with a sign and a whole number as programs write exponents, is refused and not guessed.
    """
    before, sign = data[at - 2], data[at]
    if not (48 <= before <= 57 or before == 46) or (sign != 45 and sign != 43):
        return False
    at += 1
    first, digits = data[at], 0
    while 48 <= data[at] <= 57:
        digits += 1
        at += 1
    if data[at] == 46:
        return False
    return digits == 2 or digits == 3 or (digits == 1 and sign == 45 and first >= 55)


def _quotient(mantissa: int, power: float) -> float:
    """A whole number of up to eighteen digits over a power of ten, corrected by what the first division left over.

    The product of quotient and power is split into halves that multiply exactly (Dekker 1971, from memory).
    """
    high = float(mantissa)
    low = float(mantissa - int(high))
    quotient = high / power
    scale = 134_217_729.0  # 2**27 + 1
    t = scale * quotient
    q1 = t - (t - quotient)
    q2 = quotient - q1
    t = scale * power
    p1 = t - (t - power)
    p2 = power - p1
    product = quotient * power
    error = ((q1 * p1 - product) + q1 * p2 + q2 * p1) + q2 * p2
    return quotient + (((high - product) - error) + low) / power


def _line_end(data: Column, at: int) -> int:
    """Where the line ends."""
    c = data[at]
    while c != 10 and c != 13:
        at += 1
        c = data[at]
    return at


def _comment_end(data: Column, at: int) -> tuple[int, int]:
    """The byte after a comment in brackets, and what is wrong with it."""
    c = data[at]
    while c != 41:
        if c == 10 or c == 13:
            return at, OPEN_COMMENT
        if c == 40:
            return at, NESTED_COMMENT
        at += 1
        c = data[at]
    return at + 1, 0


def _checksum(data: Column, begin: int, at: int) -> tuple[int, int]:
    """The byte after a checksum, and whether it fails: exclusive or of all bytes of the line before the asterisk.

    Source: common practice, no source.
    """
    expected = 0
    for place in range(begin, at - 1):
        expected ^= data[place]
    found, digits = 0, 0
    while True:
        c = data[at]
        if 48 <= c <= 57:
            digits += 1
            if digits < 9:
                found = found * 10 + (c - 48)
        elif c != 32 and c != 9:
            break
        at += 1
    if digits == 0 or digits > 8 or not (c == 10 or c == 13 or c == 59 or c == 40):
        return at, BAD_CHECKSUM
    return at, (0 if found == expected else WRONG_CHECKSUM)


def _stands_alone(data: Column, at: int) -> bool:
    """Nothing but a comment follows on the line."""
    c = data[at]
    return bool(c == 10 or c == 13 or c == 40 or c == 59)


HELPERS: Final = (add_fault, _number, _power_of_ten, _quotient, _line_end, _comment_end, _checksum, _stands_alone)
"""What `scan` calls, for the compiler."""
