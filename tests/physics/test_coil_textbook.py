"""The textbook band: what it must hold, and that it is as wide as our ignorance."""

import numpy as np
import pytest

from evenbead.physics.coil_textbook import (
    Coil,
    critical_reynolds,
    nusselt_dittus_boelter,
    nusselt_gnielinski,
    nusselt_laminar_coil,
    nusselt_laminar_entry,
    textbook_conductance,
)

COPPER = Coil(length=15.0, bore=10.7e-3, outer_diameter=12.7e-3, turn_diameter=0.3)
FLOWS = np.array([0.25, 1.0, 2.0, 4.0, 8.0, 20.0]) / 60


def test_the_band_is_wide_at_every_flow():
    band = textbook_conductance(COPPER, flow=FLOWS, water_temp_c=15.0)

    assert np.all(band.high > 2.0 * band.low)


def test_more_flow_never_narrows_what_the_strongest_formula_gives():
    band = textbook_conductance(COPPER, flow=FLOWS, water_temp_c=15.0)

    assert np.all(np.diff(band.high) > 0.0)
    assert np.all(np.diff(band.reynolds) > 0.0)


def test_where_the_bend_keeps_the_flow_laminar_the_weak_end_is_laminar():
    # At 4 L/min the Reynolds number is about 7000, which a bend of 300 mm barely lets turn turbulent (6713).
    below, above = (textbook_conductance(COPPER, flow=flow / 60, water_temp_c=10.0) for flow in (4.0, 5.0))

    assert below.reynolds < below.critical_reynolds < above.reynolds
    assert above.low > 1.2 * below.low


def test_a_bend_delays_turbulence_and_stirs_what_is_laminar():
    assert critical_reynolds(0.0) == 2300.0
    assert critical_reynolds(0.04) > 2 * 2300.0
    assert nusselt_laminar_coil(2000.0, 9.0, bore_over_turn=0.036) > 3 * nusselt_laminar_entry(13.0)


def test_a_long_tube_has_the_laminar_limit():
    # 3.66: laminar flow with a wall of one temperature.
    assert nusselt_laminar_entry(1e-9) == pytest.approx(3.66)


def test_the_two_turbulent_formulas_agree_within_their_scatter():
    # [Cengel2007]: Dittus-Boelter is good to about a quarter.
    reynolds = np.array([1e4, 3e4, 1e5])

    ratio = nusselt_dittus_boelter(reynolds, 7.0, fluid_is="heated") / nusselt_gnielinski(reynolds, 7.0)

    assert np.all((ratio > 0.75) & (ratio < 1.25))


def test_water_that_is_cooled_passes_on_less():
    assert nusselt_dittus_boelter(2e4, 7.0, fluid_is="cooled") < nusselt_dittus_boelter(2e4, 7.0, fluid_is="heated")
