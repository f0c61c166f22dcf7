"""A case: the faults of all its files at once, and what must fit together."""

import re

import pytest

import invented_site as site
from evenbead.documents import read_case
from evenbead.errors import InputRefused


def faults_of(path):
    with pytest.raises(InputRefused) as refused:
        read_case(path)
    return refused.value.faults


def test_a_case_finds_its_files_beside_the_job(tmp_path):
    case = read_case(site.write_case(tmp_path))

    assert case.station.name == "Kiln yard station"
    assert case.mortar.name == "Kiln grey"
    assert list(case.files) == [tmp_path / name for name in ("job.toml", "station.toml", "mortar.toml", "bench.gcode")]


def test_faults_of_several_files_come_together(tmp_path):
    path = site.write_case(
        tmp_path,
        job=site.changed(site.JOB, 'width = "45 mm"', 'width = "45 kg"'),
        station=site.changed(site.STATION, 'bore = "35 mm"', 'bore = "-35 mm"'),
        mortar=site.changed(site.ONE_PART, 'bag = "25 kg"', 'bag = "0 kg"'),
    )
    (tmp_path / "bench.gcode").unlink()
    found = [(fault.file.rpartition(tmp_path.name)[2][1:], fault.key) for fault in faults_of(path)]

    assert found == [
        ("job.toml", "bead.width"),
        ("station.toml", "hose.bore"),
        ("mortar.toml", "bag"),
        ("job.toml", "toolpath"),
    ]


@pytest.mark.parametrize(("key", "line"), [("station", 2), ("mortar", 3), ("toolpath", 4)])
def test_a_missing_file_is_a_fault_of_the_line_that_names_it(tmp_path, key, line):
    path = site.write_case(tmp_path)
    name = re.search(rf'{key} = "(.*)"', site.JOB)[1]
    (tmp_path / name).unlink()
    (fault,) = faults_of(path)

    assert (fault.file, fault.line, fault.key) == (str(path), line, key)
    assert name in fault.what


@pytest.mark.parametrize(("name", "words"), [("..", "is a folder"), ("ß" * 200, "can't be read|no such file")])
def test_a_name_that_is_no_file_is_refused(tmp_path, name, words):
    path = site.write_case(tmp_path, job=site.changed(site.JOB, '"bench.gcode"', f'"{name}"'))
    (fault,) = faults_of(path)

    assert re.search(words, fault.what)


def test_a_missing_job_is_the_only_fault(tmp_path):
    (fault,) = faults_of(tmp_path / "none.toml")

    assert fault.what == "no such file"


def test_names_that_are_no_names_are_told_once(tmp_path):
    path = site.write_case(tmp_path, job=site.changed(site.JOB, '"station.toml"', "7"))

    assert [fault.key for fault in faults_of(path)] == ["station"]


def test_a_two_part_mortar_needs_a_station_with_an_accelerator(tmp_path):
    station = re.sub(r"\[accelerator\](.|\n)*?(?=\[hopper\])", "", site.STATION)
    path = site.write_case(tmp_path, station=station, mortar=site.TWO_PART)
    (fault,) = faults_of(path)

    assert (fault.file, fault.key) == (str(tmp_path / "station.toml"), "accelerator")
    assert "two-part" in fault.what


def test_the_missing_accelerator_is_told_beside_other_faults(tmp_path):
    station = re.sub(r"\[accelerator\](.|\n)*?(?=\[hopper\])", "", site.STATION)
    station = site.changed(station, 'bore = "35 mm"', 'bore = "35"')
    path = site.write_case(tmp_path, station=station, mortar=site.changed(site.TWO_PART, '"25 kg"', '"0 kg"'))

    assert [fault.key for fault in faults_of(path)] == ["hose.bore", "bag", "accelerator"]


def test_a_one_part_mortar_does_not_ask_about_the_accelerator_channel(tmp_path):
    station = site.changed(site.STATION, "water_content = 0.45\n", "")
    keys = {
        mortar: [a.key for a in read_case(site.write_case(tmp_path, station=station, mortar=mortar)).assumed()]
        for mortar in (site.ONE_PART, site.TWO_PART)
    }

    assert not [key for key in keys[site.ONE_PART] if "accelerator" in key]
    assert "station: accelerator.water_content" in keys[site.TWO_PART]


def test_what_is_assumed_is_listed_until_it_is_given(tmp_path):
    bare = read_case(site.write_case(tmp_path))
    given = site.changed(site.JOB, "[bead]", "[bead]\nwidth_tolerance = 0.2")
    fuller = read_case(site.write_case(tmp_path, job=given))
    keys = [{a.key for a in case.assumed()} for case in (bare, fuller)]

    assert keys[0] - keys[1] == {"job: bead.width_tolerance"}
    assert "job: bead.width_tolerance" in keys[0]
    assert all(a.source for a in bare.assumed())
