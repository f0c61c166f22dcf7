from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from evenbead.errors import InputRefused
from evenbead.toolpath.bead import printed
from evenbead.toolpath.layers import layers_of
from evenbead.toolpath.points import read_points


@pytest.fixture
def read(tmp_path):
    def read(content, *, layers=None, layer_height=0.015):
        path = tmp_path / "wall.csv"
        path.write_bytes(content if isinstance(content, bytes) else content.encode())
        return read_points(path, layers=layers, layer_height=layer_height)

    return read


PLAIN = "x [mm],y [mm],z [mm],speed [mm/s],printing\n0,0,15,120,0\n1000,0,15,120,1\n1000,500,15,60,0\n0,500,15,90,1\n"


def test_a_row_says_how_its_point_is_reached(read):
    program = read(PLAIN)
    assert program.x.tolist() == [0, 1, 1, 0]
    assert program.y.tolist() == [0, 0, 0.5, 0.5]
    assert program.z.tolist() == [0.015] * 4
    assert program.length.tolist() == [1, 0.5, 1]
    assert program.speed.tolist() == pytest.approx([0.12, 0.06, 0.09])
    assert program.flag.tolist() == [True, False, True]
    assert program.line.tolist() == [3, 4, 5]
    assert not program.rapid.any()


@pytest.mark.parametrize(
    "content",
    [
        PLAIN.replace("\n", "\r\n"),
        PLAIN.replace("\n", "\r"),
        b"\xef\xbb\xbf" + PLAIN.encode(),
        PLAIN.replace(",", "\t"),
        PLAIN.replace(",", " ; "),
        PLAIN.rstrip("\n"),
        PLAIN.replace("0,0,15,120,0", "0,0,15,120,off").replace(",1\n", ",Yes\n"),
        PLAIN.replace("x [mm]", '"X (mm)"').replace("printing", "Printing"),
        PLAIN.replace("120", "0.12").replace("60,0", "0.06,0").replace("90,1", "0.09,1").replace("[mm/s]", "[m/s]"),
        "# made by hand\n\n" + PLAIN.replace("1000,0,15", "\n  \n1e3,0,15").replace(",1\n", ",1 # lay\n"),
    ],
    ids=[
        "crlf",
        "cr",
        "bom",
        "tabs",
        "semicolons",
        "no-last-newline",
        "words",
        "quoted",
        "metres-per-second",
        "comments",
    ],
)
def test_the_ways_of_writing_the_same_list_give_the_same_path(read, content):
    program, plain = read(content), read(PLAIN)
    for name in ("x", "y", "z", "length", "speed"):
        assert getattr(program, name) == pytest.approx(getattr(plain, name), rel=1e-12)
    assert program.flag.tolist() == plain.flag.tolist()


def test_a_decimal_comma_is_understood_where_the_comma_does_not_separate(read):
    program = read("x [m];y [m];z [m]\n0,5;1;0,015\n1,25;1,0;0,015\n")
    assert program.x.tolist() == [0.5, 1.25]
    assert program.flag is None


def test_lines_are_counted_through_comments_and_empty_lines(read):
    program = read("\n# head\nx [mm],y [mm],z [mm]\n\n0,0,0\n# turn\n1,0,0\n\n2,0,0\n")
    assert program.line.tolist() == [7, 9]


def test_columns_may_stand_in_any_order_and_others_are_passed_over_and_said_so(read):
    program = read("name,z [in],y [in],x [in],flow\na,1,2,3,9\nb,1,2,4,9\n")
    assert program.x.tolist() == pytest.approx([3 * 0.0254, 4 * 0.0254])
    assert program.z.tolist() == pytest.approx([0.0254] * 2)
    assert program.notes == ('column "name" is not used', 'column "flow" is not used')


def test_an_empty_speed_is_a_speed_not_given(read):
    program = read("x [mm],y [mm],z [mm],speed [mm/s]\n0,0,0,\n1,0,0,120\n2,0,0,\n")
    assert program.speed[0] == pytest.approx(0.12)
    assert np.isnan(program.speed[1])


