"""Laws of yield stress and of its tests, for any law of growth and any mortar."""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.integrate import quad

from evenbead.physics.field_soil_tests import deep_vane, fall_cone, slumped_cylinder
from evenbead.physics.field_tests import falling_slugs, mini_cone_spread
from evenbead.physics.growth import BilinearGrowth, ExponentialGrowth, LinearGrowth, PowerGrowth
from evenbead.physics.rheology import (
    DosedGrowth,
    growth_at_dose,
    longest_rest,
    longest_rest_along,
    yield_stress,
    yield_stress_along,
)
from evenbead.physics.setting import TemperatureHistory
from evenbead.physics.setting_rate import Arrhenius
from evenbead.quantities import DENSITY, MASS, SMALL_LENGTH, STRESS, STRESS_RATE, parse

laws = settings(max_examples=50, deadline=None)

rates = st.floats(0.01, 100.0)
growths = st.one_of(
    st.builds(LinearGrowth, rate=rates),
    st.builds(ExponentialGrowth, rate=rates, time=st.floats(300.0, 20_000.0)),
    st.builds(BilinearGrowth, reflocculation=rates, rise=st.floats(0.0, 5000.0), structuration=rates),
    st.builds(PowerGrowth, gained=st.floats(10.0, 1e5), time=st.floats(60.0, 3600.0), exponent=st.floats(0.5, 3.0)),
)
ages = st.floats(0.0, 7200.0)
starts = st.floats(10.0, 5000.0)
water = st.floats(-0.02, 0.02)
sensitivities = st.floats(0.0, 60.0)


@laws
@given(growths, st.lists(ages, min_size=2, max_size=10))
def test_rest_never_softens(growth, several):
    assert np.all(np.diff(growth.gain(np.sort(several))) >= 0.0)


@laws
@given(growths, ages)
def test_the_age_for_a_gain_is_the_inverse_of_the_gain(growth, age):
    assert growth.gain(growth.age_for(growth.gain(age))) == pytest.approx(growth.gain(age), rel=1e-9, abs=1e-9)
    assert growth.age_for(growth.gain(age)) == pytest.approx(age, rel=1e-6, abs=1e-6)


@laws
@given(growths, st.floats(1e-3, 7200.0))
def test_the_gain_is_the_area_under_its_rate(growth, age):
    """Reference: SciPy's quadrature."""
    bend = [float(growth.bend)] if isinstance(growth, BilinearGrowth) and 0.0 < growth.bend < age else None
    # Counted in the square root of age, so that a rate without bound at first does no harm.
    if bend:
        bend = [math.sqrt(bend[0])]
    area, _ = quad(
        lambda x: float(growth.rate_at(x * x)) * 2 * x, 0.0, math.sqrt(age), points=bend, epsrel=1e-10, limit=200
    )

    assert growth.gain(age) == pytest.approx(area, rel=1e-6)


@laws
@given(starts, growths, ages, water, sensitivities)
def test_the_longest_rest_to_a_yield_stress_is_the_rest_that_made_it(start, growth, age, change, k):
    mortar = {"growth": growth, "ratio_change": change, "water_sensitivity": k}
    reached = yield_stress(start, age=age, **mortar)

    again = yield_stress(start, age=longest_rest(reached, start=start, **mortar), **mortar)

    assert again == pytest.approx(reached, rel=1e-9)


@laws
@given(starts, growths, ages, st.tuples(st.floats(-0.02, 0.0), st.floats(0.0, 0.02)), sensitivities)
def test_wetter_is_never_stiffer(start, growth, age, changes, k):
    dry, wet = (
        yield_stress(start, growth=growth, age=age, ratio_change=change, water_sensitivity=k) for change in changes
    )

    assert wet <= dry


