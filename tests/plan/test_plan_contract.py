"""The plan for scripts: every documented key, and numbers that agree with one another."""

import itertools
import json
import math

import pytest

import invented_site as site
from evenbead.plan import as_contract, layer_rows

NUMBER, COUNT, TEXT = float, int, str

# The documented keys, each with its type; lists hold the shape of their entries.
CONTRACT = {
    "job": TEXT,
    "made_at": TEXT,
    "version": TEXT,
    "demand": {
        "path_length_m": NUMBER,
        "travel_length_m": NUMBER,
        "printed_volume_l": NUMBER,
        "layers": COUNT,
        "duration_s": NUMBER,
        "flow_l_min": {"mean": NUMBER, "min": NUMBER, "max": NUMBER},
    },
    "settings": {
        "mixer": {"speed_rpm": NUMBER},
        "water": {"speed_rpm": NUMBER, "flow_kg_min": NUMBER, "within_catches": bool},
        "powder": {"speed_rpm": NUMBER, "flow_kg_min": NUMBER, "within_catches": bool},
        "accelerator": {"speed_rpm": NUMBER, "flow_kg_min": NUMBER, "within_catches": bool},
    },
    "expected": {
        "water_powder_ratio": {"value": NUMBER, "u95": NUMBER},
        "flow_l_min": {"value": NUMBER, "u95": NUMBER},
    },
    "settling": {
        "start_s": NUMBER,
        "change_s": NUMBER,
        "hose_s": NUMBER,
        "start_waste_l": NUMBER,
        "judge_after_s": NUMBER,
    },
    "materials": {
        "powder_kg": NUMBER,
        "bags": COUNT,
        "water_kg": NUMBER,
        "accelerator_kg": NUMBER,
        "refills": [{"at_s": NUMBER, "bags": COUNT}],
        "wash_water_l": NUMBER,
    },
    "checks": [
        {
            "name": TEXT,
            "verdict": TEXT,
            "value": NUMBER,
            "limit": NUMBER,
            "margin": NUMBER,
            "why": TEXT,
            "governs": TEXT,
        }
    ],
    "layers": [
        {
            "index": COUNT,
            "z_m": NUMBER,
            "length_m": NUMBER,
            "volume_l": NUMBER,
            "start_s": NUMBER,
            "duration_s": NUMBER,
        }
    ],
    "assumed": [{"key": TEXT, "value": TEXT, "source": TEXT}],
}

# The bench of `site.bench_code()`: 6 loops of 2.4 m by 0.4 m.
LOOP, LAYERS = 2 * (2.4 + 0.4), 6
AREA = 0.045 * 0.015 - 0.015**2 * (1 - math.pi / 4)  # of a stadium, plane geometry


@pytest.fixture(scope="module")
def plans(tmp_path_factory):
    return {
        kind: site.plan_of(tmp_path_factory.mktemp(kind), mortar=mortar)
        for kind, mortar in (("one-part", site.ONE_PART), ("two-part", site.TWO_PART))
    }


@pytest.fixture(scope="module", params=["one-part", "two-part"])
def contract(request, plans):
    return json.loads(json.dumps(as_contract(plans[request.param]), allow_nan=False))


def check_shape(value, shape, where="plan"):
    if isinstance(shape, dict):
        assert isinstance(value, dict), where
        assert shape.keys() <= value.keys(), where
        for key, inner in shape.items():
            check_shape(value[key], inner, f"{where}.{key}")
    elif isinstance(shape, list):
        assert isinstance(value, list), where
        assert value, where
        for item in value:
            check_shape(item, shape[0], f"{where}[]")
    else:
        assert type(value) is shape, where


def test_every_documented_key_is_there_with_its_type(plans):
    check_shape(json.loads(json.dumps(as_contract(plans["two-part"]), allow_nan=False)), CONTRACT)


def test_a_one_part_plan_has_no_accelerator(plans):
    contract = as_contract(plans["one-part"])

    assert contract["settings"]["accelerator"] is None
    assert contract["materials"]["accelerator_kg"] == 0.0
    assert not any("accelerator" in check["name"] for check in contract["checks"])


def test_a_one_part_mortar_ignores_an_accelerator_section(tmp_path, plans):
    with_section = site.plan_of(tmp_path, mortar=site.ONE_PART + site.ACCELERATOR)

    assert as_contract(with_section) == as_contract(plans["one-part"])


