"""An invented site, its station, its mortars and one print, as the documents a person would type.

Nothing here describes a real site, product or person. `metric text -> US text` is done by pint, which knows nothing
of our own factors.
"""

from __future__ import annotations

import datetime as dt
import functools
import re
from typing import TYPE_CHECKING, Literal

import pint

from evenbead.documents import read_case
from evenbead.plan import plan_day
from evenbead.toolpath.reading import toolpath_for

if TYPE_CHECKING:
    from pathlib import Path

    from evenbead.plan import Plan
    from evenbead.toolpath.model import Toolpath

STATION = """\
name = "Kiln yard station"

[mixer]
speed = "1750 rpm"
speed_tolerance = "80 rpm"
chamber_volume = "2.8 L"
plug_fraction = 0.3
tanks = 3
power = "1.5 kW"

[water]
speed_range = ["60 rpm", "1000 rpm"]
static_pressure = "1.5 bar"
static_pressure_tolerance = "0.1 bar"
[[water.catch]]
speed = "100 rpm"
mass = "0.874 kg"
time = "60 s"
[[water.catch]]
speed = "150 rpm"
mass = "1.310 kg"
time = "60 s"
[[water.catch]]
speed = "150 rpm"
mass = "1.306 kg"
time = "60 s"
[[water.catch]]
speed = "300 rpm"
mass = "2.617 kg"
time = "60 s"

[powder]
speed_range = ["10 rpm", "160 rpm"]
scale_doubt = "20 g"
[[powder.catch]]
speed = "30 rpm"
mass = "4.25 kg"
time = "60 s"
[[powder.catch]]
speed = "60 rpm"
mass = "8.47 kg"
time = "60 s"
[[powder.catch]]
speed = "60 rpm"
mass = "8.52 kg"
time = "60 s"
[[powder.catch]]
speed = "90 rpm"
mass = "12.78 kg"
time = "60 s"

[accelerator]
speed_range = ["20 rpm", "300 rpm"]
density = "1.40 kg/L"
water_content = 0.45
scale_doubt = "1 g"
[[accelerator.catch]]
speed = "60 rpm"
mass = "0.172 kg"
time = "60 s"
[[accelerator.catch]]
speed = "160 rpm"
mass = "0.459 kg"
time = "60 s"
[[accelerator.catch]]
speed = "160 rpm"
mass = "0.461 kg"
time = "60 s"

[hopper]
capacity = "110 kg"
refill_at = "30 kg"

[hose]
length = "14 m"
bore = "35 mm"
pressure_limit = "25 bar"

[power]
voltage = "240 V"
phases = 1
breaker = "20 A"
cord_length = "20 m"
cord_section = "2.5 mm^2"
other_power = "0.4 kW"

[water_supply]
static_pressure = "3.4 bar"
running_pressure = "2.8 bar"
running_flow = "9 L/min"
needed_pressure = "1.5 bar"

[[service]]
task = "Grease the outboard bearing"
every_uses = 5

[[service]]
task = "Look at the mixing tools"
every_hours = 40
"""

ONE_PART = """\
name = "Kiln grey"
kind = "one-part"
bag = "25 kg"
powder_density = "2.72 kg/L"
air_content = 0.03
largest_grain = "1.2 mm"

[water_powder_ratio]
target = 0.158
low = 0.150
high = 0.170

[fresh]
reference_temperature = "20 degC"
yield_stress = "450 Pa"
plastic_viscosity = "15 Pa*s"
growth = { law = "exponential", rate = "18 Pa/min", time = "40 min" }
water_sensitivity = 24
elastic_modulus = "70 kPa"
elastic_growth = "2.4 kPa/min"
poisson_ratio = 0.3
open_time = "50 min"
activation_energy = "38 kJ/mol"

[hardened]
strength_28d = "45 MPa"
"""

ACCELERATOR = """\

[accelerator]
dose = 0.035
dose_range = [0.02, 0.06]
growth = { law = "linear", rate = "260 Pa/min" }
pause_limit = "8 min"
"""

TWO_PART = ONE_PART.replace('kind = "one-part"', 'kind = "two-part"') + ACCELERATOR


def _stiffer(mortar: str) -> str:
    """The same mortar, stiff enough that its bench stands twice over."""
    for old, new in (
        ('yield_stress = "450 Pa"', 'yield_stress = "1550 Pa"\ndynamic_yield_stress = "450 Pa"'),
        ('rate = "18 Pa/min"', 'rate = "150 Pa/min"'),
        ('elastic_modulus = "70 kPa"', 'elastic_modulus = "110 kPa"'),
    ):
        mortar = mortar.replace(old, new)
    return mortar


