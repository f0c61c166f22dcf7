# ruff: noqa: PLR0917, PLR1714  (compiled code takes its columns by position, and sets are slow in it)
"""Words to moves: the machine that remembers what a block leaves unsaid.

This is the second kernel of the machine-code reader (`words` says what a kernel is). It keeps the modes and the place
of an RS-274/NGC machine and writes one row for each thing it is told to do: a move, a wait, a push of the extrusion
axis. Arcs come out as one row with their centre beside it; `arcs` cuts them into chords.

Section and table numbers are those of NISTIR 6556 (Kramer, Proctor, Messina 2000), from memory. Where that report
leaves a choice, or what people write differs from it, the choice is:

- The machine starts at X0 Y0 Z0 E0, in millimetres, absolute, XY plane, with no motion code in force. Places are those
  of the machine: offsets are added, so that a G92 between two walls does not lay one over the other.
- A block's G20 or G21 holds for all words of the block, also for its F (table 8 would take F first), and a feed once
  given keeps its physical value when units change.
- E is a fourth axis. M82 and M83 say whether it is absolute; until one of them appears it follows G90 and G91 as any
  axis does (3.5.17). G92 E0 sets its zero.
- M codes take effect before the move of their block (table 8), but stops and ends (M0, M1, M2, M30, M60) after it.
- G28 and G30 go to machine zero: through the point named, then home on the axes named, or on all when none is.
- G53 moves are absolute whatever G90 and G91 say.
- From M100 up an M code is the machine builder's, and words after it are taken as its own unless the block has a
  motion code.
"""

from __future__ import annotations

from math import nan, sqrt
from typing import Final, NamedTuple

from evenbead.toolpath.words import END, LOST, SCAN_TALLY, Column, Faults, Words, add_fault

# Places in the tally, after those of `words.scan`.
ROWS: Final = SCAN_TALLY
ARCS: Final = SCAN_TALLY + 1
SWITCHES: Final = SCAN_TALLY + 2
ENDED: Final = SCAN_TALLY + 3
TALLY: Final = SCAN_TALLY + 4

# Places in `Machine.mode`.
MOTION: Final = 0
PLANE: Final = 1
RELATIVE: Final = 2
CENTRE_ABSOLUTE: Final = 3
INVERSE_TIME: Final = 4
SYSTEM: Final = 5
EXTRUSION: Final = 6
SURE: Final = 7
SYSTEMS_USED: Final = 8
# The first line on which something happened that the person should know of; 0 while it has not.
ROTARY_SEEN: Final = 9
HOME_SEEN: Final = 10
EXTRUSION_MIXED: Final = 11
PUSH_WITHOUT_FEED: Final = 12
OWN_WORDS: Final = 13
TABLE_SET: Final = 14
UNITS_SEEN: Final = 15
MODES: Final = 16

# Places in `Machine.place`: x, y, z, e of the machine, then what the words are read with. All in m and m/s.
FEED: Final = 4
UNIT: Final = 5
SHIFT: Final = 6
ORIGIN: Final = 10
KEPT: Final = 14
TABLE: Final = 18
SYSTEMS: Final = 9
PLACES: Final = TABLE + 3 * SYSTEMS

# What can be wrong with a block.
UNKNOWN_G: Final = 40
REFUSED_G: Final = 41
TWO_OF_A_GROUP: Final = 42
REPEATED_LETTER: Final = 43
UNKNOWN_M: Final = 44
DWELL_TIME: Final = 45
NEGATIVE_FEED: Final = 46
ZERO_FEED: Final = 47
NO_INVERSE_FEED: Final = 48
NO_MOTION_CODE: Final = 49
NOTHING_TO_SET: Final = 50
TABLE_WORDS: Final = 51
SPARE_LETTER: Final = 52
TWO_USES: Final = 53
G53_WITHOUT_LINE: Final = 54
CENTRE_MISSING: Final = 55
CENTRE_AND_RADIUS: Final = 56
CENTRE_OUT_OF_PLANE: Final = 57
RADIUS_WITHOUT_END: Final = 58
TOO_LARGE: Final = 59

