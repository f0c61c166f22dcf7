"""Laws of ageing, for any temperatures, any law and any moments."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from evenbead.physics.setting import TemperatureHistory, equivalent_age, maturity, open_time, time_at_equivalent_age
from evenbead.physics.setting_rate import Arrhenius, FreieslebenHansenPedersen, NurseSaul
from evenbead.physics.setting_tests import activation_energy, set_times
from evenbead.quantities import DURATION, MOLAR_ENERGY, TEMPERATURE, parse

laws = settings(max_examples=40, deadline=None)

rates = st.one_of(
    st.builds(Arrhenius, activation_energy=st.floats(20e3, 80e3), reference_c=st.floats(5.0, 30.0)),
    st.builds(FreieslebenHansenPedersen, warm_energy=st.floats(20e3, 60e3), cold_rise=st.floats(0.0, 2e3)),
    st.builds(NurseSaul, datum_c=st.floats(-12.0, -5.0), reference_c=st.floats(5.0, 30.0)),
)


@st.composite
def histories(draw):
    n = draw(st.integers(1, 6))
    gaps = draw(st.lists(st.floats(60.0, 20_000.0), min_size=n, max_size=n))
    temperatures = draw(st.lists(st.floats(0.0, 45.0), min_size=n, max_size=n))
    between = draw(st.sampled_from(["ramps", "steps"]))
    return TemperatureHistory(time=np.cumsum(gaps), temperature_c=np.array(temperatures), between=between)


moments = st.floats(-20_000.0, 120_000.0)


@laws
@given(histories(), rates, moments, st.floats(0.0, 1e5), st.floats(0.0, 1e5))
def test_ages_of_two_stretches_add(history, rate, since, first, second):
    middle, end = since + first, since + first + second
    whole = equivalent_age(history, since=since, until=end, rate=rate)

    parts = equivalent_age(history, since=since, until=middle, rate=rate) + equivalent_age(
        history, since=middle, until=end, rate=rate
    )

    assert parts == pytest.approx(whole, rel=1e-9, abs=1e-6)


@laws
@given(histories(), rates, moments, st.floats(0.0, 2e5))
def test_the_moment_of_an_age_is_the_inverse_of_the_age_at_a_moment(history, rate, since, age):
    until = time_at_equivalent_age(history, age, since=since, rate=rate)

    assert until >= since
    assert equivalent_age(history, since=since, until=until, rate=rate) == pytest.approx(age, rel=1e-9, abs=1e-6)


@laws
@given(histories(), rates, moments, st.floats(0.1, 20.0))
def test_colder_is_never_a_shorter_open_time(history, rate, since, colder):
    # A law of Nurse and Saul may stop altogether in the cold: an open time without end is not shorter either.
    cold = replace(history, temperature_c=history.temperature_c - colder)

    warm_open = open_time(history, at_reference=3600.0, since=since, rate=rate)
    cold_open = open_time(cold, at_reference=3600.0, since=since, rate=rate)

    assert cold_open >= warm_open * (1 - 1e-9)


@laws
@given(rates, st.floats(0.0, 1e5))
def test_at_the_reference_age_is_time(rate, duration):
    reference = 20.0 if isinstance(rate, FreieslebenHansenPedersen) else rate.reference_c
    steady = TemperatureHistory.constant(reference)

    assert equivalent_age(steady, until=duration, rate=rate) == pytest.approx(duration, rel=1e-9)


@laws
@given(histories(), rates, st.floats(-1e6, 1e6))
def test_it_does_not_matter_when_the_clock_was_started(history, rate, shift):
    later = replace(history, time=history.time + shift)

    assert equivalent_age(later, since=shift, until=shift + 40_000.0, rate=rate) == pytest.approx(
        equivalent_age(history, until=40_000.0, rate=rate), rel=1e-7
    )


@laws
@given(histories(), st.floats(-12.0, 10.0), st.floats(0.0, 1e5))
def test_maturity_does_not_depend_on_the_reference(history, datum, until):
    of = [maturity(history, until=until, law=NurseSaul(datum_c=datum, reference_c=r)) for r in (15.0, 40.0)]

    assert of[0] == pytest.approx(of[1], rel=1e-9, abs=1e-6)


@laws
@given(st.floats(20e3, 80e3), st.floats(2.0, 15.0), st.floats(1.0, 20.0))
def test_the_activation_energy_of_times_made_with_one_is_that_one(energy, coldest, step):
    temperatures = coldest + step * np.arange(3)
    times = 3600.0 / Arrhenius(activation_energy=energy).factor(temperatures)

    assert activation_energy(temperatures, times, relative_u=0.02).value == pytest.approx(energy, rel=1e-9)


@laws
@given(st.floats(1.5, 8.0), st.floats(2.0, 12.0), st.floats(0.2, 5.0))
def test_set_times_scale_with_the_clock(exponent, hours, faster):
    times = np.array([0.7, 0.8, 0.9, 1.0, 1.1, 1.3]) * hours * 3600
    readings = 3.5e6 * (times / (hours * 3600)) ** exponent

    slow, fast = set_times(times, readings), set_times(times / faster, readings)

    assert slow.initial.value == pytest.approx(hours * 3600)
    assert fast.initial.value * faster == pytest.approx(slow.initial.value)
    assert fast.final.value * faster == pytest.approx(slow.final.value)


def test_units_at_the_edge_change_nothing():
    metric = (parse("60 min", DURATION), parse("30 degC", TEMPERATURE), parse("40 kJ/mol", MOLAR_ENERGY))
    other = (parse("1 h", DURATION), parse("86 degF", TEMPERATURE), parse("40000 J/mol", MOLAR_ENERGY))

    found = [
        open_time(TemperatureHistory.constant(t), at_reference=at, rate=Arrhenius(activation_energy=energy))
        for at, t, energy in (metric, other)
    ]

    assert found[0] == pytest.approx(found[1], rel=1e-12)
