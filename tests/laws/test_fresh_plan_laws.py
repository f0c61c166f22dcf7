"""Laws of the fresh mortar in a whole plan: which way each answer must move, and what must not move it."""

from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

import invented_site as site
from evenbead.documents import Job, Mortar, Station, document_from_text
from evenbead.documents.case import Case, CaseFiles
from evenbead.plan import as_contract, plan_day
from invented_paths import Path, rectangle

FEW = settings(max_examples=15, deadline=None)
BY_OPEN_TIME = site.changed(site.JOB, 'layer_interval = "20 min"\n', "")


def bench(layers=4, *, speed=0.1, length=1.7):
    ways = Path()
    for layer in range(layers):
        ways.run(rectangle(0.0, 0.0, length, 0.6, 0.015 * (layer + 1)))
    return ways.toolpath(speed=speed)


BENCH = bench()


def plan_of(path=BENCH, *, station=site.SOUND_STATION, mortar=site.SOUND_ONE_PART, job=site.JOB):
    case = Case(
        job=document_from_text(job, Job, file="job.toml"),
        station=document_from_text(station, Station, file="station.toml"),
        mortar=document_from_text(mortar, Mortar, file="mortar.toml"),
        files=CaseFiles(job=None, station=None, mortar=None, toolpath=None),
        station_lines={},
    )
    return plan_day(case, path, made_at=site.MADE_AT)


def checks(*path, **texts):
    return {check.name: check for check in plan_of(*path, **texts).checks}


def warmer(kelvin, job=site.JOB):
    """The job on a day that is so much warmer in everything."""
    for name, degrees in (("air", 17), ("air", 25), ("powder", 20), ("water", 14)):
        job = site.changed(
            job, f'{name}_temperature = "{degrees} degC"', f'{name}_temperature = "{degrees + kelvin!r} degC"'
        )
    return job


def numbers_in(value, key=""):
    if isinstance(value, dict):
        for name, item in value.items():
            yield from numbers_in(item, f"{key}.{name}")
    elif isinstance(value, list):
        for index, item in enumerate(value):
            yield from numbers_in(item, f"{key}[{index}]")
    elif isinstance(value, int | float):
        yield key, value


@pytest.mark.parametrize("mortar", [site.ONE_PART, site.SOUND_TWO_PART], ids=["one-part", "two-part"])
def test_documents_in_us_units_give_the_same_verdicts_and_numbers(mortar):
    texts = {"station": site.SOUND_STATION, "mortar": mortar, "job": site.JOB}
    metric, us = plan_of(**texts), plan_of(**{name: site.in_us_units(text) for name, text in texts.items()})

    assert [(c.name, c.verdict, c.governs) for c in us.checks] == [
        (c.name, c.verdict, c.governs) for c in metric.checks
    ]
    assert dict(numbers_in(as_contract(us))) == pytest.approx(dict(numbers_in(as_contract(metric))), rel=1e-7, abs=1e-9)


@FEW
@given(layers=st.integers(2, 24), more=st.integers(1, 12))
def test_a_taller_print_never_stands_better(layers, more):
    low, high = checks(bench(layers)), checks(bench(layers + more))

    for name in ("collapse", "buckling"):
        assert high[name].value <= low[name].value * (1 + 1e-6)


@FEW
@given(st.floats(0.3, 0.95))
def test_a_slower_print_never_stands_worse_and_waits_longer(factor):
    fast, slow = checks(bench(8)), checks(bench(8, speed=0.1 * factor))

    for name in ("collapse", "buckling"):
        assert slow[name].value >= fast[name].value * (1 - 1e-6)
    assert slow["interval"].value > fast["interval"].value
    assert slow["open time in line"].value > fast["open time in line"].value


@FEW
@given(st.floats(1.0, 60.0), st.floats(1.02, 4.0))
def test_a_longer_hose_never_lets_a_print_pause_longer(length, factor):
    near, far = (
        checks(station=site.changed(site.SOUND_STATION, '"14 m"', f'"{metres!r} m"'))
        for metres in (length, length * factor)
    )

    assert far["pause"].value <= near["pause"].value + 1e-6
    assert far["hose pressure"].value > near["hose pressure"].value
    assert far["open time in line"].margin < near["open time in line"].margin


