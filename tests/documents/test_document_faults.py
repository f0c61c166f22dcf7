"""What is wrong with a document: every fault at once, each with its line, its key and what was expected."""

import datetime as dt
import re

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

import invented_site as site
from evenbead.documents import Job, Mortar, Station, document_from_text, read_any
from evenbead.errors import InputRefused


def faults_in(kind, text):
    with pytest.raises(InputRefused) as refused:
        document_from_text(text, kind, file="here.toml")
    return refused.value.faults


def the_fault(kind, text):
    (fault,) = faults_in(kind, text)
    return fault


def test_a_growth_law_knows_its_own_keys_only():
    text = site.changed(site.TWO_PART, 'law = "linear", rate', 'law = "linear", time = "4 min", rate')
    fault = the_fault(Mortar, text)

    assert fault.key == "accelerator.growth.time"
    assert fault.expected == "known are law, rate"


# document, text to change, what to put there, key of the fault, and words that it must hold
WRONG = [
    (Station, 'chamber_volume = "2.8 L"', "chamber_volume = 2.8", "mixer.chamber_volume", "2.8 is a bare number"),
    (Station, 'chamber_volume = "2.8 L"', 'chamber_volume = "2.8 kg"', "mixer.chamber_volume", "is not a volume"),
    (Station, 'chamber_volume = "2.8 L"', 'chamber_volume = "2.8"', "mixer.chamber_volume", "has no unit"),
    (Station, 'chamber_volume = "2.8 L"', 'chamber_volume = "2.8 gallon"', "mixer.chamber_volume", "no unit known"),
    (Station, 'chamber_volume = "2.8 L"', 'chamber_volume = "9000 L"', "mixer.chamber_volume", "0.05 L to 500 L"),
    (Station, 'chamber_volume = "2.8 L"', "chamber_volume = true", "mixer.chamber_volume", "true is no text"),
    (Station, 'chamber_volume = "2.8 L"', "chamber_volume = 2026-01-01", "mixer.chamber_volume", "2026-01-01 is"),
    (Station, 'chamber_volume = "2.8 L"', "chamber_volume = nan", "mixer.chamber_volume", "nan is a bare number"),
    (Station, 'chamber_volume = "2.8 L"', 'chamber_volume = "nan L"', "mixer.chamber_volume", "is no number"),
    (Station, 'chamber_volume = "2.8 L"', 'chamber_volume = "inf L"', "mixer.chamber_volume", "is no number"),
    (Station, 'chamber_volume = "2.8 L"', 'chamber_volume = "1e999 L"', "mixer.chamber_volume", "too large"),
    (Station, 'chamber_volume = "2.8 L"', 'chamber_volum = "2.8 L"', "mixer.chamber_volum", '"chamber_volume"?'),
    (Station, 'chamber_volume = "2.8 L"', 'Chamber-Volume = "2.8 L"', "mixer.Chamber-Volume", '"chamber_volume"?'),
    (Station, "plug_fraction = 0.3", 'plug_fraction = "0.3"', "mixer.plug_fraction", "without quotes"),
    (Station, "plug_fraction = 0.3", "plug_fraction = 1.3", "mixer.plug_fraction", "expected 0 to 1"),
    (Station, "plug_fraction = 0.3", "plug_fraction = nan", "mixer.plug_fraction", "expected 0 to 1"),
    (Station, "plug_fraction = 0.3", "plug_fraction = true", "mixer.plug_fraction", "true is no bare number"),
    (Station, "every_uses = 5", "every_uses = 5.5", "service[1].every_uses", "no whole number"),
    (Station, "every_uses = 5", "every_uses = inf", "service[1].every_uses", "expected 1 to 10000"),
    (Station, "every_uses = 5", "every_uses = nan", "service[1].every_uses", "expected 1 to 10000"),
    (
        Station,
        "every_uses = 5",
        "every_hours = 5\nevery_uses = 1",
        "service[1].every_hours",
        "both by uses and by hours",
    ),
    (Station, 'mass = "0.874 kg"', 'mass = "-0.874 kg"', "water.catch[1].mass", "expected 1 g to 2000 kg"),
    (Station, '["60 rpm", "1000 rpm"]', '["1000 rpm", "60 rpm"]', "water.speed_range", "does not rise"),
    (Station, '["60 rpm", "1000 rpm"]', '["1000 rpm"]', "water.speed_range[2]", "too short"),
    (Station, '["60 rpm", "1000 rpm"]', '["1 rpm", "2 rpm", "3 rpm"]', "water.speed_range", "expected 2 values"),
    (Station, '["60 rpm", "1000 rpm"]', '"60 to 1000 rpm"', "water.speed_range", "is no list"),
    (Station, 'refill_at = "30 kg"', 'refill_at = "110 kg"', "hopper.refill_at", "is not below the capacity"),
    (Station, '"Grease the outboard bearing"', '""', "service[1].task", "is no text"),
    (Station, '"Kiln yard station"', '"Kiln\\nyard"', "name", "control characters"),
    (Station, '"Kiln yard station"', '"Kiln \\uffff yard"', "name", "control characters"),
    (Station, '"Kiln yard station"', f'"{"x" * 201}"', "name", "more than 200 characters"),
    (Mortar, 'bag = "25 kg"', 'bag = "0 kg"', "bag", "expected 0.5 kg to 2000 kg"),
    (Mortar, 'kind = "one-part"', 'kind = "one part"', "kind", '"one-part" or "two-part"'),
    (Mortar, 'kind = "one-part"', 'kind = "two-part"', "accelerator", "is missing from a two-part mortar"),
    (Mortar, "low = 0.150", "low = 0.160", "water_powder_ratio.high", "are not in order"),
    (Mortar, 'law = "exponential"', 'law = "cubic"', "fresh.growth", '"linear", "exponential"'),
    (Mortar, 'law = "exponential", ', "", "fresh.growth", 'does not say its "law"'),
    (Mortar, ', time = "40 min"', "", "fresh.growth.time", "is missing"),
    (Mortar, "growth = {", "growth = 18 # {", "fresh.growth", "expected"),
    (Station, "phases = 1", "phases = 2", "power.phases", "there is no such supply"),
    (Station, '"2.8 bar"', '"3.4 bar"', "water_supply.running_pressure", "is not below the static pressure"),
    (Station, '"2.8 bar"', '"5 bar"', "water_supply.running_pressure", "is not below the static pressure"),
    (
        Mortar,
        'elastic_modulus = "70 kPa"',
        'elastic_modulus = "400 Pa"',
        "fresh.elastic_modulus",
        "not above the yield",
    ),
    (
        Mortar,
        "plastic_viscosity",
        'dynamic_yield_stress = "600 Pa"\nplastic_viscosity',
        "fresh.dynamic_yield_stress",
        "is above the yield stress",
    ),
    (Mortar, '"18 Pa/min"', '"-18 Pa/min"', "fresh.growth.rate", "out of range"),
    (Mortar, '"2.4 kPa/min"', '"-2.4 kPa/min"', "fresh.elastic_growth", "out of range"),
    (Job, "07:00:00+02:00", "07:00:00", "start", "offset from UTC"),
    (Job, "2026-06-18T07:00:00+02:00", '"2026-06-18T07:00:00+02:00"', "start", "without quotes"),
    (Job, "2026-06-18T07:00:00+02:00", "2026-06-18", "start", "2026-06-18 is no date and time"),
    (Job, "2026-06-18T07:00:00+02:00", "9999-12-31T23:59:59Z", "start", "expected a year from 2000"),
    (Job, '"stadium"', '"oval"', "bead.section", '"stadium" or "rectangle"'),
    (Job, 'width = "45 mm"', 'width = "14 mm"', "bead.section", "narrower than it is high"),
    (Job, 'off = "M9"', 'off = "m7"', "printing.when.off", "same code"),
    (Job, 'on = "M7"', 'on = "G7"', "printing.when.on", "M code"),
    (Job, '{ on = "M7", off = "M9" }', '"sometimes"', "printing.when", '"extruding" or "feed moves"'),
    (Job, 'air_temperature = "17 degC"', 'air_temperature = "17 K"', "weather[1].air_temperature", "-30 °C to 60 °C"),
    (Job, "2026-06-18T12:00:00", "2026-06-18T06:00:00", "weather", "do not follow one another"),
]


