"""Where a key stands in a TOML text, so that a fault can name its line.

The text has already been read by the standard library's TOML reader, so it is known to be well formed; this
only walks its lines again and notes where each table, array entry and key begins. Keys inside an inline table
or array get the line on which the outermost value begins.
"""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterator

Path = tuple[str | int, ...]

_KEY = r"""(?:[A-Za-z0-9_-]+|"(?:[^"\\]|\\.)*"|'[^']*')"""
_DOTTED = rf"{_KEY}(?:\s*\.\s*{_KEY})*"
_HEADER = re.compile(rf"\s*(\[\[?)\s*({_DOTTED})\s*\]\]?")
_ASSIGNMENT = re.compile(rf"\s*({_DOTTED})\s*=(.*)", re.DOTALL)
_TOKENS = re.compile(r'"""|\'\'\'|"(?:[^"\\]|\\.)*"|\'[^\']*\'|[\[\]{}#]')


def key_lines(text: str) -> dict[Path, int]:
    r"""Line, from 1, on which each key path of a TOML text begins.

    Examples
    --------
    >>> key_lines("a = 1\n[[b]]\nc = 2\n[[b]]\nc = 3\n")[("b", 1, "c")]
    5
    """
    lines: dict[Path, int] = {}
    counts: dict[Path, int] = {}
    table: Path = ()
    for number, statement in _statements(text):
        if header := _HEADER.match(statement):
            table = _resolved(_split(header[2]), counts)
            if header[1] == "[[":
                counts[table] = counts.get(table, -1) + 1
                lines.setdefault(table, number)
                table = (*table, counts[table])
            lines.setdefault(table, number)
        elif assignment := _ASSIGNMENT.match(statement):
            path = (*table, *_split(assignment[1]))
            for depth in range(len(table) + 1, len(path) + 1):
                lines.setdefault(path[:depth], number)
    return lines


def nearest_line(lines: dict[Path, int], path: Path) -> int | None:
    """Line of a key path or, where the text has no such key, of the closest table around it."""
    for depth in range(len(path), 0, -1):
        if path[:depth] in lines:
            return lines[path[:depth]]
    return None


def _statements(text: str) -> Iterator[tuple[int, str]]:
    """Statements with the line each begins on; a value over several lines is one statement."""
    pending: list[str] = []
    begin, depth, fence = 1, 0, ""
    for number, line in enumerate(text.splitlines(), start=1):
        if not pending:
            begin = number
        pending.append(line)
        depth, fence = _open_brackets(line, depth, fence, is_header=len(pending) == 1 and bool(_HEADER.match(line)))
        if depth == 0 and not fence:
            yield begin, "\n".join(pending)
            pending = []


def _open_brackets(line: str, depth: int, fence: str, *, is_header: bool) -> tuple[int, str]:
    if is_header:
        return 0, ""
    for mark in _TOKENS.findall(line):
        if fence:
            fence = "" if mark == fence else fence
        elif mark in ('"""', "'''"):
            fence = mark
        elif mark == "#":
            break
        elif mark in "[{":
            depth += 1
        elif mark in "]}":
            depth -= 1
    return depth, fence


def _split(dotted: str) -> Path:
    return tuple(part.strip("\"'") for part in re.findall(_KEY, dotted))


def _resolved(path: Path, counts: dict[Path, int]) -> Path:
    """A header's path with the index of each array entry it lies in."""
    resolved: Path = ()
    for position, part in enumerate(path):
        resolved = (*resolved, part)
        if position < len(path) - 1 and resolved in counts:
            resolved = (*resolved, counts[resolved])
    return resolved
