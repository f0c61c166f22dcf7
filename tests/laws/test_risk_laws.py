"""Laws of risk: which way each room moves, whatever the draws."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

import invented_site as site
import risk_days as days
from evenbead.plan.risk import LIMITS, risk_of, rooms, trial_of

SOME = settings(max_examples=8, deadline=None)
seeds = st.integers(0, 2**32 - 1)
COUNT = 250
FACTORS = (
    "yield_stress", "growth", "stiffness", "stiffening", "viscosity", "open_time", "water_sensitivity", "wind",
    "collapse_model", "buckling_model",
)  # fmt: skip


TEXTS = {
    "one part": {"job": days.weathered(days.EVEN), "code": site.bench_code(layers=16)},
    "two parts, open time": {
        "job": days.without_limits(days.weathered(days.EVEN)),
        "mortar": days.TWO_PART,
        "code": days.paused_code(layers=12, after=9),
    },
    "open time": {"job": days.without_limits(days.weathered(days.EVEN)), "code": days.paused_code(layers=12)},
}


@pytest.fixture(scope="module", params=TEXTS.values(), ids=TEXTS)
def trial(request, tmp_path_factory):
    return trial_of(days.ready(tmp_path_factory.mktemp("day"), **request.param).situation)


def wild(seed):
    """Days far wilder than any spread would draw, and numbers between 0 and 1 to change them by."""
    rng = np.random.default_rng(seed)
    drawn = {name: np.exp(rng.uniform(-1.2, 1.2, COUNT)) for name in FACTORS} | {
        "ratio": rng.uniform(0.14, 0.18, COUNT),
        "feed": rng.uniform(0.95, 1.05, COUNT),
        "temperature": rng.uniform(-6.0, 6.0, COUNT),
        "humidity": rng.uniform(-0.3, 0.3, COUNT),
    }
    return drawn, rng.random(COUNT)


def rises(low, high, names):
    """In the second none of these has less room, up to round-off."""
    for name in names:
        if name in low and np.isfinite(low[name]).all():
            assert (high[name] >= low[name] - 1e-9 * np.maximum(np.abs(low[name]), 1.0)).all(), name


@SOME
@given(seed=seeds)
def test_a_slower_print_stands_and_flows_better_and_bonds_worse(trial, seed):
    drawn, share = wild(seed)
    pace = 0.2 * 5.0 ** (2 * np.random.default_rng(seed + 1).random(COUNT))
    fast, slow = (rooms(trial, drawn, pace=at) for at in (pace, pace * (1 + 4 * share)))

    rises(fast, slow, ("collapse", "buckling", "hose pressure"))
    rises(slow, fast, ("interval", "pause", "drying"))
    assert np.array_equal(fast["ratio"], slow["ratio"])


@SOME
@given(seed=seeds)
def test_wetter_mortar_flows_better_and_stands_worse(trial, seed):
    drawn, share = wild(seed)
    dry, wet = rooms(trial, drawn), rooms(trial, drawn | {"ratio": drawn["ratio"] + 0.03 * share})

    rises(dry, wet, ("hose pressure", "pause"))
    rises(wet, dry, ("collapse", "buckling"))
    for name in ("drying", "fresh temperature"):
        assert np.array_equal(dry[name], wet[name])


@SOME
@given(seed=seeds)
def test_a_warmer_day_stands_better_and_stays_open_for_less(trial, seed):
    drawn, share = wild(seed)
    cool, warm = rooms(trial, drawn), rooms(trial, drawn | {"temperature": drawn["temperature"] + 6.0 * share})

    rises(cool, warm, ("collapse", "buckling"))
    rises(warm, cool, ("interval", "pause", "fresh temperature"))


@SOME
@given(seed=seeds)
def test_humid_air_never_dries_faster(trial, seed):
    drawn, share = wild(seed)
    drier = rooms(trial, drawn | {"humidity": drawn["humidity"] - 0.3 * share})

    rises(drier, rooms(trial, drawn), ("drying",))


MOVES = {
    "yield_stress": (("collapse",), ("hose pressure", "pause")),
    "growth": (("collapse",), ("pause",)),
    "stiffness": (("buckling",), ()),
    "stiffening": (("buckling",), ()),
    "viscosity": ((), ("hose pressure",)),
    "open_time": (("interval", "pause"), ()),
    "wind": ((), ("drying",)),
    "collapse_model": (("collapse",), ()),
    "buckling_model": (("buckling",), ()),
}


@pytest.mark.parametrize("name", MOVES)
@SOME
@given(seed=seeds)
def test_each_input_moves_its_own_limits_the_right_way_and_no_others(trial, name, seed):
    better, worse = MOVES[name]
    drawn, share = wild(seed)
    less, greater = rooms(trial, drawn), rooms(trial, drawn | {name: drawn[name] * (1 + share)})

    rises(less, greater, better)
    rises(greater, less, worse)
    for other in set(less) - {*better, *worse}:
        assert np.array_equal(greater[other], less[other]), other


@SOME
@given(seed=seeds)
def test_draws_are_days_of_their_own(trial, seed):
    drawn, share = wild(seed)
    together = rooms(trial, drawn, pace=0.5 + share)
    place = int(share[0] * COUNT)
    alone = rooms(trial, {name: column[[place]] for name, column in drawn.items()}, pace=0.5 + share[place])

    for name, room in together.items():
        assert room.shape == (COUNT,)
        assert alone[name][0] == pytest.approx(room[place], rel=1e-9, abs=1e-12)


def test_more_doubt_never_makes_a_safe_print_safer(tmp_path):
    chances = []
    for doubt in (0.05, 0.15, 0.3, 0.6):
        mortar = days.sure(days.ONE_PART, "mortar", yield_stress=doubt, stiffening=doubt)
        job = days.sure(days.weathered(days.EVEN), "job")
        day = days.ready(tmp_path, mortar=mortar, job=job, code=site.bench_code(layers=16))
        chances.append(risk_of(trial_of(day.situation), day.expected, draws=2048, seed=1).failures)

    for name in ("collapse", "buckling", "pause"):
        values = [float(chance[name].value) for chance in chances]
        assert values == sorted(values)
        assert values[-1] > values[0]
    assert set(chances[0]) == set(LIMITS)