@pytest.mark.parametrize(
    ("kind", "old", "new", "key", "words"), WRONG, ids=[f"{key}: {new[:30]}" for _, _, new, key, _ in WRONG]
)
def test_one_wrong_thing_is_one_fault_with_its_key_its_line_and_what_was_expected(kind, old, new, key, words):
    text = site.changed({Station: site.STATION, Mortar: site.ONE_PART, Job: site.JOB}[kind], old, new)
    found = [fault for fault in faults_in(kind, text) if fault.key == key]

    assert len(found) == 1
    line = text.split("\n")[found[0].line - 1]
    assert words in str(found[0])
    assert found[0].expected
    assert str(found[0]).startswith(f"here.toml:{found[0].line}: {key}: ")
    assert len(str(found[0])) < 300
    name = re.sub(r"\[\d+\]", "", key).rpartition(".")[2]
    # A missing key has no line of its own: it is looked for in the table that lacks it.
    assert name in line or found[0].line in (1, line_of_table(text, key))


COIL = '\n[coil]\nflow = "1.2 L/min"\nwater_in = "20 degC"\nwater_out = "{out}"\nbath = "{bath}"\n'


@pytest.mark.parametrize(
    ("out", "bath", "words"),
    [
        ("21 degC", "0 degC", "is not colder than the water before the coil"),
        ("20 degC", "0 degC", "is not colder than the water before the coil"),
        ("4 degC", "4 degC", "is not warmer than the bath"),
        ("4 degC", "9 degC", "is not warmer than the bath"),
    ],
)
def test_a_coil_cools_to_between_its_bath_and_what_comes_in(out, bath, words):
    fault = the_fault(Station, site.STATION + COIL.format(out=out, bath=bath))

    assert fault.key == "coil.water_out"
    assert words in fault.what
    assert "bath < water_out < water_in" in fault.expected


