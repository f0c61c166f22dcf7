"""The checks of a plan: when each says ok, caution, stop or unknown, and what it says then."""

import math
import re

import numpy as np
import pytest

import invented_site as site
from evenbead.errors import InputRefused
from evenbead.toolpath.reading import toolpath_for
from invented_paths import toolpath


def check_of(plan, name):
    return next(check for check in plan.checks if check.name == name)


def planned(tmp_path, *, station=(), mortar=(), job=(), **rest):
    texts = {"station": site.STATION, "mortar": site.ONE_PART, "job": site.JOB}
    for name, changes in (("station", station), ("mortar", mortar), ("job", job)):
        for old, new in changes:
            texts[name] = site.changed(texts[name], old, new)
    return site.plan_of(tmp_path, **texts, **rest)


def test_a_sound_day_is_ok_in_every_check(tmp_path):
    plan = site.plan_of(tmp_path, station=site.SOUND_STATION, mortar=site.SOUND_ONE_PART)

    assert {check.verdict for check in plan.checks} == {"ok"}
    assert [c.name for c in plan.checks] == [
        "water speed", "powder speed", "ratio", "bead width", "hopper",
        "collapse", "buckling", "interval", "drying", "hose pressure", "open time in line", "pause",
        "fresh temperature", "cooling", "power supply", "water supply",
    ]  # fmt: skip
    assert all(check.why and check.governs for check in plan.checks)
    assert all(check.margin >= 0 for check in plan.checks)


@pytest.mark.parametrize(
    ("allowed", "verdict", "advice"),
    [
        ('["60 rpm", "1000 rpm"]', "ok", ""),
        ('["60 rpm", "120 rpm"]', "stop", "print slower"),
        ('["130 rpm", "1000 rpm"]', "stop", "print faster"),
    ],
)
def test_a_speed_outside_the_motors_range_is_a_stop(tmp_path, allowed, verdict, advice):
    check = check_of(planned(tmp_path, station=[('["60 rpm", "1000 rpm"]', allowed)]), "water speed")

    assert check.verdict == verdict
    assert advice in check.change
    assert (check.margin < 0) == (verdict == "stop")
    assert check.governs == "motor range"


def test_a_speed_outside_the_catches_is_a_caution_that_says_where_to_catch(tmp_path):
    station = re.sub(r'speed = "300 rpm"\nmass = "2.617 kg"', 'speed = "120 rpm"\nmass = "1.047 kg"', site.STATION)
    station = re.sub(r'speed = "150 rpm"\nmass = "1.3\d+ kg"', 'speed = "110 rpm"\nmass = "0.961 kg"', station)
    plan = site.plan_of(tmp_path, station=station)
    check = check_of(plan, "water speed")

    assert not plan.settings.water.within_catches
    assert plan.settings.water.speed * 60 > 120
    assert check.verdict == "caution"
    assert check.governs == "range caught"
    assert re.fullmatch(r"make a catch at [\d.]+ rpm", check.change)


def test_a_drive_with_steps_gets_a_speed_it_can_run_at(tmp_path):
    free = planned(tmp_path)
    for step in (1, 7, 50):
        plan = planned(tmp_path, station=[("[water]", f'[water]\nspeed_step = "{step} rpm"')])
        steps = plan.settings.water.speed * 60 / step

        assert steps == pytest.approx(round(steps), abs=1e-9)
        assert abs(plan.settings.water.speed - free.settings.water.speed) * 60 <= step / 2 + 1e-9
        assert plan.settings.water.mass_flow == pytest.approx(free.settings.water.mass_flow)
    # the ratio that coarse steps give is what is judged
    assert check_of(plan, "ratio").verdict == "stop"


def test_the_smallest_speed_a_coarse_drive_accepts_is_one_step(tmp_path):
    plan = planned(
        tmp_path,
        station=[("[powder]", '[powder]\nspeed_step = "100 rpm"'), ('["10 rpm", "160 rpm"]', '["0 rpm", "160 rpm"]')],
        code=site.bench_code(feed=3000),
    )

    assert plan.settings.powder.speed * 60 == pytest.approx(100)


def test_worse_catches_make_the_band_less_likely_until_it_is_a_stop(tmp_path):
    likely = []
    for scale in (5, 20, 60, 150):
        changes = [("[water]", f'[water]\nscale_doubt = "{scale} g"')]
        plan = planned(tmp_path, station=changes)
        likely.append(plan.expected.in_band)
        check = check_of(plan, "ratio")
        worst = {"ok": 0.95, "caution": 0.5, "stop": 0.0}[check.verdict]
        assert plan.expected.in_band >= worst

    assert likely == sorted(likely, reverse=True)
    assert check.verdict != "ok"
    assert re.match(r"catch water again at [\d.]+ rpm", check.change)
    assert check.governs == "doubt of the water catches"


