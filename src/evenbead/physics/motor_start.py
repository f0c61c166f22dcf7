"""What motors draw while they run up: table currents, code letters, and the generator that must bear it.

A motor switched straight onto its supply draws several times its running current for a moment. The letter on its
nameplate says how much. A motor behind a drive or a soft starter does not.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from evenbead.errors import NotPossible
from evenbead.physics.power_tables import (
    CODE_LETTERS,
    FULL_LOAD_CURRENTS,
    FULL_LOAD_POWERS_HP,
    HORSEPOWER,
    USUAL_LETTERS,
    MotorSupply,
)
from evenbead.physics.ranges import within

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    Floats = NDArray[np.float64]
    Numbers = float | Floats


@dataclass(frozen=True, slots=True, kw_only=True)
class StartPower:
    """Apparent power that a motor draws with its rotor still at rest.

    Attributes
    ----------
    low : float or array
        Lower end of its letter. [V*A]
    high : float or array
        Upper end of its letter. [V*A]
    """

    low: Numbers
    high: Numbers


def full_load_current(power: Numbers, supply: MotorSupply) -> Numbers:
    """Full-load current of a motor, from the table that codes size conductors by.

    Parameters
    ----------
    power : float or array
        Rated shaft power; the next larger row of the table counts. [W]
    supply : str
        Voltage and phases, such as "230 V single". [-]

    Returns
    -------
    current : float or array
        [A]

    Raises
    ------
    NotPossible
        The table has no motor so large.

    Valid for: motors switched straight onto the supply. Behind a drive, the drive's rated input current counts.

    Source: [NEC1999] table 430-148; below 1/2 hp and three phases from memory.

    Examples
    --------
    >>> float(full_load_current(3 * 745.7, "230 V single"))
    17.0
    """
    rows = [
        (hp, current)
        for hp, current in zip(FULL_LOAD_POWERS_HP, FULL_LOAD_CURRENTS[supply], strict=True)
        if current is not None
    ]
    powers, currents = np.array(rows).T
    # A tenth of a percent of slack: 2.2 kW plates and 745.7 W for a horsepower are both rounded.
    row = np.searchsorted(powers * 1.001, np.asarray(within(power, "power", above=0.0)) / HORSEPOWER)
    if np.any(row >= len(powers)):
        raise NotPossible(f"the table of full-load currents ends at {powers[-1]:g} hp")
    current: Numbers = currents[row]
    return current


def start_power(power: Numbers, letter: str) -> StartPower:
    """Apparent power of a motor at the moment it is switched on.

    Parameters
    ----------
    power : float or array
        Rated shaft power. [W]
    letter : str
        Code letter on its nameplate. [-]

    Returns
    -------
    start : StartPower
        Ends of the letter's range. [V*A]

    Source: [NEC-copies] table 430.7(B).

    Examples
    --------
    >>> start = start_power(3 * 745.7, "K")
    >>> start.low / 1000, start.high / 1000
    (24.0, 26.97)
    """
    if letter not in CODE_LETTERS:
        raise ValueError(f'"{letter}" is no code letter, expected one of {", ".join(CODE_LETTERS)}')
    low, high = CODE_LETTERS[letter]
    kilovolt_amperes = within(power, "power", above=0.0) / HORSEPOWER * 1000.0
    return StartPower(low=low * kilovolt_amperes, high=high * kilovolt_amperes)


def usual_letter(power: float) -> str:
    """Code letter that is usual for a single-phase motor, for when nobody has read its nameplate.

    Parameters
    ----------
    power : float
        Rated shaft power. [W]

    Returns
    -------
    letter : str
        The smaller the motor, the later the letter and the harder it starts for its size. [-]

    Raises
    ------
    NotPossible
        No letter is usual for a motor so large.

    Source: [NEC-copies], beside table 430.7(B).

    Examples
    --------
    >>> usual_letter(2200.0), usual_letter(370.0)
    ('J', 'L')
    """
    horsepower = float(within(power, "power", above=0.0)) / HORSEPOWER
    for largest, letter in USUAL_LETTERS:
        if horsepower <= largest:
            return letter
    raise NotPossible(f"no code letter is usual for a single-phase motor of {horsepower:.3g} hp: read its nameplate")


def line_current(apparent_power: Numbers, *, voltage: Numbers, phases: int = 1) -> Numbers:
    """Current in each line for an apparent power.

    Parameters
    ----------
    apparent_power : float or array
        Of all phases together. [V*A]
    voltage : float or array
        Between lines. [V]
    phases : int
        1 or 3. [1]

    Returns
    -------
    current : float or array
        [A]

    Source: definition of apparent power.

    Examples
    --------
    >>> line_current(59450.0, voltage=460.0, phases=3)
    74.6
    """
    return apparent_power / (within(voltage, "voltage", above=0.0) * line_factor(phases))


def line_factor(phases: int) -> float:
    """Apparent power over the product of voltage between lines and current in each.

    Parameters
    ----------
    phases : int
        1 or 3. [1]

    Returns
    -------
    factor : float
        1, or √3. [1]

    Source: definition of apparent power.
    """
    if phases not in (1, 3):
        raise ValueError(f"phases is {phases}, expected 1 or 3")
    return 1.0 if phases == 1 else math.sqrt(3.0)


def generator_need(running: Sequence[Numbers], starting: Sequence[Numbers]) -> Numbers:
    """Apparent power that a generator must bear: everything running, or the worst start while the others run.

    Parameters
    ----------
    running : sequence of float or array
        Apparent power of each load while it runs. [V*A]
    starting : sequence of float or array
        Of each load at the moment it starts; the running value for one behind a drive. [V*A]

    Returns
    -------
    need : float or array
        [V*A]

    Valid for: loads that are started one at a time, in any order. Starting the largest first needs no more than this.

    Source: common practice, no source; the rule stands in guides of generator makers.

    Examples
    --------
    >>> float(generator_need([3000.0, 800.0], [18000.0, 800.0]))
    18800.0
    """
    if len(running) != len(starting):
        raise ValueError(f"{len(running)} running and {len(starting)} starting loads, expected as many of both")
    if not running:
        return 0.0
    runs = np.stack(np.broadcast_arrays(*(np.asarray(value, float) for value in running)))
    starts = np.stack(np.broadcast_arrays(*(np.asarray(value, float) for value in starting)))
    steady = runs.sum(axis=0)
    need: Numbers = np.max(steady + np.maximum(starts - runs, 0.0), axis=0)
    return need