def test_a_coil_without_a_bath_temperature_stands_in_ice():
    text = site.STATION + COIL.format(out="0 degC", bath="").replace('bath = ""\n', "")

    assert the_fault(Station, text).key == "coil.water_out"


def test_a_dose_measured_twice_is_refused():
    measured = 'measured = [{ dose = 0.03, rate = "200 Pa/min" }, { dose = 0.03, rate = "220 Pa/min" }]\npause_limit'
    fault = the_fault(Mortar, site.changed(site.TWO_PART, "pause_limit", measured))

    assert fault.key == "accelerator.measured"
    assert "0.03 twice" in fault.what


def line_of_table(text, key):
    table = re.sub(r"\[\d+\]", "", key).rpartition(".")[0]
    return next((n for n, line in enumerate(text.split("\n"), 1) if table in line or table.split(".")[-1] in line), 1)


def test_every_fault_of_a_file_comes_at_once_in_the_order_of_its_lines():
    text = site.STATION
    for old, new in [
        ('name = "Kiln yard station"\n', ""),
        ('speed_tolerance = "80 rpm"', "speed_tolerance = 80"),
        ("tanks = 3", "tanks = 0"),
        ('["60 rpm", "1000 rpm"]', '["1000 rpm", "60 rpm"]'),
        ('mass = "0.874 kg"', 'mass = "-1 kg"'),
        ('refill_at = "30 kg"', 'refill_at = "300 kg"'),
        ('bore = "35 mm"', 'bore = "35 bar"'),
        ('length = "14 m"', 'lenght = "14 m"'),
    ]:
        text = site.changed(text, old, new)
    text = re.sub(r'speed = "(100|150|300) rpm"', 'speed = "150 rpm"', text)
    faults = faults_in(Station, text)

    assert [fault.line for fault in faults] == sorted(fault.line for fault in faults)
    assert {fault.key for fault in faults} == {
        "name",
        "mixer.speed_tolerance",
        "mixer.tanks",
        "water.speed_range",
        "water.catch",
        "water.catch[1].mass",
        "hopper.refill_at",
        "hose.bore",
        "hose.lenght",
        "hose.length",
    }


