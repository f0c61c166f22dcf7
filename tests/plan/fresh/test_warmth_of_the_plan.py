"""How warm it gets, what cools it, which start is best, and weather that does not suffice, in the plan."""

import math
import re

import pytest

import invented_site as site
from evenbead.errors import InputRefused

HOT = [
    ('powder_temperature = "20 degC"', 'powder_temperature = "38 degC"'),
    ('water_temperature = "14 degC"', 'water_temperature = "26 degC"'),
]
COIL = '\n[coil]\nflow = "1.2 L/min"\nwater_in = "26 degC"\nwater_out = "9 degC"\nice = "20 kg"\n'


def test_fresh_temperature_is_that_of_mixed_heats(check, planned):
    found = check("fresh temperature")
    settings = planned().settings
    powder, water = settings.powder.mass_flow, settings.water.mass_flow
    # energy balance; specific heats of powder and water 0.22 and 1 of water's, half of 1.5 kW from the shaft
    lowest, highest = (
        (powder * c * 20 + water * 4186 * 14 + 750) / (powder * c + water * 4186) for c in (750.0, 1050.0)
    )

    assert min(lowest, highest) - 0.5 < found.value < max(lowest, highest) + 0.5


def test_a_hot_day_asks_for_cold_water_or_so_much_ice(check):
    found = check("cooling", job=[*HOT, ('fresh_temperature = "30 degC"', 'fresh_temperature = "26 degC"')])

    assert found.verdict in ("caution", "stop")
    assert found.limit < 26 < found.value + 1
    assert found.margin == pytest.approx(found.limit - found.value)
    assert "crushed ice an hour" in found.why


def test_water_as_cold_as_asked_for_brings_the_mortar_to_its_limit(check):
    limit = ('fresh_temperature = "30 degC"', 'fresh_temperature = "32 degC"')
    needed = check("cooling", job=[*HOT, limit]).limit
    cooled = [HOT[0], ('water_temperature = "14 degC"', f'water_temperature = "{needed:.6f} degC"'), limit]

    assert check("fresh temperature", job=cooled).value == pytest.approx(32.0, abs=1e-3)


def test_a_coil_as_found_at_the_site_says_how_long_its_ice_lasts(tmp_path):
    job = site.changed(site.JOB, *HOT[0])
    job = site.changed(job, *HOT[1])
    plan = site.plan_of(tmp_path, station=site.SOUND_STATION + COIL, mortar=site.SOUND_ONE_PART, job=job)
    found = next(c for c in plan.checks if c.name == "cooling")
    flow = plan.settings.water.mass_flow

    assert found.verdict == "caution"
    out = float(re.search(r"the coil gives ([\d.]+) °C", found.why)[1])
    melts = float(re.search(r"melts ([\d.]+) kg of ice an hour", found.why)[1])
    # effectiveness of a bath of one temperature, 1 - exp(-UA/mc), with UA from the run at the site
    conductance = 1.2e-3 / 60 * 998.2 * math.log(26 / 9)
    assert out == pytest.approx(26 * math.exp(-conductance / flow), rel=0.02)
    # 334 kJ/kg to melt ice
    assert melts == pytest.approx(flow * 4186 * (26 - out) / 334e3 * 3600, rel=0.03)
    assert "its 20 kg last" in found.why


def test_a_cold_morning_asks_for_warm_water(check):
    cold = [
        ('air_temperature = "17 degC"', 'air_temperature = "1 degC"'),
        ('air_temperature = "25 degC"', 'air_temperature = "4 degC"'),
        ('powder_temperature = "20 degC"', 'powder_temperature = "-6 degC"'),
        ('water_temperature = "14 degC"', 'water_temperature = "4 degC"'),
    ]
    found = check("fresh temperature", job=cold)

    assert found.verdict == "caution"
    assert found.value < found.limit == 5.0
    assert re.search(r"water at \d+", found.change)


