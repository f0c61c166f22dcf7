"""Laws of the metering line, for any catches."""

import math

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from evenbead.errors import NotPossible
from evenbead.physics.metering import catch_variance, drift, flow_at, further_catch, speed_for, within_catches
from evenbead.physics.metering_catches import Catches, catch_flows
from evenbead.physics.metering_design import next_catch_speed
from evenbead.physics.metering_fit import fitted_line, lack_of_fit, line_from_catches
from evenbead.physics.uncertainty import coverage_factor

laws = settings(max_examples=80, deadline=None)


@st.composite
def channels(draw):
    """Catches of a plausible channel: three to eight speeds, a per cent or so of scatter, some doubt."""
    n = draw(st.integers(3, 8))
    speed = np.sort(draw(st.lists(st.floats(0.5, 20.0), min_size=n, max_size=n, unique_by=lambda x: round(x, 1))))
    slope, offset = draw(st.floats(0.002, 0.05)), draw(st.floats(-0.001, 0.001))
    noise = np.array(draw(st.lists(st.floats(-0.01, 0.01), min_size=n, max_size=n)))
    time = np.full(n, draw(st.floats(20.0, 120.0)))
    flow = (offset + slope * speed) * (1.0 + noise)
    assume(np.all(flow > 1e-5))
    return Catches(
        speed=speed,
        mass=flow * time,
        time=time,
        scale_uncertainty=draw(st.floats(0.001, 0.01)),
        stopwatch_uncertainty=draw(st.floats(0.05, 0.5)),
        pulsation=draw(st.floats(0.0, 0.01)),
    )


forms = st.sampled_from(["by evidence", "origin", "offset"])


@laws
@given(channels(), forms, st.floats(0.0, 1.0))
def test_the_speed_for_a_flow_gives_that_flow(catches, form, where):
    line = line_from_catches(catches, form=form).line
    flow = flow_at(line, line.speed_low + where * (line.speed_high - line.speed_low)).value

    try:
        found = speed_for(line, flow)
    except NotPossible:
        assert coverage_factor(line.dof) ** 2 * line.slope_variance >= line.slope**2 * (1 - 1e-12)
        return

    assert flow_at(line, found.speed).value == pytest.approx(flow, rel=1e-12)
    assert within_catches(line, np.clip(found.speed, line.speed_low, line.speed_high))


@laws
@given(channels(), forms, st.sampled_from([1.0, 3.0, math.inf]))
def test_the_exact_interval_ends_where_the_line_just_reaches_the_flow(catches, form, repeats):
    line = line_from_catches(catches, form=form).line
    flow = float(np.mean(catches.mass / catches.time))
    try:
        found = speed_for(line, flow, readings=repeats)
    except NotPossible:
        return

    assert found.interval.low <= found.speed <= found.interval.high
    for end in (found.interval.low, found.interval.high):
        there = flow_at(line, end)
        scatter = catch_variance(line, flow) / repeats
        reach = coverage_factor(line.dof) * math.sqrt(there.u**2 + scatter)
        assert abs(there.value - flow) == pytest.approx(reach, rel=1e-6, abs=1e-12)


@laws
@given(channels(), forms)
def test_it_is_the_line_that_a_general_solver_finds(catches, form):
    flows = catch_flows(catches)
    fit = line_from_catches(catches, form=form)
    design = flows.speed[:, np.newaxis] ** ([1] if fit.line.through_origin else [0, 1])

    best, *_ = np.linalg.lstsq(design / flows.u[:, np.newaxis], flows.flow / flows.u, rcond=None)
    covariance = np.linalg.inv((design / flows.u[:, np.newaxis] ** 2).T @ design) * fit.line.variance_factor

    assert [fit.line.intercept, fit.line.slope][-len(best) :] == pytest.approx(best, rel=1e-7, abs=1e-12)
    assert fit.line.covariance_matrix[-len(best) :, -len(best) :] == pytest.approx(covariance, rel=1e-6)


@laws
@given(channels(), st.randoms(use_true_random=False))
def test_the_order_of_the_catches_does_not_matter(catches, random):
    order = list(range(len(catches.speed)))
    random.shuffle(order)
    shuffled = Catches(
        speed=catches.speed[order],
        mass=catches.mass[order],
        time=catches.time[order],
        scale_uncertainty=catches.scale_uncertainty,
        stopwatch_uncertainty=catches.stopwatch_uncertainty,
        pulsation=catches.pulsation,
    )

    one, other = line_from_catches(catches, form="offset").line, line_from_catches(shuffled, form="offset").line

    assert other.slope == pytest.approx(one.slope, rel=1e-9)
    assert other.intercept == pytest.approx(one.intercept, rel=1e-6, abs=1e-12)
    assert other.slope_variance == pytest.approx(one.slope_variance, rel=1e-6)