@pytest.mark.parametrize("section", ["mixer", "water", "powder", "hopper", "hose"])
def test_a_missing_section_is_named(section):
    text = re.sub(rf"\[{section}\](.|\n)*?(?=\n\[(?!\[{section})|\Z)", "", site.STATION)
    text = re.sub(rf"\[\[{section}\.catch\]\]\n(.+\n)*", "", text)

    assert (section, "is missing") in [(fault.key, fault.what) for fault in faults_in(Station, text)]


def test_catches_at_a_single_speed_are_no_line():
    text = re.sub(r'speed = "(100|150|300) rpm"', 'speed = "150 rpm"', site.STATION)
    fault = the_fault(Station, text)

    assert (fault.key, fault.what) == ("water.catch", "all catches are at a single speed")
    assert text.split("\n")[fault.line - 1] == "[[water.catch]]"


@pytest.mark.parametrize(
    ("kind", "text", "what"),
    [
        (Station, site.JOB, "is a job"),
        (Job, site.STATION, "is a station"),
        (Station, site.TWO_PART, "is a mortar"),
        (Mortar, site.JOB, "is a job"),
    ],
    ids=["job", "station", "mortar", "another job"],
)
def test_another_kind_of_document_is_told_in_one_sentence(kind, text, what):
    fault = the_fault(kind, text)

    assert what in fault.what
    assert kind.__name__.lower() in fault.expected


def test_a_catch_under_single_brackets_says_how_to_write_it():
    text = re.sub(r"\[\[water\.catch\]\]\n(.+\n)*", "", site.STATION)
    text = site.changed(text, "[powder]", '[water.catch]\nspeed = "1 rpm"\n[powder]')
    fault = the_fault(Station, text)

    assert fault.key == "water.catch"
    assert "[[water.catch]]" in fault.expected


def test_a_fault_inside_an_array_of_many_lines_names_its_own_line():
    text = 'a = 1\n[water]\ncatch = [\n  { speed = "1 rpm", mass = "1 kg", time = "60 s" },\n  { speed = 2 },\n]\n'
    lines = {fault.key: fault.line for fault in faults_in(Station, text)}

    assert lines["water.catch[2].speed"] == 5
    assert lines["water.catch[2].mass"] == 5
    assert lines["water.speed_range"] == 2


NO_DOCUMENT = {
    "empty": (b"", "is empty", None),
    "blanks": (b" \r\n\t\n", "is empty", None),
    "a byte order mark only": (b"\xef\xbb\xbf", "has none of the keys", None),
    "every byte": (bytes(range(256)), "is not UTF-8", 2),
    "a program": (b"\x7fELF\x01\x00\x00", "Invalid", 1),
    "Latin-1": ("name = 'Stödje'".encode("latin-1"), "is not UTF-8", 1),
    "UTF-16": (site.STATION.encode("utf-16"), "is not UTF-8", 1),
    "a comment only": (b"# a comment only\n", "has none of the keys", None),
    "a key twice": (b'name = "a"\nname = "b"\n', "Cannot overwrite", 2),
    "an open text": (b'name = "a\n', "Illegal character", 1),
    "an open header": (b'name = "a"\n[mixer\nspeed = 1\n', "Expected", 2),
    "an open list": (b'name = "a"\nb = [1,\n', "Invalid value", 2),
    "brackets": (b"a = 1\n" + b"[" * 5000 + b"\n", "key", 2),
    "a long nest": (b"a = " + b"[" * 9000 + b"]" * 9000 + b"\n", "characters", 1),
    "a nest": (b"a = " + b"[" * 900 + b"]" * 900 + b"\n", "nested too deeply", None),
    "a high nest": (b"a = " + b"[\n" * 9000 + b"]" * 9000 + b"\n", "nested too deeply", None),
    "a dotted nest": (b".".join([b"a"] * 900) + b" = 1\n", "nested too deeply", None),
    "many digits": (b"a = " + b"1" * 5000 + b"\n", "thousands of digits", None),
    "a million digits": (b"a = 1\nb = " + b"1" * 1_000_000 + b"\n", "a line of 1000004 characters", 2),
    "too much": (b"x" * 6_000_000, "far too large", None),
}


