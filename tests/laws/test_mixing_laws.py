"""Laws of mixing, for any hold-up and any schedule of settings, flows and pauses."""

import math
from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.integrate import quad, solve_ivp

from evenbead.physics.mixing import (
    HoldUp,
    residence,
    residence_density,
    ripple_left,
    settling_volume,
    start_volume,
    step_response,
    washout_left,
    with_hose,
)
from evenbead.physics.transport import outlet_content, outlet_ratio, time_when_passed, volume_passed

laws = settings(max_examples=60, deadline=None)
slow_laws = settings(max_examples=15, deadline=None)

hold_ups = st.builds(
    HoldUp, plug=st.floats(0.0, 0.01), mixed=st.floats(1e-4, 0.01), tanks=st.one_of(st.floats(1.0, 60.0), st.just(1.0))
)
whole_tanks = st.builds(HoldUp, plug=st.just(0.0), mixed=st.floats(1e-3, 0.01), tanks=st.integers(1, 5).map(float))


@st.composite
def schedules(draw):
    """Settings at cumulative volumes, in litres of ten or so."""
    steps = draw(st.integers(1, 6))
    widths = draw(st.lists(st.floats(0.0, 0.02), min_size=steps, max_size=steps))
    content = draw(st.lists(st.floats(0.0, 400.0), min_size=steps, max_size=steps))
    return np.concatenate(([0.0], np.cumsum(widths)[:-1])), np.array(content)


@st.composite
def flow_schedules(draw):
    """Flows that hold from given moments, with pauses, and something flowing at the end."""
    steps = draw(st.integers(1, 6))
    lasting = draw(st.lists(st.floats(1.0, 200.0), min_size=steps, max_size=steps))
    flows = draw(st.lists(st.one_of(st.just(0.0), st.floats(1e-5, 3e-4)), min_size=steps, max_size=steps))
    flows[-1] = draw(st.floats(1e-5, 3e-4))
    return np.concatenate(([0.0], np.cumsum(lasting)[:-1])), np.array(flows)


@laws
@given(hold_ups, st.lists(st.floats(-0.01, 0.2), min_size=2, max_size=20))
def test_a_step_arrives_never_too_early_never_twice_and_never_turns_back(hold_up, passed):
    share = step_response(hold_up, np.sort(passed))

    assert np.all((share >= 0.0) & (share <= 1.0))
    assert np.all(np.diff(share) >= 0.0)
    assert np.all(share[np.sort(passed) <= hold_up.plug] == 0.0)


@laws
@given(hold_ups, st.floats(0.0, 0.2))
def test_what_has_arrived_and_what_is_left_are_all(hold_up, passed):
    assert step_response(hold_up, passed) + washout_left(hold_up, passed) == pytest.approx(1.0, abs=1e-12)


@laws
@given(hold_ups, st.floats(1e-4, 0.999))
def test_the_settling_volume_is_where_the_share_has_arrived(hold_up, share):
    assert step_response(hold_up, settling_volume(hold_up, share)) == pytest.approx(share, rel=1e-9)


@laws
@given(hold_ups, st.lists(st.floats(0.0, 0.9999), min_size=2, max_size=10))
def test_a_larger_share_never_settles_sooner(hold_up, shares):
    assert np.all(np.diff(settling_volume(hold_up, np.sort(shares))) >= 0.0)


@laws
@given(hold_ups, st.floats(0.0, 0.05), st.floats(0.0, 0.2))
def test_a_hose_only_delays(hold_up, hose, passed):
    assert step_response(with_hose(hold_up, hose), passed + hose) == pytest.approx(
        step_response(hold_up, passed), abs=1e-9
    )


@laws
@given(hold_ups)
def test_one_tank_settles_like_a_single_exponential(hold_up):
    one = replace(hold_up, tanks=1.0)
    passed = one.plug + np.linspace(0.0, 5.0, 11) * one.mixed

    assert washout_left(one, passed) == pytest.approx(np.exp(-np.linspace(0.0, 5.0, 11)), rel=1e-9)


