"""Reading documents: every fault of a file at once, each with file, line, key and what was expected."""

from __future__ import annotations

import difflib
import tomllib
from typing import TYPE_CHECKING, Any, TypeVar, get_args

from pydantic import BaseModel, ValidationError

from evenbead.documents.fields import Document, Number, Quantity, as_typed
from evenbead.documents.job import Job
from evenbead.documents.lines import key_lines, nearest_line
from evenbead.documents.mortar import Mortar
from evenbead.documents.station import Station
from evenbead.errors import Fault, InputRefused

if TYPE_CHECKING:
    from collections.abc import Sequence
    from pathlib import Path

    from pydantic.fields import FieldInfo
    from pydantic_core import ErrorDetails

_D = TypeVar("_D", bound=Document)
_KINDS: tuple[type[Document], ...] = (Station, Mortar, Job)

# A document is typed by a person.
_LARGEST_DOCUMENT = 5_000_000  # bytes
_LONGEST_LINE = 10_000  # characters
_DEEPEST = 32  # tables and lists inside one another


def read_document(path: Path, kind: type[_D], *, shown_as: str | None = None) -> _D:
    """A document from a TOML file.

    Parameters
    ----------
    path : Path
        The file. [-]
    kind : type
        What it must be: `Station`, `Mortar` or `Job`. [-]
    shown_as : str, optional
        How messages name the file; its path unless given. [-]

    Raises
    ------
    InputRefused
        With all faults of the file, in the order of its lines.
    """
    file = shown_as or str(path)
    return document_from_text(text_of(path, file), kind, file=file)


def document_from_text(text: str, kind: type[_D], *, file: str) -> _D:
    """A document from TOML text; `file` names it in messages. Raises as `read_document`."""
    raw = toml_of(text, file)
    _require_kind(raw, kind, file)
    try:
        return kind.model_validate(raw)
    except ValidationError as error:
        lines = key_lines(text)
        faults = [_fault(detail, raw, kind, lines, file) for detail in error.errors(include_url=False)]
        raise InputRefused(sorted(set(faults), key=lambda fault: (fault.line or 0, fault.key))) from None


def likeliest_kind(text: str, *, file: str) -> type[Document]:
    """Which kind of document a text is: the one that knows most of its sections and keys."""
    raw = toml_of(text, file)
    likeliest = max(_KINDS, key=lambda kind: _known_in(raw, kind))
    if not _known_in(raw, likeliest):
        names = " or ".join(_kind_name(kind) for kind in _KINDS)
        raise InputRefused.because("has none of the keys of a document", expected=f"expected a {names}", file=file)
    return likeliest


def _require_kind(raw: dict[str, Any], kind: type[Document], file: str) -> None:
    """Refuse another kind of document in one sentence, instead of calling each of its keys unknown."""
    likeliest = max(_KINDS, key=lambda other: _known_in(raw, other))
    if kind in _KINDS and _known_in(raw, likeliest) > _known_in(raw, kind) + 1:
        raise InputRefused.because(
            f"is a {_kind_name(likeliest)}, by its keys", expected=f"expected a {_kind_name(kind)}", file=file
        )


def _known_in(raw: dict[str, Any], kind: type[Document]) -> int:
    return len(raw.keys() & kind.model_fields.keys())


def _kind_name(kind: type[Document]) -> str:
    return kind.__name__.lower()


def toml_of(text: str, file: str) -> dict[str, Any]:
    """What a TOML text says, before it is asked whether that makes sense; `file` names it in messages."""
    try:
        raw: dict[str, Any] = _frozen(tomllib.loads(text), _DEEPEST)
    except tomllib.TOMLDecodeError as error:
        raise InputRefused([_syntax_fault(str(error), text, file)]) from None
    except RecursionError:
        raise InputRefused.because(
            "brackets are nested too deeply", expected="expected a plain document", file=file
        ) from None
    except ValueError:
        # The one thing that the reader lets through to Python itself: a whole number of thousands of digits.
        raise InputRefused.because(
            "holds a number of thousands of digits", expected="expected numbers a person can read", file=file
        ) from None
    return raw


def text_of(path: Path, file: str) -> str:
    """The text of a small UTF-8 file, or a refusal; `file` names it in messages."""
    raw = _bytes_of(path, file)
    if not raw.strip():
        raise InputRefused.because("is empty", expected="expected a document", file=file)
    try:
        text = raw.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = raw.count(b"\n", 0, error.start) + 1
        raise InputRefused.because(
            "is not UTF-8 text", expected="save it as UTF-8 (plain text)", file=file, line=line
        ) from None
    for number, line_of_text in enumerate(text.split("\n"), start=1):
        if len(line_of_text) > _LONGEST_LINE:
            raise InputRefused.because(
                f"a line of {len(line_of_text)} characters",
                expected="expected lines a person can read",
                file=file,
                line=number,
            )
    return text


def _bytes_of(path: Path, file: str) -> bytes:
    try:
        if path.is_dir():
            raise InputRefused.because("is a folder", expected="expected the document itself", file=file)
        if path.stat().st_size > _LARGEST_DOCUMENT:
            raise InputRefused.because(
                "is far too large for a document", expected="expected a file of some pages", file=file
            )
        with path.open("rb") as opened:  # a device says it holds nothing and goes on for ever
            return opened.read(_LARGEST_DOCUMENT)
    except FileNotFoundError:
        raise InputRefused.because("no such file", expected="expected a document there", file=file) from None
    except OSError as error:
        reason = error.strerror or type(error).__name__
        raise InputRefused.because(f"can't be read: {reason}", expected="expected a document", file=file) from None


