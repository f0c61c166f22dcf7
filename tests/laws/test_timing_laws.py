from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from hypothesis.extra import numpy as hnp

from evenbead.toolpath.timing import timing_of
from invented_paths import divided, toolpath

lengths = st.integers(-2000, 2000).map(lambda mm: mm / 1000)
accelerations = st.floats(0.02, 5.0)


@st.composite
def paths(draw):
    n = draw(st.integers(1, 12))
    corners = draw(hnp.arrays(float, (n + 1, 3), elements=lengths))
    speed = draw(hnp.arrays(float, n, elements=st.floats(0.01, 0.5)))
    dwell = draw(hnp.arrays(float, n, elements=st.sampled_from([0.0, 0.0, 0.0, 1.5])))
    path = toolpath(*corners.T, speed=speed)
    # A dwell stands in a row of its own.
    return toolpath(*corners.T, speed=speed, dwell=np.where(path.length == 0, dwell, 0.0))


@given(paths(), accelerations, st.floats(1.0, 10.0))
@settings(max_examples=60, deadline=None)
def test_more_acceleration_is_never_slower(path, acceleration, factor):
    slow = timing_of(path, acceleration=acceleration).total
    fast = timing_of(path, acceleration=acceleration * factor).total
    assert fast <= slow * (1 + 1e-9)


@given(paths(), accelerations)
@settings(max_examples=60, deadline=None)
def test_limited_acceleration_is_never_quicker_than_the_commanded_speeds(path, acceleration):
    limited, commanded = timing_of(path, acceleration=acceleration), timing_of(path)
    assert np.all(limited.duration >= commanded.duration * (1 - 1e-9))


@given(paths())
@settings(max_examples=60, deadline=None)
def test_without_bound_the_acceleration_does_not_matter(path):
    assert timing_of(path, acceleration=1e12).total == pytest.approx(timing_of(path).total, rel=1e-4, abs=1e-9)


@given(paths(), accelerations)
@settings(max_examples=60, deadline=None)
def test_the_way_back_takes_as_long(path, acceleration):
    back = toolpath(path.x[::-1], path.y[::-1], path.z[::-1], speed=path.speed[::-1], dwell=path.dwell[::-1])
    there = timing_of(path, acceleration=acceleration)
    assert timing_of(back, acceleration=acceleration).total == pytest.approx(there.total, rel=1e-9)


@given(st.lists(st.floats(0.005, 3.0), min_size=1, max_size=5), st.integers(2, 50), accelerations)
@settings(max_examples=60, deadline=None)
def test_cutting_a_straight_path_in_pieces_does_not_change_its_time(steps, pieces, acceleration):
    x = np.concatenate(([0.0], np.cumsum(steps)))
    path = toolpath(0.6 * x, 0.8 * x, 0 * x)
    whole = timing_of(path, acceleration=acceleration).total
    assert timing_of(divided(path, pieces), acceleration=acceleration).total == pytest.approx(whole, rel=1e-9)


@given(paths(), st.floats(0.0254, 40.0))
@settings(max_examples=60, deadline=None)
def test_time_does_not_depend_on_the_unit_of_length(path, unit):
    scaled = toolpath(path.x * unit, path.y * unit, path.z * unit, speed=path.speed * unit, dwell=path.dwell)
    time = timing_of(path, acceleration=0.5, corner_deviation=0.001).total
    again = timing_of(scaled, acceleration=0.5 * unit, corner_deviation=0.001 * unit).total
    assert again == pytest.approx(time, rel=1e-6, abs=1e-9)


@given(paths(), accelerations)
@settings(max_examples=60, deadline=None)
def test_speed_never_changes_faster_than_the_acceleration_nor_exceeds_the_command(path, acceleration):
    timing = timing_of(path, acceleration=acceleration)
    gained = np.abs(timing.exit**2 - timing.entry**2)
    assert np.all(gained <= 2 * acceleration * path.length * (1 + 1e-9) + 1e-12)
    assert np.all(np.maximum(timing.entry, timing.exit) <= path.speed * (1 + 1e-12))
