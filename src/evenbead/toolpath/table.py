"""The table behind a point list: its header, and its numbers in SI, or every fault with line and column."""

from __future__ import annotations

import difflib
import re
from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

import numpy as np

from evenbead.errors import Fault, InputRefused
from evenbead.quantities import SMALL_LENGTH, SPEED, Kind, UnitFault, parse

if TYPE_CHECKING:
    from collections.abc import Sequence
    from pathlib import Path

    from evenbead.toolpath.model import Bools, Floats, Lines

_COLUMNS: Final[dict[str, Kind | None]] = {
    "x": SMALL_LENGTH,
    "y": SMALL_LENGTH,
    "z": SMALL_LENGTH,
    "speed": SPEED,
    "printing": None,
}
_HEADER: Final = re.compile(r'\s*"?\s*(?P<name>.*?)\s*(?:[\[(]\s*(?P<unit>[^\])]*?)\s*[\])])?\s*"?\s*')
_WORDS: Final = {"yes": "1", "true": "1", "on": "1", "no": "0", "false": "0", "off": "0"}
_WORD: Final = re.compile("|".join(rf"\b{word}\b" for word in _WORDS), re.IGNORECASE)
_EXAMPLE: Final = 'expected a first line such as "x [mm], y [mm], z [mm], speed [mm/s], printing"'
_MANY: Final = 20
"""Faults named; a file with more is wrong in some general way."""
_LONGEST: Final = 10_000
"""Letters in a line; more is no table."""

_USUAL: Final = {"x": "mm", "y": "mm", "z": "mm", "speed": "mm/s"}
"""Common practice, no source: what a list means that gives no units at all. One that gives some must give all."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Table:
    """Columns in SI, as far as the list has them, and the line of each row."""

    source: str
    columns: dict[str, Floats]
    line: Lines
    notes: tuple[str, ...]

    def speed(self) -> Floats:
        """Speed at which each point is reached; NaN where not given. [m/s]"""
        return self.columns.get("speed", np.full(len(self.line), np.nan))

    def prints(self) -> Bools | None:
        """Whether the bead is on on the way to each point; None if the list doesn't say."""
        found = self.columns.get("printing")
        return None if found is None else found > 0


def read_table(path: Path) -> Table:
    """The table in a file.

    Raises
    ------
    InputRefused
        With every fault found, up to a number at which the cause is a general one.
    """
    header, rows = _lines(path)
    _require_short(header, rows, source=str(path))
    return _read(header, rows, source=str(path))


@dataclass(frozen=True, slots=True, kw_only=True)
class _Header:
    """The first line that says something."""

    line: int
    text: str

    @property
    def separator(self) -> str:
        return next((mark for mark in "\t;" if mark in self.text), ",")

    @property
    def has_units(self) -> bool:
        return any(mark in self.text for mark in "[(")


@dataclass(frozen=True, slots=True, kw_only=True)
class _Rows:
    """The lines below the header that say something, and their numbers in the file."""

    text: list[str]
    line: Lines


@dataclass(frozen=True, slots=True, kw_only=True)
class _Column:
    """Where a quantity stands in each row, and how it is turned to SI."""

    name: str
    place: int
    factor: float
    title: str


def _lines(path: Path) -> tuple[_Header, _Rows]:
    """The header and the rows of a text file, without comments and empty lines."""
    text = _text(path).replace("\r\n", "\n").replace("\r", "\n")
    lines = text.split("\n")
    if "#" in text:
        lines = [line.partition("#")[0] for line in lines]
    full = np.flatnonzero(np.fromiter(map(bool, map(str.strip, lines)), bool, len(lines)))
    if full.size == 0:
        raise InputRefused.because("the file is empty", expected=_EXAMPLE, file=str(path))
    header = _Header(line=int(full[0]) + 1, text=lines[full[0]])
    first = int(full[0]) + 1
    below = lines[first:] if full.size == len(lines) - full[0] else [lines[i] for i in full[1:]]
    return header, _Rows(text=below, line=(full[1:] + 1).astype(np.int32))


def _text(path: Path) -> str:
    try:
        content = path.read_bytes()
    except FileNotFoundError as missing:
        raise InputRefused.because(
            "there is no such file", expected="expected a point list", file=str(path)
        ) from missing
    except OSError as refused:
        what = refused.strerror or "the file can't be read"
        raise InputRefused.because(what, expected="expected a point list", file=str(path)) from refused
    if b"\0" in content[:4096]:
        raise InputRefused.because("this is no text", expected="expected a point list in UTF-8", file=str(path))
    try:
        return content.decode("utf-8-sig")
    except UnicodeDecodeError as fault:
        line = content.count(b"\n", 0, fault.start) + 1
        raise InputRefused.because(
            "a letter is not written in UTF-8", expected="save the list again as UTF-8", file=str(path), line=line
        ) from fault


def _require_short(header: _Header, rows: _Rows, *, source: str) -> None:
    """Refuse a line that no table has, before it is taken apart."""
    lengths = np.fromiter(map(len, (header.text, *rows.text)), np.int64, 1 + len(rows.text))
    longest = int(np.argmax(lengths))
    if lengths[longest] > _LONGEST:
        line = int(rows.line[longest - 1]) if longest else header.line
        what = f"the line is {lengths[longest]} letters long"
        raise InputRefused.because(what, expected="expected a point list", file=source, line=line)


