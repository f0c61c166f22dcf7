"""Documents as people type them: read in either unit system, and written back."""

import re

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

import invented_site as site
from evenbead.documents import Job, Mortar, Station, document_from_text, document_text, read_any
from evenbead.documents.fields import Document, assumptions
from evenbead.documents.reading import likeliest_kind

DOCUMENTS = {
    "station": (Station, site.STATION),
    "one-part mortar": (Mortar, site.ONE_PART),
    "two-part mortar": (Mortar, site.TWO_PART),
    "job": (Job, site.JOB),
}
EACH = pytest.mark.parametrize(("kind", "text"), DOCUMENTS.values(), ids=DOCUMENTS)
BOTH = pytest.mark.parametrize("system", ["metric", "us"])


def leaves(document, prefix=""):
    """Every number of a document under its key, however deep."""
    for name in type(document).model_fields:
        value = getattr(document, name)
        for index, item in enumerate(value if isinstance(value, tuple) else [value]):
            key = f"{prefix}{name}.{index}"
            if isinstance(item, Document):
                yield from leaves(item, f"{key}.")
            elif isinstance(item, float):
                yield key, item


@EACH
def test_a_typed_document_is_read(kind, text):
    document = document_from_text(text, kind, file="here.toml")

    assert document.name in text
    assert type(read_any_from(text)) is kind


def read_any_from(text):
    return document_from_text(text, likeliest_kind(text, file="here.toml"), file="here.toml")


def test_quantities_become_si_and_bare_numbers_stay():
    station = document_from_text(site.STATION, Station, file="")
    mortar = document_from_text(site.TWO_PART, Mortar, file="")

    # SI by the definitions of the units: 1 L = 1e-3 m3, 1 min = 60 s, 1 bar = 1e5 Pa, 1 rpm = 1/60 rev/s.
    assert station.mixer.chamber_volume == pytest.approx(2.8e-3, rel=1e-15)
    assert station.mixer.speed == pytest.approx(1750 / 60, rel=1e-15)
    assert station.water.static_pressure == 150_000.0
    assert station.water.catch[1].mass == 1.31
    assert mortar.accelerator.pause_limit == 480.0
    assert mortar.accelerator.growth.rate == pytest.approx(260 / 60, rel=1e-15)
    assert mortar.accelerator.dose_range == (0.02, 0.06)


@EACH
def test_us_units_by_pint_mean_the_same_document(kind, text):
    metric = document_from_text(text, kind, file="")
    us = document_from_text(site.in_us_units(text), kind, file="")

    assert dict(leaves(us)) == pytest.approx(dict(leaves(metric)), rel=1e-12)
    assert site.in_us_units(text) != text


@EACH
@BOTH
@settings(max_examples=12, deadline=None)
@given(data=st.data())
def test_reading_writing_and_reading_again_gives_the_same_document(kind, text, system, data):
    factors = st.floats(0.95, 1.05)

    def scaled(match):
        return f'"{float(match[1]) * data.draw(factors)!r} {match[2]}"'

    document = document_from_text(re.sub(r'"(-?[\d.]+) ([A-Za-z][^"]*)"', scaled, text), kind, file="")
    written = document_text(document, system)
    again = document_from_text(written, kind, file="")

    assert again == document
    assert again.model_fields_set == document.model_fields_set
    assert document_text(again, system) == written


@given(name=st.text(st.characters(codec="utf-8", exclude_categories=["Cc", "Zl", "Zp", "Cn"]), min_size=1, max_size=60))
@settings(max_examples=60, deadline=None)
def test_any_name_in_any_script_survives_the_way_out_and_back(name):
    mortar = document_from_text(site.ONE_PART, Mortar, file="").model_copy(update={"name": name.strip() or "x"})

    assert document_from_text(document_text(mortar), Mortar, file="") == mortar


def test_what_nobody_gave_is_neither_written_nor_hidden():
    text = re.sub(r"(air_content|largest_grain).*\n", "", site.ONE_PART)
    mortar = document_from_text(text, Mortar, file="")
    assumed = list(assumptions(mortar, "mortar"))

    assert "air_content" not in document_text(mortar)
    of_the_mortar = [(a.key, a.value) for a in assumed if "spread." not in a.key]
    assert of_the_mortar == [("mortar: air_content", "0.03")]
    assert all(a.source for a in assumed)
    whole = assumptions(document_from_text(site.ONE_PART, Mortar, file=""), "mortar")
    assert {a.key for a in whole} == {a.key for a in assumed} - {"mortar: air_content"}


@pytest.mark.parametrize("end", ["\n", "\r\n"])
@pytest.mark.parametrize("mark", ["", "\ufeff"])
def test_byte_order_mark_and_line_ends_of_other_systems_are_read(tmp_path, end, mark):
    file = tmp_path / "mortar.toml"
    file.write_bytes((mark + site.ONE_PART.replace("\n", end)).encode())

    assert read_any(file) == document_from_text(site.ONE_PART, Mortar, file="")
