"""What a plan says, in SI. A plan is computed from documents and toolpath whenever it is wanted, never stored.

The contract for scripts (`contract.py`), the pages, the card and the charts are renderings of these values.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

if TYPE_CHECKING:
    from datetime import datetime

    import numpy as np
    from numpy.typing import NDArray

    from evenbead.documents import Assumption
    from evenbead.physics.metering import MeterLine
    from evenbead.physics.uncertainty import Estimate
    from evenbead.quantities import Kind

    Floats = NDArray[np.float64]
    Counts = NDArray[np.int64]

Verdict = Literal["ok", "caution", "stop", "unknown"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Span:
    """Mean, lowest and highest of something along the print."""

    mean: float
    low: float
    high: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Demand:
    """What the toolpath asks for. Lengths in m, volumes in m³, times in s, flow in m³/s.

    The flow's lowest and highest are those of any moment at which the bead is on, in corners too.
    """

    path_length: float
    travel_length: float
    printed_volume: float
    layers: int
    duration: float
    on_time: float
    travel_time: float
    dwell_time: float
    flow: Span


@dataclass(frozen=True, slots=True, kw_only=True)
class ChannelSetting:
    """A metered channel at its setting. Speeds in rev/s, flow in kg/s."""

    name: str
    speed: float
    speed_low: float
    speed_high: float
    """Ends of the 95 % interval within which the right speed lies."""
    mass_flow: float
    delivered: Estimate
    """Mass flow at the setting, by the line through the catches."""
    line: MeterLine
    motor_low: float
    motor_high: float

    @property
    def within_catches(self) -> bool:
        """Whether the setting lies between the slowest and the fastest catch."""
        return self.line.speed_low <= self.speed <= self.line.speed_high


@dataclass(frozen=True, slots=True, kw_only=True)
class Settings:
    """The motor speeds for the mean flow at the mortar's target ratio."""

    mixer_speed: float
    mixer_speed_tolerance: float | None
    flow: float
    water: ChannelSetting
    powder: ChannelSetting
    accelerator: ChannelSetting | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Expected:
    """What the settings give, and how far to trust it."""

    ratio: Estimate
    ratio_with_accelerator: float | None
    """Water over powder when the accelerator's own water is counted too."""
    flow: Estimate
    band: tuple[float, float]
    """Lowest and highest ratio the mortar allows."""
    in_band: float
    """Probability that the ratio lies in the mortar's band."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Settling:
    """How long until mortar is good and a change can be judged. Times in s, volumes in m³."""

    start: float
    start_waste: float
    change: float
    hose: float
    hose_volume: float
    chamber_volume: float
    age_at_nozzle: float
    """Mean age since water contact of the mortar that leaves the nozzle."""

    @property
    def judge_after(self) -> float:
        """From a change of a setting until it can be judged at the nozzle. [s]"""
        return self.change + self.hose


@dataclass(frozen=True, slots=True, kw_only=True)
class Refill:
    """So many bags into the hopper at this time of the print. [s]"""

    at: float
    bags: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Litres:
    """Where the mixed mortar goes. All in m³."""

    printed: float
    start_waste: float
    held: float
    """Left in chamber and hose when the print ends."""
    off_bead: float
    """Delivered while the nozzle moves without laying and the station runs on."""
    spare: float

    @property
    def total(self) -> float:
        """All mortar to order material for. [m³]"""
        return self.printed + self.start_waste + self.held + self.off_bead + self.spare


@dataclass(frozen=True, slots=True, kw_only=True)
class Materials:
    """What must be on site. Masses in kg, volumes in m³."""

    litres: Litres
    powder: float
    bag: float
    bags: int
    water: float
    water_per_bag: float
    accelerator: float
    first_fill: int
    """Bags in the hopper when printing starts."""
    refills: tuple[Refill, ...]
    lowest_hopper: float
    wash_water: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Check:
    """One question about the day, answered. Value, limit and margin are in `kind.si`, or plain where it is None."""

    name: str
    verdict: Verdict
    value: float | None
    limit: float | None
    margin: float | None
    """How far the value is on the good side of the limit; negative when it is past it."""
    why: str
    governs: str
    change: str = ""
    """What to change when it is not ok."""
    kind: Kind | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class StartHour:
    """A start so much later than the job's own [s], and the share of the tightest limit that it leaves."""

    shift: float
    room: float
    governs: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Weather:
    """Temperatures along the print, for charts: (m,) each. Times in s from the start; None is not known."""

    time: Floats
    air_c: Floats | None
    fresh_c: Floats | None


@dataclass(frozen=True, slots=True, kw_only=True)
class LayerColumns:
    """One row for each layer: (k,) each. Heights and lengths in m, volumes in m³, times in s."""

    z: Floats
    length: Floats
    volume: Floats
    start: Floats
    duration: Floats

    def __len__(self) -> int:
        return len(self.z)


@dataclass(frozen=True, slots=True, kw_only=True)
class Progress:
    """Litres laid against time, as the corners of a curve: (m,) each."""

    time: Floats
    volume: Floats


@dataclass(frozen=True, slots=True, kw_only=True)
class Plan:
    """A print day as one station must serve it."""

    job: str
    station: str
    mortar: str
    start: datetime
    made_at: datetime
    demand: Demand
    settings: Settings
    expected: Expected
    settling: Settling
    materials: Materials
    checks: tuple[Check, ...]
    layers: LayerColumns
    progress: Progress
    weather: Weather
    start_hours: tuple[StartHour, ...]
    best_start: StartHour | None
    assumed: tuple[Assumption, ...]
    notes: tuple[str, ...]
    cautions: tuple[str, ...]
