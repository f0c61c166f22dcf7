"""The growing wall against CalculiX, solid elements in place of ours; skipped where that program is missing."""

import numpy as np
import pytest

from calculix_wall import MISSING, calculix, calculix_load_factor
from evenbead.physics.buckling import buckling_course
from evenbead.physics.fresh_wall import Layers, ages

pytestmark = [pytest.mark.slow, pytest.mark.skipif(calculix() is None, reason=MISSING)]


def both(folder, *, count, poisson, width, theory="thick"):
    """Our load factor and the other for a wall with a pause, at its end."""
    laid = 60.0 * np.arange(count) + 900.0 * (np.arange(count) > count // 3)
    wall = Layers(laid=laid, height=0.01, width=width, area=0.01 * width, density=2100.0)
    modulus = 80e3 + 150.0 * ages(wall, laid[-1:])
    ours = buckling_course(wall, modulus, poisson=poisson, moments=laid[-1:], theory=theory).least
    theirs = calculix_load_factor(
        folder, modulus=modulus[:, 0], height=0.01, width=width, density=2100.0, poisson=poisson
    )
    return float(ours), theirs


@pytest.mark.parametrize(("count", "poisson"), [(100, 0.0), (100, 0.3), (40, 0.0), (40, 0.3), (20, 0.3)])
def test_a_wall_of_ageing_layers_is_within_a_hundredth(tmp_path, count, poisson):
    ours, theirs = both(tmp_path, count=count, poisson=poisson, width=np.full(count, 0.05))

    assert ours == pytest.approx(theirs, rel=0.01)


def test_a_tapered_wall_is_within_a_hundredth(tmp_path):
    ours, theirs = both(tmp_path, count=50, poisson=0.3, width=np.linspace(0.06, 0.04, 50))

    assert ours == pytest.approx(theirs, rel=0.01)


def test_without_shear_a_squat_wall_would_be_too_high(tmp_path):
    ours, theirs = both(tmp_path, count=20, poisson=0.3, width=np.full(20, 0.05), theory="thin")

    assert ours > 1.05 * theirs
