"""What must hold of any program: how it is written down changes nothing of what it lays."""

from __future__ import annotations

import math
import re
import tempfile
from dataclasses import dataclass, replace
from fractions import Fraction
from pathlib import Path

import numpy as np
import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from evenbead.errors import InputRefused
from evenbead.toolpath import kernels, machine_code
from evenbead.toolpath.gathering import MOST_FAULTS
from machine_code_files import program

modest = settings(max_examples=60, deadline=None)


@dataclass(frozen=True)
class Move:
    """A straight move by so much [1/100 mm], or an arc of so much of a circle about so much away [degrees]."""

    x: int
    y: int
    z: int
    push: int
    sweep: int = 0


@dataclass(frozen=True)
class Style:
    """How a program is written down."""

    inches: bool = False
    relative: bool = False
    relative_push: bool = False
    by_radius: bool = False
    centre_absolute: bool = False


hundredths = st.integers(-50_000, 50_000)
straights = st.builds(Move, hundredths, hundredths, st.integers(-2000, 2000), st.integers(0, 3000))
bows = st.builds(
    Move,
    hundredths.filter(lambda v: abs(v) > 10),
    hundredths,
    st.integers(-2000, 2000),
    st.integers(0, 3000),
    st.integers(-355, 355).filter(lambda v: abs(v) > 4 and abs(abs(v) - 180) > 4),
)
styles = st.builds(Style, st.booleans(), st.booleans(), st.booleans(), st.booleans(), st.booleans())


def written(moves, style):
    """Machine code for these moves in that style; numbers with enough digits not to matter."""
    unit = 25.4 if style.inches else 1.0
    x = y = z = e = 0.0
    lines = [
        "G20" if style.inches else "G21",
        "G91" if style.relative else "G90",
        "M83" if style.relative_push else "M82",
        "G90.1" if style.centre_absolute else "G91.1",
        f"F{6000 / unit:.12f}",
    ]
    for move in moves:
        dx, dy, dz = move.x / 100, move.y / 100, move.z / 100
        words = "G1"
        if move.sweep:
            # x and y are the way to the centre; turn the way back by the sweep to get the end
            i, j, turn = dx, dy, math.radians(move.sweep)
            radius = math.hypot(i, j)
            dx = i - i * math.cos(turn) + j * math.sin(turn)
            dy = j - i * math.sin(turn) - j * math.cos(turn)
            words = "G3" if turn > 0 else "G2"
            if style.by_radius:
                centre = f"R{math.copysign(radius, 180 - abs(move.sweep)) / unit:.12f}"
            elif style.centre_absolute:
                centre = f"I{(x + i) / unit:.12f} J{(y + j) / unit:.12f}"
            else:
                centre = f"I{i / unit:.12f} J{j / unit:.12f}"
            words = f"{words} {centre}"
        old = (x, y, z, e)
        x, y, z, e = x + dx, y + dy, z + dz, e + move.push / 100
        to = [b - a for a, b in zip(old, (x, y, z, e), strict=True)] if style.relative else [x, y, z, e]
        to[3] = move.push / 100 if style.relative_push else e
        lines.append(" ".join([words, *(f"{axis}{value / unit:.12f}" for axis, value in zip("XYZE", to, strict=True))]))
    return "\n".join([*lines, "M2"]) + "\n"


def summary(read):
    moving = read.length > 0
    return (
        read.length.sum(),
        read.advance.sum(),
        read.dwell.sum(),
        (read.length[moving] / read.speed[moving]).sum(),
        read.x[-1],
        read.y[-1],
        read.z[-1],
    )


def same(one, other, *, rel=1e-9):
    assert summary(one) == pytest.approx(summary(other), rel=rel, abs=1e-10)


def columns(read):
    named = ("x", "y", "z", "length", "speed", "rapid", "dwell", "advance", "line")
    return {name: getattr(read, name).tolist() for name in named} | {
        "code": read.switches.code.tolist(),
        "move": read.switches.move.tolist(),
        "notes": read.notes,
    }


