"""Laws by which a fresh mortar at rest grows stiffer, as values.

Each law says how much a stress has grown after an age at rest: the *gain* over what it was at first. The same laws
serve the yield stress and the elastic modulus. Age is equivalent age (see `setting`), so that a law measured at the
reference temperature holds at any other; `rheology` puts start, water and temperature together.

A mortar can only lose what it has gained by being sheared: no law here falls.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Protocol

import numpy as np

from evenbead.physics.ranges import within

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Numbers = float | NDArray[np.float64]


class GrowthLaw(Protocol):
    """What a law of growth can answer."""

    def gain(self, age: Numbers) -> Numbers:
        """How much has been gained after an age at rest. [Pa]"""
        ...

    def rate_at(self, age: Numbers) -> Numbers:
        """How fast it grows at an age. [Pa/s]"""
        ...

    def age_for(self, gain: Numbers) -> Numbers:
        """The first age at which a gain is reached: zero for none, infinite where it never is. [s]"""
        ...


@dataclass(frozen=True, slots=True, kw_only=True)
class LinearGrowth:
    """The same gain every second: A·t.

    Valid for: the first tens of minutes at rest, before the dormant period ends.  Source: [Roussel2006]; abstract,
    the formula from memory.

    Attributes
    ----------
    rate : float or array
        A, not negative. [Pa/s]

    Examples
    --------
    >>> LinearGrowth(rate=0.5).gain(600.0)
    300.0
    """

    rate: Numbers

    def __post_init__(self) -> None:
        within(self.rate, "growth rate", at_least=0.0)

    def gain(self, age: Numbers) -> Numbers:
        """How much has been gained after an age at rest. [Pa]"""
        return self.rate * age

    def rate_at(self, age: Numbers) -> Numbers:
        """How fast it grows at an age. [Pa/s]"""
        return self.rate + 0.0 * age

    def age_for(self, gain: Numbers) -> Numbers:
        """The first age at which a gain is reached. [s]"""
        return _age_at_rate(gain, self.rate)


@dataclass(frozen=True, slots=True, kw_only=True)
class ExponentialGrowth:
    """A gain that starts at a rate and grows ever faster: A t_c [exp(t/t_c) - 1].

    Valid for: up to about setting; the linear law while t is small against t_c.  Source: [Perrot2015]; abstract,
    the formula from memory.

    Attributes
    ----------
    rate : float or array
        A, the growth at first, not negative. [Pa/s]
    time : float or array
        t_c, above zero; the shorter, the sooner it leaves the straight line. [s]

    Examples
    --------
    >>> ExponentialGrowth(rate=0.5, time=1800.0).gain(np.array([60.0, 3600.0])).round(2)
    array([  30.51, 5750.15])
    """

    rate: Numbers
    time: Numbers

    def __post_init__(self) -> None:
        within(self.rate, "growth rate", at_least=0.0)
        within(self.time, "characteristic time", above=0.0)

    def gain(self, age: Numbers) -> Numbers:
        """How much has been gained after an age at rest. [Pa]"""
        gained: Numbers = self.rate * self.time * np.expm1(np.asarray(age, float) / self.time)
        return gained

    def rate_at(self, age: Numbers) -> Numbers:
        """How fast it grows at an age. [Pa/s]"""
        rate: Numbers = self.rate * np.exp(np.asarray(age, float) / self.time)
        return rate

    def age_for(self, gain: Numbers) -> Numbers:
        """The first age at which a gain is reached. [s]"""
        age: Numbers = self.time * np.log1p(_age_at_rate(gain, self.rate) / self.time)
        return age


@dataclass(frozen=True, slots=True, kw_only=True)
class BilinearGrowth:
    """First the flocs that flow broke come back, fast; then slow structuration goes on.

    The gain is R·t until the rise from dynamic to static yield stress is made, then A·t on top of it.

    Valid for: thixotropic one-part mortars, where R is up to ten times A.  Source: [Kruger2019]; abstract, the
    symbols from memory.

    Attributes
    ----------
    reflocculation : float or array
        R, above zero. [Pa/s]
    rise : float or array
        Static less dynamic yield stress, not negative. [Pa]
    structuration : float or array
        A, not negative. [Pa/s]

    Examples
    --------
    >>> law = BilinearGrowth(reflocculation=5.0, rise=1500.0, structuration=0.8)
    >>> 1000.0 + law.gain(np.array([100.0, 300.0, 600.0, 3600.0]))
    array([1500., 2500., 2740., 5140.])
    """

    reflocculation: Numbers
    rise: Numbers
    structuration: Numbers

    def __post_init__(self) -> None:
        within(self.reflocculation, "re-flocculation rate", above=0.0)
        within(self.rise, "rise from dynamic to static yield stress", at_least=0.0)
        within(self.structuration, "structuration rate", at_least=0.0)

    @property
    def bend(self) -> Numbers:
        """When the rise is made and the slow growth takes over. [s]"""
        return self.rise / self.reflocculation

    def gain(self, age: Numbers) -> Numbers:
        """How much has been gained after an age at rest. [Pa]"""
        fast: Numbers = np.minimum(age, self.bend)
        slow: Numbers = np.maximum(age - self.bend, 0.0)
        return self.reflocculation * fast + self.structuration * slow

    def rate_at(self, age: Numbers) -> Numbers:
        """How fast it grows at an age; at the bend the slow rate holds. [Pa/s]"""
        rate: Numbers = np.where(np.asarray(age) < self.bend, self.reflocculation, self.structuration)[()]
        return rate

    def age_for(self, gain: Numbers) -> Numbers:
        """The first age at which a gain is reached. [s]"""
        fast: Numbers = np.minimum(np.maximum(gain, 0.0), self.rise) / self.reflocculation
        return fast + _age_at_rate(np.maximum(gain - self.rise, 0.0), self.structuration)


@dataclass(frozen=True, slots=True, kw_only=True)
class PowerGrowth:
    """A gain that goes with a power of the age, as accelerated mortars do: G (t/t_1)^n.

    Valid for: the span of ages it was fitted over.  Source: [Suiker2021] uses a power law; abstract, this form from
    memory.

    Attributes
    ----------
    gained : float or array
        G, the gain after the time t_1, not negative. [Pa]
    time : float or array
        t_1, above zero. [s]
    exponent : float or array
        n, above zero; 1 is the linear law. [1]

    Examples
    --------
    >>> PowerGrowth(gained=12e3, time=600.0, exponent=1.5).gain(1200.0)
    33941.
    """

    gained: Numbers
    time: Numbers
    exponent: Numbers

    def __post_init__(self) -> None:
        within(self.gained, "gain", at_least=0.0)
        within(self.time, "time of the gain", above=0.0)
        within(self.exponent, "exponent", above=0.0)

    def gain(self, age: Numbers) -> Numbers:
        """How much has been gained after an age at rest. [Pa]"""
        return self.gained * (age / self.time) ** self.exponent

    def rate_at(self, age: Numbers) -> Numbers:
        """How fast it grows at an age; infinite at first where n is below 1. [Pa/s]"""
        with np.errstate(divide="ignore"):
            slope: Numbers = np.asarray(age / self.time, float) ** (self.exponent - 1.0)
        return self.gained * self.exponent / self.time * slope

    def age_for(self, gain: Numbers) -> Numbers:
        """The first age at which a gain is reached. [s]"""
        return self.time * _age_at_rate(gain, self.gained) ** (1.0 / self.exponent)


def _age_at_rate(gain: Numbers, rate: Numbers) -> Numbers:
    """Gain over rate, where nothing wanted takes no time and nothing gained takes for ever."""
    wanted = np.maximum(np.asarray(gain, float), 0.0)
    with np.errstate(divide="ignore", invalid="ignore"):
        age: Numbers = np.where(wanted > 0.0, wanted / np.asarray(rate, float), 0.0)[()]
    return age