def test_a_flat_outline_is_repeated_in_layers(read):
    program = read("x [mm],y [mm]\n0,0\n1000,0\n1000,500\n0,500\n0,0\n", layers=8)
    layers = layers_of(printed(program), bead_width=0.045, layer_height=0.015)
    assert len(layers) == 8
    assert layers.z == pytest.approx(0.015 * np.arange(1, 9))
    assert layers.length == pytest.approx([3.0] * 8)
    assert program.flag.sum() == 8 * 4


def test_travel_inside_a_repeated_outline_stays_travel(read):
    content = "x [mm],y [mm],z [mm],speed [mm/s],printing\n0,0,7,9,0\n1000,0,7,100,1\n2000,0,7,200,0\n3000,0,7,100,1\n"
    program = read(content, layers=2)
    assert program.flag.tolist() == [True, False, True, False, False, True, False, True]
    assert program.z.tolist() == pytest.approx([0.015] * 4 + [0.03] * 5)
    assert program.speed[[0, 1, 2, 5, 6]] == pytest.approx([0.1, 0.2, 0.1, 0.1, 0.2])
    assert np.isnan(program.speed[[3, 4]]).all()
    assert program.line.tolist() == [3, 4, 5, 2, 2, 3, 4, 5]


def test_a_list_without_any_unit_is_taken_in_millimetres_and_says_so(tmp_path):
    path = tmp_path / "wall.csv"
    path.write_text("x,y,z,speed,printing\n0,0,15,100,0\n1000,0,15,100,1\n", encoding="utf-8")

    program = read_points(path, layers=None, layer_height=None)

    assert program.length.tolist() == [1.0]
    assert program.speed.tolist() == [0.1]
    assert any("no units" in note for note in program.notes)


@pytest.mark.parametrize(
    ("content", "message"),
    [
        ("", "the file is empty"),
        ("\n \n# nothing\n", "the file is empty"),
        ("x [mm],y [mm],z [mm]\n", "wall.csv:1: the list has no points"),
        ("x [mm],y [mm],z [mm]\n1,2,3\n", "wall.csv:1: the list has one point; expected at least two"),
        ("x [mm],y [mm],z [mm]\n1,2,3\n1,2,3\n", "all points lie on one place"),
        ("0,0,15\n1000,0,15\n", 'wall.csv:1: no column x and no column y; expected a first line such as "x [mm]'),
        ("x,y [mm],z [mm]\n0,0,0\n1,0,0\n", 'wall.csv:1: x: "x" has no unit; expected it in brackets'),
        ("x [mm],y [bar],z [mm]\n0,0,0\n1,0,0\n", 'y [bar]: "1 bar" is not a length'),
        ("x [mm],y [mm],z [mm],sped [mm/s]\n0,0,0,1\n1,0,0,1\n", 'there is no column "sped"; did you mean "speed"?'),
        ("x [mm],x [mm],y [mm]\n0,0,0\n1,0,0\n", '"x" stands in two columns'),
        ("x [mm],y [mm],z [mm],printing [mm]\n0,0,0,1\n1,0,0,1\n", 'printing [mm]: "printing" has the unit "mm"'),
        ("x [mm],y [mm]\n0,0\n1,0\n", "the list has no heights; expected a column z, or drawing.layers in the job"),
        ("x [mm],y [mm],z [mm]\n0,0,0\n1,abc,0\n", 'wall.csv:3: y [mm]: "abc" can\'t stand here; expected a number'),
        ("x [mm],y [mm],z [mm]\n0,0,0\n1,0\n", "wall.csv:3: z [mm]: the row ends before this column"),
        ("x [mm],y [mm],z [mm]\n0,0,0\n1,0,nan\n", 'wall.csv:3: z [mm]: "nan" can\'t stand here'),
        ("x [mm],y [mm],z [mm]\n0,0,0\n-inf,0,0\n", 'wall.csv:3: x [mm]: "-inf" can\'t stand here'),
        ("x [mm],y [mm],z [mm]\n0,0,0\n1e999,0,0\n", "wall.csv:3: x [mm]"),
        ("x [mm],y [mm],z [mm]\n0,0,0\n1_0,0,0\n", "wall.csv:3: x [mm]"),
        ("x [mm],y [mm],z [mm]\n0,0,0\n,0,0\n", "wall.csv:3: x [mm]"),
        ("x [mm];y [mm];z [mm]\n0;0;0\n1.000,5;0;0\n", "wall.csv:3: x [mm]"),
        ("x [mm],y [mm],z [mm],speed [mm/s]\n0,0,0,5\n1,0,0,0\n", "wall.csv:3: speed [mm/s]"),
        ("x [mm],y [mm],z [mm],speed [mm/s]\n0,0,0,5\n1,0,0,-5\n", "expected a speed above zero"),
        ("x [mm],y [mm],z [mm],printing\n0,0,0,1\n1,0,0,2\n", "expected 1 (printing) or 0 (not)"),
        ("x [m],y [m],z [m]\n0,0,0\n20000,0,0\n", "x: the path is 20 km across; check the unit in the header"),
        (b"\x00\x01\x02\x03", "this is no text"),
        (b"x [mm],y [mm],z [mm]\n0,0,0\n# M\xf6rtel\n1,0,0\n", "wall.csv:3: a letter is not written in UTF-8"),
        (PLAIN.encode("utf-16"), "this is no text"),
        ("x [mm],y [mm],z [mm]\n0,0,0\n" + "1" * 1_000_000 + ",0,0\n", "wall.csv:3: the line is 1000004 letters long"),
        ("," * 1_000_000, "wall.csv:1: the line is 1000000 letters long"),
    ],
)  # fmt: skip
def test_it_refuses_a_faulty_list_and_says_where_and_why(read, content, message):
    with pytest.raises(InputRefused) as refusal:
        read(content)
    assert message in str(refusal.value)