programs = st.lists(straights | bows, min_size=1, max_size=12).filter(
    lambda moves: any(move.x or move.y or move.z for move in moves)
)


@given(programs, styles, styles)
@modest
def test_units_coordinates_extrusion_and_the_form_of_arcs_change_nothing(moves, one, other):
    same(program(written(moves, one)), program(written(moves, other)), rel=1e-7)


@given(programs, st.integers(2, 7))
@modest
def test_a_move_in_pieces_is_the_move(moves, pieces):
    straight = [replace(move, sweep=0) for move in moves if move.x or move.y or move.z]
    pieced = [move for move in straight for _ in range(pieces)]
    whole = [
        replace(move, x=move.x * pieces, y=move.y * pieces, z=move.z * pieces, push=move.push * pieces)
        for move in straight
    ]
    if whole:
        same(program(written(pieced, Style())), program(written(whole, Style())))


@given(programs, st.integers(1, 9))
@modest
def test_finer_chords_change_no_length(moves, tenths):
    text = written(moves, Style())

    same(program(text), program(text, chord=tenths * 1e-5))


@given(programs, styles, st.randoms(use_true_random=False), st.sampled_from(["\n", "\r\n", "\r"]))
@modest
def test_letters_blanks_comments_numbers_and_line_ends_change_nothing(moves, style, chance, end):
    def dressed(index, line):
        words = line.split(" ")
        if chance.random() < 0.5:
            words = [word.lower() for word in words]
        if chance.random() < 0.5:
            words.insert(chance.randrange(len(words) + 1), "(as g1x5 drawn; see sheet*2)")
        line = chance.choice(["", " ", "\t"]).join(words)
        if chance.random() < 0.3:
            line = re.sub(r"(\d)", lambda digit: digit[1] + chance.choice(["", " "]), line)
        if chance.random() < 0.5:
            line = f"N{index}{line}"
        if chance.random() < 0.3:
            check = 0
            for byte in line.encode():
                check ^= byte
            line = f"{line}*{check}"
        return line + chance.choice(["", "   ", "; é (%", ""])

    text = written(moves, style)
    bare, other = program(text), program(end.join(dressed(i, line) for i, line in enumerate(text.split("\n"))))

    assert columns(bare) == columns(other)


@given(st.lists(straights, min_size=1, max_size=6), st.integers(-9999, 9999), st.integers(-9999, 9999))
@modest
def test_where_the_zero_lies_changes_no_length(moves, x, y):
    text = written([Move(100, 100, 0, 0), *moves], Style())
    shifted = text.replace("M82\n", f"M82\nG92 X{x / 100} Y{y / 100}\n", 1)
    set_by_table = text.replace("M82\n", f"M82\nG10 L2 P3 X{-x / 100} Y{-y / 100}\nG56\n", 1)

    assert summary(program(shifted)) == pytest.approx(summary(program(set_by_table)), rel=1e-9, abs=1e-10)


# Numbers: RS-274/NGC section 3.3.2.1 (from memory), held against Python's own reading, which is exact.
digits = st.text("0123456789", min_size=1, max_size=25)


@given(st.sampled_from(["", "-", "+"]), digits, st.none() | digits)
@example("", "9007199254740993", "5")
@example("", "0", "1" * 17 + "3")
@example("-", "0" * 30, "000000000000000000000001")
@settings(max_examples=300, deadline=None)
def test_a_number_is_the_nearest_float_to_within_one_unit_in_the_last_place(sign, whole, part):
    text = sign + (whole[:9] if part else whole[:11]) + ("" if part is None else "." + part)
    read = program(f"G20 G90 G1 F1 Z1 X{text}\n")
    exact = float(text) * 0.0254

    assert abs(read.x[1] - exact) <= 2 * np.spacing(abs(exact))


