"""Will the fresh wall stand while it grows: plastic collapse and buckling under its own weight.

The wall is taken as free and straight, as wide as the mean width of the bead. Mortar ages at the colder of its own
temperature and the air's. Both are cautious; what the wall's returns and curves add is not counted.
"""

from __future__ import annotations

import itertools
from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np

from evenbead.errors import NotPossible
from evenbead.physics.buckling import buckling_course
from evenbead.physics.buckling_held import held_buckling_course
from evenbead.physics.collapse import collapse_course
from evenbead.physics.fresh_wall import Layers, ages
from evenbead.physics.mixture import fresh_density
from evenbead.physics.rheology import yield_stress
from evenbead.physics.rhythm import shortest_interval, tallest
from evenbead.physics.setting import equivalent_age
from evenbead.plan.demand import bead_area
from evenbead.plan.fresh.situation import growth_in_wall
from evenbead.plan.fresh.unknown import unknown
from evenbead.plan.model import Check
from evenbead.plan.spans import span
from evenbead.quantities import LENGTH, shown

if TYPE_CHECKING:
    from collections.abc import Callable

    from numpy.typing import NDArray

    from evenbead.physics.fresh_wall import Course
    from evenbead.plan.fresh.situation import Situation
    from evenbead.plan.model import Verdict

    Floats = NDArray[np.float64]

_MOST_LAYERS = 300  # up to which the tallest print is looked for


def collapse_check(situation: Situation) -> Check:
    """Does any layer yield under what lies on it?"""
    fresh = situation.case.mortar.fresh
    grown = growth_in_wall(situation)
    if fresh is None or fresh.yield_stress is None or grown is None:
        where = "accelerator.growth" if situation.two_part else "fresh.growth"
        return unknown(
            "collapse",
            f"yield stress as laid (fresh.yield_stress) and its growth ({where})",
            "slugs falling at the nozzle, then a penetrometer or vane on the bead every few minutes",
        )
    start = fresh.yield_stress

    def course(wall: Layers) -> Course:
        return collapse_course(wall, np.asarray(yield_stress(start, growth=grown.law, age=ages(wall))))

    return _check(situation, "collapse", course, governs="yield stress and its growth", remark=grown.remark)


def buckling_check(situation: Situation) -> Check:
    """Does the wall buckle under its own weight?"""
    fresh = situation.case.mortar.fresh
    if fresh is None or fresh.elastic_modulus is None or fresh.elastic_growth is None:
        return unknown("buckling", "stiffness as laid and its growth (fresh.elastic_modulus, fresh.elastic_growth)",
                       "unconfined compression of fresh cylinders at several ages")  # fmt: skip
    modulus, rate, poisson = fresh.elastic_modulus, fresh.elastic_growth, fresh.poisson_ratio or 0.0

    def course(wall: Layers) -> Course:
        return buckling_course(wall, modulus + rate * ages(wall), poisson=poisson)

    free = _check(situation, "buckling", course, governs="stiffness and its growth", remark="; free straight wall")
    if free.verdict == "ok":
        return free
    stretch = situation.footprint.free_stretch
    held = min(
        float(
            held_buckling_course(
                wall,
                modulus + rate * ages(wall, wall.laid[-1:]),
                length=stretch,
                poisson=poisson,
                moments=wall.laid[-1:],
            ).least
        )
        for wall in stacks(situation)
    )
    return _with_returns(situation, free, held)


def _with_returns(situation: Situation, free: Check, held: float) -> Check:
    """The verdict for a wall that would not stand free but may be held where it turns."""
    required, footprint = situation.case.job.limits.stability, situation.footprint
    stretch = shown(footprint.free_stretch, LENGTH, situation.system)
    loops = "closed, " if footprint.closed else ""
    why = f"{free.why}. Held where it turns ({loops}at most {stretch} between): {held:.2f} times its weight at the end"
    verdict: Verdict = "caution" if held >= required else free.verdict
    change = free.change
    if verdict == "caution" and free.verdict == "stop":
        change = f"it stands only if its turns hold it: prove that on a trial, or {free.change}"
    return replace(free, verdict=verdict, why=why, change=change)


def stacks(situation: Situation) -> list[Layers]:
    """The layers as walls in one place each: a print that starts again at its foot begins another wall.

    Moments are equivalent ages, so that a cold hour counts for less.
    """
    layers, day, bead = situation.layers, situation.day, situation.case.job.bead
    laid = np.asarray(equivalent_age(day.cool, until=layers.start, rate=day.rate), float)
    laid = np.maximum.accumulate(laid)
    area = bead_area(bead)
    begins = np.concatenate([[0], np.flatnonzero(np.diff(layers.z) <= 0) + 1, [len(layers)]])
    return [
        Layers(
            laid=laid[first:last],
            height=bead.layer_height,
            width=area / bead.layer_height,
            area=area,
            density=float(fresh_density(situation.proportions)),
        )
        for first, last in itertools.pairwise(begins)
    ]


def _check(situation: Situation, name: str, course: Callable[[Layers], Course], *, governs: str, remark: str) -> Check:
    walls = stacks(situation)
    courses = [course(wall) for wall in walls]
    factors = [float(found.least) for found in courses]
    worst = int(np.argmin(factors))
    wall, found, factor = walls[worst], courses[worst], factors[worst]
    required = situation.case.job.limits.stability
    verdict: Verdict = "ok" if factor >= required else "caution" if factor >= 1 else "stop"
    layer, moment = int(found.governing_layer) + 1, int(found.moment) + 1
    why = (
        f"{factor:.2f} times its weight brings it down, {required:g} wanted; "
        f"layer {layer} governs when layer {moment} is on{remark}"
    )
    change = ""
    if wall.count > 1:
        reach, rhythm = _reach(situation, wall, course, required)
        why += f". {reach}"
        change = "" if verdict == "ok" else rhythm
    elif verdict != "ok":
        change = "stiffer mortar, or lower layers"
    return Check(
        name=name,
        verdict=verdict,
        value=factor,
        limit=required,
        margin=factor - required,
        why=why,
        governs=governs,
        change=change,
    )


def _reach(situation: Situation, wall: Layers, course: Callable[[Layers], Course], required: float) -> tuple[str, str]:
    """How high it could go at this pace, and the pace at which this height would be safe, in words."""

    def least(any_wall: Layers) -> Floats:
        return np.asarray(course(any_wall).load_factor)

    high = tallest(wall, least, required=required, most=max(_MOST_LAYERS, wall.count))
    size = shown(high.height, LENGTH, situation.system)
    reach = f"At this pace {size} is safe" if high.ends else f"At this pace at least {size} is safe"
    try:
        rhythm = shortest_interval(wall, least, required=required)
    except NotPossible as reason:
        return reach, str(reason)
    usual = float(np.median(np.diff(situation.layers.start)))
    needed = rhythm.ratio * usual
    if rhythm.ratio <= 1:
        return f"{reach}; this height from {span(needed)} a layer on", ""
    return (
        reach,
        f"{span(needed)} or more a layer instead of {span(usual)}, stiffer or less wet mortar, or a lower print",
    )
