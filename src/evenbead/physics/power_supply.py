"""Whether a power supply can plausibly feed a station: current, continuous load, drop along the cord, start, generator.

It finds what can't work before anybody drives to the site. It is no electrical design, and every result says so.
Currents of several loads are simply added, which is cautious: their power factors differ.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from evenbead.physics.cord import voltage_drop
from evenbead.physics.motor_start import generator_need, line_current, line_factor
from evenbead.physics.ranges import within

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    Floats = NDArray[np.float64]
    Numbers = float | Floats
    Flags = bool | NDArray[np.bool_]

STATEMENT = (
    "A check, not a design. Final sizing by a licensed electrician under the local code and the equipment nameplate."
)
"""What every result of a power check carries."""

CONTINUOUS_SHARE = 0.8
"""Of a breaker's rating, for loads of three hours and more. [1]  Source: [NEC-copies] article 210."""

MOTOR_CONDUCTOR_SHARE = 1.25
"""Of a motor's full-load current, that its conductors must carry. [1]  Source: [NEC-copies] 430.22."""

EFFICIENCY = 0.75
POWER_FACTOR = 0.73
"""Of a small motor at full load, assumed. [1]  Source: common practice, no source; their product, 0.55, is what the
table currents of single-phase motors of 2 and 3 hp come to."""

