"""The risk of a day in words, for scripts and as pictures."""

import datetime as dt
import io
import json
import re
from dataclasses import replace
from xml.etree import ElementTree as ET

import numpy as np
import pytest
from rich.console import Console

import invented_site as site
import risk_days as days
from evenbead.documents import read_case
from evenbead.errors import InputRefused
from evenbead.plan.risk import LIMITS
from evenbead.report import risk as report
from evenbead.report.window_chart import window_chart
from evenbead.report.worth_chart import worth_chart
from evenbead.toolpath.reading import toolpath_for

SVG = "{http://www.w3.org/2000/svg}"
MADE_AT = dt.datetime(2026, 6, 17, 18, 30, tzinfo=dt.UTC)
NO_FRESH = days.ONE_PART[: days.ONE_PART.index("[fresh]")]
COOL = site.changed(days.weathered(days.EVEN), '"30 degC"', '"50 degC"')
CASES = {
    "in doubt": {"job": days.weathered(days.EVEN), "layers": 16},
    "safe": {"job": days.weathered(days.EVEN), "layers": 3},
    "hopeless": {"job": site.changed(days.weathered(days.EVEN), '"30 degC"', '"15 degC"'), "layers": 60},
    "nothing measured": {"mortar": NO_FRESH, "job": days.EVEN, "layers": 6},
    "one layer": {"job": days.EVEN, "layers": 1},
    "two parts": {"mortar": days.TWO_PART, "job": days.without_limits(days.EVEN), "layers": 9},
}


def study_of(folder, *, mortar=days.ONE_PART, job=days.EVEN, layers=9, wanted=0.05):
    code = site.bench_code(layers=layers)
    case = read_case(site.write_case(folder, mortar=mortar, job=job, station=days.STATION, code=code))
    path = toolpath_for(case.toolpath, case.job)
    return report.study(case, path, draws=512, seed=1, wanted=wanted, made_at=MADE_AT)


@pytest.fixture(scope="module")
def studies(tmp_path_factory):
    return {name: study_of(tmp_path_factory.mktemp("case"), **texts) for name, texts in CASES.items()}


@pytest.fixture(params=CASES)
def made(request, studies):
    return studies[request.param]


def printed(made, width=300):
    console = Console(file=io.StringIO(), width=width, highlight=False)
    report.print_study(made, console)
    return console.file.getvalue()


def check_svg(svg, *, width, height):
    """XML with a title and a description, no number in it that is none, nothing beyond its edges."""
    root = ET.fromstring(svg)
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
            assert float(box.get("width")) >= 0
            assert float(box.get("x")) + float(box.get("width")) <= width + 0.1
    return root


def words_of(root):
    return [text.text for text in root.iter(f"{SVG}text")]


def test_scripts_get_every_key_in_plain_json(made):
    contract = json.loads(json.dumps(report.as_contract(made), allow_nan=False))

    assert set(contract) == {
        "job", "made_at", "version", "draws", "seed", "finishing", "all_kept", "failures", "unknown", "always",
        "measure", "suggestion", "window_open", "assumed",
    }  # fmt: skip
    assert set(contract["failures"]) | set(contract["unknown"]) == set(LIMITS)
    assert set(contract["suggestion"]) == {
        "wanted", "pace", "layer_time_s", "binding", "probability", "apart", "pace_of_rest",
    }  # fmt: skip
    assert (contract["job"], contract["draws"], contract["seed"]) == ("Garden bench", 512, 1)
    for chance in [*contract["failures"].values(), contract["all_kept"]]:
        assert 0 <= chance["low95"] <= chance["value"] <= chance["high95"] <= 1
    shares = [measure["explained"] for measure in contract["measure"]]
    assert shares == sorted(shares, reverse=True)
    assert len(contract["assumed"]) == 13
    assert all(assumed["source"] for assumed in contract["assumed"])


def test_the_words_name_every_limit_once(made):
    said = printed(made)

    for name in LIMITS:
        assert len(re.findall(rf"^{name} +", said, re.MULTILINE)) == 1
    assert "512 days drawn, seed 1" in said
    assert "fastest print" in said
    assert "13 of them assumed" in said


def test_failures_come_with_the_most_probable_first(studies):
    made = studies["in doubt"]
    said = printed(made)
    places = [said.index(f"\n{name} ") for name in LIMITS]

    values = [float(made.risk.failures[name].value) for name in LIMITS]
    ordered = [value for _, value in sorted(zip(places, values, strict=True))]
    assert ordered == sorted(values, reverse=True)


def test_what_can_t_be_told_is_said_and_not_called_safe(studies):
    said = printed(studies["nothing measured"])

    assert re.search("finishing +can't be told: collapse, buckling, hose pressure are not known", said)
    assert said.count("can't be told: something was not measured") == 5
    assert re.search(r"no limit passed +[\d.]+ %.*, of those that can be told", said)
    assert report.as_contract(studies["nothing measured"])["finishing"] is None


def test_finishing_says_what_it_leaves_out(tmp_path):
    mortar = re.sub("elastic_growth = .*\n", "", days.ONE_PART)
    said = printed(study_of(tmp_path, mortar=mortar))

    assert "to the end, without buckling: at most" in said


def test_a_hopeless_day_says_so_and_still_what_to_measure(studies):
    made = studies["hopeless"]
    said = printed(made)

    assert re.search(r"nearly certain +.*buckling.*: passed on nearly every day drawn", said)
    assert "no pace keeps every failure under 5 %" in said
    assert "fresh temperature (" in said[said.index("fastest print") :]
    assert said.count("% of the doubt") >= 1


