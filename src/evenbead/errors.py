"""Errors for people: what is wrong, where, what was expected, what to do.

    EvenbeadError
    ├── InputRefused      files or values a person gave us; carries every fault found, in order
    └── NotPossible       the input is sound, but what was asked of it has no answer

A caller handles the two differently: refused input exits with status 2 and nothing written;
an impossible question can become an *unknown* in a plan.
"""

from __future__ import annotations

import unicodedata
from dataclasses import dataclass
from typing import TYPE_CHECKING, Self

if TYPE_CHECKING:
    from collections.abc import Iterable


class EvenbeadError(Exception):
    """The root of every error that Evenbead raises on purpose."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Fault:
    """One thing that is wrong with something a person gave us.

    `str()` is the line printed on standard error: ``file:line: key: what is wrong; what was expected``.
    """

    what: str
    expected: str = ""
    file: str = ""
    line: int | None = None
    key: str = ""

    def __str__(self) -> str:
        where = self.file if self.line is None else f"{self.file}:{self.line}"
        parts = [part for part in (where, self.key, self.what) if part]
        message = ": ".join(parts)
        return _on_one_line(f"{message}; {self.expected}" if self.expected else message)


def _on_one_line(text: str) -> str:
    """A text from a file may hold anything: what would break the line or steer a terminal is shown as an escape."""
    return "".join(c if unicodedata.category(c) not in ("Cc", "Zl", "Zp") else ascii(c)[1:-1] for c in text)


class InputRefused(EvenbeadError):  # noqa: N818  (reads as a sentence where it is caught)
    """Files or values that can't be used, with all their faults at once."""

    def __init__(self, faults: Iterable[Fault]) -> None:
        self.faults = tuple(faults)
        super().__init__("\n".join(str(fault) for fault in self.faults))

    @classmethod
    def because(cls, what: str, *, expected: str = "", file: str = "", line: int | None = None, key: str = "") -> Self:
        """The refusal for a single fault."""
        return cls([Fault(what=what, expected=expected, file=file, line=line, key=key)])


class NotPossible(EvenbeadError):  # noqa: N818
    """A sound question without an answer: the message says why, in the words a plan can show."""
