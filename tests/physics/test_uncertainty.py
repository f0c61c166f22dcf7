"""First-order doubt, against the GTC package (an independent program that follows the guide) and SciPy."""

import math

import GTC
import numpy as np
import pytest
import scipy.stats
from hypothesis import given, settings
from hypothesis import strategies as st

from evenbead.errors import NotPossible
from evenbead.physics.uncertainty import (
    Estimate,
    chance_of_as_much,
    combined_uncertainty,
    coverage_factor,
    effective_dof,
    expanded_uncertainty,
    probability_within,
    propagated,
    propagated_covariance,
    quotient,
    sensitivities,
)

# [GUM2008] H.2 with the rounded means, as the GTC package carries it in its examples.
VOLTAGE, CURRENT, PHASE = (4.999, 3.2e-3), (19.661e-3, 9.5e-6), (1.04446, 7.5e-4)
CORRELATION = np.array([[1.0, -0.36, 0.86], [-0.36, 1.0, -0.65], [0.86, -0.65, 1.0]])


def resistance(v):
    return v[0] / v[1] * np.cos(v[2])


def reactance(v):
    return v[0] / v[1] * np.sin(v[2])


def gtc_impedance():
    voltage, current, phase = GTC.multiple_ureal(
        [VOLTAGE[0], CURRENT[0], PHASE[0]], [VOLTAGE[1], CURRENT[1], PHASE[1]], 5
    )
    pairs = ((voltage, current, -0.36), (voltage, phase, 0.86), (current, phase, -0.65))
    for one, other, r in pairs:
        GTC.set_correlation(r, one, other)
    return voltage / current * GTC.cos(phase), voltage / current * GTC.sin(phase)


def test_correlated_inputs_propagate_as_gtc_propagates_them():
    values, doubts = np.array([VOLTAGE, CURRENT, PHASE]).T
    theirs = gtc_impedance()

    for function, expected in zip((resistance, reactance), theirs, strict=True):
        ours = propagated(function, values, doubts, correlation=CORRELATION)
        assert ours.value == pytest.approx(expected.x, rel=1e-12)
        assert ours.u == pytest.approx(expected.u, rel=1e-7)


def test_two_results_of_the_same_inputs_are_correlated_as_in_gtc():
    values, doubts = np.array([VOLTAGE, CURRENT, PHASE]).T
    theirs = gtc_impedance()

    slopes = sensitivities(lambda v: np.array([resistance(v), reactance(v)]), values, doubts)
    ours = propagated_covariance(slopes, CORRELATION * np.outer(doubts, doubts))

    assert ours[0, 1] / math.sqrt(ours[0, 0] * ours[1, 1]) == pytest.approx(GTC.get_correlation(*theirs), rel=1e-5)


# A value, its relative doubt, its degrees of freedom.
inputs = st.tuples(st.floats(0.5, 50.0), st.floats(1e-4, 0.2), st.integers(2, 60))


@settings(max_examples=60, deadline=None)
@given(st.lists(inputs, min_size=3, max_size=3))
def test_independent_inputs_propagate_as_gtc_propagates_them(given_inputs):
    x, y, z = (GTC.ureal(value, value * relative, dof) for value, relative, dof in given_inputs)
    theirs = x * y / z + GTC.sqrt(x)
    values, relatives, dofs = np.array(given_inputs).T

    ours = propagated(lambda v: v[0] * v[1] / v[2] + np.sqrt(v[0]), values, values * relatives, dofs=dofs)

    assert ours.value == pytest.approx(theirs.x, rel=1e-12)
    assert ours.u == pytest.approx(theirs.u, rel=1e-5)
    assert ours.dof == pytest.approx(theirs.df, rel=1e-4)


@settings(max_examples=60, deadline=None)
@given(inputs, inputs)
def test_a_quotient_is_that_of_gtc(above, below):
    numerator, denominator = (
        Estimate(value=value, u=value * relative, dof=dof) for value, relative, dof in (above, below)
    )
    theirs = GTC.ureal(above[0], numerator.u, above[2]) / GTC.ureal(below[0], denominator.u, below[2])

    ours = quotient(numerator, denominator)

    assert ours.value == pytest.approx(theirs.x, rel=1e-12)
    assert ours.u == pytest.approx(theirs.u, rel=1e-12)
    assert ours.dof == pytest.approx(theirs.df, rel=1e-9)


def test_water_of_one_per_cent_and_powder_of_four_make_a_ratio_of_four_point_one():
    # √(1² + 4²) = 4.12, by hand.
    ratio = quotient(Estimate(value=0.024, u=0.00024), Estimate(value=0.15, u=0.006))

    assert ratio.u / ratio.value == pytest.approx(0.0412, abs=5e-5)
    assert math.isinf(ratio.dof)


