"""Laws of a whole plan: what must not change it, and which way it must move when something else does."""

from __future__ import annotations

import io
import json
import math
import re
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import event, given, settings
from hypothesis import strategies as st
from rich.console import Console

import invented_site as site
from evenbead.documents import Job, Mortar, Station, document_from_text
from evenbead.documents.case import Case, CaseFiles
from evenbead.errors import InputRefused
from evenbead.plan import as_contract, plan_day
from evenbead.report.card import card_words
from evenbead.report.litres_chart import litres_chart
from evenbead.report.terminal import print_plan
from invented_paths import Path, divided, rectangle, toolpath

FEW = settings(max_examples=25, deadline=None)
LAYERS = 4
WAYS = Path()
for _layer in range(LAYERS):
    WAYS.run(rectangle(0.0, 0.0, 1.7, 0.6, 0.015 * (_layer + 1)))
BENCH = WAYS.toolpath(speed=0.1)


def case_of(*, station=site.STATION, mortar=site.TWO_PART, job=site.JOB):
    return Case(
        job=document_from_text(job, Job, file="job.toml"),
        station=document_from_text(station, Station, file="station.toml"),
        mortar=document_from_text(mortar, Mortar, file="mortar.toml"),
        files=CaseFiles(job=None, station=None, mortar=None, toolpath=None),
        station_lines={},
    )


def plan_of(path=BENCH, **texts):
    return plan_day(case_of(**texts), path, made_at=site.MADE_AT)


def numbers_in(value, key=""):
    """Every number of a contract under its path."""
    if isinstance(value, dict):
        for name, item in value.items():
            yield from numbers_in(item, f"{key}.{name}")
    elif isinstance(value, list):
        for index, item in enumerate(value):
            yield from numbers_in(item, f"{key}[{index}]")
    elif isinstance(value, int | float):
        yield key, value


def numbers(plan):
    return dict(numbers_in(as_contract(plan)))


PLAIN = plan_of()


def test_documents_in_us_units_give_the_same_plan():
    us = plan_of(**{
        name: site.in_us_units(text)
        for name, text in (("station", site.STATION), ("mortar", site.TWO_PART), ("job", site.JOB))
    })  # fmt: skip

    assert numbers(us) == pytest.approx(numbers(PLAIN), rel=1e-8, abs=1e-12)


def test_units_of_the_words_do_not_touch_the_numbers():
    us = plan_day(case_of(), BENCH, made_at=site.MADE_AT, system="us")

    assert numbers(us) == numbers(PLAIN)
    assert [check.why for check in us.checks] != [check.why for check in PLAIN.checks]


@FEW
@given(st.integers(2, 40))
def test_splitting_moves_changes_no_number(pieces):
    job = site.changed(site.JOB, 'acceleration = "500 mm/s^2"\n', "")

    assert numbers(plan_of(divided(BENCH, pieces), job=job)) == pytest.approx(numbers(plan_of(job=job)), rel=1e-7)


@pytest.mark.parametrize("pieces", [2, 3])  # pieces long enough for the nozzle to round a corner within them
def test_splitting_moves_changes_no_number_of_a_machine_that_slows_in_corners(pieces):
    assert numbers(plan_of(divided(BENCH, pieces))) == pytest.approx(numbers(PLAIN), rel=1e-7, abs=1e-9)


@FEW
@given(x=st.floats(-50, 50), y=st.floats(-50, 50), angle=st.floats(0, 2 * math.pi))
def test_where_the_print_lies_and_how_it_is_turned_changes_no_number(x, y, angle):
    c, s = math.cos(angle), math.sin(angle)
    moved = toolpath(
        x + c * BENCH.x - s * BENCH.y, y + s * BENCH.x + c * BENCH.y, BENCH.z, on=BENCH.on, speed=BENCH.speed
    )

    assert numbers(plan_of(moved)) == pytest.approx(numbers(PLAIN), rel=1e-7, abs=1e-9)


