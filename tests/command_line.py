"""The command line run in a process of its own, and what a test may know about the folder it ran in."""

import os
import subprocess
import sys

PYTHON = [sys.executable, "-m", "evenbead"]


def environment(**extra):
    """The environment without what would change how we write."""
    keep = {k: v for k, v in os.environ.items() if k not in ("COLUMNS", "NO_COLOR", "FORCE_COLOR", "PYTHONIOENCODING")}
    return {**keep, "PYTHONUTF8": "1", **extra}


def typed(*words, cwd=None, **extra):
    """A command in a process of its own."""
    return subprocess.run(
        [*PYTHON, *map(str, words)], check=False, capture_output=True, cwd=cwd, env=environment(**extra), timeout=60
    )


def names_in(folder):
    return sorted(path.name for path in folder.iterdir())
