"""Where a key stands in a TOML text, so that a fault can name its line.

The text has already been read by the standard library's TOML reader, so it is known to be well formed; this
only walks its marks again and notes where each table, array entry and key begins. A line ends at a line feed and
nowhere else, as in TOML: a comment may hold characters that other programs take for the end of a line.
"""

from __future__ import annotations

import re
import tomllib
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping

Path = tuple[str | int, ...]

# A multi-line string may end in up to two quotes of its own, right before the three that close it.
_MARKS = re.compile(
    r"""(?P<skip>[ \t\r]+|\#[^\n]*)
      | (?P<text>\"\"\"(?:\\.|[^\\])*?\"{3,5} | '''.*?'{3,5} | "(?:\\.|[^"\\])*" | '[^']*')
      | (?P<sign>[\[\]{}=,.\n])
      | (?P<bare>[^\s\[\]{}=,.\#"']+)""",
    re.DOTALL | re.VERBOSE,
)


def key_lines(text: str) -> dict[Path, int]:
    r"""Line, from 1, on which each key path of a TOML text begins; entries of an array are counted from 0.

    Examples
    --------
    >>> key_lines("a = 1\n[[b]]\nc = 2\n[[b]]\nc = 3\n")[("b", 1, "c")]
    5
    """
    walk = _Walk(marks=list(_marks(text)))
    walk.whole()
    return walk.lines


def nearest_line(lines: Mapping[Path, int], path: Path) -> int:
    """Line of a key path or, where the text has no such key, of the closest table around it.

    The table around everything begins on the first line.
    """
    return next((lines[path[:depth]] for depth in range(len(path), 0, -1) if path[:depth] in lines), 1)


@dataclass(frozen=True, slots=True)
class _Mark:
    """A text, a sign or a bare word, and the line it begins on."""

    kind: str
    what: str
    line: int


def _marks(text: str) -> Iterator[_Mark]:
    line = 1
    for match in _MARKS.finditer(text):
        kind = match.lastgroup
        if kind != "skip":
            yield _Mark(kind or "", match[0], line)
        line += match[0].count("\n")


@dataclass(slots=True)
class _Walk:
    """A walk over the marks of a well-formed text, which writes down where things begin."""

    marks: list[_Mark]
    at: int = 0
    lines: dict[Path, int] = field(default_factory=dict)
    _entries: dict[Path, int] = field(default_factory=dict)
    """Index of the last entry of each array of tables."""

    def whole(self) -> None:
        table: Path = ()
        while self._skip_line_ends():
            if self._sees("["):
                table = self._header()
            else:
                self._pair(table)

    def _header(self) -> Path:
        line = self.marks[self.at].line
        opened = 0
        while self._sees("["):
            self.at, opened = self.at + 1, opened + 1
        path = self._inside_entries(self._key(), line)
        self.at += opened
        if opened == 2:
            self.lines.setdefault(path, line)
            self._entries[path] = self._entries.get(path, -1) + 1
            path = (*path, self._entries[path])
        self.lines.setdefault(path, line)
        return path

    def _inside_entries(self, key: Path, line: int) -> Path:
        """A header's path, with the index of each array entry it lies in."""
        path: Path = ()
        for part in key[:-1]:
            path = (*path, part)
            self.lines.setdefault(path, line)
            if path in self._entries:
                path = (*path, self._entries[path])
        return (*path, key[-1])

    def _pair(self, table: Path) -> None:
        line = self.marks[self.at].line
        key = self._key()
        for depth in range(1, len(key) + 1):
            self.lines.setdefault((*table, *key[:depth]), line)
        self.at += 1  # the equals sign
        self._value((*table, *key))

    def _key(self) -> Path:
        parts = [self._key_part()]
        while self._sees("."):
            self.at += 1
            parts.append(self._key_part())
        return tuple(parts)

    def _key_part(self) -> str:
        mark = self.marks[self.at]
        self.at += 1
        return next(iter(tomllib.loads(f"{mark.what} = 0"))) if mark.kind == "text" else mark.what

    def _value(self, path: Path) -> None:
        if self._sees("["):
            self._array(path)
        elif self._sees("{"):
            self._inline_table(path)
        else:
            while self.at < len(self.marks) and not self._sees("\n", ",", "]", "}"):
                self.at += 1

    def _array(self, path: Path) -> None:
        self.at += 1
        index = 0
        while self._skip_line_ends(",") and not self._sees("]"):
            self.lines[*path, index] = self.marks[self.at].line
            self._value((*path, index))
            index += 1
        self.at += 1

    def _inline_table(self, path: Path) -> None:
        self.at += 1
        while self._skip_line_ends(",") and not self._sees("}"):
            self._pair(path)
        self.at += 1

    def _skip_line_ends(self, *also: str) -> bool:
        """Go on to the next mark that is no end of a line; false where there is none."""
        while self._sees("\n", *also):
            self.at += 1
        return self.at < len(self.marks)

    def _sees(self, *signs: str) -> bool:
        return self.at < len(self.marks) and self.marks[self.at].kind == "sign" and self.marks[self.at].what in signs