@FEW
@given(width=st.floats(20, 120), height=st.floats(5, 19), section=st.sampled_from(["stadium", "rectangle"]))
def test_litres_are_the_section_times_the_length(width, height, section):
    job = re.sub(
        r'\[bead\](.|\n)*?section = "stadium"',
        f'[bead]\nwidth = "{width!r} mm"\nlayer_height = "{height!r} mm"\nsection = "{section}"',
        site.JOB,
    )
    demand = plan_of(job=job).demand
    # plane geometry: a stadium is a rectangle of w - h between two half circles
    area = width * height if section == "rectangle" else (width - height) * height + math.pi / 4 * height**2

    assert demand.printed_volume == pytest.approx(area * 1e-6 * demand.path_length, rel=1e-9)
    assert demand.flow.mean == pytest.approx(demand.printed_volume / demand.on_time, rel=1e-9)


@FEW
@given(st.floats(0.2, 5.0))
def test_flow_and_settings_follow_the_speed_when_speeds_are_reached_at_once(factor):
    job = site.changed(site.JOB, 'acceleration = "500 mm/s^2"\n', "")
    plain = plan_of(job=job)
    faster = plan_of(replace(BENCH, speed=BENCH.speed * factor), job=job)

    assert faster.demand.flow.mean == pytest.approx(plain.demand.flow.mean * factor, rel=1e-9)
    assert faster.demand.printed_volume == pytest.approx(plain.demand.printed_volume, rel=1e-12)
    assert faster.settling.judge_after == pytest.approx(plain.settling.judge_after / factor, rel=1e-9)
    assert faster.settings.powder.mass_flow == pytest.approx(plain.settings.powder.mass_flow * factor, rel=1e-9)
    assert faster.settling.start_waste == pytest.approx(plain.settling.start_waste, rel=1e-9)


@FEW
@given(st.floats(1.0, 100.0), st.floats(1.01, 5.0))
def test_a_longer_hose_is_judged_later_and_costs_more(length, factor):
    near, far = (
        plan_of(station=site.changed(site.STATION, '"14 m"', f'"{metres!r} m"')) for metres in (length, length * factor)
    )

    assert far.settling.judge_after >= near.settling.judge_after
    assert far.settling.change == near.settling.change
    assert far.materials.powder >= near.materials.powder
    assert far.materials.wash_water >= near.materials.wash_water
    assert far.settling.age_at_nozzle >= near.settling.age_at_nozzle


@FEW
@given(st.floats(1.0, 40.0), st.floats(1.05, 5.0))
def test_more_doubt_in_the_scale_is_never_less_doubt_in_the_ratio(grams, factor):
    sure, unsure = (
        plan_of(station=site.changed(site.STATION, "[water]", f'[water]\nscale_doubt = "{g!r} g"')).expected
        for g in (grams, grams * factor)
    )

    assert float(unsure.ratio.u) >= float(sure.ratio.u) * (1 - 1e-9)
    assert float(unsure.flow.u) >= float(sure.flow.u) * (1 - 1e-9)
    assert unsure.in_band <= sure.in_band + 1e-9


@FEW
@given(st.floats(0.5, 50.0))
def test_bags_hold_the_powder_whatever_their_size(bag):
    materials = plan_of(mortar=site.changed(site.TWO_PART, '"25 kg"', f'"{bag!r} kg"')).materials

    assert (materials.bags - 1) * bag < materials.powder * (1 + 1e-9)
    assert materials.bags * bag >= materials.powder * (1 - 1e-9)
    assert materials.powder == pytest.approx(PLAIN.materials.powder, rel=1e-9)
    assert materials.water_per_bag == pytest.approx(0.158 * bag, rel=1e-9)


@FEW
@given(st.floats(0.0, 1.0))
def test_spare_is_the_allowance_or_what_keeps_the_hopper_above_its_level(allowance):
    job = site.changed(site.JOB, "[supply]", f"[supply]\nallowance = {allowance!r}")
    litres = plan_of(job=job).materials.litres
    needed = litres.total - litres.spare

    assert litres.spare >= allowance * needed * (1 - 1e-9)


