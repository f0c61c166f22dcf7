"""Collapse of a growing wall, against slip lines, minima and sums by hand."""

import math

import numpy as np
import pytest
from scipy.optimize import minimize_scalar

from evenbead.physics.collapse import (
    VON_MISES,
    collapse_course,
    collapse_load_factors,
    squeezed_disc_factor,
    squeezed_strip_factor,
    yield_factor,
)
from evenbead.physics.collapse_ideal import (
    collapse_height,
    collapse_time,
    rise_without_collapse,
    rise_without_collapse_exponential,
    yield_stress_needed,
)
from evenbead.physics.constants import GRAVITY
from evenbead.physics.fresh_wall import Layers, ages, even_layers
from evenbead.physics.rhythm import shortest_interval, tallest

WALL = even_layers(40, interval=45.0, height=0.01, width=0.05, density=2100.0)


@pytest.mark.parametrize("friction", [0.0, 0.1, 0.35, 0.6])
def test_mohr_coulomb_is_the_weakest_slip_plane(friction):
    """On a plane at angle a, shear s sin a cos a is borne by cohesion and by friction of the pressure s cos² a."""

    def borne(angle):
        return 1.0 / (math.cos(angle) * (math.sin(angle) - math.cos(angle) * math.tan(friction)))

    weakest = minimize_scalar(borne, bounds=(friction + 0.05, math.pi / 2 - 0.05), method="bounded").fun
    assert yield_factor("Mohr-Coulomb", friction=friction) == pytest.approx(weakest, rel=1e-6)


def test_without_friction_mohr_coulomb_is_tresca_and_von_mises_is_stricter():
    assert yield_factor("Mohr-Coulomb") == yield_factor("Tresca") == 2.0
    assert yield_factor() == VON_MISES == pytest.approx(math.sqrt(3))


def test_squeezed_beads_are_only_estimated_upward():
    assert squeezed_strip_factor(width=0.04, height=0.01) > yield_factor("Tresca")
    assert squeezed_disc_factor(diameter=1e-9, height=0.01) == pytest.approx(VON_MISES)


def test_every_layer_at_every_moment_is_what_a_loop_gives():
    yield_stress = 400.0 + 0.6 * ages(WALL) + 50.0 * np.sin(np.arange(40))[:, None]
    factors = collapse_load_factors(WALL, yield_stress, factor=2.0, aspect=1.1)

    for layer, moment in [(0, 0), (0, 39), (7, 20), (20, 20), (38, 39)]:
        stress = (moment - layer + 1) * 0.01 * 2100.0 * GRAVITY
        assert factors[layer, moment] == pytest.approx(2.0 * 1.1 * yield_stress[layer, moment] / stress)
    assert np.all(np.isinf(factors[np.tril_indices(40, -1)]))


def test_a_weak_layer_governs_from_when_it_is_loaded():
    yield_stress = 900.0 + 0.9 * ages(WALL)
    yield_stress[12] *= 0.4
    course = collapse_course(WALL, yield_stress)

    assert int(course.governing_layer) == 12
    assert np.all(course.layer[:12] != 12)
    assert course.least == collapse_load_factors(WALL, yield_stress).min()


def test_narrower_layers_bear_more():
    narrow = Layers(laid=WALL.laid, height=0.01, width=np.linspace(0.05, 0.04, 40), area=5e-4, density=2100.0)
    yield_stress = np.full((40, 40), 800.0)

    ratio = collapse_load_factors(narrow, yield_stress)[:, -1] / collapse_load_factors(WALL, yield_stress)[:, -1]
    assert ratio == pytest.approx(np.linspace(1.0, 0.8, 40))


@pytest.mark.parametrize("start_over_growth", [1e-3, 0.3, 1.0, 4.0, 60.0])
def test_the_rise_under_exponential_growth_is_the_minimum_found_by_search(start_over_growth):
    growth, time = 0.5, 1500.0
    start = start_over_growth * growth * time

    def rise(t):
        return VON_MISES * (start + growth * time * math.expm1(t / time)) / (2200.0 * GRAVITY * t)

    least = minimize_scalar(rise, bounds=(1.0, 20 * time), method="bounded", options={"xatol": 1e-3}).fun
    ours = rise_without_collapse_exponential(yield_stress=start, growth=growth, time=time, density=2200.0)
    assert ours == pytest.approx(least, rel=1e-7)


def test_exponential_growth_of_long_time_is_linear_growth_with_its_start_lost():
    slow = rise_without_collapse_exponential(yield_stress=1e-6, growth=0.5, time=1e9, density=2200.0)

    assert slow == pytest.approx(rise_without_collapse(growth=0.5, density=2200.0), rel=1e-3)


def test_a_wall_that_outruns_its_weight_never_collapses():
    rise = rise_without_collapse(growth=0.5, density=2200.0)

    assert math.isinf(collapse_time(yield_stress=500.0, growth=0.5, rise=0.99 * rise, density=2200.0))
    assert math.isfinite(collapse_time(yield_stress=500.0, growth=0.5, rise=1.01 * rise, density=2200.0))


def test_strength_in_compression_gives_the_same_height_as_in_shear():
    start, growth, rise = 500.0, 0.3, 3e-4
    time = collapse_time(yield_stress=start, growth=growth, rise=rise, density=2200.0)

    height = collapse_height(strength=VON_MISES * start, curing=growth / start, rise=rise, density=2200.0)
    assert height == pytest.approx(rise * time)
    assert yield_stress_needed(height=height, density=2200.0) == pytest.approx(start + growth * time)


def falling(wall):
    return collapse_course(wall, 500.0 + 0.3 * ages(wall)).load_factor


def test_thin_layers_collapse_where_the_ideal_wall_does():
    """n layers are n h high when the bottom one is (n - 1) intervals old: a step's difference."""
    thin = even_layers(100, interval=2.0, height=0.0005, width=0.05, density=2100.0)
    time = collapse_time(yield_stress=500.0, growth=0.3, rise=0.00025, density=2100.0)

    found = tallest(thin, falling)

    assert found.ends
    assert found.height == pytest.approx(0.00025 * time, abs=0.002)


def test_the_shortest_interval_of_an_even_wall_is_known_in_closed_form():
    """The last layer needs factor (start + growth (n - 1) interval) = n h times the weight of a cubic metre."""
    needed = (40 * 0.01 * 2100.0 * GRAVITY / VON_MISES - 500.0) / 0.3 / 39

    assert shortest_interval(WALL, falling).interval == pytest.approx(needed, rel=1e-6)
