"""The two kernels of the machine-code reader, as they stand or compiled.

Compiling pays for large files only: loading numba and what it compiled costs a second or two, in which Python does
some hundred thousand lines. Without numba everything works, only slower.
"""

from __future__ import annotations

import hashlib
from array import array
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from types import FunctionType
from typing import TYPE_CHECKING, Any, Final, cast

import numpy as np

from evenbead.toolpath import interpreter, words
from evenbead.toolpath.gathering import Gathering

if TYPE_CHECKING:
    from collections.abc import Callable

    from evenbead.toolpath.words import Column

PAYS_FROM: Final = 8_000_000
"""Bytes of a file above which compiled kernels are quicker, loading included."""
PAYS_AT_HAND_FROM: Final = 100_000
"""The same once they are loaded; below it laying out their larger columns takes longer than the work."""

_HELPERS = (*words.HELPERS, *interpreter.HELPERS)


@dataclass(frozen=True, slots=True, kw_only=True)
class Kernels:
    """How to scan and interpret, and which columns suit.

    column:  a column of this kind and size, for what comes by the thousand
    state:   the same for the few numbers that every block touches
    text:    bytes of the file
    rows:    rows gathered before they are put away
    words:   words scanned before they are interpreted
    """

    scan: Callable[..., tuple[int, int]]
    interpret: Callable[..., int]
    column: Callable[[str, int], Column]
    state: Callable[[str, int], Column]
    text: Callable[[bytes], Column]
    rows: int
    words: int


def plain() -> Kernels:
    """The kernels as Python runs them, over bytes, lists and arrays, which it indexes faster than NumPy's."""
    return Kernels(
        scan=words.scan,
        interpret=interpreter.interpret,
        column=lambda kind, size: array(kind, bytes(array(kind).itemsize * size)),
        state=lambda kind, size: [array(kind, [0])[0]] * size,
        text=lambda data: data,
        rows=16_384,
        words=16_384,
    )


@cache
def compiled() -> Kernels | None:
    """The kernels compiled by numba; None where it is not installed or does not work.

    Numba keeps the result beside the package, or in the person's cache folder where that can't be written. Where its
    files can't be written or read at all the kernels are compiled in each run.
    """
    try:
        from numba import njit  # noqa: PLC0415  (a second that small files need not pay)
        from numba.extending import register_jitable  # noqa: PLC0415
    except ImportError:
        return None
    jit: Callable[..., Any] = njit
    for helper in _HELPERS:
        register_jitable(helper)
    for keep in (True, False):
        try:
            kernels = Kernels(
                scan=jit(_named_by_source(words.scan) if keep else words.scan, cache=keep),
                interpret=jit(_named_by_source(interpreter.interpret) if keep else interpreter.interpret, cache=keep),
                column=_numpy_column,
                state=_numpy_column,
                text=lambda data: np.frombuffer(data, np.uint8),
                rows=131_072,
                words=65_536,
            )
            Gathering(kernels, dwell=1.0, chord=1.0, skip=True).read(b"G1\n", 3)
        except Exception:  # noqa: BLE001, S112  (whatever numba meets in its files must not stop the reading)
            continue
        return kernels
    return None


def _numpy_column(kind: str, size: int) -> Column:
    return np.zeros(size, np.dtype(kind))


def _named_by_source(kernel: Callable[..., Any]) -> FunctionType:
    """The kernel under a name that changes with the text of both kernels.

    Numba keeps what it compiled by name and by the date of the one file the function stands in. What the function
    calls in another file, and files that a package manager dates alike, would go unnoticed.
    """
    source = b"".join(Path(str(module.__file__)).read_bytes() for module in (words, interpreter))
    kernel = cast("FunctionType", kernel)
    named = FunctionType(kernel.__code__, kernel.__globals__, kernel.__name__)
    named.__qualname__ = f"{kernel.__qualname__}_{hashlib.sha256(source).hexdigest()[:16]}"
    return named
