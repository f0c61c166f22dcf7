"""Distributions as values, against SciPy's."""

import math

import numpy as np
import pytest
import scipy.stats

from evenbead.errors import NotPossible
from evenbead.physics.distributions import (
    Fixed,
    LogNormal,
    Normal,
    Rectangular,
    StudentT,
    Triangular,
    Truncated,
    distribution_of,
)
from evenbead.physics.uncertainty import Estimate

SHARES = np.array([1e-6, 0.01, 0.2, 0.4, 0.5, 0.83, 0.999, 1 - 1e-6])

PAIRS = [
    pytest.param(Normal(mean=0.158, sd=0.002), scipy.stats.norm(0.158, 0.002), id="normal"),
    pytest.param(LogNormal(median=18.0, factor=1.4), scipy.stats.lognorm(math.log(1.4), scale=18.0), id="lognormal"),
    pytest.param(Rectangular(low=-2.0, high=5.0), scipy.stats.uniform(-2.0, 7.0), id="rectangular"),
    pytest.param(Triangular(low=2.0, mode=3.0, high=7.0), scipy.stats.triang(0.2, 2.0, 5.0), id="triangular"),
    pytest.param(Triangular(low=2.0, mode=2.0, high=7.0), scipy.stats.triang(0.0, 2.0, 5.0), id="only-falling"),
    pytest.param(Triangular(low=2.0, mode=7.0, high=7.0), scipy.stats.triang(1.0, 2.0, 5.0), id="only-rising"),
    pytest.param(StudentT(mean=3.0, u=0.5, dof=4), scipy.stats.t(4, 3.0, 0.5), id="student"),
    pytest.param(
        Truncated(of=Normal(mean=20.0, sd=5.0), low=12.0, high=24.0),
        scipy.stats.truncnorm(-1.6, 0.8, 20.0, 5.0),
        id="cut-both-sides",
    ),
    pytest.param(
        Truncated(of=Normal(mean=1.0, sd=0.5), low=0.0),
        scipy.stats.truncnorm(-2.0, math.inf, 1.0, 0.5),
        id="cut-at-zero",
    ),
]


@pytest.mark.parametrize(("ours", "theirs"), PAIRS)
def test_a_value_at_a_share_is_that_of_scipy(ours, theirs):
    assert ours.at(SHARES) == pytest.approx(theirs.ppf(SHARES), rel=1e-9)
    assert ours.at(0.3) == pytest.approx(theirs.ppf(0.3), rel=1e-9)


@pytest.mark.parametrize(("ours", "theirs"), PAIRS)
def test_a_share_below_a_value_is_that_of_scipy(ours, theirs):
    values = np.concatenate([[-100.0, 0.0], theirs.ppf(SHARES), [1000.0]])

    assert ours.share_below(values) == pytest.approx(theirs.cdf(values), rel=1e-9, abs=1e-15)


def test_a_lognormal_of_a_relative_doubt_has_that_relative_doubt():
    found = LogNormal.with_relative_sd(median=12.0, relative_sd=0.35)

    theirs = scipy.stats.lognorm(math.log(found.factor), scale=found.median)
    assert theirs.std() / theirs.mean() == pytest.approx(0.35, rel=1e-12)
    assert theirs.median() == pytest.approx(12.0)


def test_what_is_fixed_never_changes():
    fixed = Fixed(value=4.2)

    assert list(fixed.at(SHARES)) == [4.2] * len(SHARES)
    assert list(fixed.share_below(np.array([4.1, 4.2, 4.3]))) == [0.0, 1.0, 1.0]


def test_a_cut_of_a_cut_is_one_cut():
    whole = Normal(mean=0.0, sd=1.0)
    twice = Truncated(of=Truncated(of=whole, low=-1.0, high=3.0), low=-2.0, high=0.5)

    assert twice.at(SHARES) == pytest.approx(Truncated(of=whole, low=-1.0, high=0.5).at(SHARES), rel=1e-9)


def test_nothing_beyond_a_cut_is_drawn():
    cut = Truncated(of=StudentT(mean=0.0, u=1.0, dof=2), low=-0.3, high=0.4)

    assert cut.at(np.array([0.0, 1.0])) == pytest.approx([-0.3, 0.4])
    assert np.all((cut.at(SHARES) >= -0.3) & (cut.at(SHARES) <= 0.4))


@pytest.mark.parametrize(
    ("estimate", "expected"),
    [
        (Estimate(value=3.0, u=0.2), Normal(mean=3.0, sd=0.2)),
        (Estimate(value=3.0, u=0.2, dof=5), StudentT(mean=3.0, u=0.2, dof=5)),
        (Estimate(value=3.0, u=0.0, dof=5), Fixed(value=3.0)),
    ],
)
def test_an_estimate_becomes_the_distribution_the_guide_gives_it(estimate, expected):
    assert distribution_of(estimate) == expected


@pytest.mark.parametrize(
    ("make", "message"),
    [
        (lambda: Fixed(value=math.nan), "value is nan"),
        (lambda: Normal(mean=math.inf, sd=1.0), "mean is inf"),
        (lambda: Normal(mean=0.0, sd=0.0), "standard deviation is 0"),
        (lambda: LogNormal(median=0.0, factor=2.0), "median is 0"),
        (lambda: LogNormal(median=1.0, factor=1.0), "factor is 1"),
        (lambda: LogNormal.with_relative_sd(median=1.0, relative_sd=-0.1), "relative standard deviation is -0.1"),
        (lambda: Rectangular(low=2.0, high=2.0), "upper limit is 2"),
        (lambda: Triangular(low=0.0, mode=2.0, high=1.0), "likeliest value is 2"),
        (lambda: StudentT(mean=0.0, u=1.0, dof=0.5), "degrees of freedom is 0.5"),
        (lambda: Truncated(of=Normal(mean=0.0, sd=1.0), low=1.0, high=1.0), "lower one first"),
    ],
)
def test_a_distribution_that_can_not_be_is_refused(make, message):
    with pytest.raises(ValueError, match=message):
        make()


def test_a_cut_that_leaves_nothing_is_not_possible():
    with pytest.raises(NotPossible, match="next to nothing"):
        Truncated(of=Normal(mean=0.0, sd=1.0), low=6.0)