SOUND_ONE_PART, SOUND_TWO_PART = _stiffer(ONE_PART), _stiffer(TWO_PART)
SOUND_STATION = STATION.replace('pressure_limit = "25 bar"', 'pressure_limit = "40 bar"')
"""With these every check of the bench is ok."""

JOB = """\
name = "Garden bench"
station = "station.toml"
mortar = "mortar.toml"
toolpath = "bench.gcode"
start = 2026-06-18T07:00:00+02:00

[bead]
width = "45 mm"
layer_height = "15 mm"
section = "stadium"

[printing]
when = { on = "M7", off = "M9" }
acceleration = "500 mm/s^2"

[[weather]]
time = 2026-06-18T07:00:00+02:00
air_temperature = "17 degC"
humidity = 0.72
wind = "1.5 m/s"

[[weather]]
time = 2026-06-18T12:00:00+02:00
air_temperature = "25 degC"
humidity = 0.55
wind = "2.0 m/s"

[supply]
powder_temperature = "20 degC"
water_temperature = "14 degC"

[limits]
fresh_temperature = "30 degC"
layer_interval = "20 min"
"""


def bench_code(*, layers: int = 6, length: float = 2400.0, depth: float = 400.0, feed: float = 6000.0) -> str:
    """Machine code of a bench: one closed loop for each layer, switched by M7 and M9. Lengths in mm."""
    lines = ["G21 G90 G94", "G0 X0 Y0 Z15"]
    for layer in range(layers):
        z = 15 * (layer + 1)
        lines += [f"G0 Z{z}", "M7", f"G1 X{length:g} Y0 F{feed:g}", f"G1 Y{depth:g}", "G1 X0", "G1 Y0", "M9"]
    return "\n".join([*lines, "M2", ""])


def changed(text: str, old: str, new: str) -> str:
    """The text with one thing changed that it does hold."""
    assert old in text, f"{old!r} is not in the text"
    return text.replace(old, new, 1)


def write_case(
    folder: Path, *, station: str = STATION, mortar: str = ONE_PART, job: str = JOB, code: str | None = None
) -> Path:
    """The files of a case in a folder; the path of its job."""
    for name, text in {
        "station.toml": station,
        "mortar.toml": mortar,
        "job.toml": job,
        "bench.gcode": bench_code() if code is None else code,
    }.items():
        (folder / name).write_text(text, encoding="utf-8")
    return folder / "job.toml"


MADE_AT = dt.datetime(2026, 6, 17, 18, 30, tzinfo=dt.UTC)


def plan_of(
    folder: Path, *, toolpath: Toolpath | None = None, system: Literal["metric", "us"] = "metric", **texts: str
) -> Plan:
    """The plan of a case with these texts; of a toolpath made elsewhere if one is given."""
    case = read_case(write_case(folder, **texts))
    path = toolpath_for(case.toolpath, case.job) if toolpath is None else toolpath
    return plan_day(case, path, made_at=MADE_AT, system=system)


_US = {
    "L": "gal", "kg": "lb", "g": "oz", "m": "ft", "mm": "in", "bar": "psi", "kW": "hp", "kg/L": "lb/ft^3",
    "Pa": "psf", "kPa": "psi", "MPa": "psi", "Pa/min": "psf/min", "kPa/min": "psi/min", "mm/s^2": "in/s^2",
    "mm/s": "in/s", "m/s": "mph", "degC": "degF",
}  # fmt: skip
_PINT = {"gal": "US_liquid_gallon", "lb": "pound", "oz": "ounce", "psf": "lbf/ft^2", "psf/min": "lbf/ft^2/min"}


_registry = functools.cache(pint.UnitRegistry)


def in_us_units(text: str) -> str:
    """A document with every quantity in US units, as pint converts them."""
    registry = _registry()

    def swapped(match: re.Match[str]) -> str:
        number, unit = match.groups()
        if unit not in _US:
            return match[0]
        wanted = _US[unit]
        amount = registry.Quantity(float(number), unit).to(_PINT.get(wanted, wanted)).magnitude
        return f'"{amount!r} {wanted}"'

    return re.sub(r'"(-?[\d.]+) ([A-Za-z][^"]*)"', swapped, text)
