"""A case: a job with the station and the mortar it names, read together so that all their faults come at once."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, TypeVar

from evenbead.documents.fields import Document, assumptions
from evenbead.documents.job import Job
from evenbead.documents.mortar import Mortar
from evenbead.documents.reading import likeliest_kind, read_document, text_of
from evenbead.documents.station import Station
from evenbead.errors import Fault, InputRefused

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

    from evenbead.documents.fields import Assumption
    from evenbead.quantities import UnitSystem


_D = TypeVar("_D", bound=Document)


@dataclass(frozen=True, slots=True, kw_only=True)
class Case:
    """What a plan is made of, less the toolpath itself."""

    job: Job
    station: Station
    mortar: Mortar
    toolpath: Path

    def assumed(self, system: UnitSystem = "metric") -> Iterator[Assumption]:
        """The defaults that stand in for missing values in any of the three documents."""
        yield from assumptions(self.station, "station", system)
        yield from assumptions(self.mortar, "mortar", system)
        yield from assumptions(self.job, "job", system)


def read_case(path: Path) -> Case:
    """A job and the documents it names.

    Raises
    ------
    InputRefused
        With the faults of every file that has some, and of what does not fit together.
    """
    job = read_document(path, Job)
    faults: list[Fault] = []
    station = _gathered(path.parent / job.station, Station, faults)
    mortar = _gathered(path.parent / job.mortar, Mortar, faults)
    toolpath = path.parent / job.toolpath
    if not toolpath.is_file():
        faults.append(
            Fault(
                what=f'no such file: "{job.toolpath}"',
                expected="expected a toolpath there",
                file=str(path),
                key="toolpath",
            )
        )
    if station is None or mortar is None or faults:
        raise InputRefused(faults)
    if mortar.kind == "two-part" and station.accelerator is None:
        raise InputRefused.because(
            "the mortar is two-part, the station has no accelerator channel",
            expected="expected an [accelerator] section with density, speed_range and catches",
            file=str(path.parent / job.station),
            key="accelerator",
        )
    return Case(job=job, station=station, mortar=mortar, toolpath=toolpath)


def read_any(path: Path) -> Document:
    """A document of whichever kind it is. Raises as `read_document`."""
    kinds: tuple[type[Document], ...] = (Station, Mortar, Job)
    return read_document(path, likeliest_kind(text_of(path, str(path)), kinds, file=str(path)))


def _gathered(path: Path, kind: type[_D], faults: list[Fault]) -> _D | None:
    try:
        return read_document(path, kind)
    except InputRefused as refused:
        faults.extend(refused.faults)
        return None
