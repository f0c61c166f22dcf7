"""Will it stand, in the plan: against sums by hand, Greenhill's column, and what governs where."""

import math
import re

import numpy as np
import pytest

import invented_site as site
from evenbead.plan.fresh.wall import columns_of

GRAVITY = 9.80665
# The bench: a stadium of 45 mm by 15 mm, 6 layers, mortar of 1 kg powder, 0.158 kg water, 3 % air.
AREA = 0.045 * 0.015 - 0.015**2 * (1 - math.pi / 4)
DENSITY = 1.158 / (1 / 2720 + 0.158 / 998.2) * 0.97
STILL = [('law = "exponential", rate = "150 Pa/min", time = "40 min"', 'law = "linear", rate = "0 Pa/min"')]
NO_STIFFENING = [('elastic_growth = "2.4 kPa/min"', 'elastic_growth = "0 kPa/min"')]


def stacked(layers):
    """One bench after the other with the nozzle raised between."""
    return site.bench_code(layers=layers)


def test_mortar_that_does_not_grow_carries_what_its_yield_stress_carries(check):
    found = check("collapse", mortar=STILL)
    # von Mises: √3 τ over the weight of six layers on the mean width
    by_hand = math.sqrt(3) * 1550 * (AREA / 0.015) / (6 * AREA * DENSITY * GRAVITY)

    assert found.value == pytest.approx(by_hand, rel=1e-6)
    assert "layer 1 governs when layer 6 is on" in found.why


def test_growth_counts_from_when_a_layer_was_laid(check):
    found = check(
        "collapse",
        mortar=[('law = "exponential", rate = "150 Pa/min", time = "40 min"', 'law = "linear", rate = "60 Pa/min"')],
        # as warm as it was tested at, so that its age is real time
        job=[
            ('air_temperature = "17 degC"', 'air_temperature = "30 degC"'),
            ('air_temperature = "25 degC"', 'air_temperature = "30 degC"'),
            ('powder_temperature = "20 degC"', 'powder_temperature = "18.5 degC"'),
        ],
    )
    age = 5 * 56.6  # five layers later
    by_hand = math.sqrt(3) * (1550 + age) * (AREA / 0.015) / (6 * AREA * DENSITY * GRAVITY)

    assert found.value == pytest.approx(by_hand, rel=0.02)


def test_a_slender_wall_that_does_not_stiffen_buckles_as_greenhills_column(check):
    layers = 40
    found = check("buckling", mortar=NO_STIFFENING, code=stacked(layers))
    width, height = AREA / 0.015, layers * 0.015
    rigidity = 110e3 / (1 - 0.3**2) * width**3 / 12
    # [Greenhill1881]: q h³ = 7.8373 B; shear takes off a few hundredths at fourteen widths
    greenhill = 7.8373 * rigidity / (AREA * DENSITY * GRAVITY / 0.015 * height**3)

    assert found.value == pytest.approx(greenhill, rel=0.03)
    assert found.value < greenhill


@pytest.mark.parametrize("layers", [6, 30])
def test_a_wall_that_does_not_stand_free_is_looked_at_between_its_corners(check, layers):
    found = check("buckling", code=stacked(layers))

    assert found.limit == 2.0
    assert found.margin == pytest.approx(found.value - 2.0)
    if layers == 6:
        assert (found.verdict, found.change) == ("ok", "")
    else:
        assert found.verdict == "stop"
        assert "Held where it turns (closed, at most 2.4" in found.why
        held = float(re.search(r"between\): ([\d.]+) times", found.why)[1])
        assert held > found.value


def test_the_shortest_safe_layer_time_makes_it_just_safe(check):
    mortar = [('rate = "150 Pa/min"', 'rate = "90 Pa/min"')]
    found = check("collapse", mortar=mortar)
    minutes, seconds = re.search(r"(?:(\d+) min )?(\d+) s or more a layer", found.change).groups()
    wanted = 60 * int(minutes or 0) + int(seconds)
    usual = 56.57
    slower = site.bench_code().replace("M9\n", f"M9\nG4 P{wanted - usual + 0.5}\n")

    assert found.verdict == "caution"
    assert check("collapse", mortar=mortar, code=slower).verdict == "ok"
    nearly = site.bench_code().replace("M9\n", f"M9\nG4 P{0.9 * (wanted - usual)}\n")
    assert check("collapse", mortar=mortar, code=nearly).verdict == "caution"


