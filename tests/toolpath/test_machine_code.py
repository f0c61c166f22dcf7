"""Rules of RS-274/NGC by section of NISTIR 6556 (Kramer, Proctor, Messina 2000), all from memory."""

from __future__ import annotations

import math

import numpy as np
import pytest

from machine_code_files import moves, program, refusal

MM = 0.001


def ends(read):
    """Corners in millimetres."""
    return np.round(np.stack([read.x, read.y, read.z]).T / MM, 9).tolist()


def test_a_move_goes_from_the_place_before_it():
    read = moves("G1 X3 Y4\nZ12 X-2\n")

    assert ends(read) == [[0, 0, 0], [3, 4, 0], [-2, 4, 12]]
    assert read.length == pytest.approx([5 * MM, 13 * MM])
    assert read.speed == pytest.approx([0.01, 0.01])
    assert read.line.tolist() == [2, 3]


def test_a_positioning_move_is_rapid_and_has_no_speed_of_the_file():
    read = moves("G0 X3\nG1 X4\n")

    assert read.rapid.tolist() == [True, False]
    assert np.isnan(read.speed).tolist() == [True, False]


def test_a_feed_move_before_any_f_has_no_speed():
    read = moves("G1 X3\nF60 X4\n", before="G21")

    assert np.isnan(read.speed[0])
    assert read.speed[1] == pytest.approx(0.001)
    assert read.notes == ("Line 2: feed moves before any F; their speed must come from the job.",)


def test_a_block_without_effect_makes_no_row():
    assert len(moves("G1 X3\nX3\nF900\nG17\n\n(only a remark)\nM8\nN20\nT1\nX4\n")) == 2


# Section 3.3: what a line may look like. The second example is the report's own (3.3, from memory).
@pytest.mark.parametrize(
    "block",
    [
        "g0 x+0.1234 y7",
        "g0x +0. 12 34y 7",
        "G00X.1234Y7.",
        "G0(to the gate)X.1234 Y+7.000 ; the first wall",
        "N0010 G0 X0.1234 Y7",
        "n1g0x0.1234y7",
        "\tG0\tX 0.1234\tY 0 7",
        "Y7 X0.1234 G0",
    ],
)
def test_ways_of_writing_one_block(block):
    assert ends(program(block + "\n")) == [[0, 0, 0], [0.1234, 7, 0]]


@pytest.mark.parametrize("end", ["\n", "\r\n", "\r"])
def test_lines_may_be_ended_by_lf_cr_or_both(end):
    read = program(end.join(["G21", "", "G1 X1 F60", "", "X2", ""]))

    assert read.line.tolist() == [3, 5]


def test_a_byte_order_mark_and_letters_in_comments_do_no_harm():
    assert len(program(b"\xef\xbb\xbfG21 (\xc3\xa9tage)\nG1 X1 F60 ; \xe9tage\n")) == 1


def test_a_last_line_without_an_end_is_read_and_doubted():
    read = program("G21\nG1 X1 F60")

    assert len(read) == 1
    assert read.notes == (
        "The last line has no line end, and no M2 or M30 says that the program is over: is the file whole?",
    )
    assert program("G21\nG1 X1 F60\nM2").notes == ()


def test_a_checksum_is_the_exclusive_or_of_the_bytes_before_it():
    # "N3 T0*57" is the example that descriptions of this checksum give: common practice, no source.
    assert len(program("N3 T0*57\nG1X1F60\n")) == 1
    assert refusal("N3 T0*56\nG1X1F60\n") == [
        "1: the checksum does not fit the line; the file was changed or damaged; make it anew"
    ]


def test_an_asterisk_in_a_comment_is_no_checksum():
    assert len(program("G1 X1 F60 (5*7)\nX2 ; 5*7\n")) == 2


def test_blocks_with_a_slash_are_left_out_unless_asked_for():
    text = "G21\nG1 X1 F60\n/X2\n /N30 Y2\nX3\n"

    assert ends(program(text)) == [[0, 0, 0], [1, 0, 0], [3, 0, 0]]
    assert program(text).notes == ("Blocks marked with a slash were left out (2 of them).",)
    assert ends(program(text, deleted_blocks="run"))[2:] == [[2, 0, 0], [2, 2, 0], [3, 2, 0]]


# Section 3.1: a file may be enclosed by percent signs, and ends with M2 or M30.
@pytest.mark.parametrize(
    "text", ["G21\nG1X1F60\nM2\nX9\n", "G21\nG1X1F60 M30\nnot read #\n", "%\nG1X1F60\n%\nwhatever #\n"]
)
def test_nothing_after_the_end_is_read(text):
    assert len(program(text)) == 1


def test_a_file_that_opens_with_percent_must_close():
    assert refusal("%\nG1 X1 F60\n") == [
        "2: the file is cut off: it begins with % and has no end; expected a second %, M2 or M30 at the end"
    ]


