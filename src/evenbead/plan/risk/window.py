"""The workable window: layer time across, ratio up; where every limit is kept, and which limit ends it.

Here a wall keeps its limit where it bears the load factor that the job asks for, as in the plan: on the edge of bare
standing it would fall on every other day.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from evenbead.physics.draws import balanced_count, drawn
from evenbead.plan.risk.feeds import feed_room
from evenbead.plan.risk.inputs import distributions
from evenbead.plan.risk.rooms import LIMITS, rooms

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from evenbead.plan.model import Expected
    from evenbead.plan.risk.trial import Trial

    Floats = NDArray[np.float64]

_PACES, _RATIOS = 121, 81
_SLOWEST = 4.0
_CLOUD = 256
_OF_WALLS = {"collapse", "buckling"}


@dataclass(frozen=True, slots=True, kw_only=True)
class Window:
    """A map of the expected day at other paces and ratios.

    layer_time:  (p,) s      usual time from one layer to the next
    ratio:       (r,) 1
    room:        (r, p) by limit, above zero where it is kept; "feeds" are the motors' ranges
    chosen:      layer time and ratio of the plan
    cloud:       ratios that the doubt of catches and feeds allows, (c,)
    """

    layer_time: Floats
    ratio: Floats
    room: dict[str, Floats]
    chosen: tuple[float, float]
    cloud: Floats

    @property
    def open(self) -> NDArray[np.bool_]:
        """Where every limit that can be told is kept. (r, p)"""
        kept: NDArray[np.bool_] = np.logical_and.reduce([room >= 0 for room in self.room.values()])
        return kept


def window_of(trial: Trial, expected: Expected, *, seed: int) -> Window:
    """The window around the plan: from a quarter to four times its layer time, and half a band beyond the band."""
    situation = trial.situation
    band = situation.case.mortar.water_powder_ratio
    beyond = (band.high - band.low) / 2
    pace = np.geomspace(1 / _SLOWEST, _SLOWEST, _PACES)
    ratio = np.linspace(band.low - beyond, band.high + beyond, _RATIOS)
    grid_ratio, grid_pace = np.meshgrid(ratio, pace, indexing="ij")
    inputs = distributions(situation, expected)
    median = {name: np.full(grid_ratio.size, float(np.asarray(what.at(0.5)))) for name, what in inputs.items()}
    median["ratio"] = grid_ratio.ravel()
    found = rooms(trial, median, pace=grid_pace.ravel())
    for name in _OF_WALLS & found.keys():
        found[name] = found[name] + 1.0 - situation.case.job.limits.stability
    found["feeds"] = feed_room(situation.settings, grid_pace.ravel())
    cloud = drawn(inputs, count=balanced_count(_CLOUD), seed=seed)
    starts = situation.layers.start
    usual = float(np.median(np.diff(starts))) if len(starts) > 1 else float(situation.layers.duration[0])
    return Window(
        layer_time=pace * usual,
        ratio=ratio,
        room={name: found[name].reshape(grid_ratio.shape) for name in (*LIMITS, "feeds") if name in found},
        chosen=(usual, float(expected.ratio.value)),
        cloud=cloud["ratio"] * cloud["feed"],
    )
