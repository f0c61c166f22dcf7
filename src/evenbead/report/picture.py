"""Turning what we draw and set into files: SVG as it is, PNG and PDF by typst with our own fonts."""

from __future__ import annotations

import os
from contextlib import suppress
from pathlib import Path
from typing import Literal

from evenbead.errors import InputRefused

FONTS = Path(__file__).parent / "fonts"

_SVG_PAGE = b"""
#set page(width: auto, height: auto, margin: 0pt)
#image(bytes(sys.inputs.svg), format: "svg")
"""


def picture(svg: str, path: Path) -> bytes:
    """An SVG text as the kind of picture that the ending of a name asks for (.svg, .png, .pdf)."""
    match path.suffix.lower():
        case ".png":
            return typeset(_SVG_PAGE, {"svg": svg}, form="png")
        case ".pdf":
            return typeset(_SVG_PAGE, {"svg": svg}, form="pdf")
        case _:
            return svg.encode()


def typeset(source: bytes, inputs: dict[str, str], *, form: Literal["pdf", "png"]) -> bytes:
    """A typst source and its data, set as PDF or PNG. Words come in as data, so that no text is ever markup."""
    import typst  # noqa: PLC0415  (84 MB that only pictures and cards need)

    fonts = typst.Fonts(include_system_fonts=False, font_paths=[FONTS])
    return typst.compile(source, font_paths=fonts, sys_inputs=inputs, format=form, ppi=144.0)


def write_together(contents: dict[Path, bytes]) -> None:
    """Write files in one go: all of them are there whole, or every one is as it was before.

    Each is written beside its place under another name first, so that a full disk or a folder without permission
    shows before anything has been replaced.
    """
    written: dict[Path, Path] = {}
    path = Path()
    try:
        for number, (path, content) in enumerate(contents.items()):
            written[path] = path.with_name(f".evenbead-{os.getpid()}-{number}.new")
            written[path].write_bytes(content)
        for path, temporary in written.items():
            temporary.replace(path)
    except OSError as error:
        reason = error.strerror or type(error).__name__
        raise InputRefused.because(
            f"can't be written: {reason}", expected="expected a place that can be written to", file=str(path)
        ) from None
    finally:
        for temporary in written.values():
            with suppress(OSError):
                temporary.unlink(missing_ok=True)