# Modal groups (table 4), as the row of `GROUPS` that `G_CODES` names; two codes of one group can't share a block.
NO_GROUP: Final = 0
REFUSED: Final = 1
MOVING: Final = 2
PLANES: Final = 3
DISTANCE: Final = 4
CENTRES: Final = 5
FEEDS: Final = 6
UNITS: Final = 7
COORDINATES: Final = 8
AXIS_USES: Final = 9  # the codes of group 0 that take the block's axis words for themselves
DWELL: Final = 10
MACHINE_PLACE: Final = 11  # G53
PATH_CONTROL: Final = 12
HARMLESS: Final = 13  # and any after it: each group is only checked against itself
GROUPS: Final = 20

_LARGEST: Final = 1e12
_NANOMETRE: Final = 1e-9

_A, _B, _C, _E, _F = 1, 1 << 1, 1 << 2, 1 << 4, 1 << 5
_I, _J, _K, _L, _P, _Q, _R = 1 << 8, 1 << 9, 1 << 10, 1 << 11, 1 << 15, 1 << 16, 1 << 17
_U, _V, _W, _X, _Y, _Z = 1 << 20, 1 << 21, 1 << 22, 1 << 23, 1 << 24, 1 << 25
_CENTRE = _I | _J | _K
_PLACES = _X | _Y | _Z | _E
_ROTARY = _A | _B | _C | _U | _V | _W
_AXES = _PLACES | _ROTARY
_ARC_WORDS = _CENTRE | _R
_SPARE = _ARC_WORDS | _L | _P | _Q
_ONLY_MOVING = 1 << MOVING
_ASIDE = 1 << DWELL | 1 << AXIS_USES


class Machine(NamedTuple):
    """What is remembered from block to block, and the block at hand.

    mode:    (MODES,) int     modes, and lines on which something was first seen
    place:   (PLACES,) float  places, offsets, unit, feed
    word:    (26,) float      numbers of the block by letter
    code:    (GROUPS,) int    G codes of the block by group, times ten
    groups:  (1000,) int      group of each G code times ten
    dwell:   (1,) float       seconds in one P of a G4
    """

    mode: Column
    place: Column
    word: Column
    code: Column
    groups: Column
    dwell: Column


class Rows(NamedTuple):
    """Columns of `Program`, written from the front."""

    x: Column
    y: Column
    z: Column
    length: Column
    speed: Column
    dwell: Column
    advance: Column
    rapid: Column
    line: Column


class Arcs(NamedTuple):
    """What the row of an arc does not hold.

    row:      which row
    plane:    17, 18 or 19
    turn:     -1 clockwise (G2), 1 counterclockwise (G3)
    radius:   m; 0 where the centre is given
    a, b:     m; centre in the plane, in the order in which a turn from a to b is counterclockwise
    rate:     1/s; in inverse time, how often the arc would be done in a second; 0 otherwise
    sure:     0 where an earlier fault makes the start uncertain
    """

    row: Column
    plane: Column
    turn: Column
    radius: Column
    a: Column
    b: Column
    rate: Column
    sure: Column


class SwitchRows(NamedTuple):
    """M codes, and the row that comes after each."""

    code: Column
    row: Column


