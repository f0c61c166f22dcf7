"""Draws of inputs: reproducible, evenly spread, and independent unless told otherwise."""

import math

import numpy as np
import pytest
import scipy.stats
from scipy.stats import qmc

from evenbead.errors import NotPossible
from evenbead.physics.distributions import Fixed, LogNormal, Normal, Rectangular
from evenbead.physics.draws import balanced_count, drawn, unit_points

BOTH = pytest.mark.parametrize("how", ["sobol", "random"])
STANDARD = Normal(mean=0.0, sd=1.0)


@BOTH
def test_the_same_seed_gives_the_same_draws_and_another_seed_others(how):
    first, again, other = (drawn({"growth": STANDARD}, count=100, seed=seed, how=how)["growth"] for seed in (7, 7, 8))

    assert np.array_equal(first, again)
    assert not np.any(first == other)


@BOTH
def test_an_input_added_at_the_end_changes_no_other(how):
    few = unit_points(["water", "growth"], count=64, seed=3, how=how)
    more = unit_points(["water", "growth", "air"], count=64, seed=3, how=how)

    assert all(np.array_equal(few[name], more[name]) for name in few)


def test_random_draws_of_an_input_do_not_depend_on_its_place():
    one = unit_points(["water", "growth"], count=64, seed=3, how="random")
    other = unit_points(["air", "growth", "water"], count=64, seed=3, how="random")

    assert all(np.array_equal(one[name], other[name]) for name in one)


@BOTH
def test_an_input_taken_as_known_keeps_the_draws_of_the_others(how):
    doubtful = {"water": STANDARD, "growth": STANDARD, "air": Rectangular(low=0.02, high=0.05)}
    before = drawn(doubtful, count=64, seed=3, how=how)

    after = drawn(doubtful | {"growth": Fixed(value=0.0)}, count=64, seed=3, how=how)

    assert np.array_equal(before["water"], after["water"])
    assert np.array_equal(before["air"], after["air"])
    assert not np.any(after["growth"])


@BOTH
def test_more_draws_begin_with_the_same(how):
    few = unit_points(["water", "growth"], count=100, seed=3, how=how)
    more = unit_points(["water", "growth"], count=1000, seed=3, how=how)

    assert all(np.array_equal(few[name], more[name][:100]) for name in few)


@BOTH
@pytest.mark.parametrize("count", [1, 2, 3, 1000, 1024])
def test_any_number_of_draws_comes_as_asked_and_stays_off_the_ends(how, count):
    points = unit_points(["a", "b", "c"], count=count, seed=11, how=how)

    assert list(points) == ["a", "b", "c"]
    assert all(column.shape == (count,) and 0.0 < column.min() <= column.max() < 1.0 for column in points.values())


def test_no_input_gives_no_draws():
    assert drawn({}, count=8, seed=1) == {}


def test_scrambled_points_are_as_even_as_those_of_scipy():
    # The discrepancy measures how far points are from filling the cube evenly.
    ours = [qmc.discrepancy(np.column_stack([*unit_points("abcd", count=512, seed=s).values()])) for s in range(8)]
    theirs = [qmc.discrepancy(qmc.Sobol(4, rng=s).random_base2(9)) for s in range(8)]
    chance = [
        qmc.discrepancy(np.column_stack([*unit_points("abcd", count=512, seed=s, how="random").values()]))
        for s in range(8)
    ]

    assert np.mean(ours) < 1.3 * np.mean(theirs)
    assert np.mean(ours) < 0.1 * np.mean(chance)


@pytest.mark.parametrize("cells", [(16, 1), (1, 16), (4, 4), (2, 8), (8, 2)])
def test_every_cell_of_the_first_two_inputs_holds_one_of_sixteen_points(cells):
    # [Sobol1967]: the first two dimensions are a (0, m, 2) net, and the scrambling keeps that [Matousek1998].
    points = unit_points(["a", "b"], count=16, seed=5)

    cell = {(int(x * cells[0]), int(y * cells[1])) for x, y in zip(points["a"], points["b"], strict=True)}
    assert len(cell) == 16


def test_a_single_point_of_the_sequence_is_as_good_as_uniform():
    # Over seeds, the first point must fall anywhere alike: this is what makes the mean free of bias.
    firsts = np.array([[*unit_points(["a", "b"], count=1, seed=seed).values()] for seed in range(400)])[:, :, 0]

    assert all(scipy.stats.kstest(column, "uniform").pvalue > 0.01 for column in firsts.T)
    assert abs(scipy.stats.pearsonr(*firsts.T).statistic) < 0.15


def test_streams_of_different_names_are_independent():
    points = unit_points(["water", "water ", "retaw"], count=20_000, seed=2, how="random")

    correlation = np.corrcoef([*points.values()])
    assert np.max(np.abs(correlation - np.eye(3))) < 0.03


