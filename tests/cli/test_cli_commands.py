"""`evenbead catch`, `toolpath` and `document`."""

import re
from xml.etree import ElementTree as ET

import ezdxf
import pytest

import invented_site as site
from evenbead.documents import read_any


def test_catch_describes_a_channel_and_draws_it(run, job):
    station = job.with_name("station.toml")
    plot = job.with_name("plot.svg")
    status, out, err = run("catch", station, "--channel", "powder", "--at", "48 rpm", "--chart", plot)

    assert (status, err) == (0, "")
    assert "141.7 g/rev" in out
    assert re.search(r"delivers\s+6\.803 ± 0\.0\d\d kg/min at 48 rpm", out)
    assert "next catch" in out
    assert ET.fromstring(plot.read_text(encoding="utf-8"))[0].text == "Catches of powder"


def test_catch_reads_a_list_and_warns_outside_of_it(run, tmp_path):
    (tmp_path / "morning.csv").write_text("speed [rpm],mass [lb],time [min]\n90,1.7,1\n150,2.9,1\n", encoding="utf-8")
    status, out, _ = run("catch", tmp_path / "morning.csv", "--at", "400 rpm", "--units", "us")

    assert status == 0
    assert "Catches: morning" in out
    assert "outside the speeds caught" in out
    assert "lb/min" in out


def test_catch_asks_which_channel_and_tells_those_there_are(refusal, job):
    (line,) = refusal("catch", job.with_name("station.toml"))
    assert "--channel water or powder or accelerator" in line

    station = re.sub(r"\[accelerator\](.|\n)*?(?=\[hopper\])", "", site.STATION)
    job.with_name("station.toml").write_text(station, encoding="utf-8")
    (line,) = refusal("catch", job.with_name("station.toml"), "--channel", "accelerator")
    assert "has no accelerator channel" in line


def test_catch_tells_every_fault_of_a_station(refusal, job):
    station = site.changed(site.STATION, '"0.874 kg"', '"-1 kg"').replace('"8.47 kg"', '"8.47"')
    job.with_name("station.toml").write_text(station, encoding="utf-8")

    assert len(refusal("catch", job.with_name("station.toml"), "--channel", "water")) == 2


@pytest.mark.parametrize("at", ["0 rpm", "-5 rpm", "48", "48 kg", "nan rpm", "1e999 rpm", "9" * 500])
def test_catch_refuses_a_speed_that_is_none(refusal, job, at):
    (line,) = refusal("catch", job.with_name("station.toml"), "--channel", "water", "--at", at)

    assert line.startswith("--at: ")


def test_toolpath_describes_machine_code(run, job):
    drawn = job.with_name("path.svg")
    status, out, err = run("toolpath", job.with_name("bench.gcode"), "--chart", drawn)

    assert (status, err) == (0, "")
    assert re.search(r"moves\s+30, 24 of them laying", out)
    assert re.search(r"bead\s+33\.6 m", out)
    assert re.search(r"layers\s+6, layer height 15 mm", out)
    assert "M7" in out
    assert ET.fromstring(drawn.read_text(encoding="utf-8"))[0].text == "bench.gcode from above"


def test_toolpath_describes_a_drawing_and_a_list_of_points(run, refusal, tmp_path):
    drawing = ezdxf.new(units=4)
    drawing.modelspace().add_lwpolyline([(0, 0), (1000, 0), (1000, 500)], close=True)
    drawing.saveas(tmp_path / "loop.dxf")
    (tmp_path / "loop.csv").write_text("x [mm],y [mm],z [mm]\n0,0,15\n1000,0,15\n1000,500,15\n", encoding="utf-8")

    (line,) = refusal("toolpath", tmp_path / "loop.dxf")
    assert "--layers" in line
    status, out, _ = run("toolpath", tmp_path / "loop.dxf", "--layers", "3", "--layer-height", "15 mm")
    assert status == 0
    # three times around: 1 m, 0.5 m and the hypotenuse
    assert re.search(r"bead\s+7\.85 m", out)
    status, out, _ = run("toolpath", tmp_path / "loop.csv", "--units", "us")
    assert status == 0
    assert re.search(r"bead\s+4\.92 ft", out)


@pytest.mark.parametrize(
    ("options", "words"),
    [
        (["--layer-height", "15"], "has no unit"),
        (["--layer-height", "0 mm"], "out of range"),
        (["--bead-width", "9 km"], "out of range"),
        (["--when", "always"], "feed moves"),
        (["--when", "M3,M5"], "never occur"),
        (["--chart", "x.bmp"], ".svg"),
        (["--chart", "bench.gcode"], "ending"),
    ],
)
def test_toolpath_refuses_options_that_can_not_be_meant(refusal, job, options, words):
    (line,) = refusal("toolpath", job.with_name("bench.gcode"), *options)

    assert words in line


def test_a_picture_is_no_toolpath(refusal, job):
    (line,) = refusal("toolpath", job)

    assert "machine code" in line


@pytest.mark.parametrize("name", ["station.toml", "mortar.toml", "job.toml"])
def test_a_document_goes_to_us_units_and_back(run, job, name):
    us = job.with_name("us.toml")
    assert run("document", job.with_name(name), "--units", "us", "--out", us) == (0, "", "")
    status, out, err = run("document", us)

    assert (status, err) == (0, "")
    us.write_text(out, encoding="utf-8")
    assert read_any(us) == read_any(job.with_name(name))


def test_a_document_is_not_written_where_it_can_not_be(refusal, job):
    (line,) = refusal("document", job, "--out", job.with_name("x.txt"))
    assert ".toml" in line
    (line,) = refusal("document", job, "--out", job.parent / "none" / "x.toml")
    assert "folder does not exist" in line
