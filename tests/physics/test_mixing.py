"""Settling in volume passed, against SciPy's gamma distribution and differential equations."""

import math

import numpy as np
import pytest
import scipy.stats
from scipy.integrate import solve_ivp

from evenbead.errors import NotPossible
from evenbead.physics.mixing import (
    HoldUp,
    Residence,
    chamber,
    in_series,
    pipe_volume,
    residence,
    residence_density,
    ripple_left,
    settling_volume,
    start_volume,
    step_response,
    washout_left,
    with_hose,
)

PASSED = np.linspace(0.0, 30e-3, 61)


@pytest.mark.parametrize("tanks", [1.0, 1.7, 3.0, 4.74, 20.0])
def test_tanks_in_series_are_the_gamma_distribution_of_scipy(tanks):
    hold_up = HoldUp(plug=1.8e-3, mixed=4.2e-3, tanks=tanks)
    gamma = scipy.stats.gamma(tanks, loc=1.8e-3, scale=4.2e-3 / tanks)
    behind_plug = PASSED[PASSED > 1.8e-3]

    assert step_response(hold_up, PASSED) == pytest.approx(gamma.cdf(PASSED), rel=1e-12, abs=1e-300)
    assert washout_left(hold_up, PASSED) == pytest.approx(gamma.sf(PASSED), rel=1e-9)
    assert residence_density(hold_up, behind_plug) == pytest.approx(gamma.pdf(behind_plug), rel=1e-9)
    assert settling_volume(hold_up, 0.98) == pytest.approx(gamma.ppf(0.98), rel=1e-12)
    assert residence(hold_up).mean == pytest.approx(gamma.mean())
    assert residence(hold_up).variance == pytest.approx(gamma.var())