@laws
@given(starts, growths, st.floats(0.0, 40.0), st.floats(0.1, 20.0), ages)
def test_warmer_is_never_softer_and_never_leaves_a_longer_rest(start, growth, temperature, warmer, rest):
    histories = [TemperatureHistory.constant(t) for t in (temperature, temperature + warmer)]
    given_ = {"growth": growth, "since": 0.0, "rate": Arrhenius(activation_energy=40e3)}

    cool, warm = (yield_stress_along(start, history=history, until=rest, **given_) for history in histories)
    long, short = (longest_rest_along(2 * start, start=start, history=history, **given_) for history in histories)

    assert warm >= cool
    assert short <= long


@laws
@given(st.lists(st.floats(0.01, 50.0), min_size=2, max_size=6), st.floats(-0.02, 0.12))
def test_growth_between_doses_stays_between_its_neighbours(measured, dose):
    doses = 0.02 + 0.01 * np.arange(len(measured))
    found = growth_at_dose(DosedGrowth(dose=doses, growth=LinearGrowth(rate=np.array(measured))), dose)

    at = np.clip(np.searchsorted(doses, dose), 1, len(doses) - 1)
    around = sorted(measured[at - 1 : at + 1])
    assert around[0] * (1 - 1e-12) <= found.growth.rate <= around[1] * (1 + 1e-12)
    assert found.measured == (doses[0] <= dose <= doses[-1])


@laws
@given(st.floats(0.005, 0.2), st.floats(0.010, 0.060), st.floats(1.01, 2.0))
def test_a_heavier_slug_and_a_narrower_nozzle_mean_a_stiffer_mortar(mass, diameter, more):
    def stress(grams, width):
        return falling_slugs(grams, nozzle_diameter=width, density=2100.0).yield_stress.value

    assert stress(mass * more, diameter) > stress(mass, diameter)
    assert stress(mass, diameter * more) < stress(mass, diameter)


@laws
@given(st.floats(0.15, 0.35), st.floats(1.01, 1.5))
def test_a_wider_spread_means_a_softer_mortar(spread, more):
    def stress(width):
        return mini_cone_spread(width, volume=3.44e-4, density=2100.0).yield_stress.value

    assert stress(spread * more) < stress(spread)


@laws
@given(st.floats(0.005, 0.09), st.floats(0.005, 0.09))
def test_a_larger_slump_means_a_softer_mortar(one, other):
    low, high = sorted((one, other))

    soft, stiff = (slumped_cylinder(s, height=0.1, density=2100.0).yield_stress.value for s in (high, low))

    assert soft <= stiff


@laws
@given(st.floats(1e-3, 1.0), st.floats(0.01, 0.05), st.floats(0.005, 0.03))
def test_torque_and_depth_move_their_tests_by_their_powers(torque, size, depth):
    def vane(t):
        return deep_vane(t, diameter=size, height=2 * size, torque_u=1e-4).yield_stress.value

    def cone(d):
        return fall_cone(d, mass=0.08, factor=0.8, factor_u=0.1).yield_stress.value

    assert vane(2 * torque) == pytest.approx(2 * vane(torque))
    assert cone(2 * depth) == pytest.approx(cone(depth) / 4)


def test_units_at_the_edge_change_nothing():
    metric = falling_slugs(
        parse("28.349523125 g", MASS),
        nozzle_diameter=parse("25.4 mm", SMALL_LENGTH),
        density=parse("2 kg/L", DENSITY),
        scale_u=parse("0.5 g", MASS),
    )
    us = falling_slugs(
        parse("1 oz", MASS),
        nozzle_diameter=parse("1 in", SMALL_LENGTH),
        density=parse("2000 kg/m^3", DENSITY),
        scale_u=parse("0.0005 kg", MASS),
    )
    of_rest = [
        longest_rest(parse(limit, STRESS), start=300.0, growth=LinearGrowth(rate=parse(rate, STRESS_RATE)))
        for limit, rate in (("1 kPa", "30 Pa/min"), ("1000 Pa", "0.5 Pa/s"))
    ]

    assert metric.yield_stress.value == pytest.approx(us.yield_stress.value, rel=1e-12)
    assert metric.yield_stress.u == pytest.approx(us.yield_stress.u, rel=1e-9)
    assert of_rest[0] == pytest.approx(of_rest[1], rel=1e-12)
