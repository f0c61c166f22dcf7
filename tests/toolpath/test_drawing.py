from __future__ import annotations

import io
import math

import ezdxf
import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

import invented_site as site
from evenbead.documents import read_case
from evenbead.errors import InputRefused
from evenbead.toolpath.bead import printed
from evenbead.toolpath.drawing import read_drawing
from evenbead.toolpath.layers import layers_of
from evenbead.toolpath.reading import toolpath_for

HEIGHT = 0.015


@pytest.fixture
def sheet():
    """An empty drawing in millimetres."""
    document = ezdxf.new()
    document.units = ezdxf.units.MM
    return document


@pytest.fixture
def read(tmp_path):
    def read(document, *, layers=1, **options):
        path = tmp_path / "wall.dxf"
        document.saveas(path)
        return read_drawing(path, layers=layers, layer_height=HEIGHT, **options)

    return read


def laid_length(program):
    return float(program.length[program.flag].sum())


def travelled(program):
    return float(program.length[~program.flag].sum())


def runs(program):
    """Number of unbroken stretches of bead."""
    return int(np.count_nonzero(np.diff(program.flag.astype(int), prepend=0) == 1))


def test_a_line_is_laid_as_drawn(sheet, read):
    sheet.modelspace().add_line((100, 200), (1100, 200))
    program = read(sheet)
    assert program.x.tolist() == pytest.approx([0.1, 1.1])
    assert program.y.tolist() == pytest.approx([0.2, 0.2])
    assert program.z.tolist() == pytest.approx([HEIGHT, HEIGHT])
    assert program.flag.tolist() == [True]
    assert np.isnan(program.speed).all()
    assert program.line.tolist() == [0]


@pytest.mark.parametrize(
    ("unit", "metres"),
    [("IN", 0.0254), ("FT", 0.3048), ("MM", 0.001), ("CM", 0.01), ("M", 1.0), ("YD", 0.9144), ("DM", 0.1)],
)
def test_the_unit_comes_from_the_header(sheet, read, unit, metres):
    sheet.units = getattr(ezdxf.units, unit)
    sheet.modelspace().add_line((0, 0), (3, 4))
    assert laid_length(read(sheet)) == pytest.approx(5 * metres, rel=1e-12)


def test_a_drawing_without_a_unit_is_not_guessed_at(sheet, read):
    sheet.units = 0
    sheet.modelspace().add_line((0, 0), (3, 4))
    with pytest.raises(InputRefused, match=r"states no unit; .*drawing\.unit"):
        read(sheet)
    program = read(sheet, unit="ft")
    assert laid_length(program) == pytest.approx(5 * 0.3048)
    assert "the drawing states no unit and is read in ft" in program.notes


def test_the_job_states_the_unit_of_a_drawing_that_states_none(sheet, tmp_path):
    sheet.units = 0
    sheet.modelspace().add_circle((0, 0), 20)
    sheet.saveas(tmp_path / "ring.dxf")
    job = site.changed(site.JOB, 'when = { on = "M7", off = "M9" }\n', 'speed = "100 mm/s"\n')
    job = site.changed(job, "bench.gcode", "ring.dxf") + '\n[drawing]\nlayers = 3\nunit = "in"\n'
    case = read_case(site.write_case(tmp_path, job=job))
    path = toolpath_for(case.toolpath, case.job)
    assert path.path_length == pytest.approx(3 * 2 * math.pi * 20 * 0.0254, rel=1e-9)


def test_a_unit_that_is_no_length_is_refused(sheet, read):
    sheet.units = 0
    sheet.modelspace().add_line((0, 0), (3, 4))
    with pytest.raises(InputRefused, match=r"drawing\.unit"):
        read(sheet, unit="bar")


