"""Catches from a spreadsheet: columns with their unit in the heading."""

import contextlib

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from evenbead.documents import read_catches
from evenbead.errors import InputRefused

GOOD = "speed [rpm],mass [kg],time [s]\n90,0.784,60\n150,1.304,60\n240,2.096,60\n"


def written(tmp_path, content):
    path = tmp_path / "catches.csv"
    path.write_bytes(content if isinstance(content, bytes) else content.encode())
    return path


def faults_of(tmp_path, content):
    with pytest.raises(InputRefused) as refused:
        read_catches(written(tmp_path, content))
    return refused.value.faults


LAYOUTS = {
    "as it is": GOOD,
    "CRLF": GOOD.replace("\n", "\r\n"),
    "CR": GOOD.replace("\n", "\r"),
    "byte order mark": "\ufeff" + GOOD,
    "semicolons and decimal commas": GOOD.replace(",", ";").replace(".", ","),
    "tabs": GOOD.replace(",", "\t"),
    "blank lines and comments": "# caught in the morning\n\n" + GOOD.replace("\n", "\n\n"),
    "no last line end": GOOD.rstrip(),
    "quoted cells": GOOD.replace("90,", '"90",'),
    "a quote left open": GOOD.replace("2.096,60", '2.096,"60'),
    "tabs and decimal commas": GOOD.replace(",", "\t").replace(".", ","),
    "another order": "time [s],speed [rpm],mass [kg]\n60,90,0.784\n60,150,1.304\n60,240,2.096\n",
    "grams and minutes": "speed [rpm],mass [g],time [min]\n90,784,1\n150,1304,1\n240,2096,1\n",
}


@pytest.mark.parametrize("text", LAYOUTS.values(), ids=LAYOUTS)
def test_it_reads_what_spreadsheets_write(tmp_path, text):
    channel = read_catches(written(tmp_path, text))

    assert [catch.speed * 60 for catch in channel.catch] == pytest.approx([90, 150, 240])
    assert [catch.mass for catch in channel.catch] == pytest.approx([0.784, 1.304, 2.096])
    assert [catch.time for catch in channel.catch] == pytest.approx([60.0, 60.0, 60.0])
    assert channel.speed_range == (channel.catch[0].speed, channel.catch[2].speed)


def test_every_fault_of_a_list_comes_at_once_with_its_line(tmp_path):
    text = GOOD + "90,-1,60\n150,1.3\n150,nan,0\n,1,60\n1,2,3,4\n"
    found = [(fault.line, fault.key) for fault in faults_of(tmp_path, text)]

    assert found == [(5, "mass"), (6, ""), (7, "mass"), (7, "time"), (8, "speed"), (9, "")]


@pytest.mark.parametrize(
    ("content", "words"),
    [
        ("", "is empty"),
        ("# only a comment\n", "no line of headings"),
        ("90,0.784,60\n", "headings are not those"),
        ("speed,mass,time\n90,0.784,60\n", "headings are not those"),
        ("speed [rpm],mass [kg],mass [kg]\n", "headings are not those"),
        ("speed [rpm],mass [kg],time [s]\n", "no catch in it"),
        ("speed [rpm],mass [kg],time [s]\n90,1,60\n90,1,60\n", "at a single speed"),
        ("speed [kg],mass [kg],time [s]\n90,1,60\n", "is not a motor speed"),
        ("speed [rpm],mass [apples],time [s]\n90,1,60\n", "is no unit known"),
        (b"\xff\xfe\x00s\x00p", "is not UTF-8"),
        ("speed [rpm],mass [kg],time [s]\n" + "9" * 20_000 + ",1,60\n", "a line of"),
    ],
    ids=range(11),
)
def test_a_list_that_can_not_be_used_is_refused_in_words(tmp_path, content, words):
    faults = faults_of(tmp_path, content)

    assert words in faults[0].what
    assert all(fault.expected and fault.file.endswith("catches.csv") for fault in faults)


@given(st.text(st.characters(codec="utf-8"), max_size=60))
@settings(max_examples=80, deadline=None)
def test_any_text_under_good_headings_is_read_or_refused(tmp_path_factory, text):
    path = tmp_path_factory.getbasetemp() / "any.csv"
    path.write_bytes((GOOD + text).encode())
    with contextlib.suppress(InputRefused):
        assert len(read_catches(path).catch) >= 3
