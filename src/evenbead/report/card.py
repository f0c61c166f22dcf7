"""The settings card: one A5 or half-letter page to tape to the machine."""

from __future__ import annotations

import itertools
import json
from pathlib import Path
from typing import TYPE_CHECKING, Any, Literal

from evenbead import __version__
from evenbead.quantities import MASS, VOLUME, VOLUME_FLOW, shown
from evenbead.report import words
from evenbead.report.picture import typeset

if TYPE_CHECKING:
    from evenbead.plan.model import Plan
    from evenbead.quantities import UnitSystem

Paper = Literal["a5", "half-letter"]

_PAPERS: dict[Paper, dict[str, str]] = {
    "a5": {"width": "148mm", "height": "210mm"},
    "half-letter": {"width": "5.5in", "height": "8.5in"},
}
_MOST_REFILLS = 40


def card_pdf(plan: Plan, system: UnitSystem, paper: Paper) -> bytes:
    """The card as PDF."""
    source = (Path(__file__).parent / "card.typ").read_bytes()
    return typeset(source, {"card": json.dumps(card_words(plan, system, paper))}, form="pdf")


def card_words(plan: Plan, system: UnitSystem, paper: Paper) -> dict[str, Any]:
    """Every word on the card."""
    worst, sentence = words.overall(plan)
    station, mortar = (words.shortened(name, 40) for name in (plan.station, plan.mortar))
    settling = plan.settling
    return {
        "paper": _PAPERS[paper],
        "title": words.shortened(plan.job, 60),
        "day": f"{plan.start:%a %d %b %Y}",
        "subtitle": f"{station}, {mortar}: printing {words.clock(plan.start, 0)} to "
        f"{words.clock(plan.start, plan.demand.duration)}",
        "verdict": {"word": f"{words.SIGNS[worst]} {words.WORDS[worst]}".upper(), "sentence": sentence},
        "settings": _settings(plan, system),
        "waits": [
            {"name": "good at the mixer after", "time": words.span(settling.start)},
            {"name": "a change leaves it after", "time": words.span(settling.change)},
            {"name": "judge at the nozzle after", "time": words.span(settling.judge_after)},
        ],
        "mortar": _mortar(plan, system),
        "refills": _refills(plan),
        "cautions": plan.cautions,
        "foot": f"Evenbead {__version__}, planned {plan.made_at:%Y-%m-%d %H:%M}. ± holds 95 %. "
        "It advises; people decide.",
    }


def _settings(plan: Plan, system: UnitSystem) -> list[dict[str, str]]:
    tolerance = plan.settings.mixer_speed_tolerance
    rows = [
        {
            "name": "mixer",
            "speed": words.motor_speed(plan.settings.mixer_speed),
            "unit": "rpm",
            "doubt": f"allowed ± {words.tolerance(tolerance)} rpm" if tolerance is not None else "",
            "rate": "",
        }
    ]
    rows += [
        {
            "name": channel.name,
            "speed": words.motor_speed(channel.speed),
            "unit": "rpm",
            "doubt": f"± {words.speed_doubt(channel)} rpm",
            "rate": words.rate(channel, system),
        }
        for channel in words.channels(plan)
    ]
    return rows


def _mortar(plan: Plan, system: UnitSystem) -> list[dict[str, str]]:
    materials = plan.materials
    return [
        {
            "name": "water/powder",
            "value": words.with_doubt(float(plan.expected.ratio.value), float(plan.expected.ratio.u95), None),
        },
        {"name": "its band", "value": f"{plan.expected.band[0]:.3f} to {plan.expected.band[1]:.3f}"},
        {"name": "water a bag", "value": shown(materials.water_per_bag, MASS, system)},
        {"name": "flow", "value": shown(plan.settings.flow, VOLUME_FLOW, system)},
        {"name": "to print", "value": shown(plan.demand.printed_volume, VOLUME, system)},
        {"name": "first to waste", "value": shown(plan.settling.start_waste, VOLUME, system)},
        {"name": "bags in all", "value": str(materials.bags)},
        {"name": "layers", "value": str(plan.demand.layers)},
    ]


def _refills(plan: Plan) -> dict[str, Any]:
    """Refill times under the number of bags that go in, so that the card says each number once."""
    refills = plan.materials.refills
    left = len(refills) - _MOST_REFILLS
    groups = [
        {"bags": words.bags(count), "times": [words.clock(plan.start, refill.at) for refill in group]}
        for count, group in itertools.groupby(refills[:_MOST_REFILLS], key=lambda refill: refill.bags)
    ]
    return {
        "first": f"{words.bags(plan.materials.first_fill)} before starting" + ("" if refills else ", no more needed"),
        "groups": groups,
        "more": f"and {left} more times: see the plan" if left > 0 else "",
    }
