"""Rate laws of ageing: tables recomputed by hand, and their means along a ramp by closed forms."""

import numpy as np
import pytest
from scipy.integrate import quad
from scipy.special import exp1

from evenbead.physics.setting_rate import Arrhenius, FreieslebenHansenPedersen, NurseSaul


@pytest.mark.parametrize(
    ("reference", "temperatures", "factors"),
    [
        (20.0, [5, 10, 15, 25, 30, 35, 40], [0.413, 0.560, 0.752, 1.317, 1.718, 2.223, 2.852]),
        (23.0, [5, 10, 20, 30, 40], [0.350, 0.474, 0.847, 1.455, 2.415]),
    ],
)
def test_one_activation_energy_gives_the_table_recomputed_for_40_kj_per_mol(reference, temperatures, factors):
    """[ASTM-C1074] form; figures recomputed outside the project."""
    law = Arrhenius(activation_energy=40e3, reference_c=reference)

    assert law.factor(np.array(temperatures, float)) == pytest.approx(factors, abs=6e-4)


def test_another_activation_energy_gives_the_value_recomputed_for_it():
    """33.5 kJ/mol at 10 °C, recomputed outside the project."""
    assert Arrhenius(activation_energy=33.5e3).factor(10.0) == pytest.approx(0.6154, abs=1e-4)


def test_an_energy_that_rises_in_the_cold_gives_the_recomputed_table():
    """[FreieslebenHansen1977] form with constants from memory; figures recomputed outside the project."""
    temperatures = np.array([5.0, 10.0, 15.0, 20.0, 25.0, 30.0, 35.0, 40.0])

    ours = FreieslebenHansenPedersen().factor(temperatures)

    assert ours == pytest.approx([0.2925, 0.4974, 0.7476, 1.0000, 1.2592, 1.5737, 1.9524, 2.4057], abs=1e-4)


def test_the_two_forms_agree_where_it_is_warm():
    warm = np.linspace(20.0, 45.0, 6)

    assert FreieslebenHansenPedersen().factor(warm) == pytest.approx(Arrhenius(activation_energy=33.5e3).factor(warm))


def test_the_cold_form_has_no_step_at_20_degrees():
    law = FreieslebenHansenPedersen()

    assert law.factor(20.0 - 1e-9) == pytest.approx(law.factor(20.0 + 1e-9), rel=1e-9)


@pytest.mark.parametrize(("first", "last"), [(10.0, 30.0), (35.0, -5.0), (20.0, 20.001), (5.0, 5.0)])
def test_the_mean_along_a_ramp_is_the_integral_by_the_exponential_integral(first, last):
    """Closed form: ∫exp(-a/T) dT = T exp(-a/T) - a E1(a/T), with SciPy's E1."""
    law = Arrhenius(activation_energy=40e3)
    a = 40e3 / 8.314462618

    def integral(temperature_c):
        kelvin = temperature_c + 273.15
        return kelvin * np.exp(a / 293.15 - a / kelvin) - a * np.exp(a / 293.15) * exp1(a / kelvin)

    # Over a ramp of a thousandth of a degree the closed form itself cancels; the middle of the ramp is then exact.
    close = abs(last - first) < 0.1
    expected = law.factor((first + last) / 2) if close else (integral(last) - integral(first)) / (last - first)

    assert law.mean_factor(first, last) == pytest.approx(expected, rel=1e-9)


@pytest.mark.parametrize(("first", "last"), [(10.0, 30.0), (25.0, 15.0)])
def test_the_mean_of_the_cold_form_is_its_integral_by_quadrature(first, last):
    law = FreieslebenHansenPedersen()
    area, _ = quad(law.factor, first, last, points=[20.0])

    assert law.mean_factor(first, last) == pytest.approx(area / (last - first), rel=1e-4)


def test_a_ramp_through_the_datum_counts_only_for_its_part_above():
    """From -10 to 20 °C at a datum of 0 °C: two thirds of the way at 10 degrees on average."""
    law = NurseSaul(datum_c=0.0, reference_c=20.0)

    assert law.mean_factor(-10.0, 20.0) == pytest.approx(2 / 3 * 10 / 20)
    assert law.mean_factor(20.0, -10.0) == pytest.approx(2 / 3 * 10 / 20)
    assert law.mean_factor(-10.0, -5.0) == 0.0
    assert law.mean_factor(0.0, 0.0) == 0.0
    assert law.mean_factor(10.0, 30.0) == 1.0


def test_a_law_of_many_draws_gives_one_factor_for_each():
    law = Arrhenius(activation_energy=np.array([30e3, 40e3, 50e3]))

    assert law.factor(30.0).shape == (3,)
    assert law.mean_factor(25.0, np.array([[30.0], [35.0]])).shape == (2, 3)
