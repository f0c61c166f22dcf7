"""Water and ice for a target, against the inverses of the 0.22 form written out by hand."""

import numpy as np
import pytest

from evenbead.errors import NotPossible
from evenbead.physics.heat import Charge, Heats, fresh_temperature
from evenbead.physics.heat_targets import HOTTEST_WATER_C, ice_for_target, water_for_target
from evenbead.physics.water_transport import WATER_HEAT

TRADE_RULE = Heats(powder=0.22 * WATER_HEAT, melting=79.8 * WATER_HEAT)
HOT = Charge(powder=100.0, powder_temp_c=35.0, water=16.0, water_temp_c=25.0)
FROSTY = Charge(powder=100.0, powder_temp_c=2.0, water=16.0, water_temp_c=5.0)


def test_the_water_for_a_target_is_that_of_the_trade_rule():
    # T_w = (T (0.22 + w) - 0.22 T_p)/w = (25 · 0.38 - 0.22 · 35)/0.16 = 11.25 °C.
    water = water_for_target(HOT, 25.0, heats=TRADE_RULE)

    assert water.needed_temp_c == pytest.approx(11.25, abs=1e-9)
    assert water.water_temp_c == water.needed_temp_c
    assert water.reached


def test_the_ice_for_a_target_is_that_of_the_trade_rule():
    # m = (T0 - T)(0.22 m_p + W)/(79.8 + T_w); T0 = (22 · 35 + 16 · 25)/38 = 30.789; 5.789 · 38/104.8 = 2.0992 kg.
    need = ice_for_target(HOT, 25.0, heats=TRADE_RULE)

    assert need.ice == pytest.approx(2.0992, abs=5e-5)
    assert need.share == pytest.approx(2.0992 / 16.0, abs=5e-6)
    assert need.reached


def test_ice_already_in_the_mix_is_shared_out_anew():
    already = Charge(powder=100.0, powder_temp_c=35.0, water=15.0, water_temp_c=25.0, ice=1.0)

    assert ice_for_target(already, 25.0).ice == pytest.approx(ice_for_target(HOT, 25.0).ice, rel=1e-12)


def test_mortar_that_is_cool_enough_needs_no_ice():
    need = ice_for_target(FROSTY, 25.0)

    assert need.ice == 0.0
    assert need.reached
    assert need.fresh_temp_c == fresh_temperature(FROSTY)


def test_too_little_ice_allowed_says_what_it_reaches():
    need = ice_for_target(HOT, 15.0, largest_share=0.2)

    assert need.share == pytest.approx(0.2)
    assert not need.reached
    assert 15.0 < need.fresh_temp_c < fresh_temperature(HOT)


def test_without_mixing_water_there_is_no_ice_and_no_share():
    dry = Charge(powder=100.0, powder_temp_c=35.0, water=0.0, water_temp_c=25.0)

    need = ice_for_target(dry, 25.0)

    assert need.ice == 0.0
    assert need.share == 0.0
    assert not need.reached
    with pytest.raises(NotPossible, match="no liquid mixing water"):
        water_for_target(dry, 25.0)


def test_water_is_warmed_on_a_frosty_morning_and_no_further_than_the_cap():
    # [ACI-306R]: about 140 °F.
    warm = water_for_target(FROSTY, 15.0)
    too_much = water_for_target(FROSTY, 35.0)

    assert 20.0 < warm.water_temp_c < HOTTEST_WATER_C == pytest.approx((140 - 32) / 1.8)
    assert warm.reached
    assert too_much.needed_temp_c > HOTTEST_WATER_C
    assert too_much.water_temp_c == HOTTEST_WATER_C
    assert not too_much.reached
    assert too_much.fresh_temp_c < 35.0


def test_water_colder_than_there_is_gives_what_the_coldest_gives():
    chilled = water_for_target(HOT, 18.0, coldest_c=5.0)

    assert chilled.needed_temp_c < 0.0
    assert chilled.water_temp_c == 5.0
    assert not chilled.reached
    assert chilled.fresh_temp_c == pytest.approx(
        float(fresh_temperature(Charge(powder=100.0, powder_temp_c=35.0, water=16.0, water_temp_c=5.0))), rel=1e-12
    )


def test_the_offset_of_the_site_is_made_up_for():
    bare, offset = (water_for_target(HOT, 25.0, site_offset=shift) for shift in (0.0, 1.0))

    assert offset.fresh_temp_c == pytest.approx(25.0)
    assert offset.water_temp_c < bare.water_temp_c
    assert ice_for_target(HOT, 25.0, site_offset=1.0).ice > ice_for_target(HOT, 25.0).ice


def test_a_day_of_targets_is_a_column():
    air = np.array([3.0, 15.0, 36.0])
    day = Charge(powder=100.0, powder_temp_c=air, water=16.0, water_temp_c=12.0)

    water = water_for_target(day, 20.0, coldest_c=8.0)
    ice = ice_for_target(day, 20.0)

    assert water.reached.tolist() == [True, True, False]
    assert np.all(np.diff(water.needed_temp_c) < 0.0)
    assert ice.ice[:2].tolist() == [0.0, 0.0]
    assert ice.fresh_temp_c[2] == pytest.approx(20.0)


def test_a_target_below_freezing_is_refused():
    with pytest.raises(NotPossible, match="ice would be left"):
        ice_for_target(HOT, -1.0)


def test_a_range_of_water_turned_round_is_refused():
    with pytest.raises(ValueError, match="hottest_c above coldest_c"):
        water_for_target(HOT, 20.0, coldest_c=20.0, hottest_c=10.0)