BRANCH_DROP = 0.03
WHOLE_DROP = 0.05
"""Guidance for the drop in the last cord, and in all wiring together. [1]  Source: [NEC-copies], informational
notes."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Load:
    """One machine on the supply.

    Attributes
    ----------
    power : float or array
        Rated shaft power, or electrical power with an efficiency of 1. [W]
    share : float or array
        Of the rated power that is really drawn; 1 unless measured. [1]
    efficiency : float or array
        Of motor and drive. [1]
    power_factor : float or array
        Of what it draws. [1]
    start : float or array, optional
        Apparent power at its start, see `start_power`; none for a motor behind a drive. [V*A]
    """

    power: Numbers
    share: Numbers = 1.0
    efficiency: Numbers = EFFICIENCY
    power_factor: Numbers = POWER_FACTOR
    start: Numbers | None = None

    def __post_init__(self) -> None:
        within(self.power, "power", at_least=0.0)
        within(self.share, "share", at_least=0.0)
        within(self.efficiency, "efficiency", above=0.0, at_most=1.0)
        within(self.power_factor, "power_factor", above=0.0, at_most=1.0)
        if self.start is not None:
            within(self.start, "start", at_least=0.0)

    @property
    def apparent_power(self) -> Numbers:
        """Drawn while it runs. [V*A]"""
        return self.power * self.share / (self.efficiency * self.power_factor)


@dataclass(frozen=True, slots=True, kw_only=True)
class Supply:
    """What the loads hang on.

    Attributes
    ----------
    voltage : float or array
        Between the lines in use. [V]
    breaker : float or array
        Its rating. [A]
    phases : int
        1 or 3. [1]
    cord_length : float or array
        One way, from the panel to the station. [m]
    cord_resistance : float or array
        Of one conductor for each metre, see `gauge_resistance` and `section_resistance`. [ohm/m]
    cord_limit : float or array, optional
        Current that the cord may carry. [A]
    generator : float or array, optional
        Apparent power that a generator bears for a moment, where one feeds the station. [V*A]
    """

    voltage: Numbers
    breaker: Numbers
    phases: int = 1
    cord_length: Numbers = 0.0
    cord_resistance: Numbers = 0.0
    cord_limit: Numbers | None = None
    generator: Numbers | None = None

    def __post_init__(self) -> None:
        line_factor(self.phases)
        within(self.voltage, "voltage", above=0.0)
        within(self.breaker, "breaker", above=0.0)
        within(self.cord_length, "cord_length", at_least=0.0)
        within(self.cord_resistance, "cord_resistance", at_least=0.0)
        for name in ("cord_limit", "generator"):
            if getattr(self, name) is not None:
                within(getattr(self, name), name, above=0.0)


@dataclass(frozen=True, slots=True, kw_only=True)
class PowerCheck:
    """What a supply has to bear, and whether it plausibly can. See `statement`.

    Attributes
    ----------
    current : float or array
        All loads running. [A]
    continuous_limit : float or array
        What the breaker may carry for hours. [A]
    conductor_current : float or array
        What the conductors must be good for. [A]
    start_current : float or array
        For a moment, while the worst load starts and the others run. [A]
    drop : float or array
        Along the cord, all loads running. [V]
    drop_share : float or array
        Of the supply's voltage. [1]
    start_drop_share : float or array
        The same for the moment of the worst start. [1]
    generator_need : float or array
        What a generator would have to bear. [V*A]
    breaker_carries : bool or array
        The running current is within the continuous limit. [-]
    cord_carries : bool or array, optional
        The cord may carry what its conductors must be good for; unknown without its limit. [-]
    drop_is_small : bool or array
        The drop is within the guidance for a branch. [-]
    generator_carries : bool or array, optional
        Not known without a generator. [-]
    """

    current: Numbers
    continuous_limit: Numbers
    conductor_current: Numbers
    start_current: Numbers
    drop: Numbers
    drop_share: Numbers
    start_drop_share: Numbers
    generator_need: Numbers
    breaker_carries: Flags
    cord_carries: Flags | None
    drop_is_small: Flags
    generator_carries: Flags | None

    @property
    def statement(self) -> str:
        """What this result is, and who decides."""
        return STATEMENT


def running_current(
    *,
    power: Numbers,
    voltage: Numbers,
    efficiency: Numbers = EFFICIENCY,
    power_factor: Numbers = POWER_FACTOR,
    phases: int = 1,
) -> Numbers:
    """Current that a motor draws while it runs.

    I = P/(V η cos φ), with √3 in the denominator for three phases.

    Parameters
    ----------
    power : float or array
        At the shaft. [W]
    voltage : float or array
        Between lines. [V]
    efficiency : float or array
        Of motor and drive. [1]
    power_factor : float or array
        Of what it draws. [1]
    phases : int
        1 or 3. [1]

    Returns
    -------
    current : float or array
        [A]

    Source: definition of power factor and efficiency.

    Examples
    --------
    >>> running_current(power=1500.0, voltage=240.0)
    11.4
    """
    load = Load(power=power, efficiency=efficiency, power_factor=power_factor)
    return line_current(load.apparent_power, voltage=voltage, phases=phases)


def power_check(loads: Sequence[Load], supply: Supply) -> PowerCheck:
    """Whether a supply can plausibly feed these loads, all running for hours, started one at a time.

    Parameters
    ----------
    loads : sequence of Load
        Everything that runs at once. [-]
    supply : Supply
        What feeds them. [-]

    Returns
    -------
    check : PowerCheck
        With the sentence that it is a check and no design. [-]

    Source: [NEC-copies] articles 210 and 430.

    Examples
    --------
    >>> check = power_check([Load(power=1500.0, share=0.8), Load(power=370.0)], Supply(voltage=240.0, breaker=20.0))
    >>> check.current, check.continuous_limit, bool(check.breaker_carries)
    (11.9, 16.0, True)
    >>> check.statement
    'A check, not a design. Final sizing by a licensed electrician under the local code and the equipment nameplate.'
    """
    running = [load.apparent_power for load in loads]
    starting = [run if load.start is None else load.start for load, run in zip(loads, running, strict=True)]
    need = generator_need(running, starting)
    current, start_current = (
        line_current(power, voltage=supply.voltage, phases=supply.phases) for power in (sum(running, 0.0), need)
    )
    drop, start_drop = (
        voltage_drop(
            current=amperes, length=supply.cord_length, resistance=supply.cord_resistance, phases=supply.phases
        )
        for amperes in (current, start_current)
    )
    largest = np.max(np.stack(np.broadcast_arrays(0.0, *running)), axis=0)
    spare = (MOTOR_CONDUCTOR_SHARE - 1.0) * line_current(largest, voltage=supply.voltage, phases=supply.phases)
    return PowerCheck(
        current=current,
        continuous_limit=CONTINUOUS_SHARE * supply.breaker,
        conductor_current=current + spare,
        start_current=start_current,
        drop=drop,
        drop_share=drop / supply.voltage,
        start_drop_share=start_drop / supply.voltage,
        generator_need=need,
        breaker_carries=current <= CONTINUOUS_SHARE * supply.breaker,
        cord_carries=None if supply.cord_limit is None else current + spare <= supply.cord_limit,
        drop_is_small=drop <= BRANCH_DROP * supply.voltage,
        generator_carries=None if supply.generator is None else need <= supply.generator,
    )
