"""Which measurement would tell most, as bars."""

from __future__ import annotations

from typing import TYPE_CHECKING

from evenbead.report.svg import BLUE, INK, RULE, SOFT, Scale, Sheet
from evenbead.report.words import shortened

if TYPE_CHECKING:
    from evenbead.plan.risk import Risk

_WIDTH, _LEFT, _RIGHT, _TOP, _ROW = 920, 250, 40, 86, 40


def worth_chart(risk: Risk, job: str) -> str:
    """The bars as SVG text, the most telling input first; it says so where there is nothing to tell."""
    rows = [worth for worth in risk.worth if float(worth.explained.value) > 0.005]
    height = _TOP + _ROW * max(len(rows), 1) + 40
    sheet = Sheet(
        width=_WIDTH, height=height, title=f"{job}: what a measurement would tell",
        description="Share of the doubt about which limits the day keeps that would go, input by input.",
    )  # fmt: skip
    sheet.text(20, 30, f"{shortened(job, 40)}: which measurement would tell most", size=19, bold=True)
    sheet.text(20, 50, "share of the doubt about the limits that exact knowledge of one input would take away",
               size=12, colour=SOFT)  # fmt: skip
    if risk.always:
        sheet.text(
            20, 68, f"passed on nearly every day drawn, whatever one measures: {', '.join(risk.always)}", size=12
        )
    if not rows:
        sheet.text(20, _TOP + 16, "no single one: hardly any limit is in doubt", size=13)
        return sheet.svg()
    top = max(float(worth.explained.value) for worth in rows)
    across = Scale(low=0, high=max(top * 1.15, 0.05), start=_LEFT, end=_WIDTH - _RIGHT - 60)
    for place, worth in enumerate(rows):
        y = _TOP + place * _ROW
        share = float(worth.explained.value)
        sheet.text(_LEFT - 12, y + 13, worth.input.words, anchor="end", size=12)
        sheet.text(_LEFT, y + 31, worth.input.measure, size=10.5, colour=SOFT)
        sheet.box(_LEFT, y, across(share) - _LEFT, 17, colour=BLUE)
        sheet.text(across(share) + 8, y + 13, f"{100 * share:.0f} %", size=12, colour=INK, bold=True)
        sheet.line(_LEFT, y - 4, _LEFT, y + 22, colour=RULE)
    return sheet.svg()
