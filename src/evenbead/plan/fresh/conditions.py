"""The day as the mortar meets it: weather, and how warm the mortar is, from the start of printing to its end."""

from __future__ import annotations

import itertools
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from evenbead.documents import Assumption
from evenbead.errors import InputRefused, NotPossible
from evenbead.physics.heat import Charge, fresh_temperature, shaft_heat
from evenbead.physics.setting import TemperatureHistory
from evenbead.physics.setting_rate import Arrhenius
from evenbead.plan.spans import span
from evenbead.quantities import TEMPERATURE, exact

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from evenbead.documents import Case
    from evenbead.documents.job import WeatherHour
    from evenbead.plan.model import Settings

    Floats = NDArray[np.float64]

_STEP = 900.0  # s; weather and temperatures are looked at every quarter of an hour, and when the print ends
_AFTER = 4 * 3600.0  # s; mortar laid last still has to be judged for a while


@dataclass(frozen=True, slots=True, kw_only=True)
class Day:
    """Weather and mortar temperature along the print. Times in s from the start, (m,) each; None is not known."""

    time: Floats
    duration: float
    air_c: Floats | None
    humidity: Floats | None
    wind: Floats | None
    fresh_c: Floats
    """Temperature of the mortar that leaves the mixer."""
    fresh_known: bool
    cool: TemperatureHistory
    """The colder of mortar and air: for what must stiffen."""
    warm: TemperatureHistory
    """The warmer of the two: for what must stay open."""
    rate: Arrhenius
    charge: Charge | None
    assumed: tuple[Assumption, ...]

    @property
    def printing(self) -> NDArray[np.bool_]:
        """Which times lie within the print."""
        within: NDArray[np.bool_] = self.time <= self.duration
        return within


def day_of(case: Case, settings: Settings, *, duration: float, shift: float = 0.0) -> Day:
    """The conditions of a print that starts `shift` seconds later than the job says.

    Raises
    ------
    InputRefused
        The mixing water would freeze in the mortar.
    """
    time = np.union1d(np.arange(0.0, duration + _AFTER + _STEP, _STEP), [duration])
    job, fresh = case.job, case.mortar.fresh
    epoch = job.start.timestamp() + shift

    def along(name: str) -> Floats | None:
        return _along(job.weather, name, epoch + time, until=epoch + duration, gap=job.limits.weather_gap)

    air = along("air_temperature")
    reference = fresh.reference_temperature if fresh else 20.0
    assumed: list[Assumption] = []
    charge = _charge(case, settings, air, assumed)
    if charge is None:
        mortar = np.full_like(time, reference)
        assumed.append(_assumption("temperature of the mortar", exact(reference, TEMPERATURE), "no weather: as tested"))
    else:
        try:
            mortar = np.broadcast_to(np.asarray(fresh_temperature(charge), float), time.shape).copy()
        except NotPossible as reason:
            raise case.in_job(
                InputRefused.because(str(reason), expected="expected warmer water or powder", key="supply")
            ) from None
    ambient = mortar if air is None else air
    return Day(
        time=time,
        duration=duration,
        air_c=air,
        humidity=along("humidity"),
        wind=along("wind"),
        fresh_c=mortar,
        fresh_known=charge is not None,
        cool=TemperatureHistory(time=time, temperature_c=np.minimum(mortar, ambient)),
        warm=TemperatureHistory(time=time, temperature_c=np.maximum(mortar, ambient)),
        rate=Arrhenius(activation_energy=fresh.activation_energy if fresh else 40e3, reference_c=reference),
        charge=charge,
        assumed=tuple(assumed),
    )


def require_bridged(case: Case, *, duration: float) -> None:
    """Refuse weather with a gap in the print that is longer than the job allows to interpolate over.

    Raises
    ------
    InputRefused
        With the job's file and the line of the entry after the gap.
    """
    start, gap = case.job.start.timestamp(), case.job.limits.weather_gap
    for at, (earlier, later) in enumerate(itertools.pairwise(case.job.weather), start=1):
        apart = (later.time - earlier.time).total_seconds()
        meets = earlier.time.timestamp() < start + duration and later.time.timestamp() > start
        if apart > gap and meets:
            refused = InputRefused.because(
                f"no weather between {earlier.time:%d %b %H:%M} and {later.time:%d %b %H:%M}",
                expected=f"expected entries at most {span(gap)} apart, or a longer limits.weather_gap",
                key="weather",
            )
            raise case.in_job(refused, "weather", at)


def _along(hours: tuple[WeatherHour, ...], name: str, moments: Floats, *, until: float, gap: float) -> Floats | None:
    """One reading of the weather along the print, from the entries that give it; None where they don't reach.

    Between entries it is interpolated, before the first and after the last one held, neither for longer than `gap`.
    """
    given = [(hour.time.timestamp(), value) for hour in hours if (value := getattr(hour, name)) is not None]
    if not given:
        return None
    times, values = (np.array(column, float) for column in zip(*given, strict=True))
    start = float(moments[0])
    met = (times[:-1] < until) & (times[1:] > start)
    if times[0] - gap > start or until > times[-1] + gap or np.any(np.diff(times)[met] > gap):
        return None
    found: Floats = np.interp(moments, times, values)
    return found


def _charge(case: Case, settings: Settings, air: Floats | None, assumed: list[Assumption]) -> Charge | None:
    """What is mixed each second and how warm it is; what was not given is as warm as the air."""
    supply, mixer = case.job.supply, case.station.mixer
    powder = air if supply.powder_temperature is None else supply.powder_temperature
    water = air if supply.water_temperature is None else supply.water_temperature
    if powder is None or water is None:
        return None
    for name, value in (("powder", supply.powder_temperature), ("water", supply.water_temperature)):
        if value is None:
            assumed.append(_assumption(f"supply.{name}_temperature", "as the air", "nobody gave it"))
    if mixer.power is None:
        assumed.append(Assumption(key="station: mixer.power", value="no heat from the shaft", source="nobody gave it"))
    accelerator = settings.accelerator.mass_flow if settings.accelerator else 0.0
    return Charge(
        powder=settings.powder.mass_flow,
        powder_temp_c=powder,
        water=settings.water.mass_flow,
        water_temp_c=np.maximum(water, 0.0),
        accelerator=accelerator,
        accelerator_temp_c=powder if accelerator else None,
        shaft_heat=0.0 if mixer.power is None else shaft_heat(power=mixer.power, share=mixer.heat_share),
    )


def _assumption(key: str, value: str, source: str) -> Assumption:
    return Assumption(key=f"job: {key}", value=value, source=source)
