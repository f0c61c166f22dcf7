"""The files a plan can be written into, checked before the work and written after it."""

from __future__ import annotations

import csv
import io
import os
from dataclasses import dataclass
from typing import TYPE_CHECKING

from evenbead.errors import Fault, InputRefused
from evenbead.plan import layer_rows
from evenbead.report.card import card_pdf
from evenbead.report.litres_chart import litres_chart
from evenbead.report.picture import picture, write_together

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator
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

    def __iter__(self) -> Iterator[Path | None]:
        yield from (self.csv, self.card, self.chart)


def planned(*, csv: Path | None, card: Path | None, chart: Path | None) -> Outputs:
    """The outputs asked for.

    Raises
    ------
    InputRefused
        A name can't be written to, or is given twice: said before anything is computed.
    """
    faults = [
        *faults_of(csv, (".csv",)),
        *faults_of(card, (".pdf",)),
        *faults_of(chart, PICTURES),
    ]
    if card and chart and card.resolve() == chart.resolve():
        faults.append(
            Fault(what="card and chart have the same name", expected="expected a name for each", file=str(chart))
        )
    if faults:
        raise InputRefused(faults)
    return Outputs(csv=csv, card=card, chart=chart)


def faults_of(path: Path | None, endings: tuple[str, ...]) -> Iterator[Fault]:
    """What is wrong with a file to be written."""
    if path is None:
        return
    if path.suffix.lower() not in endings:
        seen = f'a name ending in "{path.suffix}"' if path.suffix else "a name without an ending"
        yield Fault(what=seen, expected=f"expected one ending in {' or '.join(endings)}", file=str(path))
    elif not path.parent.is_dir():
        yield Fault(what="its folder does not exist", expected="make the folder first", file=str(path))
    elif path.is_dir():
        yield Fault(what="is a folder", expected="expected a file name", file=str(path))
    elif path.exists() and not os.access(path, os.W_OK):
        yield Fault(what="may not be written to", expected="expected another name, or permission", file=str(path))


def require(path: Path | None, endings: tuple[str, ...]) -> None:
    """Refuse a file to be written that can't be. None is no file, and fine."""
    faults = list(faults_of(path, endings))
    if faults:
        raise InputRefused(faults)


def require_picture(path: Path | None, read: Path) -> None:
    """Refuse a picture that can't be written, or that would overwrite what it shows."""
    require(path, PICTURES)
    require_apart([path], [read])


def require_pictures(paths: Iterable[Path | None], inputs: Iterable[Path]) -> None:
    """Refuse, before the work, pictures that can't be written, share a name, or would write over what is read."""
    asked = list(paths)
    faults = [fault for path in asked for fault in faults_of(path, PICTURES)]
    named: set[Path] = set()
    for path in filter(None, asked):
        if path.resolve() in named:
            faults.append(
                Fault(what="two pictures have the same name", expected="expected a name for each", file=str(path))
            )
        named.add(path.resolve())
    if faults:
        raise InputRefused(faults)
    require_apart(asked, inputs)


def require_apart(outputs: Iterable[Path | None], inputs: Iterable[Path]) -> None:
    """Refuse to write over a file that was read."""
    read = {path.resolve() for path in inputs}
    faults = [
        Fault(what="is one of the files that were read", expected="expected another name", file=str(path))
        for path in outputs
        if path and path.resolve() in read
    ]
    if faults:
        raise InputRefused(faults)


def write_plan(plan: Plan, outputs: Outputs, *, system: UnitSystem, paper: Paper) -> None:
    """Make everything first, then write it, so that a failure leaves no half set behind."""
    contents: dict[Path, bytes] = {}
    if outputs.csv:
        contents[outputs.csv] = layers_csv(plan).encode()
    if outputs.card:
        contents[outputs.card] = card_pdf(plan, system, paper)
    if outputs.chart:
        contents[outputs.chart] = picture(litres_chart(plan, system), outputs.chart)
    write_together(contents)


def layers_csv(plan: Plan) -> str:
    """The layers as comma-separated columns, named as in the contract."""
    text = io.StringIO()
    rows = layer_rows(plan.layers)
    writer = csv.DictWriter(text, fieldnames=list(rows[0]), lineterminator="\n")
    writer.writeheader()
    writer.writerows(rows)
    return text.getvalue()
