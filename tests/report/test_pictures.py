"""Pictures and the card as files: valid, described, whole, and on one page."""

import re
import shutil
import subprocess
from dataclasses import replace
from xml.etree import ElementTree as ET

import numpy as np
import pytest

import invented_site as site
from evenbead.documents import read_catches
from evenbead.errors import InputRefused
from evenbead.plan.model import Refill
from evenbead.report import catches, paths
from evenbead.report.card import card_pdf, card_words
from evenbead.report.files import Outputs, layers_csv, planned, require_apart, write_plan
from evenbead.report.litres_chart import litres_chart
from evenbead.report.picture import picture, write_together
from evenbead.report.svg import Sheet, clock_ticks, thinned, ticks
from evenbead.report.words import SIGNS

SVG = "{http://www.w3.org/2000/svg}"
NAMES = {
    "plain": "Garden bench",
    "one word": "W" * 200,
    "many words": "Curved garden wall behind the long shed " * 5,
    "markup": '#let x = 1 <b>&amp;</b> $x$ *b* [[red]] \\n "quoted" // @ref',
    "accents": "Žluťoučký kůň, façade n° 5 größer",
    "other scripts": "Стена 壁 קיר",
}


@pytest.fixture(scope="module")
def plan(tmp_path_factory):
    return site.plan_of(tmp_path_factory.mktemp("plan"), mortar=site.TWO_PART)


def words_of(svg):
    root = ET.fromstring(svg)
    return [text.text for text in root.iter(f"{SVG}text")]


def check_svg(svg, *, width, height):
    """XML with a title and a description, and no number in it that is none."""
    root = ET.fromstring(svg)
    assert root.tag == f"{SVG}svg"
    assert root[0].tag == f"{SVG}title"
    assert root[0].text
    assert root[1].tag == f"{SVG}desc"
    assert root[1].text
    assert root.get("role") == "img"
    assert not re.search(r"\b(nan|inf)\b", svg)
    for text in root.iter(f"{SVG}text"):
        assert 0 <= float(text.get("x")) <= width
        assert 0 <= float(text.get("y")) <= height
    for box in root.iter(f"{SVG}rect"):
        if box.get("x"):
            assert float(box.get("x")) + float(box.get("width")) <= width + 0.1
    return root


@pytest.mark.parametrize("name", NAMES.values(), ids=NAMES)
@pytest.mark.parametrize("system", ["metric", "us"])
def test_the_litres_chart_is_valid_whatever_the_names(plan, name, system):
    svg = litres_chart(replace(plan, job=name, station=name), system)
    root = check_svg(svg, width=920, height=620)

    assert name in root[0].text
    assert max(len(word) for word in words_of(svg)) < 130


def test_the_litres_chart_says_the_litres_the_layers_and_the_bags(plan):
    said = words_of(litres_chart(plan))

    assert "21.1 L at 07:06" in said
    after = said[said.index("layer") + 1 :]
    assert after[:7] == [*"123456", "bags"]
    assert any("in flight" in word for word in said)


def test_a_change_longer_in_flight_than_the_print_stays_on_the_chart(plan):
    settling = replace(plan.settling, hose=50_000.0)

    check_svg(litres_chart(replace(plan, settling=settling)), width=920, height=620)


def pages_of(pdf, tmp_path):
    """Number and size of the pages, as poppler counts them."""
    if shutil.which("pdfinfo") is None:
        pytest.skip("poppler's pdfinfo is not installed: pages of the card are not counted")
    file = tmp_path / "card.pdf"
    file.write_bytes(pdf)
    said = subprocess.run(["pdfinfo", file], capture_output=True, text=True, check=True).stdout
    width, height = re.search(r"Page size:\s+([\d.]+) x ([\d.]+)", said).groups()
    return int(re.search(r"Pages:\s+(\d+)", said)[1]), float(width), float(height)


# Points of 1/72 inch: A5 is 148 mm by 210 mm (ISO 216), half letter is 5.5 in by 8.5 in.
PAPERS = {"a5": (148 / 25.4 * 72, 210 / 25.4 * 72), "half-letter": (396.0, 612.0)}


@pytest.mark.parametrize("paper", PAPERS)
@pytest.mark.parametrize("name", NAMES.values(), ids=NAMES)
def test_the_card_is_one_page_whatever_the_names_and_refills(plan, tmp_path, paper, name):
    crowded = replace(
        plan,
        job=name,
        station=name,
        mortar=name,
        checks=tuple(replace(check, verdict="stop") for check in plan.checks),
        materials=replace(
            plan.materials, refills=tuple(Refill(at=100.0 * k, bags=3 if k < 59 else 1) for k in range(60))
        ),
    )
    pages, width, height = pages_of(card_pdf(crowded, "us", paper), tmp_path)

    assert pages == 1
    assert (width, height) == pytest.approx(PAPERS[paper], abs=0.5)