def _syntax_fault(message: str, text: str, file: str) -> Fault:
    what, _, place = message.partition(" (at ")
    line = int(place.split()[1].rstrip(",")) if place.startswith("line ") else text.rstrip().count("\n") + 1
    return Fault(what=what, expected="expected TOML, such as key = value", file=file, line=line)


def _frozen(value: Any, deeper: int) -> Any:  # noqa: ANN401  (TOML values are of any type)
    if not deeper:
        raise RecursionError
    if isinstance(value, dict):
        return {key: _frozen(item, deeper - 1) for key, item in value.items()}
    if isinstance(value, list):
        return tuple(_frozen(item, deeper - 1) for item in value)
    return value


def _fault(detail: ErrorDetails, raw: object, kind: type[Document], lines: dict[Any, int], file: str) -> Fault:
    path = _path_in_file(detail["loc"], raw)
    what, expected = _in_words(detail, path, kind)
    return Fault(what=what, expected=expected, file=file, line=nearest_line(lines, path), key=key_name(path))


def key_name(path: Sequence[str | int]) -> str:
    """A key path as a person writes it; entries of a list are counted from 1.

    Examples
    --------
    >>> key_name(("water", "catch", 0, "mass"))
    'water.catch[1].mass'
    """
    name = ""
    for part in path:
        name += f"[{part + 1}]" if isinstance(part, int) else f".{part}" if name else part
    return name


def _path_in_file(loc: tuple[int | str, ...], raw: object) -> tuple[str | int, ...]:
    """The key path in the file: pydantic's own path less the names of union members, which no file contains."""
    path: tuple[str | int, ...] = ()
    here: Any = raw
    for position, part in enumerate(loc):
        last = position == len(loc) - 1
        if isinstance(here, dict) and (part in here or last):
            path, here = (*path, part), here.get(part)
        elif isinstance(here, tuple) and isinstance(part, int):
            path, here = (*path, part), here[part] if part < len(here) else None
    return path


def _in_words(  # noqa: PLR0911  (one return for each way of being wrong reads best)
    detail: ErrorDetails, path: tuple[str | int, ...], kind: type[Document]
) -> tuple[str, str]:
    context, seen, around = detail.get("ctx", {}), detail["input"], detail["loc"][:-1]
    match detail["type"]:
        case "document":
            return context["what"], context["expected"]
        case "missing":
            if isinstance(path[-1], int):
                return "the list is too short", "expected one value more"
            info = _known(kind, around).get(path[-1])
            return "is missing", f"expected {_description(info)}"
        case "extra_forbidden":
            return _unknown_key(str(path[-1]), _known(kind, around))
        case "too_long":
            return f"a list of {context['actual_length']}", f"expected {context['max_length']} values"
        case "literal_error":
            return f"{as_typed(seen)} is not one of the words allowed", f"expected {_words(context['expected'])}"
        case "union_tag_invalid":
            words = _words(context["expected_tags"])
            return f"{as_typed(context['tag'])} is not one of the words allowed", f"expected {words}"
        case "union_tag_not_found":
            return f"does not say its {_words(context['discriminator'])}", f"expected {_TAGGED}"
        case _:
            return _shape_in_words(detail, path)


def _shape_in_words(detail: ErrorDetails, path: tuple[str | int, ...]) -> tuple[str, str]:
    seen = detail["input"]
    match detail["type"]:
        case "model_type" | "model_attributes_type":
            return f"{as_typed(seen)} is no table", "expected a table with keys"
        case "tuple_type" if isinstance(seen, dict):
            return "is a single table", f"expected [[{key_name(path)}]] in double brackets, once for each entry"
        case "tuple_type":
            return f"{as_typed(seen)} is no list", "expected a list in square brackets"
        case _:
            return detail["msg"], ""


_TAGGED = 'a table such as { law = "linear", ... }'


def _words(quoted: str) -> str:
    """A choice of words as pydantic gives it, with the quotes of TOML."""
    return quoted.replace("'", '"')


def _description(info: FieldInfo | None) -> str:
    if info is None:
        return "it to be given"
    mark = next((m for m in info.metadata if isinstance(m, Quantity | Number)), None)
    allowed = f" ({mark.range_text})" if mark else ""
    return f"{info.description or 'a section of that name'}{allowed}"


def _unknown_key(key: str, known: dict[str, FieldInfo]) -> tuple[str, str]:
    near = difflib.get_close_matches(key.lower().replace("-", "_"), known, n=1, cutoff=0.55)
    hint = f'did you mean "{near[0]}"? ' if near else ""
    return "is no key known here", f"{hint}known are {', '.join(known)}" if known else f"{hint}remove it"


def _known(kind: type[BaseModel], loc: tuple[str | int, ...]) -> dict[str, FieldInfo]:
    """The keys known at a place of a document; of several things it may be, those of the one it says it is."""
    models: list[type[BaseModel]] = [kind]
    for part in loc:
        if isinstance(part, int):
            continue
        annotations = [model.model_fields[part].annotation for model in models if part in model.model_fields]
        inside = [model for annotation in annotations for model in _models_in(annotation)]
        models = inside or [model for model in models if _says(model, part)] or models
    return {key: info for model in models for key, info in model.model_fields.items()}


def _says(model: type[BaseModel], word: str) -> bool:
    """Whether a member of a union is the one with this word, such as a law of growth."""
    return any(word in get_args(info.annotation) for info in model.model_fields.values())


def _models_in(annotation: object) -> list[type[BaseModel]]:
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        return [annotation]
    return [model for part in get_args(annotation) for model in _models_in(part)]
