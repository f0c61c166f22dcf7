"""A day drawn at the median of every input has the margins of the plan, whatever the plan can and can't tell."""

import numpy as np
import pytest

import invented_site as site
import risk_days as days
from evenbead.plan.fresh.all import fresh_checks
from evenbead.plan.risk import LIMITS, rooms, trial_of

HOT = days.weathered(days.EVEN).replace('"27 degC"', '"39 degC"')
ROUNDED = site.changed(days.weathered(days.EVEN), "[printing]", '[printing]\nacceleration = "500 mm/s^2"')
NO_FRESH = days.ONE_PART[: days.ONE_PART.index("[fresh]")]
CASES = {
    "one part": {"job": ROUNDED},
    "two parts": {"job": ROUNDED, "mortar": days.TWO_PART},
    "open time decides": {"job": days.without_limits(days.weathered(days.EVEN))},
    "tall": {"job": days.weathered(days.EVEN), "code": site.bench_code(layers=60)},
    "a long pause": {"job": days.weathered(days.EVEN), "code": days.paused_code(layers=24, after=20)},
    "hot and slow": {"job": days.without_limits(HOT), "code": site.bench_code(feed=800, layers=20)},
    "a hose with a rise": {
        "job": days.weathered(days.EVEN),
        "station": site.changed(days.STATION, 'bore = "35 mm"', 'bore = "30 mm"\nrise = "3 m"'),
    },
    "a small pressure limit": {
        "job": days.weathered(days.EVEN),
        "station": site.changed(days.STATION, '"40 bar"', '"9 bar"'),
    },
    "a cold morning": {
        "job": days.weathered(days.EVEN, days.HOURS.replace("17 degC", "2 degC").replace("27 degC", "4 degC"))
        .replace('"20 degC"', '"2 degC"')
        .replace('"14 degC"', '"4 degC"')
    },
    "two parts without limits": {
        "job": days.without_limits(days.weathered(days.EVEN)),
        "mortar": site.changed(days.TWO_PART, 'pause_limit = "8 min"\n', ""),
    },
    "no weather": {"job": days.EVEN},
    "neither weather nor temperatures": {
        "job": days.EVEN.replace('powder_temperature = "20 degC"\n', "")
    },
    "one layer": {"job": days.weathered(days.EVEN), "code": site.bench_code(layers=1)},
    "nothing measured": {"job": days.without_limits(days.weathered(days.EVEN)), "mortar": NO_FRESH},
    "nothing measured, limits given": {"job": days.weathered(days.EVEN), "mortar": NO_FRESH},
    "no growth measured": {
        "mortar": site.changed(
            days.ONE_PART, 'growth = { law = "exponential", rate = "150 Pa/min", time = "40 min" }\n', ""
        )
    },
    "a law with a bend": {
        "mortar": site.changed(
            days.ONE_PART, '{ law = "exponential", rate = "150 Pa/min", time = "40 min" }',
            '{ law = "bilinear", reflocculation = "90 Pa/min", rise = "300 Pa", structuration = "12 Pa/min" }',
        )
    },
}  # fmt: skip


@pytest.mark.parametrize("texts", CASES.values(), ids=CASES)
def test_the_room_at_the_median_is_the_margin_of_the_plan(tmp_path, texts):
    day = days.ready(tmp_path, **texts)
    checks = {check.name: check for check in fresh_checks(day.situation)}

    found = rooms(trial_of(day.situation), days.median(day))

    for name in LIMITS[1:]:
        check = checks[name]
        if check.verdict == "unknown":
            assert name not in found
        elif check.margin is None:  # no bead is covered by another: nothing can be too late
            assert np.isinf(found[name])
        else:
            margin = check.value - 1.0 if name in {"collapse", "buckling"} else check.margin
            assert found[name] == pytest.approx(margin, rel=1e-3, abs=1e-3 * abs(check.limit))


def test_the_cases_tell_and_pass_every_limit_at_least_once(tmp_path):
    verdicts = {}
    for number, texts in enumerate(CASES.values()):
        folder = tmp_path / str(number)
        folder.mkdir()
        for check in fresh_checks(days.ready(folder, **texts).situation):
            verdicts.setdefault(check.name, set()).add(check.verdict)

    for name in LIMITS[1:]:
        assert "ok" in verdicts[name]
        assert "unknown" in verdicts[name] or name == "interval"
        assert {"stop", "caution"} & verdicts[name]


