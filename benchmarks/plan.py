"""How long a plan takes against the number of segments, reading excluded."""

from __future__ import annotations

import time
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path

import numpy as np

from evenbead.documents import Case, read_case
from evenbead.plan import plan_day
from evenbead.toolpath.model import Toolpath

DEMO = Path(__file__).parent.parent / "demo" / "two-part" / "job.toml"
NOW = datetime(2026, 6, 1, 12, tzinfo=UTC)
SIZES = (10_000, 100_000, 1_000_000)


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """One size: the best of several runs."""

    segments: int
    seconds: float

    @property
    def per_million(self) -> float:
        return self.seconds / self.segments * 1e6


def wavy_tower(segments: int, *, around: int = 2000) -> Toolpath:
    """A tower of wavy rings, a travel move between each and the next."""
    k = np.arange(segments + 1)
    layer, angle = k // around, 2 * np.pi * (k % around) / (around - 1)
    radius = 4.0 + 0.3 * np.cos(9 * angle)
    x, y, z = radius * np.cos(angle), radius * np.sin(angle), 0.015 * (layer + 1.0)
    length = np.sqrt(np.diff(x) ** 2 + np.diff(y) ** 2 + np.diff(z) ** 2)
    on = np.diff(layer) == 0
    return Toolpath(
        source="benchmark",
        x=x,
        y=y,
        z=z,
        length=length,
        speed=np.full(segments, 0.12),
        rapid=~on,
        dwell=np.zeros(segments),
        on=on,
        line=np.arange(1, segments + 1, dtype=np.int32),
        why="made so",
    )


def measured(repeats: int = 3) -> list[Row]:
    """A row for each size."""
    case = read_case(DEMO)
    plan_day(case, wavy_tower(SIZES[0]), made_at=NOW)  # the first run pays for imports
    return [Row(segments=size, seconds=min(_one(case, wavy_tower(size)) for _ in range(repeats))) for size in SIZES]


def _one(case: Case, toolpath: Toolpath) -> float:
    begin = time.perf_counter()
    plan_day(case, toolpath, made_at=NOW)
    return time.perf_counter() - begin


def table(rows: list[Row]) -> str:
    """The rows as people read them."""
    return "\n".join(
        f"{row.segments:>9,} segments  {row.seconds:7.3f} s  {row.per_million:6.2f} s a million" for row in rows
    )


if __name__ == "__main__":
    print(table(measured()))
