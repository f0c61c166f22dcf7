"""Units at the edge: a quantity as people write it, `"1.5 bar"`, to an SI float and back.

Units exist only here. Inside, every number is SI (and °C where a name ends in ``_c``); rotation is counted in
revolutions per second, because that is what a drive's display shows when it is multiplied by sixty.

A unit is written the way the trade writes it: products with `*` or `·`, quotients with `/`, powers with `^`.
One unknown spelling is refused with the ones that would have been understood.
"""

from __future__ import annotations

import difflib
import math
import re
from dataclasses import dataclass
from typing import Literal

UnitSystem = Literal["metric", "us"]

# The inch, the pound and standard gravity are exact by definition; the rest follows. Tests hold each against pint.
_INCH = 0.0254
_POUND = 0.453_592_37
_GALLON = 231 * _INCH**3  # US liquid gallon: 231 cubic inches
_STANDARD_GRAVITY = 9.806_65
_POUND_FORCE = _POUND * _STANDARD_GRAVITY

# symbol -> (factor to SI, exponents of length, mass, time, temperature, revolution, current, amount)
_Dimension = tuple[int, ...]
_NONE: _Dimension = (0, 0, 0, 0, 0, 0, 0)
_LENGTH: _Dimension = (1, 0, 0, 0, 0, 0, 0)
_MASS: _Dimension = (0, 1, 0, 0, 0, 0, 0)
_TIME: _Dimension = (0, 0, 1, 0, 0, 0, 0)
_TEMPERATURE: _Dimension = (0, 0, 0, 1, 0, 0, 0)
_TURN: _Dimension = (0, 0, 0, 0, 1, 0, 0)
_VOLUME: _Dimension = (3, 0, 0, 0, 0, 0, 0)
_PRESSURE: _Dimension = (-1, 1, -2, 0, 0, 0, 0)
_FORCE: _Dimension = (1, 1, -2, 0, 0, 0, 0)
_ENERGY: _Dimension = (2, 1, -2, 0, 0, 0, 0)
_POWER: _Dimension = (2, 1, -3, 0, 0, 0, 0)

_UNITS: dict[str, tuple[float, _Dimension]] = {
    "1": (1.0, _NONE),
    "%": (0.01, _NONE),
    # length
    "m": (1.0, _LENGTH),
    "cm": (0.01, _LENGTH),
    "mm": (0.001, _LENGTH),
    "um": (1e-6, _LENGTH),
    "km": (1000.0, _LENGTH),
    "in": (_INCH, _LENGTH),
    "ft": (12 * _INCH, _LENGTH),
    "yd": (36 * _INCH, _LENGTH),
    "mi": (5280 * 12 * _INCH, _LENGTH),
    # mass
    "kg": (1.0, _MASS),
    "g": (0.001, _MASS),
    "t": (1000.0, _MASS),
    "lb": (_POUND, _MASS),
    "oz": (_POUND / 16, _MASS),
    # time
    "s": (1.0, _TIME),
    "min": (60.0, _TIME),
    "h": (3600.0, _TIME),
    "d": (86400.0, _TIME),
    "ms": (0.001, _TIME),
    # temperature differences; readings with an offset are handled in `temperature`
    "K": (1.0, _TEMPERATURE),
    # rotation
    "rev": (1.0, _TURN),
    "rpm": (1 / 60, (0, 0, -1, 0, 1, 0, 0)),
    # volume
    "L": (0.001, _VOLUME),
    "mL": (1e-6, _VOLUME),
    "gal": (_GALLON, _VOLUME),
    "qt": (_GALLON / 4, _VOLUME),
    "floz": (_GALLON / 128, _VOLUME),
    # pressure
    "Pa": (1.0, _PRESSURE),
    "kPa": (1e3, _PRESSURE),
    "MPa": (1e6, _PRESSURE),
    "GPa": (1e9, _PRESSURE),
    "bar": (1e5, _PRESSURE),
    "mbar": (1e2, _PRESSURE),
    "psi": (_POUND_FORCE / _INCH**2, _PRESSURE),
    "psf": (_POUND_FORCE / (12 * _INCH) ** 2, _PRESSURE),
    # force, energy, power
    "N": (1.0, _FORCE),
    "kN": (1e3, _FORCE),
    "lbf": (_POUND_FORCE, _FORCE),
    "J": (1.0, _ENERGY),
    "kJ": (1e3, _ENERGY),
    "MJ": (1e6, _ENERGY),
    "kWh": (3.6e6, _ENERGY),
    "Btu": (1055.055_852_62, _ENERGY),
    "W": (1.0, _POWER),
    "kW": (1e3, _POWER),
    "hp": (550 * 12 * _INCH * _POUND_FORCE, _POWER),
    # electricity
    "A": (1.0, (0, 0, 0, 0, 0, 1, 0)),
    "V": (1.0, (2, 1, -3, 0, 0, -1, 0)),
    "ohm": (1.0, (2, 1, -3, 0, 0, -2, 0)),
    # amount, so that an activation energy can be written as the books write it
    "mol": (1.0, (0, 0, 0, 0, 0, 0, 1)),
    # shorthand of the US trade
    "mph": (5280 * 12 * _INCH / 3600, (1, 0, -1, 0, 0, 0, 0)),
    "gpm": (_GALLON / 60, (3, 0, -1, 0, 0, 0, 0)),
}

