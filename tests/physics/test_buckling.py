"""Self-weight buckling of free walls, against assembled elements, Bessel functions and differential equations."""

import math

import numpy as np
import pytest
import scipy.linalg
from scipy.integrate import solve_ivp
from scipy.optimize import brentq
from scipy.special import j0, jv

from evenbead.errors import NotPossible
from evenbead.physics.buckling import buckling_course, buckling_of_columns
from evenbead.physics.buckling_ideal import (
    GREENHILL,
    buckling_height,
    critical_length,
    greenhill_height,
    greenhill_modulus,
    wall_scale,
)
from evenbead.physics.constants import GRAVITY
from evenbead.physics.fresh_wall import Layers, ages, even_layers, loads
from evenbead.physics.rhythm import continued, shortest_interval, tallest, telling_moments
from evenbead.physics.wall_stiffness import bending_rigidity, plate_modulus, shear_stiffness

UNEVEN = Layers(
    laid=np.cumsum([0.0, 40.0, 40.0, 45.0, 600.0, 40.0, 42.0, 40.0, 40.0]),
    height=np.array([0.012, 0.01, 0.01, 0.011, 0.01, 0.01, 0.009, 0.01, 0.01]),
    width=np.linspace(0.05, 0.038, 9),
    area=np.linspace(5.2e-4, 4.1e-4, 9),
    density=np.linspace(2100.0, 2050.0, 9),
)
STIFFNESS = 60e3 + 25.0 * ages(UNEVEN) + 5e3 * np.cos(np.arange(9.0))[:, None]


def hermite_load_factor(rigidity, load, height):
    """The lowest eigenvalue of Euler-Bernoulli elements, written out and assembled in full."""
    count = len(rigidity)
    bending, geometric = np.zeros((2, 2 * count + 2, 2 * count + 2))
    above = np.append(load[1:], 0.0)
    x, weight = np.polynomial.legendre.leggauss(4)
    x, weight = (x + 1) / 2, weight / 2
    for layer in range(count):
        h = height[layer]
        slope = np.array([6 * x**2 - 6 * x, h * (3 * x**2 - 4 * x + 1), 6 * x - 6 * x**2, h * (3 * x**2 - 2 * x)]) / h
        place = np.s_[2 * layer : 2 * layer + 4, 2 * layer : 2 * layer + 4]
        bending[place] += (
            rigidity[layer]
            / h**3
            * np.array(
                [
                    [12, 6 * h, -12, 6 * h],
                    [6 * h, 4 * h**2, -6 * h, 2 * h**2],
                    [-12, -6 * h, 12, -6 * h],
                    [6 * h, 2 * h**2, -6 * h, 4 * h**2],
                ]
            )
        )
        geometric[place] += h * (slope * weight * (load[layer] * (1 - x) + above[layer] * x)) @ slope.T
    return 1 / scipy.linalg.eigh(geometric[2:, 2:], bending[2:, 2:], eigvals_only=True)[-1]


@pytest.mark.parametrize("moment", [0, 1, 3, 4, 8])
def test_running_sums_give_what_assembled_elements_give(moment):
    course = buckling_course(UNEVEN, STIFFNESS, poisson=0.25, theory="thin", tolerance=1e-12)

    count = moment + 1
    rigidity = bending_rigidity(modulus=STIFFNESS[:count, moment], width=UNEVEN.width[:count], poisson=0.25)
    assembled = hermite_load_factor(rigidity, loads(UNEVEN)[:count, moment], UNEVEN.height[:count])
    assert course.load_factor[moment] == pytest.approx(assembled, rel=1e-9)


def shot_load_factor(rigidity, shear, load, height):
    """Shooting through the layers from the top: turn 1 and no moment, until the foot does not turn."""
    count = len(rigidity)
    top = np.append(np.cumsum(height[::-1])[::-1], 0.0)
    above = np.append(load[1:], 0.0)

    def turn_at_the_foot(factor):
        turn, moment = 1.0, 0.0
        for layer in range(count - 1, -1, -1):

            def change(s, y, layer=layer):
                share = (s - top[layer + 1]) / height[layer]
                weight = factor * (above[layer] + (load[layer] - above[layer]) * share)
                return (y[1] / rigidity[layer], -weight * y[0] / (1.0 - weight / shear[layer]))

            span = (top[layer + 1], top[layer + 1] + height[layer])
            turn, moment = solve_ivp(change, span, (turn, moment), rtol=1e-10, atol=1e-12).y[:, -1]
        return turn

    return turn_at_the_foot


