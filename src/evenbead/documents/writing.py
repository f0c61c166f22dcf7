"""Writing documents as TOML in either unit system, so that reading them back gives the same document."""

from __future__ import annotations

import json
from datetime import datetime
from typing import TYPE_CHECKING

from evenbead.documents.fields import Document, Quantity

if TYPE_CHECKING:
    from collections.abc import Iterator

    from pydantic.fields import FieldInfo

    from evenbead.quantities import Kind, UnitSystem

from evenbead.quantities import exact


def document_text(document: Document, system: UnitSystem = "metric") -> str:
    """A document as TOML: what was given, in its order, in the units of the system.

    Defaults nobody gave stay out, so that what is assumed stays visible as assumed.
    """
    return "\n".join(_table(document, "", system)).strip() + "\n"


def _table(document: Document, prefix: str, system: UnitSystem) -> Iterator[str]:
    given = [
        (field, info, getattr(document, field))
        for field, info in type(document).model_fields.items()
        if field in document.model_fields_set
    ]
    for field, info, value in given:
        if not _is_section(value, field):
            yield f"{field} = {_value(value, info, system)}"
    for field, _info, value in given:
        if not _is_section(value, field):
            continue
        name = f"{prefix}{field}"
        if isinstance(value, Document):
            yield f"\n[{name}]"
            yield from _table(value, f"{name}.", system)
        else:
            for item in value:
                yield f"\n[[{name}]]"
                yield from _table(item, f"{name}.", system)


def _is_section(value: object, field: str) -> bool:
    if isinstance(value, tuple):
        return bool(value) and all(isinstance(item, Document) for item in value)
    return isinstance(value, Document) and field not in ("growth", "when")


def _value(value: object, info: FieldInfo, system: UnitSystem) -> str:
    match value:
        case Document():
            inner = ", ".join(
                f"{field} = {_value(getattr(value, field), type(value).model_fields[field], system)}"
                for field in type(value).model_fields
                if field in value.model_fields_set
            )
            written = f"{{ {inner} }}"
        case tuple():
            written = f"[{', '.join(_value(item, info, system) for item in value)}]"
        case float() if kind := _kind(info):
            written = f'"{exact(value, kind, system)}"'
        case float() if float(short := f"{value:g}") == value:
            written = short
        case str():
            written = json.dumps(value, ensure_ascii=False)
        case datetime():
            written = value.isoformat()
        case _:
            written = repr(value)
    return written


def _kind(info: FieldInfo) -> Kind | None:
    """The kind of quantity a field holds, also where it holds two of them or may hold none."""
    pending: list[object] = [*info.metadata, info.annotation]
    while pending:
        part = pending.pop()
        if isinstance(part, Quantity):
            return part.kind
        pending += getattr(part, "__metadata__", ())
        pending += getattr(part, "__args__", ())
    return None