@pytest.mark.parametrize("count", [0, 1, 40, 41, 4000])
def test_refills_that_do_not_fit_are_counted(plan, count):
    many = replace(
        plan, materials=replace(plan.materials, refills=tuple(Refill(at=60.0 * k, bags=2) for k in range(count)))
    )
    refills = card_words(many, "metric", "a5")["refills"]
    shown = sum(len(group["times"]) for group in refills["groups"])

    assert shown == min(count, 40)
    assert (f"{count - 40} more" in refills["more"]) == (count > 40)
    assert ("no more needed" in refills["first"]) == (count == 0)


def test_the_card_holds_what_the_person_needs(plan):
    card = card_words(plan, "metric", "a5")

    assert [row["name"] for row in card["settings"]] == ["mixer", "water", "powder", "accelerator"]
    assert all(re.fullmatch(r"\d+(\.\d)?", row["speed"]) for row in card["settings"])
    assert all("±" in row["doubt"] for row in card["settings"])
    facts = {line["name"]: line["value"] for line in card["mortar"]}
    assert facts["its band"] == "0.150 to 0.170"
    assert facts["water a bag"] == "3.95 kg"
    assert facts["to print"] == "21.1 L"
    assert any("gloves" in caution for caution in card["cautions"])


def test_the_signs_of_the_card_are_in_its_fonts(plan, tmp_path):
    if shutil.which("pdftotext") is None:
        pytest.skip("poppler's pdftotext is not installed: the words of the card are not read back")
    stop = replace(plan, checks=tuple(replace(check, verdict="stop") for check in plan.checks))
    (tmp_path / "card.pdf").write_bytes(card_pdf(stop, "metric", "a5"))
    said = subprocess.run(
        ["pdftotext", "-layout", tmp_path / "card.pdf", "-"], capture_output=True, text=True, check=True
    ).stdout

    assert f"{SIGNS['stop']} STOP" in said
    for word in ("mixer", "1750", "accelerator", "judge at the nozzle after", "Garden bench"):
        assert word in said


# --- files


@pytest.mark.parametrize(
    ("ending", "begins"), [(".svg", b"<svg"), (".png", b"\x89PNG"), (".pdf", b"%PDF"), (".PNG", b"\x89PNG")]
)
def test_a_picture_is_of_the_kind_its_name_says(tmp_path, ending, begins):
    sheet = Sheet(width=100, height=50, title="a", description="b")
    sheet.text(10, 20, "Größe 5 m³ ± 1 <x> & y")

    assert picture(sheet.svg(), tmp_path / f"x{ending}").startswith(begins)


def test_words_that_are_no_xml_are_replaced():
    sheet = Sheet(width=10, height=10, title="a\x00\ud800\uffff", description="<&>")
    sheet.text(0, 0, "x\x1b\udcff")

    assert "�" in ET.fromstring(sheet.svg())[0].text
    sheet.svg().encode()


def test_files_are_written_together_or_not_at_all(tmp_path):
    (tmp_path / "old.txt").write_bytes(b"before")
    with pytest.raises(InputRefused, match="can't be written"):
        write_together({tmp_path / "old.txt": b"after", tmp_path / "no" / "folder.txt": b"x"})

    assert (tmp_path / "old.txt").read_bytes() == b"before"
    assert [path.name for path in tmp_path.iterdir()] == ["old.txt"]

    write_together({tmp_path / "old.txt": b"after", tmp_path / ("n" * 250): b"x"})
    assert (tmp_path / "old.txt").read_bytes() == b"after"
    assert len(list(tmp_path.iterdir())) == 2


def test_a_place_that_becomes_a_folder_is_refused_in_words(tmp_path):
    (tmp_path / "a.svg").mkdir()
    with pytest.raises(InputRefused, match="can't be written"):
        write_together({tmp_path / "a.svg": b"x"})

    assert [path.name for path in tmp_path.iterdir()] == ["a.svg"]


def test_every_name_is_judged_before_any_work(tmp_path):
    (tmp_path / "folder.pdf").mkdir()
    with pytest.raises(InputRefused) as refused:
        planned(csv=tmp_path / "layers.txt", card=tmp_path / "folder.pdf", chart=tmp_path / "none" / "c.svg")

    assert [fault.what for fault in refused.value.faults] == [
        'a name ending in ".txt"', "is a folder", "its folder does not exist"
    ]  # fmt: skip