@laws
@given(channels(), forms, st.floats(0.5, 25.0))
def test_turns_per_minute_and_pounds_change_nothing(catches, form, speed):
    turns, pounds, minutes = 60.0, 1 / 0.45359237, 1 / 60.0
    foreign = Catches(
        speed=catches.speed * turns,
        mass=catches.mass * pounds,
        time=catches.time * minutes,
        scale_uncertainty=catches.scale_uncertainty * pounds,
        stopwatch_uncertainty=catches.stopwatch_uncertainty * minutes,
        pulsation=catches.pulsation,
    )

    ours, theirs = line_from_catches(catches, form=form), line_from_catches(foreign, form=form)
    flow, foreign_flow = flow_at(ours.line, speed), flow_at(theirs.line, speed * turns)

    # The choice itself may tip over only where t stands at its limit.
    assume(ours.line.through_origin == theirs.line.through_origin)
    assert foreign_flow.value == pytest.approx(flow.value * pounds / minutes, rel=1e-9, abs=1e-12)
    assert foreign_flow.u == pytest.approx(flow.u * pounds / minutes, rel=1e-6)
    assert theirs.offset_t == pytest.approx(ours.offset_t, rel=1e-6, abs=1e-6)
    assert theirs.residual_sd == pytest.approx(ours.residual_sd, rel=1e-6, abs=1e-9)


@laws
@given(st.floats(0.001, 0.1), st.floats(-0.005, 0.05), st.lists(st.floats(0.5, 20.0), min_size=3, max_size=8))
def test_catches_on_a_line_give_back_that_line(slope, offset, speeds):
    assume(len({round(speed, 2) for speed in speeds}) >= 3)
    speed = np.array(speeds)

    fit = fitted_line(speed, offset + slope * speed, form="offset")

    assert fit.line.slope == pytest.approx(slope, rel=1e-6)
    assert fit.line.intercept == pytest.approx(offset, abs=1e-8)
    assert fit.residual_sd < 1e-10


@laws
@given(channels(), st.floats(0.5, 20.0))
def test_a_further_catch_scatters_more_than_the_line(catches, speed):
    line = line_from_catches(catches).line

    expected = further_catch(line, speed)
    half = coverage_factor(line.dof) * flow_at(line, speed).u

    assert (expected.high - expected.low) / 2 > half
    assert (expected.high + expected.low) / 2 == pytest.approx(flow_at(line, speed).value)


@laws
@given(channels(), forms, st.floats(0.5, 20.0))
def test_no_other_speed_for_the_next_catch_is_better(catches, form, wanted):
    line = line_from_catches(catches, form=form).line
    advised = next_catch_speed(line, wanted=wanted, lowest=0.5, highest=25.0)

    assert 0.5 <= advised.speed <= 25.0
    assert advised.u_after <= advised.u_before
    for speed in np.linspace(0.5, 25.0, 99):
        assert advised.u_after <= _u_after_a_catch(line, speed, wanted) * (1 + 1e-6)


@laws
@given(channels(), forms, st.floats(0.5, 20.0))
def test_the_next_catch_brings_what_was_promised(catches, form, wanted):
    line = line_from_catches(catches, form=form).line
    advised = next_catch_speed(line, wanted=wanted, lowest=0.5, highest=25.0)

    assert advised.u_after == pytest.approx(_u_after_a_catch(line, advised.speed, wanted), rel=1e-5)
    assert advised.reduction == pytest.approx(1 - advised.u_after / advised.u_before)


def _u_after_a_catch(line, speed, wanted):
    """The doubt that is left when the catch joins the others as one more weighted equation."""
    size = 1 if line.through_origin else 2
    at, target = np.array([1.0, speed])[-size:], np.array([1.0, wanted])[-size:]
    information = np.linalg.inv(line.covariance_matrix[-size:, -size:])
    variance = catch_variance(line, line.intercept + line.slope * speed)
    return math.sqrt(target @ np.linalg.inv(information + np.outer(at, at) / variance) @ target)


@laws
@given(channels(), channels(), st.floats(0.5, 20.0))
def test_a_drift_back_is_the_drift_forth(one, other, speed):
    old, new = line_from_catches(one).line, line_from_catches(other).line

    forth, back = drift(old, new, speed=speed), drift(new, old, speed=speed)

    assert back.difference == -forth.difference
    assert (back.u, back.significant) == pytest.approx((forth.u, forth.significant))
    assert forth.probability < 0.05 or not forth.significant


@laws
@given(channels(), st.floats(0.5, 20.0))
def test_a_channel_has_not_drifted_from_itself(catches, speed):
    line = line_from_catches(catches).line

    same = drift(line, line, speed=speed)

    assert same.difference == 0.0
    assert same.probability == 1.0
    assert not same.significant


@laws
@given(channels())
def test_catches_that_differ_in_speed_cannot_judge_their_straightness(catches):
    assert lack_of_fit(catches.speed, catches.mass / catches.time, form="offset") is None