def interpret(  # noqa: C901, PLR0912, PLR0915  (kept whole: what a compiled loop calls costs it more than what it does)
    words: Words,
    at: int,
    stop: int,
    machine: Machine,
    rows: Rows,
    arcs: Arcs,
    switches: SwitchRows,
    faults: Faults,
    tally: Column,
) -> int:
    """Do blocks until the words or the program end, or there is no room left for what one block can write.

    A block is done in the order of table 8: modes, feed, dwell, offsets, move.

    Returns
    -------
    at : int
        The word to go on with.
    """
    letters, values = words.letter, words.value
    mode, place, number, code, groups_of = machine.mode, machine.place, machine.word, machine.code, machine.groups
    row_room, arc_room, switch_room = len(rows.x) - 4, len(arcs.row) - 1, len(switches.code) - 256
    while at < stop and not tally[ENDED]:
        if tally[ROWS] > row_room or tally[ARCS] > arc_room or tally[SWITCHES] > switch_room:
            break
        mask = groups = wrong = 0
        about = 0.0
        own_mask = -1
        first_switch = tally[SWITCHES]
        while True:
            letter, value = letters[at], values[at]
            at += 1
            if letter == 71:  # G
                tenth = int(value * 10 + 0.5) if 0 <= value < 99.95 else 999
                group = groups_of[tenth] if abs(value * 10 - tenth) < 1e-6 else NO_GROUP
                if group <= REFUSED:
                    wrong, about = (UNKNOWN_G if group == NO_GROUP else REFUSED_G), value
                elif groups >> group & 1:
                    wrong, about = TWO_OF_A_GROUP, value
                else:
                    groups |= 1 << group
                    code[group] = tenth
            elif letter == 77:  # M
                if not _switched(value, mode, switches, tally):
                    wrong, about = UNKNOWN_M, value
                elif value >= 100 and own_mask < 0:
                    own_mask = mask
            elif letter <= END:
                break
            else:
                bit = 1 << (letter - 65)
                if mask & bit:
                    wrong, about = REPEATED_LETTER, letter
                if not -_LARGEST < value < _LARGEST:
                    wrong, about = TOO_LARGE, letter
                mask |= bit
                number[letter - 65] = value
        if letter == LOST:
            mode[SURE] = 0
            continue
        line = int(value)
        if own_mask >= 0 and not groups:
            if (mask ^ own_mask) & _AXES and not mode[OWN_WORDS]:
                mode[OWN_WORDS] = line
            mask = own_mask
        if wrong:
            mode[SURE] = 0
            add_fault(faults, tally, wrong, line, about)
            continue
        if groups == _ONLY_MOVING and code[MOVING] < 800:
            mode[MOTION] = code[MOVING] // 10
        elif groups:
            _set_modes(groups, machine, line)
        if mask & _F:
            if number[5] < 0:
                wrong = NEGATIVE_FEED
            elif not mode[INVERSE_TIME]:
                place[FEED] = number[5] * place[UNIT] / 60
        if mask & _SPARE and tally[SWITCHES] == first_switch:
            about = _spare_letter(mask, groups, machine)
            wrong = SPARE_LETTER if about else wrong
        motion = mode[MOTION]
        homing = 0
        if groups & _ASIDE and not wrong:
            wrong, mask, homing = _aside(groups, mask, line, machine, rows, tally)
            motion = 0 if homing else motion

        moving = mask & _PLACES or (motion >= 2 and mask & _ARC_WORDS)
        if mask & _ROTARY:
            if not mode[ROTARY_SEEN]:
                mode[ROTARY_SEEN] = line
            if motion < 0:
                moving = mask
        if moving and not wrong:
            if motion < 0:
                wrong = NO_MOTION_CODE
            rate = 0.0
            if motion > 0:
                if mode[INVERSE_TIME]:
                    rate = number[5] / 60
                    if not mask & _F:
                        wrong = NO_INVERSE_FEED
                    elif rate == 0:
                        wrong = ZERO_FEED
                elif place[FEED] == 0:
                    wrong = ZERO_FEED
            relative = mode[RELATIVE]
            shift_x, shift_y, shift_z = place[SHIFT], place[SHIFT + 1], place[SHIFT + 2]
            if groups >> MACHINE_PLACE & 1:
                relative = 0
                shift_x = shift_y = shift_z = 0.0
                if motion > 1:
                    wrong = G53_WITHOUT_LINE
            unit = place[UNIT]
            x = old_x = place[0]
            y = old_y = place[1]
            z = old_z = place[2]
            if mask & _X:
                x = number[23] * unit + (old_x if relative else shift_x)
            if mask & _Y:
                y = number[24] * unit + (old_y if relative else shift_y)
            if mask & _Z:
                z = number[25] * unit + (old_z if relative else shift_z)
            push = 0.0
            if mask & _E:
                if mode[EXTRUSION] == 83 or (mode[EXTRUSION] == 0 and relative):
                    push = number[4] * unit
                else:
                    push = number[4] * unit + place[SHIFT + 3] - place[3]
                    if relative and not mode[EXTRUSION_MIXED]:
                        mode[EXTRUSION_MIXED] = line
                place[3] += push

            dwell = length = 0.0
            row = tally[ROWS]
            if motion >= 2:
                if not wrong:
                    wrong = _arc(mask, rate, machine, arcs, tally)
            else:
                dx, dy, dz = x - old_x, y - old_y, z - old_z
                length = sqrt(dx * dx + dy * dy + dz * dz)  # not powers: their last digit depends on who computes them
                if length <= _NANOMETRE:
                    length = 0.0
                    if push == 0:
                        moving = 0
                    elif motion == 1:
                        dwell = _time_of_push(push, rate, line, machine)
            place[0], place[1], place[2] = x, y, z
            if moving and not wrong:
                rows.x[row], rows.y[row], rows.z[row] = x, y, z
                rows.length[row] = length
                if motion == 0 or dwell > 0:
                    rows.speed[row] = nan
                elif rate > 0:
                    rows.speed[row] = length * rate
                else:
                    rows.speed[row] = place[FEED]
                rows.dwell[row] = dwell
                rows.advance[row] = push if push > 0 else 0.0
                rows.rapid[row] = motion == 0
                rows.line[row] = line
                tally[ROWS] = row + 1
                mode[SURE] = 1
        elif motion >= 2 and groups >> MOVING & 1 and not wrong:
            wrong = CENTRE_MISSING
        if homing and not wrong:
            _go_home(mask, line, machine, rows, tally)
        if wrong:
            mode[SURE] = 0
            add_fault(faults, tally, wrong, line, about)
        for switch in range(first_switch, tally[SWITCHES]):
            if _stops(switches.code[switch]):
                switches.row[switch] = tally[ROWS]
    return at


