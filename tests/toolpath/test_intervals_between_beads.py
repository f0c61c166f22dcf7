"""Intervals against a search of every pair, and against rhythms that can be said beforehand."""

import itertools
import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from evenbead.toolpath.intervals import intervals_of, layers_beneath
from evenbead.toolpath.layers import layers_of
from evenbead.toolpath.timing import moments_along, timing_of
from invented_paths import HEIGHT, WIDTH, Path, divided, rectangle, rounded_rectangle, spiral, toolpath

SPEED = 0.1


def looked_at(path, *, acceleration=None):
    timing = timing_of(path, acceleration=acceleration)
    return intervals_of(path, timing, bead_width=WIDTH, layer_height=HEIGHT, acceleration=acceleration), timing


def places(path, timing, *, every=WIDTH / 8):
    """Fine places along the bead, each with its time; speeds are reached at once."""
    rows = []
    for move in np.flatnonzero(path.on):
        count = max(math.ceil(path.length[move] / every), 1)
        share = (np.arange(count) + 0.5) / count
        corner = np.array([[axis[move], axis[move + 1]] for axis in (path.x, path.y, path.z)])
        xyz = corner[:, :1] + np.diff(corner) * share
        rows.append(np.vstack([xyz, timing.start[move] + share * timing.duration[move], 0 * share + move]))
    return np.concatenate(rows, axis=1)


def by_every_pair(path, timing):
    """The interval at every fine place that covers another, by looking at all places laid before it."""
    x, y, z, when, move = places(path, timing)
    found = []
    for i in range(len(x)):
        beneath = (z[i] - z[:i] > 0.55 * HEIGHT) & (np.hypot(x[i] - x[:i], y[i] - y[:i]) <= WIDTH / 2)
        if beneath.any():
            lower = int(np.flatnonzero(beneath)[-1])
            if z[i] - z[lower] <= 1.75 * HEIGHT:
                found.append((int(move[i]), when[i], when[i] - when[lower]))
    return np.array(found)


@st.composite
def small_prints(draw):
    """A few layers of strokes that may turn, cross and leave gaps, the same in each layer or turned back."""
    corners = draw(
        st.lists(st.tuples(st.integers(0, 8), st.integers(0, 8)), min_size=2, max_size=6, unique=True).filter(
            lambda made: all(math.dist(a, b) >= 2 for a, b in itertools.pairwise(made))
        )
    )
    turning = draw(st.booleans())
    ways = Path()
    for layer in range(draw(st.integers(2, 4))):
        order = corners[::-1] if turning and layer % 2 else corners
        ways.run([(0.1 * x, 0.1 * y, HEIGHT * (layer + 1)) for x, y in order])
    return ways.toolpath(speed=SPEED)


@settings(max_examples=40, deadline=None)
@given(small_prints())
def test_the_longest_interval_is_that_of_a_search_of_every_pair(path):
    intervals, timing = looked_at(path)
    pairs = by_every_pair(path, timing)
    # Looks stand half a bead width apart, and a place within half a bead width counts: one width of way either side.
    slack = 2.5 * WIDTH / SPEED

    assert len(intervals) > 0
    assert float(intervals.interval.max()) == pytest.approx(pairs[:, 2].max(), abs=slack)
    assert float(intervals.interval.min()) >= pairs[:, 2].min() - slack
    # Nearly all of what lies on something is found, and nothing else.
    covered = len(pairs) * WIDTH / 8
    assert float(intervals.length.sum()) == pytest.approx(covered, rel=0.15, abs=8 * WIDTH)


@settings(max_examples=25, deadline=None)
@given(small_prints())
def test_every_look_agrees_with_the_pairs_close_to_it(path):
    intervals, timing = looked_at(path)
    pairs = by_every_pair(path, timing)
    close = np.abs(pairs[:, 1][None] - intervals.laid[:, None]) <= 1.5 * WIDTH / SPEED
    low = np.where(close, pairs[:, 2], np.inf).min(axis=1) - 2.5 * WIDTH / SPEED
    high = np.where(close, pairs[:, 2], -np.inf).max(axis=1) + 2.5 * WIDTH / SPEED

    assert np.all((intervals.interval >= low) & (intervals.interval <= high))


def test_a_bead_that_one_grid_of_cells_parts_from_the_one_beneath_is_still_found():
    # Two strokes that draw together: along one of them both borders of a cell once ran between a look and its bead.
    ways = Path()
    for layer in range(2):
        ways.run([(x, y, HEIGHT * (layer + 1)) for x, y in ((0.1, 0.0), (0.0, 0.4), (0.1, 0.1), (0.0, 0.5))])
    intervals, _ = looked_at(ways.toolpath(speed=SPEED))
    there = (intervals.laid > 18.0) & (intervals.laid < 19.3)

    assert there.sum() >= 5
    assert np.all(intervals.interval[there] < 14.5)


