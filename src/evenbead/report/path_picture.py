"""A toolpath drawn from above, with its first and its last layer told apart."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from evenbead.quantities import LENGTH, converted, rounded, shown, unit_label
from evenbead.report.svg import BLUE, INK, RULE, SOFT, Scale, Sheet, ticks
from evenbead.report.words import shortened

if TYPE_CHECKING:
    from evenbead.quantities import UnitSystem
    from evenbead.toolpath.layers import Layers
    from evenbead.toolpath.model import Floats, Toolpath

_WIDTH, _HEIGHT = 920, 620
_LEFT, _RIGHT, _TOP, _BOTTOM = 60, 30, 80, 60
_MOST_POINTS = 60_000


def path_picture(toolpath: Toolpath, layers: Layers, name: str, system: UnitSystem = "metric") -> str:
    """The picture as SVG text: seen from above, first layer in ink, last in blue, those between in grey."""
    unit = LENGTH.unit(system)
    scale = converted(1.0, LENGTH, unit)
    x, y = toolpath.x * scale, toolpath.y * scale
    laid = np.flatnonzero(toolpath.on)
    corners = np.concatenate([laid, laid + 1])
    across, up = _fitted(x[corners], y[corners])
    size = " by ".join(shown(float(np.ptp(axis[corners])), LENGTH, system) for axis in (toolpath.x, toolpath.y))
    sheet = Sheet(
        width=_WIDTH,
        height=_HEIGHT,
        title=f"{name} from above",
        description=f"{len(layers)} layers over {size}; first layer in ink, last in blue.",
    )
    sheet.text(_LEFT, 30, shortened(name, 44), size=19, bold=True)
    about = f"from above: {size}, {len(layers)} layers, {shown(toolpath.path_length, LENGTH, system)} of bead"
    sheet.text(_LEFT, 50, f"{about}. First layer in ink, last in blue, travel dotted.", size=12, colour=SOFT)
    _grid(sheet, across, up, unit_label(unit))
    first, last = 0, len(layers) - 1
    step = max(int(len(laid) / _MOST_POINTS), 1)
    for layer in [*range(0, last, max(step, last // 40 or 1)), last, first]:
        # The last is the wider one and lies beneath the first, so that both show where they run the same way.
        colour, width = (INK, 1.2) if layer == first else (BLUE, 4.0) if layer == last else ("#9aa4ad", 0.6)
        moves = np.arange(layers.first_move[layer], layers.last_move[layer] + 1)
        for piece in _runs(moves, toolpath):
            sheet.polyline(across.all(x[piece]), up.all(y[piece]), colour=colour, width=width)
    for piece in _runs(np.arange(layers.first_move[first], layers.last_move[first] + 1), toolpath, on=False):
        sheet.polyline(across.all(x[piece]), up.all(y[piece]), colour=SOFT, width=0.8, dash="2 3")
    start = int(laid[0])
    sheet.mark(across(float(x[start])), up(float(y[start])), "ring", colour=INK, size=5)
    sheet.text(across(float(x[start])) + 9, up(float(y[start])) + 4, "start", size=11)
    return sheet.svg()


def _fitted(x: Floats, y: Floats) -> tuple[Scale, Scale]:
    """Equal scales for both axes, so that a circle stays one."""
    middle_x, middle_y = (float(axis.min() + axis.max()) / 2 for axis in (x, y))
    width, height = _WIDTH - _LEFT - _RIGHT, _HEIGHT - _TOP - _BOTTOM
    reach = max(float(np.ptp(x)) / width, float(np.ptp(y)) / height, 1e-9) * 1.06 / 2
    return (
        Scale(low=middle_x - reach * width, high=middle_x + reach * width, start=_LEFT, end=_WIDTH - _RIGHT),
        Scale(low=middle_y - reach * height, high=middle_y + reach * height, start=_HEIGHT - _BOTTOM, end=_TOP),
    )


def _grid(sheet: Sheet, across: Scale, up: Scale, unit: str) -> None:
    for value in ticks(across.low, across.high, about=8):
        sheet.line(across(value), _TOP, across(value), _HEIGHT - _BOTTOM, colour=RULE)
        sheet.text(across(value), _HEIGHT - _BOTTOM + 18, rounded(value, 4), anchor="middle", colour=SOFT)
    for value in ticks(up.low, up.high, about=6):
        sheet.line(_LEFT, up(value), _WIDTH - _RIGHT, up(value), colour=RULE)
        sheet.text(_LEFT - 8, up(value) + 4, rounded(value, 4), anchor="end", colour=SOFT)
    sheet.text(_WIDTH - _RIGHT, _HEIGHT - _BOTTOM + 38, f"x and y in {unit}", anchor="end", colour=SOFT)


def _runs(
    moves: np.ndarray[tuple[int], np.dtype[np.int64]], toolpath: Toolpath, *, on: bool = True
) -> list[np.ndarray[tuple[int], np.dtype[np.int64]]]:
    """Corners of each unbroken run of moves with the bead on, or off."""
    wanted = moves[toolpath.on[moves] == on]
    if not len(wanted):
        return []
    pieces = np.split(wanted, np.flatnonzero(np.diff(wanted) > 1) + 1)
    return [np.append(piece, piece[-1] + 1) for piece in pieces]
