"""Equivalent age, open time and maturity along temperatures that change."""

import math

import numpy as np
import pytest
from scipy.integrate import quad

from evenbead.physics.setting import (
    TemperatureHistory,
    equivalent_age,
    maturity,
    open_time,
    time_at_equivalent_age,
)
from evenbead.physics.setting_rate import Arrhenius, FreieslebenHansenPedersen, NurseSaul

HOUR = 3600.0
LAW = Arrhenius(activation_energy=40e3)
STEPS = TemperatureHistory(time=[0.0, 12 * HOUR], temperature_c=[20.0, 25.0], between="steps")
RAMPS = TemperatureHistory(time=[0.0, 6 * HOUR, 9 * HOUR, 20 * HOUR], temperature_c=[12.0, 31.0, 31.0, 14.0])


@pytest.mark.parametrize(("reference", "hours"), [(23.0, 23.544), (20.0, 27.802)])
def test_half_a_day_at_20_and_half_at_25_degrees_ages_as_recomputed(reference, hours):
    """40 kJ/mol; recomputed outside the project."""
    law = Arrhenius(activation_energy=40e3, reference_c=reference)

    assert equivalent_age(STEPS, until=24 * HOUR, rate=law) / HOUR == pytest.approx(hours, abs=1e-3)


@pytest.mark.parametrize(
    ("temperature", "minutes"), [(10.0, 107.1), (15.0, 79.8), (25.0, 45.6), (30.0, 34.9), (35.0, 27.0)]
)
def test_an_open_time_of_an_hour_at_20_degrees_is_as_recomputed_elsewhere(temperature, minutes):
    """40 kJ/mol; recomputed outside the project to a tenth of a minute."""
    open_for = open_time(TemperatureHistory.constant(temperature), at_reference=HOUR, rate=LAW)

    assert open_for / 60 == pytest.approx(minutes, abs=0.06)


@pytest.mark.parametrize("law", [LAW, FreieslebenHansenPedersen(), NurseSaul(datum_c=5.0)])
def test_age_along_ramps_is_the_integral_of_the_factor_by_quadrature(law):
    def factor(t):
        return float(law.factor(np.interp(t, RAMPS.time, RAMPS.temperature_c)))

    expected, _ = quad(factor, -HOUR, 25 * HOUR, points=[*RAMPS.time], limit=200, epsrel=1e-10)

    # The cold form bends at 20 °C, inside a ramp: there the sum is good to some 1e-5.
    assert equivalent_age(RAMPS, since=-HOUR, until=25 * HOUR, rate=law) == pytest.approx(expected, rel=2e-5)


def test_the_first_temperature_holds_before_and_the_last_after():
    cold, warm = float(LAW.factor(12.0)), float(LAW.factor(14.0))

    assert equivalent_age(RAMPS, since=-2 * HOUR, until=0.0, rate=LAW) == pytest.approx(2 * HOUR * cold)
    assert equivalent_age(RAMPS, since=20 * HOUR, until=23 * HOUR, rate=LAW) == pytest.approx(3 * HOUR * warm)


def test_cases_of_history_law_and_moments_broadcast():
    draws = np.array([35e3, 40e3, 45e3])
    histories = TemperatureHistory(time=[0.0, HOUR], temperature_c=np.array([[15.0, 20.0, 25.0], [16.0, 21.0, 26.0]]))
    moments = np.linspace(0.0, 2 * HOUR, 4)[:, np.newaxis]

    together = equivalent_age(histories, until=moments, rate=Arrhenius(activation_energy=draws))

    assert together.shape == (4, 3)
    for case, energy in enumerate(draws):
        alone = TemperatureHistory(time=[0.0, HOUR], temperature_c=histories.temperature_c[:, case])
        one = equivalent_age(alone, until=moments[:, 0], rate=Arrhenius(activation_energy=energy))
        assert together[:, case] == pytest.approx(one)
        back = time_at_equivalent_age(alone, one, rate=Arrhenius(activation_energy=energy))
        assert back == pytest.approx(moments[:, 0])


def test_mortar_below_its_datum_never_ages():
    frozen = TemperatureHistory.constant(-3.0)

    assert math.isinf(time_at_equivalent_age(frozen, 60.0, rate=NurseSaul(datum_c=0.0)))
    assert time_at_equivalent_age(frozen, 0.0, rate=NurseSaul(datum_c=0.0)) == 0.0


def test_an_age_reached_before_a_frost_is_reached_before_it():
    night = TemperatureHistory(time=[0.0, HOUR, 9 * HOUR], temperature_c=[20.0, -5.0, 20.0], between="steps")

    at = time_at_equivalent_age(night, np.array([HOUR, HOUR + 1.0, np.inf]), rate=NurseSaul(datum_c=0.0))

    assert list(at) == [HOUR, 9 * HOUR + 1.0, np.inf]


def test_an_age_is_found_on_a_ramp_that_comes_out_of_a_frost():
    thaw = TemperatureHistory(time=[0.0, 10 * HOUR], temperature_c=[-10.0, 10.0])
    law = NurseSaul(datum_c=0.0, reference_c=20.0)

    # From 5 h on the factor rises from 0 to 1/2: after another x hours x²/20 hours of age.
    at = time_at_equivalent_age(thaw, np.array([0.05, 0.8]) * HOUR, rate=law)

    assert at / HOUR == pytest.approx([6.0, 9.0])


def test_maturity_is_degrees_above_the_datum_times_time():
    law = NurseSaul(datum_c=5.0, reference_c=23.0)

    assert maturity(STEPS, until=24 * HOUR, law=law) == pytest.approx((15.0 + 20.0) * 12 * HOUR)


@pytest.mark.parametrize(
    ("time", "temperature"),
    [([], []), ([0.0, 0.0], [1.0, 2.0]), ([1.0, 0.0], [1.0, 2.0]), ([0.0], [1.0, 2.0]), ([0.0, 1.0], [1.0, np.nan])],
)
def test_a_history_without_sense_is_refused(time, temperature):
    with pytest.raises(ValueError, match=r"expected one for each|not ascending"):
        TemperatureHistory(time=time, temperature_c=temperature)


def test_a_negative_age_is_refused():
    with pytest.raises(ValueError, match="age is"):
        time_at_equivalent_age(STEPS, -1.0, rate=LAW)