def test_a_thick_wall_is_that_of_shooting_with_shear_put_in():
    course = buckling_course(UNEVEN, STIFFNESS, poisson=0.2)
    rigidity = bending_rigidity(modulus=STIFFNESS[:, -1], width=UNEVEN.width, poisson=0.2)
    shear = shear_stiffness(modulus=STIFFNESS[:, -1], width=UNEVEN.width, poisson=0.2)
    turn = shot_load_factor(rigidity, shear, loads(UNEVEN)[:, -1], UNEVEN.height)

    exact = brentq(turn, 0.9 * course.load_factor[-1], 1.1 * course.load_factor[-1], rtol=1e-10)
    assert course.load_factor[-1] == pytest.approx(exact, rel=1e-4)
    assert course.load_factor[-1] < 0.95 * buckling_course(UNEVEN, STIFFNESS, poisson=0.2, theory="thin").least


def test_elements_approach_the_even_wall_with_the_fourth_power_of_their_height():
    errors = []
    for count in (2, 4, 8, 16):
        load = np.arange(count, 0.0, -1.0)[None] / count
        factor = buckling_of_columns(rigidity=np.ones((1, count)), load=load, height=1 / count, tolerance=1e-13)[0]
        errors.append(factor[0] / GREENHILL - 1)

    rates = np.log2(np.array(errors[:-1]) / errors[1:])
    assert np.all(np.array(errors) > 0)
    assert rates == pytest.approx([4.0, 4.0, 4.0], abs=0.4)


def test_layers_that_stiffen_approach_the_ideal_wall_with_the_square_of_their_height():
    """Each layer has one stiffness; taken at its middle, that is right to the second order."""
    exact = critical_length(lambda s: 1.0 + 0.5 * s)
    errors = [length_by_elements(lambda s: 1.0 + 0.5 * s, count) / exact - 1 for count in (10, 20, 40)]

    assert np.log2(np.abs(errors[:-1]) / np.abs(errors[1:])) == pytest.approx([2.0, 2.0], abs=0.2)


def length_by_elements(stiffness, count):
    """Critical length of an ideal wall, by layers that are stiff as at their middles."""

    def reserve(length):
        edges = np.linspace(length, 0.0, count + 1)
        rigidity = stiffness((edges[:-1] + edges[1:]) / 2)[None]
        return math.log(
            buckling_of_columns(rigidity=rigidity, load=edges[None, :-1], height=length / count, tolerance=1e-11)[0][0]
        )

    return brentq(reserve, 0.5, 100.0, rtol=1e-10)


def test_greenhill_s_number_is_that_of_the_bessel_function():
    zero = brentq(lambda x: jv(-1 / 3, x), 1.5, 2.2, xtol=1e-14)

    assert pytest.approx(9 / 4 * zero**2, abs=1e-7) == GREENHILL
    assert critical_length(lambda _: 1.0) == pytest.approx(GREENHILL ** (1 / 3), rel=1e-8)


def test_a_wall_that_stiffens_fast_ends_at_the_first_zero_of_the_other_bessel_function():
    zero = brentq(j0, 2.0, 3.0)

    assert critical_length(lambda s: 1.0 + 1e4 * s) / math.sqrt(1e4) == pytest.approx(zero, rel=1e-3)


def test_a_wall_stiffening_without_limit_is_not_searched_for_ever():
    with pytest.raises(NotPossible, match="stands up to"):
        critical_length(math.exp, longest=50.0)


def test_modulus_and_height_of_the_even_wall_are_inverse():
    modulus = greenhill_modulus(height=0.8, width=0.045, density=2150.0, poisson=0.25)

    assert greenhill_height(modulus=modulus, width=0.045, density=2150.0, poisson=0.25) == pytest.approx(0.8)
    assert plate_modulus(modulus, 0.25) == pytest.approx(greenhill_modulus(height=0.8, width=0.045, density=2150.0))


def test_many_thin_layers_fall_where_the_ideal_wall_does():
    growth, interval = 120.0, 2.0
    wall = even_layers(50, interval=interval, height=0.001, width=0.04, density=2070.0)

    def factors(layers):
        return buckling_course(layers, 78e3 + growth * ages(layers), poisson=0.3, theory="thin").load_factor

    ideal = buckling_height(modulus=78e3, growth=growth, rise=0.001 / interval, width=0.04, density=2070.0, poisson=0.3)
    # A layer is as old as its foot here, half a layer less than the ideal wall on the mean, and the wall stops short.
    assert tallest(wall, factors).height == pytest.approx(ideal, abs=0.002)
    assert ideal > wall_scale(modulus=78e3, width=0.04, density=2070.0, poisson=0.3)


def test_the_layer_that_bends_most_is_the_soft_one():
    modulus = np.full((9, 9), 100e3)
    modulus[4] = 5e3

    course = buckling_course(UNEVEN, modulus)

    assert course.layer[-1] == 4