def _read(header: _Header, rows: _Rows, *, source: str) -> Table:
    columns, notes = _columns(header, source=source)
    if len(rows.text) < 2:
        what = "the list has one point" if rows.text else "the list has no points"
        raise InputRefused.because(what, expected="expected at least two", file=source, line=header.line)
    text = rows.text
    if header.separator != "," and any("," in row for row in text):
        text = [row.replace(",", ".") for row in text]
    if any(column.name == "printing" for column in columns):
        text = [_WORD.sub(lambda word: _WORDS[word[0].lower()], row) for row in text] if _has_words(text) else text
    values = _values(text, columns, separator=header.separator)
    if values is None or _doubtful(values, columns):
        values = _values_with_care(_Rows(text=text, line=rows.line), columns, separator=header.separator, source=source)
    inside = {column.name: values[:, i] * column.factor for i, column in enumerate(columns)}
    return Table(source=source, columns=inside, line=rows.line, notes=notes)


def _columns(header: _Header, *, source: str) -> tuple[list[_Column], tuple[str, ...]]:
    """The columns that are used, in the order in which they stand; or every fault of the header."""
    columns: list[_Column] = []
    faults: list[Fault] = []
    unused = []

    def fault(what: str, expected: str, key: str = "") -> None:
        faults.append(Fault(what=what, expected=expected, file=source, line=header.line, key=key))

    for place, cell in enumerate(header.text.split(header.separator)):
        match = _HEADER.fullmatch(cell)
        name, unit = (match["name"].casefold(), match["unit"]) if match else ("", None)
        title = cell.strip().strip('"')[:40]
        if name not in _COLUMNS:
            near = difflib.get_close_matches(name, _COLUMNS, n=1, cutoff=0.7)
            if near and len(name) > 1:
                fault(f'there is no column "{name}"', f'did you mean "{near[0]}"?', title)
            elif name:
                unused.append(title)
        elif any(column.name == name for column in columns):
            fault(f'"{name}" stands in two columns', "expected one", title)
        else:
            try:
                factor = _factor(name, unit, header)
                columns.append(_Column(name=name, place=place, factor=factor, title=title))
            except UnitFault as refused:
                fault(refused.what, refused.expected, title)
    have = {column.name for column in columns} | {fault.key.partition("[")[0].strip().casefold() for fault in faults}
    if missing := [name for name in ("x", "y") if name not in have]:
        fault(f"no column {' and no column '.join(missing)}", _EXAMPLE)
    if faults:
        raise InputRefused(faults)
    taken = () if header.has_units else ("the header gives no units: lengths are taken as mm, speeds as mm/s",)
    return columns, (*(f'column "{title}" is not used' for title in unused), *taken)


def _factor(name: str, unit: str | None, header: _Header) -> float:
    """SI per unit of a column."""
    kind = _COLUMNS[name]
    if kind is None:
        if unit:
            raise UnitFault(f'"{name}" has the unit "{unit}"', "expected none: 1 for printing, 0 for not")
        return 1.0
    unit = unit or (None if header.has_units else _USUAL[name])
    if not unit:
        raise UnitFault(f'"{name}" has no unit', f'expected it in brackets, such as "{name} [{kind.metric}]"')
    return parse(f"1 {unit}", kind)


def _has_words(rows: Sequence[str]) -> bool:
    return any(_WORD.search(row) for row in rows)


def _values(rows: Sequence[str], columns: Sequence[_Column], *, separator: str) -> Floats | None:
    """The numbers of all rows at once; None if a row is not made of numbers."""
    places = [column.place for column in columns]
    try:
        return np.loadtxt(rows, delimiter=separator, usecols=places, ndmin=2, comments=None)
    except (ValueError, IndexError):
        return None


def _doubtful(values: Floats, columns: Sequence[_Column]) -> bool:
    """Whether some number needs to be looked at more closely."""
    if not np.isfinite(values).all():
        return True
    for i, column in enumerate(columns):
        if column.name == "speed" and not (values[:, i] > 0).all():
            return True
        if column.name == "printing" and not ((values[:, i] == 0) | (values[:, i] == 1)).all():
            return True
    return False


def _values_with_care(rows: _Rows, columns: Sequence[_Column], *, separator: str, source: str) -> Floats:
    """The numbers row by row, with empty speeds as NaN; or every fault with its line and column."""
    values = np.empty((len(rows.text), len(columns)))
    faults: list[Fault] = []
    for i, row in enumerate(rows.text):
        cells = row.split(separator)
        for j, column in enumerate(columns):
            cell = cells[column.place].strip().strip('"') if column.place < len(cells) else None
            number, expected = _number(cell, column)
            if expected:
                what = "the row ends before this column" if cell is None else f"{_short(cell)} can't stand here"
                line = int(rows.line[i])
                faults.append(Fault(what=what, expected=expected, file=source, line=line, key=column.title))
            values[i, j] = number
        if len(faults) >= _MANY:
            break
    if faults:
        raise InputRefused(faults)
    return values


def _number(cell: str | None, column: _Column) -> tuple[float, str]:
    """The number in a cell, or what was expected there."""
    if column.name == "speed" and cell == "":
        return np.nan, ""
    try:
        number = float(cell) if cell is not None and "_" not in cell else np.nan
    except ValueError:
        number = np.nan
    if column.name == "printing":
        return number, "" if number in (0.0, 1.0) else "expected 1 (printing) or 0 (not)"
    if column.name == "speed":
        return number, "" if 0 < number < np.inf else "expected a speed above zero"
    return number, "" if np.isfinite(number) else "expected a number"


def _short(text: str) -> str:
    return f'"{text}"' if len(text) <= 40 else f'"{text[:37]}..."'