@laws
@given(hold_ups)
def test_many_tanks_come_near_a_plug(hold_up):
    many = replace(hold_up, tanks=1e6)
    around = many.plug + np.array([0.99, 1.01]) * many.mixed

    assert step_response(many, around) == pytest.approx([0.0, 1.0], abs=1e-9)
    assert step_response(HoldUp(plug=many.volume, mixed=0.0), around) == pytest.approx([0.0, 1.0])


@slow_laws
@given(hold_ups)
def test_the_density_has_the_area_mean_and_variance_of_the_residence(hold_up):
    def moment(function):
        scale = hold_up.mixed
        return sum(
            quad(lambda z: function(hold_up.plug + z * scale) * scale, a, b, epsabs=1e-12, epsrel=1e-10, limit=200)[0]
            for a, b in ((0.0, 0.5), (0.5, 1.0), (1.0, 1.5), (1.5, 3.0), (3.0, 10.0), (10.0, 60.0))
        )

    expected = residence(hold_up)
    mean = moment(lambda w: w * residence_density(hold_up, w))

    assert moment(lambda w: residence_density(hold_up, w)) == pytest.approx(1.0, rel=1e-8)
    assert mean == pytest.approx(expected.mean, rel=1e-8)
    assert moment(lambda w: (w - mean) ** 2 * residence_density(hold_up, w)) == pytest.approx(
        expected.variance, rel=1e-6
    )


@laws
@given(hold_ups, st.floats(0.05, 0.3), st.floats(0.001, 0.04), st.floats(0.001, 0.04))
def test_a_narrower_band_never_starts_sooner(hold_up, target, below, above):
    wide = start_volume(hold_up, target=target, low=target - below, high=target + above)
    narrow = start_volume(hold_up, target=target, low=target - below / 2, high=target + above)

    assert narrow >= wide >= hold_up.plug
    missing = target * washout_left(hold_up, wide)
    assert missing <= min(below, above) * (1 + 1e-9)


@slow_laws
@given(whole_tanks, schedules(), flow_schedules(), st.floats(0.0, 400.0))
def test_mass_in_is_mass_out_and_what_is_still_held(hold_up, schedule, flows, before):
    """The chamber as differential equations in time, with the flow as it is, against superposition in volume."""
    changed_at, content = schedule
    flow_from, flow = flows
    end = float(time_when_passed([changed_at[-1] + 0.5 * hold_up.mixed], flow_from=flow_from, flow=flow)[0])
    tanks = int(hold_up.tanks)
    edges = np.unique(np.concatenate((flow_from, time_when_passed(changed_at, flow_from=flow_from, flow=flow), [end])))
    edges = edges[edges <= end]

    state, delivered, fed = np.full(tanks, before), 0.0, 0.0
    for begin, finish in pairwise(edges):
        middle = (begin + finish) / 2
        rate = float(flow[np.searchsorted(flow_from, middle, side="right") - 1])
        here = volume_passed([middle], flow_from=flow_from, flow=flow)[0]
        inlet = content[np.searchsorted(changed_at, here, side="right") - 1]

        def change(_, y, rate=rate, inlet=inlet):
            upstream = np.concatenate(([inlet], y[: tanks - 1]))
            return np.append(rate * tanks / hold_up.mixed * (upstream - y[:tanks]), rate * y[tanks - 1])

        run = solve_ivp(change, (begin, finish), np.append(state, 0.0), rtol=1e-10, atol=1e-10, method="DOP853")
        state, delivered, fed = run.y[:tanks, -1], delivered + run.y[-1, -1], fed + rate * inlet * (finish - begin)
        passed = volume_passed([finish], flow_from=flow_from, flow=flow)
        ours = outlet_content(hold_up, passed=passed, changed_at=changed_at, content=content, content_before=before)
        assert ours[0] == pytest.approx(state[-1], abs=1e-5)

    held = state.sum() * hold_up.mixed / tanks
    assert fed + before * hold_up.mixed == pytest.approx(delivered + held, rel=1e-7, abs=1e-9)


