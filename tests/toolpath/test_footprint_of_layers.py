"""Footprints against plane geometry."""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from evenbead.toolpath.footprint import footprint_of
from evenbead.toolpath.layers import layers_of
from invented_paths import WIDTH, Path, circle, rectangle

Z = 0.015


def seen(*runs):
    ways = Path()
    for run in runs:
        ways.run([(*place[:2], Z) for place in run])
    path = ways.toolpath()
    layers = layers_of(path, bead_width=WIDTH, layer_height=0.015)
    return footprint_of(path, layers, 0, bead_width=WIDTH)


@settings(max_examples=30, deadline=None)
@given(length=st.floats(0.5, 4.0), depth=st.floats(0.5, 4.0), seam=st.floats(0.0, 0.99))
def test_a_rectangle_is_one_loop_as_thick_as_its_bead_wherever_its_seam_lies(length, depth, seam):
    corners = np.array(rectangle(0.0, 0.0, length, depth, Z))
    start = (corners[0] + seam * (corners[1] - corners[0]))[None]
    found = seen([*start, *corners[1:], *start] if seam else corners)
    # plane geometry: band about a rectangle, mitred inside, with a quarter circle less at each outer corner
    around = 2 * (length + depth)
    area = around * WIDTH - (1 - math.pi / 4) * WIDTH**2
    longest = max(length, depth)

    assert (found.pieces, found.loops, found.closed) == (1, 1, True)
    assert found.thickness == pytest.approx(area / around, rel=2e-3)
    assert longest <= found.free_stretch <= longest + 3 * WIDTH


@pytest.mark.parametrize("long", [0.4, 2.0, 10.0])
def test_nothing_holds_a_straight_wall(long):
    found = seen([(0, 0), (long, 0)])
    # two half circles at its ends
    area = long * WIDTH + math.pi / 4 * WIDTH**2

    assert (found.pieces, found.loops) == (1, 0)
    assert found.thickness == pytest.approx(area / long, rel=5e-3)
    assert found.free_stretch == math.inf


def test_two_strands_that_touch_are_one_wall_twice_as_thick_and_held_by_nothing():
    there, back = [(0, 0), (2, 0)], [(2, WIDTH * 0.98), (0, WIDTH * 0.98)]

    assert seen(there, back).pieces == 1
    assert seen(there, back).free_stretch == math.inf
    assert seen([*there, *back]).free_stretch == math.inf
    assert seen(there, [(2, 3 * WIDTH), (0, 3 * WIDTH)]).pieces == 2


def test_strands_on_each_other_are_thinner_than_a_bead():
    found = seen([(0, 0), (2, 0)], [(2, WIDTH / 2), (0, WIDTH / 2)])

    assert found.thickness == pytest.approx(1.5 * WIDTH / 2, rel=0.03)


def test_a_stretch_with_a_free_end_counts_threefold():
    angle, channel = seen([(0, 0), (2, 0), (2, 1)]), seen([(0, 1), (0, 0), (2, 0), (2, 1)])

    assert 3 * 2.0 <= angle.free_stretch <= 3 * 2.0 + 12 * WIDTH
    assert 3 * 1.0 <= channel.free_stretch <= 3 * 1.0 + 12 * WIDTH


@pytest.mark.parametrize("radius", [0.5, 1.0, 3.0])
def test_a_circle_holds_itself_every_45_degrees(radius):
    found = seen(circle(radius, Z, chords=360))

    assert found.loops == 1
    assert radius * math.pi / 4 * 0.95 <= found.free_stretch <= radius * math.pi / 4 + 3 * WIDTH


@pytest.mark.parametrize("amplitude", [0.001, 0.005, 0.01])
def test_a_wiggle_is_no_return(amplitude):
    x = np.linspace(0.0, 3.0, 601)

    assert seen(np.column_stack([x, amplitude * np.sin(2 * np.pi * x / 0.05)])).free_stretch == math.inf


def test_a_deep_wave_holds_itself():
    x = np.linspace(0.0, 4.0, 801)
    found = seen(np.column_stack([x, 0.3 * np.sin(2 * np.pi * x / 1.0)]))

    assert found.free_stretch < 4.0
