"""The fastest print: it keeps what was wanted, and hardly a faster one would."""

import pytest

import invented_site as site
import risk_days as days
from evenbead.physics.draws import drawn
from evenbead.plan.risk import distributions, fastest, rooms, trial_of
from evenbead.plan.risk.feeds import allowed_paces

ROOMY = site.changed(days.STATION, 'speed_range = ["60 rpm", "1000 rpm"]', 'speed_range = ["1 rpm", "9000 rpm"]')
ROOMY = site.changed(ROOMY, 'speed_range = ["10 rpm", "160 rpm"]', 'speed_range = ["1 rpm", "3000 rpm"]')
DRAWS = 2048
COOL = site.changed(days.EVEN, 'fresh_temperature = "30 degC"', 'fresh_temperature = "50 degC"')
"""A job whose mortar may get warm, so that slow prints are not ended by the heat of the shaft."""


def risks(day, pace):
    values = drawn(distributions(day.situation, day.expected), count=DRAWS, seed=1)
    return {name: float((room < 0).mean()) for name, room in rooms(trial_of(day.situation), values, pace=pace).items()}


def suggested(day, wanted):
    return fastest(trial_of(day.situation), day.expected, wanted=wanted, draws=DRAWS, seed=1)


@pytest.mark.parametrize("wanted", [0.03, 0.05, 0.2])
@pytest.mark.parametrize("layers", [9, 12])
def test_at_the_pace_every_failure_is_as_rare_as_wanted_and_three_in_a_hundred_faster_one_is_not(
    tmp_path, wanted, layers
):
    day = days.ready(
        tmp_path, station=ROOMY, job=site.changed(COOL, '"20 min"', '"4 h"'), code=site.bench_code(layers=layers)
    )
    found = suggested(day, wanted)

    assert found.pace is not None
    assert found.apart == {}
    at, faster = risks(day, found.pace), risks(day, found.pace / 1.03)
    assert max(at.values()) <= wanted
    assert max(faster.values()) > wanted
    assert found.binding == max(faster, key=lambda name: faster[name])
    assert found.probability == at[found.binding]


def test_what_no_pace_keeps_stands_apart_and_the_rest_gets_a_pace(tmp_path):
    job = days.weathered(COOL).replace("[limits]", '[limits]\nevaporation = "0.1 kg/m^2/h"')
    day = days.ready(tmp_path, station=ROOMY, job=job, code=site.bench_code(layers=9))

    found = suggested(day, 0.05)

    assert found.pace is None
    assert list(found.apart) == ["drying"]
    assert (found.binding, found.probability) == ("drying", found.apart["drying"])
    at, faster = (risks(day, found.pace_of_rest * share) for share in (1.0, 1 / 1.03))
    assert max(risk for name, risk in at.items() if name != "drying") <= 0.05
    assert max(risk for name, risk in faster.items() if name != "drying") > 0.05


def test_where_slow_and_fast_prints_both_fail_there_is_none(tmp_path):
    job = site.changed(COOL, '"20 min"', '"62 s"\npause = "0 s"')
    found = suggested(days.ready(tmp_path, station=ROOMY, job=job, code=site.bench_code(layers=20)), 0.05)

    assert found.pace is None
    assert found.pace_of_rest is None
    assert found.binding in {"buckling", "interval", "pause"}
    assert found.probability > 0.05


def test_a_print_that_would_stand_at_any_pace_is_as_fast_as_the_feeds(tmp_path):
    day = days.ready(tmp_path, code=site.bench_code(layers=1))

    found = suggested(day, 0.1)

    assert found.binding == "feeds"
    assert found.pace == pytest.approx(allowed_paces(day.situation.settings)[0])


def test_feeds_that_never_meet_are_named(tmp_path):
    narrow = site.changed(days.STATION, 'speed_range = ["10 rpm", "160 rpm"]', 'speed_range = ["10 rpm", "11 rpm"]')
    narrow = site.changed(narrow, 'speed_range = ["60 rpm", "1000 rpm"]', 'speed_range = ["900 rpm", "1000 rpm"]')

    found = suggested(days.ready(tmp_path, station=narrow), 0.1)

    assert (found.pace, found.binding) == (None, "feeds")
