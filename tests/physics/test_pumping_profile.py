"""The velocity over the bore, by quadrature; the first arrival; and the end of laminar flow."""

import math

import numpy as np
import pytest
from scipy.integrate import quad

from evenbead.physics.pumping import FlowCurve, SlipLayer, mean_velocity
from evenbead.physics.pumping_profile import (
    critical_reynolds,
    first_arrival,
    hedstrom,
    plug_radius,
    reynolds,
    velocity_at,
)

BORE = 0.03
CURVES = [
    FlowCurve(yield_stress=200.0, consistency=5.0),
    FlowCurve(yield_stress=200.0, consistency=40.0, exponent=0.5),
    FlowCurve(yield_stress=50.0, consistency=2.0, exponent=1.4),
    FlowCurve(yield_stress=0.0, consistency=8.0),
]


@pytest.mark.parametrize("curve", CURVES)
@pytest.mark.parametrize("layer", [None, SlipLayer(yield_stress=30.0, friction=2000.0)])
@pytest.mark.parametrize("stress", [210.0, 600.0, 3000.0])
def test_the_velocities_over_the_bore_add_up_to_the_flow(curve, layer, stress):
    """Independent: quadrature of 2πr u(r) against the closed form of the mean."""
    given = {"stress": stress, "bore": BORE, "curve": curve, "layer": layer}
    plug = float(plug_radius(stress, bore=BORE, curve=curve))
    flow, _ = quad(
        lambda r: 2 * math.pi * r * float(velocity_at(r, **given)), 0.0, BORE / 2, points=[plug], epsabs=0, epsrel=1e-11
    )

    ours = mean_velocity(stress, bore=BORE, curve=curve, layer=layer) * math.pi / 4 * BORE**2

    assert ours == pytest.approx(flow, rel=1e-9)


def test_the_rate_of_shear_is_what_the_flow_curve_asks_for():
    """Independent: the slope of the profile put back into τ = τ_0 + K γⁿ gives the stress at that radius."""
    curve, stress, radius = CURVES[1], 900.0, 0.012
    step = 1e-7
    shear = (
        velocity_at(radius - step, stress=stress, bore=BORE, curve=curve)
        - velocity_at(radius + step, stress=stress, bore=BORE, curve=curve)
    ) / (2 * step)

    assert 200.0 + 40.0 * shear**0.5 == pytest.approx(stress * radius / 0.015, rel=1e-6)


def test_the_wall_stands_still_unless_it_slips():
    layer = SlipLayer(yield_stress=30.0, friction=2000.0)

    assert velocity_at(BORE / 2, stress=600.0, bore=BORE, curve=CURVES[0]) == pytest.approx(0.0, abs=1e-15)
    assert velocity_at(BORE / 2, stress=600.0, bore=BORE, curve=CURVES[0], layer=layer) == pytest.approx(570 / 2000)


def test_all_of_a_column_below_its_yield_stress_is_plug():
    assert plug_radius(np.array([100.0, 400.0]), bore=BORE, curve=CURVES[0]) == pytest.approx([0.015, 0.0075])


def test_new_mortar_arrives_between_half_and_all_of_the_hose_volume():
    """Half for a Newtonian fluid, all for a plug that slides: exact limits."""
    plug = FlowCurve(yield_stress=700.0, consistency=5.0)
    layer = SlipLayer(yield_stress=30.0, friction=2000.0)

    assert first_arrival(600.0, bore=BORE, curve=CURVES[3]) == pytest.approx(0.5)
    assert first_arrival(600.0, bore=BORE, curve=plug, layer=layer) == pytest.approx(1.0)
    assert 0.5 < first_arrival(600.0, bore=BORE, curve=CURVES[0]) < 1.0


def test_the_critical_reynolds_number_is_as_recomputed():
    """Recomputed outside the project from [Hanks1963], within 0.02 % of these whole numbers."""
    ours = critical_reynolds(np.array([1e3, 1e4, 1e5, 1e6]))

    assert ours == pytest.approx([2290, 3329, 6816, 15289], abs=0.5)


def test_mortar_in_a_hose_is_far_from_turbulent():
    """Of the order of 1, against thousands."""
    ours = reynolds(velocity=0.17, bore=0.025, density=2100.0, viscosity=5.0)
    limit = critical_reynolds(hedstrom(bore=0.025, density=2100.0, yield_stress=200.0, viscosity=5.0))

    assert ours == pytest.approx(1.785)
    assert limit > 1000 * ours


def test_a_negative_hedstrom_number_is_refused():
    with pytest.raises(ValueError, match="Hedstrom"):
        critical_reynolds(-1.0)
