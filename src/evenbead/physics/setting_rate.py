"""How fast a mortar ages at a temperature, against the temperature it was tested at.

A rate law turns hours at any temperature into hours at the reference: the *equivalent age*. Every law gives 1 at its
reference and more where it is warmer. Three of them are in use: one activation energy for all temperatures, the same
with an energy that rises in the cold, and the straight line of Nurse and Saul.

This fails where temperature does more than speed up one reaction: with an accelerator, a retarder or a thickener the
chemistry itself changes, and mortar tested at the temperature in question beats any law.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Protocol

import numpy as np

from evenbead.physics.constants import GAS_CONSTANT, ZERO_CELSIUS

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]
    Numbers = float | Floats

# Eight points of Gauss and Legendre: exact to round-off for the smooth factors here, over ramps of up to some 40 K.
_POINTS, _WEIGHTS = np.polynomial.legendre.leggauss(8)


class RateLaw(Protocol):
    """What a law of ageing can answer."""

    def factor(self, temperature_c: Numbers) -> Numbers:
        """Seconds aged at the reference for every second at a temperature. [1]"""
        ...

    def mean_factor(self, first_c: Numbers, last_c: Numbers) -> Numbers:
        """The mean of that factor while the temperature goes evenly from one value to another. [1]"""
        ...


@dataclass(frozen=True, slots=True, kw_only=True)
class Arrhenius:
    """One activation energy for all temperatures: exp[(E/R)(1/T_r - 1/T)].

    Valid for: 0 to 40 °C as a planning estimate. [ASTM-C1074] suggests 40 to 45 kJ/mol for plain cement and no
    admixture; for a bagged mortar fit it from setting tests.  Source: [ASTM-C1074]; from memory.

    Attributes
    ----------
    activation_energy : float or array
        How strongly temperature speeds the mortar up. [J/mol]
    reference_c : float or array
        Where the factor is 1. [degC]

    Examples
    --------
    >>> Arrhenius(activation_energy=40e3).factor(np.array([10.0, 20.0, 30.0])).round(3)
    array([0.56 , 1.   , 1.718])
    """

    activation_energy: Numbers
    reference_c: Numbers = 20.0

    def factor(self, temperature_c: Numbers) -> Numbers:
        """Seconds aged at the reference for every second at a temperature. [1]"""
        return _arrhenius(temperature_c, self.activation_energy, self.reference_c)

    def mean_factor(self, first_c: Numbers, last_c: Numbers) -> Numbers:
        """The mean of that factor while the temperature goes evenly from one value to another. [1]"""
        return _mean_along_ramp(self, first_c, last_c)


@dataclass(frozen=True, slots=True, kw_only=True)
class FreieslebenHansenPedersen:
    """An activation energy that rises in the cold: E = B at 20 °C and above, B + C(20 °C - T) below.

    Valid for: Portland cement without admixtures.  Source: [FreieslebenHansen1977]; the form seen in a copy of a
    Danish test method, the two constants from memory.

    Attributes
    ----------
    warm_energy : float or array
        B, the activation energy at 20 °C and above. [J/mol]
    cold_rise : float or array
        C, its rise with each degree below. [J/mol/K]

    Examples
    --------
    >>> FreieslebenHansenPedersen().factor(np.array([5.0, 20.0, 40.0])).round(3)
    array([0.293, 1.   , 2.406])
    """

    warm_energy: Numbers = 33.5e3
    cold_rise: Numbers = 1.47e3

    def factor(self, temperature_c: Numbers) -> Numbers:
        """Seconds aged at 20 °C for every second at a temperature. [1]"""
        energy = self.warm_energy + self.cold_rise * np.maximum(20.0 - np.asarray(temperature_c, float), 0.0)
        return _arrhenius(temperature_c, energy, 20.0)

    def mean_factor(self, first_c: Numbers, last_c: Numbers) -> Numbers:
        """The mean of that factor while the temperature goes evenly from one value to another. [1]"""
        return _mean_along_ramp(self, first_c, last_c)


@dataclass(frozen=True, slots=True, kw_only=True)
class NurseSaul:
    """Ageing in proportion to the degrees above a datum, and none below it.

    Valid for: strength near the reference; over wide swings the Arrhenius law follows tests better.  Source:
    [ASTM-C1074]; from memory, with older practice at a datum of -10 or -11 °C.

    Attributes
    ----------
    datum_c : float or array
        Where ageing stops. [degC]
    reference_c : float or array
        Where the factor is 1. [degC]

    Examples
    --------
    >>> NurseSaul(datum_c=0.0).factor(np.array([-5.0, 10.0, 30.0]))
    array([0. , 0.5, 1.5])
    """

    datum_c: Numbers = 0.0
    reference_c: Numbers = 20.0

    def factor(self, temperature_c: Numbers) -> Numbers:
        """Seconds aged at the reference for every second at a temperature. [1]"""
        above: Numbers = np.maximum(np.asarray(temperature_c, float) - self.datum_c, 0.0)
        return above / (self.reference_c - self.datum_c)

    def mean_factor(self, first_c: Numbers, last_c: Numbers) -> Numbers:
        """The mean of that factor while the temperature goes evenly from one value to another. [1]"""
        ends = np.stack(np.broadcast_arrays(np.asarray(first_c, float), np.asarray(last_c, float))) - self.datum_c
        above = np.maximum(ends, 0.0).sum(axis=0)
        travelled = np.abs(ends).sum(axis=0)
        # A ramp through the datum counts for the share of it that lies above.
        share = np.divide(above, travelled, out=np.ones_like(above), where=travelled > 0.0)
        mean: Numbers = above / 2.0 * share
        return mean / (self.reference_c - self.datum_c)


def _arrhenius(temperature_c: Numbers, energy: Numbers, reference_c: Numbers) -> Numbers:
    inverse = 1.0 / (reference_c + ZERO_CELSIUS) - 1.0 / (np.asarray(temperature_c, float) + ZERO_CELSIUS)
    factor: Numbers = np.exp(energy / GAS_CONSTANT * inverse)
    return factor


def _mean_along_ramp(law: RateLaw, first_c: Numbers, last_c: Numbers) -> Numbers:
    """The mean of a smooth factor over an even change of temperature, by quadrature."""
    rise = np.asarray(last_c, float) - first_c
    shares = zip((1.0 + _POINTS) / 2.0, _WEIGHTS / 2.0, strict=True)
    return sum((weight * law.factor(first_c + share * rise) for share, weight in shares), start=0.0)
