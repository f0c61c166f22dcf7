"""The line of a channel in use: forward, backward, beside another, and where to catch next."""

import math

import numpy as np
import pytest
import scipy.stats

from evenbead.errors import NotPossible
from evenbead.physics.metering import (
    MeterLine,
    catch_variance,
    drift,
    flow_at,
    further_catch,
    speed_for,
    within_catches,
)
from evenbead.physics.metering_design import next_catch_speed
from evenbead.physics.metering_fit import fitted_line

SPEED = np.array([1.0, 2.0, 3.0, 4.0, 5.0, 6.0])
FLOW = np.array([0.0205, 0.0395, 0.0612, 0.0788, 0.1009, 0.1195])


def a_line(**changes):
    sound = {
        "intercept": 0.0,
        "slope": 0.02,
        "intercept_variance": 0.0,
        "slope_variance": 1e-8,
        "covariance": 0.0,
        "dof": 4,
        "through_origin": True,
        "speed_low": 1.0,
        "speed_high": 6.0,
        "catches": 5,
    }
    return MeterLine(**(sound | changes))


def test_the_uncertainty_of_the_line_is_that_of_scipy():
    fit = fitted_line(SPEED, FLOW, form="offset")
    theirs = scipy.stats.linregress(SPEED, FLOW)

    assert fit.line.slope == pytest.approx(theirs.slope, rel=1e-12)
    assert fit.line.intercept == pytest.approx(theirs.intercept, rel=1e-9)
    assert math.sqrt(fit.line.slope_variance) == pytest.approx(theirs.stderr, rel=1e-9)
    assert flow_at(fit.line, 0.0).u == pytest.approx(theirs.intercept_stderr, rel=1e-9)
    assert fit.r_squared == pytest.approx(theirs.rvalue**2, rel=1e-12)


def test_the_interval_of_a_further_catch_is_the_textbook_one():
    """[Draper1998] chapter 3: s √(1 + 1/n + (x - mean)²/Sxx) t, written out."""
    line = fitted_line(SPEED, FLOW, form="offset").line
    s = math.sqrt(np.sum((FLOW - flow_at(line, SPEED).value) ** 2) / 4)
    spread = s * math.sqrt(1 + 1 / 6 + (4.4 - 3.5) ** 2 / np.sum((SPEED - 3.5) ** 2))

    found = further_catch(line, 4.4)

    assert (found.high - found.low) / 2 == pytest.approx(2.776445 * spread, rel=1e-6)
    assert found.level == 0.95


def test_intervals_hold_what_they_promise():
    """Six catches drawn 4000 times: the exact interval for the speed and that for a further catch hold 95 %."""
    random = np.random.default_rng(20260618)
    slope, offset, sd = 0.02, 0.004, 0.0015
    holds_speed = holds_catch = 0
    trials = 4000
    for _ in range(trials):
        flows = offset + slope * SPEED + random.normal(0.0, sd, SPEED.size)
        line = fitted_line(SPEED, flows, form="offset").line
        interval = speed_for(line, offset + slope * 4.4).interval
        holds_speed += interval.low <= 4.4 <= interval.high
        expected = further_catch(line, 4.4)
        holds_catch += expected.low <= offset + slope * 4.4 + random.normal(0.0, sd) <= expected.high

    # Three standard deviations of a share of 0.95 in 4000 trials.
    assert holds_speed / trials == pytest.approx(0.95, abs=0.0104)
    assert holds_catch / trials == pytest.approx(0.95, abs=0.0104)


def test_a_column_of_speeds_gives_a_column_of_flows():
    flow = flow_at(a_line(), np.array([1.0, 2.0]))

    assert flow.value == pytest.approx([0.02, 0.04])
    assert flow.u == pytest.approx([1e-4, 2e-4])
    assert list(within_catches(a_line(), np.array([0.9, 1.0, 6.0, 6.1]))) == [False, True, True, False]
    assert speed_for(a_line(), np.array([0.02, 0.2])).within_catches.tolist() == [True, False]


def test_a_line_through_the_origin_has_an_exact_interval_in_closed_form():
    """Speeds at which flow/speed lies within the slope's own interval: 0.1/(0.02 ∓ t u)."""
    found = speed_for(a_line(), 0.1)

    t = scipy.stats.t.ppf(0.975, 4)
    assert found.interval.low == pytest.approx(0.1 / (0.02 + t * 1e-4), rel=1e-12)
    assert found.interval.high == pytest.approx(0.1 / (0.02 - t * 1e-4), rel=1e-12)
    assert found.u == pytest.approx(0.025)