@laws
@given(hold_ups, schedules(), st.floats(0.0, 400.0))
def test_superposition_itself_loses_nothing(hold_up, schedule, before):
    """All that goes in less all that comes out is what the line holds: the part of the inlet still on its way."""
    changed_at, content = schedule
    end = changed_at[-1] + 2.0 * hold_up.volume

    fed = float(np.sum(content * np.diff(np.append(changed_at, end))))
    # Quadrature in pieces, so that the front behind each change is never stepped over.
    fronts = hold_up.plug + hold_up.mixed * np.array([0.0, 0.02, 0.25, 0.5, 0.75, 1.0, 1.25, 1.5, 2.0, 4.0, 8.0, 16.0])
    edges = np.unique(np.concatenate((changed_at, np.add.outer(changed_at, fronts).ravel(), [end])))
    edges = edges[edges <= end]
    nodes, weights = np.polynomial.legendre.leggauss(30)
    delivered = 0.0
    for begin, finish in pairwise(edges):
        at = begin + (nodes + 1) / 2 * (finish - begin)
        out = outlet_content(hold_up, passed=at, changed_at=changed_at, content=content, content_before=before)
        delivered += float(weights @ out) * (finish - begin) / 2

    # Mortar that went in between two volumes ago is held as far as it has not come out yet: the integral of 1 - F.
    ago = end - np.append(changed_at, end)
    still_there = np.array([volume - _arrived_until(hold_up, volume) for volume in ago])
    held = float(content @ -np.diff(still_there)) + before * (hold_up.volume - still_there[0])
    assert fed + before * hold_up.volume == pytest.approx(delivered + held, rel=1e-5, abs=1e-7)
    assert -1e-9 <= held <= max(before, content.max()) * hold_up.volume * (1 + 1e-9) + 1e-9


def _arrived_until(hold_up, volume):
    """The integral of F from nothing to a volume, by parts: what F has summed up less the mean of what came."""
    if volume <= hold_up.plug:
        return 0.0
    longer = replace(hold_up, tanks=hold_up.tanks + 1, mixed=hold_up.mixed * (hold_up.tanks + 1) / hold_up.tanks)
    after = volume - hold_up.plug
    return float(after * step_response(hold_up, volume) - hold_up.mixed * step_response(longer, volume))


@laws
@given(hold_ups, schedules(), st.floats(0.0, 400.0), st.data())
def test_splitting_a_setting_in_two_changes_nothing(hold_up, schedule, before, data):
    changed_at, content = schedule
    where = data.draw(st.integers(0, len(content) - 1))
    until = changed_at[where + 1] if where + 1 < len(content) else changed_at[where] + 0.01
    cut = changed_at[where] + data.draw(st.floats(0.0, 1.0)) * (until - changed_at[where])
    passed = np.linspace(0.0, changed_at[-1] + 3 * hold_up.volume, 25)

    whole = outlet_content(hold_up, passed=passed, changed_at=changed_at, content=content, content_before=before)
    split = outlet_content(
        hold_up,
        passed=passed,
        changed_at=np.insert(changed_at, where + 1, cut),
        content=np.insert(content, where + 1, content[where]),
        content_before=before,
    )

    assert split == pytest.approx(whole, rel=1e-12, abs=1e-12)


@laws
@given(hold_ups, schedules(), st.floats(0.0, 400.0))
def test_the_outlet_never_leaves_the_range_of_what_went_in(hold_up, schedule, before):
    changed_at, content = schedule
    passed = np.linspace(0.0, changed_at[-1] + 3 * hold_up.volume, 25)

    out = outlet_content(hold_up, passed=passed, changed_at=changed_at, content=content, content_before=before)

    assert np.all(out >= min(before, content.min()) - 1e-9)
    assert np.all(out <= max(before, content.max()) + 1e-9)


@laws
@given(hold_ups, st.floats(0.1, 0.2), st.lists(st.floats(0.1, 0.2), min_size=1, max_size=4))
def test_the_ratio_at_the_outlet_lies_between_the_ratios_and_ends_at_the_last(hold_up, before, ratios):
    def mortar_yield(ratio):
        return 1 / 2700 + np.asarray(ratio) / 998.2

    changed_at = 0.005 * np.arange(len(ratios))
    passed = np.append(np.linspace(0.0, changed_at[-1] + hold_up.volume, 20), changed_at[-1] + 60 * hold_up.volume)

    out = outlet_ratio(
        hold_up,
        passed=passed,
        changed_at=changed_at,
        ratio=ratios,
        mortar_yield=mortar_yield(ratios),
        ratio_before=before,
        yield_before=float(mortar_yield(before)),
    )

    assert np.all((out >= min(before, *ratios) - 1e-12) & (out <= max(before, *ratios) + 1e-12))
    assert out[-1] == pytest.approx(ratios[-1], rel=1e-9)


