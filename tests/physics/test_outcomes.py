"""What draws of a result say, against closed forms and SciPy."""

import math

import numpy as np
import pytest
import scipy.stats
from scipy.special import ndtri

from evenbead.errors import NotPossible
from evenbead.physics.distributions import Normal, Rectangular
from evenbead.physics.draws import drawn
from evenbead.physics.outcomes import coverage_interval, estimate_of, probability_of, quantile_of
from evenbead.physics.uncertainty import Estimate

GRID = (np.arange(100_000) + 0.5) / 100_000
NORMAL = ndtri(GRID)


def test_mean_and_uncertainty_of_a_table_are_those_of_its_rows():
    table = np.array([[1.0, 2.0, 6.0], [0.0, 0.0, 0.0]])

    found = estimate_of(table)

    assert found.value == pytest.approx([3.0, 0.0])
    assert found.u == pytest.approx([math.sqrt(7.0), 0.0])
    assert estimate_of(table[0]) == Estimate(value=3.0, u=pytest.approx(math.sqrt(7.0)))


@pytest.mark.parametrize("kind", ["symmetric", "shortest"])
@pytest.mark.parametrize("level", [0.5, 0.95, 0.99])
def test_the_interval_of_a_normal_is_its_quantiles(kind, level):
    found = coverage_interval(NORMAL, level=level, kind=kind)

    assert [found.low, found.high] == pytest.approx([-ndtri(0.5 + level / 2), ndtri(0.5 + level / 2)], abs=2e-3)
    assert found.level == level


def test_the_shortest_interval_of_an_exponential_starts_at_nothing():
    # Closed form: the density falls, so the interval begins at 0 and ends at -ln 0.05.
    found = coverage_interval(-np.log(GRID), kind="shortest")

    assert found.low == pytest.approx(0.0, abs=1e-4)
    assert found.high == pytest.approx(-math.log(0.05), rel=1e-3)


def test_the_symmetric_interval_of_an_exponential_leaves_as_much_on_either_side():
    found = coverage_interval(-np.log(GRID))

    assert [found.low, found.high] == pytest.approx([-math.log(0.975), -math.log(0.025)], rel=1e-3)


@pytest.mark.parametrize("kind", ["symmetric", "shortest"])
def test_the_interval_of_a_table_is_that_of_its_rows(kind):
    table = np.random.default_rng(3).gamma(2.0, size=(3, 5, 200))

    found = coverage_interval(table, level=0.9, kind=kind)

    one = coverage_interval(table[1, 4], level=0.9, kind=kind)
    assert found.low.shape == found.high.shape == (3, 5)
    assert (found.low[1, 4], found.high[1, 4]) == (one.low, one.high)


@pytest.mark.parametrize("count", [10, 11, 199, 200, 201])
def test_the_interval_holds_the_share_of_draws_it_says(count):
    draws = np.random.default_rng(1).normal(size=count)

    found = coverage_interval(draws, level=0.8)

    below, above = np.sum(draws < found.low), np.sum(draws > found.high)
    assert abs(int(below) - int(above)) <= 1
    assert np.mean((draws > found.low) & (draws <= found.high)) == pytest.approx(0.8, abs=0.5 / count)


def test_an_interval_of_too_few_draws_is_not_possible():
    with pytest.raises(NotPossible, match="10 draws are too few"):
        coverage_interval(np.arange(10.0), level=0.95)


@pytest.mark.parametrize("read", [estimate_of, coverage_interval, lambda values: quantile_of(values, 0.5)])
def test_draws_without_a_value_or_without_scatter_are_refused(read):
    with pytest.raises(ValueError, match="NaN"):
        read([1.0, math.nan, 2.0])
    with pytest.raises(NotPossible, match="one draw"):
        read([1.0])


