"""The main job on the demo, from its files to everything that can be taken to the machine.

python demo/run.py        prints both plans and writes cards, charts and columns into demo/out
"""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

HERE = Path(__file__).parent
OUT = HERE / "out"


def main() -> None:
    OUT.mkdir(exist_ok=True)
    run("demo/make_toolpaths.py", module=False)
    for variant, path in (("two-part", "shelter.gcode"), ("one-part", "planter.gcode")):
        out = f"demo/out/{variant}"
        run("toolpath", f"demo/{variant}/{path}", "--chart", f"{out}-path.svg")
        run(
            "plan", f"demo/{variant}/job.toml", "--csv", f"{out}-layers.csv", "--card", f"{out}-card.pdf",
            "--chart", f"{out}-litres.svg",
        )  # fmt: skip
    window, worth = "demo/out/two-part-window.svg", "demo/out/two-part-worth.svg"
    run("risk", "demo/two-part/job.toml", "--window", window, "--worth", worth)
    run(
        "catch",
        "demo/station.toml",
        "--channel",
        "powder",
        "--at",
        "55.7 rpm",
        "--chart",
        "demo/out/powder-catches.svg",
    )
    print("\nWritten into demo/out:")
    for path in sorted(OUT.iterdir()):
        print(f"  {path.name}")


def run(*words: str, module: bool = True) -> None:
    """One command, shown as it would be typed, run from the project's folder."""
    shown = f"evenbead {' '.join(words)}" if module else f"python {' '.join(words)}"
    print(f"\n$ {shown}", flush=True)
    command = [sys.executable, "-m", "evenbead", *words] if module else [sys.executable, *words]
    subprocess.run(command, cwd=HERE.parent, check=True)  # noqa: S603  (our own commands on our own files)


if __name__ == "__main__":
    main()
