"""`evenbead risk`."""

import json
import re
from xml.etree import ElementTree as ET

import pytest

import invented_site as site
from command_line import names_in


def test_risk_says_what_could_go_wrong(run, job):
    status, out, err = run("risk", job, "--draws", 300)

    assert (status, err) == (0, "")
    assert "Garden bench: what could go wrong" in out
    assert "512 days drawn, seed 1" in out
    for name in ("finishing", "no limit passed", "ratio", "collapse", "buckling", "fastest print", "spreads"):
        assert re.search(rf"^{name} +", out, re.MULTILINE)


def test_the_same_seed_says_the_same_and_another_does_not(run, job):
    def contract(*words):
        status, out, err = run("risk", job, "--json", "--draws", 512, *words)
        assert (status, err) == (0, "")
        return {key: value for key, value in json.loads(out).items() if key != "made_at"}

    one = contract("--seed", 7)
    assert one == contract("--seed", 7)
    assert one["failures"] != contract("--seed", 8)["failures"]
    assert one["suggestion"]["wanted"] == 0.05
    assert contract("--wanted", 0.2)["suggestion"]["wanted"] == 0.2


def test_risk_draws_both_pictures(run, job):
    window, worth = job.with_name("window.svg"), job.with_name("worth.pdf")
    status, _, err = run("risk", job, "--draws", 256, "--window", window, "--worth", worth)

    assert (status, err) == (0, "")
    assert ET.fromstring(window.read_text(encoding="utf-8"))[0].text == "Garden bench: workable window"
    assert worth.read_bytes().startswith(b"%PDF")


@pytest.mark.parametrize(
    "words",
    [
        ("--draws", "255"), ("--draws", "1000001"), ("--draws", "many"), ("--seed", "-1"), ("--wanted", "0"),
        ("--wanted", "0.6"), ("--wanted", "nan"), ("--seed", "1.5"), ("--often",),
    ],
    ids=" ".join,
)  # fmt: skip
def test_risk_refuses_options_that_make_no_sense(run, job, words):
    status, out, err = run("risk", job, *words)

    assert status == 2
    assert out == ""
    assert words[0] in err
    assert "Traceback" not in err


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("--window", "window.bmp"), ".bmp"),
        (("--worth", "nowhere/worth.svg"), "folder"),
        (("--window", "same.svg", "--worth", "same.svg"), "two pictures have the same name"),
        (("--window", "same.svg", "--worth", "./same.svg"), "two pictures have the same name"),
    ],
)
def test_risk_refuses_pictures_it_can_t_write_before_any_work(refusal, job, monkeypatch, words, said):
    monkeypatch.chdir(job.parent)
    before = names_in(job.parent)

    (line,) = refusal("risk", job, *words)

    assert said in line
    assert names_in(job.parent) == before


def test_risk_never_writes_over_what_it_read(refusal, job):
    drawn = job.with_name("bench.svg")
    job.with_name("bench.gcode").rename(drawn)
    job.write_text(site.changed(job.read_text(encoding="utf-8"), "bench.gcode", "bench.svg"), encoding="utf-8")

    lines = refusal("risk", job, "--window", drawn)

    assert any("files that were read" in line for line in lines)
    assert drawn.read_text(encoding="utf-8") == site.bench_code()


def test_risk_refuses_what_plan_refuses_in_the_same_words(refusal, job):
    text = site.changed(job.read_text(encoding="utf-8"), 'width = "45 mm"', 'width = "45 kg"')
    job.write_text(text, encoding="utf-8")

    assert refusal("risk", job) == refusal("plan", job)


def test_a_spread_that_is_given_is_not_assumed(run, job):
    mortar = job.with_name("mortar.toml")
    mortar.write_text(mortar.read_text(encoding="utf-8") + "\n[spread]\nyield_stress = 0.08\n", encoding="utf-8")
    _, out, _ = run("risk", job, "--draws", 256, "--json")

    keys = [assumed["key"] for assumed in json.loads(out)["assumed"]]
    assert len(keys) == 12
    assert "mortar: spread.yield_stress" not in keys
    assert "mortar: spread.growth" in keys