@FEW
@given(st.floats(15.0, 60.0), st.floats(1.02, 2.0))
def test_a_wider_hose_asks_for_less_pressure(bore, factor):
    narrow, wide = (
        checks(station=site.changed(site.SOUND_STATION, '"35 mm"', f'"{mm!r} mm"')) for mm in (bore, bore * factor)
    )

    assert wide["hose pressure"].value < narrow["hose pressure"].value
    if wide["pause"].governs == narrow["pause"].governs == "restart pressure":
        assert wide["pause"].value >= narrow["pause"].value


@FEW
@given(st.floats(0.0, 8.0), st.floats(0.5, 8.0))
def test_warmer_weather_never_leaves_more_open_time_or_longer_pauses(kelvin, more):
    cool, warm = (checks(job=warmer(by, BY_OPEN_TIME)) for by in (kelvin, kelvin + more))

    for name in ("open time in line", "interval", "fresh temperature"):
        assert warm[name].margin < cool[name].margin + 1e-9
    assert warm["pause"].value <= cool["pause"].value + 1e-9
    # what must stay open must also stiffen: the wall stands no worse
    for name in ("collapse", "buckling"):
        assert warm[name].value >= cool[name].value * (1 - 1e-6)


@FEW
@given(st.floats(1.0, 12.0), st.floats(0.1, 6.0))
def test_colder_water_never_shortens_the_open_time(water, more):
    cold, warm = (
        checks(job=site.changed(site.JOB, '"14 degC"', f'"{degrees!r} degC"')) for degrees in (water, water + more)
    )

    assert cold["open time in line"].limit >= warm["open time in line"].limit - 1e-6
    assert cold["fresh temperature"].value < warm["fresh temperature"].value


@FEW
@given(st.floats(0.5, 8.0), st.floats(0.1, 8.0))
def test_more_wind_never_dries_less(wind, more):
    calm, windy = (
        checks(job=site.JOB.replace('"1.5 m/s"', f'"{speed!r} m/s"').replace('"2.0 m/s"', f'"{speed!r} m/s"'))
        for speed in (wind, wind + more)
    )

    assert windy["drying"].value >= calm["drying"].value


@FEW
@given(st.integers(2, 20), st.integers(1, 10))
def test_layers_laid_later_never_shorten_an_interval(layers, more):
    few, many = plan_of(bench(layers)), plan_of(bench(layers + more))
    longest = {
        name: next(c for c in plan.checks if c.name == "interval").value
        for name, plan in (("few", few), ("many", many))
    }

    assert longest["many"] >= longest["few"] - 1e-6


@FEW
@given(st.floats(1.05, 3.0))
def test_stiffer_mortar_stands_in_proportion(factor):
    mortar = site.changed(site.SOUND_ONE_PART, '"110 kPa"', f'"{110 * factor!r} kPa"')
    mortar = site.changed(mortar, '"2.4 kPa/min"', f'"{2.4 * factor!r} kPa/min"')
    soft, stiff = checks()["buckling"].value, checks(mortar=mortar)["buckling"].value

    # all stiffness alike: the load factor of a linear problem grows alike
    assert stiff == pytest.approx(soft * factor, rel=1e-5)


def test_every_verdict_has_its_reason_and_what_is_wrong_says_what_to_change():
    for texts in ({}, {"mortar": site.ONE_PART}, {"job": warmer(18.0)}, {"mortar": site.TWO_PART}):
        for check in plan_of(bench(12), **texts).checks:
            assert check.why
            assert check.governs
            assert bool(check.change) == (check.verdict != "ok"), check.name
            if check.verdict != "unknown" and check.limit is not None:
                assert math.isfinite(check.value)
                assert math.isfinite(check.margin)
            if check.verdict == "stop":
                assert check.margin < 0, check.name
