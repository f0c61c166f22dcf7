"""Rings and bounds: against the closed form, and against each other."""

import math

import numpy as np
import pytest

from evenbead.physics.buckling import buckling_course
from evenbead.physics.buckling_curved import curved_bounds, ring_buckling_stress, ring_course, ring_half_wave
from evenbead.physics.constants import GRAVITY
from evenbead.physics.fresh_wall import ages, even_layers

RING = even_layers(60, interval=20.0, height=0.01, width=0.04, density=2070.0)


def test_an_even_ring_wrinkles_at_its_foot_where_weight_reaches_the_stress_of_theory():
    course = ring_course(RING, 60e3 + 0.0 * ages(RING), radius=0.3, poisson=0.25, knock_down=0.5)

    stress = 0.5 * 60e3 * 0.04 / 0.3 / math.sqrt(3 * (1 - 0.25**2))
    assert course.load_factor[-1] == pytest.approx(stress / (2070.0 * GRAVITY * 0.6))
    assert np.all(course.layer == 0)


def test_the_half_wave_is_that_of_a_strip_on_the_springs_of_the_ring():
    """Of all half waves m, D (π/m)² + (E d/R²) (m/π)² is least at the true one, and then is the stress times d."""
    modulus, width, radius, poisson = 60e3, 0.04, 0.5, 0.3
    rigidity = modulus * width**3 / 12 / (1 - poisson**2)

    def force(half_wave):
        return rigidity * (math.pi / half_wave) ** 2 + modulus * width / radius**2 * (half_wave / math.pi) ** 2

    ours = ring_half_wave(width=width, radius=radius, poisson=poisson)
    stress = ring_buckling_stress(modulus=modulus, width=width, radius=radius, poisson=poisson, knock_down=1.0)
    assert force(ours) == pytest.approx(stress * width)
    assert force(0.99 * ours) > force(ours) < force(1.01 * ours)


def test_bounds_are_the_free_wall_and_never_less():
    modulus = 78e3 + 20.0 * ages(RING)
    free = buckling_course(RING, modulus, poisson=0.3)
    wide = curved_bounds(free, ring_course(RING, modulus, radius=50.0, poisson=0.3, knock_down=1.0))
    tight = curved_bounds(free, ring_course(RING, modulus, radius=0.25, poisson=0.3, knock_down=1.0))

    assert np.all(wide.low == free.load_factor)
    assert np.all(tight.high >= wide.high)
    assert wide.high[0] == free.load_factor[0]
    assert tight.high[-1] > 3 * tight.low[-1]


def test_nothing_wrinkles_before_anything_stands():
    when = np.array([-1.0, 0.0])
    course = ring_course(RING, np.full((60, 2), 60e3), radius=0.3, poisson=0.3, knock_down=0.5, moments=when)

    assert np.isinf(course.load_factor).tolist() == [True, False]
