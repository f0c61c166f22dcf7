"""Laws of draws, for any distribution, any result and any failure."""

import math

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from evenbead.physics.distributions import (
    LogNormal,
    Normal,
    Rectangular,
    StudentT,
    Triangular,
    Truncated,
)
from evenbead.physics.draws import drawn, unit_points
from evenbead.physics.outcomes import coverage_interval, estimate_of, probability_of, quantile_of
from evenbead.physics.sensitivity import designs, indices
from evenbead.physics.steadiness import numerical_tolerance
from evenbead.physics.worth import first_order_from_draws, worth_of_measuring

laws = settings(max_examples=60, deadline=None)
few = settings(max_examples=25, deadline=None)

middles, widths = st.floats(-1e3, 1e3), st.floats(0.01, 100.0)
shares = st.floats(1e-4, 1 - 1e-4)
seeds = st.integers(0, 2**40)
hows = st.sampled_from(["sobol", "random"])


@st.composite
def triangles(draw):
    low, width = draw(middles), draw(widths)
    return Triangular(low=low, mode=low + draw(st.floats(0.0, 1.0)) * width, high=low + width)


whole = st.one_of(
    st.builds(Normal, mean=middles, sd=widths),
    st.builds(LogNormal, median=widths, factor=st.floats(1.01, 4.0)),
    st.builds(lambda low, width: Rectangular(low=low, high=low + width), middles, widths),
    triangles(),
    st.builds(StudentT, mean=middles, u=widths, dof=st.floats(1.0, 50.0)),
)


@st.composite
def cut(draw):
    of = draw(whole)
    low, high = sorted([draw(st.floats(0.0, 0.6)), draw(st.floats(0.7, 1.0))])
    return Truncated(
        of=of,
        low=float(of.at(low)) if low > 0.0 else -math.inf,
        high=float(of.at(high)) if high < 1.0 else math.inf,
    )


distributions = whole | cut()


@laws
@given(distributions, shares)
def test_the_share_below_the_value_at_a_share_is_that_share(distribution, share):
    assert distribution.share_below(distribution.at(share)) == pytest.approx(share, rel=1e-6)


@laws
@given(distributions, shares, shares)
def test_a_larger_share_never_has_a_smaller_value(distribution, one, other):
    low, high = sorted([one, other])

    assert distribution.at(low) <= distribution.at(high)


@laws
@given(whole, shares, st.floats(0.01, 0.4), st.floats(0.6, 0.99))
def test_nothing_is_drawn_beyond_a_cut(of, share, low, high):
    limits = float(of.at(low)), float(of.at(high))
    assume(limits[0] < limits[1])

    assert limits[0] <= Truncated(of=of, low=limits[0], high=limits[1]).at(share) <= limits[1]


@few
@given(st.lists(st.text(min_size=1, max_size=6), min_size=1, max_size=6, unique=True), seeds, hows)
def test_inputs_keep_their_draws_when_others_are_added_and_more_are_drawn(names, seed, how):
    alone = unit_points(names[:1], count=5, seed=seed, how=how)[names[0]]

    together = unit_points(names, count=33, seed=seed, how=how)[names[0]]

    assert np.array_equal(alone, together[:5])


@few
@given(st.integers(0, 9), st.integers(1, 6), seeds)
def test_a_power_of_two_points_lie_one_in_each_slice_of_every_input(power, inputs, seed):
    points = unit_points([f"x{index}" for index in range(inputs)], count=2**power, seed=seed)

    for column in points.values():
        assert sorted((column * 2**power).astype(int)) == list(range(2**power))


@few
@given(st.floats(-0.95, 0.95), seeds, hows)
def test_a_correlation_changes_no_distribution_of_a_single_input(r, seed, how):
    inputs = {"a": Normal(mean=0.0, sd=1.0), "b": Rectangular(low=0.0, high=1.0)}

    column = drawn(inputs, count=1024, seed=seed, how=how, correlations={("a", "b"): r})["b"]

    assert np.quantile(column, [0.25, 0.5, 0.75]) == pytest.approx([0.25, 0.5, 0.75], abs=0.08)


samples = st.integers(0, 2**32).map(lambda seed: np.random.default_rng(seed).gamma(1.5, size=400) - 1.0)