def test_the_tallest_safe_print_is_where_the_reserve_ends(check):
    found = check("collapse", mortar=STILL, code=stacked(20))
    tall = float(re.search(r"At this pace ([\d.]+) m is safe", found.why)[1])
    layers = round(tall / 0.015)

    assert check("collapse", mortar=STILL, code=stacked(layers)).verdict == "ok"
    assert check("collapse", mortar=STILL, code=stacked(layers + 1)).verdict != "ok"


def test_walls_printed_one_after_the_other_do_not_bear_each_other(check):
    one = site.bench_code().removesuffix("M2\n")
    # the second bench beside the first, from the ground again
    second = re.sub(r"X(\d+)", lambda m: f"X{int(m[1]) + 5000}", one).replace("G21 G90 G94\n", "")
    second = second.replace("G1 Y0\nM9", "G1 Y0\nM9")
    both = f"{one}G0 Z300\n{second}M2\n"
    alone, beside = (check("collapse", mortar=STILL, code=code) for code in (site.bench_code(), both))

    assert beside.value == pytest.approx(alone.value, rel=1e-9)


def test_one_layer_says_nothing_of_a_rhythm(check):
    found = check("buckling", code=stacked(1))

    assert found.verdict == "ok"
    assert "At this pace" not in found.why


def test_a_straight_wall_is_held_by_nothing(check):
    lines = ["G21 G90 G94", "G0 X0 Y0 Z15"]
    for layer in range(40):
        x = 2400 * ((layer + 1) % 2)
        lines += [f"G0 Z{15 * (layer + 1)}", "M7", f"G1 X{x} F6000", "M9"]
    found = check("buckling", code="\n".join([*lines, "M2", ""]))

    assert found.verdict == "stop"
    assert "Nothing holds it" in found.why


@pytest.mark.parametrize(
    ("name", "taken", "key"),
    [
        ("collapse", 'yield_stress = "1550 Pa"\ndynamic_', "fresh.yield_stress"),
        ("buckling", 'elastic_modulus = "110 kPa"\n', "fresh.elastic_modulus"),
        ("buckling", 'elastic_growth = "2.4 kPa/min"\n', "fresh.elastic_growth"),
    ],
)
def test_what_was_not_measured_is_named_with_how_to_measure_it(check, name, taken, key):
    found = check(name, mortar=[(taken, "dynamic_" if "dynamic" in taken else "")])

    assert found.verdict == "unknown"
    assert key in found.why
    assert found.change.startswith("measure it: ")


def test_the_dose_lies_between_those_measured_or_it_is_said(check):
    measured = 'measured = [{ dose = 0.02, rate = "180 Pa/min" }, { dose = 0.03, rate = "240 Pa/min" }]'
    outside = check("collapse", two_part=True, mortar=[('growth = { law = "linear", rate = "260 Pa/min" }', measured)])
    at_it = measured.replace("0.03", "0.035")
    tried = check("collapse", two_part=True, mortar=[('growth = { law = "linear", rate = "260 Pa/min" }', at_it)])
    alone = check("collapse", two_part=True, mortar=[('rate = "260 Pa/min"', 'rate = "240 Pa/min"')])

    assert "outside the doses measured" in outside.why
    assert "outside" not in tried.why
    assert tried.value == outside.value == alone.value


def test_columns_are_followed_down_to_the_ground():
    def columns(*beneath):
        return [column.tolist() for column in columns_of(np.array(beneath))]

    assert columns(-1) == [[0]]
    assert columns(-1, 0, 1) == [[0, 1, 2]]
    assert columns(-1, 0, -1, 2) == [[0, 1], [2, 3]]
    assert columns(-1, 0, 0, 1, 2) == [[0, 1, 3], [0, 2, 4]]
    # a single layer beside a wall that goes on is no wall of its own
    assert columns(-1, 0, 0, 2) == [[0, 2, 3]]


def test_the_mean_width_bends_like_the_stadium_it_stands_for():
    # beam theory: pieces of different width in a row bend like one of the mean of 1/w³
    width, height = 0.065, 0.012
    z = (np.arange(20_000) + 0.5) / 20_000 * height - height / 2
    w = width - height + 2 * np.sqrt((height / 2) ** 2 - z**2)
    bends_like = np.mean(w**-3.0) ** (-1 / 3)
    mean = (width * height - height**2 * (1 - math.pi / 4)) / height

    assert bends_like == pytest.approx(mean, rel=0.02)
