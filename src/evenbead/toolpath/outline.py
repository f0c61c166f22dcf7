"""An outline repeated in layers: what a drawing or a flat point list becomes.

Layer k is laid with the nozzle at (k + 1) layer heights above the base: the nozzle height is the top of the bead it
lays, here as in a machine-code file. Every layer is laid in the same order and direction, so that each place
waits equally long for its next bead. Between layers the nozzle rises first and then goes to the start.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from evenbead.errors import InputRefused
from evenbead.toolpath.model import Program

if TYPE_CHECKING:
    from evenbead.toolpath.model import Bools, Floats, Lines


@dataclass(frozen=True, slots=True, kw_only=True)
class Outline:
    """One layer seen from above, by its corners and the way each was reached. The way to the first has no use.

    x, y:    (c,) m
    length:  (c,) m        true length of the move to the corner
    speed:   (c,) m/s      of it; NaN where not given
    prints:  (c,) bool     whether it is laid
    line:    (c,) int32    of the file; 0 where it has none
    """

    x: Floats
    y: Floats
    length: Floats
    speed: Floats
    prints: Bools
    line: Lines


def repeated(
    outline: Outline, *, layers: int, layer_height: float, source: str, notes: tuple[str, ...] = ()
) -> Program:
    """The outline laid this many times, each a layer height above the last.

    Raises
    ------
    InputRefused
        There is no layer to lay, or no height to raise it by.
    """
    if layers < 1:
        raise InputRefused.because(f"{layers} layers", expected="expected at least one", key="drawing.layers")
    if not layer_height > 0:
        raise InputRefused.because(
            "the layer height is not above zero", expected='expected a length such as "15 mm"', key="bead.layer_height"
        )
    away = np.hypot(outline.x[0] - outline.x[-1], outline.y[0] - outline.y[-1])
    above = _from_the_end(outline, float(away)) if away > 0 else outline
    corners = len(above.x)
    first = corners - len(outline.x)  # the first layer needs no way from a layer below
    z = np.repeat(layer_height * np.arange(1, layers + 1), corners)[first:]

    def over_layers(once: Floats) -> Floats:
        return np.tile(once, layers)[first:]

    length = over_layers(above.length)
    length[corners - first :: corners] = layer_height  # the rise
    prints = np.tile(above.prints, layers)[first:]
    prints[corners - first :: corners] = False
    return Program(
        source=source,
        x=over_layers(above.x),
        y=over_layers(above.y),
        z=z,
        length=length[1:],
        speed=over_layers(above.speed)[1:],
        rapid=~prints[1:],
        dwell=np.zeros(len(z) - 1),
        advance=np.zeros(len(z) - 1),
        line=np.tile(above.line, layers)[first + 1 :],
        flag=prints[1:],
        notes=notes,
    )


def _from_the_end(outline: Outline, away: float) -> Outline:
    """The outline begun where its last repeat ended: up there, then back to the start, without bead."""
    return Outline(
        x=np.concatenate((outline.x[-1:], outline.x)),
        y=np.concatenate((outline.y[-1:], outline.y)),
        length=np.concatenate(([0.0, away], outline.length[1:])),
        speed=np.concatenate(([np.nan, np.nan], outline.speed[1:])),
        prints=np.concatenate(([False, False], outline.prints[1:])),
        line=np.concatenate((outline.line[:1], outline.line)),
    )
