"""Laws of heat and supply: energy closes, nothing passes its limits, units change nothing."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from evenbead.physics.cooling_coil import coil_conductance, coil_outlet, conductance_at, largest_flow
from evenbead.physics.cord import longest_cord, voltage_drop
from evenbead.physics.heat import (
    Charge,
    Heats,
    balance_temperature,
    fresh_temperature,
    heat_capacity,
    sensitivities,
)
from evenbead.physics.heat_targets import ice_for_target, water_for_target
from evenbead.physics.hose_heat import hose_conductance, hose_temperature, standing_temperature
from evenbead.physics.ice_bath import bath_temperature, ice_over_shift, time_to_outlet
from evenbead.physics.motor_start import generator_need
from evenbead.physics.power_supply import Load, Supply, power_check
from evenbead.physics.water_supply import TapReadings, WaterHose, hose_loss, tap_flow, tap_pressure
from evenbead.quantities import MASS, PRESSURE, TEMPERATURE, VOLUME_FLOW, Kind, converted, parse

laws = settings(max_examples=60, deadline=None)

HEATS = Heats()
warm = st.floats(1.0, 60.0)
charges = st.builds(
    Charge,
    powder=st.floats(0.01, 200.0),
    powder_temp_c=warm,
    water=st.floats(0.005, 60.0),
    water_temp_c=warm,
    accelerator=st.floats(0.0, 10.0),
    accelerator_temp_c=warm,
)
icy = st.builds(
    Charge,
    powder=st.floats(50.0, 150.0),
    powder_temp_c=st.floats(15.0, 60.0),
    water=st.floats(8.0, 30.0),
    water_temp_c=st.floats(2.0, 40.0),
    ice=st.floats(0.0, 4.0),
    ice_temp_c=st.floats(-30.0, 0.0),
    shaft_heat=st.floats(0.0, 2e6),
)
flows = st.floats(0.005, 0.5)
conductances = st.floats(5.0, 2000.0)


def heat_of(mass, heat, temp_c):
    return mass * heat * temp_c


@laws
@given(icy)
def test_the_heat_that_goes_in_is_the_heat_that_comes_out(charge):
    temp_c = balance_temperature(charge)
    assume(temp_c > 0.0)

    before = (
        heat_of(charge.powder, HEATS.powder, charge.powder_temp_c)
        + heat_of(charge.water, HEATS.water, charge.water_temp_c)
        + heat_of(charge.ice, HEATS.ice, charge.ice_temp_c)
        - charge.ice * HEATS.melting
        + charge.shaft_heat
    )
    after = heat_of(charge.powder, HEATS.powder, temp_c) + heat_of(charge.water + charge.ice, HEATS.water, temp_c)

    assert after == pytest.approx(before, rel=1e-12)


@laws
@given(charges)
def test_a_mix_is_between_its_coldest_and_its_warmest_part(charge):
    temperatures = (charge.powder_temp_c, charge.water_temp_c, charge.accelerator_temp_c)

    assert min(temperatures) - 1e-9 <= fresh_temperature(charge) <= max(temperatures) + 1e-9


@laws
@given(charges, warm)
def test_parts_of_one_temperature_stay_at_it(charge, temp_c):
    even = replace(charge, powder_temp_c=temp_c, water_temp_c=temp_c, accelerator_temp_c=temp_c)

    assert fresh_temperature(even) == pytest.approx(temp_c, abs=1e-9)


@laws
@given(charges)
def test_sensitivities_to_temperatures_add_up_to_one(charge):
    felt = sensitivities(charge)

    assert felt.water_temp + felt.powder_temp + felt.accelerator_temp == pytest.approx(1.0)


@laws
@given(icy)
def test_each_sensitivity_is_the_slope_of_the_balance(charge):
    felt, bare = sensitivities(charge), balance_temperature(charge)

    warmer_water = replace(charge, water_temp_c=charge.water_temp_c + 1.0)
    warmer_powder = replace(charge, powder_temp_c=charge.powder_temp_c + 1.0)
    stirred = replace(charge, shaft_heat=charge.shaft_heat + 1000.0)
    iced = replace(charge, ice=charge.ice + 1.0, water=charge.water - 1.0)

    assert balance_temperature(warmer_water) - bare == pytest.approx(felt.water_temp, rel=1e-8)
    assert balance_temperature(warmer_powder) - bare == pytest.approx(felt.powder_temp, rel=1e-8)
    assert (balance_temperature(stirred) - bare) / 1000.0 == pytest.approx(felt.shaft_heat, rel=1e-6)
    assert balance_temperature(iced) - bare == pytest.approx(felt.ice, rel=1e-8)


@laws
@given(charges, st.floats(5.0, 40.0), st.floats(-2.0, 2.0))
def test_the_water_for_a_target_makes_the_target(charge, target, offset):
    water = water_for_target(charge, target, site_offset=offset)
    assume(bool(water.reached))

    made = fresh_temperature(replace(charge, water_temp_c=float(water.water_temp_c)), site_offset=offset)

    assert made == pytest.approx(target, abs=1e-6)


@laws
@given(icy, st.floats(5.0, 40.0))
def test_the_ice_for_a_target_makes_the_target(charge, target):
    need = ice_for_target(charge, target)
    assume(0.0 < need.ice < charge.water + charge.ice)

    made = fresh_temperature(replace(charge, ice=need.ice, water=charge.water + charge.ice - need.ice))

    assert made == pytest.approx(target, abs=1e-6)
    assert need.fresh_temp_c == pytest.approx(target, abs=1e-6)


@laws
@given(charges)
def test_degrees_fahrenheit_and_pounds_change_nothing(charge):
    # The balance is linear, so it may be made in any pair of units; 0 °F is another zero, but shaft and ice are none.
    def in_fahrenheit(temp_c):
        return converted(temp_c, TEMPERATURE, "degF")

    pounds = replace(
        charge,
        powder=converted(charge.powder, MASS, "lb"),
        powder_temp_c=in_fahrenheit(charge.powder_temp_c),
        water=converted(charge.water, MASS, "lb"),
        water_temp_c=min(in_fahrenheit(charge.water_temp_c), 100.0),
        accelerator=converted(charge.accelerator, MASS, "lb"),
        accelerator_temp_c=in_fahrenheit(charge.accelerator_temp_c),
    )
    assume(in_fahrenheit(charge.water_temp_c) <= 100.0)

    assert parse(f"{fresh_temperature(pounds)!r} degF", TEMPERATURE) == pytest.approx(
        float(fresh_temperature(charge)), abs=1e-9
    )


@laws
@given(charges, st.lists(warm, min_size=1, max_size=6))
def test_a_column_of_hours_is_hour_by_hour(charge, air):
    day = fresh_temperature(replace(charge, powder_temp_c=np.array(air)))

    assert day == pytest.approx([fresh_temperature(replace(charge, powder_temp_c=hour)) for hour in air], rel=1e-15)


@laws
@given(flows, st.floats(5.0, 40.0), conductances, st.floats(0.0, 4.0))
def test_a_coil_never_passes_its_bath_and_gives_back_its_conductance(flow, inlet, conductance, bath):
    out = coil_outlet(flow=flow, inlet_temp_c=inlet, conductance=conductance, bath_temp_c=bath)
    assume(out.temperature_c - bath > 1e-6)

    found = coil_conductance(flow=flow, inlet_temp_c=inlet, outlet_temp_c=out.temperature_c, bath_temp_c=bath)

    assert bath <= out.temperature_c <= inlet
    assert found == pytest.approx(conductance, rel=1e-6)
    assert out.heat == pytest.approx(flow * HEATS.water * (inlet - out.temperature_c))


@laws
@given(flows, conductances, st.floats(1.05, 3.0), st.floats(0.0, 0.9))
def test_more_flow_comes_out_warmer_and_takes_more_heat(flow, conductance, more, inside_share):
    faster = conductance_at(conductance=conductance, reference_flow=flow, flow=flow * more, inside_share=inside_share)
    slow = coil_outlet(flow=flow, inlet_temp_c=25.0, conductance=conductance)
    fast = coil_outlet(flow=flow * more, inlet_temp_c=25.0, conductance=faster)

    assert fast.temperature_c >= slow.temperature_c
    assert fast.heat >= slow.heat * (1 - 1e-12)


@laws
@given(flows, conductances, st.floats(5.0, 20.0))
def test_the_largest_flow_of_a_coil_is_the_largest(flow, conductance, outlet):
    largest = largest_flow(conductance=conductance, inlet_temp_c=30.0, outlet_temp_c=outlet)
    out = coil_outlet(flow=flow, inlet_temp_c=30.0, conductance=conductance)

    assert (out.temperature_c <= outlet) == (flow <= largest * (1 + 1e-9))


@laws
@given(st.floats(1.0, 50.0), st.floats(-5.0, 45.0), st.floats(50.0, 500.0), st.floats(0.1, 50.0))
def test_a_hose_brings_mortar_nearer_to_its_surroundings(inlet, surroundings, capacity_flow, conductance):
    assume(abs(inlet - surroundings) > 0.1)
    given_hose = {"surroundings_temp_c": surroundings, "capacity_flow": capacity_flow}

    outlet = hose_temperature(inlet_temp_c=inlet, conductance=conductance, **given_hose)

    assert abs(outlet - surroundings) < abs(inlet - surroundings)
    assert hose_conductance(inlet_temp_c=inlet, outlet_temp_c=outlet, **given_hose) == pytest.approx(
        conductance, rel=1e-6
    )


@laws
@given(st.floats(1.0, 40.0), st.floats(10.0, 40.0), st.floats(0.0, 3600.0), st.floats(0.0, 3600.0))
def test_two_short_pauses_are_one_long_one(start, surroundings, first, second):
    def after(temp, time):
        return standing_temperature(
            start_temp_c=temp, surroundings_temp_c=surroundings, capacity=36e3, time=time, conductance=12.0
        )

    assert after(after(start, first), second) == pytest.approx(after(start, first + second), abs=1e-9)


@laws
@given(
    st.lists(st.tuples(st.floats(300.0, 7200.0), st.floats(0.0, 5000.0)), min_size=1, max_size=6),
    st.floats(5.0, 60.0),
    st.floats(0.0, 0.8),
)
def test_ice_in_less_ice_melted_is_ice_left_whatever_the_shift(stretches, full, reserve_share):
    lengths, heat = np.array(stretches).T
    times = np.concatenate([[0.0], np.cumsum(lengths)])

    shift = ice_over_shift(times, heat, full=full, reserve=reserve_share * full)

    assert full + len(shift.refill_times) * shift.refill - shift.melted == pytest.approx(shift.left, abs=1e-9)
    assert reserve_share * full - 1e-6 <= shift.left <= full + 1e-9
    assert np.all(np.diff(shift.refill_times) > 0.0)
    assert np.all((shift.refill_times >= 0.0) & (shift.refill_times <= times[-1]))


@laws
@given(st.floats(20.0, 200.0), flows, conductances, st.floats(0.0, 500.0), st.floats(10.0, 24.0))
def test_a_bath_without_ice_only_gets_warmer_and_keeps_its_promise(bath, flow, conductance, gain, outlet):
    given_bath = {"bath": bath, "flow": flow, "inlet_temp_c": 25.0, "conductance": conductance, "gain": gain}
    warming = bath_temperature(np.linspace(0.0, 3600.0, 7), **given_bath)
    time = float(time_to_outlet(outlet, **given_bath))
    assume(0.0 < time < 1e7)

    then = bath_temperature(time, **given_bath)

    assert np.all(np.diff(warming) >= 0.0)
    out = coil_outlet(flow=flow, inlet_temp_c=25.0, conductance=conductance, bath_temp_c=then)
    assert out.temperature_c == pytest.approx(outlet, abs=1e-5)


@laws
@given(st.floats(1.0, 40.0), st.floats(1.0, 100.0), st.floats(1e-3, 2e-2), st.sampled_from([1, 3]))
def test_the_drop_grows_with_current_length_and_thinness(current, length, resistance, phases):
    cord = {"current": current, "resistance": resistance, "phases": phases}
    drop = voltage_drop(length=length, **cord)

    assert voltage_drop(length=2 * length, **cord) == pytest.approx(2 * drop)
    assert longest_cord(drop=drop, **cord) == pytest.approx(length)
    # Feet and ohms for each foot make the same volts.
    foot = Kind(name="a resistance of a metre", si="ohm/m", metric="ohm/m", us="ohm/ft")
    per_foot = converted(resistance, foot, "ohm/ft")
    assert voltage_drop(current=current, length=length / 0.3048, resistance=per_foot, phases=phases) == pytest.approx(
        drop
    )


@laws
@given(st.lists(st.tuples(st.floats(10.0, 5e3), st.floats(10.0, 3e4)), min_size=1, max_size=5))
def test_a_generator_bears_all_that_runs_and_every_start(loads):
    running, starting = zip(*loads, strict=True)

    need = generator_need(running, starting)

    assert need >= sum(running) * (1 - 1e-12)
    for index, start in enumerate(starting):
        assert need >= (sum(running) - running[index] + start) * (1 - 1e-12)
    backward = generator_need(running[::-1], starting[::-1])
    assert need == pytest.approx(backward)


@laws
@given(st.floats(100.0, 5e3), st.floats(1.0, 3.0))
def test_more_voltage_takes_less_current_for_the_same_work(power, more):
    low, high = (
        power_check([Load(power=power)], Supply(voltage=volts, breaker=20.0)) for volts in (120.0, 120.0 * more)
    )

    assert high.current == pytest.approx(low.current / more)


@laws
@given(st.floats(1e5, 8e5), st.floats(0.1, 0.9), st.floats(1e-5, 1e-3), st.floats(0.05, 3.0), st.floats(0.4, 0.6))
def test_the_tap_is_its_own_inverse_and_falls_with_flow(static, share, flow, ratio, exponent):
    readings = TapReadings(static=static, running=share * static, flow=flow)
    pressure = tap_pressure(readings, ratio * flow, exponent=exponent)

    assert tap_pressure(readings, (ratio + 0.1) * flow, exponent=exponent) < pressure
    assert tap_flow(readings, pressure, exponent=exponent) == pytest.approx(ratio * flow, rel=1e-6, abs=1e-9 * flow)
    # Gauges in psi and buckets in gallons tell the same.
    in_us = TapReadings(
        static=converted(static, PRESSURE, "psi"),
        running=converted(share * static, PRESSURE, "psi"),
        flow=converted(flow, VOLUME_FLOW, "gal/min"),
    )
    assert tap_pressure(in_us, converted(ratio * flow, VOLUME_FLOW, "gal/min"), exponent=exponent) == pytest.approx(
        converted(pressure, PRESSURE, "psi"), rel=1e-9, abs=1e-6
    )


@laws
@given(st.floats(1.0, 100.0), st.floats(8e-3, 5e-2), st.floats(0.0, 1e-3), st.floats(1.05, 3.0))
def test_a_longer_or_narrower_hose_and_more_flow_never_lower_the_loss(length, bore, flow, more):
    loss = hose_loss(WaterHose(length=length, bore=bore), flow).pressure

    assert hose_loss(WaterHose(length=length * more, bore=bore), flow).pressure == pytest.approx(loss * more)
    assert hose_loss(WaterHose(length=length, bore=bore / more), flow).pressure >= loss
    assert hose_loss(WaterHose(length=length, bore=bore), flow * more).pressure >= loss


@laws
@given(charges)
def test_heat_capacity_is_additive(charge):
    twice = replace(charge, powder=2 * charge.powder, water=2 * charge.water, accelerator=2 * charge.accelerator)

    assert heat_capacity(twice) == pytest.approx(2 * heat_capacity(charge))
    assert fresh_temperature(twice) == pytest.approx(float(fresh_temperature(charge)))