_ALIASES = {
    "l": "L", "ml": "mL", "litre": "L", "liter": "L", "litres": "L", "liters": "L",
    "sec": "s", "secs": "s", "second": "s", "seconds": "s", "mins": "min", "minute": "min", "minutes": "min",
    "hr": "h", "hrs": "h", "hour": "h", "hours": "h", "day": "d", "days": "d",
    "lbs": "lb", "lbm": "lb", '"': "in", "'": "ft", "inch": "in", "inches": "in", "feet": "ft", "foot": "ft",
    "metre": "m", "meter": "m", "metres": "m", "meters": "m", "µm": "um", "μm": "um",
    "rev/min": "rpm", "r/min": "rpm", "kph": "km/h", "Ω": "ohm", "degK": "K",
}  # fmt: skip

_SUPERSCRIPTS = str.maketrans("²³", "23")
_NUMBER = r"[+-]?(?:\d+(?:[.,]\d*)?|[.,]\d+)(?:[eE][+-]?\d+)?"
_GROUPED = re.compile(r"[+-]?\d{1,3},\d{3}(?!\d)")
_QUANTITY = re.compile(rf"\s*(?P<number>{_NUMBER})\s*(?P<unit>\S.*?)?\s*")
_FACTOR = re.compile(r"(?P<symbol>[^\W\d_]+|%|1|\"|')(?:\^?(?P<power>-?\d))?")

_FAHRENHEIT = (5 / 9, -32 * 5 / 9)
# reading -> (degrees Celsius per unit, reading of zero in degrees Celsius)
_TEMPERATURE_READINGS = {
    "degC": (1.0, 0.0), "°C": (1.0, 0.0), "C": (1.0, 0.0), "celsius": (1.0, 0.0),
    "degF": _FAHRENHEIT, "°F": _FAHRENHEIT, "F": _FAHRENHEIT, "fahrenheit": _FAHRENHEIT,
    "K": (1.0, -273.15), "kelvin": (1.0, -273.15),
}  # fmt: skip


@dataclass(frozen=True, slots=True, kw_only=True)
class Kind:
    """A kind of quantity: what it is called, the unit it has inside, and the units people see."""

    name: str
    si: str
    metric: str
    us: str
    digits: int = 3
    """Significant digits that are worth showing."""

    def unit(self, system: UnitSystem) -> str:
        """The unit in which this kind is shown."""
        return self.metric if system == "metric" else self.us