def test_layers_are_raised_by_the_layer_height_and_found_again(sheet, read):
    sheet.modelspace().add_lwpolyline([(0, 0), (1000, 0), (1000, 500), (0, 500)], close=True)
    program = read(sheet, layers=12)
    path = printed(program)
    layers = layers_of(path, bead_width=0.045, layer_height=HEIGHT)
    assert len(layers) == 12
    assert layers.z == pytest.approx(HEIGHT * np.arange(1, 13))
    assert layers.length == pytest.approx([3.0] * 12)
    assert travelled(program) == pytest.approx(11 * HEIGHT)


def test_an_open_line_is_laid_in_the_same_direction_in_every_layer(sheet, read):
    sheet.modelspace().add_line((0, 0), (2000, 0))
    program = read(sheet, layers=3)
    assert program.x.tolist() == pytest.approx([0, 2, 2, 0, 2, 2, 0, 2])
    assert program.z.tolist() == pytest.approx(HEIGHT * np.array([1, 1, 2, 2, 2, 3, 3, 3]))
    assert program.flag.tolist() == [True, False, False, True, False, False, True]
    assert program.rapid.tolist() == (~program.flag).tolist()
    assert program.length.tolist() == pytest.approx([2, HEIGHT, 2, 2, HEIGHT, 2, 2])


def test_a_circle_has_its_true_length_and_chords_close_to_it(sheet, read):
    sheet.modelspace().add_circle((0, 0), 400)
    program = read(sheet, chord=0.0005)
    assert laid_length(program) == pytest.approx(2 * math.pi * 0.4, rel=1e-12)
    middle = np.hypot(program.x[1:] + program.x[:-1], program.y[1:] + program.y[:-1]) / 2
    assert 0 <= (0.4 - middle).max() <= 0.0005
    assert runs(program) == 1


def test_an_arc_seen_from_behind_is_mirrored(sheet, read):
    sheet.modelspace().add_arc((1000, 0), 500, 0, 90, dxfattribs={"extrusion": (0, 0, -1)})
    program = read(sheet)
    assert (program.x[0], program.y[0]) == pytest.approx((-1.5, 0))
    assert (program.x[-1], program.y[-1]) == pytest.approx((-1.0, 0.5))


@pytest.mark.parametrize("bulge", [1.0, -0.4, 0.1])
def test_bulges_of_a_polyline_are_arcs(sheet, read, bulge):
    sheet.modelspace().add_lwpolyline([(0, 0, bulge), (1000, 0, 0), (1000, 500, 0)], format="xyb")
    program = read(sheet)
    sweep = 4 * math.atan(abs(bulge))
    assert laid_length(program) == pytest.approx(sweep * 0.5 / math.sin(sweep / 2) + 0.5, rel=1e-12)
    # A positive bulge turns left, so that the arc lies to the right of its chord.
    assert (program.y.min() < -0.01) == (bulge > 0)


def test_an_old_polyline_with_bulges_is_read_like_a_new_one(sheet, read):
    corners = [(0, 0, 0.5), (1000, 0, 0), (1000, 500, -1)]
    sheet.modelspace().add_lwpolyline(corners, format="xyb", close=True)
    new = read(sheet)
    sheet.modelspace().delete_all_entities()
    sheet.modelspace().add_polyline2d(corners, format="xyb", close=True)
    old = read(sheet)
    assert old.x == pytest.approx(new.x)
    assert old.length == pytest.approx(new.length)


def test_lines_and_arcs_in_any_order_and_direction_become_one_loop(sheet, read):
    model = sheet.modelspace()
    model.add_line((0, 0), (1000, 0))
    model.add_line((1000, 500), (0, 500))
    model.add_arc((0, 250), 250, 90, 270)
    model.add_arc((1000, 250), 250, -90, 90)
    program = read(sheet)
    assert runs(program) == 1
    assert laid_length(program) == pytest.approx(2 + math.pi * 0.5, rel=1e-12)
    assert "1 closed loop and 0 open lines in each layer" in program.notes


