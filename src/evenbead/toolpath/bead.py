"""When the bead is on: by the extrusion axis, by the kind of move, by a pair of M codes, or by the file's own mark.

The job may say it. If it doesn't, the file is asked in the order of how plainly it speaks: a printing mark, an
extrusion axis that advances, one pair of M codes that opens and closes around feed moves, and last the feed
moves themselves. The answer always comes with its reason, so that a person can object.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Literal

import numpy as np

from evenbead.errors import InputRefused
from evenbead.toolpath.model import Toolpath

if TYPE_CHECKING:
    from evenbead.toolpath.model import Bools, Program

When = Literal["extruding", "feed moves"] | tuple[str, str]

# Program flow, tool change, override and extrusion mode (RS-274/NGC section 3.6; common practice for M82 and M83):
# codes that can't be meant to switch a bead.
_NEVER_SWITCHES = (0, 1, 2, 6, 30, 48, 49, 60, 82, 83)
# Spindle stop and coolant off in RS-274/NGC: of a pair, these close.
_CLOSES = (5, 9)


def printed(program: Program, when: When | None = None) -> Toolpath:
    """The moves of a program with the bead on or off.

    Parameters
    ----------
    program : Program
        What the file commands.
    when : "extruding", "feed moves", a pair of M codes, or None
        ``"extruding"``: the extrusion axis advances during a move that has a length. ``"feed moves"``: every move
        that has a length and is no positioning move. ``("M7", "M9")``: from the first code to the second.
        None: found from the file, and said why.

    Returns
    -------
    toolpath : Toolpath
        A row without length (a dwell, an extrusion in place) never has its bead on: it lays no length.

    Raises
    ------
    InputRefused
        Nothing would print, or the pair of codes does not occur.
    """
    if when is None:
        on, why = _found(program)
    elif when == "extruding":
        on, why = _extruding(program), "the job says: while the extrusion axis advances"
    elif when == "feed moves":
        on, why = _feed_moves(program), "the job says: on every feed move"
    else:
        opens, closes = (_number(program, code) for code in when)
        on, why = _between(program, opens, closes), f"the job says: from M{opens} to M{closes}"
    if not on.any():
        raise InputRefused.because(f"nothing prints ({why})", expected=_advice(program), file=program.source)
    return Toolpath(
        source=program.source,
        x=program.x,
        y=program.y,
        z=program.z,
        length=program.length,
        speed=program.speed,
        rapid=program.rapid,
        dwell=program.dwell,
        on=on,
        line=program.line,
        why=why,
        notes=program.notes,
    )


def _found(program: Program) -> tuple[Bools, str]:
    """The bead as the file itself tells it, and how it tells."""
    if program.flag is not None:
        return program.flag & (program.length > 0), "the file marks the moves that print"
    if (extruding := _extruding(program)).any():
        return extruding, "the extrusion axis advances in this file, so the bead is on while it does"
    codes = _possible_switches(program)
    if pair := _clear_pair(program, codes):
        opens, closes = pair
        why = f"M{opens} and M{closes} take turns around the feed moves, so the bead is on from M{opens} to M{closes}"
        return _between(program, opens, closes), why
    why = "the extrusion axis never advances and no pair of M codes switches clearly, so every feed move prints"
    if codes:
        why += f" (the file has {_listed(codes)})"
    return _feed_moves(program), why


def _extruding(program: Program) -> Bools:
    return (program.advance > 0) & (program.length > 0)


def _feed_moves(program: Program) -> Bools:
    return ~program.rapid & (program.length > 0)


def _between(program: Program, opens: int, closes: int) -> Bools:
    """Moves with a length that come after the opening code and before the closing one."""
    switches = program.switches
    _require_codes(program, (opens, closes))
    ours = (switches.code == opens) | (switches.code == closes)
    last = np.searchsorted(switches.move[ours], np.arange(len(program)), side="right")
    state = np.concatenate(([False], switches.code[ours] == opens))
    return state[last] & (program.length > 0)


def _clear_pair(program: Program, codes: tuple[int, ...]) -> tuple[int, int] | None:
    """The opening and the closing code, if the file leaves no doubt about them.

    It leaves none if exactly two codes remain that could switch a bead, if feed moves lie between opening and
    closing, and if no positioning move is made with the bead on.
    """
    if len(codes) != 2:
        return None
    first, second = codes
    if first in _CLOSES or second in _CLOSES:
        ways = [(second, first)] if first in _CLOSES else [(first, second)]
    else:
        ways = [(first, second), (second, first)]
    travel = program.rapid & (program.length > 0)
    feed = _feed_moves(program)
    clear = []
    for opens, closes in ways:
        on = _between(program, opens, closes)
        if (on & feed).any() and not (on & travel).any() and (~on & (feed | travel)).any():
            clear.append((opens, closes))
    if len(clear) == 2 and not travel.any():
        # All travel is made at feed speed: the code met first opens, unless nothing is laid before its partner.
        return clear[0]
    return clear[0] if len(clear) == 1 else None


def _possible_switches(program: Program) -> tuple[int, ...]:
    """The codes that might switch the bead, in the order first met."""
    codes, first = np.unique(program.switches.code, return_index=True)
    return tuple(int(code) for code in codes[np.argsort(first)] if code not in _NEVER_SWITCHES)


def _number(program: Program, code: str) -> int:
    digits = code.strip().upper().removeprefix("M")
    if not digits.isdecimal():
        raise InputRefused.because(
            f'"{code}" is no M code', expected='expected a letter M and a number, such as "M7"', file=program.source
        )
    return int(digits)


def _require_codes(program: Program, pair: tuple[int, int]) -> None:
    """Refuse a pair that the file does not use, and name what it does use."""
    seen = tuple(int(code) for code in np.unique(program.switches.code))
    missing = [code for code in pair if code not in seen]
    # A file may end without the closing code; one that never opens prints nothing.
    if pair[0] not in missing:
        return
    have = f"the file has {_listed(seen)}" if seen else "the file has no M codes at all"
    raise InputRefused.because(
        f"{_listed(missing)} never occurs" if len(missing) == 1 else f"{_listed(missing)} never occur",
        expected=have,
        file=program.source,
        key="printing.when",
    )


def _advice(program: Program) -> str:
    """What could be meant instead, from what the file holds."""
    if not (program.length > 0).any():
        return "the file has no move with a length"
    ways = []
    if _extruding(program).any():
        ways.append('"extruding"')
    if _feed_moves(program).any():
        ways.append('"feed moves"')
    if codes := _possible_switches(program):
        ways.append(f"a pair of its M codes ({_listed(codes)})")
    if not ways:
        return "the file has positioning moves (G0) only"
    return f"in this file printing.when could be {' or '.join(ways)}"


def _listed(codes: tuple[int, ...] | list[int]) -> str:
    return ", ".join(f"M{code}" for code in codes)