LENGTH = Kind(name="a length", si="m", metric="m", us="ft")
SMALL_LENGTH = Kind(name="a length", si="m", metric="mm", us="in")
AREA = Kind(name="an area", si="m^2", metric="mm^2", us="in^2")
VOLUME = Kind(name="a volume", si="m^3", metric="L", us="gal")
MASS = Kind(name="a mass", si="kg", metric="kg", us="lb")
DURATION = Kind(name="a time", si="s", metric="min", us="min")
SHORT_DURATION = Kind(name="a time", si="s", metric="s", us="s")
ROTATION = Kind(name="a motor speed", si="rev/s", metric="rpm", us="rpm")
SPEED = Kind(name="a speed", si="m/s", metric="mm/s", us="in/s")
WIND = Kind(name="a wind speed", si="m/s", metric="m/s", us="mph")
ACCELERATION = Kind(name="an acceleration", si="m/s^2", metric="mm/s^2", us="in/s^2")
MASS_FLOW = Kind(name="a mass flow", si="kg/s", metric="kg/min", us="lb/min")
MASS_PER_TURN = Kind(name="a mass per revolution", si="kg/rev", metric="g/rev", us="oz/rev", digits=4)
VOLUME_FLOW = Kind(name="a flow", si="m^3/s", metric="L/min", us="gal/min")
DENSITY = Kind(name="a density", si="kg/m^3", metric="kg/m^3", us="lb/ft^3", digits=4)
PRESSURE = Kind(name="a pressure", si="Pa", metric="bar", us="psi")
STRESS = Kind(name="a stress", si="Pa", metric="Pa", us="psf")
STIFFNESS = Kind(name="a stiffness", si="Pa", metric="kPa", us="psi")
STRENGTH = Kind(name="a strength", si="Pa", metric="MPa", us="psi")
STRESS_RATE = Kind(name="a growth of stress", si="Pa/s", metric="Pa/min", us="psf/min")
STIFFNESS_RATE = Kind(name="a growth of stiffness", si="Pa/s", metric="kPa/min", us="psi/min")
VISCOSITY = Kind(name="a viscosity", si="Pa*s", metric="Pa*s", us="Pa*s")
POWER = Kind(name="a power", si="W", metric="kW", us="hp")
MOLAR_ENERGY = Kind(name="an energy per mole", si="J/mol", metric="kJ/mol", us="kJ/mol")
VOLTAGE = Kind(name="a voltage", si="V", metric="V", us="V")
CURRENT = Kind(name="a current", si="A", metric="A", us="A")
EVAPORATION = Kind(name="a rate of drying", si="kg/m^2/s", metric="kg/m^2/h", us="lb/ft^2/h")
TEMPERATURE_DIFFERENCE = Kind(name="a temperature difference", si="K", metric="K", us="K")
TEMPERATURE = Kind(name="a temperature", si="degC", metric="degC", us="degF")


class UnitFault(ValueError):  # noqa: N818
    """A text that is no quantity of the wanted kind. `what` and `expected` are for the person."""

    def __init__(self, what: str, expected: str) -> None:
        self.what = what
        self.expected = expected
        super().__init__(f"{what}; {expected}")


def parse(text: str, kind: Kind) -> float:
    """The SI value of a quantity written with its unit.

    Parameters
    ----------
    text : str
        Number, blank, unit. A decimal comma is understood where it can't be taken for a grouping mark.
    kind : Kind
        What it must be.

    Returns
    -------
    value : float
        In `kind.si`.

    Raises
    ------
    UnitFault
        No number, no unit, an unknown unit, or a unit of another kind.

    Examples
    --------
    >>> parse("1.5 bar", PRESSURE)
    150000.0
    >>> parse("68 degF", TEMPERATURE)
    20.0
    """
    match = _QUANTITY.fullmatch(text)
    if match is None:
        raise UnitFault(f"{_short(text)} is no number with a unit", _wanted(kind))
    if match["unit"] is None:
        raise UnitFault(f"{_short(text)} has no unit", _wanted(kind))
    if _GROUPED.match(match["number"]):
        raise UnitFault(
            f"{_short(text)} can be read two ways", "expected a decimal point, and no mark between thousands"
        )
    number = float(match["number"].replace(",", "."))
    if not math.isfinite(number):
        raise UnitFault(f"{_short(text)} is too large to be a number", _wanted(kind))
    if kind is TEMPERATURE:
        return _temperature(number, match["unit"])
    factor, dimension = _unit(match["unit"], kind)
    if dimension != _unit(kind.si, kind)[1]:
        raise UnitFault(f"{_short(text)} is not {kind.name}", _wanted(kind))
    return number * factor


def shown(value: float, kind: Kind, system: UnitSystem = "metric", *, digits: int | None = None) -> str:
    """A value as people read it: rounded, with the unit of the system.

    Parameters
    ----------
    value : float
        In `kind.si`.
    kind : Kind
        What it is.
    system : "metric" or "us"
        Whose units to show.
    digits : int, optional
        Significant digits; those of the kind unless given.

    Returns
    -------
    text : str

    Examples
    --------
    >>> shown(150000.0, PRESSURE), shown(150000.0, PRESSURE, "us")
    ('1.5 bar', '21.8 psi')
    """
    unit = kind.unit(system)
    return f"{rounded(converted(value, kind, unit), digits or kind.digits)} {unit_label(unit)}"