@pytest.mark.parametrize("acceleration", [None, 0.5])
def test_a_closed_ring_is_covered_once_a_layer_everywhere(acceleration):
    ways = Path()
    for layer in range(5):
        ways.run(rectangle(0.0, 0.0, 1.2, 0.5, HEIGHT * (layer + 1)))
    path = ways.toolpath(speed=SPEED)
    intervals, timing = looked_at(path, acceleration=acceleration)
    layers = layers_of(path, bead_width=WIDTH, layer_height=HEIGHT)
    rhythm = np.diff(timing.start[layers.first_move])

    # At the seam each layer begins on the end of the last, just laid.
    seam = intervals.interval < 1.0
    assert seam.sum() == 4
    # The first layer starts from rest where the others come up from below: a moment more or less.
    assert intervals.interval[~seam] == pytest.approx(np.full(len(intervals) - 4, rhythm.mean()), abs=1.0)
    # Everywhere in the four upper layers something lies beneath.
    assert float(intervals.length.sum()) == pytest.approx(4 * 3.4, rel=0.06)


def test_a_wall_that_turns_is_covered_after_nothing_to_two_layers():
    long = 2.0
    ways = Path()
    for layer in range(6):
        ends = [(0, 0, HEIGHT * (layer + 1)), (long, 0, HEIGHT * (layer + 1))]
        ways.run(ends if layer % 2 == 0 else ends[::-1])
    path = ways.toolpath(speed=SPEED)
    intervals, timing = looked_at(path)
    one_layer = long / SPEED
    climb = HEIGHT / SPEED
    # plane geometry: what is passed s before the turn is passed again 2 s and a climb later
    move_ends = timing.start[intervals.move]
    expected = 2 * (intervals.laid - move_ends) + climb

    assert intervals.interval == pytest.approx(expected, abs=WIDTH / SPEED)
    assert 1.9 * one_layer < float(intervals.interval.max()) < 2.1 * one_layer
    over = float(intervals.length[intervals.interval > one_layer].sum())
    assert over == pytest.approx(float(intervals.length.sum()) / 2, rel=0.05)


def test_a_spiral_is_covered_once_a_turn():
    outline = rounded_rectangle(1.2, 0.6, 0.15)
    path = toolpath(*spiral(outline, 5).T, speed=SPEED)
    intervals, _ = looked_at(path)
    turn = float(np.hypot(*np.diff(outline, axis=0).T).sum()) / SPEED

    assert np.median(intervals.interval) == pytest.approx(turn, rel=0.02)
    assert float(intervals.interval.max()) < turn + 2 * WIDTH / SPEED


@settings(max_examples=20, deadline=None)
@given(seconds=st.floats(1.0, 3000.0), layer=st.integers(1, 4))
def test_a_dwell_before_a_layer_lengthens_its_intervals_and_shortens_none(seconds, layer):
    ways = Path()
    for k in range(5):
        ways.run(rectangle(0.0, 0.0, 0.6, 0.4, HEIGHT * (k + 1)))
    path = ways.toolpath(speed=SPEED)
    dwell = np.zeros(len(path))
    dwell[5 * layer - 1] = seconds
    later = toolpath(path.x, path.y, path.z, on=path.on, speed=path.speed, dwell=dwell)
    plain, delayed = (looked_at(each)[0] for each in (path, later))

    assert np.all(delayed.interval >= plain.interval - 1e-6)
    assert float(delayed.interval.max()) == pytest.approx(float(plain.interval.max()) + seconds, abs=1.0)


@pytest.mark.parametrize("acceleration", [None, 0.2, 2.0])
@pytest.mark.parametrize("pieces", [2, 7])
def test_a_place_within_a_move_is_passed_when_its_pieces_say(acceleration, pieces):
    path = Path().run([(0, 0, 0.015), (1.0, 0, 0.015), (1.0, 0.4, 0.015), (0.2, 0.4, 0.015)]).toolpath(speed=0.15)
    timing = timing_of(path, acceleration=acceleration)
    cut = divided(path, pieces)
    # a straight line cut in pieces is run as before, only its corners are rounded within shorter moves
    finer = timing_of(cut, acceleration=acceleration, corner_deviation=1e-9)
    whole = timing_of(path, acceleration=acceleration, corner_deviation=1e-9)
    moves = np.repeat(np.arange(len(path)), pieces)
    share = np.tile(np.arange(pieces) / pieces, len(path))
    moment = moments_along(path, whole, moves, share, acceleration=acceleration)

    assert timing.total <= whole.total + 1e-9
    assert moment == pytest.approx(finer.start, abs=1e-3)


def test_pieces_printed_one_after_the_other_lie_on_themselves():
    ways = Path()
    for x in (0.0, 2.0):
        for layer in range(3):
            ways.run(rectangle(x, 0.0, x + 0.5, 0.4, HEIGHT * (layer + 1)), hop=0.1)
    path = ways.toolpath(speed=SPEED)
    layers = layers_of(path, bead_width=WIDTH, layer_height=HEIGHT)

    assert layers_beneath(looked_at(path)[0], layers).tolist() == [-1, 0, 1, -1, 3, 4]


def test_two_towers_on_a_common_slab_lie_on_it():
    ways = Path()
    for layer in range(2):
        ways.run(rectangle(0.0, 0.0, 2.0, 0.4, HEIGHT * (layer + 1)))
    for x in (0.0, 1.5):
        for layer in range(2, 4):
            ways.run(rectangle(x, 0.0, x + 0.5, 0.4, HEIGHT * (layer + 1)), hop=0.1)
    path = ways.toolpath(speed=SPEED)
    layers = layers_of(path, bead_width=WIDTH, layer_height=HEIGHT)

    assert layers_beneath(looked_at(path)[0], layers).tolist() == [-1, 0, 1, 2, 1, 4]