def test_columns_of_flows_make_columns_of_ratios():
    ratio = quotient(
        Estimate(value=np.array([1.0, 2.0]), u=np.array([0.1, 0.1]), dof=4),
        Estimate(value=np.array([4.0, 4.0]), u=np.array([0.1, 0.2]), dof=9),
    )

    singles = [
        quotient(Estimate(value=a, u=0.1, dof=4), Estimate(value=4.0, u=u, dof=9)) for a, u in ((1.0, 0.1), (2.0, 0.2))
    ]
    assert ratio.value == pytest.approx([0.25, 0.5])
    assert ratio.u == pytest.approx([single.u for single in singles])
    assert ratio.dof == min(single.dof for single in singles)


def test_a_ratio_to_nothing_is_refused():
    with pytest.raises(NotPossible, match="zero"):
        quotient(Estimate(value=1.0, u=0.1), Estimate(value=0.0, u=0.1))


def test_a_sensitivity_holds_at_zero_and_without_doubt():
    slopes = sensitivities(lambda v: 3.0 * v[0] + np.sin(v[1]) + v[2] ** 2, [0.0, 0.0, 5.0], [0.1, 0.0, 0.0])

    assert slopes == pytest.approx([3.0, 1.0, 10.0], rel=1e-6)


def test_no_doubt_in_is_no_doubt_out():
    result = propagated(lambda v: v[0] + v[1], [1.0, 2.0], [0.0, 0.0], dofs=[3, 4])

    assert (result.value, result.u) == (3.0, 0.0)
    assert math.isinf(result.dof)


def test_correlated_inputs_take_the_smallest_freedom_that_contributes():
    both = np.array([[1.0, 0.5, 0.0], [0.5, 1.0, 0.0], [0.0, 0.0, 1.0]])

    result = propagated(lambda v: v[0] + v[1] + 0 * v[2], [1, 2, 3], [0.1, 0.1, 0.1], dofs=[9, 5, 2], correlation=both)

    assert result.dof == 5


def test_two_that_move_against_each_other_cancel():
    assert combined_uncertainty([1.0, 1.0], [0.3, 0.3], [[1.0, -1.0], [-1.0, 1.0]]) == 0.0


def test_freedom_of_a_sum_lies_between_the_smallest_and_the_sum():
    dof = effective_dof([0.2, 0.5, 0.1], [4, 7, 20])

    assert 4 <= dof <= 31


def test_freedom_is_infinite_where_nothing_is_uncertain():
    assert math.isinf(effective_dof([0.0, 0.0], [3, 4]))
    assert math.isinf(effective_dof([1.0], [math.inf]))


@pytest.mark.parametrize("level", [0.68, 0.90, 0.95, 0.99])
@pytest.mark.parametrize("dof", [1, 2, 7, 30, 200])
def test_the_coverage_factor_is_the_quantile_of_scipy(dof, level):
    assert coverage_factor(dof, level=level) == pytest.approx(scipy.stats.t.ppf(0.5 + level / 2, dof), rel=1e-10)
    assert coverage_factor(level=level) == pytest.approx(scipy.stats.norm.ppf(0.5 + level / 2), rel=1e-10)


def test_freedom_is_cut_down_to_a_whole_number():
    assert coverage_factor(16.99) == coverage_factor(16)


@pytest.mark.parametrize(("dof", "level"), [(0.9, 0.95), (5, 0.0), (5, 1.0), (math.nan, 1.2)])
def test_a_factor_without_meaning_is_refused(dof, level):
    with pytest.raises(ValueError, match="expected"):
        coverage_factor(dof, level=level)


@pytest.mark.parametrize("dof", [3, 34, math.inf])
def test_chance_is_that_of_scipy(dof):
    expected = 2 * (scipy.stats.norm.sf(1.7) if math.isinf(dof) else scipy.stats.t.sf(1.7, dof))

    assert chance_of_as_much(1.7, dof=dof) == pytest.approx(expected, rel=1e-10)
    assert chance_of_as_much(-1.7, dof=dof) == chance_of_as_much(1.7, dof=dof)


@pytest.mark.parametrize("dof", [4, math.inf])
def test_the_probability_of_a_band_is_that_of_scipy(dof):
    spread = scipy.stats.norm(0.16, 0.004) if math.isinf(dof) else scipy.stats.t(dof, 0.16, 0.004)
    low, high = np.array([0.150, 0.158, -np.inf]), np.array([0.170, 0.159, 0.155])

    ours = probability_within(Estimate(value=0.16, u=0.004, dof=dof), low=low, high=high)

    assert ours == pytest.approx(spread.cdf(high) - spread.cdf(low), rel=1e-9)


def test_a_value_without_doubt_is_in_the_band_or_not():
    sure = Estimate(value=np.array([0.15, 0.16, 0.18]), u=0.0)

    assert list(probability_within(sure, low=0.15, high=0.17)) == [1.0, 1.0, 0.0]


def test_the_band_of_ninety_five_per_cent_holds_ninety_five_per_cent():
    estimate = Estimate(value=3.0, u=0.2, dof=6)

    low, high = estimate.value - estimate.u95, estimate.value + estimate.u95

    assert probability_within(estimate, low=low, high=high) == pytest.approx(0.95, rel=1e-9)
    assert estimate.u95 == expanded_uncertainty(0.2, dof=6, level=0.95)