def test_the_probability_is_that_of_students_t(tmp_path):
    ratio = planned(tmp_path).expected.ratio
    plan = planned(tmp_path, mortar=[("low = 0.150", "low = 0.157"), ("high = 0.170", "high = 0.1585")])
    # Student's density, integrated by Simpson's rule
    t = (np.linspace(0.157, 0.1585, 2001) - float(ratio.value)) / float(ratio.u)
    n = ratio.dof
    density = math.gamma((n + 1) / 2) / math.gamma(n / 2) / math.sqrt(n * math.pi) * (1 + t**2 / n) ** (-(n + 1) / 2)
    weights = np.tile([2.0, 4.0], 1001)[:2001]
    weights[[0, -1]] = 1.0
    inside = (t[1] - t[0]) / 3 * np.sum(weights * density)

    assert plan.expected.in_band == pytest.approx(inside, rel=1e-6)


# --- bead width against a walk in fine steps


def width_by_steps(path, timing, *, flow, width, height, tolerance, acceleration):
    """Share too wide and too thin, by walking each move in fine steps: another way than the closed form."""
    wide = thin = 0.0
    corners = height * height * (1 - np.pi / 4)
    for i in np.flatnonzero(path.on):
        way = (np.arange(4000) + 0.5) / 4000 * path.length[i]
        speed = np.full(4000, timing.top[i])
        if acceleration:
            up = np.sqrt(timing.entry[i] ** 2 + 2 * acceleration * way)
            down = np.sqrt(timing.exit[i] ** 2 + 2 * acceleration * (path.length[i] - way))
            speed = np.minimum(speed, np.minimum(up, down))
        laid = (flow / speed + corners) / height
        wide += path.length[i] * np.mean(laid > width * (1 + tolerance))
        thin += path.length[i] * np.mean(laid < width * (1 - tolerance))
    return wide / path.path_length, thin / path.path_length


@pytest.mark.parametrize("acceleration", [None, 0.1, 0.5])
@pytest.mark.parametrize("tolerance", [0.03, 0.1, 0.3])
def test_shares_outside_are_those_of_a_walk_in_fine_steps(tmp_path, acceleration, tolerance):
    from evenbead.documents import read_case
    from evenbead.plan.width import width_outside
    from evenbead.toolpath.timing import timing_of

    case = read_case(site.write_case(tmp_path))
    x = np.array([0, 1.0, 1.0, 0.3, 0.3, 0.35, 0.4, 1.4])
    y = np.array([0, 0, 0.5, 0.5, 0.1, 0.1, 0.2, 0.2])
    path = toolpath(x, y, 0 * x, speed=[0.1, 0.14, 0.07, 0.1, 0.1, 0.12, 0.1])
    timing = timing_of(path, acceleration=acceleration)
    flow = 0.1 * (0.045 * 0.015 - 0.015**2 * (1 - np.pi / 4))
    found = width_outside(path, timing, case.job.bead, flow=flow, tolerance=tolerance, acceleration=acceleration)
    wide, thin = width_by_steps(
        path, timing, flow=flow, width=0.045, height=0.015, tolerance=tolerance, acceleration=acceleration
    )

    assert found.wide == pytest.approx(wide, abs=1e-3)
    assert found.thin == pytest.approx(thin, abs=1e-3)


@pytest.mark.parametrize("section", ["stadium", "rectangle"])
@pytest.mark.parametrize("tolerance", [0.5, 1.0])
def test_no_speed_makes_a_bead_of_no_area(tmp_path, section, tolerance):
    plan = planned(tmp_path, job=[('section = "stadium"', f'section = "{section}"\nwidth_tolerance = {tolerance}')])
    check = check_of(plan, "bead width")

    assert check.verdict == "ok"
    assert check.value < 0.02


def test_a_path_with_slow_places_is_told_where(tmp_path):
    code = site.bench_code().replace("G1 Y400\n", "G1 Y400 F1500\nF6000\n", 1)
    check = check_of(planned(tmp_path, code=code), "bead width")

    assert "furthest off" in check.why
    assert "in layer 1 at x 2.4 m, y 0.4 m, line 6" in check.why


def test_a_slow_path_throughout_is_no_width_fault_but_less_flow(tmp_path):
    fast, slow = (planned(tmp_path, code=site.bench_code(feed=feed)) for feed in (6000, 4000))

    assert check_of(slow, "bead width").verdict == "ok"
    assert slow.demand.flow.mean < fast.demand.flow.mean


@pytest.mark.parametrize(("allowed", "verdict"), [(0.02, "ok"), (0.009, "caution"), (0.0, "stop")])
def test_the_share_allowed_outside_decides(tmp_path, allowed, verdict):
    plan = planned(tmp_path, job=[("[limits]", f"[limits]\nwidth_outside = {allowed}")])

    assert check_of(plan, "bead width").verdict == verdict


# --- hopper


