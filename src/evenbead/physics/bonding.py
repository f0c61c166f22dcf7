"""Whether a bead will bond to the one it covers: what can be said, and no more.

Three things weaken the joint, and each has its own clock. Mortar that has stiffened no longer mixes with what comes on
top; mortar past its open time no longer grows together with it; a face that has dried takes the water from it. Which
one governs hangs on the mortar, the air and how rough the face is. Studies of one interval found anything from no loss
to more than half (see `bonding_published`), so that no interval is safe or lost for every mortar: the numbers below
are evidence, side by side, and the only proof is a pulled or split sample of the same mortar laid at that interval.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from evenbead.physics.constants import GRAVITY
from evenbead.physics.ranges import within

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from evenbead.physics.drying_dose import DryingDose

    Numbers = float | NDArray[np.float64]
    Flags = bool | NDArray[np.bool_]


@dataclass(frozen=True, slots=True, kw_only=True)
class IntervalWindow:
    """Between which intervals a bead is strong enough to be covered and still soft enough to mix.

    Attributes
    ----------
    shortest : float or array
        From here on it has earned the weight of the next layer. [s]
    longest : float or array
        Up to here it still mixes with the next layer. [s]
    """

    shortest: Numbers
    longest: Numbers

    @property
    def open(self) -> Flags:
        """Some interval satisfies both. Without it the two demands contradict each other for this mortar. [-]"""
        return self.shortest <= self.longest


@dataclass(frozen=True, slots=True, kw_only=True)
class BondEvidence:
    """What speaks for and against the joint at an interval, side by side.

    Attributes
    ----------
    share_of_open_time : float, array or None
        Age when covered over open time; at 1 the open time is used up. [1]
    share_of_initial_set : float, array or None
        Age when covered over the time of initial set: in one regression over many studies the best single number. [1]
    mixes : bool, array or None
        The interval is short enough for the layers to mix. [-]
    dose : DryingDose or None
        Water lost from the face in the interval, by both formulas. [kg/m^2]
    """

    share_of_open_time: Numbers | None = None
    share_of_initial_set: Numbers | None = None
    mixes: Flags | None = None
    dose: DryingDose | None = None

    @property
    def unknown(self) -> tuple[str, ...]:
        """What was not measured, in words; a statement on the joint must name it."""
        missing = {
            "the open time": self.share_of_open_time,
            "the time of initial set": self.share_of_initial_set,
            "whether the layers mix (yield stress growth, viscosity)": self.mixes,
            "the drying of the face (weather)": self.dose,
        }
        return tuple(words for words, value in missing.items() if value is None)


def longest_interval_for_mixing(
    *, density: Numbers, layer_height: Numbers, growth_rate: Numbers, viscosity: Numbers, nozzle_speed: Numbers
) -> Numbers:
    """Interval up to which the next layer still shears the one below and mixes with it.

    t = √[(density · g h)²/12 + (2 μ v/h)²]/A.

    Parameters
    ----------
    density : float or array
        Of the fresh mortar. [kg/m^3]
    layer_height : float or array
        h. [m]
    growth_rate : float or array
        A, growth of the yield stress at rest at the temperature of the mortar. [Pa/s]
    viscosity : float or array
        μ, plastic. [Pa*s]
    nozzle_speed : float or array
        v, along the path. [m/s]

    Returns
    -------
    interval : float or array
        Infinite for a mortar that does not stiffen. [s]

    Valid for: linear growth; faces so smooth that mixing is what holds them. It was found for self-compacting concrete
    cast in layers; in print the loss mostly comes from drying instead.

    Source: [Roussel2008], used for print by [Wangler2016]; both from memory.

    Examples
    --------
    >>> mortar = {"density": 2200.0, "growth_rate": 0.5, "viscosity": 20.0}
    >>> float(longest_interval_for_mixing(**mortar, layer_height=0.010, nozzle_speed=0.1))
    809.6
    """
    weight = density * GRAVITY * layer_height / math.sqrt(12.0)
    shear = 2.0 * viscosity * nozzle_speed / layer_height
    return _over_rate(np.hypot(weight, shear), growth_rate)


def shortest_interval_for_strength(*, density: Numbers, layer_height: Numbers, growth_rate: Numbers) -> Numbers:
    """Interval after which a layer has gained the yield stress that the weight of the next one asks for.

    t = density · g h/(√3 A). What it had at first is left out, which is cautious; whether the whole wall
    stands is a question of its own.

    Parameters
    ----------
    density : float or array
        Of the fresh mortar. [kg/m^3]
    layer_height : float or array
        h. [m]
    growth_rate : float or array
        A, growth of the yield stress at rest. [Pa/s]

    Returns
    -------
    interval : float or array
        Infinite for a mortar that does not stiffen. [s]

    Valid for: linear growth, straight walls one bead wide.

    Source: [Wangler2016]; from memory.

    Examples
    --------
    >>> float(shortest_interval_for_strength(density=2200.0, layer_height=0.010, growth_rate=0.5))
    249.1
    """
    return _over_rate(density * GRAVITY * layer_height / math.sqrt(3.0), growth_rate)


def interval_window(
    *, density: Numbers, layer_height: Numbers, growth_rate: Numbers, viscosity: Numbers, nozzle_speed: Numbers
) -> IntervalWindow:
    """The window of intervals that rheology leaves open, if it leaves one open at all.

    Without viscosity it never does: the shortest interval is then twice the longest.

    Parameters
    ----------
    density : float or array
        Of the fresh mortar. [kg/m^3]
    layer_height : float or array
        Of one layer. [m]
    growth_rate : float or array
        Of the yield stress at rest, at the temperature of the mortar. [Pa/s]
    viscosity : float or array
        Plastic. [Pa*s]
    nozzle_speed : float or array
        Along the path. [m/s]

    Returns
    -------
    window : IntervalWindow
        [s]

    Valid for: as `longest_interval_for_mixing` and `shortest_interval_for_strength`.

    Source: as `longest_interval_for_mixing` and `shortest_interval_for_strength`.

    Examples
    --------
    >>> mortar = {"density": 2100.0, "growth_rate": 0.5, "viscosity": 10.0}
    >>> bool(interval_window(**mortar, layer_height=0.020, nozzle_speed=0.1).open)
    False
    """
    return IntervalWindow(
        shortest=shortest_interval_for_strength(density=density, layer_height=layer_height, growth_rate=growth_rate),
        longest=longest_interval_for_mixing(
            density=density,
            layer_height=layer_height,
            growth_rate=growth_rate,
            viscosity=viscosity,
            nozzle_speed=nozzle_speed,
        ),
    )


def bond_evidence(
    *,
    interval: Numbers,
    age: Numbers | None = None,
    open_time: Numbers | None = None,
    initial_set: Numbers | None = None,
    window: IntervalWindow | None = None,
    dose: DryingDose | None = None,
) -> BondEvidence:
    """What is known about the joint at an interval; what is not known stays None.

    Parameters
    ----------
    interval : float or array
        From when a bead was laid to when it is covered. [s]
    age : float, array or None
        Equivalent age of the lower bead when covered, since it was mixed (see `setting`). [s]
    open_time : float, array or None
        At the reference temperature. [s]
    initial_set : float, array or None
        At the reference temperature. [s]
    window : IntervalWindow or None
        From `interval_window`. [s]
    dose : DryingDose or None
        Water lost over the interval, by both formulas. [kg/m^2]

    Returns
    -------
    evidence : BondEvidence
        [1]

    Source: that drying governs for smooth faces: [Keita2019], abstract; the age over initial set: a regression seen
    in an abstract; the share of open time: common practice, no source.

    Examples
    --------
    >>> found = bond_evidence(interval=900.0, age=1500.0, open_time=3000.0)
    >>> found.share_of_open_time, len(found.unknown)
    (0.5, 3)
    """
    within(interval, "interval", at_least=0.0)
    return BondEvidence(
        share_of_open_time=None if age is None or open_time is None else age / open_time,
        share_of_initial_set=None if age is None or initial_set is None else age / initial_set,
        mixes=None if window is None else interval <= window.longest,
        dose=dose,
    )


def _over_rate(stress: Numbers, rate: Numbers) -> Numbers:
    within(rate, "growth rate", at_least=0.0)
    with np.errstate(divide="ignore"):
        interval: Numbers = stress / np.asarray(rate, np.float64)
    return interval
