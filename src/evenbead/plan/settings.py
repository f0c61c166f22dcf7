"""Motor speeds for a flow at the target ratio, what they give, and how far to trust it."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

import numpy as np

from evenbead.errors import InputRefused, NotPossible
from evenbead.physics.metering import flow_at, speed_for
from evenbead.physics.metering_catches import Catches
from evenbead.physics.metering_design import next_catch_speed
from evenbead.physics.metering_fit import LineFit, line_from_catches
from evenbead.physics.mixture import Proportions, delivery, effective_water_ratio, mass_flows
from evenbead.physics.uncertainty import probability_within, propagated, quotient
from evenbead.plan.model import ChannelSetting, Expected, Settings
from evenbead.quantities import MASS_FLOW, shown

if TYPE_CHECKING:
    from evenbead.documents import Case, Mortar, Station
    from evenbead.documents.station import Channel
    from evenbead.physics.metering import MeterLine
    from evenbead.physics.metering_design import NextCatch


_ROUND_OFF = 1e-9  # of a step


_AS_GOOD = 0.8  # share of the best gain at which the wanted speed itself is advised (common practice, no source)


def proportions_of(mortar: Mortar, station: Station) -> Proportions:
    """What goes into the mortar at its target ratio."""
    if mortar.kind == "one-part" or mortar.accelerator is None or station.accelerator is None:
        return Proportions(
            water_ratio=mortar.water_powder_ratio.target, powder_density=mortar.powder_density, air=mortar.air_content
        )
    return Proportions(
        water_ratio=mortar.water_powder_ratio.target,
        powder_density=mortar.powder_density,
        air=mortar.air_content,
        accelerator_dose=mortar.accelerator.dose,
        accelerator_density=station.accelerator.density,
        accelerator_water=station.accelerator.water_content,
    )


_FINEST = 1e-9  # kg and s


def catches_of(channel: Channel) -> Catches:
    """A channel's catches as columns."""
    return Catches(
        speed=np.array([catch.speed for catch in channel.catch]),
        mass=np.array([catch.mass for catch in channel.catch]),
        time=np.array([catch.time for catch in channel.catch]),
        scale_uncertainty=_stated(channel.scale_doubt),
        stopwatch_uncertainty=_stated(channel.stopwatch_doubt),
    )


def _stated(doubt: float) -> float:
    """A doubt as stated, or none: no scale or watch is good to a billionth, and weights are its inverse squared."""
    return doubt if doubt >= _FINEST else 0.0


def meter_line(channel: Channel, name: str) -> LineFit:
    """The line through a channel's catches.

    Raises
    ------
    InputRefused
        The catches give no line that rises with speed.
    """
    try:
        return line_from_catches(catches_of(channel))
    except (NotPossible, ValueError) as reason:
        raise InputRefused.because(
            str(reason), expected="expected catches that show more flow at more speed; repeat them", key=f"{name}.catch"
        ) from None


def advised_catch(line: MeterLine, *, wanted: float, lowest: float, highest: float) -> NextCatch:
    """Where to catch once more: at the wanted speed itself, unless elsewhere clearly tells more.

    A line through the origin learns a little more at the far end of the motor's range; nobody should go there for that.
    """
    best = next_catch_speed(line, wanted=wanted, lowest=lowest, highest=highest)
    near = min(max(wanted, lowest), highest)
    here = next_catch_speed(line, wanted=wanted, lowest=near, highest=near)
    return here if here.reduction >= _AS_GOOD * best.reduction else best


def settings_for(case: Case, proportions: Proportions, *, flow: float) -> Settings:
    """The motor speed of every channel for a flow of mortar. [m³/s]

    Raises
    ------
    InputRefused
        A channel's catches can't be turned into a speed.
    """
    wanted = mass_flows(proportions, flow)
    station = case.station
    two_part = case.mortar.kind == "two-part" and station.accelerator is not None
    return Settings(
        mixer_speed=station.mixer.speed,
        mixer_speed_tolerance=station.mixer.speed_tolerance,
        flow=flow,
        water=_channel(station.water, "water", float(wanted.water)),
        powder=_channel(station.powder, "powder", float(wanted.powder)),
        accelerator=_channel(station.accelerator, "accelerator", float(wanted.accelerator))
        if two_part and station.accelerator is not None and wanted.accelerator
        else None,
    )


def _channel(channel: Channel, name: str, mass_flow: float) -> ChannelSetting:
    line = meter_line(channel, name).line
    try:
        found = speed_for(line, mass_flow)
    except NotPossible as reason:
        expected = (
            f"expected catches near {shown(mass_flow, MASS_FLOW)}, which is wanted"
            if mass_flow < line.intercept
            else "expected catches that agree better; repeat them, further apart"
        )
        raise InputRefused.because(str(reason), expected=expected, key=f"{name}.catch") from None
    speed = _settable(float(found.speed), channel, line)
    return ChannelSetting(
        name=name,
        speed=speed,
        speed_low=float(found.interval.low),
        speed_high=float(found.interval.high),
        mass_flow=mass_flow,
        delivered=flow_at(line, speed),
        line=line,
        motor_low=channel.speed_range[0],
        motor_high=channel.speed_range[1],
    )


def _settable(speed: float, channel: Channel, line: MeterLine) -> float:
    """The nearest speed the drive accepts: within its range if the speed is, and one that delivers something."""
    step = channel.speed_step
    if not step:
        return speed
    low, high = channel.speed_range
    steps = round(speed / step)
    if low <= speed <= high:
        steps = min(max(steps, math.ceil(low / step - _ROUND_OFF)), math.floor(high / step + _ROUND_OFF))
    return max(steps, math.floor(-line.intercept / line.slope / step) + 1, 1) * step


def expected_from(case: Case, proportions: Proportions, settings: Settings) -> Expected:
    """Ratio and flow that the settings give, by the lines through the catches."""
    ratio = quotient(settings.water.delivered, settings.powder.delivered)
    band = case.mortar.water_powder_ratio
    channels = [settings.water, settings.powder, *([settings.accelerator] if settings.accelerator else [])]

    def flow(rates: np.ndarray[tuple[int], np.dtype[np.float64]]) -> float:
        made = delivery(
            water=rates[0],
            powder=rates[1],
            accelerator=rates[2] if len(rates) > 2 else 0.0,
            powder_density=proportions.powder_density,
            air=proportions.air,
            accelerator_density=proportions.accelerator_density,
            water_density=proportions.water_density,
        )
        return float(made.flow)

    return Expected(
        ratio=ratio,
        ratio_with_accelerator=float(effective_water_ratio(proportions)) if settings.accelerator else None,
        flow=propagated(
            flow,
            [float(channel.delivered.value) for channel in channels],
            [float(channel.delivered.u) for channel in channels],
            dofs=[channel.delivered.dof for channel in channels],
        ),
        band=(band.low, band.high),
        in_band=float(probability_within(ratio, low=band.low, high=band.high)),
    )
