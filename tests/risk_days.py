"""Invented days for the tests of risk: situations from texts, and draws at the median of every input."""

import numpy as np

import invented_site as site
from evenbead.documents import read_case
from evenbead.physics.mixture import fresh_density
from evenbead.plan.day import prepared
from evenbead.plan.risk import INPUTS
from evenbead.toolpath.reading import toolpath_for

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
length = "10 m"
bore = "35 mm"
pressure_limit = "40 bar"
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
yield_stress = "1550 Pa"
dynamic_yield_stress = "450 Pa"
plastic_viscosity = "15 Pa*s"
growth = { law = "exponential", rate = "150 Pa/min", time = "40 min" }
water_sensitivity = 24
elastic_modulus = "110 kPa"
elastic_growth = "30 kPa/min"
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
growth = { law = "linear", rate = "600 Pa/min" }
pause_limit = "8 min"
"""

TWO_PART = ONE_PART.replace('kind = "one-part"', 'kind = "two-part"') + ACCELERATOR

EVEN = """\
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

[supply]
powder_temperature = "20 degC"
water_temperature = "14 degC"

[limits]
fresh_temperature = "30 degC"
layer_interval = "20 min"
"""
"""A job whose every time goes with the speed of the print, without weather."""

HOURS = """\
[[weather]]
time = 2026-06-18T06:00:00+02:00
air_temperature = "17 degC"
humidity = 0.72
wind = "1.5 m/s"

[[weather]]
time = 2026-06-18T12:00:00+02:00
air_temperature = "27 degC"
humidity = 0.45
wind = "3.5 m/s"

"""

SPREADS = {
    "mortar": ("yield_stress", "growth", "stiffness", "stiffening", "viscosity", "open_time", "water_sensitivity"),
    "job": ("temperature", "humidity", "wind", "feed", "collapse_model", "buckling_model"),
}


def weathered(job, hours=HOURS):
    """The job with these hours of weather."""
    return site.changed(job, "[supply]", f"{hours}[supply]")


def without_limits(job):
    """The job without limits of its own."""
    return job[: job.index("[limits]")]


def sure(text, document, **kept):
    """The document without any doubt except these."""
    spreads = {name: "0 K" if name == "temperature" else 0 for name in SPREADS[document]} | kept
    lines = [
        f'{name} = "{value}"' if isinstance(value, str) else f"{name} = {value}" for name, value in spreads.items()
    ]
    return "\n".join([text, "[spread]", *lines, ""])


def ready(folder, *, mortar=ONE_PART, job=EVEN, station=STATION, **texts):
    """Times, settings and conditions of a day."""
    case = read_case(site.write_case(folder, mortar=mortar, job=job, station=station, **texts))
    return prepared(case, toolpath_for(case.toolpath, case.job))


def median(day, count=1, **drawn):
    """Draws in which everything is as expected, except these."""
    target = day.situation.case.mortar.water_powder_ratio.target
    usual = {"ratio": target, "temperature": 0.0, "humidity": 0.0}
    values = {known.name: usual.get(known.name, 1.0) for known in INPUTS} | drawn
    return {name: np.broadcast_to(np.asarray(value, float), count).copy() for name, value in values.items()}


def paused_code(*, after=3, seconds=1500.0, **shape):
    """The bench with a long stand after some layers."""
    blocks = site.bench_code(**shape).split("M9")
    blocks[after] = f"\nG4 P{seconds:g}{blocks[after]}"
    return "M9".join(blocks)


def density_of(day):
    return float(fresh_density(day.situation.proportions))
