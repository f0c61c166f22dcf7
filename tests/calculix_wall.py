"""The same wall in CalculiX, a general finite element program: linear buckling of a strip of solid elements.

One 20-node brick in each layer, as wide as the wall. The strip may not spread along the wall, which is how a long wall
bends; with a Poisson's ratio of zero it is a narrow column. The program `ccx` is only run, and only in tests and
benchmarks; Debian has it in the package calculix-ccx.
"""

from __future__ import annotations

import re
import shutil
import subprocess
from typing import TYPE_CHECKING

import numpy as np

from evenbead.physics.constants import GRAVITY

if TYPE_CHECKING:
    from pathlib import Path

    from numpy.typing import NDArray

MISSING = "CalculiX is not here: install the Debian package calculix-ccx to compare with it"

# The program looks for factors above one only, so the wall is made lighter and the factor put right afterwards.
_LIGHTER = 1000.0

# Corners below, corners above, middles below, middles above, middles of the uprights; in half elements (x, y, z).
_BRICK = (
    (0, 0, 0), (2, 0, 0), (2, 2, 0), (0, 2, 0), (0, 0, 2), (2, 0, 2), (2, 2, 2), (0, 2, 2),
    (1, 0, 0), (2, 1, 0), (1, 2, 0), (0, 1, 0), (1, 0, 2), (2, 1, 2), (1, 2, 2), (0, 1, 2),
    (0, 0, 1), (2, 0, 1), (2, 2, 1), (0, 2, 1),
)  # fmt: skip


def calculix() -> str | None:
    """Where the program is."""
    return shutil.which("ccx")


def calculix_load_factor(
    folder: Path,
    *,
    modulus: NDArray[np.float64],
    height: float,
    width: NDArray[np.float64],
    density: float,
    poisson: float,
) -> float:
    """The first buckling factor of a wall under its own weight, layers from the foot up."""
    program = calculix()
    assert program is not None, MISSING
    (folder / "wall.inp").write_text(_deck(modulus, height, width, density, poisson), encoding="ascii")
    subprocess.run([program, "wall"], cwd=folder, check=True, capture_output=True, timeout=600)
    text = (folder / "wall.dat").read_text(encoding="ascii")
    found = re.search(r"^\s+1\s+([-+.\dE]+)\s*$", text, re.MULTILINE)
    assert found is not None, text
    return float(found[1]) / _LIGHTER


def _deck(
    modulus: NDArray[np.float64], height: float, width: NDArray[np.float64], density: float, poisson: float
) -> str:
    """The input file. Where layers of unlike width meet, the nodes between stand at the mean width."""
    number: dict[tuple[int, int, int], int] = {}
    lines = []
    edges = np.concatenate([width[:1], (width[1:] + width[:-1]) / 2, width[-1:]])
    half_width = np.repeat(edges, 2)[:-1]
    half_width[1::2] = width
    elements = []
    for layer in range(len(modulus)):
        nodes = []
        for x, y, z in _BRICK:
            place = (x, y, z + 2 * layer)
            if place not in number:
                number[place] = len(number) + 1
                at = ((x - 1) * half_width[place[2]] / 2, y * height / 2, place[2] * height / 2)
                lines.append(f"{number[place]}, " + ", ".join(f"{c:.12g}" for c in at))
            nodes.append(str(number[place]))
        elements.append(f"*ELEMENT, TYPE=C3D20, ELSET=L{layer}\n{layer + 1}, {', '.join(nodes[:10])},")
        elements.append(", ".join(nodes[10:]))
    layers = range(len(modulus))
    foot = [str(n) for (_, _, z), n in number.items() if z == 0]
    return "\n".join(
        [
            "*NODE, NSET=ALL",
            *lines,
            *elements,
            "*ELSET, ELSET=WALL",
            *[f"L{layer}," for layer in layers],
            "*NSET, NSET=FOOT",
            *[f"{node}," for node in foot],
            *[
                f"*MATERIAL, NAME=M{layer}\n*ELASTIC\n{modulus[layer]:.12g}, {poisson:.12g}\n*DENSITY\n{density:.12g}\n"
                f"*SOLID SECTION, ELSET=L{layer}, MATERIAL=M{layer}"
                for layer in layers
            ],
            "*BOUNDARY\nFOOT, 1, 3\nALL, 2, 2",
            "*STEP\n*BUCKLE\n1\n*DLOAD",
            f"WALL, GRAV, {GRAVITY / _LIGHTER:.12g}, 0., 0., -1.",
            "*NODE FILE\nU\n*END STEP\n",
        ]
    )
