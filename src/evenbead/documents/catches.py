"""A list of catches from a CSV file: columns speed, mass and time, each with its unit in brackets."""

from __future__ import annotations

import csv
import re
from typing import TYPE_CHECKING

from pydantic_core import PydanticCustomError

from evenbead.documents.fields import Quantity
from evenbead.documents.reading import text_of
from evenbead.documents.station import Catch, Channel
from evenbead.errors import Fault, InputRefused

if TYPE_CHECKING:
    from pathlib import Path

_HEADING = re.compile(r"\s*(?P<name>[A-Za-z]+)\s*\[(?P<unit>[^\]]+)\]\s*")
_EXPECTED = "expected the headings speed [rpm], mass [kg] and time [s], in any order and with your units"


def read_catches(path: Path) -> Channel:
    """A channel that knows no more than its catches; its speed range is that of the catches.

    Raises
    ------
    InputRefused
        With every fault of the file, by line and column.
    """
    file = str(path)
    rows = _rows(text_of(path, file))
    units = _units(rows, file)
    faults: list[Fault] = []
    catches = [catch for number, cells in rows[1:] if (catch := _catch(cells, units, number, file, faults))]
    if faults:
        raise InputRefused(faults)
    speeds = [catch.speed for catch in catches]
    if len(set(speeds)) < 2:
        raise InputRefused.because(
            "all catches are at a single speed" if speeds else "no catch in it",
            expected="expected catches at two speeds or more; best are three speeds with three catches each",
            file=file,
        )
    return Channel.model_construct(speed_range=(min(speeds), max(speeds)), catch=tuple(catches))


def _rows(text: str) -> list[tuple[int, list[str]]]:
    """The cells of each line with its number; blank lines and lines that begin with # are left out.

    A line is a row whatever quotes it holds: a quote that is never closed spoils its own line only. Where commas
    don't part the columns and nothing has a decimal point, they are decimal commas.
    """
    lines = [(number, line.strip()) for number, line in enumerate(re.split(r"\r\n|\r|\n", text), start=1)]
    lines = [(number, line) for number, line in lines if line and not line.startswith("#")]
    delimiter = max(",;\t", key=lines[0][1].count) if lines else ","
    if delimiter != "," and not any("." in line for _, line in lines[1:]):
        lines[1:] = [(number, line.replace(",", ".")) for number, line in lines[1:]]
    return [(number, next(csv.reader([line], delimiter=delimiter))) for number, line in lines]


def _units(rows: list[tuple[int, list[str]]], file: str) -> list[tuple[str, str]]:
    """Name and unit of every column."""
    if not rows:
        raise InputRefused.because("has no line of headings", expected=_EXPECTED, file=file)
    number, cells = rows[0]
    found = [_HEADING.fullmatch(cell) for cell in cells]
    units = [(match["name"].lower(), match["unit"].strip()) for match in found if match]
    if sorted(name for name, _ in units) != ["mass", "speed", "time"] or len(units) != len(cells):
        raise InputRefused.because("the headings are not those of catches", expected=_EXPECTED, file=file, line=number)
    return units


def _catch(cells: list[str], units: list[tuple[str, str]], number: int, file: str, faults: list[Fault]) -> Catch | None:
    if len(cells) != len(units):
        what = f"{len(cells)} {'value' if len(cells) == 1 else 'values'} in this line"
        faults.append(Fault(what=what, expected=f"expected {len(units)}", file=file, line=number))
        return None
    values: dict[str, float] = {}
    for cell, (name, unit) in zip(cells, units, strict=True):
        mark = next(m for m in Catch.model_fields[name].metadata if isinstance(m, Quantity))
        try:
            values[name] = mark.checked(f"{cell.strip()} {unit}")
        except PydanticCustomError as error:
            context = error.context or {}
            faults.append(Fault(what=context["what"], expected=context["expected"], file=file, line=number, key=name))
    if len(values) < len(units):
        return None
    return Catch.model_construct(speed=values["speed"], mass=values["mass"], time=values["time"])