def test_a_program_number_may_stand_after_percent():
    assert len(program("%\nO1000 (wall)\nG1X1F60\n%\n")) == 1


# Sections 3.5.6 and 3.5.17, and ISO 6983-1 for G70 and G71.
@pytest.mark.parametrize(("code", "unit"), [("G20", 0.0254), ("G21", 0.001), ("G70", 0.0254), ("G71", 0.001)])
def test_units_hold_for_all_words_of_their_block(code, unit):
    read = program(f"G1 {code} X2 F60 M83 E3\nG2 X4 I1\n")

    assert read.x[1] == pytest.approx(2 * unit)
    assert read.speed[0] == pytest.approx(unit)
    assert read.advance[0] == pytest.approx(3 * unit)
    assert read.length[1:].sum() == pytest.approx(math.pi * unit)


def test_a_feed_keeps_its_value_when_units_change():
    assert moves("G20 G1 X1\n").speed == pytest.approx([0.01])


def test_without_units_millimetres_are_taken_and_said():
    assert program("G1 X1 F60\n").notes == ("No G20 or G21 in the file: lengths are taken as millimetres.",)


def test_relative_coordinates_add_up():
    assert ends(moves("G91 G1 X1 Y1\nX1\nG90 X1\n")) == [[0, 0, 0], [1, 1, 0], [2, 1, 0], [1, 1, 0]]


# Section 3.5.4
@pytest.mark.parametrize(("unit", "seconds"), [("s", 2.5), ("ms", 0.0025)])
def test_a_dwell_is_a_row_without_length(unit, seconds):
    read = moves("G1 X1\nG4 P2.5\nX2\n", dwell_unit=unit)

    assert read.dwell.tolist() == [0, seconds, 0]
    assert read.length[1] == 0
    assert ends(read)[2] == [1, 0, 0]


def test_a_dwell_comes_before_the_move_of_its_block():
    read = moves("G1 X1 G4 P2\n")

    assert read.dwell.tolist() == [2, 0]


# Section 3.5.19: in inverse time F is one over the minutes that the block takes.
def test_in_inverse_time_the_block_takes_one_over_f_minutes():
    read = moves("G93 G1 X3 Y4 F12\nG2 X3 Y4 I5 J0 F2\nG94 X4 G1\n")
    straight, circle, after = read.line == 2, read.line == 3, read.line == 4

    assert (read.length / read.speed)[straight].sum() == pytest.approx(60 / 12)
    assert (read.length / read.speed)[circle].sum() == pytest.approx(60 / 2)
    assert read.speed[after] == pytest.approx([0.01])


def test_in_inverse_time_each_feed_move_needs_its_own_feed():
    assert refusal("G93 G1 X1 F2\nX2\nG0 X3\n") == [
        "2: F: in inverse time (G93) each feed move needs its own F; expected F in this block, or G94 before it"
    ]


# Sections 3.2.2, 3.5.5, 3.5.13 and 3.5.18: offsets.
def test_g92_moves_the_zero_and_not_the_machine():
    assert ends(moves("G1 X10\nG92 X0\nX5\nG92.2 X1\nG92.3 X1\nG92.1 X2\n")) == [
        [0, 0, 0], [10, 0, 0], [15, 0, 0], [1, 0, 0], [11, 0, 0], [2, 0, 0],
    ]  # fmt: skip


def test_g92_1_forgets_what_g92_3_would_take_up():
    assert ends(moves("G92 X-10\nG92.1\nG92.3\nG1 X1\n"))[-1] == [1, 0, 0]


def test_coordinate_systems_have_the_offsets_that_the_file_gives_them():
    table = "G10 L2 P1 X1\nG10 L2 P2 X100 Z5\nG10 L2 P9 Y7\n"
    text = table + "G1 X1\nG55 X1 Z0\nG59.3 X1 Y1\nG53 X1 Y1 Z1\nG54 X0 (there already)\n"
    read = moves(text)

    assert ends(read)[1:] == [[2, 0, 0], [101, 0, 5], [1, 8, 5], [1, 1, 1]]
    assert read.notes == ()


def test_g53_is_absolute_in_relative_coordinates_too():
    assert ends(moves("G91 G1 X5\nG53 X7\nX1\n")) == [[0, 0, 0], [5, 0, 0], [7, 0, 0], [8, 0, 0]]


def test_several_systems_that_the_file_does_not_set_are_noted():
    (note,) = moves("G54 G1 X1\nG55 X2\n").notes

    assert note.startswith("More than one of the coordinate systems")


# Section 3.5.8
def test_home_is_machine_zero_through_the_point_named():
    read = moves("G1 X5 Y6 Z7\nG28 Z9\nG1 X4\nG30\n")

    assert ends(read)[1:] == [[5, 6, 7], [5, 6, 9], [5, 6, 0], [4, 6, 0], [0, 0, 0]]
    assert read.rapid.tolist() == [False, True, True, False, True]
    assert read.notes == ("Line 3: home (G28, G30) is taken as the machine's X0 Y0 Z0.",)


