"""Starting again after a pause: the pressure it takes, and how long a pause may last.

Mortar at rest stiffens. To move a column of it the pressure must overcome its yield stress at rest all along the wall:
Δp = 4 τ L/D for each stretch, and the stretches of a line add. Flow breaks down what rest has built, so that in mortar
that was moving when the pause began, age at rest starts at nothing.

The yield stress of the mortar itself is the upper bound; a lubricating layer may let go earlier. Near the nozzle of a
two-part line the mortar already holds accelerator: it is a stretch with a growth of its own, and mostly the one that
ends the pause.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from evenbead.physics.constants import GRAVITY
from evenbead.physics.ranges import within
from evenbead.physics.setting import time_at_equivalent_age

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    from evenbead.physics.growth import GrowthLaw
    from evenbead.physics.setting import TemperatureHistory
    from evenbead.physics.setting_rate import RateLaw

    Floats = NDArray[np.float64]
    Numbers = float | Floats

# From any bracket to the last digit of a float.
_HALVINGS = 56


@dataclass(frozen=True, slots=True, kw_only=True)
class Stretch:
    """A piece of line with mortar of one kind and age at rest in it.

    Attributes
    ----------
    length : float or array
        Of the piece. [m]
    bore : float or array
        Inner diameter, above zero. [m]
    yield_stress : float or array
        Static yield stress when rest begins. [Pa]
    growth : GrowthLaw
        How it grows at rest, at the reference temperature. [-]
    age : float or array
        Equivalent age at rest when the pause begins; zero where the mortar was moving. [s]
    """

    length: Numbers
    bore: Numbers
    yield_stress: Numbers
    growth: GrowthLaw
    age: Numbers = 0.0

    def __post_init__(self) -> None:
        within(self.length, "length", at_least=0.0)
        within(self.bore, "bore", above=0.0)
        within(self.yield_stress, "yield stress", at_least=0.0)
        within(self.age, "age at rest", at_least=0.0)

    def start_pressure(self, rest: Numbers) -> Numbers:
        """Pressure that moves it after this much further rest. [Pa]"""
        stress = self.yield_stress + self.growth.gain(self.age + rest)
        return start_pressure(stress, length=self.length, bore=self.bore)


def start_pressure(yield_stress: Numbers, *, length: Numbers, bore: Numbers) -> Numbers:
    """Pressure that sets a resting column of mortar in motion: 4 τ L/D.

    Parameters
    ----------
    yield_stress : float or array
        Static, at the wall, after its rest. [Pa]
    length : float or array
        Of the column. [m]
    bore : float or array
        Inner diameter. [m]

    Returns
    -------
    pressure : float or array
        Beyond static head. [Pa]

    Valid for: a column that starts as one plug. A compressible line starts piece by piece, and needs no more.

    Source: balance of forces; the same rule stands in drilling practice, [Lapeyrouse2002].

    Examples
    --------
    >>> start_pressure(875.0, length=20.0, bore=0.035) / 1e5
    20.0
    """
    return 4.0 * yield_stress * length / bore


def static_head(*, rise: Numbers, density: Numbers) -> Numbers:
    """Pressure that the mortar standing in a rising line brings on the pump.

    Parameters
    ----------
    rise : float or array
        Height of the nozzle above the pump; negative where it lies lower. [m]
    density : float or array
        Of the fresh mortar. [kg/m^3]

    Returns
    -------
    pressure : float or array
        [Pa]

    Source: definition.

    Examples
    --------
    >>> static_head(rise=3.0, density=2100.0) / 1e5
    0.6178
    """
    return density * GRAVITY * rise


def restart_pressure(stretches: Sequence[Stretch], *, rest: Numbers, head: Numbers = 0.0) -> Numbers:
    """Pressure at the pump that sets a whole line in motion after a pause.

    Parameters
    ----------
    stretches : sequence of Stretch
        The line from pump to nozzle, piece by piece; their numbers may be arrays of cases. [-]
    rest : float or array
        Equivalent age gained in the pause, not negative. [s]
    head : float or array
        Static head, from `static_head`. [Pa]

    Returns
    -------
    pressure : float or array
        [Pa]

    Valid for: the upper bound, no slip; as `start_pressure` and the laws of growth.

    Source: as `start_pressure`.

    Examples
    --------
    >>> from evenbead.physics.growth import LinearGrowth
    >>> hose = Stretch(length=20.0, bore=0.035, yield_stress=300.0, growth=LinearGrowth(rate=0.5))
    >>> restart_pressure([hose], rest=1150.0) / 1e5
    20.0
    """
    within(rest, "rest", at_least=0.0)
    return sum((stretch.start_pressure(rest) for stretch in stretches), start=head)


def longest_pause(stretches: Sequence[Stretch], *, limit: Numbers, head: Numbers = 0.0) -> Numbers:
    """How long a line may rest, in equivalent age, before its restart pressure passes a limit.

    Parameters
    ----------
    stretches : sequence of Stretch
        The line from pump to nozzle, piece by piece. [-]
    limit : float or array
        Highest pressure at the pump. [Pa]
    head : float or array
        Static head. [Pa]

    Returns
    -------
    rest : float or array
        Zero where the limit is passed without any rest, infinite where no rest passes it. [s]

    Valid for: as `restart_pressure`.

    Source: as `start_pressure`, inverted by halving; with one stretch it is the inverse of the growth law.

    Examples
    --------
    >>> from evenbead.physics.growth import LinearGrowth
    >>> hose = Stretch(length=20.0, bore=0.035, yield_stress=300.0, growth=LinearGrowth(rate=0.5))
    >>> float(longest_pause([hose], limit=20e5))
    1150.0
    """
    if not stretches:
        raise ValueError("a line needs at least one stretch")
    room = np.asarray(limit, np.float64) - head
    # It is over at the latest when one stretch alone needs all of the pressure.
    high = np.min(np.broadcast_arrays(*(_pause_of(stretch, room) for stretch in stretches)), axis=0)
    if len(stretches) == 1:
        alone: Numbers = high[()]
        return alone
    endless = np.isinf(high)
    low, high = np.zeros_like(high), np.where(endless, 0.0, high)
    for _ in range(_HALVINGS):
        middle = (low + high) / 2.0
        too_long = np.asarray(restart_pressure(stretches, rest=middle)) > room
        low, high = np.where(too_long, low, middle), np.where(too_long, middle, high)
    rest: Numbers = np.where(endless, np.inf, low)[()]
    return rest


def longest_pause_along(
    stretches: Sequence[Stretch],
    *,
    limit: Numbers,
    history: TemperatureHistory,
    since: Numbers,
    rate: RateLaw,
    head: Numbers = 0.0,
) -> Numbers:
    """How long a line may rest while its mortar warms or cools.

    Parameters
    ----------
    stretches : sequence of Stretch
        The line from pump to nozzle, piece by piece. [-]
    limit : float or array
        Highest pressure at the pump. [Pa]
    history : TemperatureHistory
        Temperature of the mortar in the line. [degC]
    since : float or array
        When the pause begins. [s]
    rate : RateLaw
        How fast the mortar ages at each temperature. [1]
    head : float or array
        Static head. [Pa]

    Returns
    -------
    duration : float or array
        Real time. [s]

    Valid for: as `longest_pause`, and a line of one temperature.

    Source: as `longest_pause` and `equivalent_age`.
    """
    age = longest_pause(stretches, limit=limit, head=head)
    return time_at_equivalent_age(history, age, since=since, rate=rate) - since


def _pause_of(stretch: Stretch, room: Floats) -> Floats:
    """The longest rest of a stretch that has all of the pressure for itself."""
    with np.errstate(divide="ignore", invalid="ignore"):
        stress = np.asarray(room * stretch.bore / (4.0 * np.asarray(stretch.length, float)))
    # A stretch without length asks for no pressure: it never ends the pause.
    stress = np.where(np.asarray(stretch.length) > 0.0, stress, np.where(room >= 0.0, np.inf, -np.inf))
    rest: Floats = np.maximum(stretch.growth.age_for(stress - stretch.yield_stress) - stretch.age, 0.0)
    return rest
