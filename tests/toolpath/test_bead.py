from __future__ import annotations

import numpy as np
import pytest

from evenbead.errors import InputRefused
from evenbead.toolpath.bead import printed
from evenbead.toolpath.model import Program, Switches


def program(moves, *, codes=(), flag=None):
    """A straight path; each move is a word: feed, rapid, extrude, dwell, prime. `codes` are (number, move) pairs."""
    length = np.array([0.0 if move in ("dwell", "prime") else 1.0 for move in moves])
    n = len(moves)
    return Program(
        source="wall.gcode",
        x=np.concatenate(([0.0], np.cumsum(length))),
        y=np.zeros(n + 1),
        z=np.zeros(n + 1),
        length=length,
        speed=np.full(n, 0.1),
        rapid=np.array([move == "rapid" for move in moves], bool),
        dwell=np.array([2.0 if move == "dwell" else 0.0 for move in moves]),
        advance=np.array([0.5 if move in ("extrude", "prime") else 0.0 for move in moves]),
        line=np.arange(1, n + 1, dtype=np.int32),
        flag=None if flag is None else np.array(flag, bool),
        switches=Switches(
            code=np.array([code for code, _ in codes], np.int32), move=np.array([move for _, move in codes], np.int64)
        ),
        notes=("a note of the reader",),
    )


def laid(path):
    return "".join("#" if on else "." for on in path.on)


def test_the_bead_is_on_while_the_extrusion_axis_advances_along_a_move():
    path = printed(program(["rapid", "prime", "extrude", "feed", "extrude", "dwell"]), "extruding")
    assert laid(path) == "..#.#."


def test_every_feed_move_with_a_length_prints_if_the_job_says_so():
    assert laid(printed(program(["rapid", "feed", "dwell", "extrude", "rapid"]), "feed moves")) == ".#.#."


def test_a_pair_of_codes_switches_the_bead_from_the_move_after_it():
    moves = ["feed"] * 6
    assert laid(printed(program(moves, codes=[(7, 1), (9, 3), (7, 4), (9, 5)]), ("M7", "M9"))) == ".##.#."


def test_other_codes_in_between_do_not_switch_a_named_pair():
    codes = [(7, 1), (8, 2), (5, 2), (9, 3)]
    assert laid(printed(program(["feed"] * 4, codes=codes), ("m7", "M9"))) == ".##."


def test_a_code_repeated_or_followed_at_once_by_its_partner_changes_nothing():
    codes = [(9, 0), (7, 0), (7, 1), (9, 2), (7, 3), (9, 3)]
    assert laid(printed(program(["feed"] * 4, codes=codes), ("M7", "M9"))) == "##.."


def test_a_bead_that_is_never_closed_stays_on_to_the_end():
    assert laid(printed(program(["feed"] * 3, codes=[(7, 1)]), ("M7", "M9"))) == ".##"


def test_an_extrusion_axis_that_advances_decides_before_codes_do():
    path = printed(program(["rapid", "extrude", "feed"], codes=[(7, 1), (9, 3)]))
    assert laid(path) == ".#."
    assert "extrusion axis advances" in path.why


def test_the_file_s_own_mark_decides_before_all():
    path = printed(program(["extrude", "extrude", "extrude"], flag=[True, False, True]))
    assert laid(path) == "#.#"
    assert "marks" in path.why


def test_a_single_pair_of_codes_around_the_feed_moves_is_found():
    moves = ["rapid", "feed", "feed", "rapid", "feed", "rapid"]
    path = printed(program(moves, codes=[(10, 1), (11, 3), (10, 4), (11, 5), (30, 6)]))
    assert laid(path) == ".##.#."
    assert "from M10 to M11" in path.why


def test_a_pair_is_found_by_its_closing_code_even_if_the_file_opens_with_it():
    path = printed(program(["feed", "feed", "feed", "feed"], codes=[(9, 0), (8, 1), (9, 2)]))
    assert laid(path) == ".#.."


def test_a_code_that_stays_on_over_positioning_moves_is_no_switch_of_the_bead():
    path = printed(program(["rapid", "feed", "rapid", "feed"], codes=[(3, 0), (5, 4)]))
    assert laid(path) == ".#.#"
    assert "every feed move" in path.why
    assert "M3, M5" in path.why


def test_three_candidates_are_no_clear_pair():
    path = printed(program(["rapid", "feed", "feed"], codes=[(3, 0), (7, 1), (9, 2)]))
    assert laid(path) == ".##"


def test_without_axis_and_codes_the_feed_moves_print():
    path = printed(program(["rapid", "feed", "rapid"], codes=[(82, 0), (30, 3)]))
    assert laid(path) == ".#."
    assert "every feed move prints" in path.why


def test_columns_and_notes_go_over_unchanged():
    source = program(["rapid", "feed", "dwell"])
    path = printed(source)
    assert path.x is source.x
    assert path.notes == source.notes
    assert path.path_length == pytest.approx(1.0)
    assert path.travel_length == pytest.approx(1.0)


@pytest.mark.parametrize(
    ("moves", "codes", "when", "message"),
    [
        (["rapid", "rapid"], [], None, "nothing prints"),
        (["rapid", "rapid"], [], "feed moves", "positioning moves (G0) only"),
        (["dwell"], [], None, "no move with a length"),
        (["rapid", "feed"], [], "extruding", 'printing.when could be "feed moves"'),
        (["feed"], [(3, 0), (5, 1)], ("M7", "M9"), "M7, M9 never occur; the file has M3, M5"),
        (["feed"], [(9, 0)], ("M7", "M9"), "M7 never occurs; the file has M9"),
        (["feed"], [], ("M7", "M9"), "no M codes at all"),
        (["feed", "feed"], [(7, 0), (9, 0)], ("M7", "M9"), "nothing prints"),
        (["feed"], [], ("spray", "M9"), "is no M code"),
    ],
)
def test_it_refuses_a_file_in_which_nothing_would_print_and_says_what_could(moves, codes, when, message):
    with pytest.raises(InputRefused) as refusal:
        printed(program(moves, codes=codes), when)
    assert message in str(refusal.value)
    assert str(refusal.value).startswith("wall.gcode")


def test_it_refuses_a_file_whose_own_mark_is_never_set():
    with pytest.raises(InputRefused, match="nothing prints"):
        printed(program(["feed", "feed"], flag=[False, False]))
