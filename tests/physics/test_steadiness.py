"""When draws are enough: the rule of the supplement on simulation."""

import math

import numpy as np
import pytest

from evenbead.physics.distributions import Normal
from evenbead.physics.draws import drawn
from evenbead.physics.outcomes import coverage_interval, estimate_of
from evenbead.physics.steadiness import draws_per_batch, numerical_tolerance, steadiness


def batches(count, *, size=10_000, how="random"):
    inputs = {"x": Normal(mean=3.0, sd=2.0)}
    return np.stack([drawn(inputs, count=size, seed=seed, how=how)["x"] for seed in range(count)])


@pytest.mark.parametrize(
    ("u", "digits", "tolerance"),
    [(35.0, 2, 0.5), (0.0997, 2, 0.005), (0.0994, 2, 0.0005), (1.0, 1, 0.5), (9.9, 1, 5.0), (0.035, 3, 5e-5)],
)
def test_the_tolerance_is_half_of_the_last_digit_as_printed(u, digits, tolerance):
    assert numerical_tolerance(u, digits=digits) == pytest.approx(tolerance, rel=1e-12)


def test_no_doubt_has_no_digits():
    with pytest.raises(ValueError, match="standard uncertainty is 0"):
        numerical_tolerance(0.0)


@pytest.mark.parametrize(("level", "draws"), [(0.5, 10_000), (0.99, 10_000), (0.995, 20_000), (0.9999, 1_000_000)])
def test_a_batch_leaves_a_hundred_draws_outside(level, draws):
    assert draws_per_batch(level=level) == draws


def test_all_draws_together_give_the_answer_and_the_batches_its_doubt():
    rows = batches(5)

    found = steadiness(rows, digits=1)

    whole, ends = estimate_of(rows.ravel()), coverage_interval(rows)
    assert found.mean.value == pytest.approx(whole.value, rel=1e-12)
    assert found.u.value == whole.u
    assert found.low.value == pytest.approx(np.mean(ends.low), rel=1e-12)
    assert found.high.u == pytest.approx(np.std(ends.high, ddof=1) / math.sqrt(5), rel=1e-12)
    assert found.mean.dof == 4


def test_the_doubt_of_the_mean_is_that_of_the_number_of_draws():
    found = steadiness(batches(40, size=1000))

    assert found.mean.u == pytest.approx(2.0 / math.sqrt(40_000), rel=0.3)


def test_more_digits_need_more_draws():
    few, many = steadiness(batches(3), digits=2), steadiness(batches(60), digits=2)

    assert steadiness(batches(3), digits=1).steady
    assert not steadiness(batches(3), digits=3).steady
    assert many.mean.u < few.mean.u


def test_even_points_are_steady_where_as_many_random_ones_are_not():
    random, even = (steadiness(batches(8, size=2**12, how=how), digits=2) for how in ("random", "sobol"))

    assert even.steady
    assert even.mean.u < random.mean.u / 5
    assert not random.steady


def test_what_never_changes_is_steady():
    assert steadiness(np.full((2, 100), 7.0)).steady


@pytest.mark.parametrize("shape", [(100,), (1, 100), (2, 2, 100)])
def test_batches_are_rows(shape):
    with pytest.raises(ValueError, match="at least two rows"):
        steadiness(np.zeros(shape))