def test_an_unknown_value_is_null_and_never_a_number(tmp_path):
    plan = site.plan_of(tmp_path, mortar=site.changed(site.ONE_PART, 'open_time = "50 min"\n', ""))
    (check,) = (check for check in as_contract(plan)["checks"] if check["name"] == "open time in line")

    assert (check["verdict"], check["value"], check["limit"], check["margin"]) == ("unknown", None, None, None)
    assert "open_time" in check["why"]


def test_lengths_and_litres_are_those_of_the_bench(contract):
    demand = contract["demand"]

    assert demand["path_length_m"] == pytest.approx(LOOP * LAYERS, rel=1e-9)
    assert demand["travel_length_m"] == pytest.approx(0.015 * LAYERS, rel=1e-9)  # up from the origin, layer by layer
    assert demand["printed_volume_l"] == pytest.approx(AREA * LOOP * LAYERS * 1000, rel=1e-9)
    assert demand["layers"] == LAYERS
    assert [layer["z_m"] for layer in contract["layers"]] == pytest.approx([0.015 * k for k in range(1, LAYERS + 1)])
    assert [layer["index"] for layer in contract["layers"]] == list(range(1, LAYERS + 1))


def test_layers_sum_to_the_demand(contract):
    demand, layers = contract["demand"], contract["layers"]

    assert sum(layer["length_m"] for layer in layers) == pytest.approx(demand["path_length_m"], rel=1e-9)
    assert sum(layer["volume_l"] for layer in layers) == pytest.approx(demand["printed_volume_l"], rel=1e-9)
    assert sum(layer["duration_s"] for layer in layers) <= demand["duration_s"] * (1 + 1e-9)
    for layer, later in itertools.pairwise(layers):
        assert layer["start_s"] + layer["duration_s"] == pytest.approx(later["start_s"])


def test_mean_flow_is_litres_over_the_time_the_bead_is_on(contract):
    demand = contract["demand"]
    flow = demand["flow_l_min"]

    assert flow["mean"] == pytest.approx(demand["printed_volume_l"] / (demand["on_time_s"] / 60), rel=1e-9)
    assert flow["min"] <= flow["mean"] <= flow["max"]
    assert flow["max"] <= AREA * 0.1 * 60_000 * (1 + 1e-9)  # nothing is faster than the 100 mm/s commanded


def test_duration_is_laying_travel_and_dwell(contract):
    demand = contract["demand"]
    parts = demand["on_time_s"] + demand["travel_time_s"] + demand["dwell_time_s"]

    assert demand["duration_s"] == pytest.approx(parts, rel=1e-9)


def test_without_a_limit_of_acceleration_times_are_lengths_over_speeds(tmp_path):
    code = site.bench_code().replace("M9\n", "M9\nG4 P2.5\n")
    plan = site.plan_of(tmp_path, code=code, job=site.changed(site.JOB, 'acceleration = "500 mm/s^2"\n', ""))

    assert plan.demand.on_time == pytest.approx(LOOP * LAYERS / 0.1, rel=1e-9)
    assert plan.demand.dwell_time == pytest.approx(2.5 * LAYERS, rel=1e-9)
    assert "job: printing.acceleration" in {assumption.key for assumption in plan.assumed}


def test_dwell_in_milliseconds_is_dwell_in_seconds(tmp_path):
    code = site.bench_code().replace("M9\n", "M9\nG4 P2500\n")
    job = site.changed(site.JOB, "[printing]\n", '[printing]\ndwell_unit = "ms"\n')

    assert site.plan_of(tmp_path, code=code, job=job).demand.dwell_time == pytest.approx(2.5 * LAYERS, rel=1e-9)


def test_judge_after_is_the_change_and_the_way_down_the_hose(contract):
    settling = contract["settling"]
    flow = contract["demand"]["flow_l_min"]["mean"] / 60

    assert settling["judge_after_s"] == pytest.approx(settling["change_s"] + settling["hose_s"], rel=1e-12)
    # hose 14 m of 35 mm: plane geometry
    assert settling["hose_s"] == pytest.approx(math.pi / 4 * 0.035**2 * 14 * 1000 / flow, rel=1e-9)
    assert settling["start_waste_l"] == pytest.approx(settling["start_s"] * flow, rel=1e-9)


def test_the_change_has_settled_when_98_percent_of_a_step_have_left_the_chamber(contract):
    # three equal tanks in closed form (Erlang), behind a plug of 0.3 of the 2.8 L
    flow = contract["demand"]["flow_l_min"]["mean"] / 60
    x = 3 * (contract["settling"]["change_s"] * flow - 0.3 * 2.8) / (0.7 * 2.8)

    assert 1 - math.exp(-x) * (1 + x + x**2 / 2) == pytest.approx(0.98, rel=1e-9)


