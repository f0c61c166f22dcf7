"""What the feeds' motors allow when the print runs at another pace."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from evenbead.plan.model import ChannelSetting, Settings

    Floats = NDArray[np.float64]


def allowed_paces(settings: Settings) -> tuple[float, float]:
    """The least and the greatest pace at which every motor runs between its slowest and its fastest speed."""
    ends = [_paces_of(channel) for channel in _channels(settings)]
    return max(quickest for quickest, _ in ends), min(slowest for _, slowest in ends)


def feed_room(settings: Settings, pace: Floats) -> Floats:
    """By what share of its speed the tightest motor could still change; below zero it can't run so. (n,)"""
    quickest, slowest = allowed_paces(settings)
    return np.minimum(pace / quickest, slowest / pace) - 1.0


def _channels(settings: Settings) -> list[ChannelSetting]:
    return [settings.water, settings.powder, *([settings.accelerator] if settings.accelerator else [])]


def _paces_of(channel: ChannelSetting) -> tuple[float, float]:
    most, least = (
        channel.line.intercept + channel.line.slope * speed for speed in (channel.motor_high, channel.motor_low)
    )
    return (
        channel.mass_flow / most if most > 0 else math.inf,
        channel.mass_flow / least if least > 0 else math.inf,
    )
