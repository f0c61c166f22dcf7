"""Laws of drying and of the bond, for any weather and any mortar."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from evenbead.physics.bonding import interval_window
from evenbead.physics.drying import evaporation, wind_at_height
from evenbead.physics.drying_dose import drying_dose
from evenbead.quantities import TEMPERATURE, WIND, parse

laws = settings(max_examples=50, deadline=None)

temperatures = st.floats(0.0, 45.0)
humidities = st.floats(0.0, 1.0)
winds = st.floats(0.0, 20.0)


@laws
@given(temperatures, temperatures, humidities, winds)
def test_water_never_runs_back_and_both_formulas_are_given(mortar, air, humidity, wind):
    both = evaporation(mortar_temp_c=mortar, air_temp_c=air, humidity=humidity, wind=wind)

    assert 0.0 <= both.lower <= both.higher
    assert {both.lower, both.higher} == {both.uno, both.menzel}


@laws
@given(temperatures, temperatures, humidities, winds, st.tuples(st.floats(0.0, 1.0), st.floats(0.0, 10.0)))
def test_warmer_mortar_drier_air_and_more_wind_never_dry_less(mortar, air, humidity, wind, changes):
    drier, more = changes

    def rates(mortar, humidity, wind):
        both = evaporation(mortar_temp_c=mortar, air_temp_c=air, humidity=humidity, wind=wind)
        return np.array([both.uno, both.menzel])

    now = rates(mortar, humidity, wind)

    assert np.all(rates(mortar + more, humidity, wind) >= now)
    assert np.all(rates(mortar, humidity * drier, wind) >= now)
    assert np.all(rates(mortar, humidity, wind + more) >= now)


@st.composite
def weathers(draw):
    n = draw(st.integers(2, 8))
    gaps = draw(st.lists(st.floats(60.0, 7200.0), min_size=n, max_size=n))
    rates = draw(st.lists(st.floats(0.0, 5e-4), min_size=n, max_size=n))
    return np.cumsum(gaps), np.array(rates)


@laws
@given(weathers(), st.lists(st.floats(0.0, 1.0), min_size=3, max_size=3))
def test_doses_of_two_stretches_add_and_grow_with_time(weather, shares):
    time, rate = weather
    first, middle, last = np.sort(shares) * (time[-1] - time[0]) + time[0]
    last = min(last, time[-1])

    whole = drying_dose(time, rate, since=first, until=last)
    part = drying_dose(time, rate, since=first, until=middle)

    assert part <= whole + 1e-12
    assert part + drying_dose(time, rate, since=middle, until=last) == pytest.approx(whole, rel=1e-9, abs=1e-12)


@laws
@given(winds, st.floats(0.1, 9.0), st.floats(1e-4, 0.05))
def test_wind_near_the_ground_is_never_that_of_the_mast(wind, height, roughness):
    assert 0.0 <= wind_at_height(wind, height=height, roughness=roughness) <= wind


@laws
@given(st.floats(0.05, 20.0), st.floats(0.005, 0.05), st.floats(0.0, 60.0), st.floats(0.02, 0.5), st.floats(1.01, 3.0))
def test_faster_stiffening_moves_the_window_of_intervals_but_never_opens_or_shuts_it(rate, height, mu, speed, faster):
    given_ = {"density": 2100.0, "layer_height": height, "viscosity": mu, "nozzle_speed": speed}

    slow, fast = (interval_window(growth_rate=r, **given_) for r in (rate, rate * faster))

    assert fast.shortest == pytest.approx(slow.shortest / faster)
    assert fast.longest == pytest.approx(slow.longest / faster)
    assert fast.open == slow.open


def test_units_at_the_edge_change_nothing():
    metric = evaporation(
        mortar_temp_c=parse("30 degC", TEMPERATURE),
        air_temp_c=parse("25 degC", TEMPERATURE),
        humidity=0.4,
        wind=parse("8.0467200 km/h", WIND),
    )
    us = evaporation(
        mortar_temp_c=parse("86 degF", TEMPERATURE),
        air_temp_c=parse("77 degF", TEMPERATURE),
        humidity=0.4,
        wind=parse("5 mph", WIND),
    )

    assert metric.uno == pytest.approx(us.uno, rel=1e-12)
    assert metric.menzel == pytest.approx(us.menzel, rel=1e-12)
