"""Makes what the docs show: outputs of commands, generated reference pages, pictures.

    python docs/remake.py            writes everything anew
    python docs/remake.py --check    says what would change, and exits with 1 if anything would

A console block in a page holds commands that begin with ``$``; what stands under each is its real output. Commands
run in a scratch folder that holds a copy of the demo.
"""

from __future__ import annotations

import os
import re
import shlex
import shutil
import subprocess
import sys
import tempfile
from pathlib import Path

from check_plots import check_plots
from reference import pages

DOCS = Path(__file__).parent
ROOT = DOCS.parent
_BLOCK = re.compile(r"(^```console\n)(.*?)(^```$)", re.MULTILINE | re.DOTALL)
_PICTURES = {
    "litres.svg": "plan demo/two-part/job.toml --chart litres.svg",
    "path.svg": "toolpath demo/two-part/shelter.gcode --chart path.svg",
    "catches.svg": "catch demo/station.toml --channel powder --at '55.7 rpm' --chart catches.svg",
    "window.svg": "risk demo/one-part/job.toml --draws 1024 --window window.svg",
    "worth.svg": "risk demo/one-part/job.toml --draws 1024 --worth worth.svg",
}


def remade_page(text: str, folder: Path) -> str:
    """A page with the outputs of its console blocks made anew."""
    return _BLOCK.sub(lambda block: block[1] + remade_block(block[2], folder) + block[3], text)


def remade_block(block: str, folder: Path) -> str:
    commands = [line for line in block.splitlines() if line.startswith("$ ")]
    return "".join(f"{command}\n{output(command[2:], folder)}" for command in commands)


def output(command: str, folder: Path) -> str:
    """What a command prints, both streams in order, as an 80-column terminal without colour shows it."""
    words = shlex.split(command)
    if words[0] == "evenbead":
        words = [sys.executable, "-m", "evenbead", *words[1:]]
    elif words[0] == "cat":
        return (folder / words[1]).read_text(encoding="utf-8")
    else:
        raise ValueError(f"docs run only evenbead and cat, not {words[0]}")
    environment = os.environ | {"COLUMNS": "80", "NO_COLOR": "1", "PYTHONIOENCODING": "utf-8", "TERM": "dumb"}
    done = subprocess.run(
        words, cwd=folder, env=environment, stdout=subprocess.PIPE, stderr=subprocess.STDOUT, check=False
    )
    text = done.stdout.decode()
    return "\n".join(line.rstrip() for line in text.splitlines()) + ("\n" if text else "")


def scratch_folder(parent: Path) -> Path:
    """A folder in which the docs' commands find the demo."""
    shutil.copytree(ROOT / "demo", parent / "demo", ignore=shutil.ignore_patterns("out", "__pycache__"))
    return parent


def everything(folder: Path) -> dict[Path, str]:
    """Every generated text, by the file it belongs in."""
    made = {DOCS / "reference" / name: text for name, text in pages().items()}
    for path in [ROOT / "README.md", *sorted(DOCS.rglob("*.md"))]:
        if path not in made:
            made[path] = remade_page(path.read_text(encoding="utf-8"), folder)
    for name, command in _PICTURES.items():
        said = ""
        if not (folder / name).exists():  # a page may have shown the command that writes it
            said = output(f"evenbead {command}", folder)
        if not (folder / name).exists():
            raise SystemExit(f"no {name} came from `evenbead {command}`:\n{said}")
        made[DOCS / "pictures" / name] = (folder / name).read_text(encoding="utf-8")
    return made | {DOCS / "pictures" / name: text for name, text in check_plots().items()}


def main() -> int:
    changed = []
    with tempfile.TemporaryDirectory() as temporary:
        for path, text in everything(scratch_folder(Path(temporary))).items():
            if not path.exists() or path.read_text(encoding="utf-8") != text:
                changed.append(path.relative_to(ROOT))
                if "--check" not in sys.argv:
                    path.parent.mkdir(exist_ok=True)
                    path.write_text(text, encoding="utf-8", newline="\n")
    for path in changed:
        print(path)
    return 1 if changed and "--check" in sys.argv else 0


if __name__ == "__main__":
    sys.exit(main())
