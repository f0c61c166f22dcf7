"""What a measurement would tell, from draws made anyway, against closed forms."""

import math

import numpy as np
import pytest
import scipy.integrate
import scipy.stats

from evenbead.errors import NotPossible
from evenbead.physics.distributions import Fixed, Normal, Rectangular
from evenbead.physics.draws import drawn
from evenbead.physics.worth import first_order_from_draws, worth_of_measuring

# A limit state of three standard normals: it fails where 0.8 x + 0.5 y + 0.332 z is above a margin.
PARTS = {"x": 0.8, "y": 0.5, "z": math.sqrt(1 - 0.64 - 0.25)}
STANDARD = Normal(mean=0.0, sd=1.0)
BOTH = pytest.mark.parametrize("how", ["sobol", "random"])


def draws(*, count=2**14, seed=5, how="sobol", names=tuple(PARTS)):
    return drawn(dict.fromkeys(names, STANDARD), count=count, seed=seed, how=how)


def load(values):
    return sum(part * values[name] for name, part in PARTS.items())


def explained(part, margin):
    """Closed form: the probability that two cases that share x both fail is that of a bivariate normal."""
    p = scipy.stats.norm.sf(margin)
    pair = scipy.stats.multivariate_normal([0, 0], [[1, part**2], [part**2, 1]])
    return (pair.cdf([-margin, -margin]) - p**2) / (p * (1 - p))


def saved(part, margin, tolerated):
    """By quadrature over x: the loss of the better choice at each x, against that of one choice for all."""
    odds, p = tolerated / (1 - tolerated), scipy.stats.norm.sf(margin)

    def loss(x):
        chance = scipy.stats.norm.sf((margin - part * x) / math.sqrt(1 - part**2))
        return scipy.stats.norm.pdf(x) * min(chance, odds * (1 - chance))

    return min(p, odds * (1 - p)) - scipy.integrate.quad(loss, -9, 9, limit=200, epsabs=1e-9)[0]


@BOTH
def test_a_straight_result_is_explained_by_the_squares_of_its_slopes(how):
    values = draws(how=how)

    found = first_order_from_draws(values, load(values))

    for name, part in PARTS.items():
        assert found[name].value == pytest.approx(part**2, abs=0.01 + 3 * found[name].u)


@BOTH
def test_what_an_input_does_only_together_with_another_is_not_seen_in_it_alone(how):
    values = draws(how=how)

    found = first_order_from_draws(values, values["x"] * values["y"])

    assert all(share.value < 0.02 for share in found.values())


def test_the_error_of_a_share_is_as_said():
    away = []
    for seed in range(60):
        values = draws(count=1000, seed=seed, how="random")
        found = first_order_from_draws(values, load(values) > 0.5)
        away.append([(found[name].value - explained(part, 0.5)) / found[name].u for name, part in PARTS.items()])

    assert np.all(np.sqrt(np.mean(np.square(away), axis=0)) < 1.4)
    assert np.all(np.sqrt(np.mean(np.square(away), axis=0)) > 0.6)


def test_chance_alone_explains_nothing_on_average():
    noise = np.random.default_rng(8).normal(size=(40, 2000))

    shares = [first_order_from_draws({"x": x}, y)["x"] for x, y in zip(noise[:20], noise[20:], strict=True)]

    assert np.mean([share.value for share in shares]) < 0.01
    assert np.mean([share.value < 2 * share.u for share in shares]) > 0.85


@BOTH
@pytest.mark.parametrize("margin", [0.3, 1.0, 2.0])
def test_the_share_of_a_failure_explained_is_that_of_a_bivariate_normal(how, margin):
    values = draws(how=how)

    ranked = worth_of_measuring(values, load(values) > margin)

    assert [worth.name for worth in ranked] == ["x", "y", "z"]
    for worth in ranked:
        assert worth.explained.value == pytest.approx(
            explained(PARTS[worth.name], margin), abs=0.01 + 3 * worth.explained.u
        )


