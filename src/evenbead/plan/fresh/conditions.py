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
from evenbead.quantities import TEMPERATURE, exact

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from evenbead.documents import Case
    from evenbead.documents.job import WeatherHour
    from evenbead.plan.model import Settings

    Floats = NDArray[np.float64]

_STEP = 900.0  # s; weather and temperatures are looked at every quarter of an hour
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
        The weather has a gap that is too long to bridge.
    """
    time = np.arange(0.0, duration + _AFTER + _STEP, _STEP)
    job, fresh = case.job, case.mortar.fresh
    epoch = job.start.timestamp() + shift
    hours = job.weather
    held = job.limits.weather_gap
    air = _along(hours, "air_temperature", epoch + time) if _covered(hours, epoch, duration, held) else None
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
            raise InputRefused.because(str(reason), expected="expected warmer water or powder", key="supply") from None
    ambient = mortar if air is None else air
    return Day(
        time=time,
        duration=duration,
        air_c=air,
        humidity=None if air is None else _along(hours, "humidity", epoch + time),
        wind=None if air is None else _along(hours, "wind", epoch + time),
        fresh_c=mortar,
        fresh_known=charge is not None,
        cool=TemperatureHistory(time=time, temperature_c=np.minimum(mortar, ambient)),
        warm=TemperatureHistory(time=time, temperature_c=np.maximum(mortar, ambient)),
        rate=Arrhenius(activation_energy=fresh.activation_energy if fresh else 40e3, reference_c=reference),
        charge=charge,
        assumed=tuple(assumed),
    )


def require_bridged(case: Case) -> None:
    """Refuse weather whose hours lie further apart than the job allows to interpolate over."""
    hours, gap = case.job.weather, case.job.limits.weather_gap
    for earlier, later in itertools.pairwise(hours):
        apart = (later.time - earlier.time).total_seconds()
        if apart > gap:
            raise InputRefused.because(
                f"no weather between {earlier.time:%H:%M} and {later.time:%H:%M}",
                expected=f"expected entries at most {gap / 3600:.3g} h apart, or a longer limits.weather_gap",
                key="weather",
            )


def _covered(hours: tuple[WeatherHour, ...], epoch: float, duration: float, held: float) -> bool:
    """Whether the weather reaches over the print, the first and last entry held for a while."""
    if not hours:
        return False
    return hours[0].time.timestamp() - held <= epoch and epoch + duration <= hours[-1].time.timestamp() + held


def _along(hours: tuple[WeatherHour, ...], name: str, moments: Floats) -> Floats | None:
    """One reading of the weather along the print; None where it was not always given."""
    values = [getattr(hour, name) for hour in hours]
    if not values or any(value is None for value in values):
        return None
    found: Floats = np.interp(moments, [hour.time.timestamp() for hour in hours], np.array(values, float))
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
