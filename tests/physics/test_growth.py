"""Laws of growth: figures recomputed by hand, limits, and slopes by finite differences."""

import math

import numpy as np
import pytest

from evenbead.physics.growth import BilinearGrowth, ExponentialGrowth, LinearGrowth, PowerGrowth

LAWS = [
    LinearGrowth(rate=0.5),
    ExponentialGrowth(rate=0.5, time=1800.0),
    BilinearGrowth(reflocculation=5.0, rise=1500.0, structuration=0.8),
    PowerGrowth(gained=12e3, time=600.0, exponent=1.6),
]


def test_linear_and_exponential_growth_are_as_recomputed():
    """500 Pa at first, 0.5 Pa/s, 1800 s; recomputed outside the project."""
    ages = np.array([60.0, 600.0, 1800.0, 3600.0])

    assert 500.0 + LAWS[0].gain(ages) == pytest.approx([530.0, 800.0, 1400.0, 2300.0])
    assert 500.0 + LAWS[1].gain(ages) == pytest.approx([530.51, 856.05, 2046.45, 6250.15], abs=0.006)


def test_growth_in_two_lines_bends_where_the_rise_is_made():
    """1000 Pa dynamic, 2500 Pa static; recomputed outside the project."""
    law = LAWS[2]

    assert law.bend == 300.0
    assert 1000.0 + law.gain(np.array([100.0, 300.0, 600.0, 3600.0])) == pytest.approx([1500, 2500, 2740, 5140])
    assert law.rate_at(np.array([299.0, 300.0])) == pytest.approx([5.0, 0.8])


def test_a_long_characteristic_time_gives_the_straight_line():
    ages = np.linspace(0.0, 3600.0, 7)

    assert ExponentialGrowth(rate=0.5, time=1e10).gain(ages) == pytest.approx(LAWS[0].gain(ages), rel=1e-6)


def test_a_power_of_one_gives_the_straight_line():
    ages = np.linspace(0.0, 3600.0, 7)

    assert PowerGrowth(gained=300.0, time=600.0, exponent=1.0).gain(ages) == pytest.approx(LAWS[0].gain(ages))


@pytest.mark.parametrize("law", LAWS)
def test_the_rate_is_the_slope_of_the_gain(law):
    ages = np.array([50.0, 250.0, 900.0, 2000.0])
    step = 1e-3

    slopes = (law.gain(ages + step) - law.gain(ages - step)) / (2 * step)

    assert law.rate_at(ages) == pytest.approx(slopes, rel=1e-5)


@pytest.mark.parametrize("law", LAWS)
def test_no_gain_takes_no_time(law):
    assert law.gain(0.0) == 0.0
    assert law.age_for(0.0) == 0.0
    assert law.age_for(-10.0) == 0.0


@pytest.mark.parametrize(
    "law",
    [
        LinearGrowth(rate=0.0),
        ExponentialGrowth(rate=0.0, time=100.0),
        BilinearGrowth(reflocculation=1.0, rise=5.0, structuration=0.0),
        PowerGrowth(gained=0.0, time=10.0, exponent=2.0),
    ],
)
def test_a_law_that_stops_never_gets_further(law):
    assert math.isinf(law.age_for(10.0))


def test_the_rate_of_a_root_is_infinite_at_first():
    assert math.isinf(PowerGrowth(gained=1.0, time=1.0, exponent=0.5).rate_at(0.0))


@pytest.mark.parametrize(
    ("law", "numbers", "name"),
    [
        (LinearGrowth, {"rate": -0.1}, "growth rate"),
        (LinearGrowth, {"rate": np.array([1.0, np.nan])}, "growth rate"),
        (ExponentialGrowth, {"rate": 1.0, "time": 0.0}, "characteristic time"),
        (BilinearGrowth, {"reflocculation": 0.0, "rise": 1.0, "structuration": 1.0}, "re-flocculation"),
        (BilinearGrowth, {"reflocculation": 1.0, "rise": -1.0, "structuration": 1.0}, "rise"),
        (PowerGrowth, {"gained": 1.0, "time": 1.0, "exponent": 0.0}, "exponent"),
    ],
)
def test_growth_that_contradicts_itself_is_refused_with_the_reason(law, numbers, name):
    with pytest.raises(ValueError, match=name):
        law(**numbers)
