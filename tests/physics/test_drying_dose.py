"""The drying dose: areas under a rate that changes, and the share of water it takes."""

import numpy as np
import pytest
from scipy.integrate import quad

from evenbead.physics.drying import Evaporation
from evenbead.physics.drying_dose import drying_dose, drying_doses, share_of_water_lost

TIME = np.array([0.0, 3600.0, 7200.0, 14400.0])
RATE = np.array([0.2, 0.8, 0.6, 0.1]) / 3600


def test_a_steady_rate_gives_rate_times_time():
    assert drying_dose([0.0, 7200.0], [1e-4, 1e-4], since=600.0, until=2400.0) == pytest.approx(0.18)


@pytest.mark.parametrize(("since", "until"), [(0.0, 14400.0), (1000.0, 3000.0), (3000.0, 9000.0), (7200.0, 7200.0)])
def test_a_dose_is_the_area_under_the_rate(since, until):
    """Reference: SciPy's quadrature of the broken line."""
    inside = TIME[(since < TIME) & (until > TIME)]
    area, _ = quad(lambda t: np.interp(t, TIME, RATE), since, until, points=inside if len(inside) else None)

    assert drying_dose(TIME, RATE, since=since, until=until) == pytest.approx(area, abs=1e-12)


def test_every_point_of_a_print_has_a_dose_of_its_own():
    laid = np.linspace(0.0, 12000.0, 1000)

    doses = drying_dose(TIME, RATE, since=laid, until=laid + 1200.0)

    assert doses.shape == (1000,)
    assert np.argmax(doses) == pytest.approx(np.argmin(np.abs(laid + 600 - 3600)), abs=40)


def test_both_formulas_have_a_dose():
    dose = drying_doses(TIME, Evaporation(uno=RATE, menzel=1.1 * RATE), since=0.0, until=3600.0)

    assert dose.uno == pytest.approx(0.5)
    assert dose.menzel == dose.higher == pytest.approx(0.55)


@pytest.mark.parametrize(
    ("since", "until", "name"), [(-1.0, 10.0, "since"), (0.0, 15000.0, "until"), (10.0, 5.0, "laid to covered")]
)
def test_faces_outside_the_weather_are_refused(since, until, name):
    with pytest.raises(ValueError, match=name):
        drying_dose(TIME, RATE, since=since, until=until)


@pytest.mark.parametrize(("time", "rate"), [([0.0, 0.0], [1.0, 1.0]), ([0.0, 1.0], [1.0]), ([[0.0]], [[1.0]])])
def test_weather_without_order_is_refused(time, rate):
    with pytest.raises(ValueError, match="time is not ascending"):
        drying_dose(time, rate, since=0.0, until=0.0)


def test_the_share_of_water_lost_is_loss_over_content():
    """0.5 kg/m² from both sides of a bead 15 mm high and 40 mm wide, 280 kg/m³ of water; by hand."""
    share = share_of_water_lost(0.5, exposed_width=0.030, section_area=6e-4, water_content=280.0)

    assert share == pytest.approx(0.5 * 0.030 / (6e-4 * 280.0))
