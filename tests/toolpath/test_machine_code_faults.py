from __future__ import annotations

import time
from pathlib import Path

import pytest

from evenbead.errors import InputRefused
from evenbead.toolpath import arcs, interpreter, refusals, words
from evenbead.toolpath.gathering import MOST_FAULTS
from evenbead.toolpath.machine_code import read_machine_code
from evenbead.toolpath.modal import REFUSED_G
from machine_code_files import program, refusal

CORPUS = Path(__file__).parent / "corpus"

NO_TEXT = "this is not a text file; expected machine code as plain text"
WIDE = "the text is in UTF-16 or UTF-32; expected ASCII, UTF-8 or Latin-1; save it again as UTF-8"

# Wrong line, and how the message about it begins. `G1` and a feed are in force.
WRONG = {
    "X": "2: X: no number after the letter",
    "X nan": "2: X: no number after the letter",
    "Xinf": "2: X: no number after the letter",
    "X-": "2: X: no number after the letter",
    "X--1": "2: X: no number after the letter",
    "X1.2.3": "2: X: two decimal points",
    "X1e-05": "2: E: this reads like a power of ten",
    "X6.123e-17 Y1": "2: E: this reads like a power of ten",
    "X1.E+16": "2: E: this reads like a power of ten",
    "Y1e-7": "2: E: this reads like a power of ten",
    "X1,5": '2: ",": a character that machine code does not have',
    "X1 é": "2: the byte 0xC3: a character that machine code does not have",
    "X1 (to the gate": "2: a comment is not closed",
    "X1 (to (the) gate)": "2: a comment inside a comment",
    "X1)": "2: ) without (",
    "X1*": "2: the checksum is no number",
    "X1*9 Y2": "2: the checksum is no number",
    "X1*9": "2: the checksum does not fit the line",
    "#1=5": '2: "#": variables and expressions are not read',
    "X[1+2]": "2: X: no number after the letter",
    "[1]": '2: "[": variables and expressions are not read',
    "O100 sub": "2: an O word",
    "O<wall> call": "2: an O word",
    "O1000": "2: an O word",
    "X1 /Y2": "2: / in the middle of a line",
    "X1 N5": "2: N: a line number in the middle of a line",
    "X1 %": "2: % in the middle of a line",
    "X1" * 201: "2: more than 200 words on one line",
    "X" + "1" * 400: "2: X: the number is too large",
    "X" + "1" * 70000: "2: a line longer than 65,536 bytes",
    "(" + "1" * 70000 + ")": "2: a line longer than 65,536 bytes",
    "X1 X2": "2: X: a letter twice in a block",
    "G123 X1": "2: G123: an unknown code",
    "G1.5 X1": "2: G1.5: an unknown code",
    "G-1 X1": "2: G-1: an unknown code",
    "G0 G1 X1": "2: G1: two codes of one group",
    "G20 G21": "2: G21: two codes of one group",
    "M2.5": "2: M2.5: no M code",
    "G81 X1 Z-5 R1": "2: G81: canned cycles are not read",
    "G89": "2: G89: canned cycles are not read",
    "G33 Z1 K1": "2: G33: moves tied to the turn of a spindle",
    "G38.2 Z1": "2: G38.2: where a probing move ends",
    "G41 D1": "2: G41: cutter compensation",
    "G42": "2: G42: cutter compensation",
    "G43 H1": "2: G43: a tool length offset",
    "G95": "2: G95: moves tied to the turn of a spindle",
    "G5.1 X1": "2: G5.1: splines",
    "G28.1": "2: G28.1: storing the home place",
    "G4": "2: G4: a dwell without its time",
    "G4 X2": "2: G4: a dwell without its time",
    "G4 P-1": "2: G4: a dwell without its time",
    "F-5 X1": "2: F: a negative feed",
    "F0 X1": "2: F: a feed move at feed 0",
    "G93 X1": "2: F: in inverse time",
    "G93 X1 F0": "2: F: a feed move at feed 0",
    "G80 X1": "2: axis words, and no code says how to move",
    "G92": "2: G92: no axis is named",
    "G10 L2 X1": "2: G10: only the setting of a coordinate system",
    "G10 L20 P1 X1": "2: G10: only the setting of a coordinate system",
    "G10 L2 P10 X1": "2: G10: only the setting of a coordinate system",
    "X1 I5": "2: I: nothing in the block uses this letter",
    "X1 P5": "2: P: nothing in the block uses this letter",
    "G92 X1 G1": "2: two codes of the block want its axis words",
    "G53 G2 X1 I1": "2: G53: machine coordinates on an arc",
    "G2 X1": "2: an arc without its centre",
    "G3": "2: an arc without its centre",
    "G90.1 G2 X10 I5": "2: an arc without its centre",
    "G2 X1 I1 R1": "2: an arc with both centre and radius",
    "G2 X1 I1 K1": "2: the centre of an arc lies outside its plane",
    "G18 G2 X1 J1": "2: the centre of an arc lies outside its plane",
    "G2 Z1 R1": "2: R: an arc by radius without an end",
    "G2 X0 R1": "2: an arc of no size",
    "G2 X0 I0": "2: an arc of no size",
    "G2 X10 R4.9": "2: R: the radius is too small: it falls short of half the way from start to end (by 0.1 mm)",
    "G2 X10 I4.9": "2: start and end of the arc are not equally far from its centre (by 0.2 mm)",
    "G2 X10 Y0 I5 J3": None,
    "G2 X0 Y0 I900000000": "2: the arc needs more than 20,000 chords",
}  # fmt: skip


