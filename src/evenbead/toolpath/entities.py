"""What a DXF entity draws, as a stroke in world coordinates.

Circles and old and new polylines are given in the plane of the entity, which may be turned or seen from
behind; lines, ellipses and splines where they are.

Source: DXF reference, group codes of each entity and "object coordinate systems" (from memory), as read by ezdxf.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

import numpy as np

from evenbead.toolpath.curves import Stroke, arc, bulged, ellipse, polyline, spline

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable

    from ezdxf.entities.arc import Arc
    from ezdxf.entities.circle import Circle
    from ezdxf.entities.dxfentity import DXFEntity
    from ezdxf.entities.dxfgfx import DXFGraphic
    from ezdxf.entities.ellipse import Ellipse
    from ezdxf.entities.line import Line
    from ezdxf.entities.lwpolyline import LWPolyline
    from ezdxf.entities.polyline import Polyline
    from ezdxf.entities.spline import Spline
    from ezdxf.math import Vec3

    from evenbead.toolpath.model import Floats

_FRAME_VERTEX = 16  # flag of a corner of the frame of a smoothed polyline


def stroke_of(entity: DXFEntity, *, chord: float) -> Stroke | None:
    """The stroke of one entity; None for one that isn't a line."""
    read = _READERS.get(entity.dxftype())
    return read(entity, chord) if read is not None else None


def _line(line: Line, _: float) -> Stroke:
    return polyline(_points([line.dxf.start, line.dxf.end]))


def _circle(circle: Circle, chord: float) -> Stroke:
    return _arc(circle, start=0.0, sweep=360.0, chord=chord)


def _part_of_circle(part: Arc, chord: float) -> Stroke:
    start = part.dxf.start_angle
    return _arc(part, start=start, sweep=(part.dxf.end_angle - start) % 360.0 or 360.0, chord=chord)


def _arc(circle: Circle, *, start: float, sweep: float, chord: float) -> Stroke:
    """Counterclockwise in the plane of the entity, angles in degrees."""
    centre = np.array([*circle.dxf.center], np.float64)
    radius = abs(circle.dxf.radius)
    flat = arc(centre, radius=radius, start=np.radians(start), sweep=np.radians(sweep), chord=chord)
    return _in_world(flat, circle)


def _ellipse(whole: Ellipse, chord: float) -> Stroke:
    dxf = whole.dxf
    sweep = (dxf.end_param - dxf.start_param) % (2 * np.pi) or 2 * np.pi
    minor = dxf.extrusion.normalize().cross(dxf.major_axis) * dxf.ratio
    centre, major, minor = _points([dxf.center, dxf.major_axis, minor])
    return ellipse(centre, major, minor, start=dxf.start_param, sweep=sweep, chord=chord)


def _spline(entity: Spline, chord: float) -> Stroke:
    tool = entity.construction_tool()
    control = _points(tool.control_points)
    if not np.isfinite(control).all():
        return polyline(control)  # refused with the other coordinates that are no numbers
    weights = np.array(tool.weights() or np.ones(len(control)), np.float64)
    return spline(control, np.array(tool.knots(), np.float64), weights, degree=tool.degree, chord=chord)


def _polyline(entity: LWPolyline, chord: float) -> Stroke:
    rows = np.array(entity.get_points("xyb"), np.float64).reshape(-1, 3)
    corners = np.column_stack([rows[:, :2], np.full(len(rows), entity.dxf.elevation)])
    return _in_world(bulged(corners, rows[:, 2].tolist(), closed=entity.closed, chord=chord), entity)


def _old_polyline(entity: Polyline, chord: float) -> Stroke | None:
    if not (entity.is_2d_polyline or entity.is_3d_polyline):
        return None  # a mesh
    vertices = [vertex.dxf for vertex in entity.vertices if not vertex.dxf.flags & _FRAME_VERTEX]
    bulges = [vertex.get("bulge", 0.0) for vertex in vertices]
    stroke = bulged(_points([vertex.location for vertex in vertices]), bulges, closed=entity.is_closed, chord=chord)
    return stroke if entity.is_3d_polyline else _in_world(stroke, entity)


_READERS: Final[dict[str, Callable[..., Stroke | None]]] = {
    "LINE": _line,
    "CIRCLE": _circle,
    "ARC": _part_of_circle,
    "ELLIPSE": _ellipse,
    "SPLINE": _spline,
    "LWPOLYLINE": _polyline,
    "POLYLINE": _old_polyline,
}


def _in_world(stroke: Stroke, entity: DXFGraphic) -> Stroke:
    """A stroke given in the plane of its entity, where it really lies."""
    system = entity.ocs()
    if not system.transform:
        return stroke
    return Stroke(points=_points(system.points_to_wcs(stroke.points.tolist())), length=stroke.length)


def _points(places: Iterable[Vec3]) -> Floats:
    return np.array([(place.x, place.y, place.z) for place in places], np.float64).reshape(-1, 3)
