"""Tables behind the power check: full-load currents, copper, what conductors may carry, code letters.

Values stand as printed, in the units of their tables. Codes differ by country and edition and change: these tables
serve a check of plausibility, and the code in force where the station stands goes before them.
"""

from __future__ import annotations

from typing import Literal

HORSEPOWER = 745.699_871_582_270_2
"""Mechanical horsepower: 550 foot-pounds a second. [W]  Source: definition."""

MotorSupply = Literal["115 V single", "208 V single", "230 V single", "208 V three", "230 V three", "460 V three"]

FULL_LOAD_POWERS_HP = (1 / 6, 1 / 4, 1 / 3, 1 / 2, 3 / 4, 1.0, 1.5, 2.0, 3.0, 5.0, 7.5, 10.0)
"""Rated powers of the columns below. [hp]"""

FULL_LOAD_CURRENTS: dict[MotorSupply, tuple[float | None, ...]] = {
    "115 V single": (4.4, 5.8, 7.2, 9.8, 13.8, 16.0, 20.0, 24.0, 34.0, 56.0, 80.0, 100.0),
    "208 V single": (2.4, 3.2, 4.0, 5.4, 7.6, 8.8, 11.0, 13.2, 18.7, 30.8, 44.0, 55.0),
    "230 V single": (2.2, 2.9, 3.6, 4.9, 6.9, 8.0, 10.0, 12.0, 17.0, 28.0, 40.0, 50.0),
    "208 V three": (None, None, None, 2.4, 3.5, 4.6, 6.6, 7.5, 10.6, 16.7, 24.2, 30.8),
    "230 V three": (None, None, None, 2.2, 3.2, 4.2, 6.0, 6.8, 9.6, 15.2, 22.0, 28.0),
    "460 V three": (None, None, None, 1.1, 1.6, 2.1, 3.0, 3.4, 4.8, 7.6, 11.0, 14.0),
}
"""Full-load current of a motor of each power. [A]  Source: [NEC1999] table 430-148, the same in later copies as table
430.248, for one phase from 1/2 hp on; from memory below 1/2 hp and for three phases (table 430.250)."""

COPPER_OHM_PER_1000_FT = {
    "16 AWG": {"stranded": 4.99, "solid": 4.89},
    "14 AWG": {"stranded": 3.14, "solid": 3.07},
    "12 AWG": {"stranded": 1.98, "solid": 1.93},
    "10 AWG": {"stranded": 1.24, "solid": 1.21},
    "8 AWG": {"stranded": 0.778, "solid": 0.764},
    "6 AWG": {"stranded": 0.491},
    "4 AWG": {"stranded": 0.308},
}
"""Direct-current resistance of uncoated copper at 75 °C. [ohm/ft], times 1000.  Source: [NEC-copies] chapter 9
table 8."""

CIRCULAR_MILS = {
    "16 AWG": 2580, "14 AWG": 4110, "12 AWG": 6530, "10 AWG": 10_380, "8 AWG": 16_510, "6 AWG": 26_240, "4 AWG": 41_740,
}  # fmt: skip
"""Section of a conductor; a circular mil is π/4 square thousandths of an inch.  Source: [NEC-copies] chapter 9
table 8."""

CLASS_5_OHM_PER_KM = {
    0.75: 26.0, 1.0: 19.5, 1.5: 13.3, 2.5: 7.98, 4.0: 4.95, 6.0: 3.30, 10.0: 1.91, 16.0: 1.21,
}  # fmt: skip
"""Largest resistance at 20 °C of plain flexible copper, by nominal section in mm². [ohm/km]  Source: [IEC-60228] class
5, from memory."""

COPPER_RESISTIVITY = 1.7241e-8
"""Annealed copper at 20 °C. [ohm*m]  Source: [IEC-60028], 1/58 ohm mm²/m, from memory."""

COPPER_TEMPERATURE_COEFFICIENT = 0.00393
"""Growth of resistance for each degree, from 20 °C. [1/K]  Source: [IEC-60028], from memory."""

InsulationRating = Literal["60 degC", "75 degC", "90 degC"]

AMPACITY: dict[str, dict[InsulationRating, float]] = {
    "14 AWG": {"60 degC": 15.0, "75 degC": 20.0, "90 degC": 25.0},
    "12 AWG": {"60 degC": 20.0, "75 degC": 25.0, "90 degC": 30.0},
    "10 AWG": {"60 degC": 30.0, "75 degC": 35.0, "90 degC": 40.0},
    "8 AWG": {"60 degC": 40.0, "75 degC": 50.0, "90 degC": 55.0},
    "6 AWG": {"60 degC": 55.0, "75 degC": 65.0, "90 degC": 75.0},
    "4 AWG": {"60 degC": 70.0, "75 degC": 85.0, "90 degC": 95.0},
}
"""What copper may carry in cable or conduit, three loaded conductors at most, in 30 °C. [A]  Source: [NEC-copies]
article 310. An older copy has 20 A for 14 AWG and 25 A for 12 AWG at 60 °C."""

SMALL_CONDUCTOR_BREAKER = {"14 AWG": 15.0, "12 AWG": 20.0, "10 AWG": 30.0}
"""Largest breaker for small copper conductors, whatever they could carry. [A]  Source: [NEC-copies] article
240.4(D)."""

CORD_AMPACITY = {
    "16 AWG": {"two": 13.0, "three": 10.0},
    "14 AWG": {"two": 18.0, "three": 15.0},
    "12 AWG": {"two": 25.0, "three": 20.0},
    "10 AWG": {"two": 30.0, "three": 25.0},
    "8 AWG": {"two": 40.0, "three": 35.0},
}
"""What a flexible cord may carry with two or three loaded conductors, in 30 °C. [A]  Source: [NEC-copies] table
400.5(A)(1), from memory."""

CODE_LETTERS = {
    "A": (0.0, 3.14), "B": (3.15, 3.54), "C": (3.55, 3.99), "D": (4.0, 4.49), "E": (4.5, 4.99), "F": (5.0, 5.59),
    "G": (5.6, 6.29), "H": (6.3, 7.09), "J": (7.1, 7.99), "K": (8.0, 8.99), "L": (9.0, 9.99), "M": (10.0, 11.19),
    "N": (11.2, 12.49), "P": (12.5, 13.99), "R": (14.0, 15.99),
}  # fmt: skip
"""Apparent power with the rotor locked for each horsepower. [V*A/hp], times 1000.  Source: [NEC-copies] table
430.7(B): G to M as copied, the others from memory."""

USUAL_LETTERS = ((1.0, "L"), (2.5, "K"), (4.0, "J"))
"""Letter that is usual for motors up to each power, in hp.  Source: [NEC-copies], beside the table of letters."""