def _stops(code: int) -> bool:
    """Stops and ends come after the move of their block."""
    return code <= 2 or code == 30 or code == 60


def _switched(value: float, mode: Column, switches: SwitchRows, tally: Column) -> bool:
    """Write an M code down, and do those that the reader itself obeys; False if it is none."""
    code = int(value) if 0 <= value < 1e6 else -1
    if code != value:
        return False
    if code == 2 or code == 30:
        tally[ENDED] = 1
    elif code == 82 or code == 83:
        mode[EXTRUSION] = code
    switch = tally[SWITCHES]
    switches.code[switch] = code
    switches.row[switch] = tally[ROWS]
    tally[SWITCHES] = switch + 1
    return True


def _set_modes(groups: int, machine: Machine, line: int) -> None:
    """Modes that the block sets, before anything in it is done."""
    mode, code = machine.mode, machine.code
    if groups >> UNITS & 1:
        tenth = code[UNITS]
        machine.place[UNIT] = 0.0254 if tenth == 200 or tenth == 700 else 0.001
        if not mode[UNITS_SEEN]:
            mode[UNITS_SEEN] = line
    if groups >> PLANES & 1:
        mode[PLANE] = code[PLANES] // 10
    if groups >> DISTANCE & 1:
        mode[RELATIVE] = 1 if code[DISTANCE] == 910 else 0
    if groups >> CENTRES & 1:
        mode[CENTRE_ABSOLUTE] = 1 if code[CENTRES] == 901 else 0
    if groups >> FEEDS & 1:
        mode[INVERSE_TIME] = 1 if code[FEEDS] == 930 else 0
    if groups >> COORDINATES & 1:
        tenth = code[COORDINATES]
        mode[SYSTEM] = tenth // 10 - 54 if tenth <= 590 else tenth - 585
        mode[SYSTEMS_USED] |= 1 << mode[SYSTEM]
        _shift(machine)
    if groups >> MOVING & 1:
        mode[MOTION] = code[MOVING] // 10 if code[MOVING] < 800 else -1


