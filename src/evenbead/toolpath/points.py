"""Point lists: a table of places in the order reached, with a header that names columns and units.

    x [mm]; y [mm]; z [mm]; speed [mm/s]; printing
    0;      0;      15;     120;          0
    1000;   0;      15;     120;          1

A row says how its point is *reached*: at this speed, with the bead on (1) or off (0) on the way to it. Columns may
stand in any order and be separated by commas, semicolons or tabs; a decimal comma is understood where the comma
does not separate. Empty lines and what follows a `#` are passed over.

A list without any unit is taken in millimetres, and says so; one that gives some units must give all.
"""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Final

import numpy as np

from evenbead.errors import InputRefused
from evenbead.toolpath.model import Program
from evenbead.toolpath.outline import Outline, repeated
from evenbead.toolpath.table import read_table

if TYPE_CHECKING:
    from evenbead.toolpath.model import Floats
    from evenbead.toolpath.table import Table

_WIDEST: Final = 10_000.0  # [m]
_FLAT: Final = 1e-5  # [m]


def read_points(path: Path | str, *, layers: int | None, layer_height: float | None) -> Program:
    """A point list as a program.

    Parameters
    ----------
    path : path
        Table in UTF-8 text.
    layers : int or None
        How often a flat outline is laid; None for a list that has heights of its own.
    layer_height : float or None
        By how much each layer is raised, if `layers` is given. [m]

    Returns
    -------
    program : Program
        `flag` is the printing column, or None where there is none and every way is laid.

    Raises
    ------
    InputRefused
        With every fault found, each with its line and column.
    """
    source = str(path)
    table = read_table(Path(path))
    _require_extent(table.columns, source=source)
    if layers is None and "z" not in table.columns:
        expected = "expected a column z, or drawing.layers in the job"
        raise InputRefused.because("the list has no heights", expected=expected, file=source)
    program = _program(table) if layers is None else _in_layers(table, layers=layers, layer_height=layer_height)
    if not program.length.sum() > 0:
        raise InputRefused.because("all points lie on one place", expected="expected a path with a length", file=source)
    return program


def _require_extent(names: dict[str, Floats], *, source: str) -> None:
    for name in ("x", "y", "z"):
        if name in names and (across := float(np.ptp(names[name]))) > _WIDEST:
            raise InputRefused.because(
                f"the path is {across / 1000:.4g} km across",
                expected="check the unit in the header",
                file=source,
                key=name,
            )


def _program(table: Table) -> Program:
    """The list as it stands, point after point."""
    x, y, z = (table.columns[name] for name in "xyz")
    n = len(x) - 1
    prints = table.prints()
    return Program(
        source=table.source,
        x=x,
        y=y,
        z=z,
        length=np.sqrt(np.diff(x) ** 2 + np.diff(y) ** 2 + np.diff(z) ** 2),
        speed=table.speed()[1:],
        rapid=np.zeros(n, bool),
        dwell=np.zeros(n),
        advance=np.zeros(n),
        line=table.line[1:],
        flag=None if prints is None else prints[1:],
        notes=table.notes,
    )


def _in_layers(table: Table, *, layers: int, layer_height: float | None) -> Program:
    """The list as one layer, laid again and again."""
    if layer_height is None:
        raise InputRefused.because(
            "no layer height", expected='expected a length such as "15 mm"', key="bead.layer_height"
        )
    if "z" in table.columns and np.ptp(table.columns["z"]) > _FLAT:
        raise InputRefused.because(
            "the list has heights of its own and is to be repeated in layers",
            expected="take drawing.layers out of the job, or the column z out of the list",
            file=table.source,
            key="z",
        )
    x, y = table.columns["x"], table.columns["y"]
    prints = table.prints()
    outline = Outline(
        x=x,
        y=y,
        length=np.concatenate(([0.0], np.hypot(np.diff(x), np.diff(y)))),
        speed=table.speed(),
        prints=np.ones(len(x), bool) if prints is None else prints,
        line=table.line,
    )
    return repeated(outline, layers=layers, layer_height=layer_height, source=table.source, notes=table.notes)
