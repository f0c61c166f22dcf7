"""Vanes, penetrometer, fall cone and slumped cylinder: by hand, by quadrature, and by the doubt of their constants."""

import math

import numpy as np
import pytest
from scipy.integrate import quad

from evenbead.physics.field_soil_tests import deep_vane, fall_cone, penetrometer, pocket_vane, slumped_cylinder

# Figures below were recomputed outside the project with g = 9.81 m/s², 0.03 % above the standard value.
CLOSE = 1e-3


def test_a_vane_twice_as_high_as_wide_has_the_short_formula():
    """6T/(7πD³), [Dzuy1985] from memory; 1645.44 Pa recomputed outside the project."""
    found = deep_vane(0.1, diameter=0.0255, height=0.051, torque_u=0.001).yield_stress

    assert found.value == pytest.approx(1645.44, abs=0.005)
    assert found.value == pytest.approx(6 * 0.1 / (7 * math.pi * 0.0255**3), rel=1e-9)


def test_the_torque_of_a_vane_is_that_of_the_cylinder_it_turns():
    """Independent: yield stress over side and both ends, integrated by quadrature."""
    stress, diameter, height = 800.0, 0.020, 0.030
    side = stress * math.pi * diameter * height * diameter / 2
    end, _ = quad(lambda r: stress * 2 * math.pi * r**2, 0.0, diameter / 2)

    found = deep_vane(side + 2 * end, diameter=diameter, height=height, torque_u=0.001)

    assert found.yield_stress.value == pytest.approx(stress)


def test_the_doubt_of_a_vane_holds_its_size():
    found = deep_vane([0.099, 0.101], diameter=0.0255, height=0.051, torque_u=0.0, size_u=0.0001)
    # ln T, less 2 ln D, less ln(H/2 + D/6): the slopes by hand.
    arm = 0.051 / 2 + 0.0255 / 6
    of_diameter = (2 / 0.0255 + 1 / 6 / arm) * 0.0001
    of_height = 1 / 2 / arm * 0.0001

    expected = math.hypot(0.001 / 0.1, of_diameter, of_height)
    assert found.yield_stress.u / found.yield_stress.value == pytest.approx(expected, rel=1e-3)


def test_the_smallest_torque_of_the_pocket_vane_is_a_few_pascal():
    assert pocket_vane(7e-5, torque_u=1e-5).yield_stress.value == pytest.approx(7.0)


def test_the_penetrometer_needs_its_factor_and_passes_its_doubt_on():
    found = penetrometer(9.2, area=1e-4, bearing_factor=9.2, bearing_factor_u=0.92, force_u=0.092)

    assert found.yield_stress.value == pytest.approx(10e3)
    assert found.yield_stress.u == pytest.approx(10e3 * math.hypot(0.1, 0.01), rel=1e-3)
    assert "factor 9.2" in found.test


@pytest.mark.parametrize(
    ("mass", "depth", "factor", "stress"),
    [(0.080, 0.020, 0.80, 1569.6), (0.080, 0.020, 0.85, 1667.7), (0.060, 0.010, 0.27, 1589.2)],
)
def test_a_falling_cone_tells_its_yield_stress(mass, depth, factor, stress):
    found = fall_cone(depth, mass=mass, factor=factor, factor_u=0.1, depth_u=1e-4)

    assert found.yield_stress.value == pytest.approx(stress, rel=CLOSE)
    assert found.yield_stress.u / found.yield_stress.value == pytest.approx(
        math.hypot(0.1 / factor, 2e-4 / depth), rel=1e-3
    )


@pytest.mark.parametrize(("criterion", "factor"), [("Tresca", 2.0), ("von Mises", math.sqrt(3.0))])
def test_a_slumped_cylinder_is_the_sum_of_its_squeezed_slices(criterion, factor):
    """Independent: each slice below the height that carries itself is squeezed until the weight above is carried."""
    stress, height, density, g = 400.0, 0.100, 2100.0, 9.80665
    carries = factor * stress / (density * g)
    squeezed, _ = quad(lambda depth: 1.0 - carries / depth, carries, height)

    found = slumped_cylinder(squeezed, height=height, density=density, criterion=criterion)

    assert found.yield_stress.value == pytest.approx(stress, rel=1e-6)


@pytest.mark.parametrize("slump", [0.0, 0.1, 0.12])
def test_a_cylinder_that_stood_or_ran_away_tells_nothing(slump):
    with pytest.raises(ValueError, match="slump"):
        slumped_cylinder(slump, height=0.100, density=2100.0)


def test_repeats_show_their_scatter_and_single_readings_none():
    assert pocket_vane([0.02, 0.022], torque_u=1e-4).scatter == pytest.approx(np.std([0.02, 0.022], ddof=1) / 0.021)
    assert slumped_cylinder(0.03, height=0.1, density=2100.0).scatter is None