def test_settings_give_the_flow_at_the_target_ratio_by_absolute_volumes(plans):
    for kind, plan in plans.items():
        water, powder = plan.settings.water.mass_flow, plan.settings.powder.mass_flow
        volume = water / 998.2 + powder / 2720  # as documented: water 998.2 kg/m3 at 20 degC, powder 2.72 kg/L
        if kind == "two-part":
            accelerator = plan.settings.accelerator.mass_flow
            volume += accelerator / 1400
            assert accelerator / powder == pytest.approx(0.035, rel=1e-9)

        assert water / powder == pytest.approx(0.158, rel=1e-9)
        assert volume / (1 - 0.03) == pytest.approx(plan.demand.flow.mean, rel=1e-9)


def test_each_speed_is_where_its_line_gives_the_flow(plans):
    import numpy as np

    for plan in plans.values():
        settings = plan.settings
        for channel in (settings.water, settings.powder, settings.accelerator):
            if channel is None:
                continue
            line = channel.line
            assert line.intercept + line.slope * channel.speed == pytest.approx(channel.mass_flow, rel=1e-12)
            assert channel.speed_low < channel.speed < channel.speed_high
    # the water line, through the origin, weighted by the doubts 10 g and 0.3 s, solved by NumPy
    speed = np.array([100, 150, 150, 300]) / 60
    mass = np.array([0.874, 1.310, 1.306, 2.617])
    flow = mass / 60
    u = flow * np.sqrt((0.01 / mass) ** 2 + (0.3 / 60) ** 2)
    (slope,), *_ = np.linalg.lstsq((speed / u)[:, None], flow / u, rcond=None)
    assert plans["one-part"].settings.water.line.slope == pytest.approx(slope, rel=1e-9)


def test_the_expected_ratio_is_the_target_within_its_doubt(contract):
    ratio = contract["expected"]["water_powder_ratio"]

    assert abs(ratio["value"] - 0.158) <= ratio["u95"]
    assert 0 < ratio["u95"] < 0.02
    assert 0 <= ratio["probability_in_band"] <= 1
    flow = contract["expected"]["flow_l_min"]
    assert abs(flow["value"] - contract["demand"]["flow_l_min"]["mean"]) <= flow["u95"]


def test_materials_follow_from_powder(contract):
    materials = contract["materials"]

    assert materials["water_kg"] == pytest.approx(0.158 * materials["powder_kg"], rel=1e-12)
    assert materials["water_per_bag_kg"] == pytest.approx(0.158 * 25, rel=1e-12)
    assert materials["bags"] == math.ceil(materials["powder_kg"] / 25 - 1e-9)
    if materials["accelerator_kg"]:
        assert materials["accelerator_kg"] == pytest.approx(0.035 * materials["powder_kg"], rel=1e-12)
    # the powder ordered makes all the litres listed
    litres = sum(materials["mortar_l"].values())
    volume = materials["powder_kg"] / 2.72 + materials["water_kg"] / 0.9982 + materials["accelerator_kg"] / 1.4
    assert volume / 0.97 == pytest.approx(litres, rel=1e-9)
    assert materials["mortar_l"]["printed"] == contract["demand"]["printed_volume_l"]


def test_what_is_assumed_shrinks_as_values_are_given(tmp_path, plans):
    before = {a.key for a in plans["one-part"].assumed}
    job = site.changed(site.JOB, "[supply]", '[supply]\nwash_water = "60 L"\nallowance = 0.1')
    plan = site.plan_of(tmp_path, job=job)

    assert before - {a.key for a in plan.assumed} == {"job: supply.wash_water", "job: supply.allowance"}
    assert plan.materials.wash_water == pytest.approx(0.06)
    assert all(a.key and a.value and a.source for a in plan.assumed)


def test_when_nobody_says_when_the_bead_is_on_that_is_assumed_too(tmp_path):
    job = site.changed(site.JOB, 'when = { on = "M7", off = "M9" }\n', "")
    plan = site.plan_of(tmp_path, job=job)
    (assumed,) = (a for a in plan.assumed if a.key == "job: printing.when")

    assert "M7" in assumed.source
    assert plan.demand.path_length == pytest.approx(LOOP * LAYERS, rel=1e-9)


def test_rows_of_layers_are_those_of_the_contract(plans):
    assert list(layer_rows(plans["one-part"].layers)) == as_contract(plans["one-part"])["layers"]