def test_ends_that_almost_meet_are_joined(sheet, read):
    model = sheet.modelspace()
    model.add_line((0, 0), (1000, 0))
    model.add_line((1000.4, 0.3), (1000, 800))
    assert runs(read(sheet)) == 1
    assert runs(read(sheet, bead_width=0.005)) == 2


def test_where_more_than_two_lines_meet_the_straightest_goes_on(sheet, read):
    model = sheet.modelspace()
    model.add_line((0, 0), (1000, 0))
    model.add_line((1000, 0), (1000, 700))
    model.add_line((2000, 0), (1000, 0))
    program = read(sheet)
    assert runs(program) == 2
    assert program.x[:3].tolist() == pytest.approx([0, 1, 2])


def test_loops_follow_each_other_by_the_nearest_start(sheet, read):
    model = sheet.modelspace()
    for x in (0, 6000, 2000, 4000):
        model.add_circle((x, 0), 300)
    program = read(sheet)
    begins = program.x[:-1][np.diff(program.flag.astype(int), prepend=0) == 1]
    assert begins.tolist() == pytest.approx([0.3, 2.3, 4.3, 6.3])


def test_an_open_line_is_turned_if_its_end_is_nearer(sheet, read):
    model = sheet.modelspace()
    model.add_line((0, 0), (1000, 0))
    model.add_line((0, 100), (1000, 100))
    program = read(sheet)
    assert program.x.tolist() == pytest.approx([0, 1, 1, 0])
    assert travelled(program) == pytest.approx(0.1)


def test_a_line_drawn_twice_is_laid_once(sheet, read):
    model = sheet.modelspace()
    model.add_line((0, 0), (1000, 0))
    model.add_line((1000, 0), (0, 0))
    program = read(sheet)
    assert laid_length(program) == pytest.approx(1.0)
    assert "1 line drawn twice on the same place taken once" in program.notes


def test_two_arcs_of_one_circle_are_not_taken_for_the_same_line(sheet, read):
    model = sheet.modelspace()
    model.add_arc((0, 0), 400, 0, 180)
    model.add_arc((0, 0), 400, 180, 360)
    assert laid_length(read(sheet)) == pytest.approx(2 * math.pi * 0.4)


def test_blocks_are_laid_where_they_are_inserted_in_their_size_and_turn(sheet, read):
    column = sheet.blocks.new("COLUMN")
    column.add_circle((0, 0), 100)
    pair = sheet.blocks.new("PAIR")
    pair.add_blockref("COLUMN", (0, 0))
    pair.add_blockref("COLUMN", (1000, 0), dxfattribs={"xscale": 2, "yscale": 2})
    sheet.modelspace().add_blockref("PAIR", (5000, 0), dxfattribs={"rotation": 90})
    program = read(sheet)
    assert laid_length(program) == pytest.approx(2 * math.pi * 0.3, rel=1e-9)
    assert runs(program) == 2
    assert (program.x.min(), program.y.max()) == pytest.approx((4.8, 1.2), abs=1e-3)


def test_a_circle_in_a_block_stretched_one_way_is_an_ellipse(sheet, read):
    sheet.blocks.new("COLUMN").add_circle((0, 0), 100)
    sheet.modelspace().add_blockref("COLUMN", (0, 0), dxfattribs={"xscale": 3})
    program = read(sheet)
    assert (np.ptp(program.x), np.ptp(program.y)) == pytest.approx((0.6, 0.2), abs=1e-3)


def test_a_block_inserted_in_rows_is_laid_in_rows(sheet, read):
    sheet.blocks.new("COLUMN").add_circle((0, 0), 100)
    attributes = {"row_count": 2, "column_count": 3, "row_spacing": 500, "column_spacing": 500}
    sheet.modelspace().add_blockref("COLUMN", (0, 0), dxfattribs=attributes)
    assert runs(read(sheet)) == 6


