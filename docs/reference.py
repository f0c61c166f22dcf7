"""The generated reference pages: commands, document keys, the plan for scripts, sources."""

from __future__ import annotations

import tomllib
import types
from pathlib import Path
from typing import Any, Literal, get_args, get_origin

import typer
from pydantic import BaseModel

from evenbead.cli import app
from evenbead.documents.fields import Assumed, Number, Quantity
from evenbead.documents.job import Job
from evenbead.documents.mortar import Mortar
from evenbead.documents.station import Station
from evenbead.quantities import exact, unit_label

HERE = Path(__file__).parent
_MADE = "<!-- made by docs/remake.py: change the source, not this page -->\n"

_ABOUT_DOCUMENTS = """\
TOML 1.0. A quantity is a text with its unit, metric or US; a bare number is a ratio or a count. An unknown key is an
error that names the nearest known one. Ranges are what is physically possible, not what is wise. A default is listed as
*assumed* in every plan that leans on it."""


def pages() -> dict[str, str]:
    """Name and text of each generated page."""
    return {"commands.md": commands(), "documents.md": documents(), "sources.md": sources()}


def commands() -> str:
    group = typer.main.get_command(app)
    context = typer.Context(group, info_name="evenbead")
    parts = [
        "# Commands",
        _MADE,
        "Exit status: 0 done; 1 a check says stop and `--strict` was given; 2 the input was refused.",
    ]
    for name in group.list_commands(context):
        command = group.get_command(context, name)
        inner = typer.Context(command, info_name=f"evenbead {name}", max_content_width=90, terminal_width=90)
        parts.append(f"## evenbead {name}\n```text\n{command.get_help(inner)}\n```")
    return "\n\n".join(parts) + "\n"


def documents() -> str:
    parts = [
        "# Document keys",
        _MADE,
        _ABOUT_DOCUMENTS,
    ]
    for title, kind in (("station.toml", Station), ("mortar.toml", Mortar), ("job.toml", Job)):
        parts.append(f"## {title}")
        parts += _tables(kind, "")
    return "\n\n".join(parts) + "\n"


def _tables(kind: type[BaseModel], section: str) -> list[str]:
    rows, below = [], []
    for name, info in kind.model_fields.items():
        annotation, many = _inner(info.annotation)
        path = f"{section}.{name}" if section else name
        if isinstance(annotation, type) and issubclass(annotation, BaseModel) and name not in ("growth", "when"):
            heading = f"[[{path}]]" if many else f"[{path}]"
            optional = "" if info.is_required() else " (may be left out)"
            about = (info.description or (annotation.__doc__ or "")).strip().rstrip(".")
            below.append(f"### `{heading}`{optional}\n{about[:1].upper()}{about[1:]}.")
            below += _tables(annotation, path)
        else:
            rows.append(f"| `{name}` | {info.description} | {_form(info)} | {_default(info)} |")
    table = (
        ["| key | meaning | form and range | if left out |\n| --- | --- | --- | --- |\n" + "\n".join(rows)]
        if rows
        else []
    )
    return table + below


def _inner(annotation: Any) -> tuple[Any, bool]:
    """What an optional or repeated field holds, and whether it is repeated."""
    args = [arg for arg in get_args(annotation) if arg is not type(None) and arg is not Ellipsis]
    if get_origin(annotation) is tuple and len(args) == 1:
        return _inner(args[0])[0], True
    if isinstance(annotation, types.UnionType) and len(args) == 1:
        return _inner(args[0])
    return annotation, False


def _form(info: Any) -> str:
    mark = next((m for m in _marks(info) if isinstance(m, Quantity | Number)), None)
    if isinstance(mark, Quantity):
        pair = "two of " if get_origin(info.annotation) is tuple else ""
        return f'{pair}{mark.kind.name}, {mark.range_text} (such as `"… {mark.kind.metric}"` or `"… {mark.kind.us}"`)'
    if isinstance(mark, Number):
        pair = "two numbers" if "tuple" in str(info.annotation) else "whole number" if mark.whole else "number"
        return f"{pair}, {mark.range_text}"
    words = [word for word in _words(info.annotation) if isinstance(word, str)]
    if words:
        codes = ', or `{ on = "M7", off = "M9" }`' if "SwitchingCodes" in str(info.annotation) else ""
        return " or ".join(f'`"{word}"`' for word in words) + codes
    if "Growth" in str(info.annotation):
        return '`{ law = "linear", rate = "… Pa/min" }` or `{ law = "exponential", rate = "…", time = "… min" }`'
    if "datetime" in str(info.annotation):
        return "date and time with offset, no quotes"
    return "text"


def _marks(info: Any) -> list[Any]:
    pending, found = [*info.metadata, info.annotation], []
    while pending:
        part = pending.pop()
        found.append(part)
        pending += getattr(part, "__metadata__", ())
        pending += getattr(part, "__args__", ())
    return found


def _words(annotation: Any) -> list[Any]:
    if get_origin(annotation) is Literal:
        return list(get_args(annotation))
    return [word for arg in get_args(annotation) for word in _words(arg)]


def _default(info: Any) -> str:
    if info.is_required():
        return "**needed**"
    source = next((m.source for m in info.metadata if isinstance(m, Assumed)), None)
    mark = next((m for m in info.metadata if isinstance(m, Quantity)), None)
    if info.default is None:
        return "not known"
    value = unit_label(exact(info.default, mark.kind)) if mark else f"{info.default}"
    return f"{value}: {source}" if source else f"{value}"


def sources() -> str:
    known = tomllib.loads((HERE / "sources.toml").read_text(encoding="utf-8"))
    parts = ["# Sources", _MADE, "Every key in a docstring of `physics/` and in the published checks stands here."]
    for key, entry in sorted(known.items()):
        note = f" {entry['note']}" if "note" in entry else ""
        parts.append(
            f"**{key}**: {entry['authors']} ({entry['year']}). {entry['title']}. {entry['publisher']}.\n"
            f"How we know it: {entry['got']}.{note}"
        )
    return "\n\n".join(parts) + "\n"
