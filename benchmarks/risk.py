"""How long it takes to draw thousands of days of a print, and how that grows with the draws.

    python benchmarks/risk.py

The print is a tower of a hundred layers by the demo's station and mortar. Reading, timing and the plan itself are done
before; what is measured is everything that `evenbead risk` does with them: the walls solved, the days drawn, failures
counted, measurements ranked, and in a row of its own the window and the fastest pace.
"""

from __future__ import annotations

import time
from dataclasses import dataclass
from typing import TYPE_CHECKING

from evenbead.documents import read_case
from evenbead.plan.day import prepared
from evenbead.plan.risk import fastest, risk_of, trial_of, window_of
from plan import DEMO, wavy_tower

if TYPE_CHECKING:
    from collections.abc import Callable

    from evenbead.plan.day import Prepared

LAYERS, AROUND = 100, 100
DRAWS = (1024, 10_000, 4 * 16_384, 16 * 16_384)
SUGGESTED_BY = 4096
WANTED, LIMIT = 10_000, 10.0
"""Days, and the seconds they may take."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """One question: the best time of several runs. `draws` is how many days were drawn in truth."""

    what: str
    draws: int
    seconds: float
    limit: float | None = None

    @property
    def per_thousand(self) -> float:
        return self.seconds / self.draws * 1e3


def day_of_a_tower() -> Prepared:
    """Everything that is known before the first draw."""
    return prepared(read_case(DEMO), wavy_tower(LAYERS * AROUND, around=AROUND))


def best(run: Callable[[], object], repeats: int = 3) -> float:
    """Seconds of the quickest of several runs."""
    times = []
    for _ in range(repeats):
        begin = time.perf_counter()
        run()
        times.append(time.perf_counter() - begin)
    return min(times)


def measured() -> list[Row]:
    """A row for each number of draws, and one for what else the command computes."""
    day = day_of_a_tower()
    assert len(day.situation.layers) == LAYERS
    trial = trial_of(day.situation)
    risk_of(trial, day.expected, draws=64, seed=1)  # the first run pays for imports
    rows = []
    for draws in DRAWS:
        count = risk_of(trial, day.expected, draws=draws, seed=1).draws
        seconds = best(lambda draws=draws: risk_of(trial_of(day.situation), day.expected, draws=draws, seed=1))
        limit = LIMIT if draws == WANTED else None
        rows.append(Row(what=f"{draws:,} days of {LAYERS} layers", draws=count, seconds=seconds, limit=limit))
    rest = best(
        lambda: (
            window_of(trial, day.expected, seed=1),
            fastest(trial, day.expected, wanted=0.05, draws=SUGGESTED_BY, seed=1),
        )
    )
    rows.append(Row(what="the window, and the fastest pace", draws=SUGGESTED_BY, seconds=rest))
    return rows


def table(rows: list[Row]) -> str:
    """The rows as people read them."""
    return "\n".join(_line(row) for row in rows)


def _line(row: Row) -> str:
    line = f"{row.what:<34}{row.draws:>9,} drawn {row.seconds:8.3f} s  {row.per_thousand * 1e3:7.1f} ms a thousand"
    return line if row.limit is None else f"{line}  wanted: under {row.limit:g} s"


if __name__ == "__main__":
    print(table(measured()))
