"""The plan for scripts: a dictionary whose keys stay, described in the reference. SI unless a name says otherwise."""

from __future__ import annotations

from datetime import timedelta
from typing import TYPE_CHECKING, Any

from evenbead import __version__
from evenbead.quantities import MASS_FLOW, ROTATION, VOLUME, VOLUME_FLOW, converted

if TYPE_CHECKING:
    from evenbead.physics.uncertainty import Estimate
    from evenbead.plan.model import ChannelSetting, Check, LayerColumns, Plan, StartHour


def as_contract(plan: Plan) -> dict[str, Any]:
    """A plan in the documented shape, of plain numbers, texts, lists and dictionaries."""
    demand, settling, materials = plan.demand, plan.settling, plan.materials
    return {
        "job": plan.job,
        "station": plan.station,
        "mortar": plan.mortar,
        "start": plan.start.isoformat(),
        "made_at": plan.made_at.isoformat(timespec="seconds"),
        "version": __version__,
        "demand": {
            "path_length_m": demand.path_length,
            "travel_length_m": demand.travel_length,
            "printed_volume_l": _litres(demand.printed_volume),
            "layers": demand.layers,
            "duration_s": demand.duration,
            "on_time_s": demand.on_time,
            "travel_time_s": demand.travel_time,
            "dwell_time_s": demand.dwell_time,
            "flow_l_min": {
                "mean": _l_min(demand.flow.mean),
                "min": _l_min(demand.flow.low),
                "max": _l_min(demand.flow.high),
            },
        },
        "settings": {
            "mixer": {
                "speed_rpm": _rpm(plan.settings.mixer_speed),
                "tolerance_rpm": None
                if plan.settings.mixer_speed_tolerance is None
                else _rpm(plan.settings.mixer_speed_tolerance),
            },
            "water": _channel(plan.settings.water),
            "powder": _channel(plan.settings.powder),
            "accelerator": _channel(plan.settings.accelerator) if plan.settings.accelerator else None,
        },
        "expected": {
            "water_powder_ratio": {**_estimate(plan.expected.ratio), "probability_in_band": plan.expected.in_band},
            "water_powder_ratio_with_accelerator": plan.expected.ratio_with_accelerator,
            "flow_l_min": {name: _l_min(number) for name, number in _estimate(plan.expected.flow).items()},
        },
        "settling": {
            "start_s": settling.start,
            "change_s": settling.change,
            "hose_s": settling.hose,
            "start_waste_l": _litres(settling.start_waste),
            "judge_after_s": settling.judge_after,
            "hose_volume_l": _litres(settling.hose_volume),
            "chamber_volume_l": _litres(settling.chamber_volume),
            "age_at_nozzle_s": settling.age_at_nozzle,
        },
        "materials": {
            "powder_kg": materials.powder,
            "bags": materials.bags,
            "bag_kg": materials.bag,
            "water_kg": materials.water,
            "water_per_bag_kg": materials.water_per_bag,
            "accelerator_kg": materials.accelerator,
            "first_fill_bags": materials.first_fill,
            "refills": [{"at_s": refill.at, "bags": refill.bags} for refill in materials.refills],
            "wash_water_l": _litres(materials.wash_water),
            "mortar_l": {
                "printed": _litres(materials.litres.printed),
                "start_waste": _litres(materials.litres.start_waste),
                "held_at_end": _litres(materials.litres.held),
                "off_bead": _litres(materials.litres.off_bead),
                "spare": _litres(materials.litres.spare),
            },
        },
        "checks": [_check(check) for check in plan.checks],
        "start_hours": [_start_hour(plan, hour) for hour in plan.start_hours],
        "best_start": _start_hour(plan, plan.best_start) if plan.best_start else None,
        "layers": list(layer_rows(plan.layers)),
        "assumed": [{"key": a.key, "value": a.value, "source": a.source} for a in plan.assumed],
        "notes": list(plan.notes),
        "cautions": list(plan.cautions),
    }


def layer_rows(layers: LayerColumns) -> list[dict[str, float | int]]:
    """The layers as rows with the contract's names; `index` counts from 1."""
    return [
        {
            "index": k + 1,
            "z_m": float(layers.z[k]),
            "length_m": float(layers.length[k]),
            "volume_l": _litres(float(layers.volume[k])),
            "start_s": float(layers.start[k]),
            "duration_s": float(layers.duration[k]),
        }
        for k in range(len(layers))
    ]


def _start_hour(plan: Plan, hour: StartHour) -> dict[str, Any]:
    return {
        "start": (plan.start + timedelta(seconds=hour.shift)).isoformat(),
        "room": hour.room,
        "governs": hour.governs,
    }


def _channel(channel: ChannelSetting) -> dict[str, Any]:
    return {
        "speed_rpm": _rpm(channel.speed),
        "speed_rpm_low95": _rpm(channel.speed_low),
        "speed_rpm_high95": _rpm(channel.speed_high),
        "flow_kg_min": converted(channel.mass_flow, MASS_FLOW, "kg/min"),
        "within_catches": channel.within_catches,
    }


def _check(check: Check) -> dict[str, Any]:
    return {
        "name": check.name,
        "verdict": check.verdict,
        "value": check.value,
        "limit": check.limit,
        "margin": check.margin,
        "unit": check.kind.si if check.kind else "1",
        "why": check.why,
        "governs": check.governs,
        "change": check.change,
    }


def _estimate(estimate: Estimate) -> dict[str, float]:
    return {"value": float(estimate.value), "u95": float(estimate.u95)}


def _litres(volume: float) -> float:
    return converted(volume, VOLUME, "L")


def _l_min(flow: float) -> float:
    return converted(flow, VOLUME_FLOW, "L/min")


def _rpm(speed: float) -> float:
    return converted(speed, ROTATION, "rpm")
