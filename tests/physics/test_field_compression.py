"""The pressed cylinder: by hand, with SciPy's regression for the modulus, and its cautions."""

import math

import numpy as np
import pytest
from scipy import stats

from evenbead.errors import NotPossible
from evenbead.physics.field_compression import pressed_cylinder

SIZE = {"diameter": 0.070, "height": 0.140}
SHORTENINGS = np.linspace(0.0, 0.016, 17)
# Rises to 30 N at 10 mm, then gives way.
FORCES = 30.0 * np.sin(np.minimum(SHORTENINGS / 0.010, 1.0) * math.pi / 2) * np.where(SHORTENINGS > 0.010, 0.9, 1.0)


def test_strength_is_the_highest_true_stress():
    """30 N, 10 mm of 140: 7.2385 kPa, 4.179 kPa by von Mises and 3.619 by Tresca, recomputed outside the project."""
    found = pressed_cylinder([0.0, 15.0, 25.0, 30.0, 20.0], [0.0, 0.003, 0.006, 0.010, 0.014], **SIZE)
    tresca = pressed_cylinder(
        [0.0, 15.0, 25.0, 30.0, 20.0], [0.0, 0.003, 0.006, 0.010, 0.014], **SIZE, criterion="Tresca"
    )

    assert found.strength.value == pytest.approx(7238.5, abs=0.05)
    assert found.yield_stress.value == pytest.approx(4179.0, abs=0.5)
    assert tresca.yield_stress.value == pytest.approx(3619.0, abs=0.5)
    assert found.strain == pytest.approx(0.010 / 0.140)
    assert found.cautions == ()


def test_the_modulus_is_the_slope_in_its_range():
    """Reference: scipy.stats.linregress."""
    found = pressed_cylinder(FORCES, SHORTENINGS, **SIZE, diameter_u=0.0)
    strain = SHORTENINGS / 0.140
    stress = FORCES * (1 - strain) / (math.pi / 4 * 0.070**2)
    inside = strain <= 0.05
    line = stats.linregress(strain[inside], stress[inside])

    assert found.elastic_modulus.value == pytest.approx(line.slope)
    assert found.elastic_modulus.u == pytest.approx(line.stderr, rel=1e-3)
    assert found.elastic_modulus.dof == inside.sum() - 2


def test_the_doubt_of_the_section_is_in_strength_and_modulus():
    found = pressed_cylinder(FORCES, SHORTENINGS, **SIZE, force_u=0.3, diameter_u=0.0007)
    known = pressed_cylinder(FORCES, SHORTENINGS, **SIZE, force_u=0.3, diameter_u=0.0)

    assert found.strength.u / found.strength.value == pytest.approx(math.hypot(0.01, 0.02), rel=1e-3)
    assert found.elastic_modulus.u > known.elastic_modulus.u


def test_what_lies_outside_the_test_is_said():
    rising = pressed_cylinder(30 * SHORTENINGS, SHORTENINGS, **SIZE)
    squat = pressed_cylinder(FORCES, SHORTENINGS / 10, diameter=0.070, height=0.070)
    flat = pressed_cylinder(
        np.minimum(np.linspace(0, 90, 31), 80.0), np.linspace(0, 0.030, 31), diameter=0.050, height=0.100
    )

    assert "lower bound" in rising.cautions[0]
    assert "as high as wide" in squat.cautions[-1]
    assert "hardly known" in flat.cautions[0]


def test_a_modulus_of_two_readings_is_refused():
    with pytest.raises(NotPossible, match="three readings"):
        pressed_cylinder(FORCES, SHORTENINGS, **SIZE, modulus_strains=(0.0, 0.01))


def test_forces_without_shortenings_are_refused():
    with pytest.raises(ValueError, match="expected one for each"):
        pressed_cylinder([1.0, 2.0], [0.0], **SIZE)
