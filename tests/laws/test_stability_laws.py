"""Laws of the growing wall, for any layers, rhythm and mortar that only gains."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from evenbead.physics.buckling import buckling_course
from evenbead.physics.buckling_curved import curved_bounds, ring_course
from evenbead.physics.buckling_held import held_buckling_course
from evenbead.physics.collapse import collapse_course
from evenbead.physics.fresh_wall import Layers, ages, loads
from evenbead.physics.rhythm import in_rhythm

laws = settings(max_examples=25, deadline=None)
# Load factors are iterated to this; a law may be broken by no more.
SLACK = 1 + 1e-5


@st.composite
def walls(draw):
    """Five to twenty layers with pauses, beads of unlike size and mortar of unlike weight."""
    count = draw(st.integers(5, 20))

    def column(low, high):
        return np.array(draw(st.lists(st.floats(low, high), min_size=count, max_size=count)))

    height, width = column(0.006, 0.02), column(0.03, 0.07)
    return Layers(
        laid=np.concatenate([[0.0], np.cumsum(column(10.0, 400.0))[1:]]),
        height=height,
        width=width,
        area=height * width * column(1.0, 1.1),
        density=column(1700.0, 2300.0),
    )


mortars = st.builds(lambda start, growth: lambda age: start + growth * age, st.floats(20e3, 2e5), st.floats(0.0, 200.0))


def buckling(wall, mortar, **changed):
    return buckling_course(wall, mortar(ages(wall)), poisson=0.3, tolerance=1e-8, **changed).load_factor


def collapse(wall, mortar):
    """With a yield stress that is a fiftieth of the modulus."""
    return collapse_course(wall, mortar(ages(wall)) / 50.0).load_factor


FAILURES = pytest.mark.parametrize("load_factor", [buckling, collapse])


@FAILURES
@laws
@given(wall=walls(), mortar=mortars)
def test_the_first_layers_are_as_safe_whatever_comes_later(load_factor, wall, mortar):
    assert load_factor(_first(wall, 4), mortar) == pytest.approx(load_factor(wall, mortar)[:4], rel=1e-4)


@laws
@given(wall=walls(), mortar=mortars)
def test_adding_a_layer_to_mortar_of_the_same_age_never_raises_the_load_factor(wall, mortar):
    strength = mortar(wall.laid[-1] - wall.laid)[:, None]
    now = {"moments": wall.laid[-1:]}
    collapsing = [collapse_course(_first(wall, n), strength[:n] / 50.0, **now).least for n in range(1, wall.count)]
    bending = [
        buckling_course(_first(wall, n), strength[:n], tolerance=1e-9, **now).least for n in range(1, wall.count)
    ]

    assert np.all(np.array(collapsing[1:]) <= SLACK * np.array(collapsing[:-1]))
    assert np.all(np.array(bending[1:]) <= SLACK * np.array(bending[:-1]))


def _first(wall, count):
    return Layers(**{name: getattr(wall, name)[:count] for name in ("laid", "height", "width", "area", "density")})


@FAILURES
@laws
@given(wall=walls(), mortar=mortars, share=st.floats(0.0, 1.0))
def test_a_faster_rhythm_is_never_safer(load_factor, wall, mortar, share):
    assert np.all(load_factor(in_rhythm(wall, share), mortar) <= SLACK * load_factor(wall, mortar))


@FAILURES
@laws
@given(wall=walls(), mortar=mortars, layer=st.integers(0, 19), gain=st.floats(1.0, 10.0))
def test_no_layer_makes_the_wall_weaker_by_being_stronger(load_factor, wall, mortar, layer, gain):
    stronger = np.where(np.arange(wall.count) == layer % wall.count, gain, 1.0)[:, None]

    assert np.all(load_factor(wall, mortar) <= SLACK * load_factor(wall, lambda age: mortar(age) * stronger))


@FAILURES
@laws
@given(wall=walls(), mortar=mortars, heavier=st.floats(0.2, 5.0))
def test_the_load_factor_is_by_what_the_weight_could_be_multiplied(load_factor, wall, mortar, heavier):
    loaded = replace(wall, density=wall.density * heavier)

    assert load_factor(loaded, mortar) * heavier == pytest.approx(load_factor(wall, mortar), rel=1e-6)


@FAILURES
@laws
@given(wall=walls(), mortar=mortars, length=st.floats(0.01, 100.0), stress=st.floats(1e-3, 1e3))
def test_other_units_change_nothing(load_factor, wall, mortar, length, stress):
    """Lengths and stresses counted in other units; weight for each volume is stress over length."""
    other = replace(
        wall,
        height=wall.height * length,
        width=wall.width * length,
        area=wall.area * length**2,
        density=wall.density * stress / length,
    )

    assert load_factor(other, lambda age: mortar(age) * stress) == pytest.approx(load_factor(wall, mortar), rel=1e-6)


@laws
@given(wall=walls(), mortar=mortars)
def test_shear_only_takes_away(wall, mortar):
    assert np.all(buckling(wall, mortar) <= SLACK * buckling(wall, mortar, theory="thin"))


@laws
@given(wall=walls(), mortar=mortars, parts=st.integers(2, 4))
def test_a_layer_may_be_laid_in_slices(wall, mortar, parts):
    """Slices of the same age: they only follow the shape better, and change little."""
    sliced = Layers(
        laid=np.repeat(wall.laid, parts),
        height=np.repeat(wall.height / parts, parts),
        width=np.repeat(wall.width, parts),
        area=np.repeat(wall.area / parts, parts),
        density=np.repeat(wall.density, parts),
    )
    whole, fine = (buckling(w, mortar, theory="thin")[-1] for w in (wall, sliced))

    assert fine == pytest.approx(whole, rel=2e-3)
    assert fine <= SLACK * whole


@settings(max_examples=10, deadline=None)
@given(wall=walls(), mortar=mortars, length=st.floats(0.1, 5.0))
def test_a_wall_stands_better_held_than_free_and_better_clamped_than_supported(wall, mortar, length):
    modulus = mortar(ages(wall, wall.laid[-1:]))
    at_last = {"poisson": 0.3, "moments": wall.laid[-1:], "tolerance": 1e-9}
    free = buckling_course(wall, modulus, theory="thin", **at_last).least
    supported = held_buckling_course(wall, modulus, length=length, **at_last).least
    clamped = held_buckling_course(wall, modulus, length=length, edges="clamped", **at_last).least

    assert free <= SLACK * supported
    assert supported <= SLACK * clamped


@laws
@given(wall=walls(), mortar=mortars, radius=st.floats(0.1, 10.0), knock_down=st.floats(0.1, 1.0))
def test_bounds_of_a_curved_wall_are_in_order(wall, mortar, radius, knock_down):
    modulus = mortar(ages(wall))
    free = buckling_course(wall, modulus, poisson=0.3)
    perfect = ring_course(wall, modulus, radius=radius, poisson=0.3, knock_down=1.0)
    real = ring_course(wall, modulus, radius=radius, poisson=0.3, knock_down=knock_down)
    bounds = curved_bounds(free, perfect)

    assert np.all(bounds.low <= bounds.high)
    assert real.load_factor == pytest.approx(knock_down * perfect.load_factor)


@laws
@given(wall=walls())
def test_all_weight_rests_on_the_foot(wall):
    assert loads(wall)[0, -1] == pytest.approx(wall.weight.sum())
    assert np.all(np.diff(loads(wall), axis=0) <= 1e-9)
