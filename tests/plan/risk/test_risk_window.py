"""The workable window: what is open on the map is what the plan would allow there."""

import numpy as np
import pytest

import invented_site as site
import risk_days as days
from evenbead.plan.checks import speed_checks
from evenbead.plan.fresh.all import fresh_checks
from evenbead.plan.risk import trial_of, window_of
from evenbead.plan.risk.feeds import allowed_paces


def mapped(day):
    return window_of(trial_of(day.situation), day.expected, seed=1)


def crossing(along, room):
    """Where a room first turns, by a straight line between its neighbours."""
    place = int(np.flatnonzero(np.diff(room >= 0))[0])
    share = room[place] / (room[place] - room[place + 1])
    return along[place] + share * (along[place + 1] - along[place])


def test_a_plan_that_keeps_every_limit_lies_on_open_ground(tmp_path):
    day = days.ready(tmp_path, job=days.weathered(days.EVEN), code=site.bench_code(layers=4))
    assert all(check.margin > 0 for check in fresh_checks(day.situation)[:8])

    window = mapped(day)

    layer_time, ratio = window.chosen
    column = int(np.argmin(np.abs(np.log(window.layer_time / layer_time))))
    row = int(np.argmin(np.abs(window.ratio - ratio)))
    assert window.open[row, column]
    assert 0 < window.open.mean() < 1
    assert window.layer_time[column] == pytest.approx(layer_time)
    assert (window.layer_time[0], window.layer_time[-1]) == pytest.approx((layer_time / 4, layer_time * 4))


def test_a_plan_that_passes_a_limit_lies_on_closed_ground(tmp_path):
    window = mapped(days.ready(tmp_path, code=site.bench_code(layers=40)))

    assert not window.open[40, 60]
    assert window.room["buckling"][40, 60] < 0


def test_open_ground_ends_at_the_band_of_the_ratio(tmp_path):
    window = mapped(days.ready(tmp_path))
    band = window.ratio[(window.room["ratio"] >= 0).all(axis=1)]

    step = window.ratio[1] - window.ratio[0]
    assert band[0] == pytest.approx(0.150, abs=step)
    assert band[-1] == pytest.approx(0.170, abs=step)


@pytest.mark.parametrize(("name", "layers"), [("collapse", 9), ("buckling", 16), ("interval", 9)])
def test_at_an_edge_the_plan_of_a_print_at_that_pace_has_no_margin_left(tmp_path, name, layers):
    texts = {"job": site.changed(days.EVEN, '"20 min"', '"3 min"')}
    day = days.ready(tmp_path, code=site.bench_code(layers=layers), **texts)
    window = mapped(day)
    row = int(np.argmin(np.abs(window.ratio - 0.158)))
    assert window.ratio[row] == pytest.approx(0.158, abs=1e-3)
    # Exactly at the target: the map's row may lie a little beside it, which shifts the wall's edges a little.
    edge = np.exp(crossing(np.log(window.layer_time), window.room[name][row]))
    pace = edge / window.chosen[0]

    other = days.ready(tmp_path, code=site.bench_code(layers=layers, feed=6000 / pace), **texts)
    check = next(check for check in fresh_checks(other.situation) if check.name == name)

    assert check.margin == pytest.approx(0.0, abs=0.02 * check.limit)


def test_the_feeds_end_it_where_a_motor_would_have_to_run_beyond_its_range(tmp_path):
    day = days.ready(tmp_path, mortar=days.TWO_PART)
    quickest, slowest = allowed_paces(day.situation.settings)

    for pace in (quickest, slowest):
        other = days.ready(tmp_path, mortar=days.TWO_PART, code=site.bench_code(feed=6000 / pace))
        margins = [check.margin / check.value for check in speed_checks(other.situation.settings, "metric")]
        assert min(margins) == pytest.approx(0.0, abs=1e-6)
    window = mapped(day)
    within = (window.layer_time >= quickest * window.chosen[0]) & (window.layer_time <= slowest * window.chosen[0])
    assert np.array_equal(window.room["feeds"][0] >= 0, within)


def test_the_cloud_is_where_catches_and_feeds_may_put_the_ratio(tmp_path):
    day = days.ready(tmp_path)
    window = mapped(day)

    assert len(window.cloud) == 256
    assert np.mean(window.cloud) == pytest.approx(float(day.expected.ratio.value), rel=0.002)
    feed = day.situation.case.job.spread.feed * 0.158
    assert np.std(window.cloud) == pytest.approx(np.hypot(feed, float(day.expected.ratio.u)), rel=0.1)


def test_a_print_of_one_layer_has_a_window_too(tmp_path):
    window = mapped(days.ready(tmp_path, job=days.weathered(days.EVEN), code=site.bench_code(layers=1)))

    assert window.open.any()
    assert np.isinf(window.room["interval"]).all()
