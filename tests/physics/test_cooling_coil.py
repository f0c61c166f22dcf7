"""Coils against ε-NTU written out by hand, a direct integration along the tube, and random draws."""

import math

import numpy as np
import pytest
from scipy.integrate import solve_ivp

from evenbead.errors import NotPossible
from evenbead.physics.coil_textbook import Coil, nusselt_gnielinski, series_conductance, textbook_conductance
from evenbead.physics.cooling_coil import (
    coil_conductance,
    coil_outlet,
    conductance_at,
    effectiveness,
    largest_flow,
    measured_conductance,
    transfer_units,
)
from evenbead.physics.ice_bath import ice_rate
from evenbead.physics.uncertainty import Estimate
from evenbead.physics.water_transport import WATER_HEAT, water_conductivity, water_prandtl, water_viscosity

LITRES_A_MINUTE = 1.0 / 60.0  # kg/s, near enough
COPPER = Coil(length=15.0, bore=10.7e-3, outer_diameter=12.7e-3, turn_diameter=0.3)


def test_a_timed_run_gives_the_conductance():
    # Own case: 25 -> 10 °C at 4 L/min in ice: NTU = ln 2.5 = 0.9163; UA = 4/60 · 4186 · 0.9163 = 255.7 W/K.
    run = {"inlet_temp_c": 25.0, "outlet_temp_c": 10.0}

    assert transfer_units(**run) == pytest.approx(0.9163, abs=5e-5)
    assert coil_conductance(flow=4 * LITRES_A_MINUTE, **run) == pytest.approx(255.7, rel=1e-3)


def test_the_outlet_agrees_with_heat_flow_integrated_along_the_tube():
    conductance, flow, bath = 240.0, 3 * LITRES_A_MINUTE, 1.5
    along = solve_ivp(
        lambda _, water: conductance * (bath - water) / (flow * WATER_HEAT), (0.0, 1.0), [23.0], rtol=1e-10, atol=1e-10
    )

    ours = coil_outlet(flow=flow, inlet_temp_c=23.0, conductance=conductance, bath_temp_c=bath)

    assert ours.temperature_c == pytest.approx(along.y[0, -1], rel=1e-8)
    assert ours.heat == pytest.approx(flow * WATER_HEAT * (23.0 - along.y[0, -1]), rel=1e-8)


@pytest.mark.parametrize(
    ("litres_a_minute", "outside_film", "outlet", "ice_per_hour"),
    [(4.0, 400.0, 11.75, 39.8), (4.0, 1000.0, 5.19, 59.6), (2.0, 400.0, 6.67, 27.6)],
)
def test_a_copper_coil_of_fifteen_metres_does_what_a_second_program_says(
    litres_a_minute, outside_film, outlet, ice_per_hour
):
    # Own case, recomputed with CoolProp 8.0.0 and ht 1.2.0 (Gnielinski inside), at water properties between 25 °C and
    # the outlet.
    flow, middle = litres_a_minute * LITRES_A_MINUTE, (25.0 + outlet) / 2
    reynolds = 4 * flow / (math.pi * COPPER.bore * water_viscosity(middle))
    film = nusselt_gnielinski(reynolds, water_prandtl(middle)) * water_conductivity(middle) / COPPER.bore
    conductance = series_conductance(COPPER, inside_film=film, outside_film=outside_film)

    ours = coil_outlet(flow=flow, inlet_temp_c=25.0, conductance=conductance)

    assert ours.temperature_c == pytest.approx(outlet, abs=0.02)
    assert ice_rate(ours.heat) * 3600 == pytest.approx(ice_per_hour, abs=0.06)
    band = textbook_conductance(COPPER, flow=flow, water_temp_c=middle)
    assert band.low < conductance < band.high


def test_water_that_turns_laminar_comes_out_warmer_though_it_runs_slower():
    # The same case at 1 L/min: Nu = 3.66, 8.95 °C and 12.1 kg/h, against 6.67 °C at 2 L/min.
    film = 3.66 * water_conductivity(17.0) / COPPER.bore
    conductance = series_conductance(COPPER, inside_film=film, outside_film=400.0)

    slow = coil_outlet(flow=LITRES_A_MINUTE, inlet_temp_c=25.0, conductance=conductance)

    assert slow.temperature_c == pytest.approx(8.95, abs=0.02)
    assert ice_rate(slow.heat) * 3600 == pytest.approx(12.1, abs=0.06)


