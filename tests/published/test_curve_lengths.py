"""Lengths of drawn curves against a table, closed forms, and the library that reads the drawing."""

from __future__ import annotations

import math
import tomllib
from decimal import Decimal
from pathlib import Path

import ezdxf
import numpy as np
import pytest
from ezdxf.math import ConstructionArc, ConstructionEllipse, Vec3, bulge_to_arc
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.special import ellipe, ellipeinc

from evenbead.toolpath.drawing import read_drawing

TABLE = tomllib.loads(Path(__file__).with_name("curve_lengths.toml").read_text("utf-8"))


@pytest.fixture
def drawn(tmp_path):
    """Length and corners [m] of what is drawn in an otherwise empty drawing in metres."""

    def drawn(draw, **options):
        document = ezdxf.new(units=ezdxf.units.M)
        draw(document.modelspace())
        document.saveas(tmp_path / "curve.dxf")
        program = read_drawing(tmp_path / "curve.dxf", layers=1, layer_height=0.01, **options)
        return float(program.length[program.flag].sum()), np.column_stack([program.x, program.y])

    return drawn


@pytest.mark.parametrize("row", TABLE["quarter_ellipse"], ids=lambda row: f"E({row['m']})")
def test_a_quarter_of_an_ellipse_is_as_long_as_the_table_says(drawn, row):
    ratio = math.sqrt(1 - row["m"])
    length, _ = drawn(lambda model: model.add_ellipse((0, 0), (1, 0), ratio, 0, math.pi / 2))
    last_digit = 10.0 ** Decimal(row["length"]).as_tuple().exponent

    assert length == pytest.approx(float(row["length"]), abs=last_digit / 2)
    assert ellipe(row["m"]) == pytest.approx(float(row["length"]), abs=last_digit / 2)


@pytest.mark.parametrize(("ratio", "start", "end"), [(0.3, 0.2, 2.9), (0.05, 5.0, 1.0), (1e-3, 0, 2 * math.pi)])
def test_part_of_an_ellipse_is_as_long_as_the_incomplete_integral(drawn, ratio, start, end):
    # From parameter a to b: E(b + π/2 | m) - E(a + π/2 | m), as the integral counts from the minor axis.
    length, _ = drawn(lambda model: model.add_ellipse((3, 4), (0, 2), ratio, start, end))
    stop = end if end > start else end + 2 * math.pi
    expected = 2 * (ellipeinc(stop + math.pi / 2, 1 - ratio**2) - ellipeinc(start + math.pi / 2, 1 - ratio**2))
    assert length == pytest.approx(expected, rel=1e-9)


@pytest.mark.parametrize("b", [0.5, 1.0, 3.0])
def test_a_quadratic_spline_is_the_parabola_it_stands_for(drawn, b):
    # y = x² from 0 to b: b sqrt(1 + 4b²)/2 + asinh(2b)/4 (textbook calculus)
    def draw(model):
        spline = model.add_spline(degree=2)
        spline.control_points = [(0, 0, 0), (b / 2, 0, 0), (b, b * b, 0)]
        spline.knots = [0, 0, 0, 1, 1, 1]

    length, corners = drawn(draw)
    assert length == pytest.approx(b * math.sqrt(1 + 4 * b * b) / 2 + math.asinh(2 * b) / 4, rel=1e-12)
    assert corners[:, 1] == pytest.approx(corners[:, 0] ** 2, abs=1e-12)


def test_a_rational_spline_is_the_quarter_circle_it_stands_for(drawn):
    def draw(model):
        spline = model.add_spline(degree=2)
        spline.control_points = [(1, 0, 0), (1, 1, 0), (0, 1, 0)]
        spline.knots = [0, 0, 0, 1, 1, 1]
        spline.weights = [1, math.sqrt(0.5), 1]

    length, corners = drawn(draw)
    assert length == pytest.approx(math.pi / 2, rel=1e-12)
    assert np.hypot(*corners.T) == pytest.approx(1.0, abs=1e-12)