@BOTH
@pytest.mark.parametrize(("margin", "tolerated"), [(0.3, 0.5), (1.0, 0.5), (2.0, 0.05), (1.0, 0.9)])
def test_what_is_saved_is_that_of_the_better_choice_at_each_value(how, margin, tolerated):
    values = draws(how=how)
    fails = load(values) > margin

    for worth in worth_of_measuring(values, fails, tolerated=tolerated):
        exact = saved(PARTS[worth.name], margin, tolerated)
        allowed = 4 * math.sqrt(fails.mean() / len(fails)) * max(1.0, tolerated / (1 - tolerated))
        assert worth.saved == pytest.approx(exact, abs=allowed)


def test_what_tells_nothing_saves_nothing():
    values = draws(count=4096, how="random") | {"noise": np.random.default_rng(1).normal(size=4096)}

    last = worth_of_measuring(values, load(values) > 0.1)[-1]

    assert last.name == "noise"
    assert last.explained.value < 3 * last.explained.u + 1e-12
    assert last.saved < 0.01
    assert last.failing_rank == pytest.approx(0.5, abs=0.02)


def test_the_side_on_which_it_fails_is_told():
    values = draws()

    worths = {worth.name: worth for worth in worth_of_measuring(values, values["x"] - 0.5 * values["y"] > 1.0)}

    assert worths["x"].failing_rank > 0.8
    assert worths["y"].failing_rank < 0.4


def test_a_noisy_reading_tells_as_much_as_its_reliability():
    # Closed form: a reading with an error as large as the doubt explains half of what the input does.
    values = draws(how="random") | {"error": draws(how="random", names=("error",))["error"]}
    result = load(values)

    found = first_order_from_draws({"exact": values["x"], "read": values["x"] + values["error"]}, result)

    assert found["exact"].value == pytest.approx(0.64, abs=0.02)
    assert found["read"].value == pytest.approx(0.32, abs=0.02)


def test_an_input_taken_as_known_is_worth_nothing():
    values = drawn({"x": STANDARD, "known": Fixed(value=3.0)}, count=1024, seed=1)

    ranked = worth_of_measuring(values, values["x"] > 1.0)

    assert [worth.name for worth in ranked] == ["x", "known"]
    assert (ranked[1].explained.value, ranked[1].saved, ranked[1].failing_rank) == (0.0, 0.0, 0.5)


def test_an_input_that_decides_alone_explains_nearly_all():
    values = drawn({"age": Rectangular(low=0.0, high=60.0), "other": STANDARD}, count=2**14, seed=1)

    best = worth_of_measuring(values, values["age"] > 45.0)[0]

    assert best.name == "age"
    # All but what the one bin of about fifty hides in which the edge lies.
    assert best.explained.value > 0.97
    assert best.saved == pytest.approx(0.25, abs=0.01)
    assert best.failing_rank == pytest.approx(0.875, abs=0.001)


@pytest.mark.parametrize("fails", [np.zeros(100, bool), np.ones(100, bool)])
def test_a_failure_never_or_always_seen_is_not_possible_to_tell_apart(fails):
    with pytest.raises(NotPossible, match="of 100 draws fail"):
        worth_of_measuring({"x": np.arange(100.0)}, fails)


def test_few_draws_or_no_scatter_have_no_answer():
    with pytest.raises(NotPossible, match="50 draws show no pattern"):
        first_order_from_draws({"x": np.arange(50.0)}, np.arange(50.0))
    with pytest.raises(NotPossible, match="same in every draw"):
        first_order_from_draws({"x": np.arange(100.0)}, np.ones(100))


@pytest.mark.parametrize(
    ("column", "message"), [(np.arange(99.0), "x has shape"), (np.full(100, math.nan), "no finite value")]
)
def test_draws_that_do_not_fit_the_results_are_refused(column, message):
    with pytest.raises(ValueError, match=message):
        first_order_from_draws({"x": column}, np.arange(100.0))


def test_a_tolerated_probability_beyond_reason_is_refused():
    with pytest.raises(ValueError, match="tolerated probability is 1"):
        worth_of_measuring({"x": np.arange(100.0)}, np.arange(100) > 50, tolerated=1.0)