def test_the_fastest_print_names_its_layer_time_and_what_binds(tmp_path):
    made = study_of(tmp_path, job=COOL, layers=12, wanted=0.1)
    said = printed(made)

    seconds = made.layer_time * made.suggestion.pace
    assert report.as_contract(made)["suggestion"]["layer_time_s"] == pytest.approx(seconds)
    times = f"{1 / made.suggestion.pace:.2f} times the planned speed"
    assert re.search(rf"fastest print +.* a layer \({times}\) keeps every failure under 10 %; .* binds", said)

    assert "a motor of the feeds runs at its fastest" in printed(
        replace(made, suggestion=replace(made.suggestion, binding="feeds"))
    )
    free = replace(made.suggestion, binding="")
    assert "nothing binds in the paces looked at" in printed(replace(made, suggestion=free))
    never = replace(made.suggestion, pace=None, pace_of_rest=None, binding="feeds")
    assert "no pace suits all motors" in printed(replace(made, suggestion=never))
    stuck = replace(made.suggestion, pace=None, pace_of_rest=None, binding="pause", probability=0.3)
    assert "under 10 %: pause stays at 30 % or more" in printed(replace(made, suggestion=stuck))
    both = replace(stuck, apart={"drying": 0.6})
    assert "drying (60 %) at the least; of the rest, pause stays at 30 % or more" in printed(
        replace(made, suggestion=both)
    )


def test_the_window_is_a_valid_picture_that_names_every_limit(made):
    root = check_svg(window_chart(made.window, made.job), width=920, height=600)

    assert {*made.window.room} <= set(words_of(root))
    assert {"every limit is kept", "a limit is passed", "the plan"} <= set(words_of(root))
    share = f"{100 * made.window.open.mean():.0f} %"
    assert share in root[1].text


def test_the_window_draws_lines_where_limits_turn_and_lists_the_others(studies):
    window = studies["in doubt"].window
    words = words_of(check_svg(window_chart(window, "x"), width=920, height=600))

    kept = [name for name, room in window.room.items() if (room >= 0).all()]
    passed = [name for name, room in window.room.items() if (room < 0).all()]
    assert "fresh temperature" in words
    after = words[words.index("kept everywhere on this map:") :]
    assert after[1 : 1 + len(kept)] == kept
    assert ("passed everywhere on this map:" in words) == bool(passed)
    turning = set(window.room) - {*kept, *passed}
    assert {"ratio", "buckling", "feeds"} <= turning
    lines = re.findall(r'stroke-width="2"', window_chart(window, "x"))
    assert len(lines) >= 2 * len(turning)


def test_the_green_ground_is_as_large_as_the_share_that_works(studies):
    made = studies["safe"]
    root = ET.fromstring(window_chart(made.window, "x"))
    boxes = [box for box in root.iter(f"{SVG}rect") if box.get("fill") == "#dcefe8"][:-1]  # the last is the key's
    area = sum(float(box.get("width")) * (float(box.get("height")) - 0.4) for box in boxes)
    sheet = next(box for box in root.iter(f"{SVG}rect") if box.get("fill") == "#e6e9ec")

    whole = float(sheet.get("width")) * float(sheet.get("height"))
    assert 0.1 < made.window.open.mean() < 0.9
    assert area / whole == pytest.approx(made.window.open.mean(), abs=0.02)


def test_the_worth_chart_shows_a_bar_for_each_telling_input_in_order(studies):
    made = studies["in doubt"]
    telling = [worth for worth in made.risk.worth if worth.explained.value > 0.005]
    root = check_svg(worth_chart(made.risk, made.job), width=920, height=2000)

    bars = [float(box.get("width")) for box in root.iter(f"{SVG}rect") if box.get("x")]
    assert len(bars) == len(telling) >= 3
    assert bars == sorted(bars, reverse=True)
    shares = np.array([worth.explained.value for worth in telling])
    assert np.array(bars) / bars[0] == pytest.approx(shares / shares[0], abs=0.01)
    words = words_of(root)
    assert [words.index(worth.input.words) for worth in telling] == sorted(
        words.index(worth.input.words) for worth in telling
    )


def test_the_worth_chart_says_when_there_is_nothing_to_tell_or_nothing_to_save(studies):
    nothing = replace(studies["safe"].risk, worth=())
    root = check_svg(worth_chart(nothing, "x"), width=920, height=2000)
    assert "no single one: hardly any limit is in doubt" in words_of(root)

    root = check_svg(worth_chart(studies["hopeless"].risk, "x"), width=920, height=2000)
    assert any(word.startswith("passed on nearly every day") and "buckling" in word for word in words_of(root))


@pytest.mark.parametrize("name", ["W" * 200, "many words " * 30, "<b>&amp;</b> $x$ [[red]]", "Стена 壁 קיר"])
def test_pictures_bear_any_name(studies, name):
    made = studies["in doubt"]
    for svg in (window_chart(made.window, name), worth_chart(made.risk, name)):
        root = check_svg(svg, width=920, height=2000)
        assert root[0].text.startswith(name)
        assert max(len(word) for word in words_of(root)) < 100


def test_pictures_are_written_together_or_not_at_all(studies, tmp_path):
    made = studies["in doubt"]
    report.draw(made, window=tmp_path / "window.svg", worth=tmp_path / "worth.png")

    check_svg((tmp_path / "window.svg").read_text(encoding="utf-8"), width=920, height=600)
    assert (tmp_path / "worth.png").read_bytes().startswith(b"\x89PNG")
    assert sorted(path.name for path in tmp_path.iterdir()) == ["window.svg", "worth.png"]

    with pytest.raises(InputRefused):
        report.draw(made, window=tmp_path / "other.svg", worth=tmp_path / "missing" / "worth.svg")
    assert sorted(path.name for path in tmp_path.iterdir()) == ["window.svg", "worth.png"]
