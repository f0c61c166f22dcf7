"""The station: mixer, metered channels with their timed catches, hopper, hose, and what has to be serviced."""

from __future__ import annotations

from typing import Annotated, Self

from pydantic import Field, model_validator

from evenbead.documents.fields import Assumed, Document, Number, Quantity, Text, refusal
from evenbead.quantities import (
    DENSITY,
    DURATION,
    LENGTH,
    MASS,
    POWER,
    PRESSURE,
    ROTATION,
    SHORT_DURATION,
    SMALL_LENGTH,
    VOLUME,
)

MotorSpeed = Annotated[float, Quantity(ROTATION, low="0 rpm", high="20000 rpm")]


class Catch(Document):
    """A timed catch: what came out at one speed."""

    speed: Annotated[float, Quantity(ROTATION, low="0.1 rpm", high="20000 rpm")] = Field(
        description="motor speed during the catch"
    )
    mass: Annotated[float, Quantity(MASS, low="1 g", high="2000 kg")] = Field(
        description="mass caught, vessel deducted"
    )
    time: Annotated[float, Quantity(SHORT_DURATION, low="1 s", high="2 h")] = Field(
        description="how long it was caught"
    )


class Channel(Document):
    """A metered channel: a motor whose speed sets a mass flow, and the catches that show which."""

    speed_range: tuple[MotorSpeed, MotorSpeed] = Field(description="lowest and highest speed the motor may run at")
    speed_step: Annotated[float, Quantity(ROTATION, low="0 rpm", high="100 rpm")] | None = Field(
        default=None, description="smallest change of speed the drive accepts"
    )
    scale_doubt: Annotated[
        float, Quantity(MASS, low="0 g", high="10 kg"), Assumed("common practice, no source: a 10 g bench scale")
    ] = Field(default=0.01, description="standard doubt of a weighed catch")
    stopwatch_doubt: Annotated[
        float,
        Quantity(SHORT_DURATION, low="0 s", high="10 s"),
        Assumed("common practice, no source: start and stop by hand"),
    ] = Field(default=0.3, description="standard doubt of a catch's time")
    catch: tuple[Catch, ...] = Field(description="timed catches, at two speeds or more")

    @model_validator(mode="after")
    def _makes_sense(self) -> Self:
        low, high = self.speed_range
        if not low < high:
            raise refusal("speed_range does not rise", "expected the lowest speed first, then the highest")
        if len({catch.speed for catch in self.catch}) < 2:
            seen = "no catch" if not self.catch else "all catches are at a single speed"
            raise refusal(
                seen,
                "expected catches at two speeds or more; best are three speeds with three catches each",
            )
        return self


class WaterChannel(Channel):
    """The water channel, with the pressure that the supply must hold."""

    static_pressure: Annotated[float, Quantity(PRESSURE, low="0 bar", high="16 bar")] | None = Field(
        default=None, description="pressure with the pump stopped and the gauge at rest"
    )
    static_pressure_tolerance: Annotated[float, Quantity(PRESSURE, low="0 bar", high="5 bar")] | None = Field(
        default=None, description="how far the static pressure may be off"
    )


class AcceleratorChannel(Channel):
    """The accelerator channel of a two-part mortar."""

    density: Annotated[float, Quantity(DENSITY, low="0.8 kg/L", high="2 kg/L")] = Field(
        description="density of the liquid"
    )
    water_content: Annotated[float, Number(0, 1), Assumed("no data sheet given: counted as bringing no water")] = Field(
        default=0.0, description="share of the liquid's mass that is water"
    )


class Mixer(Document):
    """The continuous mixer, as plug and tanks in series."""

    speed: Annotated[float, Quantity(ROTATION, low="1 rpm", high="20000 rpm")] = Field(
        description="working speed of the mixing shaft"
    )
    speed_tolerance: Annotated[float, Quantity(ROTATION, low="0 rpm", high="2000 rpm")] | None = Field(
        default=None, description="how far the working speed may be off"
    )
    chamber_volume: Annotated[float, Quantity(VOLUME, low="0.05 L", high="500 L")] = Field(
        description="mortar held while running"
    )
    plug_fraction: Annotated[float, Number(0, 1), Assumed("not measured: no plug, which settles slowest")] = Field(
        default=0.0, description="part of the hold-up that moves as a plug"
    )
    tanks: Annotated[float, Number(1, 100), Assumed("not measured: one tank, which settles slowest")] = Field(
        default=1.0, description="the rest of the hold-up, as equal tanks in series"
    )
    settled: Annotated[
        float, Number(0.5, 0.9999), Assumed("common practice, no source: a change has arrived when 98 % of it has")
    ] = Field(default=0.98, description="share of a step that must have left the chamber before it counts as settled")
    power: Annotated[float, Quantity(POWER, low="0 kW", high="200 kW")] | None = Field(
        default=None, description="rated power of the mixing motor"
    )


class Hopper(Document):
    """The powder hopper above the feed."""

    capacity: Annotated[float, Quantity(MASS, low="1 kg", high="100 t")] = Field(
        description="powder it holds when full"
    )
    refill_at: Annotated[float, Quantity(MASS, low="0 kg", high="100 t")] = Field(
        description="level under which it must not fall"
    )
    bag_time: Annotated[
        float,
        Quantity(DURATION, low="0 s", high="30 min"),
        Assumed("common practice, no source: one person, one bag a minute"),
    ] = Field(default=60.0, description="time to bring, open and empty one bag")

    @model_validator(mode="after")
    def _has_room(self) -> Self:
        if not self.refill_at < self.capacity:
            raise refusal("refill_at is not below capacity", "expected a level that leaves room to refill")
        return self


class Hose(Document):
    """The delivery hose from mixer to nozzle."""

    length: Annotated[float, Quantity(LENGTH, low="0 m", high="500 m")] = Field(description="from mixer to nozzle")
    bore: Annotated[float, Quantity(SMALL_LENGTH, low="5 mm", high="200 mm")] = Field(description="inner diameter")
    pressure_limit: Annotated[float, Quantity(PRESSURE, low="0.5 bar", high="300 bar")] | None = Field(
        default=None, description="what the hose and its couplings may bear; the lowest of them counts"
    )


class Service(Document):
    """Something to be done every so many uses or hours."""

    task: Text = Field(description="what is to be done")
    every_uses: Annotated[int, Number(1, 10_000, whole=True)] | None = Field(
        default=None, description="due after so many print days"
    )
    every_hours: Annotated[float, Number(0.1, 100_000)] | None = Field(
        default=None, description="due after so many running hours"
    )

    @model_validator(mode="after")
    def _has_one_clock(self) -> Self:
        if (self.every_uses is None) == (self.every_hours is None):
            raise refusal("a service needs one clock", "expected either every_uses or every_hours")
        return self


class Station(Document):
    """station.toml"""

    name: Text = Field(description="what the crew calls it")
    mixer: Mixer
    water: WaterChannel
    powder: Channel
    accelerator: AcceleratorChannel | None = Field(default=None)
    hopper: Hopper
    hose: Hose
    service: tuple[Service, ...] = Field(default=())