@pytest.mark.parametrize("pace", [0.4, 0.75, 1.6])
@pytest.mark.parametrize("mortar", [days.ONE_PART, days.TWO_PART], ids=["one part", "two parts"])
def test_another_pace_is_the_plan_of_a_print_at_that_speed(tmp_path, pace, mortar):
    texts = {"mortar": mortar, "job": days.without_limits(days.EVEN)}
    day = days.ready(tmp_path, code=site.bench_code(layers=30), **texts)
    other = days.ready(tmp_path, code=site.bench_code(layers=30, feed=6000 / pace), **texts)

    found = rooms(trial_of(day.situation), days.median(day), pace=pace)

    for check in fresh_checks(other.situation):
        if check.name in found and check.margin is not None:
            margin = check.value - 1.0 if check.name in {"collapse", "buckling"} else check.margin
            assert found[check.name] == pytest.approx(margin, rel=2e-3, abs=2e-3 * abs(check.limit)), check.name


def test_wetter_mortar_is_the_plan_of_a_weaker_and_softer_one(tmp_path):
    # k = 24 and 0.004 more water: yield stress, growth, modulus and its growth all times exp(-0.096).
    factor = np.exp(-24 * 0.004)
    weaker = days.ONE_PART
    values = (("yield_stress", 1550, "Pa"), ("dynamic_yield_stress", 450, "Pa"), ("elastic_modulus", 110, "kPa"),
              ("elastic_growth", 30, "kPa/min"))  # fmt: skip
    for key, number, unit in values:
        weaker = site.changed(weaker, f'\n{key} = "{number} {unit}"', f'\n{key} = "{number * factor:.12g} {unit}"')
    weaker = site.changed(weaker, 'rate = "150 Pa/min"', f'rate = "{150 * factor:.12g} Pa/min"')
    day = days.ready(tmp_path, code=site.bench_code(layers=30))
    other = days.ready(tmp_path, code=site.bench_code(layers=30), mortar=weaker)

    wet = rooms(trial_of(day.situation), days.median(day, feed=0.162 / 0.158))
    weak = rooms(trial_of(other.situation), days.median(other))

    for name in ("collapse", "buckling", "hose pressure", "pause"):
        assert wet[name] == pytest.approx(weak[name], rel=1e-6)


def test_warmer_days_are_the_plan_of_warmer_weather_and_supply(tmp_path):
    job = days.without_limits(days.weathered(days.EVEN))
    warmer = job
    for old, new in (("17", "20"), ("27", "30"), ("20", "23"), ("14", "17")):
        warmer = warmer.replace(f'temperature = "{old} degC"', f'temperature = "{new} degc"')
    warmer = warmer.replace("degc", "degC")
    day = days.ready(tmp_path, job=job, code=site.bench_code(layers=30))
    other = days.ready(tmp_path, job=warmer, code=site.bench_code(layers=30))

    drawn = rooms(trial_of(day.situation), days.median(day, temperature=3.0))
    planned = rooms(trial_of(other.situation), days.median(other))

    assert drawn["fresh temperature"] == pytest.approx(planned["fresh temperature"], rel=1e-9)
    assert drawn["drying"] == pytest.approx(planned["drying"], rel=1e-6)
    for name in ("collapse", "buckling", "interval", "pause"):
        assert drawn[name] == pytest.approx(planned[name], rel=0.005)


def test_windier_and_drier_days_are_the_plan_of_such_weather(tmp_path):
    hours = days.HOURS
    for old, new in (("0.72", "0.62"), ("0.45", "0.35"), ('"1.5 m', '"2.1 m'), ('"3.5 m', '"4.9 m')):
        hours = site.changed(hours, old, new)
    day = days.ready(tmp_path, job=days.weathered(days.EVEN))
    other = days.ready(tmp_path, job=days.weathered(days.EVEN, hours))

    drawn = rooms(trial_of(day.situation), days.median(day, humidity=-0.1, wind=1.4))

    assert drawn["drying"] == pytest.approx(rooms(trial_of(other.situation), days.median(other))["drying"], rel=1e-9)


def test_limits_may_be_looked_at_one_by_one(tmp_path):
    day = days.ready(tmp_path, job=days.weathered(days.EVEN))
    trial = trial_of(day.situation)
    whole = rooms(trial, days.median(day))

    assert set(whole) == set(LIMITS)
    for name in LIMITS:
        assert rooms(trial, days.median(day), limits=[name]) == {name: whole[name]}
