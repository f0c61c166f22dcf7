"""Turning what we draw and set into files: SVG as it is, PNG and PDF by typst with our own fonts."""

from __future__ import annotations

import os
from pathlib import Path
from typing import Literal

from evenbead.errors import InputRefused

FONTS = Path(__file__).parent / "fonts"

_SVG_PAGE = b"""
#set page(width: auto, height: auto, margin: 0pt)
#image(bytes(sys.inputs.svg), format: "svg")
"""


def save_picture(svg: str, path: Path) -> None:
    """An SVG text as a file; the ending of its name says which kind (.svg, .png, .pdf)."""
    match path.suffix.lower():
        case ".svg":
            write_whole(path, svg.encode())
        case ".png":
            write_whole(path, typeset(_SVG_PAGE, {"svg": svg}, form="png"))
        case ".pdf":
            write_whole(path, typeset(_SVG_PAGE, {"svg": svg}, form="pdf"))
        case other:
            raise InputRefused.because(
                f'"{other}" is no kind of picture made here',
                expected="expected a name ending in .svg, .png or .pdf",
                file=str(path),
            )


def typeset(source: bytes, inputs: dict[str, str], *, form: Literal["pdf", "png"]) -> bytes:
    """A typst source and its data, set as PDF or PNG. Words come in as data, so that no text is ever markup."""
    import typst  # noqa: PLC0415  (84 MB that only pictures and cards need)

    fonts = typst.Fonts(include_system_fonts=False, font_paths=[FONTS])
    return typst.compile(source, font_paths=fonts, sys_inputs=inputs, format=form, ppi=144.0)


def write_whole(path: Path, content: bytes) -> None:
    """Write a file in one go: it is there whole, or as it was before."""
    temporary = path.with_name(f".{path.name}.{os.getpid()}.new")
    try:
        temporary.write_bytes(content)
        temporary.replace(path)
    except OSError as error:
        temporary.unlink(missing_ok=True)
        reason = error.strerror or type(error).__name__
        raise InputRefused.because(
            f"can't be written: {reason}", expected="expected a place that can be written to", file=str(path)
        ) from None
