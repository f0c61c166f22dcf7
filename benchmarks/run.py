"""All benchmarks in one run, as the table that the docs show.

python benchmarks/run.py            prints the tables
python benchmarks/run.py --write    also writes them into docs/reference/speed.md
"""

from __future__ import annotations

import platform
import subprocess
import sys
import time
import warnings
from pathlib import Path

import machine_code
import stability

import plan

ROOT = Path(__file__).parent.parent
PAGE = ROOT / "docs" / "reference" / "speed.md"
ABOUT = """\
# Speed and memory
Measured by `make bench` in one run on one machine; times on yours differ, ratios much less. Targets are kept as
ratios here and never as timed tests.
"""


def page() -> str:
    """The whole page."""
    machine = f"Python {platform.python_version()}, {platform.system()} {platform.machine()}, one core used."
    return "\n".join([
        ABOUT,
        machine,
        "\n## Machine code",
        "A wall of waved layers with line numbers and remarks. The other reader is the fastest general-purpose one we",
        "found on PyPI; it yields words only, ours also follows them to places, lengths and feeds.\n",
        f"```text\n{machine_code.table(machine_code.measured())}\n```",
        "\n## A plan, reading excluded",
        f"```text\n{plan.table(plan.measured())}\n```",
        "\n## Whether a growing wall stands",
        "Collapse and buckling together. The other program is CalculiX, a general finite-element program with solid",
        "elements: linear buckling of the same wall, started anew for each.\n",
        f"```text\n{stability_table(stability.measured())}\n```",
        "\n## Commands, cold",
        f"```text\n{commands()}\n```\n",
    ])  # fmt: skip


def stability_table(rows: list[stability.Row]) -> str:
    """The rows as people read them."""
    lines = [_stability_line(row) for row in rows]
    return "\n".join(lines if stability.calculix() else [*lines, stability.MISSING])


def _stability_line(row: stability.Row) -> str:
    line = f"{row.what:<54}{row.seconds * 1e3:10.2f} ms"
    if row.limit is not None:
        line += f"  wanted: under {row.limit:g} s"
    if row.faster is not None and row.difference is not None:
        line += f"  {row.faster:6.0f} times as fast, {row.difference:+.2%} off it"
    return line


def commands() -> str:
    """Wall time of whole commands in new processes, best of five."""
    job = "demo/two-part/job.toml"
    rows = [
        ("evenbead --help", ["--help"]),
        (f"evenbead plan {job} (22,029 lines)", ["plan", job]),
        ("evenbead toolpath demo/two-part/shelter.gcode", ["toolpath", "demo/two-part/shelter.gcode"]),
    ]
    return "\n".join(f"{name:<56}{_best(words):6.2f} s" for name, words in rows)


def _best(words: list[str]) -> float:
    return min(_once(words) for _ in range(5))


def _once(words: list[str]) -> float:
    begun = time.perf_counter()
    subprocess.run([sys.executable, "-m", "evenbead", *words], cwd=ROOT, check=True, stdout=subprocess.DEVNULL)
    return time.perf_counter() - begun


def main() -> None:
    warnings.simplefilter("ignore", DeprecationWarning)
    made = page()
    print(made)
    if "--write" in sys.argv:
        PAGE.write_text(made, encoding="utf-8", newline="\n")


if __name__ == "__main__":
    main()