@laws
@given(samples, st.floats(0.2, 0.98), st.floats(0.01, 50.0), st.floats(-100.0, 100.0))
def test_another_unit_changes_nothing_but_the_unit(draws, level, factor, offset):
    other = factor * draws + offset
    at, u = {"rel": 1e-9, "abs": 1e-9 * (factor + abs(offset))}, {"rel": 1e-7, "abs": 1e-10 * (factor + abs(offset))}

    for kind in ("symmetric", "shortest"):
        one, two = (coverage_interval(values, level=level, kind=kind) for values in (draws, other))
        if kind == "symmetric":  # two intervals equally short may change places by round-off
            assert [two.low, two.high] == pytest.approx([factor * x + offset for x in (one.low, one.high)], **at)
        assert two.high - two.low == pytest.approx(factor * (one.high - one.low), **u)
    assert estimate_of(other).u == pytest.approx(factor * estimate_of(draws).u, **u)
    assert quantile_of(other, level).u == pytest.approx(factor * quantile_of(draws, level).u, **u)


@laws
@given(samples, st.floats(0.2, 0.98))
def test_the_shortest_interval_is_never_longer(draws, level):
    symmetric, shortest = (coverage_interval(draws, level=level, kind=kind) for kind in ("symmetric", "shortest"))

    assert shortest.high - shortest.low <= symmetric.high - symmetric.low


@laws
@given(st.integers(1, 500), st.floats(0.0, 1.0), st.floats(0.5, 0.999), st.sampled_from(["wilson", "exact"]))
def test_the_interval_of_a_probability_holds_what_was_counted(count, share, level, kind):
    flags = np.arange(count) < round(share * count)

    found = probability_of(flags, level=level, kind=kind)

    assert 0.0 <= found.low <= found.value <= found.high <= 1.0
    assert 0.0 < found.u < 1.0
    opposite = probability_of(~flags, level=level, kind=kind)
    assert [1 - opposite.high, 1 - opposite.low] == pytest.approx([found.low, found.high], abs=1e-9)


@laws
@given(st.floats(1e-6, 1e6), st.integers(1, 4))
def test_the_tolerance_is_a_small_part_of_the_doubt_and_falls_tenfold_with_a_digit(u, digits):
    tolerance = numerical_tolerance(u, digits=digits)

    assert 0.04 * 10.0 ** (1 - digits) * u < tolerance <= 0.5001 * 10.0 ** (1 - digits) * u * (1 + 10.0 ** (1 - digits))


slopes = st.lists(st.floats(0.1, 5.0), min_size=2, max_size=4)


@few
@given(slopes, seeds, st.floats(0.01, 100.0), st.floats(-100.0, 100.0))
def test_shares_do_not_change_with_the_unit_of_the_result_and_add_up_for_a_sum(factors, seed, factor, offset):
    names = [f"x{index}" for index in range(len(factors))]
    design = designs(names, count=512, seed=seed)
    result = sum(slope * design.points[name] for name, slope in zip(names, factors, strict=True))

    one, two = indices(design, result), indices(design, factor * result + offset)

    assert two.first == pytest.approx(one.first, abs=1e-6)
    assert two.total == pytest.approx(one.total, abs=1e-6)
    assert np.sum(one.first) == pytest.approx(1.0, abs=0.06)
    assert np.all(one.total >= 0.0)


@few
@given(slopes, seeds, hows)
def test_shares_from_draws_are_shares_and_do_not_mind_a_bend_in_the_scale_of_an_input(factors, seed, how):
    names = [f"x{index}" for index in range(len(factors))]
    points = unit_points(names, count=1024, seed=seed, how=how)
    result = sum(slope * points[name] for name, slope in zip(names, factors, strict=True))

    straight = first_order_from_draws(points, result)
    bent = first_order_from_draws({name: np.exp(3 * column) for name, column in points.items()}, result)

    assert straight == bent
    assert all(0.0 <= share.value <= 1.0 for share in straight.values())


@few
@given(slopes, seeds, hows, st.floats(0.05, 0.95), st.floats(0.05, 0.9))
def test_no_measurement_saves_more_than_there_is_to_lose(factors, seed, how, share, tolerated):
    names = [f"x{index}" for index in range(len(factors))]
    points = unit_points(names, count=1024, seed=seed, how=how)
    result = sum(slope * points[name] for name, slope in zip(names, factors, strict=True))
    fails = result > np.quantile(result, share)

    ranked = worth_of_measuring(points, fails, tolerated=tolerated)

    at_stake = min(fails.mean(), tolerated / (1 - tolerated) * (1 - fails.mean()))
    assert all(0.0 <= worth.saved <= at_stake * (1 + 1e-9) for worth in ranked)
    assert all(0.0 < worth.failing_rank < 1.0 for worth in ranked)
    told = [worth.explained.value for worth in ranked]
    assert told == sorted(told, reverse=True)