@pytest.mark.parametrize("share", [0.025, 0.5, 0.9])
def test_the_doubt_of_a_quantile_is_that_of_the_formula_with_the_density(share):
    # √(p(1-p)/n)/f with the normal density f; [David2003].
    found = quantile_of(NORMAL, share)

    expected = math.sqrt(share * (1 - share) / len(NORMAL)) / scipy.stats.norm.pdf(ndtri(share))
    assert found.value == pytest.approx(ndtri(share), abs=1e-4)
    assert found.u == pytest.approx(expected, rel=0.01)


def test_quantiles_of_random_draws_scatter_as_much_as_is_said():
    draws = np.random.default_rng(5).normal(size=(400, 2000))

    found = quantile_of(draws, 0.975)

    assert np.std(found.value) == pytest.approx(float(np.mean(found.u)), rel=0.15)


def test_a_quantile_beyond_the_draws_is_not_possible():
    with pytest.raises(NotPossible, match="too few to see"):
        quantile_of(np.arange(50.0), 0.99)


@pytest.mark.parametrize("kind", ["wilson", "exact"])
@pytest.mark.parametrize("level", [0.8, 0.95, 0.999])
@pytest.mark.parametrize(("hits", "count"), [(0, 30), (1, 30), (12, 30), (30, 30), (3, 10_000)])
def test_intervals_of_a_probability_are_those_of_scipy(hits, count, level, kind):
    found = probability_of(np.arange(count) < hits, level=level, kind=kind)

    # SciPy searches for the ends of the exact interval, to about twelve decimals.
    expected = scipy.stats.binomtest(hits, count).proportion_ci(level, kind)
    assert [found.low, found.high] == pytest.approx([expected.low, expected.high], rel=1e-9, abs=1e-11)
    assert (found.value, found.count, found.level) == (hits / count, count, level)


def test_probabilities_of_a_table_are_those_of_its_rows():
    flags = np.arange(40) < np.array([[0], [7], [40]])

    found = probability_of(flags)

    assert found.value == pytest.approx([0.0, 0.175, 1.0])
    one = probability_of(flags[1])
    assert (found.low[1], found.high[1], found.u[1]) == (one.low, one.high, one.u)
    assert one.estimate == Estimate(value=0.175, u=one.u)


def test_what_never_happened_in_the_draws_keeps_a_doubt():
    # The rule of three: none in n draws bounds the probability by about 3/n, one-sided; from memory.
    never = probability_of(np.zeros(1000, bool), level=0.90, kind="exact")

    assert never.high == pytest.approx(3 / 1000, rel=0.01)
    assert never.u > 0.0


def test_the_uncertainty_of_a_common_probability_is_the_binomial_one():
    assert probability_of(np.arange(10_000) < 3000).u == pytest.approx(math.sqrt(0.3 * 0.7 / 10_000), rel=1e-3)


def test_no_draws_have_no_probability():
    with pytest.raises(NotPossible, match="no draw"):
        probability_of(np.zeros(0, bool))


def test_a_sum_of_rectangles_has_the_quantile_of_irwin_and_hall():
    # Closed form of the sum of four on [0, 1]: the share within w of the top is w⁴/24, for w up to 1.
    values = drawn(dict.fromkeys("abcd", Rectangular(low=0.0, high=1.0)), count=2**15, seed=6)

    total = sum(values.values())

    for tail in (0.025, 0.005):
        found = quantile_of(total, 1 - tail)
        assert found.value == pytest.approx(4 - (24 * tail) ** 0.25, abs=2 * found.u)


def test_first_order_misses_what_draws_see_where_the_slope_vanishes():
    # Closed form: the square of a standard normal has mean 1 and standard deviation √2; its slope at 0 is nothing.
    values = drawn({"x": Normal(mean=0.0, sd=1.0)}, count=2**14, seed=2)["x"]

    found = estimate_of(values**2)

    assert found.value == pytest.approx(1.0, abs=0.005)
    assert found.u == pytest.approx(math.sqrt(2.0), rel=0.01)
