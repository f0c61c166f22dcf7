"""Invented days for the tests of risk: situations from texts, and draws at the median of every input."""

import numpy as np

import invented_site as site
from evenbead.documents import read_case
from evenbead.physics.mixture import fresh_density
from evenbead.plan.day import prepared
from evenbead.plan.risk import INPUTS
from evenbead.toolpath.reading import toolpath_for


def _with(text, *changes):
    """The text with several things changed that it does hold."""
    for old, new in changes:
        text = site.changed(text, old, new)
    return text


STATION = _with(
    site.STATION[: site.STATION.index("\n[power]\n")],
    ('length = "14 m"', 'length = "10 m"'),
    ('pressure_limit = "25 bar"', 'pressure_limit = "40 bar"'),
)

ONE_PART = _with(
    site.ONE_PART,
    ('yield_stress = "450 Pa"', 'yield_stress = "1550 Pa"\ndynamic_yield_stress = "450 Pa"'),
    ('rate = "18 Pa/min"', 'rate = "150 Pa/min"'),
    ('elastic_modulus = "70 kPa"', 'elastic_modulus = "110 kPa"'),
    ('elastic_growth = "2.4 kPa/min"', 'elastic_growth = "30 kPa/min"'),
)

ACCELERATOR = site.changed(site.ACCELERATOR, 'rate = "260 Pa/min"', 'rate = "600 Pa/min"')

TWO_PART = ONE_PART.replace('kind = "one-part"', 'kind = "two-part"') + ACCELERATOR

EVEN = _with(
    site.JOB[: site.JOB.index("[[weather]]")] + site.JOB[site.JOB.index("[supply]") :],
    ('acceleration = "500 mm/s^2"\n', ""),
)
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
