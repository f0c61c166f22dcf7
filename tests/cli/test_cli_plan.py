"""`evenbead plan`: what it prints, what it writes, and how it ends."""

import json
import re
from xml.etree import ElementTree as ET

import pytest

import invented_site as site
from command_line import names_in


def test_a_plan_is_printed_and_nothing_written(run, job):
    before = names_in(job.parent)
    status, out, err = run("plan", job)

    assert (status, err) == (0, "")
    assert "All 17 checks are ok." in out
    assert names_in(job.parent) == before


def test_json_is_the_contract_and_nothing_else(run, job):
    status, out, err = run("plan", job, "--json")
    plan = json.loads(out)

    assert (status, err) == (0, "")
    assert plan["job"] == "Garden bench"
    assert plan["demand"]["layers"] == 6
    assert re.fullmatch(r"\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d[+-]\d\d:\d\d", plan["made_at"])


def test_json_has_the_same_numbers_in_either_unit_system(run, job):
    metric, us = (json.loads(run("plan", job, "--json", "--units", units)[1]) for units in ("metric", "us"))

    for key in ("demand", "settings", "expected", "settling", "materials", "layers"):
        assert metric[key] == us[key]


@pytest.mark.parametrize(
    ("highest", "strict", "status"),
    [
        ("1000 rpm", [], 0),
        ("1000 rpm", ["--strict"], 0),
        ("90 rpm", [], 0),
        ("90 rpm", ["--strict"], 1),
    ],
)
def test_the_status_is_one_only_for_a_stop_that_was_asked_about(run, tmp_path, highest, strict, status):
    station = site.changed(site.SOUND_STATION, '["60 rpm", "1000 rpm"]', f'["60 rpm", "{highest}"]')
    case = site.write_case(tmp_path, station=station, mortar=site.SOUND_ONE_PART)
    found, out, err = run("plan", case, *strict)

    assert (found, err) == (status, "")
    assert ("STOP" in out) == (highest == "90 rpm")


def test_a_strict_stop_still_writes_what_was_asked_for(run, tmp_path):
    station = site.changed(site.STATION, '["60 rpm", "1000 rpm"]', '["60 rpm", "80 rpm"]')
    job = site.write_case(tmp_path, station=station)
    status, *_ = run("plan", job, "--strict", "--csv", tmp_path / "layers.csv")

    assert status == 1
    assert (tmp_path / "layers.csv").read_text(encoding="utf-8").startswith("index,z_m,")


@pytest.mark.parametrize("units", ["metric", "us"])
def test_card_chart_and_columns_are_written(run, job, units):
    folder = job.parent
    files = ["--card", folder / "card.pdf", "--chart", folder / "chart.svg", "--csv", folder / "layers.csv"]
    status, *_ = run("plan", job, "--units", units, *files)

    assert status == 0
    assert (folder / "card.pdf").read_bytes().startswith(b"%PDF")
    root = ET.fromstring((folder / "chart.svg").read_text(encoding="utf-8"))
    assert "Garden bench" in root[0].text
    assert {path.name for path in folder.iterdir()} == {
        "bench.gcode", "card.pdf", "chart.svg", "job.toml", "layers.csv", "mortar.toml", "station.toml"
    }  # fmt: skip


@pytest.mark.parametrize(("ending", "begins"), [("png", b"\x89PNG"), ("pdf", b"%PDF")])
def test_the_chart_is_of_the_kind_its_name_says(run, job, ending, begins):
    chart = job.with_name(f"chart.{ending}")
    run("plan", job, "--chart", chart)

    assert chart.read_bytes().startswith(begins)
