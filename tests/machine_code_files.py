"""Machine code written down in tests, and read back."""

from __future__ import annotations

import tempfile
from pathlib import Path

import pytest

from evenbead.errors import InputRefused
from evenbead.toolpath.machine_code import read_machine_code


def program(text, **choices):
    """What is read from this text or these bytes."""
    data = text if isinstance(text, bytes) else text.encode()
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "wall.gcode"
        path.write_bytes(data)
        return read_machine_code(path, **choices)


def moves(blocks, *, before="G21 G90 G17 G94 F600", **choices):
    """What is read from blocks in millimetres, 10 mm/s."""
    return program(f"{before}\n{blocks}\nM2\n", **choices)


def refusal(text, **choices):
    """The faults for which this text is refused, without the name of the file."""
    with pytest.raises(InputRefused) as caught:
        program(text, **choices)
    return [str(fault).split("wall.gcode")[1].lstrip(":").strip() for fault in caught.value.faults]
