"""The two kernels of the machine-code reader, as they stand or compiled.

Compiling pays for large files only: loading numba costs about a second, in which Python does some hundred thousand
lines. Without numba everything works, only slower.
"""

from __future__ import annotations

from array import array
from dataclasses import dataclass
from functools import cache
from typing import TYPE_CHECKING, Any, Final

import numpy as np

from evenbead.toolpath import interpreter, words

if TYPE_CHECKING:
    from collections.abc import Callable

    from evenbead.toolpath.words import Column

PAYS_FROM: Final = 6_000_000
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
    """The kernels compiled by numba; None where it is not installed.

    Numba keeps the result beside the package, or in the person's cache folder where that can't be written. Where
    neither can, the kernels are compiled in each run.
    """
    try:
        from numba import njit  # noqa: PLC0415  (a second that small files need not pay)
        from numba.extending import register_jitable  # noqa: PLC0415
    except ImportError:
        return None
    for helper in _HELPERS:
        register_jitable(helper)

    def jit(kernel: Callable[..., Any]) -> Callable[..., Any]:
        try:
            quick: Callable[..., Any] = njit(kernel, cache=True)
        except RuntimeError:  # numba found no folder that it may write to
            quick = njit(kernel)
        return quick

    def column(kind: str, size: int) -> Column:
        return np.zeros(size, np.dtype(kind))

    return Kernels(
        scan=jit(words.scan),
        interpret=jit(interpreter.interpret),
        column=column,
        state=column,
        text=lambda data: np.frombuffer(data, np.uint8),
        rows=131_072,
        words=65_536,
    )
