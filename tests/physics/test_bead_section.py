"""Areas, widths and speeds of a bead against plane geometry, by other ways than the closed form."""

import math

import ezdxf.math
import numpy as np
import pytest
from ezdxf.path import from_vertices
from hypothesis import given
from hypothesis import strategies as st

from evenbead.physics.bead import section_area, speed_for, width_at

heights = st.floats(0.002, 0.1)
stretches = st.floats(1.0, 20.0)
sections = st.sampled_from(["stadium", "rectangle"])


# Worked out by hand from pi/4 = 0.785398: width and height in mm, area in mm2 of a rectangle less its four corners.
@pytest.mark.parametrize(
    ("width", "height", "area"), [(40, 10, 378.540), (50, 20, 914.159), (60, 15, 851.715), (30, 30, 706.858)]
)
def test_the_area_of_a_stadium(width, height, area):
    found = section_area(width=width / 1000, height=height / 1000, section="stadium") * 1e6

    assert found == pytest.approx(area, abs=0.0005)


@pytest.mark.parametrize("width", [0.03, 0.045, 0.2])
def test_the_area_is_that_of_a_drawn_outline(width):
    # two straight sides and two half circles in chords, measured by ezdxf
    height = 0.03
    turn = np.linspace(-np.pi / 2, np.pi / 2, 4001)
    right = np.column_stack([(width - height) / 2 + height / 2 * np.cos(turn), height / 2 * np.sin(turn)])
    outline = np.vstack([right, -right])
    area = abs(ezdxf.math.area(from_vertices(outline, close=True).flattening(1.0)))

    assert section_area(width=width, height=height, section="stadium") == pytest.approx(area, rel=1e-6)


@given(heights)
def test_a_stadium_as_wide_as_high_is_a_circle(height):
    assert section_area(width=height, height=height, section="stadium") == pytest.approx(math.pi / 4 * height**2)


@given(heights, stretches)
def test_a_stadium_is_less_than_its_box_by_the_corners_of_a_square_less_its_circle(height, stretch):
    width = height * stretch
    stadium, box = (section_area(width=width, height=height, section=s) for s in ("stadium", "rectangle"))

    assert box == width * height
    assert box - stadium == pytest.approx(height**2 - math.pi * (height / 2) ** 2, rel=1e-9)


# By hand: 6 L/min at 100 mm/s is 1000 mm2; over 15 mm that is 66.667 mm, and a stadium needs 15 (1 - pi/4) mm more.
@pytest.mark.parametrize(("section", "width"), [("stadium", 69.886), ("rectangle", 66.667)])
def test_the_width_that_a_flow_lays_at_a_speed(section, width):
    found = width_at(flow=6e-3 / 60, speed=0.1, height=0.015, section=section) * 1000

    assert found == pytest.approx(width, abs=0.0005)


@given(heights, stretches, st.floats(0.01, 1.0), sections)
def test_width_area_and_speed_lead_back_to_one_another(height, stretch, speed, section):
    width = height * stretch
    flow = section_area(width=width, height=height, section=section) * speed

    assert width_at(flow=flow, speed=speed, height=height, section=section) == pytest.approx(width, rel=1e-12)
    assert speed_for(flow=flow, width=width, height=height, section=section) == pytest.approx(speed, rel=1e-12)


@given(heights, st.floats(1e-6, 1e-3), st.floats(0.01, 1.0), st.floats(1.001, 5.0), sections)
def test_a_slower_nozzle_lays_a_wider_bead(height, flow, speed, factor, section):
    slow, fast = (width_at(flow=flow, speed=v, height=height, section=section) for v in (speed, speed * factor))

    assert slow > fast


def test_columns_give_what_their_numbers_give():
    speeds = np.array([0.05, 0.1, 0.2])
    widths = width_at(flow=1e-4, speed=speeds, height=0.015, section="stadium")

    assert widths.tolist() == [width_at(flow=1e-4, speed=float(v), height=0.015, section="stadium") for v in speeds]
