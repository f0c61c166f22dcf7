"""The job: one print to make, with which station and mortar, when, in what weather, within which limits."""

from __future__ import annotations

import itertools
from datetime import datetime
from typing import Annotated, Literal

from pydantic import BeforeValidator, Discriminator, Field, Tag, ValidationInfo, field_validator

from evenbead.documents.fields import Assumed, Document, Number, Quantity, Text, as_typed, refusal
from evenbead.quantities import (
    ACCELERATION,
    DURATION,
    EVAPORATION,
    SMALL_LENGTH,
    SPEED,
    TEMPERATURE,
    TEMPERATURE_DIFFERENCE,
    VOLUME,
    WIND,
)

_YEARS = range(2000, 2200)


def _aware(value: object) -> datetime:
    if not isinstance(value, datetime):
        raise refusal(
            f"{as_typed(value)} is no date and time",
            "expected a date and time without quotes, such as 2026-06-18T07:00:00+02:00",
        )
    if value.tzinfo is None:
        raise refusal(
            f"{value.isoformat()} does not say which clock", "expected the offset from UTC at its end, such as +02:00"
        )
    if value.year not in _YEARS:
        raise refusal(
            f"{value.isoformat()} is out of range", f"expected a year from {_YEARS.start} to {_YEARS.stop - 1}"
        )
    return value


Moment = Annotated[datetime, BeforeValidator(_aware)]
"""A moment with its offset from UTC."""

PrintSpeed = Annotated[float, Quantity(SPEED, low="0.1 mm/s", high="5 m/s")]
Share = Annotated[float, Number(0, 1)]


class Bead(Document):
    """The bead as it shall lie."""

    width: Annotated[float, Quantity(SMALL_LENGTH, low="2 mm", high="1 m")] = Field(description="width as laid")
    layer_height: Annotated[float, Quantity(SMALL_LENGTH, low="1 mm", high="500 mm")] = Field(
        description="height from one layer to the next"
    )
    section: Annotated[
        Literal["stadium", "rectangle"],
        Assumed("common practice, no source: the sides of a free bead bulge"),
    ] = Field(
        default="stadium",
        description="shape of its section: with rounded or with straight sides",
        validate_default=True,
    )
    width_tolerance: Annotated[
        float, Number(0.001, 1), Assumed("common practice, no source: a tenth of the width is seen by eye")
    ] = Field(default=0.10, description="share of the width by which it may be off")

    @field_validator("section")
    @classmethod
    def _is_a_shape(cls, section: str, info: ValidationInfo) -> str:
        height = info.data.get("layer_height", 0.0)
        if section == "stadium" and info.data.get("width", height) < height:
            raise refusal(
                "a stadium narrower than it is high", 'expected width >= layer_height, or section = "rectangle"'
            )
        return section


class SwitchingCodes(Document):
    """A pair of codes that switches the bead."""

    on: Text = Field(description="code that starts the bead, such as M7")
    off: Text = Field(description="code that ends it, such as M9")

    @field_validator("on", "off")
    @classmethod
    def _is_an_m_code(cls, code: str) -> str:
        letter, number = code[:1].upper(), code[1:].strip()
        if letter != "M" or not (number.isascii() and number.isdigit()) or len(number) > 4:
            raise refusal(f'"{code}" is no code that can switch the bead', 'expected an M code such as "M7"')
        return f"M{int(number)}"

    @field_validator("off")
    @classmethod
    def _differs(cls, off: str, info: ValidationInfo) -> str:
        if off == info.data.get("on"):
            raise refusal("is the same code as on", "expected two different codes")
        return off


def _word_or_codes(value: object) -> str:
    return "codes" if isinstance(value, dict | SwitchingCodes) else "word"


BeadOn = Annotated[
    Annotated[Literal["extruding", "feed moves"], Tag("word")] | Annotated[SwitchingCodes, Tag("codes")],
    Discriminator(_word_or_codes),
]
"""When the bead is on: E advances, every feed move, or between two codes."""


class Printing(Document):
    """How the toolpath is run."""

    when: BeadOn | None = Field(default=None, description="when the bead is on; found out from the file unless given")
    acceleration: Annotated[float, Quantity(ACCELERATION, low="1 mm/s^2", high="50 m/s^2")] | None = Field(
        default=None, description="limit of the motion; speeds are taken as reached at once unless given"
    )
    corner_deviation: Annotated[
        float,
        Quantity(SMALL_LENGTH, low="0.001 mm", high="100 mm"),
        Assumed("common practice, no source; counts only with an acceleration"),
    ] = Field(default=0.001, description="how far the motion may round a corner off")
    speed: PrintSpeed | None = Field(default=None, description="print speed where the toolpath gives none")
    rapid_speed: PrintSpeed | None = Field(
        default=None, description="speed of rapid moves; the speed last commanded unless given"
    )
    dwell_unit: Annotated[Literal["s", "ms"], Assumed("RS-274/NGC; counts only where the toolpath dwells")] = Field(
        default="s", description="unit of P in a dwell (G4)"
    )


class Drawing(Document):
    """How a drawing of centre lines becomes a print."""

    layers: Annotated[int, Number(1, 100_000, whole=True)] = Field(description="how often the outline is repeated")
    unit: Literal["mm", "cm", "m", "in", "ft"] | None = Field(
        default=None, description="unit of a drawing that states none itself"
    )


