"""Machine code held against geometry in closed form, against ezdxf, and against another reader."""

from __future__ import annotations

import math
import tomllib
from pathlib import Path

import numpy as np
import pytest
from ezdxf.math import ConstructionArc

from machine_code_files import moves, program

HERE = Path(__file__).parent
ARCS = tomllib.loads((HERE / "arc-lengths.toml").read_text("utf-8"))["arc"]
OTHER = tomllib.loads((HERE / "gcodeparser-0.3.0.toml").read_text("utf-8"))
MM = 0.001
DEVIATION = 0.0001  # what `read_machine_code` allows unless told otherwise [m]


def corners(read):
    return np.stack([read.x, read.y, read.z]).T


def distance(point, path):
    """From a point to the nearest place on a polyline. [m]"""
    start, along = path[:-1], np.diff(path, axis=0)
    share = np.clip(np.sum((point - start) * along, axis=1) / np.sum(along**2, axis=1), 0, 1)
    return np.min(np.linalg.norm(start + share[:, None] * along - point, axis=1))


@pytest.mark.parametrize("arc", ARCS, ids=lambda arc: arc["id"])
def test_an_arc_has_the_length_of_its_closed_form_and_goes_the_right_way(arc):
    read = moves(arc["words"])
    length = eval(arc["length"], {"pi": math.pi, "hypot": math.hypot})

    assert read.length.sum() == pytest.approx(length * MM, rel=1e-12)
    assert distance(np.array(arc["through"]) * MM, corners(read)) < DEVIATION
    assert read.length == pytest.approx(np.full(len(read), read.length[0]))


@pytest.mark.parametrize("deviation", [1e-3, 1e-4, 1e-6])
@pytest.mark.parametrize(("start", "end", "radius"), [(0, 90, 10), (200, 530, 40), (10, 12, 2500), (0, 359, 0.7)])
def test_chords_keep_within_their_deviation_of_the_arc_of_ezdxf(start, end, radius, deviation):
    arc = ConstructionArc((3, 4), radius, start, end)
    (x0, y0), (x1, y1) = arc.start_point, arc.end_point
    read = moves(f"G0 X{x0:.12f} Y{y0:.12f}\nG3 X{x1:.12f} Y{y1:.12f} I{3 - x0:.12f} J{4 - y0:.12f}", chord=deviation)
    path = corners(read)[1:] / MM

    fine = np.array([(p.x, p.y, 0) for p in arc.flattening(sagitta=1e-7 * radius)])
    own = np.sum(np.linalg.norm(np.diff(fine, axis=0), axis=1))
    assert read.length[1:].sum() == pytest.approx(own * MM, rel=1e-6)
    assert read.length[1:].sum() == pytest.approx(radius * math.radians(end - start) * MM, rel=1e-9)

    middles = np.linalg.norm((path[1:, :2] + path[:-1, :2]) / 2 - (3, 4), axis=1)
    assert np.all(radius - middles <= deviation / MM * (1 + 1e-6))
    assert np.linalg.norm(path[:, :2] - (3, 4), axis=1) == pytest.approx(np.full(len(path), radius), rel=1e-9)


@pytest.mark.parametrize("turn", ["G2", "G3"])
@pytest.mark.parametrize("long_way", [False, True])
@pytest.mark.parametrize(("end", "radius"), [((30, 40), 25.5), ((30, -40), 60), ((-7, 0.5), 400), ((0, 1), 0.6)])
def test_an_arc_by_radius_has_the_centre_that_ezdxf_finds(turn, long_way, end, radius):
    # Ezdxf swaps the ends of a clockwise arc first, so that "left" is that of the way back.
    arc = ConstructionArc.from_2p_radius((0, 0), end, radius, ccw=turn == "G3", center_is_left=not long_way)
    read = moves(f"{turn} X{end[0]} Y{end[1]} R{-radius if long_way else radius}")
    path = corners(read)[:, :2] / MM
    sweep = math.radians((arc.end_angle - arc.start_angle) % 360)

    assert np.linalg.norm(path - (arc.center.x, arc.center.y), axis=1) == pytest.approx(
        np.full(len(path), radius), rel=1e-9
    )
    assert read.length.sum() == pytest.approx(radius * sweep * MM, rel=1e-9)


def followed(words):
    """Corner after each move, time stood still, and way of the extrusion axis, in absolute coordinates. [mm, s]"""
    place, corner_list, still, pushes = dict.fromkeys("XYZ", 0.0), [], 0.0, []
    feed = math.nan
    for code, given in words:
        feed = given.get("F", feed)
        if code == "G4":
            still += given["P"]
        if code in {"G0", "G1", "G3"}:
            before = dict(place)
            place |= {axis: given[axis] for axis in "XYZ" if axis in given}
            if place == before:
                still += abs(given["E"]) / (feed / 60)
            else:
                corner_list.append([place[axis] for axis in "XYZ"])
                pushes.append(max(given.get("E", 0.0), 0.0))
    return corner_list, still, pushes


def test_it_reads_what_another_reader_reads():
    read = program(OTHER["text"])
    last_of_block = np.append(np.diff(read.line) > 0, True) & (read.dwell == 0)
    expected, still, pushes = followed(OTHER["read"])

    assert corners(read)[1:][last_of_block] / MM == pytest.approx(np.array(expected), rel=1e-12)
    assert read.dwell.sum() == pytest.approx(still)
    moving = read.dwell == 0
    advance = np.bincount(read.line[moving], read.advance[moving])
    assert advance[np.unique(read.line[moving])] / MM == pytest.approx(pushes)


def test_the_other_reader_still_reads_so():
    other = pytest.importorskip("gcodeparser", reason="the other reader is installed for benchmarks only")
    lines = other.parse_gcode_lines(OTHER["text"])

    assert [[f"{line.command[0]}{line.command[1]}", line.params] for line in lines] == OTHER["read"]