def _spare_letter(mask: int, groups: int, machine: Machine) -> float:
    """A letter that has nothing to belong to, or 0."""
    used = 0
    if machine.mode[MOTION] >= 2:
        used |= _ARC_WORDS
    if groups >> DWELL & 1:
        used |= _P
    if groups >> PATH_CONTROL & 1:
        used |= _P | _Q
    if groups >> AXIS_USES & 1 and machine.code[AXIS_USES] == 100:
        used |= _P | _L
    spare = mask & _SPARE & ~used
    if not spare:
        return 0.0
    letter = 65
    while not spare & 1:
        spare >>= 1
        letter += 1
    return float(letter)


def _aside(groups: int, mask: int, line: int, machine: Machine, rows: Rows, tally: Column) -> tuple[int, int, int]:
    """Dwell, offsets and home: what is wrong, the letters left for a move, and whether the machine is to go home."""
    number, code = machine.word, machine.code
    if groups >> DWELL & 1:
        if not mask & _P or number[15] < 0:
            return DWELL_TIME, mask, 0
        if number[15] > 0:
            _stand(number[15] * machine.dwell[0], line, machine.place, rows, tally)
    if not groups >> AXIS_USES & 1:
        return 0, mask, 0
    use = code[AXIS_USES]
    if use == 921 or use == 922 or use == 923:
        _recall_offsets(use, machine)
        return 0, mask, 0
    if groups >> MOVING & 1 and code[MOVING] < 800:
        return TWO_USES, mask, 0
    if use == 280 or use == 300:
        return 0, mask & ~_E, 1
    return _set_offsets(use, mask, machine), mask & ~(_AXES | _ARC_WORDS), 0


def _stand(dwell: float, line: int, place: Column, rows: Rows, tally: Column) -> None:
    """The row of a wait."""
    row = tally[ROWS]
    rows.x[row], rows.y[row], rows.z[row] = place[0], place[1], place[2]
    rows.length[row] = rows.advance[row] = 0.0
    rows.speed[row] = nan
    rows.dwell[row] = dwell
    rows.rapid[row] = 0
    rows.line[row] = line
    tally[ROWS] = row + 1


def _go_home(mask: int, line: int, machine: Machine, rows: Rows, tally: Column) -> None:
    """From the point named to machine zero, on the axes named or on all (3.5.8)."""
    place = machine.place
    old_x, old_y, old_z = place[0], place[1], place[2]
    every = not mask & (_X | _Y | _Z)
    for axis in range(3):
        if every or mask >> (23 + axis) & 1:
            place[axis] = 0.0
    dx, dy, dz = place[0] - old_x, place[1] - old_y, place[2] - old_z
    length = sqrt(dx * dx + dy * dy + dz * dz)
    if length > _NANOMETRE:
        row = tally[ROWS]
        _stand(0.0, line, place, rows, tally)
        rows.length[row] = length
        rows.rapid[row] = 1
    if not machine.mode[HOME_SEEN]:
        machine.mode[HOME_SEEN] = line


def _time_of_push(push: float, rate: float, line: int, machine: Machine) -> float:
    """How long the extrusion axis moves alone. [s]"""
    if rate > 0:
        return 1 / rate
    feed = machine.place[FEED]
    if feed > 0:
        return float(abs(push) / feed)
    if not machine.mode[PUSH_WITHOUT_FEED]:
        machine.mode[PUSH_WITHOUT_FEED] = line
    return 0.0


