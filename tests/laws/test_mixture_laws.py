"""Laws of the proportions: whatever the mortar, volumes add and nothing is lost."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

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
from evenbead.quantities import DENSITY, MASS, MASS_FLOW, VOLUME, VOLUME_FLOW, converted

laws = settings(max_examples=80, deadline=None)

proportions = st.builds(
    Proportions,
    water_ratio=st.floats(0.05, 0.6),
    powder_density=st.floats(1500.0, 3500.0),
    air=st.floats(0.0, 0.3),
    accelerator_dose=st.floats(0.0, 0.1),
    accelerator_density=st.floats(900.0, 1600.0),
    accelerator_water=st.floats(0.0, 1.0),
)
flows = st.floats(1e-6, 1e-2)


@laws
@given(proportions, flows)
def test_what_is_metered_makes_the_flow_it_was_metered_for(mortar, flow):
    metered = mass_flows(mortar, flow)

    made = delivery(
        powder=metered.powder,
        water=metered.water,
        accelerator=metered.accelerator,
        powder_density=mortar.powder_density,
        accelerator_density=mortar.accelerator_density,
        air=mortar.air,
    )

    assert made.flow == pytest.approx(flow, rel=1e-12)
    assert made.water_ratio == pytest.approx(mortar.water_ratio, rel=1e-12)
    assert made.accelerator_dose == pytest.approx(mortar.accelerator_dose, rel=1e-12)


@laws
@given(proportions, flows)
def test_mass_in_is_mass_out(mortar, flow):
    metered = mass_flows(mortar, flow)

    assert metered.powder + metered.water + metered.accelerator == pytest.approx(
        flow * fresh_density(mortar), rel=1e-12
    )


@laws
@given(proportions)
def test_the_density_gives_back_the_air(mortar):
    assert air_from_density(fresh_density(mortar), mortar) == pytest.approx(mortar.air, abs=1e-12)


@laws
@given(proportions, st.floats(1e-4, 0.2))
def test_more_water_makes_more_mortar_and_lighter(mortar, more):
    wetter = replace(mortar, water_ratio=mortar.water_ratio + more)

    assert mortar_yield(wetter) > mortar_yield(mortar)
    assert fresh_density(wetter) < fresh_density(mortar)


@laws
@given(proportions, st.floats(1e-4, 0.2))
def test_more_air_makes_more_mortar_of_the_same_mass(mortar, more):
    airier = replace(mortar, air=mortar.air + more)

    assert mortar_yield(airier) > mortar_yield(mortar)
    assert mortar_yield(airier) * fresh_density(airier) == pytest.approx(
        mortar_yield(mortar) * fresh_density(mortar), rel=1e-12
    )


@laws
@given(proportions)
def test_the_density_lies_between_those_of_the_parts(mortar):
    airless = replace(mortar, air=0.0)
    parts = (mortar.powder_density, mortar.water_density, mortar.accelerator_density)

    assert min(parts) * (1 - 1e-12) <= fresh_density(airless) <= max(parts) * (1 + 1e-12)


@laws
@given(proportions)
def test_an_accelerator_brings_at_most_its_own_mass_of_water(mortar):
    brought = effective_water_ratio(mortar) - mortar.water_ratio

    assert -1e-15 <= brought <= mortar.accelerator_dose + 1e-15


@laws
@given(proportions, st.floats(1.0, 50.0))
def test_bag_by_bag_takes_the_same_water_as_all_at_once(mortar, bag):
    bags = 7
    volume = bags * bag * mortar_yield(mortar)

    assert powder_for(mortar, volume) == pytest.approx(bags * bag, rel=1e-12)
    assert bags * water_per_bag(bag, mortar.water_ratio) == pytest.approx(mass_flows(mortar, volume).water, rel=1e-12)


@laws
@given(proportions, flows)
def test_pounds_and_gallons_change_nothing(mortar, flow):
    pounds = converted(1.0, DENSITY, "lb/gal")
    in_pounds = replace(
        mortar,
        powder_density=mortar.powder_density * pounds,
        water_density=mortar.water_density * pounds,
        accelerator_density=mortar.accelerator_density * pounds,
    )

    per_pound = mortar_yield(in_pounds)
    per_second = mass_flows(in_pounds, converted(flow, VOLUME_FLOW, "gal/min"))

    assert per_pound == pytest.approx(
        converted(mortar_yield(mortar), VOLUME, "gal") / converted(1.0, MASS, "lb"), rel=1e-12
    )
    assert per_second.powder == pytest.approx(
        converted(mass_flows(mortar, flow).powder, MASS_FLOW, "lb/min"), rel=1e-12
    )


@laws
@given(proportions, st.lists(st.floats(0.05, 0.6), min_size=1, max_size=5))
def test_a_column_gives_what_its_numbers_give_one_by_one(mortar, ratios):
    column = mortar_yield(replace(mortar, water_ratio=np.array(ratios)))

    assert column == pytest.approx([mortar_yield(replace(mortar, water_ratio=ratio)) for ratio in ratios], rel=1e-15)
