"""What the checks of the fresh mortar look at, brought together once."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from evenbead.physics import growth
from evenbead.physics.rheology import DosedGrowth, growth_at_dose

if TYPE_CHECKING:
    from collections.abc import Callable

    from numpy.typing import NDArray

    from evenbead.documents import Case
    from evenbead.documents.mortar import Growth
    from evenbead.physics.growth import GrowthLaw
    from evenbead.physics.mixture import Proportions
    from evenbead.plan.fresh.conditions import Day
    from evenbead.plan.model import LayerColumns, Settings, Settling
    from evenbead.quantities import UnitSystem
    from evenbead.toolpath.footprint import Footprint
    from evenbead.toolpath.intervals import Intervals


@dataclass(frozen=True, slots=True, kw_only=True)
class Situation:
    """A print, its mortar and its day."""

    case: Case
    day: Day
    layers: LayerColumns
    intervals: Intervals
    settings: Settings
    settling: Settling
    proportions: Proportions
    beneath: NDArray[np.int64]
    """(k,) layer on which each layer lies, -1 for the ground."""
    footprint: Callable[[int], Footprint]
    """Of a layer, counted from 0; only asked for where it matters, as it takes a while."""
    free_stretch: Callable[[int], float]
    """Of a layer too, and quick. [m]"""
    system: UnitSystem

    @property
    def two_part(self) -> bool:
        """Whether an accelerator is mixed in near the nozzle."""
        return self.settings.accelerator is not None


@dataclass(frozen=True, slots=True, kw_only=True)
class WallGrowth:
    """How the yield stress grows in the wall, and what is doubtful about it."""

    law: GrowthLaw
    remark: str = ""


def law_of(given: Growth) -> GrowthLaw:
    """The law of growth that a document names."""
    match given.law:
        case "linear":
            return growth.LinearGrowth(rate=given.rate)
        case "exponential":
            return growth.ExponentialGrowth(rate=given.rate, time=given.time)
        case "bilinear":
            return growth.BilinearGrowth(
                reflocculation=given.reflocculation, rise=given.rise, structuration=given.structuration
            )


def growth_in_wall(situation: Situation) -> WallGrowth | None:
    """The growth once laid: with accelerator where there is one. None where nobody measured it."""
    mortar = situation.case.mortar
    accelerator = mortar.accelerator if situation.two_part else None
    if accelerator is not None and accelerator.measured:
        tried = next((at for at in accelerator.measured if at.dose == accelerator.dose), None)
        if tried is not None:
            return WallGrowth(law=growth.LinearGrowth(rate=tried.rate))
        doses = sorted(accelerator.measured, key=lambda at: at.dose)
        tested = DosedGrowth(
            dose=np.array([at.dose for at in doses]),
            growth=growth.LinearGrowth(rate=np.array([at.rate for at in doses])),
        )
        found = growth_at_dose(tested, accelerator.dose)
        remark = "" if found.measured else "; the dose lies outside the doses measured, the nearest stands in"
        return WallGrowth(law=found.growth, remark=remark)
    if accelerator is not None:
        return None if accelerator.growth is None else WallGrowth(law=law_of(accelerator.growth))
    fresh = mortar.fresh
    return None if fresh is None or fresh.growth is None else WallGrowth(law=law_of(fresh.growth))
