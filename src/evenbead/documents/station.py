"""The station: mixer, metered channels with their timed catches, hopper, hose, and what has to be serviced."""

from __future__ import annotations

from typing import Annotated, Any

from pydantic import Field, ValidationError, ValidationInfo, ValidatorFunctionWrapHandler, field_validator
from pydantic_core import PydanticCustomError

from evenbead.documents.fields import Assumed, Document, Number, Quantity, Text, refusal, with_refusal
from evenbead.quantities import (
    AREA,
    CURRENT,
    DENSITY,
    DURATION,
    LENGTH,
    MASS,
    POWER,
    PRESSURE,
    ROTATION,
    SHORT_DURATION,
    SMALL_LENGTH,
    TEMPERATURE,
    VOLTAGE,
    VOLUME,
    VOLUME_FLOW,
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

    @field_validator("speed_range")
    @classmethod
    def _rises(cls, speeds: tuple[float, float]) -> tuple[float, float]:
        if not speeds[0] < speeds[1]:
            raise refusal("does not rise", "expected the lowest speed first, then the highest")
        return speeds

    @field_validator("catch", mode="wrap")
    @classmethod
    def _is_at_two_speeds(cls, raw: object, read: ValidatorFunctionWrapHandler) -> tuple[Catch, ...]:
        speeds = _speeds_in(raw)
        single = speeds is not None and len(speeds) < 2
        too_few = refusal(
            "all catches are at a single speed" if speeds else "no catch in it",
            "expected catches at two speeds or more; best are three speeds with three catches each",
        )
        try:
            catches: tuple[Catch, ...] = read(raw)
        except ValidationError as error:
            raise with_refusal(error, too_few) if single else error from None
        if single:
            raise too_few
        return catches


def _speeds_in(raw: Any) -> set[float] | None:  # noqa: ANN401  (whatever a file holds)
    """The speeds of catches that may have other faults; None if one of the speeds can't be read."""
    mark = next(mark for mark in Catch.model_fields["speed"].metadata if isinstance(mark, Quantity))
    try:
        return {mark.checked(catch["speed"]) for catch in raw}
    except (TypeError, KeyError, PydanticCustomError):
        return None


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
    heat_share: Annotated[
        float,
        Number(0, 1),
        Assumed("common practice, no source: no published value was found; all of it is the upper bound"),
    ] = Field(default=0.5, description="share of the rated power that ends as heat in the mortar")


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

    @field_validator("refill_at")
    @classmethod
    def _leaves_room(cls, level: float, info: ValidationInfo) -> float:
        if not level < info.data.get("capacity", float("inf")):
            raise refusal("is not below the capacity", "expected a level that leaves room to refill")
        return level


class Hose(Document):
    """The delivery hose from mixer to nozzle."""

    length: Annotated[float, Quantity(LENGTH, low="0 m", high="500 m")] = Field(description="from mixer to nozzle")
    bore: Annotated[float, Quantity(SMALL_LENGTH, low="5 mm", high="200 mm")] = Field(description="inner diameter")
    pressure_limit: Annotated[float, Quantity(PRESSURE, low="0.5 bar", high="300 bar")] | None = Field(
        default=None, description="what the hose and its couplings may bear; the lowest of them counts"
    )
    rise: Annotated[float, Quantity(LENGTH, low="-50 m", high="100 m"), Assumed("nozzle as high as the mixer")] = Field(
        default=0.0, description="height of the nozzle above the mixer"
    )


class PowerPoint(Document):
    """The electric supply, for a plausibility check."""

    voltage: Annotated[float, Quantity(VOLTAGE, low="50 V", high="1000 V")] = Field(
        description="between the conductors used"
    )
    phases: Annotated[int, Number(1, 3, whole=True)] = Field(default=1, description="1 or 3")
    breaker: Annotated[float, Quantity(CURRENT, low="1 A", high="400 A")] = Field(description="rating of the breaker")
    cord_length: Annotated[float, Quantity(LENGTH, low="0 m", high="300 m")] | None = Field(
        default=None, description="from the supply to the station"
    )
    cord_section: Annotated[float, Quantity(AREA, low="0.5 mm^2", high="50 mm^2")] | None = Field(
        default=None, description="copper section of each conductor of the cord"
    )
    other_power: Annotated[
        float, Quantity(POWER, low="0 kW", high="100 kW"), Assumed("not given: nothing but the mixer is counted")
    ] = Field(default=0.0, description="rated power of all other motors at the station together")

    @field_validator("phases")
    @classmethod
    def _is_one_or_three(cls, phases: int) -> int:
        if phases == 2:
            raise refusal("there is no such supply", "expected 1, also between two lines, or 3")
        return phases


class WaterSupply(Document):
    """The water that arrives, as read at its gauge twice."""

    static_pressure: Annotated[float, Quantity(PRESSURE, low="0.1 bar", high="16 bar")] = Field(
        description="with nothing drawn"
    )
    running_pressure: Annotated[float, Quantity(PRESSURE, low="0 bar", high="16 bar")] = Field(
        description="while so much is drawn"
    )
    running_flow: Annotated[float, Quantity(VOLUME_FLOW, low="0.1 L/min", high="500 L/min")] = Field(
        description="drawn at the running pressure"
    )
    needed_pressure: Annotated[float, Quantity(PRESSURE, low="0 bar", high="16 bar")] = Field(
        description="that the station needs while it runs"
    )

    @field_validator("running_pressure")
    @classmethod
    def _falls_as_water_runs(cls, running: float, info: ValidationInfo) -> float:
        if not running < info.data.get("static_pressure", float("inf")):
            raise refusal(
                "is not below the static pressure", "expected a fall; draw more water until the gauge shows one"
            )
        return running


class Coil(Document):
    """A coil in an ice bath that cools the mixing water, as found in one timed run at this site."""

    flow: Annotated[float, Quantity(VOLUME_FLOW, low="0.1 L/min", high="100 L/min")] = Field(
        description="water through it"
    )
    water_in: Annotated[float, Quantity(TEMPERATURE, low="0 degC", high="60 degC")] = Field(
        description="before the coil"
    )
    bath: Annotated[
        float, Quantity(TEMPERATURE, low="0 degC", high="40 degC"), Assumed("a bath with ice in it, stirred")
    ] = Field(default=0.0, description="temperature of the bath")
    water_out: Annotated[float, Quantity(TEMPERATURE, low="0 degC", high="60 degC")] = Field(
        description="after the coil"
    )
    ice: Annotated[float, Quantity(MASS, low="0 kg", high="2000 kg")] | None = Field(
        default=None, description="ice it holds"
    )

    @field_validator("water_out")
    @classmethod
    def _is_between_bath_and_inlet(cls, leaving: float, info: ValidationInfo) -> float:
        warm, cold = info.data.get("water_in", float("inf")), info.data.get("bath", float("-inf"))
        if not cold < leaving < warm:
            side = "colder than the water before the coil" if leaving >= warm else "warmer than the bath"
            raise refusal(f"is not {side}", "expected bath < water_out < water_in; wait until the gauge is steady")
        return leaving


class Service(Document):
    """Something to be done every so many uses or hours."""

    task: Text = Field(description="what is to be done")
    every_uses: Annotated[int, Number(1, 10_000, whole=True)] | None = Field(
        default=None, description="due after so many print days"
    )
    every_hours: Annotated[float, Number(0.1, 100_000)] | None = Field(
        default=None, description="due after so many running hours", validate_default=True
    )

    @field_validator("every_hours")
    @classmethod
    def _is_the_only_clock(cls, hours: float | None, info: ValidationInfo) -> float | None:
        if "every_uses" in info.data and (info.data["every_uses"] is None) == (hours is None):
            counted = "both by uses and by hours" if hours else "neither by uses nor by hours"
            raise refusal(f"is counted {counted}", "expected either every_uses or every_hours")
        return hours


class Station(Document):
    """station.toml"""

    name: Text = Field(description="what the crew calls it")
    mixer: Mixer
    water: WaterChannel
    powder: Channel
    accelerator: AcceleratorChannel | None = Field(default=None)
    hopper: Hopper
    hose: Hose
    power: PowerPoint | None = Field(default=None)
    water_supply: WaterSupply | None = Field(default=None)
    coil: Coil | None = Field(default=None)
    service: tuple[Service, ...] = Field(default=())
