"""The station of the demonstration behaves as such stations do, on both of its prints."""

import datetime as dt
from pathlib import Path

import pytest

from evenbead.documents import read_case
from evenbead.physics.mixing import step_response
from evenbead.plan import plan_day
from evenbead.plan.settling import chamber_of
from evenbead.toolpath.reading import toolpath_for

DEMO = Path(__file__).parents[2] / "demo"
MADE_AT = dt.datetime(2026, 6, 17, tzinfo=dt.UTC)


def demo_plan(folder):
    case = read_case(DEMO / folder / "job.toml")
    return case, plan_day(case, toolpath_for(case.toolpath, case.job), made_at=MADE_AT)


@pytest.fixture(scope="module", params=["one-part", "two-part"])
def demo(request):
    case, plan = demo_plan(request.param)
    assert case.mortar.kind == request.param
    return case, plan


@pytest.fixture
def plan(demo):
    return demo[1]


@pytest.fixture(scope="module")
def too_much():
    return {check.name: check for check in demo_plan("too-much")[1].checks}


def test_it_settles_as_common_practice_expects(demo):
    # common practice, no source: even mortar within about 2 minutes of starting, a change of water seen at the
    # mixer's outlet within about 1 minute
    case, plan = demo
    after_a_minute = step_response(chamber_of(case.station.mixer), plan.demand.flow.mean * 60)

    assert plan.settling.start < 120
    assert after_a_minute > 0.9


def test_nothing_speaks_against_either_print(plan):
    assert {check.verdict for check in plan.checks} == {"ok"}
    assert plan.demand.layers >= 60


def test_the_start_looked_at_lies_within_the_weather(demo):
    case, plan = demo
    first, last = case.job.weather[0].time, case.job.weather[-1].time
    starts = [case.job.start + dt.timedelta(seconds=hour.shift) for hour in plan.start_hours]

    assert len(starts) > 10
    assert all(first <= start <= last for start in starts)
    assert plan.best_start in plan.start_hours


def test_accelerated_mortar_may_stand_for_some_minutes_only(demo):
    # common practice, no source: at most about 10 minutes with accelerator mixed in, then stop and clean
    case, plan = demo
    pause = next(check for check in plan.checks if check.name == "pause")

    if case.mortar.kind == "two-part":
        assert 5 * 60 <= pause.value <= 10 * 60
        assert "accelerator" in pause.governs
    else:
        assert pause.value > 10 * 60


def test_a_supply_of_240_volts_and_20_amperes_suits_the_station(plan):
    # common practice, no source: a single-phase 240 V 20 A supply is usual for such a station
    power = next(check for check in plan.checks if check.name == "power supply")

    assert power.verdict == "ok"
    assert 8.0 < power.value <= 16.0
    assert "licensed electrician" in power.why


def test_too_tall_too_fast_and_too_hot_stops_for_these_reasons(too_much):
    stops = {name for name, check in too_much.items() if check.verdict == "stop"}

    assert {"buckling", "collapse", "interval", "drying", "pause", "fresh temperature"} <= stops
    # what has nothing to do with it is not blamed
    for name in ("water speed", "powder speed", "ratio", "bead width", "hopper", "power supply", "water supply"):
        assert too_much[name].verdict == "ok"
    assert all(too_much[name].margin < 0 for name in stops)


@pytest.mark.parametrize(
    ("name", "advice"),
    [
        ("buckling", "or more a layer"),
        ("collapse", "lower"),
        ("interval", "print faster"),
        ("drying", "another start hour"),
        ("pause", "cooler mortar"),
        ("fresh temperature", "colder water or ice"),
        ("cooling", "prepare it before the start"),
    ],
)
def test_each_reason_says_what_to_change(too_much, name, advice):
    assert advice in too_much[name].change


def test_cooling_says_how_much_ice_and_how_long_it_lasts(too_much):
    why = too_much["cooling"].why

    assert "of ice an hour" in why
    assert "25 kg last" in why
