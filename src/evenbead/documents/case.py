"""A case: a job with the station and the mortar it names, read together so that all their faults come at once."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING, Any, TypeVar

from pydantic_core import PydanticCustomError

from evenbead.documents.fields import Document, assumptions, one_line
from evenbead.documents.job import Job
from evenbead.documents.lines import key_lines, nearest_line
from evenbead.documents.mortar import Mortar
from evenbead.documents.reading import document_from_text, likeliest_kind, read_document, text_of, toml_of
from evenbead.documents.station import Station
from evenbead.errors import Fault, InputRefused

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping
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
    files: CaseFiles
    station_lines: Mapping[tuple[str | int, ...], int] = field(repr=False)
    """Line of each key of the station, for faults that only show when it is used."""
    job_lines: Mapping[tuple[str | int, ...], int] = field(default_factory=dict, repr=False)
    """The same of the job."""

    def in_station(self, refused: InputRefused) -> InputRefused:
        """The same faults, at their place in the station's file."""
        return _placed(refused, self.files.station, self.station_lines)

    def in_job(self, refused: InputRefused, *path: str | int) -> InputRefused:
        """The same faults, at their place in the job's file: at this key path, else where their own key stands."""
        return _placed(refused, self.files.job, self.job_lines, path)

    @property
    def toolpath(self) -> Path:
        """The file of the toolpath."""
        return self.files.toolpath

    def assumed(self, system: UnitSystem = "metric") -> Iterator[Assumption]:
        """The defaults that stand in for missing values in any of the three documents."""
        for assumption in assumptions(self.station, "station", system):
            if self.mortar.kind == "two-part" or not assumption.key.startswith("station: accelerator."):
                yield assumption
        yield from assumptions(self.mortar, "mortar", system)
        yield from assumptions(self.job, "job", system)


def _placed(
    refused: InputRefused,
    file: Path,
    lines: Mapping[tuple[str | int, ...], int],
    path: tuple[str | int, ...] = (),
) -> InputRefused:
    return InputRefused(
        replace(fault, file=str(file), line=nearest_line(lines, path or (*fault.key.split("."),)))
        for fault in refused.faults
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class CaseFiles:
    """Where a case was read from."""

    job: Path
    station: Path
    mortar: Path
    toolpath: Path

    def __iter__(self) -> Iterator[Path]:
        yield from (self.job, self.station, self.mortar, self.toolpath)


def read_case(path: Path) -> Case:
    """A job and the documents it names.

    Raises
    ------
    InputRefused
        With the faults of every file that can be found, and of what does not fit together.
    """
    reading = _Reading()
    text = text_of(path, str(path))
    names = _Names(text=text, path=path, raw=toml_of(text, str(path)), faults=reading.faults)
    job = reading.read(path, Job)
    station_file = names.file("station", "a station")
    station = reading.read(station_file, Station)
    mortar_file = names.file("mortar", "a mortar")
    mortar = reading.read(mortar_file, Mortar)
    toolpath = names.file("toolpath", "a toolpath")
    if station_file and mortar_file and reading.raw(mortar_file).get("kind") == "two-part":
        reading.require_accelerator(station_file)
    if reading.faults or not (job and station and mortar and station_file and mortar_file and toolpath):
        raise InputRefused(reading.faults)
    files = CaseFiles(job=path, station=station_file, mortar=mortar_file, toolpath=toolpath)
    lines = key_lines(reading.text(station_file))
    return Case(job=job, station=station, mortar=mortar, files=files, station_lines=lines, job_lines=key_lines(text))


@dataclass(frozen=True, slots=True, kw_only=True)
class _Names:
    """The names of other files in a job, which may be sound although other things in it are not."""

    text: str
    path: Path
    raw: dict[str, Any]
    faults: list[Fault]

    def file(self, key: str, thing: str) -> Path | None:
        """The file named under a key, if there is one; that it is missing becomes a fault of the job."""
        try:
            name = one_line(self.raw.get(key))
        except PydanticCustomError:
            return None  # the job's own faults say so
        path = self.path.parent / name
        try:
            what = "" if path.is_file() else f'"{name}" is a folder' if path.is_dir() else f'no such file: "{name}"'
        except OSError as error:
            what = f'"{name}" can\'t be read: {error.strerror}'
        if not what:
            return path
        line = nearest_line(key_lines(self.text), (key,))
        self.faults.append(
            Fault(what=what, expected=f"expected {thing} there", file=str(self.path), line=line, key=key)
        )
        return None


@dataclass(slots=True)
class _Reading:
    """Files read one after the other, with what is wrong in any of them."""

    faults: list[Fault] = field(default_factory=list)
    _texts: dict[Path, str] = field(default_factory=dict)
    _raw: dict[Path, dict[str, Any]] = field(default_factory=dict)

    def read(self, path: Path | None, kind: type[_D]) -> _D | None:
        """A document, or None with its faults noted."""
        if path is None:
            return None
        try:
            self._texts[path] = text = text_of(path, str(path))
            self._raw[path] = toml_of(text, str(path))
            return document_from_text(text, kind, file=str(path))
        except InputRefused as refused:
            self.faults.extend(refused.faults)
            return None

    def text(self, path: Path) -> str:
        """The text of a file that has been read."""
        return self._texts[path]

    def raw(self, path: Path) -> dict[str, Any]:
        """What a file says, right or wrong."""
        return self._raw.get(path, {})

    def require_accelerator(self, station: Path) -> None:
        """A station that says anything at all must have the channel that a two-part mortar needs."""
        if station in self._raw and "accelerator" not in self.raw(station):
            self.faults.append(
                Fault(
                    what="the mortar is two-part, the station has no accelerator channel",
                    expected="expected an [accelerator] section with density, speed_range and catches",
                    file=str(station),
                    line=1,
                    key="accelerator",
                )
            )


def read_any(path: Path) -> Document:
    """A document of whichever kind it is. Raises as `read_document`."""
    return read_document(path, likeliest_kind(text_of(path, str(path)), file=str(path)))
