"""Restart after a pause, by hand; and the longest pause as its inverse."""

import math

import numpy as np
import pytest

from evenbead.physics.growth import ExponentialGrowth, LinearGrowth, PowerGrowth
from evenbead.physics.pumping_lines import (
    Stretch,
    longest_pause,
    longest_pause_along,
    restart_pressure,
    start_pressure,
    static_head,
)
from evenbead.physics.setting import TemperatureHistory
from evenbead.physics.setting_rate import Arrhenius

BAR = 1e5
HOSE = Stretch(length=20.0, bore=0.035, yield_stress=300.0, growth=LinearGrowth(rate=0.5))
NOZZLE = Stretch(length=0.2, bore=0.025, yield_stress=400.0, growth=LinearGrowth(rate=37.0))


def test_the_longest_pause_of_a_hose_is_as_recomputed():
    """20 bar, 20 m of 35 mm, 300 Pa and 0.5 Pa/s: 1150 s, by hand (P·D/(4L) - τ_0)/A."""
    assert longest_pause([HOSE], limit=20 * BAR) == pytest.approx(1150.0)
    assert restart_pressure([HOSE], rest=1150.0) == pytest.approx(20 * BAR)


def test_stretches_add():
    """4τL/D of each, by hand."""
    by_hand = 4 * (300 + 0.5 * 600) * 20.0 / 0.035 + 4 * (400 + 37 * 600) * 0.2 / 0.025

    assert restart_pressure([HOSE, NOZZLE], rest=600.0) == pytest.approx(by_hand)


def test_the_pause_of_two_linear_stretches_has_a_closed_form():
    base = restart_pressure([HOSE, NOZZLE], rest=0.0)
    slope = start_pressure(0.5, length=20.0, bore=0.035) + start_pressure(37.0, length=0.2, bore=0.025)

    assert longest_pause([HOSE, NOZZLE], limit=25 * BAR) == pytest.approx((25 * BAR - base) / slope, rel=1e-12)


def test_mortar_that_was_at_rest_already_has_less_time():
    waited = Stretch(length=20.0, bore=0.035, yield_stress=300.0, growth=LinearGrowth(rate=0.5), age=400.0)

    assert longest_pause([waited], limit=20 * BAR) == pytest.approx(750.0)


def test_static_head_takes_its_share_of_the_limit():
    """3 m of mortar of 2100 kg/m³: 0.618 bar, by hand with 9.80665 m/s²."""
    head = static_head(rise=3.0, density=2100.0)

    assert head == pytest.approx(61782, abs=0.5)
    assert restart_pressure([HOSE], rest=0.0, head=head) == pytest.approx(restart_pressure([HOSE], rest=0.0) + head)
    assert longest_pause([HOSE], limit=20 * BAR, head=head) == pytest.approx(
        longest_pause([HOSE], limit=20 * BAR - head)
    )


@pytest.mark.parametrize("line", [[HOSE], [HOSE, NOZZLE]])
def test_a_limit_passed_from_the_start_leaves_no_pause(line):
    assert longest_pause(line, limit=1 * BAR) == 0.0


def test_mortar_that_does_not_stiffen_may_rest_for_ever():
    still = Stretch(length=20.0, bore=0.035, yield_stress=300.0, growth=LinearGrowth(rate=0.0))

    assert math.isinf(longest_pause([still], limit=20 * BAR))
    assert math.isinf(longest_pause([still, still], limit=20 * BAR))


def test_a_stretch_without_length_never_ends_a_pause():
    nothing = Stretch(length=0.0, bore=0.025, yield_stress=400.0, growth=LinearGrowth(rate=37.0))

    assert longest_pause([HOSE, nothing], limit=20 * BAR) == pytest.approx(1150.0)
    assert longest_pause([nothing], limit=-1.0) == 0.0


def test_warm_mortar_may_rest_for_a_shorter_time():
    """At 30 °C and 40 kJ/mol everything goes 1.718 times as fast, recomputed outside the project."""
    warm = TemperatureHistory.constant(30.0)

    pause = longest_pause_along(
        [HOSE], limit=20 * BAR, history=warm, since=500.0, rate=Arrhenius(activation_energy=40e3)
    )

    assert pause == pytest.approx(1150.0 / 1.7183, rel=1e-4)


def test_draws_of_lines_with_different_laws_are_solved_at_once():
    rng = np.random.default_rng(5)
    draws = rng.lognormal(0.0, 0.3, (3, 10_000))
    line = [
        Stretch(length=20.0, bore=0.035, yield_stress=250.0 * draws[0], growth=LinearGrowth(rate=0.5 * draws[1])),
        Stretch(length=1.0, bore=0.035, yield_stress=250.0, growth=ExponentialGrowth(rate=0.5 * draws[2], time=900.0)),
        Stretch(length=0.2, bore=0.025, yield_stress=400.0, growth=PowerGrowth(gained=2e4, time=600.0, exponent=1.5)),
    ]

    pause = longest_pause(line, limit=20 * BAR)

    reached = restart_pressure(line, rest=pause)
    assert pause.shape == (10_000,)
    assert np.all(reached <= 20 * BAR * (1 + 1e-12))
    assert reached[pause > 0.0] == pytest.approx(20 * BAR, rel=1e-9)


def test_a_line_without_stretches_is_refused():
    with pytest.raises(ValueError, match="at least one stretch"):
        longest_pause([], limit=BAR)


@pytest.mark.parametrize(
    ("numbers", "name"),
    [({"length": -1.0}, "length"), ({"bore": 0.0}, "bore"), ({"yield_stress": -1.0}, "yield"), ({"age": -1.0}, "age")],
)
def test_a_stretch_that_can_not_be_is_refused(numbers, name):
    sound = {"length": 1.0, "bore": 0.035, "yield_stress": 1.0, "growth": LinearGrowth(rate=1.0)}

    with pytest.raises(ValueError, match=name):
        Stretch(**(sound | numbers))


def test_a_rest_before_the_pause_is_refused():
    with pytest.raises(ValueError, match="rest"):
        restart_pressure([HOSE], rest=-1.0)


def test_half_a_metre_of_accelerated_mortar_ends_a_pause_after_some_ten_minutes():
    """Common practice, no source: about 10 minutes before stop and clean. Growth of 1 to 100 kPa in 45 min, abstract of
    [Demont2024]; 20 bar and a hose end of 25 mm, invented."""
    accelerated = Stretch(
        length=0.5, bore=0.025, yield_stress=1000.0, growth=LinearGrowth(rate=99e3 / (45 * 60)), age=0.0
    )

    assert 8 * 60 < longest_pause([accelerated], limit=20 * BAR) < 14 * 60
