"""What an uncertain input could be, as values: each maps a share of all cases to the value that lies above that share.

That mapping, the inverse of the distribution function, turns evenly spread numbers between 0 and 1 into draws, whether
those are random or placed on purpose (`draws` makes both). The shapes are those that the supplement on simulation to
the guide on uncertainty names [JCGM-101] together with the two that the trade needs: a lognormal for what can't be
negative, and a cut for what nature or a supplier's range excludes.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING, Protocol, Self

import numpy as np

from evenbead.errors import NotPossible
from evenbead.physics.ranges import within

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from evenbead.physics.uncertainty import Estimate

    Numbers = float | NDArray[np.float64]

# A cut that keeps less than this leaves so little of the distribution's tail that round-off would shape it.
_SMALLEST_SHARE_KEPT = 1e-6


class Distribution(Protocol):
    """What a distribution can answer."""

    def at(self, share: Numbers) -> Numbers:
        """The value below which a share of all cases lies, in the unit of the value. [-]"""
        ...

    def share_below(self, value: Numbers) -> Numbers:
        """The share of all cases that lies below a value. [1]"""
        ...


@dataclass(frozen=True, slots=True, kw_only=True)
class Fixed:
    """No doubt at all: keeps the place of an input that is taken as known.

    Source: definition.

    Attributes
    ----------
    value : float
        What it always is. [-]
    """

    value: float

    def __post_init__(self) -> None:
        within(self.value, "value")

    def at(self, share: Numbers) -> Numbers:
        """The value, whatever the share. [-]"""
        return self.value + 0.0 * share

    def share_below(self, value: Numbers) -> Numbers:
        """All or nothing. [1]"""
        share: Numbers = np.where(np.asarray(value, float) >= self.value, 1.0, 0.0)[()]
        return share


@dataclass(frozen=True, slots=True, kw_only=True)
class Normal:
    """A best estimate with a standard uncertainty, and nothing else known.

    Source: [JCGM-101] 6.4.7.

    Attributes
    ----------
    mean : float
        Best estimate. [-]
    sd : float
        Standard uncertainty, above zero, in the same unit. [-]

    Examples
    --------
    >>> float(Normal(mean=0.158, sd=0.002).at(0.975))
    0.16192
    """

    mean: float
    sd: float

    def __post_init__(self) -> None:
        within(self.mean, "mean")
        within(self.sd, "standard deviation", above=0.0)

    def at(self, share: Numbers) -> Numbers:
        """The value below which a share of all cases lies. [-]"""
        from scipy.special import ndtri  # noqa: PLC0415  (SciPy is slow to import)

        value: Numbers = self.mean + self.sd * ndtri(share)
        return value

    def share_below(self, value: Numbers) -> Numbers:
        """The share of all cases that lies below a value. [1]"""
        from scipy.special import ndtr  # noqa: PLC0415  (SciPy is slow to import)

        share: Numbers = ndtr((np.asarray(value, float) - self.mean) / self.sd)
        return share


@dataclass(frozen=True, slots=True, kw_only=True)
class LogNormal:
    """A quantity above zero whose doubt is a factor: as likely twice too large as half as large.

    Source: definition; the logarithm is normal.

    Attributes
    ----------
    median : float
        As often above as below; above zero. [-]
    factor : float
        About two cases in three lie between the median over the factor and the median times it; above 1. [1]

    Examples
    --------
    >>> float(LogNormal(median=0.30, factor=1.25).share_below(0.375))
    0.8413
    """

    median: float
    factor: float

    def __post_init__(self) -> None:
        within(self.median, "median", above=0.0)
        within(self.factor, "factor", above=1.0)

    @classmethod
    def with_relative_sd(cls, *, median: float, relative_sd: float) -> Self:
        """The lognormal whose standard deviation is this share of its mean. [1]"""
        within(relative_sd, "relative standard deviation", above=0.0)
        return cls(median=median, factor=math.exp(math.sqrt(math.log1p(relative_sd**2))))

    def at(self, share: Numbers) -> Numbers:
        """The value below which a share of all cases lies. [-]"""
        from scipy.special import ndtri  # noqa: PLC0415  (SciPy is slow to import)

        value: Numbers = self.median * np.exp(math.log(self.factor) * ndtri(share))
        return value

    def share_below(self, value: Numbers) -> Numbers:
        """The share of all cases that lies below a value; none below zero. [1]"""
        from scipy.special import ndtr  # noqa: PLC0415  (SciPy is slow to import)

        with np.errstate(divide="ignore"):  # nothing lies below zero: its logarithm is minus infinity
            logarithm = np.log(np.maximum(np.asarray(value, float) / self.median, 0.0))
        share: Numbers = ndtr(logarithm / math.log(self.factor))
        return share


@dataclass(frozen=True, slots=True, kw_only=True)
class Rectangular:
    """Known only to lie between two limits, anywhere alike.

    Source: [JCGM-101] 6.4.2.

    Attributes
    ----------
    low : float
        Lower limit. [-]
    high : float
        Upper limit, above the lower. [-]

    Examples
    --------
    >>> Rectangular(low=0.02, high=0.04).at(0.25)
    0.025
    """

    low: float
    high: float

    def __post_init__(self) -> None:
        within(self.low, "lower limit")
        within(self.high, "upper limit", above=self.low)

    def at(self, share: Numbers) -> Numbers:
        """The value below which a share of all cases lies. [-]"""
        return self.low + (self.high - self.low) * share

    def share_below(self, value: Numbers) -> Numbers:
        """The share of all cases that lies below a value. [1]"""
        share: Numbers = np.clip((np.asarray(value, float) - self.low) / (self.high - self.low), 0.0, 1.0)
        return share


@dataclass(frozen=True, slots=True, kw_only=True)
class Triangular:
    """Limits and a likeliest value: how somebody with experience answers.

    Source: [JCGM-101] 6.4.5 for the symmetric one; the skewed one from its definition.

    Attributes
    ----------
    low : float
        Lower limit. [-]
    mode : float
        Likeliest value, anywhere from one limit to the other. [-]
    high : float
        Upper limit, above the lower. [-]

    Examples
    --------
    >>> float(Triangular(low=10.0, mode=12.0, high=20.0).at(0.5))
    13.675
    """

    low: float
    mode: float
    high: float

    def __post_init__(self) -> None:
        within(self.low, "lower limit")
        within(self.high, "upper limit", above=self.low)
        within(self.mode, "likeliest value", at_least=self.low, at_most=self.high)

    def at(self, share: Numbers) -> Numbers:
        """The value below which a share of all cases lies. [-]"""
        share = np.asarray(share, float)
        width, left, right = self.high - self.low, self.mode - self.low, self.high - self.mode
        rising = self.low + np.sqrt(share * width * left)
        falling = self.high - np.sqrt((1.0 - share) * width * right)
        value: Numbers = np.where(share * width < left, rising, falling)[()]
        return value

    def share_below(self, value: Numbers) -> Numbers:
        """The share of all cases that lies below a value. [1]"""
        value = np.clip(np.asarray(value, float), self.low, self.high)
        width, left, right = self.high - self.low, self.mode - self.low, self.high - self.mode
        # A side without length holds no case; the guard only keeps its division sound.
        rising = (value - self.low) ** 2 / (width * (left or 1.0))
        falling = 1.0 - (self.high - value) ** 2 / (width * (right or 1.0))
        share: Numbers = np.where(value < self.mode, rising, falling)[()]
        return share


@dataclass(frozen=True, slots=True, kw_only=True)
class StudentT:
    """A best estimate whose standard uncertainty stems from few readings: wider in the tails than a normal.

    Source: [JCGM-101] 6.4.9.

    Attributes
    ----------
    mean : float
        Best estimate. [-]
    u : float
        Standard uncertainty as found from the readings, above zero; the draws scatter more than this, because it is
        itself not well known. [-]
    dof : float
        Degrees of freedom behind it, at least 1. [1]

    Examples
    --------
    >>> float(StudentT(mean=0.0, u=1.0, dof=5).at(0.975))
    2.571
    """

    mean: float
    u: float
    dof: float

    def __post_init__(self) -> None:
        within(self.mean, "mean")
        within(self.u, "standard uncertainty", above=0.0)
        within(self.dof, "degrees of freedom", at_least=1.0)

    def at(self, share: Numbers) -> Numbers:
        """The value below which a share of all cases lies. [-]"""
        from scipy.special import stdtrit  # noqa: PLC0415  (SciPy is slow to import)

        value: Numbers = self.mean + self.u * np.asarray(stdtrit(self.dof, share), np.float64)[()]
        return value

    def share_below(self, value: Numbers) -> Numbers:
        """The share of all cases that lies below a value. [1]"""
        from scipy.special import stdtr  # noqa: PLC0415  (SciPy is slow to import)

        away = (np.asarray(value, float) - self.mean) / self.u
        share: Numbers = np.asarray(stdtr(self.dof, away), np.float64)[()]
        return share


@dataclass(frozen=True, slots=True, kw_only=True)
class Truncated:
    """Another distribution, of which only what lies between two limits can happen.

    Valid for: limits that keep at least a millionth of it.  Source: definition; the share that is cut off is spread
    over the rest in proportion.

    Attributes
    ----------
    of : Distribution
        What is cut. [-]
    low : float
        Lower limit; minus infinity for none. [-]
    high : float
        Upper limit, above the lower; infinity for none. [-]

    Examples
    --------
    >>> float(Truncated(of=Normal(mean=0.0, sd=1.0), low=0.0).at(0.5))
    0.6745
    """

    of: Distribution
    low: float = -math.inf
    high: float = math.inf

    def __post_init__(self) -> None:
        if not self.low < self.high:
            raise ValueError(f"the limits are {self.low:g} and {self.high:g}, expected the lower one first")
        below, above = self._shares()
        if above - below < _SMALLEST_SHARE_KEPT:
            raise NotPossible(
                f"next to nothing of the distribution lies between {self.low:g} and {self.high:g}: "
                "either the limits or the estimate is wrong"
            )

    def at(self, share: Numbers) -> Numbers:
        """The value below which a share of the cases left lies. [-]"""
        below, above = self._shares()
        # Round-off may carry a share past the limit by a last digit.
        value: Numbers = np.clip(self.of.at(below + (above - below) * share), self.low, self.high)
        return value

    def share_below(self, value: Numbers) -> Numbers:
        """The share of the cases left that lies below a value. [1]"""
        below, above = self._shares()
        share: Numbers = np.clip((self.of.share_below(value) - below) / (above - below), 0.0, 1.0)
        return share

    def _shares(self) -> tuple[float, float]:
        """The shares of the whole distribution below either limit."""
        return float(self.of.share_below(self.low)), float(self.of.share_below(self.high))


def distribution_of(estimate: Estimate) -> Distribution:
    """What a value could be, given its estimate.

    Parameters
    ----------
    estimate : Estimate
        A single value with its standard uncertainty. [-]

    Returns
    -------
    distribution : Distribution
        Student's t where the uncertainty stems from few readings, normal where it is taken as known, fixed where
        there is none. [-]

    Source: [JCGM-101] 6.4.7 and 6.4.9.

    Examples
    --------
    >>> from evenbead.physics.readings import mean_of_readings
    >>> distribution_of(mean_of_readings([3.0, 3.2, 3.1])).dof
    2
    """
    value, u = float(estimate.value), float(estimate.u)
    if u == 0.0:
        return Fixed(value=value)
    if math.isinf(estimate.dof):
        return Normal(mean=value, sd=u)
    return StudentT(mean=value, u=u, dof=estimate.dof)