@pytest.mark.parametrize(
    ("flow", "tolerance"),
    [
        (lambda _: 1e-4, 1e-8),
        (lambda t: 1e-4 * (1 + 0.9 * math.sin(t / 7)), 1e-8),
        (lambda t: 1e-6 * t, 1e-8),
        # The solver steps across the moments at which the pump starts and stops.
        (lambda t: 2e-4 if (t // 20) % 2 == 0 else 0.0, 2e-4),
    ],
    ids=["steady", "swinging", "rising", "on and off"],
)
def test_a_step_arrives_by_volume_whatever_the_flow_does(flow, tolerance):
    """Three tanks of 2 L as differential equations in time."""

    def change(t, y):
        upstream = np.concatenate(([1.0], y[:2]))
        return np.append(flow(t) * (upstream - y[:3]) / 2e-3, flow(t))

    run = solve_ivp(change, (0.0, 150.0), np.zeros(4), rtol=1e-10, atol=1e-12, max_step=1.0)

    ours = step_response(HoldUp(plug=0.0, mixed=6e-3, tanks=3.0), run.y[3])
    assert ours == pytest.approx(run.y[2], abs=tolerance)


def test_three_tanks_of_six_litres_after_fifteen():
    # 1 - exp(-7.5) (1 + 7.5 + 7.5²/2) = 0.979743
    by_hand = 1 - math.exp(-7.5) * (1 + 7.5 + 7.5**2 / 2)

    assert step_response(HoldUp(plug=0.0, mixed=6e-3, tanks=3.0), 15e-3) == pytest.approx(by_hand, rel=1e-12)


def test_a_third_plug_and_three_tanks_settle_after_two_hold_ups():
    settled = settling_volume(chamber(6e-3, plug_fraction=0.3, tanks=3), 0.98)

    assert settled == pytest.approx(1.8e-3 + 4.2e-3 * scipy.stats.chi2.ppf(0.98, 6) / 6, rel=1e-12)
    assert settled == pytest.approx(12.32e-3, abs=5e-6)


@pytest.mark.parametrize("tanks", [1.0, 3.0])
@pytest.mark.parametrize("relative", [0.5, 1.0, 2.0, 5.0])
def test_a_swing_through_tanks_is_damped_as_their_state_space_says(relative, tanks):
    """The chain as matrices in volume, at the frequency of the swing: |C (iω - A)⁻¹ B|."""
    n, mixed = int(tanks), 6e-3
    matrix = n / mixed * (np.eye(n, k=-1) - np.eye(n))
    entry = n / mixed * np.eye(n)[0]
    turning = 2j * math.pi / (relative * mixed)
    left = abs(np.linalg.solve(turning * np.eye(n) - matrix, entry)[-1])

    assert ripple_left(HoldUp(plug=1e-3, mixed=mixed, tanks=tanks), relative * mixed) == pytest.approx(left, rel=1e-12)


def test_an_empty_chamber_starts_when_what_is_missing_fits_the_band():
    # One tank: 0.16 exp(-V/V_m) = 0.008 on the narrower side, V = V_m ln 20.
    tank = HoldUp(plug=0.5, mixed=1.0)

    assert start_volume(tank, target=0.16, low=0.152, high=0.18) == pytest.approx(0.5 + math.log(20))
    assert start_volume(tank, target=0.16, low=0.140, high=0.168) == pytest.approx(0.5 + math.log(20))


def test_a_band_that_reaches_down_to_nothing_is_met_behind_the_plug():
    assert start_volume(HoldUp(plug=0.5, mixed=1.0), target=0.16, low=0.0, high=0.5) == 0.5


@pytest.mark.parametrize("band", [(0.16, 0.17), (0.14, 0.16), (0.2, 0.1), (-0.1, 0.2)])
def test_a_target_outside_its_band_is_refused(band):
    with pytest.raises(ValueError, match="not inside the band"):
        start_volume(HoldUp(plug=0.0, mixed=1.0), target=0.16, low=band[0], high=band[1])


def test_a_bare_hose_passes_a_step_at_once():
    hose = HoldUp(plug=2.0, mixed=0.0)

    assert list(step_response(hose, np.array([1.9, 2.0, 2.1]))) == [0.0, 1.0, 1.0]
    assert list(washout_left(hose, np.array([1.9, 2.0, 2.1]))) == [1.0, 0.0, 0.0]
    assert settling_volume(hose, 0.98) == 2.0
    assert residence(hose) == Residence(mean=2.0, variance=0.0)
    assert ripple_left(hose, 0.5) == 1.0


def test_a_bare_hose_has_no_density():
    with pytest.raises(NotPossible, match="all at once"):
        residence_density(HoldUp(plug=2.0, mixed=0.0), 2.0)


def test_a_density_is_nothing_before_the_plug_has_passed():
    assert residence_density(HoldUp(plug=2.0, mixed=1.0), 1.9) == 0.0
    assert residence_density(HoldUp(plug=2.0, mixed=1.0), 2.0) == 1.0


def test_a_hose_adds_its_volume_to_the_plug():
    # 14 m of 35 mm: π/4 · 0.035² · 14 = 13.47 L
    hose = pipe_volume(length=14.0, bore=0.035)
    whole = with_hose(chamber(2.8e-3, plug_fraction=0.3, tanks=3), hose)

    assert hose == pytest.approx(13.47e-3, abs=5e-6)
    assert whole.plug == pytest.approx(0.84e-3 + hose)
    assert whole.volume == pytest.approx(2.8e-3 + hose)


def test_chambers_one_after_the_other_add_up_to_more_tanks():
    one, three = HoldUp(plug=0.0, mixed=2.0), HoldUp(plug=0.0, mixed=6.0, tanks=3.0)

    assert in_series(*[residence(one)] * 3) == residence(three)


@pytest.mark.parametrize("share", [-0.1, 1.0, math.nan])
def test_the_last_of_a_change_never_arrives(share):
    with pytest.raises(ValueError, match="never arrives"):
        settling_volume(HoldUp(plug=0.0, mixed=1.0), share)


@pytest.mark.parametrize(
    "wrong", [{"plug": -1.0}, {"mixed": math.inf}, {"mixed": math.nan}, {"tanks": 0.9}, {"tanks": math.inf}]
)
def test_an_impossible_hold_up_is_refused(wrong):
    with pytest.raises(ValueError, match="expected"):
        HoldUp(**({"plug": 1.0, "mixed": 1.0, "tanks": 2.0} | wrong))


def test_a_plug_is_at_most_all_of_a_chamber():
    with pytest.raises(ValueError, match="plug_fraction"):
        chamber(1.0, plug_fraction=1.1, tanks=2)
