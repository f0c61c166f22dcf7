"""Drawing in SVG: a sheet with axes, lines, marks and words, shared by every picture we make.

Pictures are plain: paper-white ground, ink lines, one blue, and a second and third colour that colour-blind
people tell apart (Okabe and Ito's set). Colour only repeats what a word or a shape already says.
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Literal
from xml.sax import saxutils

import numpy as np

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import ArrayLike, NDArray

INK = "#1d2329"
SOFT = "#5b6670"
RULE = "#d5dadf"
SHADE = "#eef1f4"
BLUE = "#0b5cad"
ORANGE = "#b85c00"
GREEN = "#00735a"
FONT = "Atkinson Hyperlegible Next, Atkinson Hyperlegible, Verdana, sans-serif"

Anchor = Literal["start", "middle", "end"]


@dataclass(slots=True)
class Sheet:
    """A sheet of paper to draw on; coordinates are points from its upper left corner."""

    width: float
    height: float
    title: str
    description: str
    _parts: list[str] = field(default_factory=list)

    def line(
        self, x1: float, y1: float, x2: float, y2: float, *, colour: str = INK, width: float = 1, dash: str = ""
    ) -> None:
        self._stroke(f"M{_n(x1)} {_n(y1)}L{_n(x2)} {_n(y2)}", colour, width, dash)

    def polyline(self, x: ArrayLike, y: ArrayLike, *, colour: str = INK, width: float = 1.5, dash: str = "") -> None:
        """A line through many points, thinned to what the eye can see on the sheet."""
        xs, ys = thinned(np.asarray(x, float), np.asarray(y, float), columns=int(2 * self.width))
        if len(xs) == 0:
            return
        points = "L".join(f"{_n(a)} {_n(b)}" for a, b in zip(xs, ys, strict=True))
        self._stroke(f"M{points}", colour, width, dash)

    def area(self, x: Sequence[float], y: Sequence[float], *, colour: str = SHADE) -> None:
        points = "L".join(f"{_n(a)} {_n(b)}" for a, b in zip(x, y, strict=True))
        self._parts.append(f'<path d="M{points}Z" fill="{colour}" stroke="none"/>')

    def box(self, x: float, y: float, width: float, height: float, *, colour: str = SHADE, edge: str = "none") -> None:
        self._parts.append(
            f'<rect x="{_n(x)}" y="{_n(y)}" width="{_n(width)}" height="{_n(height)}" fill="{colour}" stroke="{edge}"/>'
        )

    def mark(
        self, x: float, y: float, shape: Literal["dot", "cross", "up", "ring"], *, colour: str = INK, size: float = 4
    ) -> None:
        """A small mark; shapes differ so that colour is never needed to tell them apart."""
        s = size
        match shape:
            case "dot":
                self._parts.append(f'<circle cx="{_n(x)}" cy="{_n(y)}" r="{_n(s)}" fill="{colour}"/>')
            case "ring":
                self._parts.append(
                    f'<circle cx="{_n(x)}" cy="{_n(y)}" r="{_n(s)}" fill="white" stroke="{colour}" stroke-width="1.6"/>'
                )
            case "cross":
                down = f"M{_n(x - s)} {_n(y - s)}L{_n(x + s)} {_n(y + s)}"
                self._stroke(f"{down}M{_n(x - s)} {_n(y + s)}L{_n(x + s)} {_n(y - s)}", colour, 1.8)
            case "up":
                corners = f"M{_n(x)} {_n(y - s)}L{_n(x + s)} {_n(y + s)}L{_n(x - s)} {_n(y + s)}Z"
                self._parts.append(f'<path d="{corners}" fill="{colour}"/>')

    def text(
        self,
        x: float,
        y: float,
        words: str,
        *,
        size: float = 11,
        colour: str = INK,
        anchor: Anchor = "start",
        bold: bool = False,
    ) -> None:
        weight = ' font-weight="700"' if bold else ""
        self._parts.append(
            f'<text x="{_n(x)}" y="{_n(y)}" font-size="{_n(size)}" fill="{colour}" text-anchor="{anchor}"{weight}>'
            f"{_escaped(words)}</text>"
        )

    def _stroke(self, path: str, colour: str, width: float, dash: str = "") -> None:
        dashes = f' stroke-dasharray="{dash}"' if dash else ""
        self._parts.append(
            f'<path d="{path}" fill="none" stroke="{colour}" stroke-width="{_n(width)}"'
            f' stroke-linejoin="round"{dashes}/>'
        )

    def svg(self) -> str:
        """The finished picture, with a title and a description for those who hear it instead of seeing it."""
        return (
            f'<svg xmlns="http://www.w3.org/2000/svg" role="img" width="{_n(self.width)}" height="{_n(self.height)}" '
            f'viewBox="0 0 {_n(self.width)} {_n(self.height)}" font-family="{FONT}">\n'
            f"<title>{_escaped(self.title)}</title>\n<desc>{_escaped(self.description)}</desc>\n"
            f'<rect width="100%" height="100%" fill="white"/>\n' + "\n".join(self._parts) + "\n</svg>\n"
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class Scale:
    """A straight map from values to points on the sheet."""

    low: float
    high: float
    start: float
    end: float

    def __call__(self, value: float) -> float:
        return self.start + (value - self.low) / (self.high - self.low) * (self.end - self.start)

    def all(self, values: ArrayLike) -> NDArray[np.float64]:
        """The same for a column of values."""
        return self.start + (np.asarray(values, float) - self.low) / (self.high - self.low) * (self.end - self.start)


def ticks(low: float, high: float, *, about: int = 6, steps: Sequence[float] = (1, 2, 2.5, 5, 10)) -> list[float]:
    """Round values between two limits, about so many.

    Examples
    --------
    >>> ticks(0, 47, about=5)
    [0.0, 10.0, 20.0, 30.0, 40.0]
    """
    if not high > low:
        return [low]
    rough = (high - low) / about
    power = 10.0 ** math.floor(math.log10(rough))
    step = next(factor * power for factor in steps if factor * power >= rough * 0.999)
    first = math.ceil(low / step - 1e-9)
    return [step * k for k in range(first, math.floor(high / step + 1e-9) + 1)]


def clock_ticks(low: float, high: float, *, about: int = 8) -> list[float]:
    """Round clock times between two moments given in seconds, about so many."""
    spans = (10, 30, 60, 120, 300, 600, 900, 1800, 3600, 7200, 14400, 21600, 43200, 86400)
    step = next(
        (span for span in spans if (high - low) / span <= about), 86400 * math.ceil((high - low) / 86400 / about)
    )
    return [float(t) for t in range(math.ceil(low / step) * step, math.floor(high) + 1, step)]


def thinned(
    x: NDArray[np.float64], y: NDArray[np.float64], *, columns: int
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """A curve with rising x, reduced to first, lowest, highest and last point of each of so many columns."""
    if len(x) <= 4 * columns or x[-1] <= x[0] or np.any(np.diff(x) < 0):
        return x, y
    column = np.minimum(((x - x[0]) / (x[-1] - x[0]) * columns).astype(int), columns - 1)
    begins = np.flatnonzero(np.diff(column, prepend=-1))
    ends = np.append(begins[1:], len(x)) - 1
    by_height = np.lexsort((y, column))
    keep = np.unique(np.concatenate([begins, ends, by_height[begins], by_height[ends]]))
    return x[keep], y[keep]


_NOT_IN_XML = re.compile("[^\t\n\r\x20-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")


def _escaped(words: str) -> str:
    """Words as XML holds them; a file's name may have bytes in it that are no characters."""
    return saxutils.escape(_NOT_IN_XML.sub("\ufffd", words))


def _n(number: float) -> str:
    return f"{number:.2f}".rstrip("0").rstrip(".")
