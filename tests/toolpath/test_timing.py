"""Closed forms of uniformly accelerated motion: any textbook of mechanics (from memory)."""

from __future__ import annotations

import math

import numpy as np
import pytest

from evenbead.errors import InputRefused
from evenbead.toolpath.timing import timing_of
from invented_paths import Path, circle, toolpath


def straight(*lengths, **columns):
    x = np.concatenate(([0.0], np.cumsum(lengths)))
    return toolpath(x, 0 * x, 0 * x, **columns)


def test_without_acceleration_time_is_length_over_speed_plus_dwell():
    path = straight(2.0, 1.0, 3.0, speed=[0.1, 0.2, 0.05], on=[1, 0, 1], dwell=[0, 4.0, 0])
    timing = timing_of(path)
    assert timing.duration == pytest.approx([20, 9, 60])
    assert timing.start == pytest.approx([0, 20, 29])
    assert timing.total == pytest.approx(89)
    assert (timing.on_time, timing.travel_time, timing.dwell_time) == pytest.approx((80, 5, 4))
    assert timing.speed == pytest.approx([0.1, 0.2, 0.05])


def test_a_long_move_is_a_trapezoid_of_speed():
    # t = L/v + v/a
    timing = timing_of(straight(1.2, speed=0.1), acceleration=0.5)
    assert timing.total == pytest.approx(1.2 / 0.1 + 0.1 / 0.5, rel=1e-12)
    assert (timing.entry[0], timing.exit[0]) == (0, 0)


def test_a_short_move_is_a_triangle_of_speed():
    # t = 2 sqrt(L/a)
    timing = timing_of(straight(0.01, speed=1.0), acceleration=0.5)
    assert timing.total == pytest.approx(2 * math.sqrt(0.01 / 0.5), rel=1e-12)


def test_a_change_of_commanded_speed_is_made_before_the_slower_move():
    # 0 -> 0.2 -> 0.1 -> 0: three ramps, each of (Δv)/a, and the rest at constant speed
    a, fast, slow, lengths = 0.5, 0.2, 0.1, (1.0, 0.6)
    first = (fast + fast - slow) / a + (lengths[0] - (2 * fast**2 - slow**2) / (2 * a)) / fast
    second = slow / a + (lengths[1] - slow**2 / (2 * a)) / slow
    timing = timing_of(straight(*lengths, speed=[fast, slow]), acceleration=a)
    assert timing.duration == pytest.approx([first, second], rel=1e-12)
    assert timing.exit[0] == timing.entry[1] == pytest.approx(slow)


def test_a_reversal_stops_the_nozzle():
    there = timing_of(straight(1.0), acceleration=0.5).total
    there_and_back = timing_of(toolpath([0, 1, 0], [0, 0, 0], [0, 0, 0]), acceleration=0.5)
    assert there_and_back.exit[0] == 0
    assert there_and_back.total == pytest.approx(2 * there)


def test_a_dwell_between_two_moves_stops_the_nozzle():
    path = toolpath([0, 1, 1, 2], [0] * 4, [0] * 4, dwell=[0, 3.0, 0])
    timing = timing_of(path, acceleration=0.5)
    assert timing.total == pytest.approx(2 * timing_of(straight(1.0), acceleration=0.5).total + 3)
    assert timing.dwell_time == 3
    assert np.isnan(timing.speed[1])


def test_a_row_without_length_and_dwell_does_not_stop_the_nozzle():
    path = toolpath([0, 1, 1, 2], [0] * 4, [0] * 4)
    assert timing_of(path, acceleration=0.5).total == pytest.approx(timing_of(straight(2.0), acceleration=0.5).total)


