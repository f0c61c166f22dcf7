"""Tables without lines for the terminal: names to the left, words to the right, wrapped under themselves."""

from __future__ import annotations

from typing import TYPE_CHECKING, Literal

from rich.table import Table
from rich.text import Text

if TYPE_CHECKING:
    from collections.abc import Iterable


def pairs(rows: Iterable[tuple[str, str]], *, name_style: str = "") -> Table:
    """Names and what is said of them."""
    table = plain_table(columns=2)
    for name, value in rows:
        table.add_row(Text(name, style=name_style), Text(value))
    return table


def plain_table(*, columns: int, numbers: tuple[int, ...] = (), whole: tuple[int, ...] = (0,)) -> Table:
    """A table without lines; columns named in `whole` are never broken, `numbers` are set to the right."""
    table = Table(box=None, show_header=False, pad_edge=False, padding=(0, 3, 0, 0))
    for column in range(columns):
        justify: Literal["left", "right"] = "right" if column in numbers else "left"
        table.add_column(justify=justify, no_wrap=column in whole, overflow="fold")
    return table
