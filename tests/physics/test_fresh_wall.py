"""Ages, loads and rhythms of a growing wall, against sums by hand."""

import math

import numpy as np
import pytest

from evenbead.errors import NotPossible
from evenbead.physics.constants import GRAVITY
from evenbead.physics.fresh_wall import Course, Layers, ages, even_layers, loads
from evenbead.physics.rhythm import continued, in_rhythm, shortest_interval, tallest, telling_moments

THREE = Layers(
    laid=np.array([0.0, 60.0, 300.0]),
    height=np.array([0.010, 0.012, 0.010]),
    width=0.04,
    area=np.array([4e-4, 5e-4, 3e-4]),
    density=np.array([2000.0, 2100.0, 2200.0]),
)


def test_ages_and_loads_are_those_counted_by_hand():
    weights = np.array([4e-4 * 2000, 5e-4 * 2100, 3e-4 * 2200]) * GRAVITY

    assert ages(THREE).tolist() == [[0.0, 60.0, 300.0], [0.0, 0.0, 240.0], [0.0, 0.0, 0.0]]
    assert loads(THREE) == pytest.approx(
        np.array(
            [
                [weights[0], weights[:2].sum(), weights.sum()],
                [0.0, weights[1], weights[1:].sum()],
                [0.0, 0.0, weights[2]],
            ]
        )
    )
    assert THREE.wall_height == pytest.approx(0.032)
    assert THREE.interval == 150.0


def test_any_moments_may_be_asked_for():
    moments = np.array([-1.0, 59.9, 60.0, 299.0])

    assert np.count_nonzero(loads(THREE, moments), axis=0).tolist() == [0, 1, 2, 2]
    assert ages(THREE, moments)[1].tolist() == [0.0, 0.0, 0.0, 239.0]


def test_draws_may_have_their_own_times_and_weights():
    both = Layers(
        laid=np.stack([THREE.laid, 2 * THREE.laid]),
        height=THREE.height,
        width=0.04,
        area=np.stack([np.full(3, 4e-4), np.full(3, 8e-4)]),
        density=2000.0,
    )

    assert loads(both).shape == (2, 3, 3)
    assert loads(both)[1] == pytest.approx(2 * loads(both)[0])
    assert ages(both)[1] == pytest.approx(2 * ages(THREE))
    assert both.interval.tolist() == [150.0, 300.0]


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"laid": np.array([0.0, 10.0, 5.0])}, "before the one below"),
        ({"laid": np.array([])}, "without layers"),
        ({"width": 0.0}, "width"),
        ({"density": np.array([2000.0, math.nan, 2000.0])}, "density"),
    ],
)
def test_it_refuses_what_is_no_wall(change, words):
    columns = {"laid": THREE.laid, "height": 0.01, "width": 0.04, "area": 4e-4, "density": 2000.0}

    with pytest.raises(ValueError, match=words):
        Layers(**(columns | change))


def test_a_single_layer_has_no_interval():
    with pytest.raises(NotPossible, match="no interval"):
        _ = even_layers(1, interval=60.0, height=0.01, width=0.04, density=2000.0).interval


def test_the_course_names_moment_and_layer_that_govern():
    course = Course(load_factor=np.array([[3.0, 2.0, 2.5], [1.5, 4.0, 9.0]]), layer=np.array([[0, 1, 2], [0, 0, 1]]))

    assert course.moment.tolist() == [1, 0]
    assert course.least.tolist() == [2.0, 1.5]
    assert course.governing_layer.tolist() == [1, 0]


def test_a_wall_goes_on_as_its_last_layer_at_the_usual_interval():
    more = continued(THREE, 5)

    assert more.laid.tolist() == [0.0, 60.0, 300.0, 450.0, 600.0]
    assert more.area.tolist() == [4e-4, 5e-4, 3e-4, 3e-4, 3e-4]
    assert more.width == 0.04
    assert continued(THREE, 2).laid.tolist() == [0.0, 60.0]


def test_rhythms_may_be_compared_in_one_array():
    assert in_rhythm(THREE, np.array([0.0, 2.0])).laid.tolist() == [[0.0, 0.0, 0.0], [0.0, 120.0, 600.0]]


def inverse_height(wall):
    """A load factor that falls as the wall rises and grows with the time between layers: known by hand."""
    return wall.interval / 10.0 / np.arange(1, wall.count + 1)


def test_the_tallest_wall_is_the_last_before_it_falls():
    wall = even_layers(4, interval=305.0, height=0.01, width=0.04, density=2000.0)

    found = tallest(wall, inverse_height)

    assert (found.layers, found.height, found.ends) == (30, pytest.approx(0.30), True)
    assert tallest(wall, inverse_height, required=2.0).layers == 15


def test_the_search_for_the_tallest_wall_ends_and_says_so():
    wall = even_layers(4, interval=305.0, height=0.01, width=0.04, density=2000.0)

    found = tallest(wall, inverse_height, most=20)

    assert (found.layers, found.ends) == (20, False)


def test_the_shortest_interval_is_where_the_load_factor_is_just_enough():
    wall = even_layers(4, interval=100.0, height=0.01, width=0.04, density=2000.0)

    assert shortest_interval(wall, inverse_height_from_start).interval == pytest.approx(40.0 - 4.0)
    assert shortest_interval(wall, inverse_height_from_start, required=5.0).ratio == pytest.approx(1.96)


def inverse_height_from_start(wall):
    return (4.0 + wall.interval) / 10.0 / np.arange(1, wall.count + 1)


def test_a_wall_that_stands_at_once_has_no_shortest_interval():
    wall = even_layers(4, interval=100.0, height=0.01, width=0.04, density=2000.0)

    assert shortest_interval(wall, lambda _: np.full(4, 1.5)).ratio == 0.0


def test_a_wall_that_stands_in_no_rhythm_is_refused_with_what_to_change():
    wall = even_layers(4, interval=100.0, height=0.01, width=0.04, density=2000.0)

    with pytest.raises(NotPossible, match="lower or wider layers"):
        shortest_interval(wall, lambda _: np.full(4, 0.9))


def test_telling_moments_are_low_points_and_the_last():
    assert telling_moments(np.array([9.0, 3.0, 5.0, 2.5, 2.4, 6.0, 8.0])).tolist() == [1, 4, 6]
    assert telling_moments(np.array([9.0, 3.0, 5.0, 1.0, 6.0])).tolist() == [3, 4]
