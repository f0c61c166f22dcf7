"""Proportions to volumes, against sums of absolute volumes written out by hand."""

import numpy as np
import pytest

from evenbead.physics.mixture import (
    Proportions,
    air_from_density,
    delivery,
    effective_water_ratio,
    fresh_density,
    mass_flows,
    mortar_yield,
    powder_for,
    water_per_bag,
)
from evenbead.physics.water import WATER_DENSITY, water_density

ACCELERATED = Proportions(
    water_ratio=0.15,
    powder_density=2700.0,
    accelerator_dose=0.04,
    accelerator_density=1400.0,
    accelerator_water=0.5,
    air=0.02,
)


def test_cement_sand_and_water_fill_the_sum_of_their_volumes():
    # 500 kg cement (3150), 1450 kg sand (2650), 250 kg water: 0.15873 + 0.54717 + 0.25 = 0.95590 m³;
    # over 0.98 with the air.
    powder = 500.0 + 1450.0
    mortar = Proportions(
        water_ratio=250.0 / powder,
        powder_density=powder / (500.0 / 3150.0 + 1450.0 / 2650.0),
        water_density=1000.0,
        air=0.02,
    )

    assert powder * mortar_yield(mortar) * (1 - 0.02) == pytest.approx(0.9559, abs=5e-5)
    assert powder * mortar_yield(mortar) == pytest.approx(0.9754, abs=5e-5)
    assert fresh_density(mortar) == pytest.approx(2255.5, abs=0.05)


def test_a_bag_of_25_kg_makes_thirteen_litres():
    # 25 (1/2700 + 0.16/1000) m³ = 13.26 L; 29 kg in it.
    mortar = Proportions(water_ratio=0.16, powder_density=2700.0, water_density=1000.0)

    assert 25.0 * mortar_yield(mortar) == pytest.approx(13.26e-3, abs=5e-6)
    assert fresh_density(mortar) == pytest.approx(2187.0, abs=0.5)


def test_five_litres_a_minute_need_nine_kilograms():
    # Powder (5 · 0.97) / (1/2.65 + 0.16) = 9.026 kg, water 1.444 kg.
    mortar = Proportions(water_ratio=0.16, powder_density=2650.0, water_density=1000.0, air=0.03)
    metered = mass_flows(mortar, 5e-3 / 60)

    assert metered.powder * 60 == pytest.approx(9.026, abs=5e-4)
    assert metered.water * 60 == pytest.approx(1.444, abs=5e-4)
    assert metered.accelerator == 0.0


def test_a_hundredth_of_ratio_more_makes_two_per_cent_more_mortar():
    # 0.01 / (1/2.65 + 0.16) = 1.86 %
    dry, wet = (
        mortar_yield(Proportions(water_ratio=ratio, powder_density=2650.0, water_density=1000.0))
        for ratio in (0.16, 0.17)
    )

    assert wet / dry - 1 == pytest.approx(0.0186, abs=5e-5)


def test_air_is_what_the_density_falls_short_by():
    # 100 (2380 - 2300)/2380 = 3.36 %, with proportions whose air-free density is 2380.
    mortar = Proportions(water_ratio=0.1, powder_density=1.0 / (1.1 / 2380.0 - 0.1 / 1000.0), water_density=1000.0)

    assert fresh_density(mortar) == pytest.approx(2380.0)
    assert air_from_density(2300.0, mortar) == pytest.approx(0.0336, abs=5e-5)
    assert air_from_density(2400.0, mortar) < 0.0


def test_an_accelerator_adds_its_volume_its_mass_and_its_water():
    # (1/2700 + 0.15/998.2 + 0.04/1400)/0.98, and 1.19 kg in it; 0.15 + 0.04/2 of water.
    per_kilogram = (1 / 2700 + 0.15 / 998.2 + 0.04 / 1400) / 0.98

    assert mortar_yield(ACCELERATED) == pytest.approx(per_kilogram)
    assert fresh_density(ACCELERATED) == pytest.approx(1.19 / per_kilogram)
    assert effective_water_ratio(ACCELERATED) == pytest.approx(0.17)
    assert mass_flows(ACCELERATED, 1.0).accelerator == pytest.approx(0.04 / per_kilogram)


def test_powder_and_water_by_the_bag():
    assert powder_for(ACCELERATED, mortar_yield(ACCELERATED) * 25.0) == pytest.approx(25.0)
    assert water_per_bag(25.0, 0.158) == pytest.approx(3.95)


def test_columns_broadcast():
    ratios = np.array([0.15, 0.16])[:, np.newaxis]
    airs = np.array([0.0, 0.02, 0.04])

    assert np.shape(mortar_yield(Proportions(water_ratio=ratios, powder_density=2700.0, air=airs))) == (2, 3)


@pytest.mark.parametrize(
    ("field", "value"),
    [
        ("water_ratio", -0.1),
        ("powder_density", 0.0),
        ("air", 1.0),
        ("air", -0.01),
        ("accelerator_dose", float("nan")),
        ("accelerator_water", 1.1),
        ("accelerator_density", -1.0),
        ("water_density", 0.0),
    ],
)
def test_what_cannot_be_is_refused_by_name(field, value):
    sound = {"water_ratio": 0.16, "powder_density": 2700.0, "accelerator_density": 1400.0}

    with pytest.raises(ValueError, match=field):
        Proportions(**(sound | {field: value}))


def test_a_dose_without_a_density_is_refused():
    with pytest.raises(ValueError, match="accelerator_density is missing"):
        Proportions(water_ratio=0.16, powder_density=2700.0, accelerator_dose=0.03)


def test_no_powder_makes_no_mortar():
    with pytest.raises(ValueError, match="powder"):
        delivery(powder=0.0, water=0.02, powder_density=2700.0)


def test_the_water_constant_is_the_equation_at_20_degrees():
    assert pytest.approx(water_density(20.0), abs=0.05) == WATER_DENSITY


@pytest.mark.parametrize("temperature", [-0.1, 40.1, float("nan")])
def test_the_equation_for_water_is_not_stretched(temperature):
    with pytest.raises(ValueError, match="temperature_c"):
        water_density(temperature)