@pytest.mark.parametrize(("line", "message"), WRONG.items(), ids=lambda value: str(value)[:24])
def test_a_wrong_line_is_named_with_what_is_wrong(line, message):
    text = f"G21 G90 G1 F60\n{line}\nG1 G94 F60 X1\n"

    if message is None:
        assert len(program(text))
    else:
        (only,) = refusal(text)
        assert only.startswith(message)


def test_every_kind_of_fault_has_its_words():
    kinds = {
        value
        for module in (words, interpreter, arcs)
        for name, value in vars(module).items()
        if name.isupper() and isinstance(value, int)
    }
    worded = set(refusals._WORDING)

    assert worded <= kinds
    for why, codes in REFUSED_G.items():
        assert refusals.fault(interpreter.REFUSED_G, 1, codes[0] / 10, file="").what == why


def test_all_faults_of_a_file_come_at_once_in_order():
    faults = refusal("G21\nX\nG999\nG1 X1 F60\nG2 X500 I1\nX1 (\n")

    assert [fault.split(":")[0] for fault in faults] == ["2", "3", "5", "6"]


def test_a_hopeless_file_is_not_read_to_its_end():
    faults = refusal("X\n" * 100_000)

    assert len(faults) == MOST_FAULTS + 1
    assert faults[-1] == "reading stopped after 20 faults"


def test_an_arc_is_not_blamed_for_a_fault_before_it():
    assert len(refusal("G1 X10 F60\nX20 #1\nG2 X30 I5\n")) == 1


@pytest.mark.parametrize(
    ("data", "message"),
    [
        (b"", "the file is empty; expected machine code"),
        (b"\n\n(a wall)\n", "there is no move in it; expected machine code with G0, G1, G2 or G3"),
        (b"\xef\xbb\xbf", "the file is empty; expected machine code"),
        (b"G1 X1\0 F60\n", NO_TEXT),
        ("G1 X1 F60\n".encode("utf-16"), WIDE),
        ("G1 X1 F60\n".encode("utf-16-le"), NO_TEXT),
        (bytes(range(127, 256)) + bytes(range(1, 127)), f"1: the byte 0x7F: {NO_TEXT}"),
    ],
)  # fmt: skip
def test_what_is_no_machine_code_gets_one_message(data, message):
    assert refusal(data) == [message]


def test_a_missing_file_is_refused(tmp_path):
    with pytest.raises(InputRefused, match="can't be read: No such file or directory"):
        read_machine_code(tmp_path / "wall.gcode")


def test_a_folder_is_refused(tmp_path):
    with pytest.raises(InputRefused, match="can't be read"):
        read_machine_code(tmp_path)


def test_a_line_of_a_gigabyte_is_refused_at_once(tmp_path):
    path = tmp_path / "wall.gcode"
    with path.open("wb") as file:
        file.write(b"G1 X1 F60\nX")
        for _ in range(5):
            file.write(b"1" * 2**20)
        file.truncate(2**30)  # a hole on the disk; it would be refused for its zero bytes if it were read so far

    begun = time.perf_counter()
    with pytest.raises(InputRefused) as caught:
        read_machine_code(path)

    assert str(caught.value) == f"{path}:2: a line longer than 65,536 bytes; expected machine code, one block to a line"
    assert time.perf_counter() - begun < 5


@pytest.mark.parametrize("path", sorted(CORPUS.iterdir()), ids=lambda path: path.name)
def test_each_odd_file_of_the_corpus_is_read_or_refused_with_a_reason(path):
    if path.name.startswith("refused"):
        with pytest.raises(InputRefused) as caught:
            read_machine_code(path)
        assert all(fault.file == str(path) for fault in caught.value.faults)
    else:
        assert len(read_machine_code(path)) > 0