@given(st.integers(0, 10**18 - 1), st.integers(0, 22))
@settings(max_examples=300, deadline=None)
def test_the_kernel_divides_as_exactly_as_python(mantissa, decimals):
    from evenbead.toolpath.words import POWERS_OF_TEN, _number

    text = f"{mantissa:0{decimals + 1}d}"
    text = f"{text[: len(text) - decimals]}.{text[len(text) - decimals :]}\n"
    _, value, outcome = _number(text.encode(), 0, list(POWERS_OF_TEN))

    assert outcome == 0
    assert abs(Fraction(value) - Fraction(mantissa, 10**decimals)) <= Fraction(float(np.spacing(value)))
    if mantissa <= 2**53:
        assert value == float(text)


# Anything at all: bytes, and text that is nearly machine code.
SCRAPS = """
G0 G1 G2 G3 G4 G10 L2 P1 G17 G18 G19 G20 G21 G28 G53 G55 G80 G90 G91 G90.1 G91.1 G92 G92.1 G93 G94 M2 M3 M82 M83 M117
X Y Z E F I J K R P A N O S T / % ( ) ; * # [ ] = . - + 1 2.5 -3 100 0 1e9 .5 99999999999999999999 é
"""
pieces = st.sampled_from([*SCRAPS.split(), "\n", "\n", "\r\n", "\r", " ", "", "\t"])
texts = st.lists(pieces, max_size=60).map("".join)
blocks = st.lists(
    st.tuples(
        st.sampled_from(["G0", "G1", "G2", "G3", "", "G91", "G90", "G93", "G20", "G18", "G92", "G28", "M7", "G4 P1"]),
        st.lists(st.tuples(st.sampled_from("XYZEFIJKR"), st.integers(-3, 30)), max_size=4),
    ),
    max_size=12,
).map(lambda lines: "\n".join(code + "".join(f" {a}{v}" for a, v in words) for code, words in lines))


def outcome(data, suite=None):
    """Columns, or the faults for which these bytes are refused; anything else that is raised fails the test."""
    with tempfile.TemporaryDirectory() as folder, pytest.MonkeyPatch.context() as patch:
        path = Path(folder) / "wall.gcode"
        path.write_bytes(data)
        if suite is not None:
            patch.setattr(machine_code, "_suitable", lambda _size: suite)
        try:
            return columns(machine_code.read_machine_code(path))
        except InputRefused as refused:
            faults = refused.faults
    assert 0 < len(faults) <= MOST_FAULTS + 1
    return [(fault.line, fault.key, fault.what) for fault in faults]


@given(st.binary(max_size=300))
@settings(max_examples=200, deadline=None)
def test_any_bytes_are_read_or_refused(data):
    outcome(data)


@given(texts)
@settings(max_examples=300, deadline=None)
def test_any_text_is_read_or_refused(text):
    outcome(text.encode())


@given(blocks)
@settings(max_examples=150, deadline=None)
def test_any_blocks_are_read_into_finite_places_or_refused(text):
    read = outcome(text.encode())

    if isinstance(read, dict):
        assert np.all(np.isfinite([read["x"], read["y"], read["z"]]))
        assert np.all(np.isfinite([read["length"], read["dwell"], read["advance"]]))
        assert min(read["length"] + read["dwell"] + read["advance"]) >= 0


small = replace(kernels.plain(), words=machine_code.words.MOST_WORDS + 8, rows=6)


@given(programs.map(lambda moves: written(moves, Style())) | texts | blocks, st.integers(1, 9))
@modest
def test_the_size_of_the_pieces_changes_nothing(text, piece):
    data = text.encode()
    whole = outcome(data)
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(machine_code, "_PIECE", piece)
        cut = outcome(data, small)

    assert repr(whole) == repr(cut)


@pytest.mark.slow
@given(programs.map(lambda moves: written(moves, Style())) | texts | blocks)
@settings(max_examples=300, deadline=None)
def test_compiled_kernels_read_what_plain_ones_read(text):
    compiled = kernels.compiled()
    if compiled is None:
        pytest.skip("numba is not installed")

    assert repr(outcome(text.encode(), kernels.plain())) == repr(outcome(text.encode(), compiled))