@pytest.mark.parametrize(
    "points",
    [
        [(0, 0), (1, 2), (3, 1), (4, 4), (6, 0)],
        [(0, 0), (0.1, 0.5), (0.2, 0), (0.3, 0.5), (0.4, 0), (2, 0)],
    ],
)
def test_a_spline_runs_where_the_library_draws_it(drawn, points):
    length, corners = drawn(lambda model: model.add_spline(points), chord=1e-5)
    tool = ezdxf.new().modelspace().add_spline(points).construction_tool()
    fine = np.array([(p.x, p.y) for p in tool.approximate(40_000)])
    chords = np.hypot(*np.diff(fine, axis=0).T).sum()

    assert length == pytest.approx(chords, rel=1e-7)
    assert corners[-1] == pytest.approx(fine[-1])
    distance = np.hypot(*(fine[:, None] - corners[None, ::40]).transpose(2, 0, 1)).min(axis=0)
    assert distance.max() < 1e-3


def test_a_closed_spline_without_end_knots_runs_where_its_basis_is_complete(drawn):
    # Uniform cubic: the curve begins at (P0 + 4 P1 + P2) / 6 (any textbook on splines).
    ring = [(math.cos(a), math.sin(a), 0) for a in np.arange(8) * math.pi / 4]
    length, corners = drawn(lambda model: model.add_spline().set_closed(ring))
    start = (np.array(ring[0]) + 4 * np.array(ring[1]) + np.array(ring[2])) / 6
    assert corners[0] == pytest.approx(start[:2])
    assert corners[-1] == pytest.approx(start[:2])
    radius = np.hypot(*start[:2])
    assert length == pytest.approx(2 * math.pi * radius, rel=2e-3)  # nearly a circle


@given(
    radius=st.floats(0.1, 100), start=st.floats(0, 360), sweep=st.floats(1, 355), chord=st.sampled_from([1e-2, 1e-4])
)
@settings(max_examples=25, deadline=None)
def test_arcs_agree_with_the_library(tmp_path_factory, radius, start, sweep, chord):
    document = ezdxf.new(units=ezdxf.units.M)
    document.modelspace().add_arc((1, 2), radius, start, start + sweep)
    path = tmp_path_factory.mktemp("arc") / "arc.dxf"
    document.saveas(path)
    program = read_drawing(path, layers=1, layer_height=0.01, chord=chord)
    theirs = ConstructionArc((1, 2), radius, start, start + sweep)

    assert program.length.sum() == pytest.approx(math.radians(theirs.angle_span) * radius, rel=1e-9)
    assert (program.x[0], program.y[0]) == pytest.approx(tuple(theirs.start_point), abs=1e-9)
    assert (program.x[-1], program.y[-1]) == pytest.approx(tuple(theirs.end_point), abs=1e-9)
    middle = np.hypot((program.x[1:] + program.x[:-1]) / 2 - 1, (program.y[1:] + program.y[:-1]) / 2 - 2)
    assert (radius - middle).max() <= chord * (1 + 1e-6)


@pytest.mark.parametrize("bulge", [0.2, 1.0, -0.7, -3.0])
def test_bulges_agree_with_the_library(drawn, bulge):
    length, corners = drawn(lambda model: model.add_lwpolyline([(1, 1, bulge), (4, 5, 0)], format="xyb"), chord=1e-3)
    centre, start, end, radius = bulge_to_arc((1, 1), (4, 5), bulge)
    assert length == pytest.approx(radius * ((end - start) % (2 * math.pi)), rel=1e-9)
    assert np.hypot(*(corners - [centre.x, centre.y]).T) == pytest.approx(radius, abs=1e-9)


def test_an_ellipse_runs_where_the_library_draws_it(drawn):
    _, corners = drawn(lambda model: model.add_ellipse((1, 2), (3, 1), 0.4, 0.5, 4.0), chord=1e-3)
    theirs = ConstructionEllipse(Vec3(1, 2), Vec3(3, 1), ratio=0.4, start_param=0.5, end_param=4.0)
    assert corners[0] == pytest.approx((theirs.start_point.x, theirs.start_point.y))
    assert corners[-1] == pytest.approx((theirs.end_point.x, theirs.end_point.y))
    fine = np.array([(p.x, p.y) for p in theirs.vertices(np.linspace(0.5, 4.0, 4001))])
    distance = np.hypot(*(fine[:, None] - corners[None]).transpose(2, 0, 1)).min(axis=0)
    assert distance.max() < 2e-3