@laws
@given(flow_schedules(), st.lists(st.floats(0.0, 2000.0), min_size=2, max_size=10))
def test_volume_never_runs_back_and_stands_still_in_a_pause(flows, moments):
    flow_from, flow = flows
    volume = volume_passed(np.sort(moments), flow_from=flow_from, flow=flow)
    at_edges = volume_passed(flow_from, flow_from=flow_from, flow=flow)

    assert np.all(np.diff(volume) >= 0.0)
    assert np.all(np.diff(at_edges)[flow[:-1] == 0.0] == 0.0)


@laws
@given(flow_schedules(), st.lists(st.floats(0.0, 0.3), min_size=1, max_size=10))
def test_the_moment_of_a_volume_is_when_that_volume_has_passed(flows, volumes):
    flow_from, flow = flows

    moments = time_when_passed(volumes, flow_from=flow_from, flow=flow)

    assert volume_passed(moments, flow_from=flow_from, flow=flow) == pytest.approx(volumes, rel=1e-9, abs=1e-12)


@laws
@given(flow_schedules(), st.data())
def test_splitting_a_flow_in_two_changes_nothing(flows, data):
    flow_from, flow = flows
    where = data.draw(st.integers(0, len(flow) - 1))
    until = flow_from[where + 1] if where + 1 < len(flow) else flow_from[where] + 50.0
    cut = flow_from[where] + data.draw(st.floats(0.0, 1.0)) * (until - flow_from[where])
    moments = np.linspace(0.0, flow_from[-1] + 100.0, 30)

    split = volume_passed(
        moments, flow_from=np.insert(flow_from, where + 1, cut), flow=np.insert(flow, where + 1, flow[where])
    )

    assert split == pytest.approx(volume_passed(moments, flow_from=flow_from, flow=flow), rel=1e-12, abs=1e-15)


@laws
@given(hold_ups, st.floats(0.5, 0.99), st.floats(1e-4, 0.1))
def test_litres_change_nothing(hold_up, share, passed):
    litres = HoldUp(plug=hold_up.plug * 1000, mixed=hold_up.mixed * 1000, tanks=hold_up.tanks)

    assert settling_volume(litres, share) == pytest.approx(settling_volume(hold_up, share) * 1000, rel=1e-12)
    assert residence_density(litres, passed * 1000) == pytest.approx(
        residence_density(hold_up, passed) / 1000, rel=1e-9, abs=1e-300
    )
    assert residence(litres).variance == pytest.approx(residence(hold_up).variance * 1e6, rel=1e-12)


@laws
@given(hold_ups, st.floats(1e-4, 1.0))
def test_a_ripple_is_never_amplified_and_a_slower_one_passes_more(hold_up, wavelength):
    fast, slow = ripple_left(hold_up, wavelength), ripple_left(hold_up, 2 * wavelength)

    assert 0.0 <= fast <= slow <= 1.0


@slow_laws
@given(hold_ups, st.floats(0.2, 5.0))
def test_a_ripple_is_what_the_residence_density_leaves_of_a_wave(hold_up, relative):
    wavelength = relative * hold_up.mixed
    edge = 60.0 * hold_up.mixed
    z = np.linspace(0.0, edge, 400_001)
    wave = np.exp(-2j * math.pi * z / wavelength)
    # F is smoother than E at its beginning: by parts, the transform of E is 1 less that of 1 - F times iω.
    left = washout_left(hold_up, hold_up.plug + z)
    transform = 1.0 - 2j * math.pi / wavelength * np.trapezoid(left * wave, z)

    assert abs(transform) == pytest.approx(ripple_left(hold_up, wavelength), abs=2e-5)
