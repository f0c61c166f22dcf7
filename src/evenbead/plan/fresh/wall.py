"""Will the fresh wall stand while it grows: plastic collapse and buckling under its own weight.

The wall is taken as free and straight, what its returns and curves add is looked at only where it does not stand so.
Mortar ages at the colder of its own temperature and the air's. Both are cautious.

Its width is the mean width of the bead. A bead with round sides is narrower where it rests on the next and wider
between; bending the two in a row comes to within a few hundredths of the mean width, while the notch itself, into
which a real bead spreads as it is pressed, is not counted.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Protocol

import numpy as np

from evenbead.errors import NotPossible
from evenbead.physics.buckling import buckling_course
from evenbead.physics.buckling_held import held_buckling_course
from evenbead.physics.collapse import collapse_course
from evenbead.physics.fresh_wall import Layers, ages
from evenbead.physics.mixture import fresh_density
from evenbead.physics.rheology import yield_stress
from evenbead.physics.rhythm import shortest_interval, tallest, telling_moments
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

_MOST_LAYERS = 100  # up to which the tallest print is looked for, where the print itself has fewer
_MOMENTS = 24  # of a wall's growth at which a search looks, besides its low points
_LOOKED_AT = 5  # layers of a wall whose footprint is looked at


@dataclass(frozen=True, slots=True, kw_only=True)
class _Wall:
    """A wall in one place: what physics asks for, and which layers of the print it is made of."""

    layers: Layers
    of_print: NDArray[np.int64]
    """(n,) their indices, from the foot up."""


@dataclass(frozen=True, slots=True, kw_only=True)
class _Growing:
    """A wall, and how near it is to failure while it grows."""

    wall: _Wall
    course: Course

    @property
    def factor(self) -> float:
        """The least load factor."""
        return float(self.course.least)


class _CourseOf(Protocol):
    """How near a wall is to failure, when each layer has just been laid or at given moments."""

    def __call__(self, wall: Layers, moments: Floats | None = None, /) -> Course: ...


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

    def course(wall: Layers, moments: Floats | None = None) -> Course:
        stress = yield_stress(start, growth=grown.law, age=ages(wall, moments))
        return collapse_course(wall, np.asarray(stress), moments=moments)

    grows = [_Growing(wall=wall, course=course(wall.layers)) for wall in _walls(situation)]
    return _check(situation, "collapse", grows, course, governs="yield stress and its growth", remark=grown.remark)


def buckling_check(situation: Situation) -> Check:
    """Does the wall buckle under its own weight?"""
    fresh = situation.case.mortar.fresh
    if fresh is None or fresh.elastic_modulus is None or fresh.elastic_growth is None:
        return unknown("buckling", "stiffness as laid and its growth (fresh.elastic_modulus, fresh.elastic_growth)",
                       "unconfined compression of fresh cylinders at several ages")  # fmt: skip
    start, rate, poisson = fresh.elastic_modulus, fresh.elastic_growth, fresh.poisson_ratio or 0.0

    def course(wall: Layers, moments: Floats | None = None) -> Course:
        # A search needs no more digits than are shown.
        close = 1e-6 if moments is None else 1e-4
        modulus = start + rate * ages(wall, moments)
        return buckling_course(wall, modulus, poisson=poisson, moments=moments, tolerance=close)

    def course_between(wall: Layers, stretch: float, moments: Floats) -> Course:
        modulus = start + rate * ages(wall, moments)
        return held_buckling_course(wall, modulus, length=stretch, poisson=poisson, moments=moments)

    grows = [_Growing(wall=wall, course=course(wall.layers)) for wall in _walls(situation)]
    free = _check(
        situation, "buckling", grows, course, governs="stiffness and its growth", remark="; free straight wall"
    )
    if free.verdict == "ok":
        return free
    failing = [one for one in grows if one.factor < situation.case.job.limits.stability]
    held = [_held(situation, one, course_between) for one in failing]
    return _with_returns(situation, free, min(held, key=lambda one: one.factor))


@dataclass(frozen=True, slots=True, kw_only=True)
class _Held:
    """A wall held where it turns."""

    factor: float
    stretch: float
    """Longest way between two turns; infinite where there are none. [m]"""
    closed: bool


def _held(situation: Situation, free: _Growing, course_between: Callable[[Layers, float, Floats], Course]) -> _Held:
    layers, of_print = free.wall.layers, free.wall.of_print
    at = np.unique(np.linspace(0, len(of_print) - 1, _LOOKED_AT).round().astype(int))
    stretch = max(situation.free_stretch(int(layer)) for layer in of_print[at])
    if math.isinf(stretch):
        return _Held(factor=free.factor, stretch=stretch, closed=False)
    # When a pause or a warm hour makes an early moment the worst, the end alone would not show it.
    moments = layers.laid[telling_moments(free.course.load_factor)]
    closed = situation.footprint(int(of_print[len(of_print) // 2])).closed
    return _Held(factor=float(course_between(layers, stretch, moments).least), stretch=stretch, closed=closed)


def _with_returns(situation: Situation, free: Check, held: _Held) -> Check:
    """The verdict for a wall that would not stand free but may be held where it turns."""
    if math.isinf(held.stretch):
        return replace(free, why=f"{free.why}. Nothing holds it: it runs straight, or not far enough to turn")
    between = ("closed, " if held.closed else "") + f"at most {shown(held.stretch, LENGTH, situation.system)} between"
    why = f"{free.why}. Held where it turns ({between}): {held.factor:.2f} times"
    verdict: Verdict = "caution" if held.factor >= situation.case.job.limits.stability else free.verdict
    change = free.change
    if verdict == "caution" and free.verdict == "stop":
        change = f"it stands only if its turns hold it: prove that on a trial, or {free.change}"
    return replace(free, verdict=verdict, why=why, change=change)


def stacks(situation: Situation) -> list[Layers]:
    """The layers as walls in one place each. Moments are equivalent ages, so that a cold hour counts for less."""
    return [wall.layers for wall in _walls(situation)]


def _walls(situation: Situation) -> list[_Wall]:
    """Every wall of the print: from each layer that carries none, down through what lies beneath to the ground."""
    layers, day, bead = situation.layers, situation.day, situation.case.job.bead
    aged = np.asarray(equivalent_age(day.cool, until=layers.start, rate=day.rate), float)
    aged = np.maximum.accumulate(aged)
    area = bead_area(bead)
    return [
        _Wall(
            layers=Layers(
                laid=aged[column],
                height=bead.layer_height,
                width=area / bead.layer_height,
                area=area,
                density=float(fresh_density(situation.proportions)),
            ),
            of_print=column,
        )
        for column in columns_of(situation.beneath)
    ]


def columns_of(beneath: NDArray[np.int64]) -> list[NDArray[np.int64]]:
    """Layers one above the other, from the ground up, for each place at which a wall ends.

    A single layer that ends beside a wall which goes on is left out: the wall that goes on bears more.

    Parameters
    ----------
    beneath : (k,) int array
        Layer on which each layer lies, laid before it; -1 for the ground. [-]
    """
    carried = beneath[beneath >= 0]
    carries = np.bincount(carried, minlength=len(beneath)) > 0
    goes_on = np.zeros(len(beneath), bool)
    goes_on[beneath[carries & (beneath >= 0)]] = True
    ends = np.flatnonzero(~carries)
    beside = (beneath[ends] >= 0) & goes_on[beneath[ends]]
    return [_down_from(int(end), beneath) for end in ends[~beside]]


def _down_from(layer: int, beneath: NDArray[np.int64]) -> NDArray[np.int64]:
    column = [layer]
    while beneath[column[-1]] >= 0:
        column.append(int(beneath[column[-1]]))
    return np.array(column[::-1], np.int64)


def _check(
    situation: Situation, name: str, grows: list[_Growing], course: _CourseOf, *, governs: str, remark: str
) -> Check:
    worst = min(grows, key=lambda one: one.factor)
    wall, found, factor = worst.wall, worst.course, worst.factor
    required = situation.case.job.limits.stability
    verdict: Verdict = "ok" if factor >= required else "caution" if factor >= 1 else "stop"
    layer, moment = (int(wall.of_print[int(place)]) + 1 for place in (found.governing_layer, found.moment))
    why = (
        f"{factor:.2f} times its weight brings it down, {required:g} wanted; "
        f"layer {layer} governs when layer {moment} is on{remark}"
    )
    change = ""
    if wall.layers.count > 1:
        reach, change = _reach(situation, worst, course)
        why += f". {reach}"
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


def _reach(situation: Situation, grows: _Growing, course: _CourseOf) -> tuple[str, str]:
    """How high it could go at this pace, and at which pace this height would be safe; what to change, if anything."""
    required, layers, known = situation.case.job.limits.stability, grows.wall.layers, grows.course.load_factor
    # Of a wall of hundreds of layers some moments tell enough for a search: even ones, and its low points.
    even = np.linspace(0, layers.count - 1, _MOMENTS).round().astype(np.int64)
    telling = np.union1d(even, telling_moments(known))

    def while_taller(taller: Layers) -> Floats:
        beyond = taller.laid[layers.count :]
        return np.concatenate([known, course(taller, beyond).load_factor]) if beyond.size else known

    def at_telling(same_wall: Layers) -> Floats:
        return np.asarray(course(same_wall, same_wall.laid[telling]).load_factor)

    high = tallest(layers, while_taller, required=required, most=max(_MOST_LAYERS, layers.count))
    size = shown(high.height, LENGTH, situation.system)
    reach = f"At this pace {size} is safe" if high.ends else f"At this pace at least {size} is safe"
    try:
        ratio = shortest_interval(layers, at_telling, required=required).ratio
    except NotPossible as reason:
        return reach, str(reason)
    usual = float(np.median(np.diff(situation.layers.start[grows.wall.of_print])))
    if grows.factor >= required:
        return f"{reach}; this height from {span(ratio * usual)} a layer on", ""
    slower = span(max(ratio, 1.0) * usual)
    return reach, f"{slower} or more a layer instead of {span(usual)}, stiffer or less wet mortar, or a lower print"
