"""The files a plan can be written into, checked before the work and written after it."""

from __future__ import annotations

import csv
import io
from dataclasses import dataclass
from typing import TYPE_CHECKING

from evenbead.errors import Fault, InputRefused
from evenbead.plan import layer_rows
from evenbead.report.card import card_pdf
from evenbead.report.litres_chart import litres_chart
from evenbead.report.picture import save_picture, write_whole

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

    from evenbead.plan import Plan
    from evenbead.quantities import UnitSystem
    from evenbead.report.card import Paper

PICTURES = (".svg", ".png", ".pdf")


@dataclass(frozen=True, slots=True, kw_only=True)
class Outputs:
    """Where the parts of a plan go; None for those nobody asked for."""

    csv: Path | None
    card: Path | None
    chart: Path | None


def planned(*, csv: Path | None, card: Path | None, chart: Path | None) -> Outputs:
    """The outputs asked for.

    Raises
    ------
    InputRefused
        A name has the wrong ending, or its folder does not exist: said before anything is computed.
    """
    faults = [
        *faults_of(csv, (".csv",)),
        *faults_of(card, (".pdf",)),
        *faults_of(chart, PICTURES),
    ]
    if faults:
        raise InputRefused(faults)
    return Outputs(csv=csv, card=card, chart=chart)


def faults_of(path: Path | None, endings: tuple[str, ...]) -> Iterator[Fault]:
    """What is wrong with a file to be written."""
    if path is None:
        return
    if path.suffix.lower() not in endings:
        expected = f"expected a name ending in {' or '.join(endings)}"
        yield Fault(what=f'"{path.suffix}" is not what is written here', expected=expected, file=str(path))
    elif not path.parent.is_dir():
        yield Fault(what="its folder does not exist", expected="make the folder first", file=str(path))
    elif path.is_dir():
        yield Fault(what="is a folder", expected="expected a file name", file=str(path))


def write_plan(plan: Plan, outputs: Outputs, *, system: UnitSystem, paper: Paper) -> None:
    """Make everything first, then write it, so that a failure leaves no half set behind."""
    card = card_pdf(plan, system, paper) if outputs.card else b""
    chart = litres_chart(plan, system) if outputs.chart else ""
    if outputs.csv:
        write_whole(outputs.csv, layers_csv(plan).encode())
    if outputs.card:
        write_whole(outputs.card, card)
    if outputs.chart:
        save_picture(chart, outputs.chart)


def layers_csv(plan: Plan) -> str:
    """The layers as comma-separated columns, named as in the contract."""
    text = io.StringIO()
    rows = layer_rows(plan.layers)
    writer = csv.DictWriter(text, fieldnames=list(rows[0]), lineterminator="\n")
    writer.writeheader()
    writer.writerows(rows)
    return text.getvalue()
