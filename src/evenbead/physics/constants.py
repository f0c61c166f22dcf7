"""Numbers that nature or a treaty fixes, and that several models share."""

from __future__ import annotations

GRAVITY = 9.806_65
"""Standard acceleration of free fall. [m/s^2]  Source: [SI2019], by definition; from memory."""

GAS_CONSTANT = 8.314_462_618
"""Molar gas constant, the product of two exact constants. [J/mol/K]  Source: [SI2019]; from memory."""

ZERO_CELSIUS = 273.15
"""0 °C on the absolute scale. [K]  Source: [SI2019], by definition; from memory."""
