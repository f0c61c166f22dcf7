"""Yield stress at a water, age and temperature; growth between doses; numbers that contradict each other."""

import numpy as np
import pytest
from scipy.interpolate import PchipInterpolator

from evenbead.physics.growth import BilinearGrowth, ExponentialGrowth, LinearGrowth
from evenbead.physics.rheology import (
    DosedGrowth,
    growth_at_dose,
    longest_rest,
    longest_rest_along,
    strain_at_yield,
    water_factor,
    yield_stress,
    yield_stress_along,
)
from evenbead.physics.setting import TemperatureHistory
from evenbead.physics.setting_rate import Arrhenius

GROWTH = LinearGrowth(rate=0.5)
WARM = Arrhenius(activation_energy=40e3)


def test_one_percent_of_water_moves_the_yield_stress_by_five():
    """From a published pair of 0.30 and 0.26, recomputed outside the project: 4.94 % less, 5.20 % more."""
    assert water_factor(0.003, sensitivity=16.889) == pytest.approx(1 - 0.0494, abs=1e-4)
    assert water_factor(-0.003, sensitivity=16.889) == pytest.approx(1 + 0.0520, abs=1e-4)


def test_water_lowers_start_and_growth_alike():
    wetter = yield_stress(500.0, growth=GROWTH, age=600.0, ratio_change=0.01, water_sensitivity=24.0)

    assert wetter == pytest.approx((500.0 + 300.0) * np.exp(-0.24))


def test_rest_in_the_warmth_counts_for_more():
    """At 30 °C and 40 kJ/mol the factor is 1.718, recomputed outside the project."""
    warm = TemperatureHistory.constant(30.0)

    stress = yield_stress_along(500.0, growth=GROWTH, history=warm, since=100.0, until=700.0, rate=WARM)
    rest = longest_rest_along(800.0, start=500.0, growth=GROWTH, history=warm, since=100.0, rate=WARM)

    assert stress == pytest.approx(500.0 + 0.5 * 600.0 * 1.7183, rel=1e-4)
    assert rest == pytest.approx(600.0 / 1.7183, rel=1e-4)


def test_a_limit_that_is_passed_already_leaves_no_rest():
    assert longest_rest(400.0, start=500.0, growth=GROWTH) == 0.0


def test_an_age_before_rest_begins_is_refused():
    with pytest.raises(ValueError, match="age at rest"):
        yield_stress(500.0, growth=GROWTH, age=-1.0)


def test_ten_thousand_draws_give_ten_thousand_yield_stresses():
    draws = np.random.default_rng(1).lognormal(0.0, 0.2, 10_000)

    stress = yield_stress(
        500.0 * draws, growth=LinearGrowth(rate=0.5 * draws), age=600.0, ratio_change=0.002, water_sensitivity=20.0
    )

    assert stress.shape == (10_000,)


class TestDoses:
    tests = DosedGrowth(dose=[0.02, 0.035, 0.05, 0.06], growth=LinearGrowth(rate=np.array([1.5, 4.3, 9.0, 9.2])))

    def test_measured_doses_give_what_was_measured(self):
        found = growth_at_dose(self.tests, self.tests.dose)

        assert found.growth.rate == pytest.approx([1.5, 4.3, 9.0, 9.2])
        assert np.all(found.measured)

    def test_between_doses_it_is_a_monotone_cubic(self):
        """Reference: SciPy's pchip interpolation."""
        doses = np.linspace(0.02, 0.06, 41)

        rates = growth_at_dose(self.tests, doses).growth.rate

        assert rates == pytest.approx(PchipInterpolator(self.tests.dose, self.tests.growth.rate)(doses))
        assert np.all(np.diff(rates) >= 0.0)

    def test_outside_the_doses_it_holds_the_nearest_and_says_so(self):
        found = growth_at_dose(self.tests, np.array([0.01, 0.04, 0.09]))

        assert list(found.measured) == [False, True, False]
        assert found.growth.rate[[0, 2]] == pytest.approx([1.5, 9.2])

    def test_a_single_dose_stands_for_itself_only(self):
        law = ExponentialGrowth(rate=np.array([4.0]), time=np.array([900.0]))
        found = growth_at_dose(DosedGrowth(dose=[0.035], growth=law), 0.04)

        assert found.growth == ExponentialGrowth(rate=4.0, time=900.0)
        assert not found.measured

    def test_every_number_of_a_law_is_interpolated(self):
        law = BilinearGrowth(
            reflocculation=np.array([4.0, 8.0]), rise=np.array([100.0, 300.0]), structuration=np.array([0.5, 1.5])
        )

        found = growth_at_dose(DosedGrowth(dose=[0.02, 0.04], growth=law), 0.03).growth

        assert (found.reflocculation, found.rise, found.structuration) == pytest.approx((6.0, 200.0, 1.0))

    @pytest.mark.parametrize(
        ("doses", "rates", "why"),
        [
            ([], [], "at least one"),
            ([0.04, 0.02], [1.0, 2.0], "ascending"),
            ([0.02, 0.04], [1.0], "one number for each"),
        ],
    )
    def test_doses_without_sense_are_refused(self, doses, rates, why):
        with pytest.raises(ValueError, match=why):
            DosedGrowth(dose=doses, growth=LinearGrowth(rate=np.array(rates)))


def test_a_mortar_softer_than_its_strength_shows_in_its_strain():
    """Fits of [Wolfs2018], from memory: 3.05 kPa and 78 kPa; von Mises' √3."""
    assert strain_at_yield(yield_stress=3050.0, elastic_modulus=78e3) == pytest.approx(0.0677, abs=1e-4)
    assert strain_at_yield(yield_stress=3050.0, elastic_modulus=3000.0) > 1.0
    with pytest.raises(ValueError, match="elastic modulus"):
        strain_at_yield(yield_stress=1.0, elastic_modulus=0.0)
