"""Set times and activation energy from readings, against SciPy's regression and closed forms."""

import math

import numpy as np
import pytest
from scipy import stats

from evenbead.errors import NotPossible
from evenbead.physics.setting_tests import (
    FINAL_SET_RESISTANCE,
    INITIAL_SET_RESISTANCE,
    activation_energy,
    needle_set,
    set_times,
)

MINUTE = 60.0
TIMES = np.array([180.0, 210.0, 240.0, 270.0, 300.0, 330.0, 360.0]) * MINUTE
RESISTANCE = np.array([0.71, 1.60, 3.1, 5.6, 9.9, 17.1, 29.0]) * 1e6


def test_set_times_are_read_from_the_regression_of_logarithms():
    """Reference: scipy.stats.linregress, and its standard errors put together by hand."""
    fit = stats.linregress(np.log(TIMES), np.log(RESISTANCE))
    x = np.log(TIMES)
    residual = np.log(RESISTANCE) - fit.intercept - fit.slope * x
    sd = math.sqrt(residual @ residual / (len(x) - 2))

    found = set_times(TIMES, RESISTANCE)

    assert found.exponent == pytest.approx(fit.slope)
    assert found.correlation == pytest.approx(fit.rvalue)
    for estimate, level in ((found.initial, INITIAL_SET_RESISTANCE), (found.final, FINAL_SET_RESISTANCE)):
        at = (math.log(level) - fit.intercept) / fit.slope
        spread = math.sqrt(1 / len(x) + (at - x.mean()) ** 2 / ((x - x.mean()) @ (x - x.mean())))
        assert estimate.value == pytest.approx(math.exp(at))
        assert estimate.u == pytest.approx(math.exp(at) * sd * spread / fit.slope, rel=1e-6)
        assert estimate.dof == 5
    assert found.cautions == ()


def test_simulated_readings_are_covered_as_often_as_promised():
    """One thousand series about a known curve: the interval of 95 % holds the true set in about 95 % of them."""
    rng = np.random.default_rng(7)
    true = 4.0 * 3600
    curve = INITIAL_SET_RESISTANCE * (TIMES / true) ** 5

    held = 0
    for _ in range(1000):
        found = set_times(TIMES, curve * np.exp(rng.normal(0.0, 0.05, len(TIMES)))).initial
        held += abs(found.value - true) <= found.u95
    assert 0.93 <= held / 1000 <= 0.97


def test_the_two_resistances_are_those_of_the_imperial_standard():
    """500 and 4000 psi, [ASTM-C403]."""
    psi = 6894.757

    assert pytest.approx(500 * psi, rel=0.02) == INITIAL_SET_RESISTANCE
    assert pytest.approx(4000 * psi, rel=0.002) == FINAL_SET_RESISTANCE


def test_few_scattered_or_short_readings_are_said_to_be_so():
    found = set_times(TIMES[:3], [0.4e6, 2.5e6, 1.5e6])

    assert len(found.cautions) == 4
    assert "3 readings" in found.cautions[0]
    assert "scatter" in found.cautions[1]


@pytest.mark.parametrize(
    ("time", "resistance", "why"),
    [
        ([1.0, 2.0], [1.0, 2.0], "three different times"),
        ([1.0, 1.0, 2.0], [1.0, 1.5, 2.0], "three different times"),
        ([1.0, 2.0, 3.0], [3.0, 2.0, 1.0], "does not rise"),
    ],
)
def test_readings_without_a_set_are_refused(time, resistance, why):
    with pytest.raises(NotPossible, match=why):
        set_times(time, resistance)


def test_the_needle_is_read_between_the_readings_on_either_side():
    """From (75 min, 31 mm) to (90 min, 22 mm): 75 + 15·6/9 = 85 min, by hand with the formula of [ASTM-C191]."""
    assert needle_set(np.array([60.0, 75.0, 90.0]) * MINUTE, [0.034, 0.031, 0.022]) == pytest.approx(85 * MINUTE)
    assert needle_set([60.0, 75.0, 90.0], [0.034, 0.025, 0.022]) == 75.0


@pytest.mark.parametrize(
    ("time", "depth", "error", "why"),
    [
        ([1.0, 2.0], [0.040, 0.030], NotPossible, "go on reading"),
        ([1.0, 2.0], [0.024, 0.020], NotPossible, "begin sooner"),
        ([2.0, 1.0], [0.030, 0.020], ValueError, "ascending"),
        ([1.0, 2.0], [0.030], ValueError, "ascending"),
    ],
)
def test_a_needle_that_does_not_pass_the_depth_is_refused(time, depth, error, why):
    with pytest.raises(error, match=why):
        needle_set(time, depth)


def test_two_temperatures_give_the_quotient_of_logarithms():
    """E = R ln(t1/t2)/(1/T1 - 1/T2), by hand."""
    expected = 8.314462618 * math.log(310 / 95) / (1 / 283.15 - 1 / 303.15)

    found = activation_energy([10.0, 30.0], [310.0, 95.0], relative_u=0.05)

    assert found.value == pytest.approx(expected)
    assert found.u == pytest.approx(8.314462618 * 0.05 * math.sqrt(2) / (1 / 283.15 - 1 / 303.15))
    assert math.isinf(found.dof)


def test_several_temperatures_give_the_slope_and_error_of_a_regression():
    """Reference: scipy.stats.linregress."""
    temperatures, times = np.array([8.0, 15.0, 21.0, 30.0]), np.array([300.0, 190.0, 140.0, 82.0])
    fit = stats.linregress(1 / (temperatures + 273.15), np.log(times))

    found = activation_energy(temperatures, times)

    assert found.value == pytest.approx(8.314462618 * fit.slope, rel=1e-9)
    assert found.u == pytest.approx(8.314462618 * fit.stderr, rel=1e-6)
    assert found.dof == 2


@pytest.mark.parametrize(
    ("temperatures", "times", "error", "why"),
    [
        ([10.0, 30.0], [300.0, 100.0], NotPossible, "three temperatures"),
        ([20.0, 20.0, 20.0], [300.0, 310.0, 305.0], NotPossible, "three temperatures"),
        ([10.0, 20.0, 30.0], [100.0, 200.0, 300.0], NotPossible, "does not set sooner"),
        ([10.0, 20.0, 30.0], [100.0, 200.0], ValueError, "expected one for each"),
    ],
)
def test_times_that_tell_no_activation_energy_are_refused(temperatures, times, error, why):
    with pytest.raises(error, match=why):
        activation_energy(temperatures, times)
