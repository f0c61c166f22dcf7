"""The catch plot: catches with their doubt, the line through them, and the band within which it lies."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from evenbead.physics.metering import flow_at
from evenbead.physics.uncertainty import expanded_uncertainty
from evenbead.quantities import MASS_FLOW, MASS_PER_TURN, ROTATION, converted, rounded, shown, unit_label
from evenbead.report.svg import BLUE, INK, ORANGE, RULE, SOFT, Scale, Sheet, ticks
from evenbead.report.words import shortened

if TYPE_CHECKING:
    from evenbead.physics.metering_catches import CatchFlows
    from evenbead.physics.metering_design import NextCatch
    from evenbead.physics.metering_fit import LineFit
    from evenbead.quantities import UnitSystem

_WIDTH, _HEIGHT = 720, 640
_LEFT, _RIGHT, _TOP, _BOTTOM = 72, 30, 84, 230
_BAND = "#dbe7f3"
_OFF_TOP, _OFF_BOTTOM = 450, 590  # of the lower part, which shows by how much each catch is off the line


def catch_plot(
    name: str, flows: CatchFlows, fit: LineFit, next_catch: NextCatch | None, system: UnitSystem = "metric"
) -> str:
    """The plot as SVG text."""
    unit = MASS_FLOW.unit(system)
    per_unit, rpm = converted(1.0, MASS_FLOW, unit), converted(1.0, ROTATION, "rpm")
    speed, flow = flows.speed * rpm, flows.flow * per_unit
    half = np.asarray(expanded_uncertainty(flows.u)) * per_unit
    reach = max(float(speed.max()), next_catch.speed * rpm if next_catch else 0.0) * 1.1
    grid = np.linspace(0, reach, 120)
    estimate = flow_at(fit.line, grid / rpm)
    middle, doubt = np.asarray(estimate.value) * per_unit, np.asarray(estimate.u95) * per_unit
    across = Scale(low=0, high=reach, start=_LEFT, end=_WIDTH - _RIGHT)
    top = float(max((flow + half).max(), (middle + doubt).max())) * 1.05
    up = Scale(low=min(0.0, float((middle - doubt).min())), high=top, start=_HEIGHT - _BOTTOM, end=_TOP)
    described = f"{len(speed)} catches and the line through them: {line_words(fit, system)}"
    sheet = Sheet(width=_WIDTH, height=_HEIGHT, title=f"Catches of {name}", description=described)
    sheet.text(_LEFT, 30, f"Catches: {shortened(name, 32)}", size=19, bold=True)
    sheet.text(_LEFT, 50, f"the line: {line_words(fit, system)}", size=12, colour=SOFT)
    _grid(sheet, across, up, unit_label(unit))
    edge = [*across.all(grid), *across.all(grid[::-1])]
    sheet.area(edge, [*up.all(middle + doubt), *up.all((middle - doubt)[::-1])], colour=_BAND)
    sheet.polyline(across.all(grid), up.all(middle), colour=BLUE, width=2)
    for x, y, bar in zip(across.all(speed), flow, half, strict=True):
        sheet.line(x, up(y - bar), x, up(y + bar), colour=INK)
        sheet.mark(x, up(y), "ring", colour=INK, size=4)
    _off(sheet, across, flows, fit)
    if next_catch:
        x = across(next_catch.speed * rpm)
        sheet.line(x, _TOP, x, _OFF_BOTTOM, colour=ORANGE, dash="4 4")
        sheet.text(x - 6, _TOP + 14, f"next catch: {shown(next_catch.speed, ROTATION)}", colour=ORANGE, anchor="end")
    sheet.text(_LEFT, _HEIGHT - 14, "band and bars hold 95 %", colour=SOFT)
    return sheet.svg()


def _grid(sheet: Sheet, across: Scale, up: Scale, unit: str) -> None:
    for value in ticks(across.low, across.high, about=8):
        sheet.line(across(value), _TOP, across(value), _HEIGHT - _BOTTOM, colour=RULE)
        sheet.line(across(value), _OFF_TOP, across(value), _OFF_BOTTOM, colour=RULE)
        sheet.text(across(value), _OFF_BOTTOM + 18, rounded(value, 4), anchor="middle", colour=SOFT)
    for value in ticks(up.low, up.high, about=6):
        sheet.line(_LEFT, up(value), _WIDTH - _RIGHT, up(value), colour=RULE)
        sheet.text(_LEFT - 8, up(value) + 4, rounded(value, 3), anchor="end", colour=SOFT)
    sheet.text(_WIDTH - _RIGHT, _HEIGHT - 14, "motor speed in rpm", anchor="end", colour=SOFT)
    sheet.text(_LEFT - 8, _TOP - 10, unit, anchor="end", colour=SOFT)


def _off(sheet: Sheet, across: Scale, flows: CatchFlows, fit: LineFit) -> None:
    """By how much of the line each catch is off it, where the eye can see it."""
    line = flows.flow - fit.residuals
    off = 100 * fit.residuals / line
    half = 100 * np.asarray(expanded_uncertainty(flows.u)) / line
    reach = max(float((np.abs(off) + half).max()), 1e-6) * 1.15
    up = Scale(low=-reach, high=reach, start=_OFF_BOTTOM, end=_OFF_TOP)
    for value in ticks(-reach, reach, about=4):
        sheet.line(_LEFT, up(value), _WIDTH - _RIGHT, up(value), colour=RULE)
        sheet.text(_LEFT - 8, up(value) + 4, f"{rounded(value, 2)} %", anchor="end", colour=SOFT)
    sheet.text(_LEFT, _OFF_TOP - 10, "off the line", colour=SOFT)
    sheet.line(_LEFT, up(0), _WIDTH - _RIGHT, up(0), colour=BLUE, width=2)
    for x, y, bar in zip(across.all(flows.speed * converted(1.0, ROTATION, "rpm")), off, half, strict=True):
        sheet.line(x, up(y - bar), x, up(y + bar), colour=INK)
        sheet.mark(x, up(y), "ring", colour=INK, size=4)


def line_words(fit: LineFit, system: UnitSystem) -> str:
    """The line in words: what a revolution delivers, and what flows at no speed."""
    line = fit.line
    words = shown(line.slope, MASS_PER_TURN, system)
    if not line.through_origin:
        sign = "+" if line.intercept >= 0 else "-"
        words += f" {sign} {shown(abs(line.intercept), MASS_FLOW, system)}"
    return words
