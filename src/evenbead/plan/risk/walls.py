"""Growing walls drawn thousands of times over, without solving thousands of walls.

Draws make the mortar stronger, stiffer or older throughout; they do not change how the layers lie. In collapse, only
the least age under each number of layers counts. In buckling, stiffness is E (1 + x·age) in every layer, and load
factors go with E: what is left is one curve over x for each wall, solved at some hundred places once for all draws.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from evenbead.physics.buckling import buckling_course
from evenbead.physics.collapse import VON_MISES
from evenbead.physics.fresh_wall import ages
from evenbead.physics.rheology import yield_stress
from evenbead.physics.rhythm import telling_moments
from evenbead.plan.fresh.situation import growth_in_wall
from evenbead.plan.fresh.wall import stacks

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from evenbead.physics.fresh_wall import Layers
    from evenbead.physics.growth import GrowthLaw
    from evenbead.plan.fresh.situation import Situation

    Floats = NDArray[np.float64]

_WALLS, _NEAR = 4, 1.5  # walls looked at, those nearest to falling, and by how much they may differ
_PLACES = 257  # on the curve: a straight line between two is within 2e-4 of the truth
_LEAST, _MOST = 1e-3, 1e5  # stiffening over the whole print, times the stiffness as laid
_TRIED = (0.1, 1 / 3, 1.0, 3.0, 10.0)  # times the expected stiffening, to find the moments that tell
_BLOCK = 2**21  # numbers worked on at once


@dataclass(frozen=True, slots=True, kw_only=True)
class Foot:
    """The weakest foot under each number of layers of one wall.

    age:    (k,) s     equivalent age of the youngest foot that bears so many
    load:   (k,) N/m   what it bears
    width:  m          that carries
    """

    age: Floats
    load: Floats
    width: float

    def load_factor(self, start: Floats, gained: Floats, *, growth: GrowthLaw, ageing: Floats) -> Floats:
        """Least load factor of the wall, for each draw.

        Parameters
        ----------
        start : (n,) array
            Yield stress as laid. [Pa]
        gained : (n,) array
            By what the law's gain is multiplied. [1]
        growth : GrowthLaw
            How it grows. [-]
        ageing : (n,) array
            By what every age is multiplied. [1]
        """
        found = np.empty(len(start))
        step = max(_BLOCK // len(self.age), 1)
        for first in range(0, len(start), step):
            part = np.s_[first : first + step]
            age = self.age * ageing[part, None]
            stress = np.asarray(yield_stress(start[part, None], growth=growth, age=age))
            stress = start[part, None] + gained[part, None] * (stress - start[part, None])
            found[part] = (VON_MISES * self.width * stress / self.load).min(axis=1)
        return found


@dataclass(frozen=True, slots=True, kw_only=True)
class BucklingCurve:
    """Least load factor of one wall whose stiffness is 1 + x·age, over x.

    stiffening:  (k,) 1/s    x
    per_pascal:  (k,) 1/Pa   load factor for each pascal of stiffness as laid
    """

    stiffening: Floats
    per_pascal: Floats

    def load_factor(self, stiffness: Floats, stiffening: Floats) -> Floats:
        """For stiffness as laid [Pa] and its growth [Pa/s]. (n,) each; beyond the curve its end holds."""
        with np.errstate(divide="ignore"):  # mortar that does not stiffen lies left of the curve
            place = np.log(stiffening / stiffness)
        along = np.interp(place, np.log(self.stiffening), np.log(self.per_pascal))
        return np.asarray(stiffness * np.exp(along))


def feet_of(situation: Situation) -> tuple[Foot, ...]:
    """The feet of the walls nearest to collapse; none where the strength was not measured."""
    fresh, grown = situation.case.mortar.fresh, growth_in_wall(situation)
    if fresh is None or fresh.yield_stress is None or grown is None:
        return ()
    feet = [_foot_of(wall) for wall in stacks(situation)]
    start, one = np.array([fresh.yield_stress]), np.ones(1)
    factors = [float(foot.load_factor(start, one, growth=grown.law, ageing=one)[0]) for foot in feet]
    return tuple(feet[place] for place in _nearest(factors))


def _foot_of(wall: Layers) -> Foot:
    """In a wall of equal layers a foot under k layers always bears the same, so only the least age counts."""
    laid, count = wall.laid, wall.count
    least = np.array([(laid[k:] - laid[: count - k]).min() for k in range(count)])
    return Foot(age=least, load=np.cumsum(wall.weight), width=float(wall.width))


def buckling_curves(situation: Situation) -> tuple[BucklingCurve, ...]:
    """The curves of the walls nearest to buckling; none where the stiffness was not measured."""
    fresh = situation.case.mortar.fresh
    if fresh is None or fresh.elastic_modulus is None or fresh.elastic_growth is None:
        return ()
    poisson, expected = fresh.poisson_ratio or 0.0, fresh.elastic_growth / fresh.elastic_modulus
    walls = stacks(situation)
    courses = [buckling_course(wall, 1.0 + expected * ages(wall), poisson=poisson) for wall in walls]
    nearest = _nearest([float(course.least) for course in courses])
    return tuple(buckling_curve(walls[place], expected=expected, poisson=poisson) for place in nearest)


def buckling_curve(wall: Layers, *, expected: float, poisson: float) -> BucklingCurve:
    """The curve of one wall, looked at in the moments that tell at about the expected stiffening. [1/s]"""
    tried = [buckling_course(wall, 1.0 + share * expected * ages(wall), poisson=poisson) for share in _TRIED]
    moments = wall.laid[np.unique(np.concatenate([telling_moments(course.load_factor) for course in tried]))]
    whole = max(float(np.ptp(wall.laid)), 1.0)
    stiffening = np.geomspace(_LEAST, _MOST, _PLACES) / whole
    modulus = 1.0 + stiffening[:, None, None] * ages(wall, moments)
    found = buckling_course(wall, modulus, poisson=poisson, moments=np.broadcast_to(moments, (_PLACES, len(moments))))
    return BucklingCurve(stiffening=stiffening, per_pascal=found.least)


def _nearest(factors: list[float]) -> list[int]:
    """Which walls to look at: the few nearest to falling."""
    order = sorted(range(len(factors)), key=lambda place: factors[place])[:_WALLS]
    return [place for place in order if factors[place] <= _NEAR * factors[order[0]]]
