"""Schedules through a line: superposition, and the clock against the volume."""

import math

import numpy as np
import pytest

from evenbead.physics.mixing import HoldUp, step_response
from evenbead.physics.transport import outlet_content, outlet_ratio, time_when_passed, volume_passed

TANK = HoldUp(plug=1.0, mixed=2.0)


def test_one_step_is_the_step_response():
    passed = np.linspace(0.0, 9.0, 10)

    ours = outlet_content(TANK, passed=passed, changed_at=[0.0], content=[5.0], content_before=3.0)

    assert ours == pytest.approx(3.0 + 2.0 * step_response(TANK, passed))


def test_a_pulse_is_a_step_up_and_a_step_down():
    # One tank behind a plug: after the pulse, e^-(W-1-1)/2 less e^-(W-1)/2.
    passed = np.array([3.0, 5.0, 7.0])

    ours = outlet_content(TANK, passed=passed, changed_at=[0.0, 1.0], content=[1.0, 0.0])

    assert ours == pytest.approx(np.exp(-(passed - 2) / 2) - np.exp(-(passed - 1) / 2))


def test_equal_volumes_of_two_ratios_mix_by_their_powder():
    """Half of each: the mean of the two ratios, weighted by the powder in each litre; a little to the dry side."""
    tank = HoldUp(plug=0.0, mixed=1.0)
    dry, wet = 1 / 2700 + 0.15 / 998.2, 1 / 2700 + 0.17 / 998.2

    out = outlet_ratio(
        tank,
        passed=[math.log(2)],
        changed_at=[0.0],
        ratio=[0.17],
        mortar_yield=[wet],
        ratio_before=0.15,
        yield_before=dry,
    )

    assert out[0] == pytest.approx((0.15 / dry + 0.17 / wet) / (1 / dry + 1 / wet), rel=1e-12)
    assert 0.1595 < out[0] < 0.16


def test_settings_out_of_order_are_refused():
    with pytest.raises(ValueError, match="changed_at"):
        outlet_content(TANK, passed=[1.0], changed_at=[1.0, 0.0], content=[1.0, 2.0])


def test_the_last_flow_goes_on_and_nothing_flows_before_the_first():
    volume = volume_passed([-5.0, 10.0, 15.0, 30.0], flow_from=[10.0, 20.0], flow=[1.0, 2.0])

    assert list(volume) == [0.0, 0.0, 5.0, 30.0]


def test_a_volume_that_is_reached_before_a_pause_is_reached_before_the_pause():
    assert list(time_when_passed([0.0, 10.0, 11.0], flow_from=[0, 10, 60], flow=[1.0, 0.0, 0.5])) == [0.0, 10.0, 62.0]


def test_a_volume_that_never_passes_takes_for_ever():
    assert math.isinf(time_when_passed([10.1], flow_from=[0.0, 10.0], flow=[1.0, 0.0])[0])
    assert time_when_passed([10.0], flow_from=[0.0, 10.0], flow=[1.0, 0.0])[0] == 10.0


@pytest.mark.parametrize(
    ("flow_from", "flow"), [([], []), ([0.0, 1.0], [1.0]), ([1.0, 0.0], [1.0, 1.0]), ([0.0, 1.0], [1.0, -1.0])]
)
def test_a_flow_without_sense_is_refused(flow_from, flow):
    with pytest.raises(ValueError, match=r"expected|not ascending"):
        volume_passed([1.0], flow_from=flow_from, flow=flow)
