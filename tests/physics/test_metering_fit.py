"""From catches to a line: weights, the choice of form, and what is refused."""

import math

import numpy as np
import pytest
from scipy.optimize import curve_fit

from evenbead.errors import NotPossible
from evenbead.physics.metering_catches import Catches, catch_flows
from evenbead.physics.metering_fit import fitted_line, lack_of_fit, line_from_catches

SPEED = [2.5, 2.5, 5.0, 5.0, 10.0, 10.0, 15.0]
MASS = [1.31, 1.29, 2.62, 2.60, 5.22, 5.25, 7.83]


def catches(**changes):
    sound = {
        "speed": SPEED,
        "mass": MASS,
        "time": [60.0] * 7,
        "scale_uncertainty": 0.005,
        "stopwatch_uncertainty": 0.3,
        "pulsation": 0.004,
    }
    return Catches(**(sound | changes))


def test_the_doubt_of_a_catch_adds_scale_stopwatch_and_pulsation():
    # (0.005/1.31)² + (0.3/60)² + 0.004² = 5.557e-5; its root 0.7454 %.
    flows = catch_flows(catches())

    assert flows.flow[0] == pytest.approx(1.31 / 60)
    assert flows.u[0] / flows.flow[0] == pytest.approx(0.007454, abs=5e-7)


def test_catches_that_scatter_less_than_their_doubt_keep_that_doubt():
    flows = catch_flows(catches(stopwatch_uncertainty=1.0))
    fit = line_from_catches(catches(stopwatch_uncertainty=1.0), form="offset")

    best, covariance = curve_fit(lambda x, a, b: a + b * x, flows.speed, flows.flow, sigma=flows.u, absolute_sigma=True)

    assert fit.line.variance_factor == 1.0
    assert fit.residual_sd < 1.0
    assert [fit.line.intercept, fit.line.slope] == pytest.approx(best, rel=1e-6, abs=1e-9)
    assert fit.line.covariance_matrix == pytest.approx(covariance, rel=1e-5)


def test_catches_that_scatter_more_than_their_doubt_raise_it():
    tight = catches(stopwatch_uncertainty=0.01, scale_uncertainty=0.001, pulsation=0.0)
    flows, fit = catch_flows(tight), line_from_catches(tight, form="offset")

    _, covariance = curve_fit(lambda x, a, b: a + b * x, flows.speed, flows.flow, sigma=flows.u, absolute_sigma=False)

    assert fit.line.variance_factor == pytest.approx(fit.residual_sd**2)
    assert fit.line.variance_factor > 1.0
    assert fit.line.covariance_matrix == pytest.approx(covariance, rel=1e-5)
    # Raised in this way the residuals have unit scatter.
    assert np.sum(fit.standardised**2) / fit.line.dof == pytest.approx(1.0)


def test_a_further_catch_is_as_doubtful_as_the_ones_made():
    fit = line_from_catches(catches(stopwatch_uncertainty=1.0))

    assert fit.line.catch_sd == pytest.approx(0.005 / 60)
    assert fit.line.catch_relative == pytest.approx(math.hypot(1.0 / 60, 0.004))


def test_without_stated_doubt_the_scatter_is_the_doubt():
    plain = catches(scale_uncertainty=0.0, stopwatch_uncertainty=0.0, pulsation=0.0)
    fit = line_from_catches(plain, form="offset")

    slope, intercept = np.polyfit(SPEED, np.array(MASS) / 60, 1)
    scatter = math.sqrt(np.sum((np.array(MASS) / 60 - intercept - slope * np.array(SPEED)) ** 2) / 5)

    assert fit.line.slope == pytest.approx(slope, rel=1e-12)
    assert fit.line.catch_sd == fit.residual_sd == pytest.approx(scatter, rel=1e-9)
    assert (fit.line.catch_relative, fit.line.variance_factor) == (0.0, 1.0)


def test_five_speeds_make_the_line_that_is_summed_by_hand():
    # Rows 50 to 250 rpm; Sxy = 533.5, Sxx = 25000; mean flow 3.164 at 150 rpm.
    fit = fitted_line([50, 100, 150, 200, 250], [1.02, 2.11, 3.17, 4.22, 5.30], form="offset")

    assert fit.line.slope == pytest.approx(533.5 / 25000)
    assert fit.line.intercept == pytest.approx(3.164 - 150 * 533.5 / 25000)
    assert (fit.line.slope, fit.line.intercept) == pytest.approx((0.02134, -0.037), abs=1e-9)