# Extrusion: common practice, no source; 3.5.17 for a file without M82 and M83.
def test_absolute_extrusion_advances_by_the_difference():
    read = moves("M82\nG1 X1 E2\nX2 E5\nX3\nX4 E4\nG92 E0\nX5 E1\n")

    assert read.advance == pytest.approx([2 * MM, 3 * MM, 0, 0, 1 * MM])


def test_relative_extrusion_advances_by_the_word():
    assert moves("M83\nG1 X1 E2\nX2 E5\nX3\n").advance == pytest.approx([2 * MM, 5 * MM, 0])


@pytest.mark.parametrize(
    ("modes", "expected"),
    [("G90", 3), ("G91", 5), ("M82 G91", 3), ("G91 M82", 3), ("M83 G90", 5), ("G90 M83", 5), ("G91 M83", 5)],
)
def test_e_follows_g91_until_m82_or_m83_rules_it(modes, expected):
    assert moves(f"{modes}\nG1 X1 E2\nX2 E5\n").advance[1] == pytest.approx(expected * MM)


def test_absolute_extrusion_under_relative_coordinates_is_noted():
    assert moves("M82 G91 G1 X1 E2\nX1 E4\n").notes == (
        "Line 2: E is taken as absolute, as M82 says, although G91 is in force.",
    )


@pytest.mark.parametrize("block", ["g1x10e12", "g1x10e-1", "g1x10e-12.", "g1x10 e-12", "e-12g1x10", "g1e-05x10"])
def test_an_extrusion_word_needs_no_blank_before_it(block):
    assert ends(moves(f"M83\n{block}\n"))[1] == [10, 0, 0]


def test_the_extrusion_axis_alone_takes_its_travel_over_the_feed():
    read = moves("M83 G1 X1 E1\nE-4\nE6\nG0 E2\nG93 E1 G1 F4\n")

    assert read.length.tolist()[1:] == [0, 0, 0, 0]
    assert read.dwell == pytest.approx([0, 0.4, 0.6, 0, 15])
    assert read.advance == pytest.approx([1 * MM, 0, 6 * MM, 2 * MM, 1 * MM])


def test_a_push_before_any_feed_is_taken_to_need_no_time():
    read = program("G21 M83 G1 E5\nX1 F60\n")

    assert read.dwell.tolist() == [0, 0]
    assert read.notes == ("Line 1: E moves alone before any F is given; that is taken to need no time.",)


# Table 8 and section 3.6
def test_m_codes_act_before_the_move_of_their_block_and_stops_after_it():
    read = moves("M7\nG1 X1 M8\nM9\nG2 X3 I1\nM5 X4 G1\nX5 M0\nM42\n")
    last = len(read)

    assert read.switches.code.tolist() == [7, 8, 9, 5, 0, 42, 2]
    assert read.switches.move.tolist() == [0, 0, 1, last - 2, last, last, last]


def test_words_after_a_builders_own_m_code_are_its_own():
    read = moves("G1 X1\nM201 X500 Y500\nX2\nM117 Hello, (wall\nM101 G1 X3\n")

    assert ends(read)[1:] == [[1, 0, 0], [2, 0, 0], [3, 0, 0]]
    assert read.switches.code.tolist() == [201, 117, 101, 2]
    assert read.notes == ("Line 3: words after an M code from M100 up are taken as belonging to it, not as a move.",)


def test_rotary_and_second_axes_are_left_aside_and_noted():
    read = moves("G1 X1 B20\nC90\nX2 U4\n")

    assert read.length == pytest.approx([1 * MM, 1 * MM])
    assert len(read.notes) == 1


@pytest.mark.parametrize(
    "code",
    [
        "G40",
        "G49",
        "G61",
        "G61.1",
        "G64",
        "G64 P0.1",
        "G80",
        "G94",
        "G97",
        "G98",
        "G99",
        "G69",
        "G15",
        "G9",
        "M6",
        "M48",
        "S500",
        "T2",
        "D1",
        "H3",
    ],
)
def test_codes_without_effect_on_the_path_are_accepted(code):
    assert len(moves(f"{code}\nG1 X1\n")) == 1


def test_progress_is_told_in_bytes():
    told = []
    program("G1 X1 F60\n", progress=lambda *counts: told.append(counts))

    assert told == [(10, 10)]


def test_long_numbers_are_read_as_python_reads_them():
    digits = "1." + "234567890" * 200
    read = program(f"G1 X{digits} Y0.{'0' * 30}5 F60\n")

    assert read.x[1] == float(digits) * MM
    assert read.y[1] == pytest.approx(5e-34, rel=1e-15)
