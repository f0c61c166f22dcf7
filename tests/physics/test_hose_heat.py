"""Mortar in the hose against the closed forms and a direct integration."""

import math

import numpy as np
import pytest
from scipy.integrate import solve_ivp

from evenbead.errors import NotPossible
from evenbead.physics.hose_heat import hose_conductance, hose_temperature, standing_temperature


def test_a_hose_of_unknown_conductance_changes_nothing():
    assert hose_temperature(inlet_temp_c=22.0, surroundings_temp_c=40.0, capacity_flow=220.0) == 22.0
    assert standing_temperature(start_temp_c=22.0, surroundings_temp_c=40.0, capacity=36e3, time=600.0) == 22.0


def test_one_transfer_unit_covers_all_but_a_part_in_e():
    outlet = hose_temperature(inlet_temp_c=20.0, surroundings_temp_c=40.0, capacity_flow=100.0, conductance=100.0)

    assert outlet == pytest.approx(40.0 - 20.0 / math.e)


def test_it_agrees_with_heat_flow_integrated_along_the_hose():
    conductance, capacity_flow, length = 15.0, 180.0, 14.0
    integrated = solve_ivp(
        lambda _, temperature: conductance / length * (45.0 - temperature) / capacity_flow,
        (0.0, length),
        [24.0],
        rtol=1e-10,
        atol=1e-10,
    )

    ours = hose_temperature(
        inlet_temp_c=24.0, surroundings_temp_c=45.0, capacity_flow=capacity_flow, conductance=conductance
    )

    assert ours == pytest.approx(integrated.y[0, -1], rel=1e-8)


def test_a_long_pause_ends_at_the_surroundings():
    times = np.array([0.0, 600.0, 36e3])
    temperatures = standing_temperature(
        start_temp_c=22.0, surroundings_temp_c=40.0, capacity=36e3, conductance=12.0, time=times
    )

    assert temperatures[0] == 22.0
    assert temperatures[1] == pytest.approx(40.0 - 18.0 * math.exp(-0.2))
    assert temperatures[2] == pytest.approx(40.0, abs=1e-3)


def test_two_thermometers_give_the_conductance_back():
    outlet = hose_temperature(inlet_temp_c=22.0, surroundings_temp_c=40.0, capacity_flow=220.0, conductance=12.0)

    assert hose_conductance(
        inlet_temp_c=22.0, outlet_temp_c=outlet, surroundings_temp_c=40.0, capacity_flow=220.0
    ) == pytest.approx(12.0)


@pytest.mark.parametrize("outlet", [41.0, 21.0, 40.0])
def test_readings_that_no_hose_could_give_are_refused(outlet):
    with pytest.raises(NotPossible, match="nearer to its surroundings"):
        hose_conductance(inlet_temp_c=22.0, outlet_temp_c=outlet, surroundings_temp_c=40.0, capacity_flow=220.0)


def test_a_hose_without_flow_is_refused():
    with pytest.raises(ValueError, match="capacity_flow is 0"):
        hose_temperature(inlet_temp_c=22.0, surroundings_temp_c=40.0, capacity_flow=0.0, conductance=1.0)
