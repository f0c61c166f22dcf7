"""Heat, coil, power and water against the world: every check of the data files that names this file as its reader.

A file holds what was printed, as it was printed, and how we came by it. The tolerance is half of the last printed
digit, or what the file says together with the reason.
"""

import re
import tomllib
from pathlib import Path

import numpy as np
import pytest

from evenbead.physics import heat, water_transport
from evenbead.physics.heat import Charge, Heats
from evenbead.physics.water_transport import WATER_HEAT
from evenbead.quantities import TEMPERATURE, Kind, parse

HERE = Path(__file__).parent
FILES = {path.stem: tomllib.loads(path.read_text(encoding="utf-8")) for path in sorted(HERE.glob("*.toml"))}
MINE = {stem: file for stem, file in FILES.items() if file.get("read_by") == Path(__file__).name}
CHECKS = [
    pytest.param(check | {"file": file}, id=f"{stem}-{check['id']}")
    for stem, file in MINE.items()
    for check in file["check"]
]

PRINTED = re.compile(r"(?P<number>[+-]?\d+(?:\.(?P<decimals>\d+))?(?:e(?P<power>[+-]?\d+))?)(?: (?P<unit>\S.*))?")


def si(text):
    """A printed quantity in SI, whatever its kind; numbers and lists of quantities as they come."""
    if isinstance(text, list):
        return np.array([si(item) for item in text])
    if not isinstance(text, str):
        return text
    unit = text.split(" ", 1)[1]
    kind = TEMPERATURE if unit.startswith("deg") else Kind(name="a quantity", si=unit, metric=unit, us=unit)
    return parse(text, kind)


def printed(text):
    """Value in SI, and half of the last printed digit in SI."""
    match = PRINTED.fullmatch(text)
    half = 10.0 ** (int(match["power"] or 0) - len(match["decimals"] or "")) / 2
    if not match["unit"]:
        return float(match["number"]), half
    return si(text), half * (si(f"1 {match['unit']}") - si(f"0 {match['unit']}"))


def concrete_temperature(
    *, cement, cement_temperature, aggregate, aggregate_temperature, water, water_temperature, solids_over_water
):
    # Two solids: the balance does not mind that one of them stands in the place of the accelerator.
    charge = Charge(
        powder=cement,
        powder_temp_c=cement_temperature,
        accelerator=aggregate,
        accelerator_temp_c=aggregate_temperature,
        water=water,
        water_temp_c=water_temperature,
    )
    solids = solids_over_water * WATER_HEAT
    return {"temperature": heat.fresh_temperature(charge, heats=Heats(powder=solids, accelerator=solids))}


def paste_heat(*, water_cement, cement, water):
    paste = Charge(powder=1.0, powder_temp_c=20.0, water=np.array(water_cement), water_temp_c=20.0)
    return {"specific_heat": heat.specific_heat(paste, heats=Heats(powder=cement, water=water))}


def liquid_water(*, temperatures):
    return {
        "viscosity": water_transport.water_viscosity(temperatures),
        "conductivity": water_transport.water_conductivity(temperatures),
        "specific_heat": np.full(len(temperatures), WATER_HEAT),
    }


EVALUATE = {
    "concrete temperature": concrete_temperature,
    "paste heat": paste_heat,
    "liquid water": liquid_water,
}


def test_there_are_checks_of_heat_and_supply_to_read():
    assert {check.values[0]["evaluate"] for check in CHECKS} == set(EVALUATE)


@pytest.mark.parametrize("check", CHECKS)
def test_heat_and_supply_agree_with_what_is_published(check):
    result = EVALUATE[check["evaluate"]](**{key: si(value) for key, value in check["given"].items()})
    relative = check.get("tolerance", {}).get("relative")

    for key, texts in check["expected"].items():
        for text, ours in zip(np.ravel(texts), np.ravel(result[key]), strict=True):
            value, half_digit = printed(str(text))
            # Round-off must not decide a tie at half a digit.
            allowed = half_digit * (1 + 1e-9) if relative is None else relative * abs(value)
            assert ours == pytest.approx(value, rel=0, abs=allowed), key


@pytest.mark.parametrize("check", CHECKS)
def test_each_check_of_heat_and_supply_says_where_it_comes_from_and_why_a_tolerance_is_wide(check):
    assert check["file"]["source"]
    assert check["file"]["got"]
    assert check["provenance"]
    assert "tolerance" not in check or check["tolerance"]["why"]
