"""Evaporation by both formulas: figures recomputed by hand, their versions against each other, and the wind."""

import math

import numpy as np
import pytest

from evenbead.physics.drying import (
    EVAPORATION_LIMITS,
    MENZEL_US,
    UNO_FROM_US,
    evaporation,
    menzel_evaporation,
    saturation_vapour_pressure,
    uno_evaporation,
    wind_at_height,
)

HOUR = 3600.0


def air(mortar, temperature, humidity, wind_km_h):
    return {"mortar_temp_c": mortar, "air_temp_c": temperature, "humidity": humidity, "wind": wind_km_h / 3.6}


@pytest.mark.parametrize(
    ("weather", "rounded", "from_us"),
    [
        ((20, 20, 0.6, 0), 0.07121, 0.07447),
        ((25, 25, 0.5, 10), 0.42436, 0.44269),
        ((30, 30, 0.4, 20), 1.14931, 1.19971),
        ((35, 30, 0.3, 25), 2.27085, 2.37345),
    ],
)
def test_uno_gives_the_recomputed_rates_in_both_versions(weather, rounded, from_us):
    """Recomputed outside the project; the version from US units is 4 to 5 % higher."""
    hourly = uno_evaporation(**air(*weather)) * HOUR
    other = uno_evaporation(**air(*weather), constants=UNO_FROM_US) * HOUR

    assert hourly == pytest.approx(rounded, abs=1e-5)
    assert other == pytest.approx(from_us, abs=2e-5)
    assert 1.04 < other / hourly < 1.05


@pytest.mark.parametrize(
    ("weather", "uno", "menzel"), [((30, 30, 0.5, 20), 0.958, 0.973), ((35, 35, 0.3, 25), 2.076, 2.179)]
)
def test_both_formulas_give_the_recomputed_rates(weather, uno, menzel):
    """Recomputed outside the project."""
    both = evaporation(**air(*weather))

    assert both.uno * HOUR == pytest.approx(uno, abs=6e-4)
    assert both.menzel * HOUR == pytest.approx(menzel, abs=6e-4)
    assert (both.lower, both.higher) == (both.uno, both.menzel)


def test_the_formulas_agree_to_10_percent_where_face_and_air_are_alike():
    """Two independent fits to the same nomograph: half of the cases within 3 %, still air at 35 °C at worst."""
    temperature, humidity, wind = np.meshgrid([20.0, 25.0, 30.0, 35.0], [0.3, 0.5, 0.7], [0.0, 5.0, 15.0, 25.0])

    both = evaporation(**air(temperature, temperature, humidity, wind))
    apart = np.abs(both.menzel / both.uno - 1)

    assert np.max(apart) < 0.10
    assert np.median(apart) < 0.03
    assert apart[..., 0].max() == np.max(apart)


def test_the_rounded_metric_constants_are_the_us_ones_converted():
    """0.315 is 1 % above 0.44 lb/ft²/h/psi, and 0.060 is 0.096 for each mph."""
    assert MENZEL_US.scale == pytest.approx(0.3116, abs=1e-4)
    assert MENZEL_US.wind == pytest.approx(0.0597, abs=1e-4)


def test_nothing_leaves_a_face_in_saturated_air_of_its_temperature():
    both = evaporation(**air(20.0, 20.0, 1.0, np.array([0.0, 10.0, 40.0])))

    assert np.all(both.uno == 0.0)
    assert np.all(both.menzel == 0.0)


def test_water_that_would_condense_is_not_counted_as_a_gain():
    both = evaporation(**air(10.0, 30.0, 0.9, 10.0))

    assert (both.uno, both.menzel) == (0.0, 0.0)


def test_the_limit_for_slabs_is_the_us_one_rounded():
    """0.2 lb/ft²/h, [ACI-305R] as quoted."""
    rates = [limit.rate * HOUR for limit in EVAPORATION_LIMITS]

    assert rates == pytest.approx([0.5, 0.75, 1.0])
    assert rates[-1] == pytest.approx(0.2 * 0.45359237 / 0.3048**2, rel=0.03)
    assert all(limit.source and limit.meant_for for limit in EVAPORATION_LIMITS)


def test_wind_at_the_mast_is_wind_at_the_mast():
    assert wind_at_height(4.0, height=10.0) == pytest.approx(4.0)


def test_wind_falls_with_the_logarithm_of_height():
    """Between heights in a ratio of ten the same step each time."""
    steps = [wind_at_height(1.0, height=height, roughness=0.001) for height in (0.01, 0.1, 1.0, 10.0)]

    assert np.diff(steps) == pytest.approx([0.25, 0.25, 0.25])


@pytest.mark.parametrize(
    ("change", "name"),
    [({"humidity": 1.2}, "humidity"), ({"humidity": math.nan}, "humidity"), ({"wind": -1.0}, "wind")],
)
def test_air_that_can_not_be_is_refused(change, name):
    given = air(20.0, 20.0, 0.5, 5.0) | change

    with pytest.raises(ValueError, match=name):
        uno_evaporation(**given)
    with pytest.raises(ValueError, match=name):
        menzel_evaporation(**given)


def test_a_height_inside_the_roughness_is_refused():
    with pytest.raises(ValueError, match="roughness"):
        wind_at_height(3.0, height=0.01, roughness=0.03)


def test_a_temperature_far_from_any_mortar_is_refused():
    with pytest.raises(ValueError, match="temperature_c"):
        saturation_vapour_pressure(300.0)
