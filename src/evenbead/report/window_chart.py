"""The workable window drawn: layer time across, ratio up, the limits that close it drawn as lines and named beside."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from evenbead.report.svg import BLUE, GREEN, INK, ORANGE, RULE, SOFT, Scale, Sheet, ticks
from evenbead.report.words import shortened

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from evenbead.plan.risk import Window

    Floats = NDArray[np.float64]

_WIDTH, _HEIGHT = 920, 600
_LEFT, _RIGHT, _TOP, _BOTTOM = 76, 200, 92, 64
_NEAR = 24.0  # points on the sheet; neighbours on an edge lie closer
_CLOSED = "#e6e9ec"
_OPEN = "#dcefe8"
_CLOUD = "#9aa4ad"
_COLOURS = (INK, BLUE, ORANGE, GREEN, "#7a3e8e", "#8a6d00", "#a3324a", "#4d6a79", "#6b4a2b")
_DASHES = ("", "7 3", "2 3", "9 3 2 3", "12 4", "4 4", "1 4", "6 2 1 2", "16 3 3 3")
_KEY, _WORDS = _WIDTH - _RIGHT + 16, _WIDTH - _RIGHT + 54  # where the key's signs and words begin


def window_chart(window: Window, job: str) -> str:
    """The map as SVG text: open ground in green and marked as such, closed ground in grey."""
    minutes = window.layer_time / 60
    across = Scale(low=float(np.log(minutes[0])), high=float(np.log(minutes[-1])), start=_LEFT, end=_WIDTH - _RIGHT)
    up = Scale(low=float(window.ratio[0]), high=float(window.ratio[-1]), start=_HEIGHT - _BOTTOM, end=_TOP)
    share = f"{100 * float(window.open.mean()):.0f} %"
    sheet = Sheet(
        width=_WIDTH,
        height=_HEIGHT,
        title=f"{job}: workable window",
        description=f"Layer time against water/powder ratio. {share} of the map keeps every limit; "
        f"limits drawn: {', '.join(window.room)}.",
    )
    sheet.text(_LEFT, 30, f"{shortened(job, 44)}: where it works", size=19, bold=True)
    sheet.text(_LEFT, 50, "the expected day at other layer times and ratios, its limits those of the plan",
               size=12, colour=SOFT)  # fmt: skip
    _ground(sheet, window, across, up)
    _axes(sheet, minutes, window, across, up)
    place = _edges(sheet, window, across, up)
    _chosen(sheet, window, across, up)
    _key_of_grounds(sheet, place)
    return sheet.svg()


def _ground(sheet: Sheet, window: Window, across: Scale, up: Scale) -> None:
    """Open and closed ground, one box for each run of alike cells in a row."""
    sheet.box(_LEFT, _TOP, _WIDTH - _RIGHT - _LEFT, _HEIGHT - _BOTTOM - _TOP, colour=_CLOSED)
    x = across.all(np.log(_edges_of(window.layer_time / 60)))
    y = up.all(_edges_of(window.ratio))
    left, right, bottom, top = _LEFT, _WIDTH - _RIGHT, _HEIGHT - _BOTTOM, _TOP
    for row, cells in enumerate(window.open):
        turns = np.flatnonzero(np.diff(np.concatenate([[False], cells, [False]]).astype(int)))
        for first, last in zip(turns[::2], turns[1::2], strict=True):
            x1, x2 = max(float(x[first]), left), min(float(x[last]), right)
            y1, y2 = max(float(y[row + 1]), top), min(float(y[row]), bottom)
            sheet.box(x1, y1, x2 - x1, y2 - y1 + 0.4, colour=_OPEN)


def _key_of_grounds(sheet: Sheet, place: float) -> None:
    """What the grounds and the plan's marks mean."""
    for colour, words in ((_OPEN, "every limit is kept"), (_CLOSED, "a limit is passed")):
        sheet.box(_KEY, place - 12, 30, 14, colour=colour, edge=RULE)
        sheet.text(_WORDS, place, words)
        place += 22
    sheet.mark(_KEY + 15, place - 4, "ring", colour=INK, size=6)
    sheet.text(_WORDS, place, "the plan")
    for step in range(5):
        sheet.line(_KEY + 10, place + 12 + 2 * step, _KEY + 20, place + 12 + 2 * step, colour=_CLOUD, width=0.6)
    sheet.text(_WORDS, place + 20, "where its ratio may lie")


def _edges_of(middles: Floats) -> Floats:
    """Borders of cells about these middles."""
    between = (middles[1:] + middles[:-1]) / 2
    return np.concatenate([[2 * middles[0] - between[0]], between, [2 * middles[-1] - between[-1]]])


