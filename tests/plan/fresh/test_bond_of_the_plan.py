"""Will the layers bond, in the plan: what each bead waits against what it may wait, and how fast it dries."""

import math
import re

import pytest

import invented_site as site

BY_OPEN_TIME = [('layer_interval = "20 min"\n', "")]
WARM = [
    ('air_temperature = "17 degC"', 'air_temperature = "33 degC"'),
    ('air_temperature = "25 degC"', 'air_temperature = "33 degC"'),
]


@pytest.mark.parametrize(("allowed", "verdict"), [("20 min", "ok"), ("70 s", "caution"), ("50 s", "stop")])
def test_the_jobs_own_limit_decides(check, allowed, verdict):
    found = check("interval", job=[("20 min", allowed)])

    assert found.verdict == verdict
    assert found.governs == "limits.layer_interval"
    # plane geometry: once around the bench of 5.6 m at 0.1 m/s
    assert found.value == pytest.approx(56.6, abs=0.6)
    assert bool(found.change) == (verdict != "ok")


def test_else_the_open_time_at_the_hours_temperature_less_the_way_through_the_line(check):
    # The air is warmer than the mortar and counts; Arrhenius by hand with 38 kJ/mol from 20 to 33 °C.
    found = check("interval", job=[*BY_OPEN_TIME, *WARM])
    faster = math.exp(38e3 / 8.314462618 * (1 / 293.15 - 1 / 306.15))
    line = 261.2  # s, hold-up of chamber and hose over the flow

    assert found.governs == "open time at the hour's temperature"
    assert found.limit == pytest.approx(50 * 60 / faster - line, rel=2e-3)


def test_open_time_says_nothing_once_an_accelerator_is_mixed_in(check):
    found = check("interval", two_part=True, job=BY_OPEN_TIME)

    assert found.verdict == "unknown"
    assert "limits.layer_interval" in found.why


def test_an_open_time_shorter_than_the_line_leaves_nothing(check):
    found = check("interval", job=BY_OPEN_TIME, mortar=[('open_time = "50 min"', 'open_time = "3 min"')])

    assert found.verdict == "stop"
    assert found.limit == 0.0


def test_one_layer_waits_for_nothing(check):
    found = check("interval", code=site.bench_code(layers=1))

    assert (found.verdict, found.value, found.limit) == ("ok", 0.0, None)


def test_how_much_is_too_late_is_said(check):
    long_pause = site.bench_code(layers=3).replace("M9\n", "M9\nG4 P1500\n", 1)
    found = check("interval", code=long_pause)

    assert found.verdict == "stop"
    # of two covered layers one
    assert re.search(r"; 50(\.\d)? % of the covered length is later", found.why)


@pytest.mark.parametrize(("wind", "verdict"), [("1.5", "ok"), ("9", "caution"), ("25", "stop")])
def test_drying_is_held_against_half_of_the_alarm_for_slabs(check, wind, verdict):
    found = check(
        "drying",
        job=[('wind = "1.5 m/s"', f'wind = "{wind} m/s"'), ('wind = "2.0 m/s"', f'wind = "{wind} m/s"')],
    )

    assert found.verdict == verdict
    assert found.limit * 3600 == pytest.approx(0.5)
    assert "by Uno" in found.why
    assert "by Menzel" in found.why


def test_drying_is_that_of_unos_formula_by_hand(check):
    same = [
        ('air_temperature = "17 degC"', 'air_temperature = "21.75 degC"'),
        ('air_temperature = "25 degC"', 'air_temperature = "21.75 degC"'),
        ("humidity = 0.72", "humidity = 0.50"),
        ("humidity = 0.55", "humidity = 0.50"),
        ('wind = "1.5 m/s"', 'wind = "5.0 m/s"'),
        ('wind = "2.0 m/s"', 'wind = "5.0 m/s"'),
    ]
    found = check("drying", job=same)
    # Uno's formula in kg/m²/h, °C and km/h, from memory: 5 [(Tc + 18)^2.5 - r (Ta + 18)^2.5] (V + 4) 1e-6
    by_hand = 5 * (39.75**2.5 - 0.50 * 39.75**2.5) * (18 + 4) * 1e-6

    assert found.value * 3600 == pytest.approx(by_hand, rel=0.05)


@pytest.mark.parametrize("taken", ["humidity", "wind"])
def test_without_humidity_or_wind_drying_is_unknown_and_the_rest_is_not(planned, taken):
    job = site.JOB
    lines = [line for line in job.split("\n") if line.startswith(taken)]
    checks = {c.name: c for c in planned(job=[(f"{line}\n", "") for line in lines]).checks}

    assert checks["drying"].verdict == "unknown"
    assert "humidity" in checks["drying"].why
    assert checks["fresh temperature"].verdict == "ok"


def test_a_reading_that_one_entry_lacks_is_interpolated_over_it(check):
    second = "[[weather]]\ntime = 2026-06-18T12:00:00+02:00"
    between = '[[weather]]\ntime = 2026-06-18T09:00:00+02:00\nair_temperature = "20.2 degC"\n\n'
    # 20.2 °C is what the air has at nine anyway, between 17 °C at seven and 25 °C at twelve
    whole, lacking = check("drying"), check("drying", job=[(second, f"{between}{second}")])

    assert lacking.value == pytest.approx(whole.value, rel=1e-9)
