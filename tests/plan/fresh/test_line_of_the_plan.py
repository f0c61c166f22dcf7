"""Can it be pumped and stand still, in the plan: against closed forms by hand, and which limit governs."""

import math

import pytest

import invented_site as site

GROWTH = 'growth = { law = "exponential", rate = "150 Pa/min", time = "40 min" }'


def test_hose_pressure_is_that_of_buckingham_and_reiner(planned):
    plan = planned()
    found = next(c for c in plan.checks if c.name == "hose pressure")
    flow, radius, length = plan.demand.flow.mean, 0.0175, 14.0

    # the exact flow of a Bingham fluid at this pressure, from any textbook
    wall = found.value * radius / (2 * length)
    share = 450 / wall
    exact = math.pi * radius**4 * found.value / (8 * 15 * length) * (1 - 4 / 3 * share + share**4 / 3)
    assert exact == pytest.approx(flow, rel=1e-6)
    assert found.verdict == "ok"


@pytest.mark.parametrize(("bears", "verdict"), [("40 bar", "ok"), ("15 bar", "caution"), ("10 bar", "stop")])
def test_hose_pressure_is_held_against_what_the_hose_bears(check, bears, verdict):
    found = check("hose pressure", station=[('"40 bar"', f'"{bears}"')])

    assert found.verdict == verdict
    assert found.margin == pytest.approx(found.limit - found.value)


def test_a_nozzle_above_the_mixer_asks_for_the_weight_of_the_mortar(check):
    level, up = (
        check("hose pressure", station=[('bore = "35 mm"', f'bore = "35 mm"\nrise = "{m} m"')]) for m in (0, 8)
    )
    density = 1.158 / (1 / 2720 + 0.158 / 998.2) * 0.97

    assert up.value - level.value == pytest.approx(density * 9.80665 * 8, rel=1e-3)


def test_restart_pressure_limits_the_pause_where_the_mortar_stiffens_fast(check):
    found = check(
        "pause",
        mortar=[(GROWTH, 'growth = { law = "linear", rate = "150 Pa/min" }')],
        # 20 °C all along: age is real time
        job=[
            ('air_temperature = "17 degC"', 'air_temperature = "20 degC"'),
            ('air_temperature = "25 degC"', 'air_temperature = "20 degC"'),
            ('powder_temperature = "20 degC"', 'powder_temperature = "14 degC"'),
        ],
    )
    # balance of forces: 4 τ L/D reaches 40 bar
    stress = 40e5 * 0.035 / (4 * 14)
    by_hand = (stress - 1550) / (150 / 60)

    assert found.governs == "restart pressure"
    assert found.value == pytest.approx(by_hand, rel=1e-6)


def test_the_least_of_the_limits_governs_and_the_others_are_named(check):
    found = check("pause", two_part=True, mortar=[('pause_limit = "8 min"', 'pause_limit = "4 min"')])

    assert found.value == 240.0
    assert found.governs == "supplier's limit with accelerator mixed in"
    assert found.verdict == "caution"
    for other in ("restart pressure", "open time of the mortar in the line", "layer interval at the wall"):
        assert other in found.why
    assert "stop and clean" in found.why


def test_where_the_supplier_is_silent_accelerated_mortar_stands_ten_minutes(check):
    # common practice, no source: about 10 minutes at most, then stop and clean
    slow = [(GROWTH, 'growth = { law = "linear", rate = "10 Pa/min" }'), ('pause_limit = "8 min"\n', "")]
    found = check("pause", two_part=True, mortar=slow)

    assert found.value == 600.0
    assert "common practice" in found.governs


def test_an_unknown_limit_of_the_pause_is_said(check):
    partly = check("pause", mortar=[(f"{GROWTH}\n", "")])
    hardly = check("pause", mortar=[(f"{GROWTH}\n", ""), ('open_time = "50 min"\n', "")])

    assert "not counted: restart pressure" in partly.why
    assert hardly.verdict == "unknown"
    assert "fresh.open_time" in hardly.why


@pytest.mark.parametrize(("open_time", "verdict"), [("50 min", "ok"), ("6 min", "caution"), ("3 min", "stop")])
def test_age_in_the_line_is_held_against_the_open_time(planned, open_time, verdict):
    plan = planned(mortar=[("50 min", open_time)])
    found = next(c for c in plan.checks if c.name == "open time in line")

    assert found.verdict == verdict
    # hold-up of chamber and hose over the flow
    held = 2.8e-3 + math.pi / 4 * 0.035**2 * 14
    assert found.value == pytest.approx(held / plan.demand.flow.mean, rel=1e-9)


def test_cooling_the_water_lengthens_the_open_time(check):
    # common practice, no source
    cool, warm = (
        check(
            "open time in line",
            two_part=True,
            job=[('water_temperature = "14 degC"', f'water_temperature = "{t} degC"')],
        )
        for t in (3, 30)
    )

    assert cool.limit > warm.limit * 1.05


@pytest.mark.parametrize(
    ("name", "taken"),
    [
        ("hose pressure", ('plastic_viscosity = "15 Pa*s"\n', "")),
        ("open time in line", ('open_time = "50 min"\n', "")),
    ],
)
def test_what_was_not_measured_is_named(check, name, taken):
    found = check(name, mortar=[taken])

    assert found.verdict == "unknown"
    assert "fresh." in found.why
    assert found.change.startswith("measure it: ")


def test_a_hose_whose_limit_nobody_read_is_unknown(check):
    found = check("hose pressure", station=[('pressure_limit = "40 bar"\n', "")])

    assert found.verdict == "unknown"
    assert "hose.pressure_limit" in found.why


def test_a_mortar_that_nobody_tested_still_plans(tmp_path):
    mortar = site.ONE_PART[: site.ONE_PART.index("[fresh]")]
    plan = site.plan_of(tmp_path, mortar=mortar, job=site.changed(site.JOB, 'layer_interval = "20 min"\n', ""))
    unknown = {check.name: check for check in plan.checks if check.verdict == "unknown"}

    assert set(unknown) >= {"collapse", "buckling", "interval", "hose pressure", "open time in line", "pause"}
    assert all(check.why.startswith("not given: ") for check in unknown.values())
    assert all(check.change.startswith("measure it: ") for check in unknown.values())
    assert plan.demand.layers == 6
