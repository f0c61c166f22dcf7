"""The ice bath against sums by hand and a direct integration."""

import math

import numpy as np
import pytest
from scipy.integrate import solve_ivp

from evenbead.physics.cooling_coil import coil_outlet
from evenbead.physics.ice_bath import (
    bath_temperature,
    ice_life,
    ice_melted,
    ice_over_shift,
    ice_rate,
    time_to_outlet,
)
from evenbead.physics.water_transport import MELTING_HEAT, WATER_HEAT

HOUR = 3600.0
BATH = {"bath": 60.0, "flow": 4.0 / 60, "inlet_temp_c": 25.0, "conductance": 255.7}


def test_twenty_kilograms_last_seventy_four_minutes_at_a_kilowatt_and_a_half():
    # Own case: 20 · 334/1.5 s = 74.2 min.
    assert ice_life(20.0, heat=1500.0) / 60 == pytest.approx(74.2, abs=0.05)
    assert ice_life(20.0, heat=1200.0, gain=300.0) == ice_life(20.0, heat=1500.0)
    assert ice_life(20.0, heat=0.0) == math.inf


def test_what_melts_in_the_life_of_the_ice_is_the_ice():
    heat = np.array([500.0, 1500.0, 4000.0])

    assert ice_rate(heat) * ice_life(12.0, heat=heat) == pytest.approx([12.0] * 3)


def test_refills_fall_when_the_reserve_is_reached():
    # 30 kg above the reserve melt in 30 · 334e3/1500 = 6680 s.
    shift = ice_over_shift(np.array([0.0, 4 * HOUR]), np.array([1500.0]), full=40.0, reserve=10.0)

    assert shift.refill_times == pytest.approx([6680.0, 2 * 6680.0])
    assert shift.refill == 30.0
    assert shift.melted == pytest.approx(4 * HOUR * 1500.0 / MELTING_HEAT)


def test_no_ice_is_lost_over_a_shift_with_a_pause():
    times = np.array([0.0, 1.0, 2.0, 2.5, 5.0]) * HOUR
    heat = np.array([2000.0, 3000.0, 0.0, 4000.0])

    shift = ice_over_shift(times, heat, full=25.0, reserve=5.0)

    assert 25.0 + len(shift.refill_times) * shift.refill - shift.melted == pytest.approx(shift.left)
    assert 5.0 <= shift.left <= 25.0
    melted = ice_melted(times, heat)
    assert np.interp(shift.refill_times, times, melted) == pytest.approx(
        20.0 * np.arange(1, len(shift.refill_times) + 1)
    )
    assert not np.any((shift.refill_times > 2.0 * HOUR) & (shift.refill_times < 2.5 * HOUR))


def test_a_refill_that_falls_on_the_end_is_left_for_tomorrow():
    twenty_kilograms = 20.0 * MELTING_HEAT
    shift = ice_over_shift(np.array([0.0, HOUR]), np.array([twenty_kilograms / HOUR]), full=20.0)

    assert shift.refill_times.size == 0
    assert shift.left == pytest.approx(0.0, abs=1e-9)


def test_a_shift_without_heat_melts_nothing():
    shift = ice_over_shift(np.array([0.0, HOUR]), np.array([0.0]), full=20.0)

    assert shift.melted == 0.0
    assert shift.left == 20.0
    assert shift.refill_times.size == 0


def test_ten_thousand_draws_of_a_day_melt_at_once():
    times = np.linspace(0.0, 8.0, 9) * HOUR
    heat = np.random.default_rng(3).uniform(1000.0, 4000.0, (10_000, 8))

    melted = ice_melted(times, heat, gain=100.0)

    assert melted.shape == (10_000, 9)
    assert melted[:, -1] == pytest.approx((heat.sum(axis=1) + 800.0) * HOUR / MELTING_HEAT)


def test_a_bath_without_ice_warms_as_a_direct_integration_says():
    def rate(_, bath):
        out = coil_outlet(flow=BATH["flow"], inlet_temp_c=25.0, conductance=255.7, bath_temp_c=bath[0])
        return [(float(out.heat) + 200.0) / (60.0 * WATER_HEAT)]

    integrated = solve_ivp(rate, (0.0, 1800.0), [0.0], rtol=1e-9, atol=1e-9)

    assert bath_temperature(1800.0, gain=200.0, **BATH) == pytest.approx(integrated.y[0, -1], rel=1e-6)


def test_the_outlet_is_as_warm_as_asked_when_its_time_has_come():
    time = time_to_outlet(15.0, gain=100.0, **BATH)
    bath = bath_temperature(time, gain=100.0, **BATH)

    out = coil_outlet(flow=BATH["flow"], inlet_temp_c=25.0, conductance=255.7, bath_temp_c=bath)

    assert time > 0.0
    assert out.temperature_c == pytest.approx(15.0)


def test_a_coil_too_weak_from_the_start_has_no_time_and_a_cool_inlet_has_all():
    assert time_to_outlet(5.0, **BATH) == 0.0
    assert time_to_outlet(26.0, **BATH) == math.inf
    # A bath that starts warmer than the inlet only gets cooler.
    assert time_to_outlet(28.0, start_temp_c=30.0, **BATH) == math.inf
    assert time_to_outlet(26.0, start_temp_c=30.0, **BATH) == 0.0


def test_times_that_do_not_rise_are_refused():
    with pytest.raises(ValueError, match="must rise"):
        ice_melted(np.array([0.0, HOUR, HOUR]), np.array([1.0, 1.0]))


def test_a_reserve_of_all_the_ice_is_refused():
    with pytest.raises(ValueError, match="full less reserve"):
        ice_over_shift(np.array([0.0, HOUR]), np.array([1.0]), full=10.0, reserve=10.0)
