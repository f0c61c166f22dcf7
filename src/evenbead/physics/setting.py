"""How old a mortar really is: equivalent age along the temperatures it has been through, and its open time.

The temperature that counts is that of the mortar, not of the air. Readings of it make a history, as steps or joined
by straight lines; a rate law (see `setting_rate`) says how fast it ages at each; the sum over a stretch of time is the
age it would have reached in that time at the reference temperature. Open time, setting time and growth at rest,
all measured at the reference, then hold at any temperature.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal, Self

import numpy as np

if TYPE_CHECKING:
    from numpy.typing import ArrayLike, NDArray

    from evenbead.physics.setting_rate import NurseSaul, RateLaw

    Floats = NDArray[np.float64]
    Numbers = float | Floats

# Halving alone gets there in 50 steps; Newton's rule mostly in 5.
_MOST_STEPS = 60
_CLOSE = 1e-15


@dataclass(frozen=True, slots=True, kw_only=True)
class TemperatureHistory:
    """The temperature of a mortar from reading to reading; the first holds before, the last one after.

    Attributes
    ----------
    time : (n,) array
        Moments of the readings, ascending, each once. [s]
    temperature_c : (n,) or (n, ...) array
        Temperature from each moment on; further axes are cases side by side, such as random draws. [degC]
    between : "ramps" or "steps"
        Whether it goes evenly to the next reading, or stays until then. [-]
    """

    time: Floats
    temperature_c: Floats
    between: Literal["ramps", "steps"] = "ramps"

    def __post_init__(self) -> None:
        time, temperature = np.asarray(self.time, np.float64), np.asarray(self.temperature_c, np.float64)
        if time.ndim != 1 or len(time) == 0 or temperature.shape[:1] != time.shape:
            raise ValueError(f"{temperature.shape} temperatures at {time.shape} moments, expected one for each")
        if not np.all(np.diff(time) > 0.0) or not np.all(np.isfinite(temperature)):
            raise ValueError("time is not ascending, or a temperature is missing")
        object.__setattr__(self, "time", time)
        object.__setattr__(self, "temperature_c", temperature)

    @classmethod
    def constant(cls, temperature_c: ArrayLike) -> Self:
        """One temperature for all time; of an array, one for each case."""
        return cls(time=np.zeros(1), temperature_c=np.asarray(temperature_c, np.float64)[np.newaxis])


def equivalent_age(history: TemperatureHistory, *, since: Numbers = 0.0, until: Numbers, rate: RateLaw) -> Numbers:
    """Time at the reference temperature that would age the mortar as much as it has aged.

    t_e = ∫ factor(T) dt.

    Parameters
    ----------
    history : TemperatureHistory
        Temperature of the mortar. [degC]
    since : float or array
        When it was mixed, laid, or left at rest. [s]
    until : float or array
        When its age is asked for. [s]
    rate : RateLaw
        How fast it ages at each temperature; its numbers may be arrays of cases. [1]

    Returns
    -------
    age : float or array
        Shapes broadcast: cases of the history, of the law, and of both moments. [s]

    Valid for: as the rate law. Steps are summed exactly, ramps to a relative 1e-9; a ramp through
    the bend of Freiesleben Hansen and Pedersen's law at 20 °C to 2e-5.

    Source: [ASTM-C1074]; from memory.

    Examples
    --------
    >>> from evenbead.physics.setting_rate import Arrhenius
    >>> day = TemperatureHistory(time=[0.0, 43200.0], temperature_c=[20.0, 25.0], between="steps")
    >>> float(equivalent_age(day, until=86400.0, rate=Arrhenius(activation_energy=40e3))) / 3600
    27.80
    """
    ageing = _Ageing.along(history, rate, cases=np.broadcast_shapes(np.shape(since), np.shape(until)))
    age: Numbers = (ageing.at(until) - ageing.at(since))[()]
    return age


def time_at_equivalent_age(
    history: TemperatureHistory, age: Numbers, *, since: Numbers = 0.0, rate: RateLaw
) -> Numbers:
    """The first moment at which a mortar has reached an equivalent age: the inverse of `equivalent_age`.

    Parameters
    ----------
    history : TemperatureHistory
        Temperature of the mortar. [degC]
    age : float or array
        Age at the reference temperature, not negative; may be infinite. [s]
    since : float or array
        When it was mixed, laid, or left at rest. [s]
    rate : RateLaw
        How fast it ages at each temperature. [1]

    Returns
    -------
    time : float or array
        Infinite where it never gets so old. [s]

    Valid for: as `equivalent_age`.

    Source: as `equivalent_age`.

    Examples
    --------
    >>> from evenbead.physics.setting_rate import Arrhenius
    >>> warm = TemperatureHistory.constant(30.0)
    >>> float(time_at_equivalent_age(warm, 3600.0, rate=Arrhenius(activation_energy=40e3))) / 60
    34.9
    """
    if np.any(np.asarray(age, float) < 0.0):
        raise ValueError(f"age is {age}, expected a time that is not negative")
    ageing = _Ageing.along(history, rate, cases=np.broadcast_shapes(np.shape(since), np.shape(age)))
    time: Numbers = np.maximum(ageing.when(ageing.at(since) + age), since)[()]
    return time


def open_time(history: TemperatureHistory, *, at_reference: Numbers, since: Numbers = 0.0, rate: RateLaw) -> Numbers:
    """How long a mortar stays open along the temperatures that await it.

    Parameters
    ----------
    history : TemperatureHistory
        Temperature of the mortar. [degC]
    at_reference : float or array
        Open time at the reference temperature of the rate law. [s]
    since : float or array
        When it was mixed. [s]
    rate : RateLaw
        How fast it ages at each temperature. [1]

    Returns
    -------
    duration : float or array
        From `since` on. [s]

    Valid for: an estimate; admixtures do not follow one law, and an accelerated mortar least of all.

    Source: as `equivalent_age`; that open time scales as the setting time does is common practice, no source.

    Examples
    --------
    >>> from evenbead.physics.setting_rate import Arrhenius
    >>> cool = TemperatureHistory.constant(10.0)
    >>> float(open_time(cool, at_reference=3600.0, rate=Arrhenius(activation_energy=40e3))) / 60
    107.1
    """
    return time_at_equivalent_age(history, at_reference, since=since, rate=rate) - since


def maturity(history: TemperatureHistory, *, since: Numbers = 0.0, until: Numbers, law: NurseSaul) -> Numbers:
    """Degrees above the datum times time, the oldest measure of ageing.

    M = ∫ max(T - T_0, 0) dt.

    Parameters
    ----------
    history : TemperatureHistory
        Temperature of the mortar. [degC]
    since : float or array
        When it was mixed. [s]
    until : float or array
        When its maturity is asked for. [s]
    law : NurseSaul
        Gives the datum. [degC]

    Returns
    -------
    maturity : float or array
        [K*s]

    Valid for: as `NurseSaul`.

    Source: [ASTM-C1074]; from memory.

    Examples
    --------
    >>> from evenbead.physics.setting_rate import NurseSaul
    >>> month = TemperatureHistory.constant(15.0)
    >>> float(maturity(month, until=28 * 86400.0, law=NurseSaul(datum_c=-11.0))) / 86400
    728.0
    """
    return equivalent_age(history, since=since, until=until, rate=law) * (law.reference_c - law.datum_c)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Ageing:
    """A history cut into pieces of even change, with the age at which each begins.

    The piece before the first reading counts backward from it, the piece after the last goes on for ever. Cases stand
    on the axes after the first.
    """

    moments: Floats  # (n,) of the readings
    begins: Floats  # (n + 1,) moment from which each piece is counted
    temperature_c: Floats  # (n + 1, ...) there
    slope: Floats  # (n + 1, ...) degrees per second along the piece
    age: Floats  # (n + 1, ...) at the beginning
    rate: RateLaw

    @classmethod
    def along(cls, history: TemperatureHistory, rate: RateLaw, *, cases: tuple[int, ...]) -> Self:
        time, temperature = history.time, history.temperature_c
        of_law = np.shape(rate.factor(20.0))
        axes = len(np.broadcast_shapes(temperature.shape[1:], of_law, cases))
        padding = axes - (temperature.ndim - 1)
        temperature = temperature.reshape(len(time), *[1] * padding, *temperature.shape[1:])
        lasting = np.diff(time).reshape(-1, *[1] * axes)
        rise = np.diff(temperature, axis=0) / lasting if history.between == "ramps" else np.zeros_like(temperature[1:])
        aged = np.asarray(rate.mean_factor(temperature[:-1], temperature[:-1] + rise * lasting), float) * lasting
        flat = np.zeros_like(temperature[:1])
        start = np.zeros((1, *aged.shape[1:]))
        return cls(
            moments=time,
            begins=np.concatenate((time[:1], time)),
            temperature_c=np.concatenate((temperature[:1], temperature)),
            slope=np.concatenate((flat, rise, flat)),
            age=np.concatenate((start, start, np.cumsum(aged, axis=0))),
            rate=rate,
        )

    def at(self, moment: Numbers) -> Floats:
        """Age at a moment, counted from the first reading; negative before it."""
        when = np.asarray(moment, np.float64)
        piece = np.searchsorted(self.moments, when, side="right")
        return self._within(piece, when - self.begins[piece])

    def when(self, age: Numbers) -> Floats:
        """The first moment of an age that is counted from the first reading."""
        wanted = np.asarray(age, np.float64)
        piece = np.asarray(np.sum(self.age[1:] < wanted, axis=0))
        missing = wanted - _picked(self.age, piece)
        steady = np.asarray(self.rate.factor(_picked(self.temperature_c, piece)), float)
        with np.errstate(divide="ignore", invalid="ignore"):
            passed = np.where(missing == 0.0, 0.0, missing / steady)
        on_ramp = _picked(self.slope, piece) != 0.0
        if np.any(on_ramp):
            passed = np.where(on_ramp, self._solved(piece, missing), passed)
        result: Floats = self.begins[piece] + passed
        return result

    def _within(self, piece: NDArray[np.intp], passed: Floats) -> Floats:
        """Age after some time in a piece."""
        first = _picked(self.temperature_c, piece)
        last = first + _picked(self.slope, piece) * passed
        aged: Floats = _picked(self.age, piece) + np.asarray(self.rate.mean_factor(first, last), float) * passed
        return aged

    def _solved(self, piece: NDArray[np.intp], missing: Floats) -> Floats:
        """Time into a ramp after which an age is reached, by halving what is left and Newton's rule within it."""
        first, slope = _picked(self.temperature_c, piece), _picked(self.slope, piece)
        low = np.zeros(np.broadcast_shapes(first.shape, missing.shape))
        longest = np.append(np.diff(self.begins), 0.0)[piece]
        high = low + longest
        passed = high / 2.0
        for _ in range(_MOST_STEPS):
            before, last = passed, first + slope * passed
            too_much = np.asarray(self.rate.mean_factor(first, last), float) * passed - missing
            high, low = np.where(too_much > 0.0, passed, high), np.where(too_much > 0.0, low, passed)
            with np.errstate(divide="ignore", invalid="ignore"):
                better = passed - too_much / np.asarray(self.rate.factor(last), float)
            passed = np.where((better >= low) & (better <= high), better, (low + high) / 2.0)
            if np.all(np.abs(passed - before) <= _CLOSE * longest):
                break
        return np.asarray(passed, np.float64)


def _picked(columns: Floats, piece: NDArray[np.intp]) -> Floats:
    """The row of each case: `columns[piece]` where the cases have rows of their own."""
    axes = columns.ndim - 1
    shape = np.broadcast_shapes(columns.shape[1:], piece.shape)
    rows = np.broadcast_to(columns, (len(columns), *shape)) if axes else columns
    taken = np.take_along_axis(rows, np.broadcast_to(piece, shape)[np.newaxis], axis=0)[0] if axes else rows[piece]
    return np.asarray(taken, np.float64)
