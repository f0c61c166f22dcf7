"""Fresh temperatures against balances written out by hand, most in the 0.22 form of the concrete trade."""

import numpy as np
import pytest

from evenbead.errors import NotPossible
from evenbead.physics.heat import (
    POWDER_HEAT,
    POWDER_HEAT_RANGE,
    Charge,
    Heats,
    balance_temperature,
    fresh_temperature,
    heat_capacity,
    sensitivities,
    shaft_heat,
    specific_heat,
)
from evenbead.physics.water_transport import MELTING_HEAT, WATER_HEAT

# Solids hold 0.22 of what water holds: the rule of the concrete trade, [ACI-305R].
TRADE_RULE = Heats(powder=0.22 * WATER_HEAT, accelerator=0.22 * WATER_HEAT)


def in_celsius(fahrenheit):
    return (fahrenheit - 32.0) / 1.8


@pytest.mark.parametrize(
    ("water_temp_c", "expected"), [(25.0, 27.89), (20.0, 25.79), (15.0, 23.68), (10.0, 21.58), (5.0, 19.47)]
)
def test_each_degree_of_the_water_moves_a_dry_mortar_by_four_tenths(water_temp_c, expected):
    # (0.22 · 100 · 30 + 16 T_w) / (0.22 · 100 + 16), own case.
    charge = Charge(powder=100.0, powder_temp_c=30.0, water=16.0, water_temp_c=water_temp_c)

    assert fresh_temperature(charge, heats=TRADE_RULE) == pytest.approx(expected, abs=0.005)


def test_half_the_water_as_ice_takes_a_hot_batch_to_thirteen_degrees():
    # Own case in the trade's units, lb and °F:
    # (0.22 · (470 · 150 + 3300 · 70) + 130 · 70 + 130 · 32 - 130 · 144) / (0.22 · 3770 + 260) = 55.87 °F;
    # the printed form with 112 = 144 - 32 is the same sum.
    batch = Charge(
        powder=470.0,
        powder_temp_c=in_celsius(150.0),
        accelerator=3300.0,
        accelerator_temp_c=in_celsius(70.0),
        water=130.0,
        water_temp_c=in_celsius(70.0),
        ice=130.0,
    )
    heats = Heats(powder=0.22, accelerator=0.22, water=1.0, melting=144.0 / 1.8)

    assert fresh_temperature(batch, heats=heats) == pytest.approx(in_celsius(55.87), abs=0.01 / 1.8)


def test_three_kilowatts_warm_ten_litres_a_minute_by_seven_degrees():
    # 10 L/min of 2050 kg/m³ is 0.34167 kg/s; c = (0.84 + 0.16 · 4.186)/1.16 = 1.3015 kJ/(kg K);
    # 3/(0.34167 · 1.3015) = 6.75 K.
    powder = 10e-3 / 60 * 2050.0 / 1.16
    still = Charge(powder=powder, powder_temp_c=20.0, water=0.16 * powder, water_temp_c=20.0)
    stirred = Charge(powder=powder, powder_temp_c=20.0, water=0.16 * powder, water_temp_c=20.0, shaft_heat=3000.0)
    heats = Heats(powder=840.0)

    assert specific_heat(still, heats=heats) == pytest.approx(1301.5, abs=0.1)
    assert fresh_temperature(stirred, heats=heats) - fresh_temperature(still, heats=heats) == pytest.approx(
        6.75, abs=0.005
    )


def test_a_kilogram_of_ice_cools_as_much_as_the_tables_say():
    # 1 kg of ice at 0 °C in 10 kg of water at 20 °C: (10 · 4186 · 20 - 334e3)/(11 · 4186) = 10.93 °C.
    # A trace of powder, because a mortar always has some.
    charge = Charge(powder=1e-9, powder_temp_c=20.0, water=10.0, water_temp_c=20.0, ice=1.0)

    assert fresh_temperature(charge) == pytest.approx(10.93, abs=0.005)


def test_ice_from_the_deep_freezer_cools_a_little_more():
    # 16 K · 2.1 kJ/(kg K) is a tenth of what melting takes.
    at_zero = Charge(powder=100.0, powder_temp_c=35.0, water=12.0, water_temp_c=25.0, ice=4.0)
    frozen = Charge(powder=100.0, powder_temp_c=35.0, water=12.0, water_temp_c=25.0, ice=4.0, ice_temp_c=-16.0)

    gained = (fresh_temperature(at_zero) - fresh_temperature(frozen)) * heat_capacity(at_zero)

    assert gained / (4.0 * MELTING_HEAT) == pytest.approx(0.1006, abs=5e-5)