def test_a_caught_flow_is_known_less_well_than_a_wanted_one():
    line = a_line(catch_relative=0.01)

    assert speed_for(line, 0.1, readings=1).u > speed_for(line, 0.1, readings=5).u > speed_for(line, 0.1).u


@pytest.mark.parametrize("slope", [0.0, -0.02, 1e-4])
def test_a_slope_that_could_be_nothing_is_not_inverted(slope):
    with pytest.raises(NotPossible, match="rises with the speed"):
        speed_for(a_line(slope=slope), 0.1)


def test_a_flow_below_the_line_has_no_speed():
    with pytest.raises(NotPossible, match="starts above"):
        speed_for(a_line(intercept=0.01), 0.005)


def test_a_small_catch_is_not_a_sure_one():
    line = a_line(intercept=-0.01, catch_relative=0.02)

    assert catch_variance(line, 0.0) == catch_variance(line, 0.01) == pytest.approx((0.02 * 0.01) ** 2)
    assert catch_variance(line, 0.1) == pytest.approx((0.02 * 0.1) ** 2)


def test_a_drift_is_the_difference_over_both_doubts():
    # At 5 rev/s: 0.100 and 0.094 kg/s, each ± 0.0005; √2 · 0.0005 = 0.000707; t = -8.5 with 8 degrees of freedom.
    moved = drift(a_line(), a_line(slope=0.0188), speed=5.0)

    assert moved.difference == pytest.approx(-0.006)
    assert moved.relative == pytest.approx(-0.06)
    assert moved.u == pytest.approx(0.000707, abs=5e-7)
    assert moved.dof == pytest.approx(8.0)
    assert moved.probability == pytest.approx(2 * scipy.stats.t.sf(8.485281, 8), rel=1e-5)
    assert moved.significant


def test_a_small_drift_may_be_chance():
    assert not drift(a_line(), a_line(slope=0.0201), speed=5.0).significant
    assert drift(a_line(), a_line(slope=0.0201), speed=5.0, level=0.2).significant


def test_lines_without_doubt_differ_by_what_they_differ():
    sure = a_line(slope_variance=0.0)

    assert drift(sure, a_line(slope=0.0201, slope_variance=0.0), speed=5.0).significant
    assert drift(sure, sure, speed=5.0).probability == 1.0
    assert math.isinf(drift(a_line(slope=0.0, slope_variance=0.0), sure, speed=5.0).relative)


def test_the_next_catch_goes_beyond_the_wanted_speed_when_that_lies_outside():
    """With constant scatter the far end of the range tells most about a speed beyond the catches."""
    line = fitted_line(SPEED, FLOW, form="offset").line

    advised = next_catch_speed(line, wanted=9.0, lowest=0.5, highest=12.0)

    assert advised.speed == 12.0
    assert 0.0 < advised.reduction < 1.0


def test_the_next_catch_for_the_middle_of_the_catches_is_near_the_middle():
    """At the mean of the catches only their mean counts, and a catch anywhere in between helps it alike or less."""
    line = fitted_line(SPEED, FLOW, form="offset").line
    advised = next_catch_speed(line, wanted=3.5, lowest=0.5, highest=12.0)

    assert advised.speed == pytest.approx(3.5)
    assert advised.u_after / advised.u_before == pytest.approx(math.sqrt(6 / 7))


def test_where_every_speed_is_as_good_the_wanted_one_is_advised():
    line = a_line(catch_relative=0.01, speed_low=0.1)

    assert next_catch_speed(line, wanted=4.0, lowest=0.5, highest=12.0).speed == 4.0
    assert next_catch_speed(line, wanted=40.0, lowest=0.5, highest=12.0).speed == 12.0


def test_a_line_without_doubt_needs_no_catch():
    advised = next_catch_speed(a_line(slope_variance=0.0), wanted=4.0, lowest=0.5, highest=12.0)

    assert (advised.u_before, advised.u_after, advised.reduction) == (0.0, 0.0, 0.0)


def test_a_motor_range_upside_down_is_refused():
    with pytest.raises(ValueError, match="lower speed first"):
        next_catch_speed(a_line(), wanted=4.0, lowest=12.0, highest=0.5)