@pytest.mark.parametrize(("content", "words", "line"), NO_DOCUMENT.values(), ids=NO_DOCUMENT)
def test_a_file_that_is_no_document_gets_one_clear_message(tmp_path, content, words, line):
    file = tmp_path / "odd.toml"
    file.write_bytes(content)
    with pytest.raises(InputRefused) as refused:
        read_any(file)

    (fault,) = refused.value.faults
    assert words in fault.what
    assert fault.expected
    assert fault.file == str(file)
    assert fault.line == line


def test_missing_files_and_folders_are_told_apart(tmp_path):
    for path, words in [(tmp_path / "none.toml", "no such file"), (tmp_path, "is a folder")]:
        with pytest.raises(InputRefused, match=words):
            read_any(path)


def test_nothing_in_a_file_can_break_the_line_of_a_message():
    text = site.changed(site.ONE_PART, 'bag = "25 kg"', 'bag = """25\n\x1b[31m kg"""\n"new\\nline" = 1').replace(
        "\x1b", "\\u001b"
    )
    messages = [str(fault) for fault in faults_in(Mortar, text)]

    assert len(messages) == 2
    assert all(message.isprintable() for message in messages)


@given(st.binary(max_size=200))
@settings(max_examples=150, deadline=None)
def test_no_bytes_do_anything_but_read_or_refuse(tmp_path_factory, content):
    file = tmp_path_factory.getbasetemp() / "fuzz.toml"
    file.write_bytes(content)
    with pytest.raises(InputRefused):
        read_any(file)


LEAVES = st.one_of(
    st.booleans(),
    st.integers(-(10**30), 10**30),
    st.floats(),
    st.text(st.characters(codec="utf-8", exclude_categories=["Cc"]), max_size=20),
    st.sampled_from(["1 kg", "60 s", "150 rpm", "extruding", "linear", "stadium", "M7"]),
    st.datetimes(),
    st.datetimes(timezones=st.just(dt.UTC)),
    st.dates(),
    st.times(),
)
INNER = ("name", "speed", "law", "rate", "on", "off", "catch", "mass", "time", "low", "high", "x")
TREES = st.recursive(
    LEAVES,
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.sampled_from(INNER), inner, max_size=3),
    max_leaves=8,
)
KEYS = {kind: sorted(kind.model_fields) for kind in (Station, Mortar, Job)}


@pytest.mark.parametrize("kind", KEYS)
@settings(max_examples=40, deadline=None)
@given(data=st.data())
def test_any_values_under_known_keys_are_read_or_refused_in_words(kind, data):
    content = data.draw(st.dictionaries(st.sampled_from(KEYS[kind]), TREES, min_size=1))
    text = "".join(f"{key} = {toml(value)}\n" for key, value in content.items())
    for fault in faults_in(kind, text):
        assert fault.what
        assert fault.expected
        assert 1 <= fault.line <= text.count("\n")
        assert str(fault).count("\n") == 0


def toml(value):
    """A value written as TOML, by its grammar."""
    match value:
        case bool():
            return str(value).lower()
        case float() | int():
            return repr(value)
        case str():
            return '"' + value.replace("\\", "\\\\").replace('"', '\\"') + '"'
        case dict():
            return "{ " + ", ".join(f"{key} = {toml(item)}" for key, item in value.items()) + " }"
        case list():
            return "[" + ", ".join(map(toml, value)) + "]"
        case _:
            return value.isoformat()
