"""Shares of variance from runs of their own, against closed forms and SciPy."""

import math

import numpy as np
import pytest
import scipy.stats

from evenbead.errors import NotPossible
from evenbead.physics.distributions import Normal
from evenbead.physics.sensitivity import designs, indices

SLOPES = {"growth": 3.0, "water": 2.0, "speed": 1.0}


def straight(design, slopes):
    """A result that moves in proportion to each input, which is a standard normal."""
    standard = Normal(mean=0.0, sd=1.0)
    return sum(slope * standard.at(design.points[name]) for name, slope in slopes.items())


def test_a_mixed_sample_differs_from_the_first_in_one_input_alone():
    design = designs(["a", "b", "c"], count=16, seed=1)

    for name in design.names:
        one, two, *mixed = design.points[name].reshape(5, 16)
        assert not np.any(one == two)
        for other, column in zip(design.names, mixed, strict=True):
            assert np.array_equal(column, two if other == name else one)


@pytest.mark.parametrize("estimator", ["saltelli", "jansen"])
def test_a_straight_result_has_shares_as_the_squares_of_its_slopes(estimator):
    # Closed form: c² u² over the sum of them, [GUM2008] eq. 10; nothing is shared.
    design = designs(list(SLOPES), count=2**13, seed=1)

    found = indices(design, straight(design, SLOPES), estimator=estimator)

    expected = np.array([9.0, 4.0, 1.0]) / 14
    assert found.first == pytest.approx(expected, abs=0.01)
    assert found.total == pytest.approx(expected, abs=0.005)


def test_a_product_shares_what_its_factors_do_only_together():
    # Closed form for (1 + x)(1 + y) with standard normals: 1/3 each alone, 1/3 together.
    design = designs(["x", "y"], count=2**13, seed=1)
    x, y = (Normal(mean=0.0, sd=1.0).at(design.points[name]) for name in design.names)

    found = indices(design, (1 + x) * (1 + y))

    assert found.first == pytest.approx([1 / 3, 1 / 3], abs=0.03)
    assert found.total == pytest.approx([2 / 3, 2 / 3], abs=0.03)


def test_the_shares_of_the_same_samples_are_those_of_scipy():
    design = designs(["a", "b"], count=128, seed=3)
    results = np.sin(7 * design.points["a"]) + design.points["a"] * design.points["b"] ** 2
    one, two, *mixed = results.reshape(4, 1, 128)

    found = indices(design, results)

    theirs = scipy.stats.sobol_indices(func={"f_A": one, "f_B": two, "f_AB": np.array(mixed)}, n=128)
    assert found.first == pytest.approx(np.ravel(theirs.first_order), rel=1e-12)
    assert found.total == pytest.approx(np.ravel(theirs.total_order), rel=1e-12)


def test_a_table_of_results_has_the_shares_of_its_rows():
    design = designs(["a", "b"], count=64, seed=3)
    table = np.stack([design.points["a"], design.points["a"] * design.points["b"], design.points["b"] ** 2])

    found = indices(design, table, estimator="jansen")

    assert found.first.shape == found.total_u.shape == (3, 2)
    one = indices(design, table[1], estimator="jansen")
    assert found.first[1] == pytest.approx(one.first, rel=1e-12)
    assert found.total_u[1] == pytest.approx(one.total_u, rel=1e-12)


@pytest.mark.parametrize("estimator", ["saltelli", "jansen"])
def test_the_error_of_a_share_is_as_said_or_smaller(estimator):
    expected = np.array([9.0, 4.0, 1.0]) / 14
    first, total = [], []
    for seed in range(40):
        design = designs(list(SLOPES), count=256, seed=seed)
        found = indices(design, straight(design, SLOPES), estimator=estimator)
        first.append((found.first - expected) / found.first_u)
        total.append((found.total - expected) / found.total_u)

    assert np.all(np.sqrt(np.mean(np.square(first), axis=0)) < 1.3)
    assert np.all(np.sqrt(np.mean(np.square(total), axis=0)) < 1.3)


def test_the_error_of_a_share_falls_faster_than_that_of_chance():
    expected, counts, errors = np.array([9.0, 4.0, 1.0]) / 14, [2**power for power in range(5, 12)], []
    for count in counts:
        found = [
            indices(d, straight(d, SLOPES)).first
            for d in (designs(list(SLOPES), count=count, seed=s) for s in range(12))
        ]
        errors.append(math.sqrt(np.mean((np.array(found) - expected) ** 2)))

    assert np.polyfit(np.log(counts), np.log(errors), 1)[0] < -0.7


def test_a_result_that_never_changes_has_nothing_to_explain():
    design = designs(["a", "b"], count=8, seed=1)

    with pytest.raises(NotPossible, match="same in all cases"):
        indices(design, np.ones(32))


@pytest.mark.parametrize(
    ("results", "message"), [(np.ones(31), "expected 32"), (np.full(32, math.inf), "no finite value")]
)
def test_results_that_do_not_fit_the_design_are_refused(results, message):
    with pytest.raises(ValueError, match=message):
        indices(designs(["a", "b"], count=8, seed=1), results)
