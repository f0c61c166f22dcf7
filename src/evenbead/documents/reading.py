"""Reading documents: every fault of a file at once, each with file, line, key and what was expected."""

from __future__ import annotations

import difflib
import tomllib
from typing import TYPE_CHECKING, Any, TypeVar, get_args

from pydantic import BaseModel, ValidationError

from evenbead.documents.fields import Document, Number, Quantity
from evenbead.documents.lines import key_lines, nearest_line
from evenbead.errors import Fault, InputRefused

if TYPE_CHECKING:
    from collections.abc import Sequence
    from pathlib import Path

    from pydantic.fields import FieldInfo
    from pydantic_core import ErrorDetails

_D = TypeVar("_D", bound=Document)

_LARGEST_DOCUMENT = 5_000_000  # bytes; a document is typed by a person


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
    raw = _raw(text, file)
    try:
        return kind.model_validate(raw)
    except ValidationError as error:
        lines = key_lines(text)
        faults = [_fault(detail, raw, kind, lines, file) for detail in error.errors(include_url=False)]
        raise InputRefused(sorted(set(faults), key=lambda fault: (fault.line or 0, fault.key))) from None


def likeliest_kind(text: str, kinds: Sequence[type[_D]], *, file: str) -> type[_D]:
    """Which of several kinds of document a text is: the one that knows most of its sections and keys."""
    keys = _raw(text, file).keys()
    return max(kinds, key=lambda kind: len(keys & kind.model_fields.keys()))


def _raw(text: str, file: str) -> dict[str, Any]:
    try:
        raw: dict[str, Any] = _frozen(tomllib.loads(text))
    except tomllib.TOMLDecodeError as error:
        raise InputRefused([_syntax_fault(str(error), file)]) from None
    except RecursionError:
        raise InputRefused.because(
            "brackets are nested too deeply", expected="expected a plain document", file=file
        ) from None
    return raw


def text_of(path: Path, file: str) -> str:
    """The text of a small UTF-8 file, or a refusal; `file` names it in messages."""
    try:
        if path.stat().st_size > _LARGEST_DOCUMENT:
            raise InputRefused.because(
                "is far too large for a document", expected="expected a TOML file of some pages", file=file
            )
        raw = path.read_bytes()
    except FileNotFoundError:
        raise InputRefused.because("no such file", expected="expected a TOML document there", file=file) from None
    except OSError as error:
        reason = error.strerror or type(error).__name__
        raise InputRefused.because(f"can't be read: {reason}", expected="expected a TOML document", file=file) from None
    if not raw.strip():
        raise InputRefused.because("is empty", expected="expected a TOML document", file=file)
    try:
        return raw.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = raw.count(b"\n", 0, error.start) + 1
        raise InputRefused.because(
            "is not UTF-8 text", expected="save it as UTF-8 (plain text)", file=file, line=line
        ) from None


def _syntax_fault(message: str, file: str) -> Fault:
    what, _, place = message.partition(" (at ")
    line = int(place.split()[1].rstrip(",")) if place.startswith("line ") else None
    return Fault(what=what, expected="expected TOML, such as key = value", file=file, line=line)


def _frozen(value: Any) -> Any:  # noqa: ANN401  (TOML values are of any type)
    if isinstance(value, dict):
        return {key: _frozen(item) for key, item in value.items()}
    if isinstance(value, list):
        return tuple(_frozen(item) for item in value)
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
    context, seen = detail.get("ctx", {}), detail["input"]
    match detail["type"]:
        case "document":
            return context["what"], context["expected"]
        case "missing":
            info = _known(kind, path[:-1]).get(str(path[-1]))
            return "is missing", f"expected {_description(info)}"
        case "extra_forbidden":
            return _unknown_key(str(path[-1]), _known(kind, path[:-1]))
        case "literal_error":
            return f"{seen!r} is not one of the words allowed", f"expected {context['expected']}"
        case "union_tag_invalid":
            return f"{context['tag']!r} is not one of the words allowed", f"expected {context['expected_tags']}"
        case "union_tag_not_found":
            return f"does not say its {context['discriminator']}", 'expected a table such as { law = "linear", ... }'
        case "model_type" | "model_attributes_type":
            return f"{seen!r} is no table", "expected a table with keys"
        case "tuple_type":
            return f"{seen!r} is no list", "expected a list in square brackets"
        case "too_long" | "too_short":
            return f"a list of {context['actual_length']}", f"expected {_count(context)} values"
        case _:
            return detail["msg"], ""


def _count(context: dict[str, Any]) -> object:
    return context.get("max_length", context.get("min_length"))


def _description(info: FieldInfo | None) -> str:
    if info is None:
        return "it to be given"
    mark = next((m for m in info.metadata if isinstance(m, Quantity | Number)), None)
    allowed = f" ({mark.range_text})" if mark else ""
    return f"{info.description or 'a section of that name'}{allowed}"


def _unknown_key(key: str, known: dict[str, FieldInfo]) -> tuple[str, str]:
    near = difflib.get_close_matches(key, known, n=1, cutoff=0.5)
    hint = f'did you mean "{near[0]}"? ' if near else ""
    return "is no key known here", f"{hint}known are {', '.join(known)}" if known else f"{hint}remove it"


def _known(kind: type[BaseModel], path: tuple[str | int, ...]) -> dict[str, FieldInfo]:
    """The keys known at a place of a document: of all union members where there are several."""
    models: list[type[BaseModel]] = [kind]
    for part in path:
        if isinstance(part, int):
            continue
        annotations = [model.model_fields[part].annotation for model in models if part in model.model_fields]
        models = [model for annotation in annotations for model in _models_in(annotation)]
    return {key: info for model in models for key, info in model.model_fields.items()}


def _models_in(annotation: object) -> list[type[BaseModel]]:
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        return [annotation]
    return [model for part in get_args(annotation) for model in _models_in(part)]