def test_a_layer_without_stiffness_is_refused_only_where_it_stands():
    modulus = np.where(loads(UNEVEN) > 0.0, 60e3, 0.0)

    assert np.all(np.isfinite(buckling_course(UNEVEN, modulus).load_factor))
    with pytest.raises(ValueError, match="no stiffness"):
        buckling_course(UNEVEN, modulus * 0.0)


def test_nothing_buckles_before_anything_stands():
    course = buckling_course(UNEVEN, 60e3 + 0.0 * ages(UNEVEN, np.array([-5.0, 0.0])), moments=np.array([-5.0, 0.0]))

    assert np.isinf(course.load_factor[0])
    assert np.isfinite(course.load_factor[1])


def test_draws_at_once_are_draws_one_by_one():
    rng = np.random.default_rng(7)
    starts, widths = rng.uniform(40e3, 90e3, 30), rng.uniform(0.03, 0.06, 30)
    many = Layers(
        laid=UNEVEN.laid * rng.uniform(0.5, 2.0, 30)[:, None],
        height=UNEVEN.height,
        width=widths[:, None],
        area=widths[:, None] * UNEVEN.height,
        density=2100.0,
    )
    modulus = starts[:, None, None] + 30.0 * ages(many)
    together = buckling_course(many, modulus, poisson=0.3)

    for draw in (0, 11, 29):
        one = Layers(
            laid=many.laid[draw], height=UNEVEN.height, width=widths[draw], area=many.area[draw], density=2100.0
        )
        alone = buckling_course(one, modulus[draw], poisson=0.3)
        assert together.load_factor[draw, 5:] == pytest.approx(alone.load_factor[5:], rel=1e-6)
        # How long is iterated depends on who else is iterated, which low walls show.
        assert together.load_factor[draw] == pytest.approx(alone.load_factor, rel=1e-4)
    assert together.least.shape == (30,)


def test_draws_with_unlike_layer_heights_are_told_apart():
    heights = np.array([[0.01] * 5, [0.012] * 5])
    wall = Layers(laid=np.zeros(5), height=heights, width=0.04, area=0.04 * heights, density=2000.0)

    factors = buckling_course(wall, np.full((2, 5, 5), 50e3), theory="thin").load_factor[:, -1]

    assert factors[0] / factors[1] == pytest.approx(1.2**3, rel=1e-6)


def test_a_few_telling_moments_are_enough_for_draws():
    """Of a print with two pauses; least load factors over all moments against those over the few."""
    rng = np.random.default_rng(3)
    wall = even_layers(40, interval=60.0, height=0.01, width=0.05, density=2100.0)
    laid = wall.laid + 900.0 * (np.arange(40) > 14) + 600.0 * (np.arange(40) > 28)
    wall = Layers(laid=laid, height=0.01, width=0.05, area=5e-4, density=2100.0)
    expected = buckling_course(wall, 100e3 + 120.0 * ages(wall)).load_factor
    few = telling_moments(expected, within=3.0)
    start, growth = rng.uniform(60e3, 140e3, (200, 1, 1)), rng.uniform(60.0, 180.0, (200, 1, 1))

    everywhere = buckling_course(wall, start + growth * ages(wall)).least
    at_few = buckling_course(wall, start + growth * ages(wall, laid[few]), moments=laid[few]).least
    assert len(few) <= 3
    assert at_few == pytest.approx(everywhere, rel=1e-6)


def test_the_shortest_interval_just_stands():
    wall = continued(UNEVEN, 30)

    def factors(layers):
        return buckling_course(layers, 60e3 + 25.0 * ages(layers), poisson=0.2).load_factor

    found = shortest_interval(wall, factors, required=1.5)
    faster = Layers(
        laid=wall.laid * found.ratio, height=wall.height, width=wall.width, area=wall.area, density=wall.density
    )
    assert found.interval == pytest.approx(found.ratio * wall.interval)
    assert factors(faster).min() == pytest.approx(1.5, rel=1e-5)


def test_a_wall_is_as_stiff_as_its_material_says():
    assert bending_rigidity(modulus=12.0, width=2.0) == 8.0
    assert shear_stiffness(modulus=12.0, width=2.0, poisson=0.5) == pytest.approx(12.0 * 2.0 / 3.0 * 5 / 6)
    assert wall_scale(modulus=12.0, width=2.0, density=1 / GRAVITY) == pytest.approx(4 ** (1 / 3))


def test_walls_of_which_nothing_stands_never_buckle():
    factor, _ = buckling_of_columns(rigidity=np.ones((2, 3)), load=np.zeros((2, 3)), height=0.01)

    assert np.all(np.isinf(factor))
