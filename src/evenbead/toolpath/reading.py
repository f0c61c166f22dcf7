"""One door for every kind of toolpath file: which reader takes it is told by the ending of its name."""

from __future__ import annotations

from typing import TYPE_CHECKING, Literal

from evenbead.errors import InputRefused
from evenbead.toolpath.bead import printed

if TYPE_CHECKING:
    from collections.abc import Callable
    from pathlib import Path

    from evenbead.documents import Job
    from evenbead.toolpath.model import Program, Toolpath

    Progress = Callable[[int, int], None]

DRAWINGS = (".dxf",)
POINT_LISTS = (".csv", ".tsv")
"""Every other ending is taken for machine code, whose files go by many names; but for these."""
_NO_PATHS = (".toml", ".json", ".pdf", ".svg", ".png", ".jpg", ".zip", ".stl", ".obj", ".step", ".stp", ".3mf")


def toolpath_for(path: Path, job: Job, *, progress: Progress | None = None) -> Toolpath:
    """The toolpath of a job, with the bead switched as the job says.

    Raises
    ------
    InputRefused
        The file can't be read, or nothing in it prints.
    """
    program = read_program(
        path,
        layers=job.drawing.layers if job.drawing else None,
        unit=job.drawing.unit if job.drawing else None,
        layer_height=job.bead.layer_height,
        bead_width=job.bead.width,
        dwell_unit=job.printing.dwell_unit,
        progress=progress,
    )
    when = job.printing.when
    if when is None or isinstance(when, str):
        return printed(program, when)
    return printed(program, (when.on, when.off))


def read_program(
    path: Path,
    *,
    layers: int | None = None,
    layer_height: float | None = None,
    bead_width: float | None = None,
    unit: str | None = None,
    dwell_unit: Literal["s", "ms"] = "s",
    progress: Progress | None = None,
) -> Program:
    """What a file commands.

    Parameters
    ----------
    path : Path
        Machine code, a drawing of centre lines (.dxf) or a list of points (.csv, .tsv). [-]
    layers : int, optional
        How often a drawing, or a list without heights, is repeated. [1]
    layer_height : float, optional
        By how much it rises each time. [m]
    bead_width : float, optional
        Width of the bead, where a drawing's lines are joined. [m]
    unit : str, optional
        Unit of a drawing that states none. [-]
    dwell_unit : "s" or "ms"
        Unit of P in a dwell of machine code. [-]
    progress : callable, optional
        Told bytes done and bytes in all, for long files. [-]

    Raises
    ------
    InputRefused
        The file can't be read.
    """
    ending = path.suffix.lower()
    if ending in _NO_PATHS:
        raise InputRefused.because(
            f"a file ending in {ending} holds no toolpath",
            expected="expected machine code, a drawing of centre lines (.dxf) or a list of points (.csv)",
            file=str(path),
        )
    if ending in DRAWINGS:
        from evenbead.toolpath.drawing import read_drawing  # noqa: PLC0415  (ezdxf takes long to import)

        if layers is None or layer_height is None:
            raise InputRefused.because(
                "a drawing has no layers of its own",
                expected="expected a [drawing] section in the job with layers, or --layers and --layer-height",
                file=str(path),
            )
        return read_drawing(path, layers=layers, layer_height=layer_height, bead_width=bead_width, unit=unit)
    if ending in POINT_LISTS:
        from evenbead.toolpath.points import read_points  # noqa: PLC0415

        return read_points(path, layers=layers, layer_height=layer_height)
    from evenbead.toolpath.machine_code import read_machine_code  # noqa: PLC0415

    return read_machine_code(path, dwell_unit=dwell_unit, progress=progress)
