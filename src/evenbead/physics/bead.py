"""The bead's section: its area from its shape, and the width that a flow gives it at a speed.

The area is what flow and speed fix; the width is derived from it.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Literal

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Numbers = float | NDArray[np.float64]

Section = Literal["stadium", "rectangle"]


def section_area(*, width: Numbers, height: Numbers, section: Section) -> Numbers:
    """Area of the bead's section.

    A stadium is a rectangle between two half circles, w·h - h²(1 - π/4); a rectangle is w·h.

    Parameters
    ----------
    width : float or array
        Width as laid; at least the height for a stadium. [m]
    height : float or array
        Height from one layer to the next. [m]
    section : "stadium" or "rectangle"
        Shape of the section. [-]

    Returns
    -------
    area : float or array
        [m^2]

    Valid for: beads whose sides keep the shape named; a stadium as wide as high is a circle.

    Source: plane geometry; common practice, no source for the choice of shape.

    Examples
    --------
    >>> section_area(width=0.040, height=0.010, section="stadium") * 1e6
    378.54
    """
    return width * height - _missing_corners(height, section)


def width_at(*, flow: Numbers, speed: Numbers, height: Numbers, section: Section) -> Numbers:
    """Width of the bead that a flow lays at a speed.

    Continuity gives the area, A = Q/v; the shape gives the width, A/h for a rectangle and h(1 - π/4) more for
    a stadium.

    Parameters
    ----------
    flow : float or array
        Volume leaving the nozzle each second. [m^3/s]
    speed : float or array
        Speed of the nozzle along the path, not zero. [m/s]
    height : float or array
        Height from one layer to the next. [m]
    section : "stadium" or "rectangle"
        Shape of the section. [-]

    Returns
    -------
    width : float or array
        [m]

    Valid for: a layer height that the bead does fill; below w = h a stadium no longer describes it and the width
    is only a sign that the bead is starved.

    Source: continuity.

    Examples
    --------
    >>> width_at(flow=1e-4, speed=0.1, height=0.015, section="stadium") * 1000
    69.886
    """
    return (flow / speed + _missing_corners(height, section)) / height


def speed_for(*, flow: Numbers, width: Numbers, height: Numbers, section: Section) -> Numbers:
    """Speed at which a flow lays a bead of a width: the inverse of `width_at`.

    Parameters
    ----------
    flow : float or array
        Volume leaving the nozzle each second. [m^3/s]
    width : float or array
        Wanted width. [m]
    height : float or array
        Height from one layer to the next. [m]
    section : "stadium" or "rectangle"
        Shape of the section. [-]

    Returns
    -------
    speed : float or array
        [m/s]

    Valid for: as `width_at`.

    Source: continuity.

    Examples
    --------
    >>> speed_for(flow=1e-4, width=0.069886, height=0.015, section="stadium")
    0.1
    """
    return flow / section_area(width=width, height=height, section=section)


def _missing_corners(height: Numbers, section: Section) -> Numbers:
    """Area by which the section falls short of its box."""
    return height * height * (1 - math.pi / 4) if section == "stadium" else 0.0 * height