def test_a_spline_through_points_is_followed(sheet, read):
    sheet.modelspace().add_spline([(0, 0), (500, 300), (1000, 0), (1500, 300)])
    program = read(sheet)
    assert (program.x[0], program.y[0]) == pytest.approx((0, 0), abs=1e-9)
    assert (program.x[-1], program.y[-1]) == pytest.approx((1.5, 0.3))
    assert np.min(np.hypot(program.x - 0.5, program.y - 0.3)) < 0.01


def test_texts_and_hidden_layers_are_left_out_and_said_so(sheet, read):
    model = sheet.modelspace()
    model.add_line((0, 0), (1000, 0))
    model.add_line((0, 0), (0, 0))
    model.add_text("WALL A")
    model.add_mtext("as agreed")
    model.add_point((3, 3))
    sheet.layers.add("AXES").off()
    model.add_line((0, 0), (0, 9000), dxfattribs={"layer": "axes"})
    program = read(sheet)
    assert laid_length(program) == pytest.approx(1.0)
    assert "left out, as only lines are laid: 1 MTEXT, 1 POINT, 1 TEXT" in program.notes
    assert "1 entity on hidden layers of the drawing left out" in program.notes
    assert "1 line without length left out" in program.notes


def test_a_drawing_at_another_height_is_laid_from_the_base_and_said_so(sheet, read):
    sheet.modelspace().add_lwpolyline([(0, 0), (1000, 0)], dxfattribs={"elevation": 3200})
    program = read(sheet)
    assert program.z.tolist() == pytest.approx([HEIGHT, HEIGHT])
    assert any("z = 3.2 m" in note for note in program.notes)


def test_a_binary_drawing_is_read(sheet, tmp_path):
    sheet.modelspace().add_line((0, 0), (1000, 0))
    sheet.saveas(tmp_path / "wall.dxf", fmt="bin")
    assert laid_length(read_drawing(tmp_path / "wall.dxf", layers=1, layer_height=HEIGHT)) == pytest.approx(1.0)


def test_it_refuses_a_drawing_that_is_not_level(sheet, read):
    sheet.modelspace().add_line((0, 0, 0), (1000, 0, 200))
    with pytest.raises(InputRefused, match=r"not level: its lines lie between z = 0 m and 0\.2 m"):
        read(sheet)


def test_it_names_every_entity_with_coordinates_that_are_no_numbers(sheet, read):
    model = sheet.modelspace()
    model.add_line((0, 0), (float("nan"), 0))
    model.add_circle((float("inf"), 0), 100)
    model.add_circle((0, 0), 1e20)
    model.add_spline().control_points = [(0, 0, 0), (1, float("nan"), 0), (2, 0, 0), (3, 0, 0)]
    with pytest.raises(InputRefused) as refusal:
        read(sheet)
    assert len(refusal.value.faults) == 4
    assert all(fault.key.startswith("handle ") for fault in refusal.value.faults)


def test_it_refuses_a_drawing_with_nothing_to_lay_and_says_what_it_has(sheet, read):
    sheet.modelspace().add_text("WALL A")
    with pytest.raises(InputRefused, match=r"nothing to lay \(left out, as only lines are laid: 1 TEXT\)"):
        read(sheet)


def test_it_refuses_a_drawing_in_which_every_line_has_no_length(sheet, read):
    sheet.modelspace().add_line((5, 5), (5, 5))
    sheet.modelspace().add_circle((5, 5), 0)
    with pytest.raises(InputRefused, match="2 lines without length"):
        read(sheet)


def test_it_refuses_a_drawing_larger_than_any_site(sheet, read):
    sheet.units = ezdxf.units.M
    sheet.modelspace().add_line((0, 0), (20_000, 0))
    with pytest.raises(InputRefused, match="20 km across; check its unit"):
        read(sheet)


