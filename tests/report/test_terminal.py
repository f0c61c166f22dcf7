"""The report in the terminal: whole, in words, and readable on a narrow screen."""

import io
import re

import pytest
from rich.console import Console

import invented_site as site
from evenbead.report.terminal import print_plan
from evenbead.report.words import SIGNS


@pytest.fixture(scope="module")
def plan(tmp_path_factory):
    folder = tmp_path_factory.mktemp("plan")
    return site.plan_of(folder, station=site.SOUND_STATION, mortar=site.SOUND_TWO_PART)


def printed(plan, *, width=80, system="metric", colour=False):
    stream = io.StringIO()
    print_plan(plan, Console(file=stream, width=width, force_terminal=colour, highlight=False), system)
    return stream.getvalue()


def flat(text):
    return " ".join(text.split())


@pytest.mark.parametrize("width", [40, 60, 80, 120, 200])
def test_no_line_is_wider_than_the_terminal_and_nothing_is_cut(plan, width):
    text = printed(plan, width=width)

    assert max(len(line) for line in text.splitlines()) <= width
    assert "…" not in text
    assert "1750 ± 80 rpm" in flat(text)
    assert len(re.findall(r"\d (rpm|kg/min)\b", flat(text))) >= 7


def test_every_number_of_the_day_is_there_with_its_unit(plan):
    text = flat(printed(plan))

    for words in (
        "Garden bench at Kiln yard station, with Kiln grey",
        "Thu 18 Jun 2026, printing 07:00 to 07:06",
        "✓ All 17 checks are ok.",
        "33.6 m long, 21.1 L",
        "water/powder by mass",
        "with the water in the accelerator",
        "at the nozzle 5 min 9 s after a change, not before",
        "3.95 kg a bag",
        "4 bags before starting",
        "doubts are for 95 %, from the catches",
    ):
        assert words in text


def test_us_units_are_shown_throughout(tmp_path):
    text = printed(site.plan_of(tmp_path, mortar=site.TWO_PART, system="us"), system="us")

    assert not re.search(r"\d (L|kg|kg/min|L/min|mm|m|bar)\b", text.replace("a 10 g bench scale", ""))
    for unit in ("gal", "lb", "lb/min", "gal/min", "ft", "in"):
        assert re.search(rf"\d {unit}\b", text)


def test_colour_only_repeats_what_a_word_says(plan):
    plain, coloured = printed(plan), printed(plan, colour=True)

    assert "\x1b[" in coloured
    assert "\x1b[" not in plain
    assert re.sub(r"\x1b\[[\d;]*m", "", coloured).split() == plain.split()


def test_a_stop_comes_first_and_says_what_to_change(tmp_path):
    station = site.changed(site.SOUND_STATION, '["60 rpm", "1000 rpm"]', '["60 rpm", "110 rpm"]')
    text = printed(site.plan_of(tmp_path, station=station, mortar=site.SOUND_ONE_PART))
    checks = text[text.index("Checks") : text.index("Set\n")]

    assert f"{SIGNS['stop']} Don't print like this: water speed." in text
    assert checks.split("\n")[1].split()[:4] == [SIGNS["stop"], "STOP", "water", "speed"]
    assert "change: print slower" in flat(checks)


def test_names_with_brackets_are_shown_as_they_are(tmp_path):
    job = site.changed(site.JOB, '"Garden bench"', '"[red]Bench[/red] [link=x]"')

    assert "[red]Bench[/red] [link=x]" in printed(site.plan_of(tmp_path, job=job))
