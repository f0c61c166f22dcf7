"""How fast machine code is read, against the fastest general reader known, and how much memory it takes.

    python benchmarks/machine_code.py [--json]

All figures come from one run on one file that it writes itself: a wall of waved layers as a program would write it,
with line numbers and remarks. The other reader gets the first part of the same file, since it is much slower; both
are given as lines in a second. It yields words only, while ours also follows them to places, lengths and times.
"""

from __future__ import annotations

import json
import math
import subprocess
import sys
import tempfile
import time
import warnings
from dataclasses import asdict, dataclass
from pathlib import Path

LINES = 1_200_000
SMALL = 20_000
PART = 60_000
REPEATS = 3


@dataclass(frozen=True, slots=True, kw_only=True)
class Result:
    """Figures of one run; None where the other reader is not installed."""

    lines: int
    bytes_per_line: float
    segments: int
    lines_per_second: float
    first_read_s: float
    other_lines_per_second: float | None
    ratio_to_other: float | None
    peak_bytes_per_segment: float
    peak_per_file_byte: float
    cold_small_read_s: float
    cold_small_process_s: float


def write_wall(path: Path, lines: int, *, around: int = 2000) -> None:
    """A wall of waved layers in this many lines."""
    with path.open("w", encoding="ascii", newline="\n") as file:
        file.write("%\n(waved wall, invented)\nG21 G90 G17 G94\nM83\nG0 X6000 Y4000 Z15\nF7200\n")
        for number in range(lines - 8):
            angle = 2 * math.pi * (number % around) / around
            radius = 1900 + 120 * math.cos(9 * angle)
            if number % around == 0:
                file.write(f"G1 Z{15 * (1 + number // around)} ; layer {number // around + 1}\n")
            elif number % 40 == 20:
                file.write("(keep an eye on the corner)\n")
            else:
                x, y = 4000 + radius * math.cos(angle), 4000 + radius * math.sin(angle)
                feed = f" F{7200 - number % 7 * 100}" if number % 50 == 30 else ""
                file.write(f"N{number} G1 X{x:.3f} Y{y:.3f} E5.96{feed}\n")
        file.write("M30\n%\n")


def measured(lines: int = LINES) -> Result:
    """Figures for a file of this many lines."""
    with tempfile.TemporaryDirectory() as folder:
        large, small = Path(folder) / "large.gcode", Path(folder) / "small.gcode"
        write_wall(large, lines)
        write_wall(small, SMALL)
        size = large.stat().st_size
        quick = _in_process("speed", large)
        memory = _in_process("memory", large)
        cold = min((_in_process("cold", small) for _ in range(REPEATS)), key=lambda run: run["process_s"])
        other = _other_lines_per_second(large)
    return Result(
        lines=lines,
        bytes_per_line=size / lines,
        segments=int(quick["segments"]),
        lines_per_second=lines / quick["best_s"],
        first_read_s=quick["first_s"],
        other_lines_per_second=other,
        ratio_to_other=None if other is None else lines / quick["best_s"] / other,
        peak_bytes_per_segment=memory["peak_bytes"] / quick["segments"],
        peak_per_file_byte=memory["peak_bytes"] / size,
        cold_small_read_s=cold["read_s"],
        cold_small_process_s=cold["process_s"],
    )


def _other_lines_per_second(path: Path) -> float | None:
    """The other reader on the first lines of the file."""
    try:
        from gcodeparser import parse_gcode_lines  # noqa: PLC0415
    except ImportError:
        return None
    with path.open(encoding="ascii") as file:
        text = "".join(line for _, line in zip(range(PART), file, strict=False))
    best = math.inf
    for _ in range(REPEATS):
        begun = time.perf_counter()
        for _line in parse_gcode_lines(text):
            pass
        best = min(best, time.perf_counter() - begun)
    return PART / best


def _in_process(what: str, path: Path) -> dict[str, float]:
    """One measurement in a process of its own."""
    begun = time.perf_counter()
    run = subprocess.run([sys.executable, __file__, what, str(path)], check=True, capture_output=True, text=True)
    return {**json.loads(run.stdout), "process_s": time.perf_counter() - begun}


def _speed(path: Path) -> dict[str, float]:
    from evenbead.toolpath.machine_code import read_machine_code  # noqa: PLC0415

    times = []
    segments = 0
    for _ in range(1 + 2 * REPEATS):
        begun = time.perf_counter()
        segments = len(read_machine_code(path))
        times.append(time.perf_counter() - begun)
    return {"segments": segments, "first_s": times[0], "best_s": min(times[1:])}


def _memory(path: Path) -> dict[str, float]:
    """How far the process grows, at its highest, beyond what it holds with all its code loaded."""
    from evenbead.toolpath import kernels  # noqa: PLC0415
    from evenbead.toolpath.machine_code import read_machine_code  # noqa: PLC0415

    kernels.compiled()
    Path("/proc/self/clear_refs").write_text("5", encoding="ascii")  # forget the highest so far (Linux)
    before = _kilobytes("VmRSS")
    program = read_machine_code(path)
    return {"peak_bytes": (_kilobytes("VmHWM") - before) * 1024, "segments": len(program)}


def _kilobytes(name: str) -> int:
    status = Path("/proc/self/status").read_text(encoding="ascii")
    return int(next(line for line in status.splitlines() if line.startswith(name)).split()[1])


def _cold(path: Path) -> dict[str, float]:
    from evenbead.toolpath.machine_code import read_machine_code  # noqa: PLC0415

    begun = time.perf_counter()
    read_machine_code(path)
    return {"read_s": time.perf_counter() - begun}


def table(result: Result) -> str:
    """The figures as people read them."""
    other = "not installed" if result.other_lines_per_second is None else f"{result.other_lines_per_second:,.0f}"
    ratio = "" if result.ratio_to_other is None else f"{result.ratio_to_other:.0f} times"
    rows = [
        (f"file: {result.lines:,} lines of {result.bytes_per_line:.0f} bytes", f"{result.segments:,} moves"),
        ("lines/s after warm-up", f"{result.lines_per_second:,.0f}"),
        ("lines/s of gcodeparser 0.3.0", other),
        ("ratio", ratio),
        ("first read, compiled kernels loaded or made", f"{result.first_read_s:.1f} s"),
        ("peak memory for each move", f"{result.peak_bytes_per_segment:.0f} bytes"),
        ("peak memory for each byte of the file", f"{result.peak_per_file_byte:.2f} bytes"),
        (f"{SMALL:,} lines, cold: reading", f"{result.cold_small_read_s:.2f} s"),
        (f"{SMALL:,} lines, cold: whole process", f"{result.cold_small_process_s:.2f} s"),
    ]
    wide = max(len(name) for name, _ in rows)
    return "\n".join(f"{name:<{wide}}  {value:>16}" for name, value in rows)


def main(words: list[str]) -> None:
    warnings.simplefilter("ignore", DeprecationWarning)
    parts = {"speed": _speed, "memory": _memory, "cold": _cold}
    if words and words[0] in parts:
        print(json.dumps(parts[words[0]](Path(words[1]))))
        return
    result = measured()
    print(json.dumps(asdict(result), indent=2) if "--json" in words else table(result))


if __name__ == "__main__":
    main(sys.argv[1:])