def test_the_doubt_of_a_run_is_that_of_random_draws():
    inputs = {
        "flow": Estimate(value=4 * LITRES_A_MINUTE, u=0.05 * LITRES_A_MINUTE),
        "inlet_temp_c": Estimate(value=25.0, u=0.3),
        "outlet_temp_c": Estimate(value=10.0, u=0.3),
        "bath_temp_c": Estimate(value=0.5, u=0.3),
    }
    rng = np.random.default_rng(7)
    draws = {name: rng.normal(given.value, given.u, 20_000) for name, given in inputs.items()}

    run = measured_conductance(**inputs)
    drawn = coil_conductance(**draws)

    assert run.value == pytest.approx(np.mean(drawn), rel=0.005)
    # A standard deviation of 20 000 draws is itself good to half a percent.
    assert run.u == pytest.approx(np.std(drawn), rel=0.03)
    assert math.isinf(run.dof)


def test_a_film_inside_makes_the_coil_weaker_at_less_flow():
    kept = conductance_at(conductance=256.0, reference_flow=4.0, flow=2.0)
    scaled = conductance_at(conductance=256.0, reference_flow=4.0, flow=2.0, inside_share=0.3)
    all_inside = conductance_at(conductance=256.0, reference_flow=4.0, flow=2.0, inside_share=1.0)

    assert kept == 256.0
    assert all_inside == pytest.approx(256.0 / 2**0.8)
    assert all_inside < scaled < kept


def test_the_inside_share_is_what_resistances_in_series_say():
    inside, outside = 3000.0, 500.0
    whole = series_conductance(COPPER, inside_film=inside, outside_film=outside)
    share = whole / (inside * math.pi * COPPER.bore * COPPER.length)

    slower = series_conductance(COPPER, inside_film=inside * 0.5**0.8, outside_film=outside)

    assert conductance_at(conductance=whole, reference_flow=2.0, flow=1.0, inside_share=share) == pytest.approx(
        slower, rel=1e-12
    )


def test_the_largest_flow_comes_out_as_wanted():
    flow = largest_flow(conductance=255.7, inlet_temp_c=28.0, outlet_temp_c=12.0, bath_temp_c=1.0)

    assert coil_outlet(flow=flow, inlet_temp_c=28.0, conductance=255.7, bath_temp_c=1.0).temperature_c == pytest.approx(
        12.0
    )
    assert np.isinf(largest_flow(conductance=255.7, inlet_temp_c=10.0, outlet_temp_c=10.0))


def test_a_cool_box_cannot_chill_four_litres_a_minute_through_a_shift():
    # Energy alone: 4 L/min from 25 to 10 °C is 4.19 kW, 45 kg of ice an hour.
    chilled = coil_outlet(flow=4 * LITRES_A_MINUTE, inlet_temp_c=25.0, conductance=255.7)

    assert chilled.heat == pytest.approx(4190.0, rel=2e-3)
    assert ice_rate(chilled.heat) * 3600 == pytest.approx(45.0, abs=0.2)


def test_a_bath_that_is_warmer_warms():
    warmed = coil_outlet(flow=4 * LITRES_A_MINUTE, inlet_temp_c=8.0, conductance=255.7, bath_temp_c=60.0)

    assert 8.0 < warmed.temperature_c < 60.0
    assert warmed.heat < 0.0


@pytest.mark.parametrize("outlet", [26.0, -1.0, 0.0])
def test_readings_that_no_coil_could_give_are_refused(outlet):
    with pytest.raises(NotPossible, match="check the three thermometers"):
        transfer_units(inlet_temp_c=25.0, outlet_temp_c=outlet)


@pytest.mark.parametrize(
    ("call", "message"),
    [
        (lambda: coil_outlet(flow=0.0, inlet_temp_c=25.0, conductance=250.0), "flow is 0"),
        (lambda: coil_outlet(flow=0.1, inlet_temp_c=25.0, conductance=-1.0), "conductance is -1"),
        (lambda: effectiveness(float("nan")), "transfer_units is nan"),
        (
            lambda: conductance_at(conductance=250.0, reference_flow=1.0, flow=1.0, inside_share=1.5),
            "inside_share is 1.5",
        ),
        (lambda: Coil(length=1.0, bore=0.012, outer_diameter=0.010, turn_diameter=0.3), "outer_diameter less bore"),
        (lambda: series_conductance(COPPER, inside_film=0.0, outside_film=100.0), "inside_film is 0"),
    ],
)
def test_what_no_coil_has_is_refused(call, message):
    with pytest.raises(ValueError, match=message):
        call()