@FEW
@given(st.integers(1, 30))
def test_layers_start_one_after_the_other_and_end_with_the_print(layers):
    ways = Path()
    for layer in range(layers):
        ways.run(rectangle(0.0, 0.0, 1.7, 0.6, 0.015 * (layer + 1)))
    plan = plan_of(ways.toolpath(speed=0.1))

    assert plan.demand.layers == layers
    assert np.all(np.diff(plan.layers.start) > 0)
    assert plan.layers.start[-1] + plan.layers.duration[-1] <= plan.demand.duration * (1 + 1e-9)
    assert plan.layers.volume.sum() == pytest.approx(plan.demand.printed_volume, rel=1e-9)
    assert np.all(np.diff(plan.progress.time) >= 0)
    assert np.all(np.diff(plan.progress.volume) >= 0)
    assert plan.progress.volume[-1] == pytest.approx(plan.demand.printed_volume, rel=1e-9)
    assert plan.progress.time[-1] == pytest.approx(plan.demand.duration, rel=1e-12)


numbers_from = st.floats(0.0, 1.0)


@settings(max_examples=60, deadline=None)
@given(data=st.data())
def test_any_sound_documents_give_a_finite_plan_that_can_be_shown(data):
    def quantity(low, high, unit):
        # over the whole range that the documents allow, its ends included, small values as likely as large ones
        share = data.draw(st.one_of(st.sampled_from([0.0, 1.0]), numbers_from))
        value = low * (high / low) ** share if low else high * share**4
        return f'"{value!r} {unit}"'

    def bare(low, high):
        return repr(low + (high - low) * data.draw(st.one_of(st.sampled_from([0.0, 1.0]), numbers_from)))

    station = site.STATION
    for old, new in [
        ('chamber_volume = "2.8 L"', f"chamber_volume = {quantity(0.05, 500, 'L')}"),
        ("plug_fraction = 0.3", f"plug_fraction = {bare(0, 1)}\nsettled = {bare(0.5, 0.9999)}"),
        ("tanks = 3", f"tanks = {bare(1, 100)}"),
        ("[water]\n", f"[water]\nscale_doubt = {quantity(0, 1000, 'g')}\nstopwatch_doubt = {quantity(0, 10, 's')}\n"),
        ("[powder]\n", f"[powder]\nspeed_step = {quantity(0, 100, 'rpm')}\n"),
        ('capacity = "110 kg"', f"capacity = {quantity(40, 100_000, 'kg')}"),
        ("[hopper]\n", f"[hopper]\nbag_time = {quantity(0, 30, 'min')}\n"),
        ('length = "14 m"', f"length = {quantity(0, 500, 'm')}"),
        ('bore = "35 mm"', f"bore = {quantity(5, 200, 'mm')}"),
    ]:
        station = site.changed(station, old, new)
    mortar = site.changed(site.TWO_PART, 'bag = "25 kg"', f"bag = {quantity(0.5, 2000, 'kg')}")
    mortar = site.changed(mortar, "air_content = 0.03", f"air_content = {bare(0, 0.5)}")
    mortar = site.changed(mortar, "dose = 0.035\ndose_range = [0.02, 0.06]", f"dose = {bare(0, 0.5)}")
    job = site.changed(site.JOB, 'section = "stadium"', f"width_tolerance = {bare(0.001, 1)}")
    job = site.changed(job, 'acceleration = "500 mm/s^2"', f"acceleration = {quantity(1, 50_000, 'mm/s^2')}")
    job = site.changed(job, "[supply]", f"[supply]\nallowance = {bare(0, 1)}")
    job = site.changed(
        job, "[limits]", f"[limits]\npause_over = {quantity(0, 120, 'min')}\nwidth_outside = {bare(0, 1)}"
    )
    try:
        plan = plan_of(station=station, mortar=mortar, job=job)
    except InputRefused as refused:
        # only catches that say nothing can stand in the way
        event("refused")
        assert {fault.key for fault in refused.faults} <= {"water.catch", "powder.catch", "accelerator.catch"}  # noqa: PT017
        return

    for value in numbers(plan).values():
        assert math.isfinite(value)
    assert json.loads(json.dumps(as_contract(plan), allow_nan=False))["demand"]["layers"] == LAYERS
    assert plan.materials.bags * plan.materials.bag >= plan.materials.powder * (1 - 1e-9)
    assert 0 <= plan.expected.in_band <= 1
    for system in ("metric", "us"):
        print_plan(plan, Console(file=io.StringIO(), width=80), system)
        assert not re.search(r"\b(nan|inf)\b", litres_chart(plan, system) + str(card_words(plan, system, "a5")))