def test_card_and_chart_need_names_of_their_own(tmp_path):
    with pytest.raises(InputRefused, match="same name"):
        planned(csv=None, card=tmp_path / "a.pdf", chart=tmp_path / "." / "a.pdf")


def test_nothing_is_written_over_what_was_read(tmp_path):
    with pytest.raises(InputRefused, match="were read"):
        require_apart([None, tmp_path / "x" / ".." / "wall.csv"], [tmp_path / "wall.csv"])


def test_a_whole_set_of_files_is_written(plan, tmp_path):
    outputs = Outputs(csv=tmp_path / "l.csv", card=tmp_path / "c.pdf", chart=tmp_path / "t.svg")
    write_plan(plan, outputs, system="metric", paper="a5")

    assert sorted(path.name for path in tmp_path.iterdir()) == ["c.pdf", "l.csv", "t.svg"]


def test_layers_as_columns_are_read_back_by_numpy(plan):
    table = np.genfromtxt(layers_csv(plan).splitlines(), delimiter=",", names=True)

    assert table.dtype.names == ("index", "z_m", "length_m", "volume_l", "start_s", "duration_s")
    assert table["volume_l"].sum() == pytest.approx(plan.demand.printed_volume * 1000, rel=1e-12)


# --- what pictures are made of


def test_ticks_are_round_rising_and_inside():
    for low, high in [(0, 47), (-3.2, 3.1), (1e-6, 9e-6), (0, 1e9), (99.99, 100.01)]:
        found = ticks(low, high)
        assert all(low - 1e-9 * abs(high) <= value <= high * (1 + 1e-9) for value in found)
        assert 2 <= len(found) <= 13
        assert np.all(np.diff(found) > 0)


def test_clock_ticks_are_on_round_times():
    for length in (5, 400, 40_000, 400_000, 8_000_000):
        found = clock_ticks(25_200, 25_200 + length)
        assert 0 < len(found) <= 10
        assert all(tick % 10 == 0 for tick in found)


def test_a_thinned_curve_keeps_its_ends_and_its_peaks():
    x = np.linspace(0, 1, 100_000)
    y = np.sin(40 * x)
    y[31_234], y[77_777] = 9, -9
    tx, ty = thinned(x, y, columns=500)

    assert len(tx) <= 4 * 500
    assert (tx[0], tx[-1], ty.max(), ty.min()) == (0, 1, 9, -9)


# --- the other two pictures


@pytest.mark.parametrize("system", ["metric", "us"])
@pytest.mark.parametrize(
    "rows",
    [
        "90,0.784,60\n150,1.304,60\n",
        "90,0.784,60\n90,0.784,60\n90,0.784,60\n150,1.3066666666666666,60\n",
        "90,0.3,60\n150,1.304,60\n240,2.2,60\n300,2.9,60\n",
        "1,0.001,7200\n20000,2000,1\n",
    ],
    ids=["two", "exact", "with an offset", "far apart"],
)
def test_the_catch_plot_is_valid_for_any_catches(tmp_path, system, rows):
    file = tmp_path / "a catch.csv"
    file.write_text("speed [rpm],mass [kg],time [s]\n" + rows, encoding="utf-8")
    made = catches.study(file, channel=None, at=None)
    catches.draw(made, tmp_path / "plot.svg", system)
    root = check_svg((tmp_path / "plot.svg").read_text(encoding="utf-8"), width=720, height=640)

    assert "a catch" in root[0].text
    marks = list(root.iter(f"{SVG}circle"))
    assert len(marks) == 2 * len(read_catches(file).catch)


@pytest.mark.parametrize("system", ["metric", "us"])
def test_the_picture_of_a_path_is_valid_and_round_where_the_path_is(tmp_path, system):
    (tmp_path / "round.gcode").write_text("G21 G90\nG0 X0 Y0 Z15\nG2 X0 Y0 I500 J0 F6000 E1\nG2 X0 Y0 Z30 I500 J0 E2\n")
    made = paths.study(tmp_path / "round.gcode", when=None, layer_height=None, bead_width=None, layers=None)
    paths.draw(made, tmp_path / "path.svg", system)
    svg = (tmp_path / "path.svg").read_text(encoding="utf-8")
    check_svg(svg, width=920, height=620)
    (longest, *_) = sorted(re.findall(r'd="M([^"]+)"', svg), key=len, reverse=True)
    x, y = np.array([pair.split() for pair in longest.split("L")], float).T

    assert np.ptp(x) == pytest.approx(np.ptp(y), rel=0.01)
