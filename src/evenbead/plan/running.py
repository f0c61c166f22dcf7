"""When the station runs: through the bead and through short moves without it, stopped over long ones."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from evenbead.toolpath.model import Toolpath
    from evenbead.toolpath.timing import Timing

    Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True)
class Running:
    """Running time against print time, as the corners of a curve that never falls. (m,) s each."""

    time: Floats
    run: Floats

    @property
    def total(self) -> float:
        """Time the station runs during the print. [s]"""
        return float(self.run[-1])

    def when(self, run: float) -> float:
        """Print time at which the station has run so long; negative before the print, while it wets out. [s]"""
        return float(np.interp(run, self.run, self.time)) if run > 0 else float(self.time[0]) + run


def running_time(toolpath: Toolpath, timing: Timing, *, pause_over: float) -> Running:
    """Running time against print time; the station stops whenever the bead is off for longer than `pause_over`.

    Before the first bead and after the last the station does not run for the print: wetting-out, settling and
    washing-out are counted apart.
    """
    on = np.flatnonzero(toolpath.on)
    first, last = int(on[0]), int(on[-1])
    bead = toolpath.on[first : last + 1]
    duration = timing.duration[first : last + 1]
    begins = np.flatnonzero(np.diff(bead, prepend=~bead[:1]))
    stretch = np.add.reduceat(duration, begins)
    runs = bead[begins] | (stretch <= pause_over)
    start = float(timing.start[first])
    return Running(
        time=start + np.concatenate([[0.0], np.cumsum(stretch)]),
        run=np.concatenate([[0.0], np.cumsum(np.where(runs, stretch, 0.0))]),
    )