def test_draws_follow_their_distribution():
    values = drawn({"rate": LogNormal(median=18.0, factor=1.4)}, count=4096, seed=1, how="random")["rate"]

    assert scipy.stats.kstest(values, scipy.stats.lognorm(math.log(1.4), scale=18.0).cdf).pvalue > 0.01


def error_of_a_mean(how, counts, seeds):
    """Root mean square, over seeds, of the error of the mean of a smooth function whose mean is 1."""
    errors = []
    for count in counts:
        means = []
        for seed in range(seeds):
            points = unit_points(["a", "b", "c"], count=count, seed=seed, how=how)
            means.append(np.mean(np.prod([1 + 0.5 * (column - 0.5) for column in points.values()], axis=0)))
        errors.append(math.sqrt(np.mean((np.array(means) - 1.0) ** 2)))
    return errors


@pytest.mark.parametrize(("how", "low", "high"), [("sobol", -1.8, -1.2), ("random", -0.7, -0.35)])
def test_the_error_of_a_mean_falls_as_theory_says(how, low, high):
    # [Owen1997]: with the power 3/2 of the number of draws where the function is smooth; by chance, with the root.
    counts = [2**power for power in range(5, 12)]

    slope = np.polyfit(np.log(counts), np.log(error_of_a_mean(how, counts, seeds=16)), 1)[0]

    assert low < slope < high


@BOTH
def test_correlated_normals_have_the_correlation_asked_for(how):
    inputs = {"yield stress": Normal(mean=450.0, sd=40.0), "air": STANDARD, "modulus": Normal(mean=70.0, sd=9.0)}
    values = drawn(inputs, count=2**14, seed=4, how=how, correlations={("yield stress", "modulus"): 0.7})

    r = np.corrcoef([*values.values()])
    assert r[0, 2] == pytest.approx(0.7, abs=0.015)
    assert r[0, 1] == pytest.approx(0.0, abs=0.03)
    assert values["modulus"].std() == pytest.approx(9.0, rel=0.02)


def test_the_rank_correlation_is_that_of_the_gaussian_copula():
    # Spearman's coefficient of a bivariate normal is 6/π asin(r/2), in any textbook of statistics; from memory.
    inputs = {"rate": LogNormal(median=18.0, factor=1.6), "air": Rectangular(low=0.0, high=1.0)}
    values = drawn(inputs, count=2**14, seed=4, correlations={("rate", "air"): -0.6})

    expected = 6 / math.pi * math.asin(-0.3)
    assert scipy.stats.spearmanr(values["rate"], values["air"]).statistic == pytest.approx(expected, abs=0.01)
    assert scipy.stats.kstest(values["air"], "uniform").pvalue > 0.01


def test_the_earlier_of_a_correlated_pair_and_all_others_keep_their_draws():
    inputs = dict.fromkeys(["a", "b", "c"], STANDARD)
    alone = drawn(inputs, count=256, seed=9)

    together = drawn(inputs, count=256, seed=9, correlations={("c", "a"): 0.5})

    assert np.array_equal(alone["a"], together["a"])
    assert np.array_equal(alone["b"], together["b"])
    assert not np.array_equal(alone["c"], together["c"])


def test_correlations_that_contradict_each_other_are_not_possible():
    pairs = {("a", "b"): 0.9, ("b", "c"): 0.9, ("a", "c"): -0.9}

    with pytest.raises(NotPossible, match="a, b, c contradict"):
        drawn(dict.fromkeys("abc", STANDARD), count=8, seed=1, correlations=pairs)


@pytest.mark.parametrize(
    ("pairs", "message"),
    [({("a", "z"): 0.5}, "z, which is no input"), ({("a", "a"): 0.5}, "itself"), ({("a", "b"): 1.0}, "is 1")],
)
def test_a_correlation_without_meaning_is_refused(pairs, message):
    with pytest.raises(ValueError, match=message):
        drawn(dict.fromkeys("ab", STANDARD), count=8, seed=1, correlations=pairs)


@pytest.mark.parametrize(
    ("names", "count", "seed", "message"),
    [(["a", "a"], 8, 1, "named twice"), (["a"], 0, 1, "count is 0"), (["a"], 8, -1, "seed is -1")],
)
def test_draws_without_meaning_are_refused(names, count, seed, message):
    with pytest.raises(ValueError, match=message):
        unit_points(names, count=count, seed=seed)


@pytest.mark.parametrize(("wanted", "balanced"), [(1, 1), (2, 2), (3, 4), (1024, 1024), (1025, 2048)])
def test_a_balanced_count_is_the_next_power_of_two(wanted, balanced):
    assert balanced_count(wanted) == balanced
