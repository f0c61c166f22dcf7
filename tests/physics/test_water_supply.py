"""Water lines against an independent friction solver, sums by hand, and the relation between two readings."""

import numpy as np
import pytest
from scipy.optimize import brentq

from evenbead.errors import NotPossible
from evenbead.physics.orifice import fixed_valve_flow_ratio, orifice_flow
from evenbead.physics.pipe_friction import friction_factor
from evenbead.physics.water import water_density
from evenbead.physics.water_supply import (
    TapReadings,
    WaterHose,
    hose_loss,
    tap_flow,
    tap_pressure,
    water_check,
)
from evenbead.physics.water_transport import water_viscosity

LITRES_A_MINUTE = 1e-3 / 60
TAP = TapReadings(static=4.0e5, running=3.0e5, flow=10 * LITRES_A_MINUTE)


@pytest.mark.parametrize(
    ("reynolds", "roughness", "expected"),
    [
        (4000.0, 0.0, 0.03990701405563491),
        (1e4, 1e-3, 0.03238180636309272),
        (5e4, 1e-5, 0.020927646665469514),
        (1e6, 0.01, 0.037964741876160085),
    ],
)
def test_the_friction_factor_is_that_of_an_independent_solver(reynolds, roughness, expected):
    # Recomputed with fluids 1.3.1, Colebrook.
    assert friction_factor(reynolds, relative_roughness=roughness) == pytest.approx(expected, rel=1e-12)


def test_a_root_finder_agrees_over_the_whole_range():
    for reynolds in (2300.0, 3e3, 1e5, 1e8):
        for roughness in (0.0, 1e-6, 1e-3, 0.05):
            root = brentq(
                lambda x, re=reynolds, r=roughness: x + 2 * np.log10(r / 3.7 + 2.51 * x / re), 0.5, 50.0, xtol=1e-14
            )
            assert friction_factor(reynolds, relative_roughness=roughness) == pytest.approx(root**-2, rel=1e-10)


def test_slow_water_rubs_as_hagen_and_poiseuille_say():
    # ΔP = 128 μ L Q/(π D⁴), from memory; every book has it.
    hose, viscosity, flow = WaterHose(length=20.0, bore=13e-3), 1.3e-3, 1.0 * LITRES_A_MINUTE

    loss = hose_loss(hose, flow, viscosity=viscosity)

    assert loss.reynolds < 2300.0
    assert loss.pressure == pytest.approx(128 * viscosity * 20.0 * flow / (np.pi * 13e-3**4))


@pytest.mark.parametrize(
    ("bore", "litres_a_minute", "bar"),
    [(12.7e-3, 10.0, 0.596), (12.7e-3, 20.0, 2.02), (15.9e-3, 20.0, 0.69), (19e-3, 20.0, 0.295), (19e-3, 30.0, 0.603)],
)
def test_thirty_metres_of_garden_hose_take_this_at_ten_degrees(bore, litres_a_minute, bar):
    # Own case, recomputed with fluids 1.3.1 for a smooth hose.
    loss = hose_loss(
        WaterHose(length=30.0, bore=bore, roughness=1.5e-6),
        litres_a_minute * LITRES_A_MINUTE,
        density=water_density(10.0),
        viscosity=water_viscosity(10.0),
    )

    assert loss.pressure / 1e5 == pytest.approx(bar, rel=0.01)


def test_fittings_and_height_add_to_the_loss():
    flow = 12 * LITRES_A_MINUTE
    bare = hose_loss(WaterHose(length=10.0, bore=13e-3), flow)
    fitted = hose_loss(WaterHose(length=10.0, bore=13e-3, fittings=5.0, rise=3.0), flow)

    assert fitted.pressure - bare.pressure == pytest.approx(5.0 * 998.2 * bare.velocity**2 / 2 + 998.2 * 9.80665 * 3.0)


def test_a_hose_at_rest_takes_only_its_height():
    assert hose_loss(WaterHose(length=30.0, bore=13e-3), 0.0).pressure == 0.0
    assert hose_loss(WaterHose(length=30.0, bore=13e-3, rise=2.0), 0.0).pressure == pytest.approx(19577, abs=1)


@pytest.mark.parametrize("flow", [5e-324, 1e-300, 1e-30])
def test_a_drip_takes_next_to_nothing_and_does_not_overflow(flow):
    assert 0.0 <= hose_loss(WaterHose(length=30.0, bore=13e-3), flow).pressure < 1e-9