def test_an_offset_is_kept_when_it_stands_out():
    speed = np.array([2.0, 4.0, 6.0, 8.0, 10.0])
    flow = -0.01 + 0.02 * speed + np.array([1, -1, 1, -1, 1]) * 1e-4

    fit = fitted_line(speed, flow)

    assert not fit.line.through_origin
    assert "stands out" in fit.why
    assert fit.offset_p < 0.05
    assert (fit.line.speed_low, fit.line.speed_high, fit.line.catches, fit.line.dof) == (2.0, 10.0, 5, 3)


def test_an_offset_within_the_scatter_is_dropped():
    fit = line_from_catches(catches())

    assert fit.line.through_origin
    assert (fit.line.intercept, fit.line.intercept_variance, fit.line.covariance) == (0.0, 0.0, 0.0)
    assert "does not stand out" in fit.why
    assert abs(fit.offset_t) < 2.571  # t of 95 % for five degrees of freedom


def test_a_perfect_channel_has_an_offset_or_has_none():
    speed = np.array([1.0, 2.0, 3.0, 4.0])

    assert fitted_line(speed, 0.02 * speed).line.through_origin
    assert not fitted_line(speed, 0.5 + 0.25 * speed).line.through_origin
    assert math.isinf(fitted_line(speed, 0.5 + 0.25 * speed).offset_t)


def test_the_form_can_be_asked_for():
    assert line_from_catches(catches(), form="offset").line.intercept != 0.0
    assert line_from_catches(catches(), form="origin").line.through_origin
    assert line_from_catches(catches(), form="origin").why == "as asked for"


def test_two_speeds_make_a_line_through_the_origin():
    fit = fitted_line([2.0, 2.0, 4.0], [0.04, 0.041, 0.08])

    assert fit.line.through_origin
    assert fit.offset_t is None
    assert fit.offset_p is None
    assert "fewer than three speeds" in fit.why


def test_two_speeds_cannot_have_an_offset():
    with pytest.raises(NotPossible, match="three different speeds"):
        fitted_line([2.0, 4.0], [0.04, 0.08], form="offset")


@pytest.mark.parametrize("speed", [[], [2.5], [2.5, 2.5, 2.5]])
def test_catches_at_one_speed_are_refused(speed):
    with pytest.raises(NotPossible, match="one single speed"):
        fitted_line(speed, [0.05] * len(speed))


def test_flow_that_stands_still_still_fits():
    fit = fitted_line([1.0, 2.0, 3.0], [0.0, 0.0, 0.0], [0.1, 0.1, 0.1])

    assert (fit.line.slope, fit.r_squared, fit.line.catch_relative) == (0.0, 1.0, 0.0)


@pytest.mark.parametrize(
    ("speed", "flow", "doubt", "complaint"),
    [
        ([1.0, 2.0], [0.1], None, "one length"),
        ([[1.0, 2.0]], [[0.1, 0.2]], None, "one length"),
        ([1.0, math.nan], [0.1, 0.2], None, "not finite"),
        ([1.0, 2.0], [0.1, math.inf], None, "not finite"),
        ([1.0, 2.0], [0.1, 0.2], [0.1, 0.0], "not above zero"),
    ],
)
def test_unsound_columns_are_refused(speed, flow, doubt, complaint):
    with pytest.raises(ValueError, match=complaint):
        fitted_line(speed, flow, doubt)


@pytest.mark.parametrize(
    ("changes", "complaint"),
    [
        ({"mass": [1.0]}, "mass has shape"),
        ({"time": [60.0] * 6 + [0.0]}, "time is not above zero"),
        ({"mass": [1.0] * 6 + [-1.0]}, "mass is not above zero"),
        ({"speed": [math.nan] + [1.0] * 6}, "speed is not above zero"),
        ({"speed": [math.inf] + [1.0] * 6}, "speed is not above zero"),
        ({"scale_uncertainty": -0.1}, "scale_uncertainty"),
        ({"pulsation": math.nan}, "pulsation"),
    ],
)
def test_impossible_catches_are_refused(changes, complaint):
    with pytest.raises(ValueError, match=complaint):
        catches(**changes)


def test_catches_cannot_be_changed():
    with pytest.raises(ValueError, match="read-only"):
        catches().mass[0] = 2.0


def test_repeats_on_a_straight_channel_do_not_contradict_it():
    test = lack_of_fit(SPEED, np.array(MASS) / 60, catch_flows(catches()).u, form="origin")

    assert test.straight
    assert (test.dof_line, test.dof_repeats) == (3, 3)


@pytest.mark.parametrize(
    ("speed", "flow"),
    [
        ([1.0, 1.0, 2.0, 2.0, 3.0, 3.0], [0.1, 0.1, 0.2, 0.2, 0.3, 0.3]),
        ([1.0, 1.0, 2.0, 2.0], [0.1, 0.11, 0.2, 0.21]),
    ],
)
def test_straightness_needs_scatter_and_speeds_to_spare(speed, flow):
    assert lack_of_fit(speed, flow, form="offset") is None
