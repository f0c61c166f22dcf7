"""Copper between panel and station: resistance, voltage lost along it, what it may carry in the heat."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Literal

import numpy as np

from evenbead.physics.motor_start import line_factor
from evenbead.physics.power_tables import (
    AMPACITY,
    CLASS_5_OHM_PER_KM,
    COPPER_OHM_PER_1000_FT,
    COPPER_RESISTIVITY,
    COPPER_TEMPERATURE_COEFFICIENT,
    CORD_AMPACITY,
    InsulationRating,
)
from evenbead.physics.ranges import within

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Numbers = float | NDArray[np.float64]

_METRES_IN_1000_FT = 304.8
_REFERENCE_TEMP_C = 20.0


def gauge_resistance(gauge: str, *, stranding: Literal["stranded", "solid"] = "stranded") -> float:
    """Resistance of a copper conductor of a wire gauge, at 75 °C.

    Parameters
    ----------
    gauge : str
        Such as "12 AWG". [-]
    stranding : str
        "stranded" or "solid". [-]

    Returns
    -------
    resistance : float
        For each metre of one conductor. [ohm/m]

    Source: [NEC-copies] chapter 9 table 8.

    Examples
    --------
    >>> gauge_resistance("12 AWG") * 304.8
    1.98
    """
    known = [name for name, row in COPPER_OHM_PER_1000_FT.items() if stranding in row]
    if gauge not in known:
        raise ValueError(f'no resistance known for {stranding} "{gauge}", expected one of {", ".join(known)}')
    return COPPER_OHM_PER_1000_FT[gauge][stranding] / _METRES_IN_1000_FT


def section_resistance(section: float, *, temp_c: Numbers = 75.0) -> Numbers:
    """Resistance of a flexible copper conductor of a metric section.

    Nominal sections take the largest resistance that their class allows, which is up to a sixth above that of as much
    solid copper; other sections are taken as solid copper.

    Parameters
    ----------
    section : float
        Of one conductor. [m^2]
    temp_c : float or array
        Of the copper: 75 fully loaded, less in a light load. [degC]

    Returns
    -------
    resistance : float or array
        For each metre of one conductor. [ohm/m]

    Source: [IEC-60228] class 5 and [IEC-60028], both from memory.

    Examples
    --------
    >>> float(section_resistance(2.5e-6, temp_c=20.0)) * 1000, float(section_resistance(2.5e-6)) * 1000
    (7.98, 9.70)
    """
    square_millimetres = within(section, "section", above=0.0) * 1e6
    nominal = [value for value in CLASS_5_OHM_PER_KM if math.isclose(value, float(square_millimetres), rel_tol=1e-6)]
    at_reference = CLASS_5_OHM_PER_KM[nominal[0]] / 1000.0 if nominal else COPPER_RESISTIVITY / section
    return at_reference * (1.0 + COPPER_TEMPERATURE_COEFFICIENT * (np.asarray(temp_c)[()] - _REFERENCE_TEMP_C))


def voltage_drop(*, current: Numbers, length: Numbers, resistance: Numbers, phases: int = 1) -> Numbers:
    """Voltage lost along a cord: there and back for one phase, √3 times one way for three.

    Parameters
    ----------
    current : float or array
        In each line. [A]
    length : float or array
        One way. [m]
    resistance : float or array
        Of one conductor for each metre. [ohm/m]
    phases : int
        1 or 3. [1]

    Returns
    -------
    drop : float or array
        [V]

    Valid for: cords up to a few tens of mm², where only resistance counts; taken at a power factor of 1, which is
    cautious.

    Source: Ohm's law, by definition; [ECM-drop] for the form with three phases.

    Examples
    --------
    >>> voltage_drop(current=16.0, length=150 * 0.3048, resistance=gauge_resistance("12 AWG"))
    9.50
    """
    return _paths(phases) * current * resistance * length


def longest_cord(*, drop: Numbers, current: Numbers, resistance: Numbers, phases: int = 1) -> Numbers:
    """The longest cord that keeps to a drop.

    Parameters
    ----------
    drop : float or array
        Allowed. [V]
    current : float or array
        In each line, above zero. [A]
    resistance : float or array
        Of one conductor for each metre, above zero. [ohm/m]
    phases : int
        1 or 3. [1]

    Returns
    -------
    length : float or array
        One way. [m]

    Source: as in `voltage_drop`.

    Examples
    --------
    >>> longest_cord(drop=0.03 * 240, current=16.0, resistance=gauge_resistance("10 AWG"))
    55.3
    """
    per_metre = _paths(phases) * current * resistance
    return drop / within(per_metre, "drop for each metre", above=0.0)


def ampacity_factor(ambient_temp_c: Numbers, *, insulation_temp_c: float, table_temp_c: float = 30.0) -> Numbers:
    """By what a conductor's allowed current shrinks in warm surroundings, √((T_i - T)/(T_i - T_table)).

    Parameters
    ----------
    ambient_temp_c : float or array
        Around the conductor, below that of its insulation. [degC]
    insulation_temp_c : float
        What the insulation stands. [degC]
    table_temp_c : float
        For which the table is made. [degC]

    Returns
    -------
    factor : float or array
        Times the table's current. [1]

    Source: [NEC-copies] article 310, from memory; it gives the printed factors when rounded.

    Examples
    --------
    >>> float(ampacity_factor(40.0, insulation_temp_c=75.0))
    0.88
    """
    within(ambient_temp_c, "ambient_temp_c", below=insulation_temp_c)
    factor: Numbers = np.sqrt((insulation_temp_c - np.asarray(ambient_temp_c)) / (insulation_temp_c - table_temp_c))
    return factor


def cord_limit(
    gauge: str,
    *,
    loaded: Literal["two", "three"] = "three",
    ambient_temp_c: Numbers = 30.0,
    insulation_temp_c: float = 60.0,
) -> Numbers:
    """Current that a flexible cord may carry, laid out flat.

    Parameters
    ----------
    gauge : str
        Such as "12 AWG". [-]
    loaded : str
        Conductors that carry current: "two" or "three". [-]
    ambient_temp_c : float or array
        Around the cord. [degC]
    insulation_temp_c : float
        What its insulation stands. [degC]

    Returns
    -------
    current : float or array
        [A]

    Valid for: a cord that is rolled out; on its drum it may carry far less.

    Source: [NEC-copies] table 400.5(A)(1), from memory.

    Examples
    --------
    >>> float(cord_limit("12 AWG")), float(cord_limit("12 AWG", ambient_temp_c=40.0))
    (20.0, 16.3)
    """
    if gauge not in CORD_AMPACITY:
        raise ValueError(f'no cord of "{gauge}" is tabled, expected one of {", ".join(CORD_AMPACITY)}')
    return CORD_AMPACITY[gauge][loaded] * ampacity_factor(ambient_temp_c, insulation_temp_c=insulation_temp_c)


def conductor_limit(gauge: str, *, insulation: InsulationRating = "75 degC", ambient_temp_c: Numbers = 30.0) -> Numbers:
    """Current that a copper conductor in cable or conduit may carry, three loaded ones at most.

    Parameters
    ----------
    gauge : str
        Such as "12 AWG". [-]
    insulation : str
        What its insulation stands: "60 degC", "75 degC" or "90 degC". [-]
    ambient_temp_c : float or array
        Around it. [degC]

    Returns
    -------
    current : float or array
        Small conductors also have a largest breaker, see `SMALL_CONDUCTOR_BREAKER`. [A]

    Source: [NEC-copies] article 310.

    Examples
    --------
    >>> float(conductor_limit("12 AWG")), float(conductor_limit("12 AWG", ambient_temp_c=40.0))
    (25.0, 22.)
    """
    if gauge not in AMPACITY:
        raise ValueError(f'no conductor of "{gauge}" is tabled, expected one of {", ".join(AMPACITY)}')
    insulation_temp_c = float(insulation.split()[0])
    return AMPACITY[gauge][insulation] * ampacity_factor(ambient_temp_c, insulation_temp_c=insulation_temp_c)


def _paths(phases: int) -> float:
    """How many times the one-way resistance counts between two lines."""
    return 2.0 if line_factor(phases) == 1.0 else math.sqrt(3.0)
