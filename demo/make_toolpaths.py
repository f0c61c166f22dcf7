"""Writes the toolpaths of the demo: real machine code for two invented prints of an invented site.

    python demo/make_toolpaths.py            writes demo/two-part/shelter.gcode and demo/one-part/planter.gcode

Everything here, place, shapes and numbers, is made up for the demonstration. The same command always writes the
same bytes.
"""

from __future__ import annotations

import itertools
import math
from pathlib import Path

HERE = Path(__file__).parent


def shelter() -> str:
    """A wind shelter for two-part mortar: a wavy ring with a round niche in each of 60 layers, bead by E axis."""
    height, feed, around, radius = 12.0, 6000, 360, 160.0
    lines = [
        "%",
        "(Wind shelter, Otterby yard: an invented print)",
        "(bead 65 mm wide, 12 mm high; E counts mm of bead)",
        "G21 G17 G90 G94",
        "M82",
        "G92 E0",
    ]
    # The niche takes the place of the wave between its last point and its first: two quarter turns and a half turn.
    gap = 0.4
    points = [
        wavy(gap + (2 * math.pi - 2 * gap) * k / around, radius=1150, waves=5, depth=110) for k in range(around + 1)
    ]
    first, last = points[0], points[-1]
    e = 0.0
    for layer in range(60):
        z = height * (layer + 1)
        lines += [f"; layer {layer + 1} of 60", f"G0 Z{z:.1f} F12000", f"G0 X{first[0]:.3f} Y{first[1]:.3f}"]
        for position, (start, end) in enumerate(itertools.pairwise(points)):
            e += math.dist(start, end)
            speed = f" F{feed}" if position == 0 else ""
            lines.append(f"G1 X{end[0]:.3f} Y{end[1]:.3f} E{e:.3f}{speed}")
        # The niche: straight to its edge, a half circle inward written with its centre, its back half with its radius.
        for y, words in ((-radius, "line"), (0.0, "centre"), (radius, "radius")):
            x = last[0] - (radius if y == 0 else 0.0)
            if words == "line":
                e += math.dist(last, (x, y))
                lines.append(f"G1 X{x:.3f} Y{y:.3f} E{e:.3f}")
            else:
                e += math.pi / 2 * radius
                form = f"I0. J{radius:.3f}" if words == "centre" else f"R{radius:.3f}"
                lines.append(f"G2 X{x:.3f} Y{y:.3f} {form} E{e:.3f}")
        e += math.dist((last[0], radius), first)
        lines.append(f"G1 X{first[0]:.3f} Y{first[1]:.3f} E{e:.3f}")
    lines += ["G0 Z800. F12000", "M2", "%"]
    return "\n".join(lines) + "\n"


def planter() -> str:
    """A long planter for one-part mortar: two wavy strands with round ends in each of 60 layers, bead by M7/M9."""
    height, feed, around = 8.0, 4800, 170
    lines = [
        "%",
        "(Planter, Otterby yard: an invented print)",
        "(bead 80 mm wide, 8 mm high; M7 starts the bead, M9 ends it)",
        "N10 G21 G17 G90 G91.1 G94",
    ]
    number = 20
    for layer in range(60):
        z = height * (layer + 1)
        outer = strand(around, offset=175.0)
        inner = strand(around, offset=-175.0)[::-1]
        block = [
            f"G0 Z{z + 20:.1f}",
            f"G0 X{outer[0][0]:.3f} Y{outer[0][1]:.3f}",
            f"G1 Z{z:.1f} F2000",
            "M7",
            *(f"G1 X{x:.3f} Y{y:.3f}" + (f" F{feed}" if k == 0 else "") for k, (x, y) in enumerate(outer[1:])),
            turn(outer[-1], inner[0]),
            *(f"G1 X{x:.3f} Y{y:.3f}" for x, y in inner[1:]),
            turn(inner[-1], outer[0]),
            "M9",
        ]
        lines.append(f"(layer {layer + 1} of 60)")
        for words in block:
            lines.append(f"N{number} {words}")
            number += 10
    lines += [f"N{number} G0 Z600.", f"N{number + 10} M2", "%"]
    return "\n".join(lines) + "\n"


def wavy(angle: float, *, radius: float, waves: int, depth: float) -> tuple[float, float]:
    """A point of a ring whose radius swings."""
    r = radius + depth * math.cos(waves * angle)
    return r * math.cos(angle), r * math.sin(angle)


def strand(points: int, *, offset: float) -> list[tuple[float, float]]:
    """A long wave from left to right, set off to one side of its middle line."""
    line = []
    for k in range(points + 1):
        x = 13_000.0 * k / points
        slope = 420 * 2 * math.pi / 5200 * math.cos(2 * math.pi * x / 5200)
        away = offset / math.hypot(1, slope)
        line.append((x - slope * away, 420 * math.sin(2 * math.pi * x / 5200) + away))
    return line


def turn(start: tuple[float, float], end: tuple[float, float]) -> str:
    """The half circle from one strand to the other, clockwise seen from above."""
    radius = math.dist(start, end) / 2
    centre = ((end[0] - start[0]) / 2, (end[1] - start[1]) / 2)
    return f"G2 X{end[0]:.3f} Y{end[1]:.3f} I{centre[0]:.3f} J{centre[1]:.3f} (radius {radius:.0f} mm)"


if __name__ == "__main__":
    for path, text in (
        (HERE / "two-part" / "shelter.gcode", shelter()),
        (HERE / "one-part" / "planter.gcode", planter()),
    ):
        path.write_text(text, encoding="ascii", newline="\n")
        print(f"{path.name}: {text.count(chr(10)):,} lines")
