"""Walls held at their ends: against plates of books, a solution by other means, and the free wall as limit."""

import numpy as np
import pytest
import scipy.linalg

from evenbead.physics.buckling import buckling_course
from evenbead.physics.buckling_held import held_buckling_course, shapes_along
from evenbead.physics.fresh_wall import Layers, ages, even_layers

WALL = even_layers(30, interval=40.0, height=0.01, width=0.04, density=2000.0)
MODULUS = 80e3 + 60.0 * ages(WALL)


@pytest.mark.parametrize("edges", ["supported", "clamped"])
def test_an_endless_wall_is_free(edges):
    held = held_buckling_course(WALL, MODULUS, length=500.0, edges=edges, poisson=0.3, tolerance=1e-11)
    free = buckling_course(WALL, MODULUS, poisson=0.3, theory="thin", tolerance=1e-11)

    assert held.load_factor == pytest.approx(free.load_factor, rel=1e-4)


def test_a_free_wall_bounds_a_supported_one_and_that_a_clamped_one():
    free = buckling_course(WALL, MODULUS, poisson=0.2, theory="thin").load_factor
    supported = held_buckling_course(WALL, MODULUS, length=0.8, poisson=0.2).load_factor
    clamped = held_buckling_course(WALL, MODULUS, length=0.8, edges="clamped", poisson=0.2).load_factor

    assert np.all(free < supported)
    assert np.all(supported < clamped)


def test_more_shapes_never_make_a_clamped_wall_stiffer():
    few, some, many = (
        held_buckling_course(WALL, MODULUS, length=0.4, edges="clamped", poisson=0.3, shapes=n).load_factor[-1]
        for n in (1, 2, 4)
    )

    assert few > some > many
    assert many == pytest.approx(
        held_buckling_course(WALL, MODULUS, length=0.4, edges="clamped", poisson=0.3, shapes=6).load_factor[-1],
        rel=1e-3,
    )


def test_it_is_a_strip_solved_by_polynomials_over_the_whole_height():
    """Ritz with z² times Legendre polynomials, no elements: ∫ D (W'' - a² W)² + 2 (1 - n) a² D (W W'' + W'²)."""
    count, length, poisson = 30, 0.5, 0.3
    height = 0.01 * count
    a2 = (np.pi / length) ** 2
    x, weight = np.polynomial.legendre.leggauss(40)
    z, weight = height * (x + 1) / 2, height * weight / 2
    basis = [
        np.polynomial.Polynomial([0.0, 0.0, 1.0])
        * np.polynomial.Legendre.basis(n, domain=[0.0, height]).convert(kind=np.polynomial.Polynomial)
        for n in range(14)
    ]
    w, w1, w2 = (np.array([p.deriv(k)(z) for p in basis]) for k in range(3))
    bending = ((w2 - a2 * w) * weight) @ (w2 - a2 * w).T
    twist = (w * weight) @ w2.T
    bending += (1 - poisson) * a2 * (twist + twist.T + 2 * (w1 * weight) @ w1.T)
    pushed = (w1 * weight * (height - z)) @ w1.T
    exact = 1 / scipy.linalg.eigh(pushed, bending, eigvals_only=True)[-1]

    rigidity = 50e3 * 0.04**3 / 12 / (1 - poisson**2)
    ours = held_buckling_course(WALL, np.full((30, 30), 50e3), length=length, poisson=poisson, tolerance=1e-10)
    weight_per_height = WALL.weight[0] / 0.01
    assert ours.load_factor[-1] == pytest.approx(exact * rigidity / weight_per_height, rel=1e-5)


def test_one_sine_and_many_polynomials_meet_the_integrals_of_the_book():
    sine, clamped = shapes_along("supported"), shapes_along("clamped", 1)

    assert sine.curvature / sine.plain == pytest.approx(np.array([[np.pi**4]]))
    # (1 - x²)² over -1 to 1: squares of it, of its slope and of its curvature, exact fractions.
    assert clamped.plain == pytest.approx(np.array([[128 / 315]]))
    assert clamped.slope == pytest.approx(np.array([[4 * 128 / 105]]))
    assert clamped.curvature == pytest.approx(np.array([[16 * 64 / 5]]))
    assert clamped.mixed == pytest.approx(-clamped.slope)


def test_it_takes_uneven_layers_pauses_and_moments():
    wall = Layers(
        laid=np.array([0.0, 40.0, 80.0, 900.0, 940.0]),
        height=np.array([0.01, 0.012, 0.01, 0.01, 0.011]),
        width=np.linspace(0.05, 0.04, 5),
        area=4e-4,
        density=2000.0,
    )
    when = np.array([-1.0, 80.0, 899.0, 940.0])
    course = held_buckling_course(wall, 50e3 + 50.0 * ages(wall, when), length=0.6, poisson=0.3, moments=when)

    assert np.isinf(course.load_factor[0])
    assert course.load_factor[2] > course.load_factor[1]
    assert 0 <= course.layer[-1] < 5


def test_moments_may_be_asked_for_in_any_order():
    backward = WALL.laid[[29, 3, 12]]
    asked = held_buckling_course(WALL, 80e3 + 60.0 * ages(WALL, backward), length=0.6, poisson=0.3, moments=backward)
    every = held_buckling_course(WALL, MODULUS, length=0.6, poisson=0.3)

    assert asked.load_factor == pytest.approx(every.load_factor[[29, 3, 12]], rel=1e-5)