def test_every_faulty_row_is_named_at_once(read):
    with pytest.raises(InputRefused) as refusal:
        read("x [mm],y [mm],z [mm]\n0,0,0\nA,0,0\n1,B,0\n2,0,0\n3,0,C\n")
    assert [(fault.line, fault.key) for fault in refusal.value.faults] == [(3, "x [mm]"), (4, "y [mm]"), (6, "z [mm]")]


def test_a_list_that_is_wrong_throughout_stops_being_counted(read):
    with pytest.raises(InputRefused) as refusal:
        read("x [mm],y [mm],z [mm]\n" + "a,b,c\n" * 1000)
    assert len(refusal.value.faults) < 30


def test_it_refuses_to_repeat_a_list_with_heights_of_its_own(read):
    with pytest.raises(InputRefused, match=r"z: the list has heights of its own"):
        read("x [mm],y [mm],z [mm]\n0,0,0\n1,0,15\n", layers=4)


def test_it_refuses_layers_without_a_height(read):
    with pytest.raises(InputRefused, match=r"bead\.layer_height: no layer height"):
        read("x [mm],y [mm]\n0,0\n1,0\n", layers=4, layer_height=None)


def test_it_refuses_a_missing_file_and_a_folder(tmp_path):
    with pytest.raises(InputRefused, match="there is no such file"):
        read_points(tmp_path / "no.csv", layers=None, layer_height=None)
    with pytest.raises(InputRefused):
        read_points(tmp_path, layers=None, layer_height=None)


@given(st.one_of(st.binary(max_size=200), st.text(alphabet='xyz[]m,;\t\n\r# "0123456789.-+eE', max_size=200)))
@settings(max_examples=150, deadline=None)
def test_whatever_is_in_the_file_it_is_read_or_refused(tmp_path_factory, content):
    path = tmp_path_factory.mktemp("fuzz") / "wall.csv"
    path.write_bytes(content if isinstance(content, bytes) else b"x [mm],y [mm],z [mm]\n" + content.encode())
    try:
        program = read_points(path, layers=None, layer_height=None)
    except InputRefused:
        return
    assert np.isfinite(program.length).all()
