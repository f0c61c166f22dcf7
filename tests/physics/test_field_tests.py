"""Tests at the nozzle and on the table: figures recomputed by hand, doubt by the rules, cautions where they belong."""

import math

import numpy as np
import pytest
from scipy.integrate import quad

from evenbead.physics.field_tests import (
    cone_volume,
    falling_slugs,
    flow_table_index,
    mean_with_instrument,
    mini_cone_spread,
    scatter_of,
    slug_length,
    value_from,
)
from evenbead.physics.uncertainty import Estimate

# Figures below were recomputed outside the project with g = 9.81 m/s², 0.03 % above the standard value.
CLOSE = 1e-3


@pytest.mark.parametrize(("mass", "diameter", "stress"), [(0.050, 0.025, 576.9), (0.050, 0.020, 901.4)])
def test_a_slug_tells_its_yield_stress(mass, diameter, stress):
    test = falling_slugs(mass, nozzle_diameter=diameter, density=2100.0)

    assert test.yield_stress.value == pytest.approx(stress, rel=CLOSE)
    assert test.scatter is None


@pytest.mark.parametrize(
    ("stress", "diameter", "grams", "length"), [(500.0, 0.020, 27.73, 42.04), (1000.0, 0.025, 86.67, 84.08)]
)
def test_a_slug_hangs_as_long_as_it_holds(stress, diameter, grams, length):
    hangs = slug_length(stress, density=2100.0)

    assert hangs * 1000 == pytest.approx(length, rel=CLOSE)
    assert falling_slugs(grams / 1000, nozzle_diameter=diameter, density=2100.0).yield_stress.value == pytest.approx(
        stress, rel=CLOSE
    )


def test_the_doubt_of_slugs_holds_their_scatter_the_scale_and_the_nozzle():
    """By hand: relative parts add as squares, the diameter twice."""
    masses = np.array([0.0310, 0.0290, 0.0305, 0.0295])
    test = falling_slugs(masses, nozzle_diameter=0.020, density=2100.0, scale_u=0.0005, diameter_u=0.0001)

    of_mean = masses.std(ddof=1) / 2 / masses.mean()
    expected = math.hypot(of_mean, 0.0005 / masses.mean(), 2 * 0.0001 / 0.020)
    assert test.yield_stress.u / test.yield_stress.value == pytest.approx(expected, rel=1e-3)
    assert test.yield_stress.dof == pytest.approx(3 * (expected / of_mean) ** 4, rel=1e-2)
    assert test.scatter == pytest.approx(masses.std(ddof=1) / masses.mean())


def test_short_slugs_are_a_guess_and_said_to_be():
    assert falling_slugs(0.004, nozzle_diameter=0.020, density=2100.0).cautions
    assert not falling_slugs(0.030, nozzle_diameter=0.020, density=2100.0).cautions


@pytest.mark.parametrize(("spread", "stress"), [(0.200, 43.42), (0.250, 14.23), (0.300, 5.72)])
def test_the_spread_of_a_small_cone_tells_its_yield_stress(spread, stress):
    cone = cone_volume(top=0.070, bottom=0.100, height=0.060)
    test = mini_cone_spread(spread, volume=cone, density=2100.0)

    assert test.yield_stress.value == pytest.approx(stress, rel=CLOSE)
    assert test.yield_stress.u / test.yield_stress.value == pytest.approx(5 * 0.001 / spread, rel=1e-3)
    assert bool(test.cautions) == (spread < 0.206)  # height over radius passes 0.1 there


def test_the_other_cone_of_the_trade_too():
    cone = cone_volume(top=0.01905, bottom=0.0381, height=0.05715)

    assert cone * 1e6 == pytest.approx(38.008, abs=1e-3)
    assert mini_cone_spread(0.100, volume=cone, density=1950.0).yield_stress.value == pytest.approx(15.75, rel=CLOSE)


def test_a_thick_spread_is_outside_the_formula_and_said_to_be():
    cone = cone_volume(top=0.070, bottom=0.100, height=0.060)

    test = mini_cone_spread(0.150, volume=cone, density=2100.0)

    assert test.yield_stress.value == pytest.approx(183.0, rel=5e-3)
    assert "0.26" in test.cautions[0]


def test_the_formula_of_the_spread_is_that_of_a_heap_at_rest():
    """Independent: the height of a spread at rest, h = √(2τ(R - r)/(density·g)), integrated by quadrature."""
    stress, radius, density, g = 30.0, 0.12, 2100.0, 9.80665
    heap, _ = quad(lambda r: 2 * math.pi * r * math.sqrt(2 * stress * (radius - r) / (density * g)), 0.0, radius)

    ours = mini_cone_spread(2 * radius, volume=heap, density=density)

    assert ours.yield_stress.value == pytest.approx(stress, rel=1e-6)


def test_the_volume_of_a_cone_is_its_integral():
    area, _ = quad(lambda z: math.pi / 4 * (0.070 + 0.030 * z / 0.060) ** 2, 0.0, 0.060)

    assert cone_volume(top=0.070, bottom=0.100, height=0.060) == pytest.approx(area)


def test_the_flow_table_is_an_index_and_nothing_else():
    index = flow_table_index([0.172, 0.178, 0.174], reading_u=0.001)

    assert isinstance(index, Estimate)
    assert index.value == pytest.approx(0.17467, abs=1e-5)
    assert index.u == pytest.approx(math.hypot(0.003055 / math.sqrt(3), 0.001), rel=1e-3)


def test_one_reading_needs_an_instrument_that_is_known():
    assert mean_with_instrument(5.0, instrument_u=0.1, name="force") == Estimate(value=5.0, u=0.1)
    assert scatter_of(5.0) is None
    with pytest.raises(ValueError, match="uncertainty of the only force"):
        mean_with_instrument(5.0, instrument_u=0.0, name="force")


def test_a_reading_of_nothing_is_refused():
    with pytest.raises(ValueError, match="slug mass"):
        falling_slugs([0.03, 0.0], nozzle_diameter=0.02, density=2100.0)


def test_an_exact_formula_of_known_inputs_has_no_doubt():
    assert value_from(lambda a, b: a * b, Estimate(value=2.0, u=0.0), Estimate(value=3.0, u=0.0)).u == 0.0
