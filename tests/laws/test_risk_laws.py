"""Laws of risk: which way each room moves, whatever the draws."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

import invented_site as site
import risk_days as days
from evenbead.plan.risk import LIMITS, risk_of, rooms, trial_of

SOME = settings(max_examples=40, deadline=None)
factors = st.floats(0.3, 3.0)
FACTORS = (
    "yield_stress",
    "growth",
    "stiffness",
    "stiffening",
    "viscosity",
    "open_time",
    "water_sensitivity",
    "wind",
    "collapse_model",
    "buckling_model",
)
draws = st.fixed_dictionaries({
    "ratio": st.floats(0.14, 0.18),
    "feed": st.floats(0.95, 1.05),
    "temperature": st.floats(-6.0, 6.0),
    "humidity": st.floats(-0.3, 0.3),
} | dict.fromkeys(FACTORS, factors))  # fmt: skip
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
def day(request, tmp_path_factory):
    return days.ready(tmp_path_factory.mktemp("day"), **request.param)


@pytest.fixture(scope="module")
def trial(day):
    return trial_of(day.situation)


def look(day, trial, drawn, *, pace=1.0, **changed):
    found = rooms(trial, days.median(day, **(drawn | changed)), pace=pace)
    return {name: float(room[0]) for name, room in found.items()}


def rises(low, high, names):
    """In the second none of these has less room, up to round-off and what a straight line on a curve leaves."""
    for name in names:
        if name in low and np.isfinite(low[name]):
            assert high[name] >= low[name] - 1e-9 * max(abs(low[name]), 1.0), name


@SOME
@given(drawn=draws, pace=st.floats(0.2, 5.0), slower=st.floats(1.0, 5.0))
def test_a_slower_print_stands_and_flows_better_and_bonds_worse(day, trial, drawn, pace, slower):
    fast, slow = (look(day, trial, drawn, pace=at) for at in (pace, pace * slower))

    rises(fast, slow, ("collapse", "buckling", "hose pressure"))
    rises(slow, fast, ("interval", "pause", "drying"))
    assert fast["ratio"] == slow["ratio"]


@SOME
@given(drawn=draws, more=st.floats(0.0, 0.03))
def test_wetter_mortar_flows_better_and_stands_worse(day, trial, drawn, more):
    dry, wet = look(day, trial, drawn), look(day, trial, drawn, ratio=drawn["ratio"] + more)

    rises(dry, wet, ("hose pressure", "pause"))
    rises(wet, dry, ("collapse", "buckling"))
    assert {name: dry[name] for name in ("drying", "fresh temperature")} == {
        name: wet[name] for name in ("drying", "fresh temperature")
    }


@SOME
@given(drawn=draws, warmer=st.floats(0.0, 6.0))
def test_a_warmer_day_stands_better_and_stays_open_for_less(day, trial, drawn, warmer):
    cool, warm = look(day, trial, drawn), look(day, trial, drawn, temperature=drawn["temperature"] + warmer)

    rises(cool, warm, ("collapse", "buckling"))
    rises(warm, cool, ("interval", "pause"))
    if cool["fresh temperature"] >= 0:
        rises(warm, cool, ("fresh temperature",))


@SOME
@given(drawn=draws, more=st.floats(1.0, 2.0))
@pytest.mark.parametrize(
    ("name", "better", "worse"),
    [
        ("yield_stress", ("collapse",), ("hose pressure", "pause")),
        ("growth", ("collapse",), ("pause",)),
        ("stiffness", ("buckling",), ()),
        ("stiffening", ("buckling",), ()),
        ("viscosity", (), ("hose pressure",)),
        ("open_time", ("interval", "pause"), ()),
        ("wind", (), ("drying",)),
        ("collapse_model", ("collapse",), ()),
        ("buckling_model", ("buckling",), ()),
    ],
)
def test_each_input_moves_its_own_limits_the_right_way_and_no_others(  # noqa: PLR0917  (one for each column)
    day, trial, name, better, worse, drawn, more
):
    less, greater = look(day, trial, drawn), look(day, trial, drawn, **{name: drawn[name] * more})

    rises(less, greater, better)
    rises(greater, less, worse)
    for other in set(less) - {*better, *worse}:
        assert greater[other] == less[other], other


@SOME
@given(drawn=draws, drier=st.floats(0.0, 0.3))
def test_humid_air_never_dries_faster(day, trial, drawn, drier):
    dry, humid = (look(day, trial, drawn, humidity=at) for at in (drawn["humidity"] - drier, drawn["humidity"]))

    rises(dry, humid, ("drying",))


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