def test_the_two_readings_lie_on_their_own_curve():
    assert tap_pressure(TAP, 0.0) == 4.0e5
    assert tap_pressure(TAP, TAP.flow) == pytest.approx(3.0e5)
    assert tap_flow(TAP, 3.0e5) == pytest.approx(TAP.flow)


def test_the_flow_at_twenty_psi_is_that_of_the_hydrant_formula():
    # 1000 gpm with 80 falling to 50: at 20 it gives 1000 (60/30)^0.54 = 1454 gpm; units cancel.
    hydrant = TapReadings(static=80.0, running=50.0, flow=1000.0)

    assert tap_flow(hydrant, 20.0) == pytest.approx(1454.0, abs=0.5)
    assert tap_pressure(hydrant, tap_flow(hydrant, 20.0)) == pytest.approx(20.0)


def test_a_narrow_place_loses_the_square():
    # Twice the flow, four times the loss: nothing is left of 4 bar.
    assert tap_pressure(TAP, 2 * TAP.flow, exponent=0.5) == pytest.approx(0.0, abs=1e-6)
    assert tap_pressure(TAP, 2 * TAP.flow, exponent=0.54) > 0.0


def test_a_pressure_above_the_static_one_is_refused():
    with pytest.raises(NotPossible, match="nothing running"):
        tap_flow(TAP, 5.0e5)


@pytest.mark.parametrize("litres_a_minute", [3.0, 10.0, 25.0])
def test_the_check_takes_the_lower_of_both_exponents(litres_a_minute):
    hose, demand = WaterHose(length=20.0, bore=13e-3), litres_a_minute * LITRES_A_MINUTE

    cautious = water_check(TAP, hose, demand=demand, minimum=1e5)

    each = [water_check(TAP, hose, demand=demand, minimum=1e5, exponent=n).pressure for n in (0.5, 0.54)]
    assert cautious.pressure == min(each)
    assert cautious.pressure == pytest.approx(cautious.tap_pressure - cautious.hose_loss)
    assert cautious.margin == pytest.approx(cautious.pressure - 1e5)


def test_too_much_demand_is_seen_before_anyone_connects_a_hose():
    enough, short = (
        water_check(TAP, WaterHose(length=30.0, bore=13e-3), demand=flow * LITRES_A_MINUTE, minimum=1.5e5)
        for flow in (5.0, 20.0)
    )

    assert enough.enough
    assert not short.enough
    assert short.margin < 0.0
    assert enough.static_pressure == 4.0e5
    assert "not a design" in enough.statement


def test_ten_thousand_draws_are_one_check():
    demand = np.random.default_rng(2).uniform(2.0, 15.0, 10_000) * LITRES_A_MINUTE

    check = water_check(TAP, WaterHose(length=30.0, bore=13e-3), demand=demand, minimum=1.5e5)

    assert check.pressure.shape == (10_000,)
    assert 0.0 < np.mean(check.enough) < 1.0


def test_a_tenth_of_the_pressure_is_a_twentieth_of_the_water():
    assert fixed_valve_flow_ratio(1.1) == pytest.approx(1.05, abs=0.002)
    assert fixed_valve_flow_ratio(0.9) == pytest.approx(0.95, abs=0.002)
    assert fixed_valve_flow_ratio(1.1, exponent=0.54) > fixed_valve_flow_ratio(1.1)


@pytest.mark.parametrize(
    ("call", "message"),
    [
        (lambda: TapReadings(static=3e5, running=3e5, flow=1e-4), "static less running"),
        (lambda: TapReadings(static=3e5, running=2e5, flow=0.0), "flow is 0"),
        (lambda: WaterHose(length=10.0, bore=0.0), "bore is 0"),
        (lambda: WaterHose(length=10.0, bore=0.01, rise=float("inf")), "rise is inf"),
        (lambda: hose_loss(WaterHose(length=1.0, bore=0.01), -1.0), "flow is -1"),
        (lambda: friction_factor(-1.0), "reynolds is -1"),
        (lambda: friction_factor(1e4, relative_roughness=0.2), "relative_roughness is 0.2"),
        (lambda: orifice_flow(pressure_drop=1e4, orifice=0.05, bore=0.04), "orifice over bore"),
        (lambda: tap_pressure(TAP, 1e-4, exponent=0.0), "exponent is 0"),
    ],
)
def test_what_no_water_line_has_is_refused(call, message):
    with pytest.raises(ValueError, match=message):
        call()