@pytest.mark.parametrize("degrees", [30, 60, 90, 120, 150])
def test_a_corner_is_rounded_by_an_arc_that_leaves_it_by_the_allowed_deviation(degrees):
    # Check by construction: an arc of the radius found, tangent to both legs, passes the corner at the deviation.
    turn, a, deviation = math.radians(degrees), 0.8, 0.002
    path = toolpath([0, 10, 10 + 10 * math.cos(turn)], [0, 0, 10 * math.sin(turn)], [0, 0, 0], speed=5.0)
    timing = timing_of(path, acceleration=a, corner_deviation=deviation)
    radius = timing.exit[0] ** 2 / a
    half = (math.pi - turn) / 2  # half the angle between the legs
    centre = np.array([10 - radius / math.tan(half), radius])
    assert np.hypot(*(centre - [10, 0])) - radius == pytest.approx(deviation, rel=1e-9)


@pytest.mark.parametrize("chords", [24, 90, 1000, 20_000])
def test_on_a_circle_the_acceleration_limits_the_speed_however_finely_it_is_cut(chords):
    # v²/R = a; cut in chords, the allowed arc is the one inside the polygon, R cos(π/n)
    radius, a = 0.4, 0.05
    laps = np.vstack([circle(radius, 0.0, chords=chords)] * 3)
    timing = timing_of(toolpath(*laps.T, speed=10.0), acceleration=a, corner_deviation=1.0)
    at_speed = timing.entry[len(timing.entry) // 2]
    assert at_speed == pytest.approx(math.sqrt(a * radius * math.cos(math.pi / chords)), rel=1e-6)


def test_a_slanting_corner_in_space_is_treated_like_a_level_one():
    level = toolpath([0, 1, 1], [0, 0, 1], [0, 0, 0])
    upright = toolpath([0, 0, 0], [0, 1, 1], [0, 0, 1])
    assert timing_of(level, acceleration=0.3).total == pytest.approx(timing_of(upright, acceleration=0.3).total)


def test_positioning_moves_take_the_rapid_speed_where_it_is_known():
    path = straight(1.0, 1.0, speed=[np.nan, 0.1], rapid=[1, 0], on=[0, 1])
    timing = timing_of(path, rapid_speed=0.5)
    assert timing.duration == pytest.approx([2, 10])
    assert timing.assumed == ()


def test_positioning_moves_take_the_feed_in_force_where_no_rapid_speed_is_known():
    path = straight(*[1.0] * 5, speed=[np.nan, 0.1, np.nan, 0.2, np.nan], rapid=[1, 0, 1, 0, 1], on=[0, 1, 0, 1, 0])
    timing = timing_of(path)
    assert timing.duration == pytest.approx([10, 10, 10, 5, 5])
    assert any("positioning" in sentence for sentence in timing.assumed)


def test_a_speed_the_file_does_not_give_is_taken_from_the_job_and_said():
    timing = timing_of(straight(1.0, 1.0, speed=[np.nan, 0.1]), speed=0.2)
    assert timing.duration == pytest.approx([5, 10])
    assert timing.assumed == ("1 move without a speed in the file made at the job's speed",)


@pytest.mark.parametrize("speed", [np.nan, 0.0, -0.1])
def test_it_refuses_a_move_without_a_speed_and_names_the_first_line(speed):
    path = straight(1.0, 1.0, 1.0, speed=[0.1, speed, speed], line=[4, 7, 9])
    with pytest.raises(InputRefused, match="invented:7: no speed for 2 moves"):
        timing_of(path)


def test_rows_that_stand_still_need_no_speed():
    path = toolpath([0, 0, 1], [0, 0, 0], [0, 0, 0], speed=[np.nan, 0.1], dwell=[2.0, 0])
    assert timing_of(path).total == pytest.approx(12)


def test_true_length_of_a_curve_counts_not_its_chord():
    path = toolpath([0, 1], [0, 0], [0, 0])
    object.__setattr__(path, "length", np.array([math.pi / 2]))
    assert timing_of(path).total == pytest.approx(math.pi / 2 / 0.1)


def test_time_with_the_bead_on_and_off_and_dwell_add_up():
    path = Path().run([(0, 0, 0), (1, 0, 0), (1, 1, 0)]).run([(2, 2, 0), (3, 2, 0)], hop=0.1).toolpath()
    timing = timing_of(path, acceleration=0.5)
    assert timing.on_time + timing.travel_time + timing.dwell_time == pytest.approx(timing.total)