def test_ice_that_cannot_all_melt_is_refused():
    slush = Charge(powder=100.0, powder_temp_c=5.0, water=2.0, water_temp_c=5.0, ice=14.0)

    with pytest.raises(NotPossible, match=r"ends at -\d.*ice would be left"):
        fresh_temperature(slush)
    assert balance_temperature(slush) < 0.0


def test_one_frozen_hour_refuses_the_day():
    day = Charge(powder=100.0, powder_temp_c=np.array([20.0, -30.0]), water=16.0, water_temp_c=5.0)

    with pytest.raises(NotPossible, match="freeze"):
        fresh_temperature(day)


def test_a_day_is_a_column():
    air = np.array([14.0, 18.0, 24.0, 29.0, 31.0, 27.0])
    day = Charge(powder=0.15, powder_temp_c=air, water=0.024, water_temp_c=14.0, shaft_heat=900.0)

    hourly = fresh_temperature(day)

    for hour, temperature in zip(air, hourly, strict=True):
        alone = Charge(powder=0.15, powder_temp_c=hour, water=0.024, water_temp_c=14.0, shaft_heat=900.0)
        assert temperature == fresh_temperature(alone)


def test_the_site_offset_is_added_as_it_was_measured():
    charge = Charge(powder=100.0, powder_temp_c=25.0, water=16.0, water_temp_c=15.0)

    assert fresh_temperature(charge, site_offset=1.5) == fresh_temperature(charge) + 1.5


def test_the_sensitivities_of_a_dry_mortar_are_those_of_the_trade_rule():
    # w/(0.22 + w) and 0.22/(0.22 + w) at w = 0.16.
    felt = sensitivities(Charge(powder=1.0, powder_temp_c=30.0, water=0.16, water_temp_c=20.0), heats=TRADE_RULE)

    assert felt.water_temp == pytest.approx(0.421, abs=5e-4)
    assert felt.powder_temp == pytest.approx(0.579, abs=5e-4)


def test_the_range_of_the_powder_moves_a_hot_mortar_by_a_quarter_of_a_degree():
    charge = Charge(powder=100.0, powder_temp_c=35.0, water=16.0, water_temp_c=15.0)

    low, usual, high = (
        fresh_temperature(charge, heats=Heats(powder=c))
        for c in (POWDER_HEAT_RANGE[0], POWDER_HEAT, POWDER_HEAT_RANGE[1])
    )

    assert usual - low == pytest.approx(0.33, abs=0.05)
    assert high - usual == pytest.approx(0.25, abs=0.05)


def test_only_power_above_no_load_warms_the_mortar():
    assert shaft_heat(power=1500.0, no_load_power=500.0, efficiency=0.8) == pytest.approx(800.0)
    assert shaft_heat(power=500.0, no_load_power=500.0) == 0.0
    assert shaft_heat(power=1000.0, share=0.5) == pytest.approx(500.0)


@pytest.mark.parametrize(
    ("wrong", "message"),
    [
        ({"powder": 0.0}, "powder is 0"),
        ({"water": -1.0}, "water is -1"),
        ({"water_temp_c": 104.0}, "water_temp_c is 104"),
        ({"ice_temp_c": 2.0}, "ice_temp_c is 2"),
        ({"accelerator": 1.0}, "accelerator_temp_c is missing"),
        ({"accelerator": 1.0, "accelerator_temp_c": float("nan")}, "accelerator_temp_c is nan"),
        ({"shaft_heat": -5.0}, "shaft_heat is -5"),
        ({"powder_temp_c": np.array([20.0, np.inf])}, "powder_temp_c is inf"),
    ],
)
def test_it_refuses_what_cannot_be_mixed(wrong, message):
    sound = {"powder": 100.0, "powder_temp_c": 20.0, "water": 16.0, "water_temp_c": 15.0}

    with pytest.raises(ValueError, match=message):
        Charge(**(sound | wrong))


def test_it_refuses_specific_heats_that_no_matter_has():
    with pytest.raises(ValueError, match=r"powder is 0.*expected more than 0"):
        Heats(powder=0.0)


def test_it_refuses_a_shaft_that_takes_less_than_when_empty():
    with pytest.raises(ValueError, match="above no_load_power"):
        shaft_heat(power=200.0, no_load_power=300.0)
