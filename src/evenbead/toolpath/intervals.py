"""The interval at every place: how long the bead beneath has lain when the next one covers it.

It follows the geometry of the path, not the rhythm of its layers: where a layer turns back on itself, one end of the
seam is covered after seconds and the other after two layers.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from evenbead.toolpath.samples import LIES_ON, beneath, looks_of
from evenbead.toolpath.timing import moments_along

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from evenbead.toolpath.layers import Layers
    from evenbead.toolpath.model import Floats, Toolpath
    from evenbead.toolpath.samples import Looks
    from evenbead.toolpath.timing import Timing

_OTHER_GRIDS = ((0.5, 0.0), (0.0, 0.5), (0.5, 0.5))
_BEYOND = 1.75  # layer heights above the bead found beneath: something between was missed, or nothing is there


@dataclass(frozen=True, slots=True, kw_only=True)
class Intervals:
    """Looks at the covered places of a print, in the order laid.

    move:      (c,) int   move that covers
    under:     (c,) int   move that laid the bead beneath
    laid:      (c,) s     when it passes
    interval:  (c,) s     since the bead beneath was laid
    length:    (c,) m     level length each look stands for
    """

    move: NDArray[np.int64]
    under: NDArray[np.int64]
    laid: Floats
    interval: Floats
    length: Floats

    def __len__(self) -> int:
        return len(self.interval)

    @property
    def longest(self) -> int:
        """Which look has the longest interval."""
        return int(np.argmax(self.interval))


def intervals_of(
    toolpath: Toolpath,
    timing: Timing,
    *,
    bead_width: float,
    layer_height: float,
    acceleration: float | None = None,
    looks: Looks | None = None,
) -> Intervals:
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
    acceleration : float, optional
        That the timing was made with. [m/s^2]
    looks : Looks, optional
        Of the same path, width and height, where they have been made already. [-]

    Returns
    -------
    intervals : Intervals
        Of the places that cover another; a print of one layer has none.

    Source: plane geometry; what lies on what as in `layers`, common practice, no source.
    """
    rise = LIES_ON * layer_height
    looks = looks or looks_of(toolpath, bead_width=bead_width, layer_height=layer_height)
    samples = looks.samples
    # Looks that the borders of one grid part are held together by another; the latest bead is the one beneath.
    lower = looks.strong
    for shift in _OTHER_GRIDS:
        lower = np.maximum(lower, beneath(samples, reach=bead_width / 2, rises=(rise,), shift=shift)[0])
    lower[samples.z - samples.z[lower] > _BEYOND * layer_height] = -1
    move, share = samples.moves()
    laid = moments_along(toolpath, timing, move, share, acceleration=acceleration)
    upper = np.flatnonzero(lower >= 0)
    length = np.diff(samples.way, append=samples.way[-1:])
    return Intervals(
        move=move[upper],
        under=move[lower[upper]],
        laid=laid[upper],
        interval=laid[upper] - laid[lower[upper]],
        length=np.clip(length[upper], 0.0, bead_width),
    )


def layers_beneath(intervals: Intervals, layers: Layers) -> NDArray[np.int64]:
    """The layer on which each layer mostly lies; -1 for one that stands on the ground.

    A layer over which no look found anything is taken to lie on the one laid before it, if that is lower: to count a
    layer too many is cautious.

    Source: plane geometry.
    """
    count = len(layers)
    upper, lower = layers.index[intervals.move].astype(np.int64), layers.index[intervals.under].astype(np.int64)
    on_another = (lower < upper) & (lower >= 0)
    pair, at = np.unique(upper[on_another] * count + lower[on_another], return_inverse=True)
    # Looks without a length of their own still count a little.
    shared = np.bincount(at, weights=intervals.length[on_another] + 1e-9, minlength=len(pair))
    most = np.lexsort((shared, pair // count))
    found = np.full(count, -1, np.int64)
    found[pair[most] // count] = pair[most] % count
    higher = np.diff(layers.z, prepend=np.inf) > 0
    blind = (found < 0) & higher
    found[blind] = np.flatnonzero(blind) - 1
    return found
