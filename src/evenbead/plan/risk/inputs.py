"""The uncertain inputs of a day: what each could be, and what one would measure to know it better."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from evenbead.physics.distributions import Fixed, LogNormal, Normal, Truncated, distribution_of

if TYPE_CHECKING:
    from evenbead.physics.distributions import Distribution
    from evenbead.plan.fresh.situation import Situation
    from evenbead.plan.model import Expected


@dataclass(frozen=True, slots=True, kw_only=True)
class Input:
    """An uncertain input: its name among the draws, and how one would know it better."""

    name: str
    words: str
    measure: str


INPUTS: tuple[Input, ...] = (
    Input(name="ratio", words="water/powder ratio by the catches", measure="catch water and powder again"),
    Input(name="feed", words="wander of the feeds during the day", measure="weigh catches at high and low hopper"),
    Input(name="yield_stress", words="yield stress as laid", measure="weigh falling slugs at the nozzle"),
    Input(name="growth", words="growth of the yield stress", measure="penetrometer or vane on the bead over minutes"),
    Input(name="stiffness", words="stiffness as laid", measure="compress a fresh cylinder"),
    Input(name="stiffening", words="growth of the stiffness", measure="compress fresh cylinders at several ages"),
    Input(name="viscosity", words="plastic viscosity", measure="read the hose's pressure at three flows"),
    Input(name="open_time", words="open time", measure="try how long a sample stays printable"),
    Input(name="water_sensitivity", words="water sensitivity", measure="measure yield stress at two ratios"),
    Input(
        name="temperature", words="temperatures of air, powder and water", measure="thermometer in bag, water, shade"
    ),
    Input(name="humidity", words="humidity of the air", measure="weather meter at the print"),
    Input(name="wind", words="wind at the print", measure="weather meter at the print"),
    Input(name="collapse_model", words="the collapse model itself", measure="print a trial until it falls"),
    Input(name="buckling_model", words="the buckling model itself", measure="print a trial wall until it falls"),
)


def distributions(situation: Situation, expected: Expected) -> dict[str, Distribution]:
    """What each input could be.

    Most are factors about one; `ratio` is the ratio itself, `temperature` an offset in K, `humidity` an offset.
    """
    mortar, day = situation.case.mortar.spread, situation.case.job.spread
    ratio = distribution_of(expected.ratio)
    low, high = expected.band
    return {
        # Few catches give long tails; a ratio a whole band beyond the band would be seen at once, and none is negative.
        "ratio": Truncated(of=ratio, low=max(low - (high - low), low / 2), high=high + (high - low)),
        "feed": _factor(day.feed),
        "yield_stress": _factor(mortar.yield_stress),
        "growth": _factor(mortar.growth),
        "stiffness": _factor(mortar.stiffness),
        "stiffening": _factor(mortar.stiffening),
        "viscosity": _factor(mortar.viscosity),
        "open_time": _factor(mortar.open_time),
        "water_sensitivity": _factor(mortar.water_sensitivity),
        "temperature": Normal(mean=0.0, sd=day.temperature) if day.temperature else Fixed(value=0.0),
        "humidity": Normal(mean=0.0, sd=day.humidity) if day.humidity else Fixed(value=0.0),
        "wind": _factor(day.wind),
        "collapse_model": _factor(day.collapse_model),
        "buckling_model": _factor(day.buckling_model),
    }


def _factor(relative: float) -> Distribution:
    """A factor about one, never negative."""
    return LogNormal.with_relative_sd(median=1.0, relative_sd=relative) if relative else Fixed(value=1.0)
