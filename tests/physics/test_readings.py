"""Doubt of readings: scatter against SciPy, shapes against drawn numbers of those shapes."""

import math

import numpy as np
import pytest
import scipy.stats

from evenbead.errors import NotPossible
from evenbead.physics.readings import (
    digital_step_uncertainty,
    mean_of_readings,
    rectangular_uncertainty,
    triangular_uncertainty,
    u_shaped_uncertainty,
)

CATCHES = [3.02, 2.97, 3.05, 2.99, 3.01, 2.98]


def test_the_mean_of_six_catches_has_the_interval_that_scipy_gives():
    mean = mean_of_readings(CATCHES)
    low, high = scipy.stats.ttest_1samp(CATCHES, 0.0).confidence_interval(0.95)

    assert mean.value - mean.u95 == pytest.approx(low, rel=1e-9)
    assert mean.value + mean.u95 == pytest.approx(high, rel=1e-9)


def test_the_mean_of_six_catches_is_what_it_is_by_hand():
    # Sum 18.02; squares about the mean 0.0043333 kg², over 5; s = 0.02944 kg; t(5) = 2.571.
    mean = mean_of_readings(CATCHES)

    assert mean.value == pytest.approx(18.02 / 6)
    assert mean.u * math.sqrt(6) == pytest.approx(0.02944, abs=5e-6)
    assert mean.u95 == pytest.approx(0.0309, abs=5e-5)
    assert mean.dof == 5


@pytest.mark.parametrize(("n", "factor"), [(3, 2.48), (5, 1.24), (6, 1.05), (10, 0.715), (30, 0.373)])
def test_few_catches_know_their_mean_badly(n, factor):
    """Half width over scatter, t/√n, with t from the table in tests/published/statistical-tables.toml."""
    readings = np.tile([-1.0, 1.0], n)[:n]
    mean = mean_of_readings(readings)

    assert mean.u95 / np.std(readings, ddof=1) == pytest.approx(factor, abs=0.005)


@pytest.mark.parametrize("readings", [[], [1.0], [[1.0, 2.0], [3.0, 4.0]]])
def test_one_reading_has_no_scatter(readings):
    with pytest.raises(NotPossible, match="two"):
        mean_of_readings(readings)


@pytest.mark.parametrize(
    ("uncertainty", "shape"),
    [
        (rectangular_uncertainty, scipy.stats.uniform(-1, 2)),
        (triangular_uncertainty, scipy.stats.triang(0.5, -1, 2)),
        (u_shaped_uncertainty, scipy.stats.arcsine(-1, 2)),
    ],
)
def test_a_shape_has_the_standard_deviation_of_that_shape(uncertainty, shape):
    assert uncertainty(1.0) == pytest.approx(shape.std(), rel=1e-12)
    assert uncertainty(np.array([1.0, 2.0])) == pytest.approx([shape.std(), 2 * shape.std()])


def test_a_display_leaves_half_a_step_either_way():
    assert digital_step_uncertainty(0.01) == pytest.approx(scipy.stats.uniform(-0.005, 0.01).std(), rel=1e-12)
