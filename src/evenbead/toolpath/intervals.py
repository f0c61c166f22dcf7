"""The interval at every place: how long the bead beneath has lain when the next one covers it.

It follows the geometry of the path, not the rhythm of its layers: where a layer turns back on itself, one end of the
seam is covered after seconds and the other after two layers.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from evenbead.toolpath.samples import beneath, samples_of

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from evenbead.toolpath.model import Floats, Toolpath
    from evenbead.toolpath.timing import Timing

_BEYOND = 1.75  # layer heights above the bead found beneath: something between was missed, or nothing is there
_LIES_ON = 0.55  # share of the layer height by which a covering bead is higher, as for layers


@dataclass(frozen=True, slots=True, kw_only=True)
class Intervals:
    """Looks at the covered places of a print, in the order laid.

    move:      (c,) int   move that covers
    laid:      (c,) s     when it passes
    interval:  (c,) s     since the bead beneath was laid
    length:    (c,) m     level length each look stands for
    """

    move: NDArray[np.int64]
    laid: Floats
    interval: Floats
    length: Floats

    def __len__(self) -> int:
        return len(self.interval)

    @property
    def longest(self) -> int:
        """Which look has the longest interval."""
        return int(np.argmax(self.interval))

    def length_over(self, limit: float) -> float:
        """Length covered after more than so long. [m]"""
        return float(self.length[self.interval > limit].sum())


def intervals_of(toolpath: Toolpath, timing: Timing, *, bead_width: float, layer_height: float) -> Intervals:
    """The intervals of a print, looked at about every half bead width.

    Parameters
    ----------
    toolpath : Toolpath
        The path. [-]
    timing : Timing
        When each of its moves is made. [s]
    bead_width : float
        Beads closer than half of it, seen from above, lie on each other. [m]
    layer_height : float
        Nominal height of a layer. [m]

    Returns
    -------
    intervals : Intervals
        Of the places that cover another; a print of one layer has none.

    Source: plane geometry; what lies on what as in `layers`, common practice, no source.
    """
    rise = _LIES_ON * layer_height
    samples = samples_of(toolpath, spacing=bead_width / 2)
    # Looks that the border of one grid parts are held together by the other; the later bead is the one beneath.
    lower = np.maximum(*(beneath(samples, reach=bead_width / 2, rises=(rise, rise), shift=s)[0] for s in (0.0, 0.5)))
    lower[samples.z - samples.z[lower] > _BEYOND * layer_height] = -1
    move, share = samples.moves()
    laid = timing.start[move] + share * (timing.duration[move] - toolpath.dwell[move])
    upper = np.flatnonzero(lower >= 0)
    length = np.diff(samples.way, append=samples.way[-1:])
    return Intervals(
        move=move[upper],
        laid=laid[upper],
        interval=laid[upper] - laid[lower[upper]],
        length=np.clip(length[upper], 0.0, bead_width),
    )