def _axes(sheet: Sheet, minutes: Floats, window: Window, across: Scale, up: Scale) -> None:
    for value in _log_ticks(float(minutes[0]), float(minutes[-1])):
        x = across(float(np.log(value)))
        sheet.line(x, _TOP, x, _HEIGHT - _BOTTOM, colour=RULE)
        words = f"{value:g} min" if value >= 1 else f"{60 * value:.0f} s"
        words = words if value <= 60 else f"{value / 60:g} h"
        sheet.text(x, _HEIGHT - _BOTTOM + 18, words, anchor="middle", colour=SOFT)
    for value in ticks(float(window.ratio[0]), float(window.ratio[-1]), about=7):
        sheet.line(_LEFT, up(value), _WIDTH - _RIGHT, up(value), colour=RULE)
        sheet.text(_LEFT - 8, up(value) + 4, f"{value:.3f}", anchor="end", colour=SOFT)
    sheet.text(_WIDTH - _RIGHT, _HEIGHT - 16, "time from one layer to the next", anchor="end", colour=SOFT)
    sheet.text(_LEFT - 8, _TOP - 12, "water/powder", anchor="start", colour=SOFT)


def _log_ticks(low: float, high: float) -> list[float]:
    steps = (1 / 12, 1 / 6, 0.25, 0.5, 0.75, 1, 1.5, 2, 3, 4, 6, 8, 10, 15, 20, 30, 45, 60, 90, 120, 240, 480, 960)
    return [step for step in steps if low <= step <= 0.97 * high]


def _edges(sheet: Sheet, window: Window, across: Scale, up: Scale) -> float:
    """Where each limit turns, with its key; then those that don't turn on this map. Returns where the key ends."""
    x, y, place = across.all(np.log(window.layer_time / 60)), up.all(window.ratio), _TOP + 10.0
    beyond: dict[str, list[str]] = {"passed everywhere": [], "kept everywhere": []}
    for number, (name, room) in enumerate(window.room.items()):
        colour, dash = _COLOURS[number % len(_COLOURS)], _DASHES[number % len(_DASHES)]
        lines = _edge_lines(room, x, y)
        if not lines:
            beyond["kept everywhere" if bool((room >= 0).all()) else "passed everywhere"].append(name)
            continue
        for line in lines:
            sheet.polyline(line[:, 0], line[:, 1], colour=colour, width=2, dash=dash)
        sheet.line(_KEY, place - 4, _KEY + 30, place - 4, colour=colour, width=2, dash=dash)
        sheet.text(_WORDS, place, name)
        place += 22
    for words, names in beyond.items():
        if names:
            sheet.text(_KEY, place + 6, f"{words} on this map:", colour=SOFT)
            for row, name in enumerate(names):
                sheet.text(_WORDS, place + 24 + 16 * row, name, colour=SOFT, bold=words.startswith("passed"))
            place += 34 + 16 * len(names)
    return place + 8


def _edge_lines(room: Floats, x: Floats, y: Floats) -> list[Floats]:
    """Lines on which a limit has no room, (m, 2) points on the sheet each: where it turns along rows or columns."""
    kept = room >= 0
    rows, columns = np.nonzero(kept[:, 1:] != kept[:, :-1])
    share = room[rows, columns] / (room[rows, columns] - room[rows, columns + 1])
    along = np.column_stack([x[columns] + share * (x[columns + 1] - x[columns]), y[rows]])
    rows, columns = np.nonzero(kept[1:] != kept[:-1])
    share = room[rows, columns] / (room[rows, columns] - room[rows + 1, columns])
    upward = np.column_stack([x[columns], y[rows] + share * (y[rows + 1] - y[rows])])
    return [line for line in _joined(np.concatenate([along, upward])) if len(line) > 1]


def _joined(points: Floats) -> list[Floats]:
    """Points joined to their nearest neighbours into lines, as far as they lie close by."""
    left, lines = points, []
    while len(left):
        # Begin at an end: the point furthest from the middle of those left.
        first = int(np.argmax(np.hypot(*(left - left.mean(axis=0)).T)))
        line, left = [left[first]], np.delete(left, first, axis=0)
        while len(left):
            away = np.hypot(*(left - line[-1]).T)
            nearest = int(np.argmin(away))
            if away[nearest] > _NEAR:
                break
            line.append(left[nearest])
            left = np.delete(left, nearest, axis=0)
        lines.append(np.array(line))
    return lines


def _chosen(sheet: Sheet, window: Window, across: Scale, up: Scale) -> None:
    layer_time, ratio = window.chosen
    x = across(float(np.log(layer_time / 60)))
    for drawn in window.cloud:
        if window.ratio[0] <= drawn <= window.ratio[-1]:
            sheet.line(x - 5, up(float(drawn)), x + 5, up(float(drawn)), colour=_CLOUD, width=0.6)
    if window.ratio[0] <= ratio <= window.ratio[-1]:
        sheet.mark(x, up(ratio), "ring", colour=INK, size=6)