def test_without_weather_and_temperatures_warmth_is_unknown(tmp_path):
    job = re.sub(r"\[\[weather\]\](.|\n)*?(?=\[\[|\[supply)", "", site.JOB)
    job = re.sub(r"(powder|water)_temperature.*\n", "", job)
    plan = site.plan_of(tmp_path, job=job)
    unknown = {check.name for check in plan.checks if check.verdict == "unknown"}

    assert unknown >= {"drying", "fresh temperature", "cooling"}
    assert plan.start_hours == ()
    assert plan.best_start is None
    assert any(a.key == "job: temperature of the mortar" for a in plan.assumed)


def test_weather_of_another_day_is_no_weather(planned):
    checks = {c.name: c for c in planned(job=[("start = 2026-06-18", "start = 2026-06-25")]).checks}

    assert checks["drying"].verdict == "unknown"


def test_a_gap_in_the_weather_is_refused_at_its_line(planned, tmp_path):
    with pytest.raises(InputRefused) as refused:
        planned(job=[("[limits]", '[limits]\nweather_gap = "2 h"')])
    (fault,) = refused.value.faults
    text = (tmp_path / "job.toml").read_text(encoding="utf-8").split("\n")

    assert fault.file == str(tmp_path / "job.toml")
    assert text[fault.line - 1] == "[[weather]]"
    assert "12:00" in text[fault.line]
    assert "no weather between 18 Jun 07:00 and 18 Jun 12:00" in fault.what
    assert "limits.weather_gap" in fault.expected


def test_a_gap_before_the_print_is_nobodys_trouble(planned):
    early = '[[weather]]\ntime = 2026-06-16T07:00:00+02:00\nair_temperature = "15 degC"\n\n'
    first = "[[weather]]\ntime = 2026-06-18T07:00:00+02:00"

    assert planned(job=[(first, f"{early}{first}")]).weather.air_c is not None


def test_water_that_freezes_in_the_mixer_is_refused_at_its_place(planned, tmp_path):
    with pytest.raises(InputRefused) as refused:
        planned(
            job=[
                ('powder_temperature = "20 degC"', 'powder_temperature = "-20 degC"'),
                ('water_temperature = "14 degC"', 'water_temperature = "0 degC"'),
            ],
            station=[('power = "1.5 kW"\n', "")],
        )
    (fault,) = refused.value.faults

    assert fault.file == str(tmp_path / "job.toml")
    assert fault.line > 1
    assert "warmer" in fault.expected


def test_a_mixer_of_unknown_power_gives_no_heat_and_says_so(planned):
    plan = planned(station=[('power = "1.5 kW"\n', "")])

    assert any(a.key == "station: mixer.power" for a in plan.assumed)
    assert next(c for c in plan.checks if c.name == "power supply").verdict == "unknown"


def test_starts_lie_within_the_weather_and_the_coolest_of_a_hot_day_is_best(planned):
    # the supply as warm as the air: what is left of the limit follows the hour
    as_the_air = [('powder_temperature = "20 degC"\n', ""), ('water_temperature = "14 degC"\n', "")]
    plan = planned(job=[*as_the_air, ("start = 2026-06-18T07", "start = 2026-06-18T11")])

    assert [hour.shift / 3600 for hour in plan.start_hours] == [-4, -3, -2, -1, 0, 1]
    assert plan.best_start.shift == -4 * 3600
    assert plan.best_start.room == max(hour.room for hour in plan.start_hours)


def test_the_end_of_a_print_is_looked_at_too(planned):
    # nearly a quarter of an hour long, getting hotter all the time
    plan = planned(
        code=site.bench_code(layers=15),
        job=[
            ('powder_temperature = "20 degC"\n', ""),
            ('water_temperature = "14 degC"\n', ""),
            ('air_temperature = "25 degC"', 'air_temperature = "45 degC"'),
        ],
    )
    warmest = plan.weather.fresh_c[plan.weather.time <= plan.demand.duration].max()

    assert 840 < plan.demand.duration < 900
    assert plan.demand.duration in plan.weather.time
    assert next(c for c in plan.checks if c.name == "fresh temperature").value == pytest.approx(warmest)