def exact(value: float, kind: Kind, system: UnitSystem = "metric") -> str:
    """A value with every digit that matters, in a form that `parse` reads back to the same float.

    Examples
    --------
    >>> exact(0.0254, SMALL_LENGTH), exact(0.0254, SMALL_LENGTH, "us")
    ('25.4 mm', '1 in')
    """
    # Not every float can be reached from a number of feet: then the metric, at last the SI unit says it exactly.
    for unit in (kind.unit(system), kind.metric, kind.si):
        amount = converted(value, kind, unit)
        for digits in range(6, 18):
            text = f"{amount:.{digits}g} {unit}"
            if parse(text, kind) == value:
                return text
    return f"{value!r} {kind.si}"


def converted(value: float, kind: Kind, unit: str) -> float:
    """An SI value counted in another unit of the same kind.

    Examples
    --------
    >>> converted(0.5, ROTATION, "rpm")
    30.0
    """
    if kind is TEMPERATURE:
        slope, offset = _TEMPERATURE_READINGS[unit]
        return (value - offset) / slope
    return value / _unit(unit, kind)[0]


def rounded(number: float, digits: int) -> str:
    """A number with this many significant digits, without a power of ten where a person would write none.

    Examples
    --------
    >>> rounded(1234.56, 3), rounded(0.04567, 2), rounded(12.0, 3)
    ('1235', '0.046', '12')
    """
    if number == 0 or not math.isfinite(number):
        return f"{number:g}"
    decimals = digits - 1 - math.floor(math.log10(abs(number)))
    text = f"{number:.{max(decimals, 0)}f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


def unit_label(unit: str) -> str:
    """A unit as it is printed: raised powers, a middle dot, a degree sign.

    Examples
    --------
    >>> unit_label("kg/m^3"), unit_label("degC")
    ('kg/m³', '°C')
    """
    return unit.replace("^2", "²").replace("^3", "³").replace("*", "·").replace("deg", "°")


def _unit(text: str, kind: Kind) -> tuple[float, _Dimension]:
    """Factor and dimension of a compound unit such as ``kg/m^3`` or ``Pa*s``."""
    whole = _ALIASES.get(text.strip(), text.strip())
    cleaned = (
        whole.translate(_SUPERSCRIPTS).replace("·", "*").replace("**", "^").replace(" per ", "/").replace(" ", "*")
    )
    factor, dimension = 1.0, _NONE
    for position, part in enumerate(cleaned.split("/")):
        sign = 1 if position == 0 else -1
        for piece in part.strip("()").split("*"):
            match = _FACTOR.fullmatch(piece.strip())
            if match is None:
                raise UnitFault(f'"{text}" is no unit', _wanted(kind))
            symbol = _ALIASES.get(match["symbol"], match["symbol"])
            if symbol not in _UNITS:
                raise UnitFault(f'"{match["symbol"]}" is no unit known here{_nearest(symbol)}', _wanted(kind))
            power = sign * int(match["power"] or 1)
            unit_factor, unit_dimension = _UNITS[symbol]
            factor *= unit_factor**power
            dimension = tuple(a + power * b for a, b in zip(dimension, unit_dimension, strict=True))
    return factor, dimension


def _temperature(number: float, unit: str) -> float:
    if unit not in _TEMPERATURE_READINGS:
        raise UnitFault(f'"{unit}" is no unit of temperature', _wanted(TEMPERATURE))
    slope, offset = _TEMPERATURE_READINGS[unit]
    return number * slope + offset


def _nearest(symbol: str) -> str:
    near = difflib.get_close_matches(symbol, _UNITS, n=1, cutoff=0.5)
    return f' (nearest: "{near[0]}")' if near else ""


def _wanted(kind: Kind) -> str:
    if kind.metric == kind.us:
        return f'expected {kind.name} such as "10 {kind.metric}"'
    return f'expected {kind.name} such as "10 {kind.metric}" or "10 {kind.us}"'


def _short(text: str) -> str:
    return f'"{text}"' if len(text) <= 40 else f'"{text[:37]}..."'