def _arc(mask: int, rate: float, machine: Machine, arcs: Arcs, tally: Column) -> int:  # noqa: C901
    """Write an arc down beside the row that it will have (3.5.3); what is wrong, or 0."""
    mode, place, number = machine.mode, machine.place, machine.word
    first, second = 0, 1  # axes of the plane, in the order in which a to b is counterclockwise
    if mode[PLANE] == 18:
        first, second = 2, 0
    elif mode[PLANE] == 19:
        first, second = 1, 2
    third = 3 - first - second
    centre_a, centre_b = place[first], place[second]
    radius = 0.0
    if mask & _R:
        if mask & _CENTRE:
            return CENTRE_AND_RADIUS
        if not mask & (1 << (23 + first) | 1 << (23 + second)):
            return RADIUS_WITHOUT_END
        radius = number[17] * place[UNIT]
    else:
        given_a, given_b = mask >> (8 + first) & 1, mask >> (8 + second) & 1
        if mask >> (8 + third) & 1:
            return CENTRE_OUT_OF_PLANE
        if not (given_a or given_b) or (mode[CENTRE_ABSOLUTE] and not (given_a and given_b)):
            return CENTRE_MISSING
        if mode[CENTRE_ABSOLUTE]:
            centre_a, centre_b = place[SHIFT + first], place[SHIFT + second]
        if given_a:
            centre_a += number[8 + first] * place[UNIT]
        if given_b:
            centre_b += number[8 + second] * place[UNIT]
    arc = tally[ARCS]
    arcs.row[arc] = tally[ROWS]
    arcs.plane[arc] = mode[PLANE]
    arcs.turn[arc] = -1 if mode[MOTION] == 2 else 1
    arcs.radius[arc] = radius
    arcs.a[arc], arcs.b[arc] = centre_a, centre_b
    arcs.rate[arc] = rate
    arcs.sure[arc] = mode[SURE]
    tally[ARCS] = arc + 1
    return 0


def _set_offsets(use: int, mask: int, machine: Machine) -> int:
    """G10 L2 and G92 (3.5.5, 3.5.18); what is wrong, or 0."""
    place, number = machine.place, machine.word
    unit = place[UNIT]
    base = TABLE + 3 * machine.mode[SYSTEM]
    if use == 100:
        system = int(number[15]) if mask & _P and 1 <= number[15] <= SYSTEMS else 0
        if not mask & _L or number[11] != 2 or system == 0 or system != number[15]:
            return TABLE_WORDS
        base = TABLE + 3 * (system - 1)
        machine.mode[TABLE_SET] = 1
    elif not mask & _AXES:
        return NOTHING_TO_SET
    for axis in range(3):
        if mask >> (23 + axis) & 1:
            if use == 100:
                place[base + axis] = number[23 + axis] * unit
            else:
                place[ORIGIN + axis] = place[axis] - place[base + axis] - number[23 + axis] * unit
    if use == 920:
        if mask & _E:
            place[ORIGIN + 3] = place[3] - number[4] * unit
        for axis in range(4):
            place[KEPT + axis] = place[ORIGIN + axis]
    _shift(machine)
    return 0


def _recall_offsets(use: int, machine: Machine) -> None:
    """G92.1 forgets the offsets of G92, G92.2 puts them aside, G92.3 takes them up again (3.5.18)."""
    place = machine.place
    for axis in range(4):
        if use == 921:
            place[KEPT + axis] = 0.0
        place[ORIGIN + axis] = place[KEPT + axis] if use == 923 else 0.0
    _shift(machine)


def _shift(machine: Machine) -> None:
    """What is added to a word to have a place of the machine: the system's offset and that of G92."""
    place = machine.place
    base = TABLE + 3 * machine.mode[SYSTEM]
    for axis in range(3):
        place[SHIFT + axis] = place[base + axis] + place[ORIGIN + axis]
    place[SHIFT + 3] = place[ORIGIN + 3]


HELPERS: Final = (
    _stops, _switched, _set_modes, _spare_letter, _aside, _stand, _go_home, _time_of_push, _arc, _set_offsets,
    _recall_offsets, _shift,
)  # fmt: skip
"""What `interpret` calls, for the compiler."""