class WeatherHour(Document):
    """The weather at one moment; values between are interpolated."""

    time: Moment = Field(description="when")
    air_temperature: Annotated[float, Quantity(TEMPERATURE, low="-30 degC", high="60 degC")] = Field(
        description="in the shade"
    )
    humidity: Share | None = Field(default=None, description="relative humidity as a fraction")
    wind: Annotated[float, Quantity(WIND, low="0 m/s", high="40 m/s")] | None = Field(
        default=None, description="at the print"
    )


class Supply(Document):
    """What arrives at the mixer, and what is ordered beyond need."""

    powder_temperature: Annotated[float, Quantity(TEMPERATURE, low="-20 degC", high="90 degC")] | None = Field(
        default=None, description="of the powder in the bag or silo"
    )
    water_temperature: Annotated[float, Quantity(TEMPERATURE, low="0 degC", high="90 degC")] | None = Field(
        default=None, description="of the mixing water"
    )
    allowance: Annotated[
        float, Number(0, 1), Assumed("common practice, no source: a twentieth for tests, spills and repairs")
    ] = Field(default=0.05, description="spare material as a share of what is needed")
    wash_water: Annotated[float, Quantity(VOLUME, low="0 L", high="10000 L")] | None = Field(
        default=None, description="water to wash out with; three contents of hose and chamber unless given"
    )


class Limits(Document):
    """Limits of this print; a missing one comes from the mortar."""

    fresh_temperature: Annotated[float, Quantity(TEMPERATURE, low="0 degC", high="60 degC")] | None = Field(
        default=None, description="warmest allowed fresh mortar"
    )
    layer_interval: Annotated[float, Quantity(DURATION, low="1 s", high="24 h")] | None = Field(
        default=None, description="longest allowed time between a bead and the one that covers it"
    )
    width_outside: Annotated[
        Share, Assumed("common practice, no source: a fiftieth of the path, at its sharpest corners")
    ] = Field(default=0.02, description="share of the printed length that may be outside the width tolerance")
    evaporation: Annotated[
        float,
        Quantity(EVAPORATION, low="0.01 kg/m^2/h", high="10 kg/m^2/h"),
        Assumed("half the usual alarm for slabs, as cited for mixes that bleed little; transferred to printed walls"),
    ] = Field(default=0.5 / 3600, description="fastest allowed drying of a fresh surface")
    stability: Annotated[
        float,
        Number(1, 20),
        Assumed("common practice, no source: twice the load until the model is proven on this site"),
    ] = Field(default=2.0, description="by what the weight must be multiplied before the fresh wall fails in the model")
    pause: Annotated[
        float,
        Quantity(DURATION, low="0 s", high="4 h"),
        Assumed("common practice, no source: a bag split, a lump, a phone call"),
    ] = Field(default=300.0, description="stop that the day must be able to bear at any moment")
    weather_gap: Annotated[
        float, Quantity(DURATION, low="10 min", high="48 h"), Assumed("common practice, no source")
    ] = Field(default=6 * 3600.0, description="longest time over which weather is interpolated or held")
    pause_over: Annotated[
        float,
        Quantity(DURATION, low="0 s", high="2 h"),
        Assumed("common practice, no source: the feeds run on through short moves"),
    ] = Field(default=30.0, description="the station is stopped when the bead is off for longer than this")


class JobSpread(Document):
    """Standard doubt of the day itself."""

    temperature: Annotated[
        float,
        Quantity(TEMPERATURE_DIFFERENCE, low="0 K", high="20 K"),
        Assumed("common practice, no source: a forecast of yesterday"),
    ] = Field(default=2.0, description="of air, powder and water together")
    humidity: Annotated[float, Number(0, 0.5), Assumed("common practice, no source")] = Field(
        default=0.08, description="of the relative humidity, in absolute terms"
    )
    wind: Annotated[float, Number(0, 2), Assumed("common practice, no source")] = Field(
        default=0.30, description="of the wind, as a share of it"
    )
    feed: Annotated[
        float, Number(0, 0.5), Assumed("common practice, no source: refills, moisture and lot move a feed screw")
    ] = Field(default=0.02, description="of the ratio beyond the doubt of the catches, as a share of it")
    collapse_model: Annotated[float, Number(0, 2), Assumed("published predictions were 4 to 10 % off (abstracts)")] = (
        Field(default=0.10, description="of the collapse model")
    )
    buckling_model: Annotated[
        float, Number(0, 2), Assumed("published predictions were 6 to 41 % off in height, from abstracts and memory")
    ] = Field(default=0.30, description="of the buckling model, in load")


class Job(Document):
    """job.toml"""

    name: Text = Field(description="what the print is called")
    station: Text = Field(description="file of the station, relative to this file")
    mortar: Text = Field(description="file of the mortar, relative to this file")
    toolpath: Text = Field(
        description="file of the toolpath (.gcode, .nc, .ngc, .dxf, .csv ...), relative to this file"
    )
    start: Moment = Field(description="when printing starts")
    bead: Bead
    printing: Printing = Field(default_factory=Printing)
    drawing: Drawing | None = Field(default=None)
    weather: tuple[WeatherHour, ...] = Field(default=())
    supply: Supply = Field(default_factory=Supply)
    limits: Limits = Field(default_factory=Limits)
    spread: JobSpread = Field(default_factory=JobSpread)

    @field_validator("weather")
    @classmethod
    def _runs_forward(cls, weather: tuple[WeatherHour, ...]) -> tuple[WeatherHour, ...]:
        if any(later.time <= earlier.time for earlier, later in itertools.pairwise(weather)):
            raise refusal("the hours do not follow one another", "expected each time later than the one before")
        return weather
