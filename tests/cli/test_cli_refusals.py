"""Input that can't be used: one line for each fault, status 2, and nothing written."""

import os
import re
from pathlib import Path

import pytest

import invented_site as site
from command_line import names_in


def test_each_fault_is_one_line_and_nothing_is_written(refusal, tmp_path):
    job = site.write_case(
        tmp_path,
        station=site.changed(site.STATION, 'mass = "0.874 kg"', 'mass = "-0.874 kg"'),
        mortar=site.changed(site.ONE_PART, 'bag = "25 kg"', 'bag = "0 kg"'),
        job=site.changed(site.JOB, "[bead]", "[bead]\nwidht = 1"),
    )
    before = names_in(tmp_path)
    lines = refusal("plan", job, "--card", tmp_path / "c.pdf", "--csv", tmp_path / "l.csv", "--json")

    assert len(lines) == 3
    assert all(re.match(r".+\.toml:\d+: [\w.\[\]]+: [^;]+; .+", line) for line in lines)
    assert 'did you mean "width"?' in lines[0]
    assert names_in(tmp_path) == before


CODE = {
    "empty": b"",
    "blanks": b"\n\n  \r\n",
    "binary": bytes(range(256)) * 40,
    "not a number": b"G1 XNaN Y0 F600\n",
    "infinite": b"G1 Xinf Y0 F600\n",
    "an arc too tight": b"M7\nG1 X0 Y0 F600\nG2 X100 Y0 R10\nM9\n",
    "no feed": b"M7\nG1 X10 F0\nM9\n",
    "an unknown code": b"M7\nG1 X10 F600\nG987 X1\nM9\n",
    "variables": b"M7\n#1=5\nG1 X#1 F600\nM9\n",
    "a million digits": b"M7\nG1 X" + b"9" * 1_000_000 + b" F600\nM9\n",
    "a long line": b"M7\nG1 X1 F600 (" + b"x" * 5_000_000 + b"\nM9\n",
    "nothing prints": b"G0 X10 Y10\nM2\n",
    "only a comment": b"; nothing\n",
}


@pytest.mark.parametrize("content", CODE.values(), ids=CODE)
def test_machine_code_that_can_not_be_used_is_refused(refusal, job, content):
    job.with_name("bench.gcode").write_bytes(content)
    before = names_in(job.parent)
    lines = refusal("plan", job, "--csv", job.with_name("l.csv"))

    assert all(line.startswith(str(job.with_name("bench.gcode"))) for line in lines)
    assert all(len(line) < 400 for line in lines)
    assert names_in(job.parent) == before


DOCUMENTS = {
    "empty": b"",
    "binary": bytes(range(256)),
    "UTF-16": site.JOB.encode("utf-16"),
    "cut short": site.JOB.encode()[:-4],
    "a station": site.STATION.encode(),
    "a local time": site.JOB.replace("+02:00", "").encode(),
    "nan": site.JOB.replace('"45 mm"', "nan").encode(),
    "a million digits": site.JOB.replace('"45 mm"', "4" * 1_000_000).encode(),
    "a nest": b"a = " + b"[" * 3000,
    "colours of a terminal": b'name = "\\u001b[31m"\n"\\u001b[2J" = 1\n',
}


@pytest.mark.parametrize("content", DOCUMENTS.values(), ids=DOCUMENTS)
def test_a_job_that_can_not_be_used_is_refused(refusal, job, content):
    job.write_bytes(content)
    before = names_in(job.parent)
    lines = refusal("plan", job, "--chart", job.with_name("c.svg"))

    assert all(str(job) in line for line in lines)
    assert all(line.isprintable() for line in lines)
    assert names_in(job.parent) == before


def test_missing_files_are_refused_by_every_command(refusal, tmp_path):
    for command in ("plan", "catch", "toolpath", "document"):
        (line,) = refusal(command, tmp_path / "none.toml" if command != "toolpath" else tmp_path / "none.gcode")
        assert "none" in line


def test_a_folder_is_refused_by_every_command(refusal, tmp_path):
    for command in ("plan", "catch", "toolpath", "document"):
        (line,) = refusal(command, tmp_path)
        assert str(tmp_path) in line


@pytest.mark.parametrize(
    ("option", "name", "words"),
    [
        ("--chart", "c.jpg", ".svg"),
        ("--chart", "c", "without an ending"),
        ("--card", "c.png", ".pdf"),
        ("--csv", "c.xls", ".csv"),
        ("--csv", "none/c.csv", "folder does not exist"),
    ],
)
def test_a_name_that_can_not_be_written_is_refused_before_the_work(refusal, job, option, name, words):
    job.with_name("bench.gcode").write_text("nonsense", encoding="utf-8")  # would be refused too, but later
    (line,) = refusal("plan", job, option, job.parent / name)

    assert words in line


def test_an_output_is_never_written_over_an_input(refusal, tmp_path):
    job = site.write_case(tmp_path, job=site.changed(site.JOB, "bench.gcode", "bench.csv"))
    points = "x [mm],y [mm],z [mm]\n0,0,15\n1,0,15\n"
    (tmp_path / "bench.csv").write_text(points, encoding="utf-8")
    (line,) = refusal("plan", job, "--csv", tmp_path / "." / "bench.csv")

    assert "were read" in line
    assert (tmp_path / "bench.csv").read_text(encoding="utf-8") == points


@pytest.mark.skipif(os.name == "nt" or os.geteuid() == 0, reason="permissions do not bind this user")
def test_a_folder_without_permission_is_refused(refusal, job):
    job.parent.chmod(0o500)
    try:
        (line,) = refusal("plan", job, "--csv", job.with_name("l.csv"))
    finally:
        job.parent.chmod(0o700)

    assert "can't be written" in line


def test_a_disk_that_fails_at_the_last_file_leaves_none_behind(refusal, job, monkeypatch):
    written = Path.write_bytes

    def failing(path, content):
        if content.startswith(b"<svg"):
            raise OSError(28, "No space left on device")
        return written(path, content)

    monkeypatch.setattr(Path, "write_bytes", failing)
    before = names_in(job.parent)
    files = ["--card", job.with_name("c.pdf"), "--csv", job.with_name("l.csv"), "--chart", job.with_name("c.svg")]
    (line,) = refusal("plan", job, *files)

    assert "No space left" in line
    assert names_in(job.parent) == before


@pytest.mark.parametrize(
    "words", [["plan"], ["plan", "a", "b"], ["plan", "a", "--nope"], ["nope"], ["plan", "a", "--units", "x"]]
)
def test_a_command_typed_wrongly_says_how_it_goes(refusal, words):
    lines = refusal(*words)

    assert lines[0].startswith("Usage: evenbead")
    assert lines[-1].startswith("Error: ")