def hopper_by_steps(plan, *, flow_powder, before, running):
    """The level every second of running, with the bags going in when the plan says so."""
    bag = plan.materials.bag
    level, lowest, highest = plan.materials.first_fill * bag, np.inf, 0.0
    refills = [(r.at, r.bags) for r in plan.materials.refills]
    start = running[0][0] - before / flow_powder
    for time in np.arange(start, running[-1][1], 1.0):
        while refills and refills[0][0] <= time:
            lowest = min(lowest, level)
            level += refills.pop(0)[1] * bag
            highest = max(highest, level)
        runs = time < running[0][0] or any(a <= time < b for a, b in running)
        level -= flow_powder * runs
        lowest = min(lowest, level)
    assert not refills
    return lowest, highest


@pytest.mark.parametrize("hopper", [("110 kg", "30 kg"), ("60 kg", "20 kg"), ("56 kg", "30 kg"), ("1000 kg", "0 kg")])
@pytest.mark.parametrize("pause", [0, 20, 600])
def test_refills_keep_the_hopper_between_its_level_and_its_brim(tmp_path, hopper, pause):
    capacity, level = hopper
    code = site.bench_code(layers=24).replace("M9\n", f"M9\nG4 P{pause}\n") if pause else site.bench_code(layers=24)
    plan = planned(
        tmp_path, station=[('"110 kg"', f'"{capacity}"'), ('refill_at = "30 kg"', f'refill_at = "{level}"')], code=code
    )
    loop = plan.demand.on_time / 24
    stops = pause > 30  # the job's own pause_over
    still = (plan.demand.duration - plan.demand.on_time) / 24
    running = [(k * (loop + still), k * (loop + still) + loop) for k in range(24)]
    if not stops:
        running = [(0.0, running[-1][1])]
    powder = plan.settings.powder.mass_flow
    litres = plan.materials.litres
    before = (litres.start_waste + litres.held) / plan.settings.flow * powder
    lowest, highest = hopper_by_steps(plan, flow_powder=powder, before=before, running=running)
    slack = 3 * powder  # the plan's times are exact, the steps are a second long; moves up between layers run too

    assert lowest >= float(level.split()[0]) - slack
    assert highest <= float(capacity.split()[0]) + slack
    assert check_of(plan, "hopper").verdict == "ok"
    assert plan.materials.first_fill + sum(r.bags for r in plan.materials.refills) <= plan.materials.bags


def test_a_hopper_that_is_small_for_the_hose_is_refilled_while_wetting_out(tmp_path):
    plan = planned(tmp_path, station=[('"110 kg"', '"60 kg"'), ('length = "14 m"', 'length = "60 m"')])

    assert plan.materials.refills[0].at < 0
    assert check_of(plan, "hopper").verdict == "ok"


def test_a_bag_that_does_not_fit_in_is_a_stop(tmp_path):
    plan = planned(tmp_path, station=[('"30 kg"', '"100 kg"')], code=site.bench_code(layers=60))
    check = check_of(plan, "hopper")

    assert check.verdict == "stop"
    assert "fits in" in check.change
    assert check.value >= 0


def test_bags_slower_than_the_print_eats_them_are_a_stop(tmp_path):
    plan = planned(tmp_path, station=[("[hopper]", '[hopper]\nbag_time = "5 min"')], code=site.bench_code(layers=60))
    check = check_of(plan, "hopper")

    assert check.verdict == "stop"
    assert check.governs == "time to bring a bag"


# --- what can't be planned


def refused(tmp_path, **changes):
    with pytest.raises(InputRefused) as error:
        planned(tmp_path, **changes)
    (fault,) = error.value.faults
    return fault


def test_catches_that_fall_with_speed_are_refused_at_their_place(tmp_path):
    fault = refused(tmp_path, station=[('"2.617 kg"', '"0.1 kg"'), ('"0.874 kg"', '"4 kg"')])

    assert fault.file.endswith("station.toml")
    assert site.STATION.split("\n")[fault.line - 1] == "[[water.catch]]"
    assert fault.key == "water.catch"
    assert "repeat" in fault.expected


def test_a_flow_below_what_the_line_gives_at_no_speed_is_refused_with_what_to_catch(tmp_path):
    changes = [
        ('"4.25 kg"', '"40 kg"'),
        ('"8.47 kg"', '"44 kg"'),
        ('"8.52 kg"', '"44.1 kg"'),
        ('"12.78 kg"', '"48 kg"'),
    ]
    fault = refused(tmp_path, station=changes)

    assert "no forward speed" in fault.what
    assert "kg/min" in fault.expected


def test_a_print_of_months_is_refused(tmp_path):
    fault = refused(tmp_path, code=site.bench_code(feed=0.2))

    assert "would take" in fault.what
    assert "days" in fault.what


def test_a_file_in_which_nothing_prints_is_refused(tmp_path):
    from evenbead.documents import read_case

    case = read_case(site.write_case(tmp_path, code="G0 X1 Y1\nM2\n"))
    with pytest.raises(InputRefused, match="M7"):
        toolpath_for(case.toolpath, case.job)
