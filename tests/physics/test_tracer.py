"""Marks at the outlet, against curves that SciPy draws from a known distribution."""

import numpy as np
import pytest
import scipy.stats
from hypothesis import given, settings
from hypothesis import strategies as st

from evenbead.errors import NotPossible
from evenbead.physics.mixing import HoldUp, step_response
from evenbead.physics.tracer import convolved, fitted_hold_up, tanks_from_moments, trace_of
from evenbead.physics.transport import outlet_content

GAMMA = scipy.stats.gamma(3.0, loc=2.0, scale=1.5)


def test_a_finely_read_curve_has_the_moments_of_its_distribution():
    passed = np.linspace(0.0, 60.0, 6001)

    trace = trace_of(passed, 7.0 * GAMMA.pdf(passed))

    assert trace.area == pytest.approx(7.0, rel=1e-5)
    assert trace.mean == pytest.approx(GAMMA.mean(), rel=1e-5)
    assert trace.variance == pytest.approx(GAMMA.var(), rel=1e-4)


def test_uneven_readings_are_joined_by_straight_lines():
    # A triangle, 6 wide and 2 high, read at its corners and once more on its longer side.
    trace = trace_of([0.0, 2.0, 4.0, 6.0], [0.0, 2.0, 1.0, 0.0])

    assert trace.area == 6.0
    assert np.trapezoid(trace.density, [0.0, 2.0, 4.0, 6.0]) == pytest.approx(1.0)


def test_a_step_of_a_known_line_gives_back_that_line():
    passed = np.linspace(0.0, 20.0, 41)

    fit = fitted_hold_up(passed, GAMMA.cdf(passed))

    assert fit.hold_up.plug == pytest.approx(2.0, rel=1e-5)
    assert fit.hold_up.mixed == pytest.approx(4.5, rel=1e-5)
    assert fit.hold_up.tanks == pytest.approx(3.0, rel=1e-5)
    assert fit.residual_sd < 1e-6


def test_scattered_readings_give_back_the_line_within_its_doubt():
    passed = np.linspace(0.0, 20.0, 81)
    noise = np.random.default_rng(7).normal(0.0, 0.01, passed.size)

    fit = fitted_hold_up(passed, GAMMA.cdf(passed) + noise)

    assert fit.residual_sd == pytest.approx(0.01, rel=0.3)
    assert abs(fit.hold_up.plug - 2.0) < 4 * fit.plug_u
    assert abs(fit.hold_up.mixed - 4.5) < 4 * fit.mixed_u
    assert abs(fit.hold_up.tanks - 3.0) < 4 * fit.tanks_u


@settings(max_examples=25, deadline=None)
@given(st.floats(0.0, 5.0), st.floats(1.0, 8.0), st.floats(1.0, 12.0))
def test_the_fit_follows_any_plausible_step(plug, mixed, tanks):
    passed = np.linspace(0.0, plug + 4 * mixed, 60)
    share = step_response(HoldUp(plug=plug, mixed=mixed, tanks=tanks), passed)

    fit = fitted_hold_up(passed, share)

    assert step_response(fit.hold_up, passed) == pytest.approx(share, abs=2e-3)
    assert fit.hold_up.volume == pytest.approx(plug + mixed, rel=1e-2)


def test_a_measured_curve_predicts_like_the_line_that_made_it():
    """Fine steps: the measured curve of a tank against superposition of its step responses."""
    step = 0.005
    passed = np.arange(0.0, 20.0, step)
    tank = HoldUp(plug=0.0, mixed=1.0, tanks=2.0)
    density = np.diff(step_response(tank, np.append(passed, 20.0))) / step
    content = np.where(passed < 3.0, 8.0, 4.0)

    ours = convolved(content, density, step=step)[: passed.size]

    theirs = outlet_content(tank, passed=passed + step, changed_at=[0.0, 3.0], content=[8.0, 4.0])
    assert ours == pytest.approx(theirs, abs=1e-6)


def test_a_curve_without_enough_readings_is_refused():
    with pytest.raises(NotPossible, match="three readings"):
        trace_of([0.0, 1.0], [0.0, 1.0])
    with pytest.raises(NotPossible, match="no tracer"):
        trace_of([0.0, 1.0, 2.0], [0.0, 0.0, 0.0])
    with pytest.raises(ValueError, match="ascending"):
        trace_of([0.0, 2.0, 1.0], [0.0, 1.0, 0.0])


def test_moments_without_sense_are_refused():
    with pytest.raises(NotPossible, match="not both above zero"):
        tanks_from_moments(mean=1.0, variance=0.0)
    with pytest.raises(NotPossible, match="dead corner"):
        tanks_from_moments(mean=1.0, variance=1.5)


@pytest.mark.parametrize(
    ("passed", "share", "complaint"),
    [
        ([0.0, 1.0, 2.0], [0.0, 0.5, 1.0], "four readings"),
        ([0.0, 1.0, 2.0, 3.0], [0.0, 0.1, 0.2, 0.3], "do not show the step"),
        ([1.0, 2.0, 3.0, 4.0], [0.9, 0.95, 0.99, 1.0], "do not show the step"),
    ],
)
def test_a_step_that_is_not_in_the_readings_is_refused(passed, share, complaint):
    with pytest.raises(NotPossible, match=complaint):
        fitted_hold_up(passed, share)
