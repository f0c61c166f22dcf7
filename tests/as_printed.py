"""Published checks as data: files that hold what was printed, as it was printed, and how we came by it.

A check's tolerance is half of the last printed digit, or what its file says together with the reason. Each file names
the test module that reads it.
"""

import re
import tomllib
from pathlib import Path

import numpy as np
import pytest

from evenbead.quantities import TEMPERATURE, Kind, parse

FILES = {
    path.stem: tomllib.loads(path.read_text(encoding="utf-8"))
    for path in sorted((Path(__file__).parent / "published").glob("*.toml"))
}
PRINTED = re.compile(r"(?P<number>[+-]?\d+(?:\.(?P<decimals>\d+))?(?:e(?P<power>[+-]?\d+))?)(?: (?P<unit>\S.*))?")


def files_read_by(module):
    """The data files that a test module reads, by stem."""
    return {stem: file for stem, file in FILES.items() if file.get("read_by") == Path(module).name}


def checks_read_by(module):
    """File and check of each, as parameters with ids such as `aci-305-ex2-ice`."""
    return [
        pytest.param(file, check, id=f"{stem}-{check['id']}")
        for stem, file in files_read_by(module).items()
        for check in file["check"]
    ]


def si(given):
    """A printed quantity in SI, whatever its kind; lists of them; numbers and names as they are."""
    if isinstance(given, list):
        return np.array([si(item) for item in given])
    if not isinstance(given, str) or not PRINTED.fullmatch(given) or " " not in given:
        return given
    unit = given.split(" ", 1)[1]
    kind = TEMPERATURE if unit.startswith("deg") else Kind(name="a quantity", si=unit, metric=unit, us=unit)
    return parse(given, kind)


def printed(text):
    """Value in SI, and half of the last printed digit in SI."""
    match = PRINTED.fullmatch(text)
    factor = si(f"1 {match['unit']}") if match["unit"] else 1.0
    last_digit = 10.0 ** (int(match["power"] or 0) - len(match["decimals"] or ""))
    return float(match["number"]) * factor, last_digit / 2 * factor