@pytest.mark.parametrize(
    ("content", "message"),
    [
        (b"", "the file is empty"),
        (b"G1 X10 Y10\n", "no DXF file"),
        (bytes(range(256)) * 20, "no DXF file"),
        (b"0\nSECTION\n2\nENTITIES\n0\nLINE\n", "damaged or cut short"),
        (b"0\nSECTION\n2\nENTITIES\n0\nLINE\n10\nabc\n0\nENDSEC\n0\nEOF\n", "DXF"),
    ],
    ids=["empty", "text", "binary", "truncated", "letters"],
)
def test_it_refuses_what_is_no_drawing(tmp_path, content, message):
    path = tmp_path / "wall.dxf"
    path.write_bytes(content)
    with pytest.raises(InputRefused, match=message):
        read_drawing(path, layers=1, layer_height=HEIGHT)


def test_it_refuses_a_missing_file(tmp_path):
    with pytest.raises(InputRefused, match="there is no such file"):
        read_drawing(tmp_path / "no.dxf", layers=1, layer_height=HEIGHT)


@pytest.mark.parametrize("options", [{"layers": 0, "layer_height": HEIGHT}, {"layers": 3, "layer_height": 0.0}])
def test_it_refuses_to_lay_nothing(sheet, tmp_path, options):
    sheet.modelspace().add_line((0, 0), (1000, 0))
    sheet.saveas(tmp_path / "wall.dxf")
    with pytest.raises(InputRefused, match=r"drawing\.layers|bead\.layer_height"):
        read_drawing(tmp_path / "wall.dxf", **options)


def test_it_refuses_a_block_that_is_not_in_the_drawing(sheet, read):
    sheet.modelspace().add_blockref("NOWHERE", (0, 0))
    with pytest.raises(InputRefused, match="NOWHERE"):
        read(sheet)


def test_it_refuses_a_polyline_with_a_corner_that_is_nowhere(sheet, read):
    corner = sheet.modelspace().add_polyline2d([(0, 0), (1000, 0)]).vertices[1]
    corner.dxf.discard("location")
    with pytest.raises(InputRefused, match="the POLYLINE lacks a coordinate"):
        read(sheet)


def test_it_refuses_blocks_that_hold_each_other(sheet, read):
    sheet.blocks.new("A").add_blockref("B", (1, 0))
    sheet.blocks.new("B").add_blockref("A", (1, 0))
    sheet.modelspace().add_blockref("A", (0, 0))
    with pytest.raises(InputRefused, match=r"without end|damaged"):
        read(sheet)


@pytest.fixture(scope="module")
def sound_drawing():
    document = ezdxf.new(units=ezdxf.units.MM)
    model = document.modelspace()
    model.add_lwpolyline([(0, 0, 0.5), (1000, 0, 0), (2000, 2000, 0)], format="xyb")
    model.add_spline([(0, 0), (100, 100), (200, 0)])
    model.add_ellipse((0, 0), (1000, 0), 0.5)
    model.add_arc((0, 0), 500, 0, 90)
    stream = io.StringIO()
    document.write(stream)
    return stream.getvalue().encode()


@given(
    place=st.floats(0, 1),
    cut=st.integers(0, 3),
    instead=st.sampled_from([b"", b"9", b"-", b"nan", b"\n", b"1e400", b"A", b"999999999", b"\xff"]),
    keep=st.sampled_from([1.0, 1.0, 0.9, 0.3]),
)
@settings(max_examples=40, deadline=None)
def test_whatever_befalls_a_drawing_it_is_read_or_refused(tmp_path_factory, sound_drawing, **change):
    entities = sound_drawing.index(b"ENTITIES")
    at = entities + int(change["place"] * (len(sound_drawing) - entities - 1))
    content = sound_drawing[:at] + change["instead"] + sound_drawing[at + change["cut"] :]
    path = tmp_path_factory.mktemp("fuzz") / "wall.dxf"
    path.write_bytes(content[: int(change["keep"] * len(content))])
    try:
        program = read_drawing(path, layers=2, layer_height=HEIGHT)
    except InputRefused:
        return
    assert np.isfinite(program.length).all()
