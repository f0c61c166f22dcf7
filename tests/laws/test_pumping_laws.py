"""Laws of pumping, for any mortar, hose and pause."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from evenbead.physics.growth import BilinearGrowth, ExponentialGrowth, LinearGrowth, PowerGrowth
from evenbead.physics.pumping import FlowCurve, SlipLayer, flow_at_pressure, mean_velocity, pressure_for_flow
from evenbead.physics.pumping_lines import Stretch, longest_pause, longest_pause_along, restart_pressure
from evenbead.physics.pumping_profile import critical_reynolds, first_arrival, velocity_at
from evenbead.physics.setting import TemperatureHistory
from evenbead.physics.setting_rate import Arrhenius
from evenbead.quantities import LENGTH, PRESSURE, SMALL_LENGTH, STRESS, VISCOSITY, VOLUME_FLOW, parse

laws = settings(max_examples=50, deadline=None)

curves = st.builds(
    FlowCurve,
    yield_stress=st.one_of(st.just(0.0), st.floats(1.0, 3000.0)),
    consistency=st.floats(0.5, 100.0),
    exponent=st.one_of(st.just(1.0), st.floats(0.3, 1.5)),
)
layers = st.one_of(st.none(), st.builds(SlipLayer, yield_stress=st.floats(0.0, 500.0), friction=st.floats(100.0, 1e5)))
flows, lengths, bores = st.floats(1e-6, 5e-4), st.floats(1.0, 60.0), st.floats(0.015, 0.065)
growths = st.one_of(
    st.builds(LinearGrowth, rate=st.floats(0.01, 50.0)),
    st.builds(ExponentialGrowth, rate=st.floats(0.01, 50.0), time=st.floats(300.0, 1e4)),
    st.builds(
        BilinearGrowth,
        reflocculation=st.floats(0.5, 50.0),
        rise=st.floats(0.0, 3000.0),
        structuration=st.floats(0.01, 5.0),
    ),
    st.builds(PowerGrowth, gained=st.floats(10.0, 1e5), time=st.floats(60.0, 3600.0), exponent=st.floats(0.5, 3.0)),
)
stretches = st.builds(
    Stretch,
    length=st.floats(0.1, 40.0),
    bore=bores,
    yield_stress=st.floats(10.0, 2000.0),
    growth=growths,
    age=st.floats(0.0, 600.0),
)
lines = st.lists(stretches, min_size=1, max_size=4)


@laws
@given(flows, lengths, bores, curves, layers)
def test_the_flow_at_the_pressure_for_a_flow_is_that_flow(flow, length, bore, curve, layer):
    hose = {"length": length, "bore": bore, "curve": curve, "layer": layer}

    assert flow_at_pressure(pressure_for_flow(flow, **hose), **hose) == pytest.approx(flow, rel=1e-8)


@laws
@given(st.tuples(flows, lengths, bores), curves, layers, st.floats(1.01, 2.0))
def test_more_flow_a_longer_hose_and_a_narrower_bore_never_take_less_pressure(case, curve, layer, more):
    flow, length, bore = case

    def pressure(flow, length, bore):
        return pressure_for_flow(flow, length=length, bore=bore, curve=curve, layer=layer)

    least = pressure(flow, length, bore) * (1 - 1e-9)

    assert pressure(flow * more, length, bore) >= least
    assert pressure(flow, length * more, bore) == pytest.approx(more * pressure(flow, length, bore), rel=1e-9)
    assert pressure(flow, length, bore / more) >= least


@laws
@given(flows, lengths, bores, curves, layers)
def test_a_lubricating_layer_never_raises_the_pressure(flow, length, bore, curve, layer):
    bare = pressure_for_flow(flow, length=length, bore=bore, curve=curve)

    assert pressure_for_flow(flow, length=length, bore=bore, curve=curve, layer=layer) <= bare * (1 + 1e-9)


@laws
@given(flows, bores, curves, layers)
def test_velocity_falls_from_the_middle_to_the_wall_around_its_mean(flow, bore, curve, layer):
    stress = pressure_for_flow(flow, length=bore / 4, bore=bore, curve=curve, layer=layer)
    given_ = {"stress": stress, "bore": bore, "curve": curve, "layer": layer}
    radii = np.linspace(0.0, bore / 2, 21)

    velocity = velocity_at(radii, **given_)

    mean = mean_velocity(stress, bore=bore, curve=curve, layer=layer)
    assert np.all(np.diff(velocity) <= 1e-12 * velocity[0])
    assert velocity[-1] <= mean * (1 + 1e-9)
    assert mean <= velocity[0] * (1 + 1e-9)


@laws
@given(flows, bores, curves.filter(lambda curve: curve.exponent <= 1.0), layers)
def test_new_mortar_never_arrives_before_half_of_the_hose_volume(flow, bore, curve, layer):
    stress = pressure_for_flow(flow, length=bore / 4, bore=bore, curve=curve, layer=layer)

    assert 0.5 - 1e-9 <= first_arrival(stress, bore=bore, curve=curve, layer=layer) <= 1.0 + 1e-9


@laws
@given(lines, st.floats(0.0, 3600.0), st.floats(0.0, 1800.0))
def test_restart_pressure_never_falls_with_the_pause(line, rest, longer):
    assert restart_pressure(line, rest=rest + longer) >= restart_pressure(line, rest=rest)


@laws
@given(stretches, st.floats(0.0, 3600.0), st.floats(1.01, 3.0))
def test_restart_pressure_rises_with_length_and_with_one_over_the_bore(stretch, rest, more):
    now = restart_pressure([stretch], rest=rest)

    assert restart_pressure([replace(stretch, length=stretch.length * more)], rest=rest) == pytest.approx(more * now)
    assert restart_pressure([replace(stretch, bore=stretch.bore / more)], rest=rest) == pytest.approx(more * now)


@laws
@given(lines, st.floats(1e5, 60e5))
def test_the_longest_pause_reaches_the_limit_and_never_passes_it(line, limit):
    pause = longest_pause(line, limit=limit)
    reached = restart_pressure(line, rest=pause)

    if restart_pressure(line, rest=0.0) > limit:
        assert pause == 0.0
    else:
        assert reached == pytest.approx(limit, rel=1e-7)


@laws
@given(lines, st.floats(1e5, 60e5), st.floats(0.0, 40.0), st.floats(0.1, 15.0))
def test_warmer_never_leaves_a_longer_pause(line, limit, temperature, warmer):
    cool, warm = (
        longest_pause_along(
            line,
            limit=limit,
            history=TemperatureHistory.constant(t),
            since=0.0,
            rate=Arrhenius(activation_energy=40e3),
        )
        for t in (temperature, temperature + warmer)
    )

    assert warm <= cool * (1 + 1e-9)


@laws
@given(st.floats(0.0, 1e8), st.floats(0.0, 1e8))
def test_yield_stress_never_lowers_the_end_of_laminar_flow(one, other):
    low, high = critical_reynolds(np.sort([one, other]))

    assert 2100.0 * (1 - 1e-12) <= low <= high * (1 + 1e-12)


def test_units_at_the_edge_change_nothing():
    def pressure(flow, length, bore, tau, mu):
        curve = FlowCurve(yield_stress=parse(tau, STRESS), consistency=parse(mu, VISCOSITY))
        return pressure_for_flow(
            parse(flow, VOLUME_FLOW), length=parse(length, LENGTH), bore=parse(bore, SMALL_LENGTH), curve=curve
        )

    metric = pressure("3.785411784 L/min", "15.24 m", "25.4 mm", "0.3 kPa", "12 Pa*s")
    us = pressure("1 gpm", "50 ft", "1 in", "300 Pa", "0.012 kPa*s")

    assert metric == pytest.approx(us, rel=1e-12)
    assert parse("20 bar", PRESSURE) == pytest.approx(parse("290.07547546041844 psi", PRESSURE), rel=1e-12)
