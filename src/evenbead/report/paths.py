"""The study of a toolpath file, as `evenbead toolpath` shows it."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

from rich.text import Text

from evenbead.documents import typed_quantity
from evenbead.documents.job import Bead
from evenbead.errors import InputRefused
from evenbead.quantities import LENGTH, SMALL_LENGTH, SPEED, shown
from evenbead.report import words
from evenbead.report.path_picture import path_picture
from evenbead.report.picture import picture, write_together
from evenbead.report.tables import pairs
from evenbead.toolpath.bead import printed
from evenbead.toolpath.layers import estimated_layer_height, layers_of
from evenbead.toolpath.reading import read_program
from evenbead.toolpath.timing import timing_of

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

    from pydantic.fields import FieldInfo
    from rich.console import Console

    from evenbead.quantities import UnitSystem
    from evenbead.toolpath.bead import When
    from evenbead.toolpath.layers import Layers
    from evenbead.toolpath.model import Toolpath
    from evenbead.toolpath.reading import Progress
    from evenbead.toolpath.timing import Timing

_WIDTH_FOR_HEIGHT = 3.0  # common practice, no source: a bead about three times as wide as high

_WORDS: tuple[Literal["extruding", "feed moves"], ...] = ("extruding", "feed moves")


@dataclass(frozen=True, slots=True, kw_only=True)
class PathStudy:
    """A toolpath file, its layers, and its times where its speeds are known."""

    name: str
    toolpath: Toolpath
    layers: Layers
    layer_height: float
    height_given: bool
    timing: Timing | None


def study(
    file: Path,
    *,
    when: str | None,
    layer_height: str | None,
    bead_width: str | None,
    layers: int | None,
    unit: str | None = None,
    progress: Progress | None = None,
) -> PathStudy:
    """The study of a file.

    Raises
    ------
    InputRefused
        The file or an option can't be used.
    """
    height = _length(layer_height, "--layer-height", Bead.model_fields["layer_height"])
    width = _length(bead_width, "--bead-width", Bead.model_fields["width"])
    switching = _when(when)
    program = read_program(file, layers=layers, layer_height=height, bead_width=width, unit=unit, progress=progress)
    toolpath = printed(program, switching)
    found = height or estimated_layer_height(toolpath) or _thickness(toolpath)
    return PathStudy(
        name=file.name,
        toolpath=toolpath,
        layers=layers_of(toolpath, bead_width=width or _WIDTH_FOR_HEIGHT * found, layer_height=found),
        layer_height=found,
        height_given=height is not None,
        timing=_timing(toolpath),
    )


def _thickness(toolpath: Toolpath) -> float:
    """A height to go by where the path never rises: a hundredth of its length, which splits nothing."""
    return max(toolpath.path_length / 100, 1e-3)


def _timing(toolpath: Toolpath) -> Timing | None:
    try:
        return timing_of(toolpath)
    except InputRefused:
        return None


def _length(text: str | None, option: str, field: FieldInfo) -> float | None:
    """A length in the range that a job's key for it allows."""
    return None if text is None else typed_quantity(text, field, name=option)


def _when(text: str | None) -> When | None:
    if text is None:
        return None
    for word in _WORDS:
        if text == word:
            return word
    pair = re.fullmatch(r"\s*([Mm]\d{1,4})\s*,\s*([Mm]\d{1,4})\s*", text)
    if pair is None:
        raise InputRefused.because(
            f'"{text}" does not say when the bead is on',
            expected='expected "extruding", "feed moves" or a pair of codes such as "M7,M9"',
            key="--when",
        )
    return pair[1].upper(), pair[2].upper()


def draw(made: PathStudy, path: Path, system: UnitSystem) -> None:
    """The path from above as a file."""
    write_together({path: picture(path_picture(made.toolpath, made.layers, made.name, system), path)})


def print_study(made: PathStudy, console: Console, system: UnitSystem) -> None:
    """The study in words and numbers."""
    console.print()
    console.print(Text(made.name, style="bold"))
    console.print()
    console.print(pairs(_findings(made, system), name_style="dim"))


def _findings(made: PathStudy, system: UnitSystem) -> Iterator[tuple[str, str]]:
    path, layers = made.toolpath, made.layers
    yield "moves", f"{len(path):,}, {int(path.on.sum()):,} of them laying"
    yield "bead", shown(path.path_length, LENGTH, system)
    yield "on when", path.why
    yield "travel", shown(path.travel_length, LENGTH, system)
    height = shown(made.layer_height, SMALL_LENGTH, system)
    how = "as given" if made.height_given else "found from the file"
    yield "layers", f"{len(layers)}, layer height {height} ({how})"
    yield "heights", words.between(*(shown(float(end), LENGTH, system) for end in (layers.z.min(), layers.z.max())))
    lengths = (layers.length.min(), layers.length.max())
    yield "a layer", f"{words.between(*(shown(float(end), LENGTH, system) for end in lengths))} long"
    if made.timing is None:
        yield "time", "not known: the file gives no speed for some moves"
    else:
        speeds = made.timing.speed[path.on]
        ends = (shown(float(end), SPEED, system) for end in (speeds.min(), speeds.max()))
        yield "speed", f"{words.between(*ends)} while laying"
        total = words.span(made.timing.total)
        yield "time", f"{total} if every speed were reached at once; {words.span(made.timing.on_time)} of it laying"
    for note in path.notes:
        yield "note", note
