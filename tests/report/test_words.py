"""How times, speeds, doubts and verdicts are worded."""

import datetime as dt

import pytest
from hypothesis import given
from hypothesis import strategies as st

from evenbead.plan.model import Refill
from evenbead.plan.spans import percent, span
from evenbead.quantities import MASS_FLOW, VOLUME_FLOW
from evenbead.report import words

SEVEN = dt.datetime(2026, 6, 18, 7, 0, tzinfo=dt.timezone(dt.timedelta(hours=2)))


@pytest.mark.parametrize(
    ("seconds", "said"),
    [
        (0, "0 s"),
        (59.4, "59 s"),
        (59.6, "1 min"),
        (61, "1 min 1 s"),
        (3599.6, "1 h"),
        (3600, "1 h"),
        (3661, "1 h 01 min"),
        (86_400, "24 h"),
    ],
)
def test_a_duration_is_said_in_the_largest_units_that_matter(seconds, said):
    assert span(seconds) == said


@given(st.floats(0, 1e6))
def test_a_duration_in_words_is_never_off_by_more_than_half_of_its_last_unit(seconds):
    said = {unit: int(number) for number, unit in zip(*[iter(span(seconds).split())] * 2, strict=True)}
    value = said.get("h", 0) * 3600 + said.get("min", 0) * 60 + said.get("s", 0)

    assert abs(value - seconds) <= (30 if "h" in said or seconds >= 3570 else 0.5) + 1e-6


@pytest.mark.parametrize(
    ("seconds", "said"),
    [(0, "07:00"), (29, "07:00"), (31, "07:01"), (3600, "08:00"), (17 * 3600, "Fri 00:00"), (-61, "06:59")],
)
def test_clock_times_are_to_the_nearest_minute_and_name_another_day(seconds, said):
    assert words.clock(SEVEN, seconds) == said


@given(st.floats(0, 1))
def test_a_share_is_all_or_nothing_only_if_it_is(share):
    assert (percent(share) == "100 %") == (share == 1)
    assert (percent(share) == "0 %") == (share == 0)


@pytest.mark.parametrize(
    ("value", "half", "kind", "system", "said"),
    [
        (7.02e-5, 3.6e-7, VOLUME_FLOW, "metric", "4.212 ± 0.022 L/min"),
        (7.02e-5, 3.6e-7, VOLUME_FLOW, "us", "1.1127 ± 0.0057 gal/min"),
        (0.158, 0.065, None, "metric", "0.158 ± 0.065"),
        (0.158, 0.0, None, "metric", "0.1580 ± 0.0000"),
        (2.0, 1.5, MASS_FLOW, "metric", "120 ± 90 kg/min"),
    ],
)
def test_a_value_has_the_digits_of_its_doubt(value, half, kind, system, said):
    assert words.with_doubt(value, half, kind, system) == said


def test_refills_are_said_under_the_number_of_bags():
    refills = [Refill(at=at, bags=bags) for at, bags in ((600, 3), (1200, 3), (1800, 1))]

    assert words.refill_words(refills, SEVEN) == ["3 bags at 07:10  07:20", "1 bag at 07:30"]


@given(st.text(min_size=1, max_size=80), st.integers(2, 60))
def test_a_shortened_name_fits_and_says_that_it_was_cut(name, most):
    short = words.shortened(name, most)

    assert len(short) <= most
    assert short == name if len(name) <= most else short.endswith("…")


def test_the_gravest_verdict_speaks_first():
    assert words.VERDICTS[0] == "stop"
    assert words.VERDICTS[-1] == "ok"
    assert len({words.SIGNS[verdict] for verdict in words.VERDICTS}) == 4
