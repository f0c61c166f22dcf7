"""The mortar: what the bag is, how much water it wants, and how it behaves fresh and hardened, as far as measured."""

from __future__ import annotations

import itertools
from typing import Annotated, Literal

from pydantic import Field, ValidationInfo, field_validator

from evenbead.documents.fields import Assumed, Document, Number, Quantity, Text, refusal
from evenbead.quantities import (
    DENSITY,
    DURATION,
    MASS,
    MOLAR_ENERGY,
    SMALL_LENGTH,
    STIFFNESS,
    STIFFNESS_RATE,
    STRENGTH,
    STRESS,
    STRESS_RATE,
    TEMPERATURE,
    VISCOSITY,
)

Ratio = Annotated[float, Number(0.02, 1.0)]
Dose = Annotated[float, Number(0.0, 0.5)]
YieldGrowth = Annotated[float, Quantity(STRESS_RATE, low="0 Pa/min", high="1e6 Pa/min")]


class WaterPowderRatio(Document):
    """kg of mixing water per kg of powder: what is wanted and what is allowed."""

    target: Ratio = Field(description="wanted ratio")
    low: Ratio = Field(description="lowest allowed ratio")
    high: Ratio = Field(description="highest allowed ratio")

    @field_validator("high")
    @classmethod
    def _is_in_order(cls, high: float, info: ValidationInfo) -> float:
        known = [(name, info.data[name]) for name in ("low", "target") if name in info.data] + [("high", high)]
        if any(later <= earlier for (_, earlier), (_, later) in itertools.pairwise(known)):
            raise refusal(
                f"{', '.join(f'{name} {value:g}' for name, value in known)} are not in order",
                "expected low < target < high: a target without room on both sides can't be held",
            )
        return high


class LinearGrowth(Document):
    """Yield stress grows by the same amount every minute at rest."""

    law: Literal["linear"]
    rate: YieldGrowth = Field(description="growth of the yield stress at rest")


class ExponentialGrowth(Document):
    """Yield stress grows ever faster, starting at `rate`, with a characteristic `time`."""

    law: Literal["exponential"]
    rate: YieldGrowth = Field(description="growth of the yield stress at first")
    time: Annotated[float, Quantity(DURATION, low="1 min", high="24 h")] = Field(description="characteristic time")


class BilinearGrowth(Document):
    """Yield stress first recovers fast, from dynamic to static, then grows slowly."""

    law: Literal["bilinear"]
    reflocculation: Annotated[float, Quantity(STRESS_RATE, low="0.01 Pa/min", high="1e6 Pa/min")] = Field(
        description="fast growth at first"
    )
    rise: Annotated[float, Quantity(STRESS, low="0 Pa", high="100 kPa")] = Field(
        description="static less dynamic yield stress"
    )
    structuration: YieldGrowth = Field(description="slow growth after that")


_LAB_TO_SITE = Assumed(
    "no source for this mortar: laboratories differ by 17 to 53 % on one mix (abstract), repeats at one site by less"
)

Growth = Annotated[LinearGrowth | ExponentialGrowth | BilinearGrowth, Field(discriminator="law")]


class Fresh(Document):
    """The fresh mortar at the target ratio and the reference temperature. What was not measured is left out."""

    reference_temperature: Annotated[
        float, Quantity(TEMPERATURE, low="0 degC", high="60 degC"), Assumed("the temperature laboratories test at")
    ] = Field(default=20.0, description="temperature the values below were measured at")
    yield_stress: Annotated[float, Quantity(STRESS, low="1 Pa", high="100 kPa")] | None = Field(
        default=None, description="just after it is laid"
    )
    dynamic_yield_stress: Annotated[float, Quantity(STRESS, low="1 Pa", high="100 kPa")] | None = Field(
        default=None, description="while it flows in the hose; `yield_stress` counts unless given, which is cautious"
    )
    plastic_viscosity: Annotated[float, Quantity(VISCOSITY, low="0.01 Pa*s", high="10000 Pa*s")] | None = Field(
        default=None, description="slope of the flow curve"
    )
    growth: Growth | None = Field(default=None, description="how the yield stress grows at rest")
    water_sensitivity: Annotated[float, Number(0, 500)] | None = Field(
        default=None, description="-d ln(yield stress) / d(water/powder)"
    )
    elastic_modulus: Annotated[float, Quantity(STIFFNESS, low="100 Pa", high="1 GPa")] | None = Field(
        default=None, description="just after it is laid"
    )
    elastic_growth: Annotated[float, Quantity(STIFFNESS_RATE, low="0 Pa/min", high="100 MPa/min")] | None = Field(
        default=None, description="growth of the elastic modulus at rest"
    )
    poisson_ratio: Annotated[float, Number(0, 0.5)] | None = Field(default=None, description="of the fresh mortar")
    open_time: Annotated[float, Quantity(DURATION, low="1 min", high="24 h")] | None = Field(
        default=None, description="how long it stays printable and bonds to the next layer"
    )
    activation_energy: Annotated[
        float,
        Quantity(MOLAR_ENERGY, low="1 kJ/mol", high="200 kJ/mol"),
        Assumed("[ASTM-C1074] suggests 40 to 45 kJ/mol for plain cement, from memory"),
    ] = Field(default=40e3, description="how strongly temperature speeds it up")

    @field_validator("dynamic_yield_stress")
    @classmethod
    def _is_not_above_the_static(cls, dynamic: float | None, info: ValidationInfo) -> float | None:
        static = info.data.get("yield_stress")
        if dynamic is not None and static is not None and dynamic > static:
            raise refusal(
                "is above the yield stress as laid", "expected at most that: what flows is never stiffer than at rest"
            )
        return dynamic

    @field_validator("elastic_modulus")
    @classmethod
    def _is_above_the_yield_stress(cls, modulus: float | None, info: ValidationInfo) -> float | None:
        stress = info.data.get("yield_stress")
        if modulus is not None and stress is not None and modulus <= stress:
            raise refusal(
                "is not above the yield stress",
                "expected far more, as mortar yields at a strain of some hundredths; look at the units of both",
            )
        return modulus


class MeasuredGrowth(Document):
    """Growth of the yield stress at one dose of accelerator, linear with age."""

    dose: Dose = Field(description="kg per kg of powder")
    rate: YieldGrowth = Field(description="growth of the yield stress at this dose")


class Accelerator(Document):
    """The accelerator of a two-part mortar."""

    dose: Dose = Field(description="kg per kg of powder")
    dose_range: tuple[Dose, Dose] | None = Field(
        default=None, description="lowest and highest dose the supplier allows"
    )
    growth: Growth | None = Field(default=None, description="growth of the yield stress with this dose mixed in")
    measured: tuple[MeasuredGrowth, ...] = Field(
        default=(), description="linear growth at several doses; read between them instead of `growth`"
    )
    pause_limit: Annotated[float, Quantity(DURATION, low="0 min", high="24 h")] | None = Field(
        default=None, description="longest stop the supplier allows with accelerator mixed in"
    )

    @field_validator("measured")
    @classmethod
    def _are_different_doses(cls, measured: tuple[MeasuredGrowth, ...]) -> tuple[MeasuredGrowth, ...]:
        doses = sorted(at.dose for at in measured)
        twice = next((dose for dose, later in itertools.pairwise(doses) if dose == later), None)
        if twice is not None:
            raise refusal(f"holds the dose {twice:g} twice", "expected each dose once, with the mean of its rates")
        return measured

    @field_validator("dose_range")
    @classmethod
    def _holds_the_dose(cls, allowed: tuple[float, float] | None, info: ValidationInfo) -> tuple[float, float] | None:
        if allowed is None:
            return None
        low, high = allowed
        if low > high:
            raise refusal("does not rise", "expected the lowest dose first, then the highest")
        dose = info.data.get("dose", low)
        if not low <= dose <= high:
            raise refusal(f"the dose {dose:g} is outside {low:g} to {high:g}", "expected a range that holds the dose")
        return allowed


class MortarSpread(Document):
    """Standard doubt of the fresh values, as a share of each: between what was measured and this day's mortar."""

    yield_stress: Annotated[float, Number(0, 2), _LAB_TO_SITE] = Field(default=0.20, description="of yield stress")
    growth: Annotated[float, Number(0, 2), _LAB_TO_SITE] = Field(default=0.25, description="of its growth")
    stiffness: Annotated[float, Number(0, 2), _LAB_TO_SITE] = Field(default=0.25, description="of the elastic modulus")
    stiffening: Annotated[float, Number(0, 2), _LAB_TO_SITE] = Field(default=0.30, description="of its growth")
    viscosity: Annotated[float, Number(0, 2), _LAB_TO_SITE] = Field(default=0.25, description="of plastic viscosity")
    open_time: Annotated[float, Number(0, 2), _LAB_TO_SITE] = Field(default=0.20, description="of the open time")
    water_sensitivity: Annotated[float, Number(0, 2), _LAB_TO_SITE] = Field(
        default=0.30, description="of the water sensitivity"
    )


class Hardened(Document):
    """The hardened mortar."""

    strength_28d: Annotated[float, Quantity(STRENGTH, low="1 MPa", high="250 MPa")] | None = Field(
        default=None, description="compressive strength at 28 days"
    )


class Mortar(Document):
    """mortar.toml"""

    name: Text = Field(description="what the crew calls it")
    kind: Literal["one-part", "two-part"] = Field(description="without or with an accelerator near the nozzle")
    bag: Annotated[float, Quantity(MASS, low="0.5 kg", high="2000 kg")] = Field(description="powder in one bag")
    powder_density: Annotated[float, Quantity(DENSITY, low="1 kg/L", high="5 kg/L")] = Field(
        description="absolute density of the dry powder, without the air between its grains"
    )
    air_content: Annotated[
        float, Number(0, 0.5), Assumed("common practice, no source: a dense mortar holds 2 to 4 % air")
    ] = Field(default=0.03, description="share of the fresh volume that is air")
    largest_grain: Annotated[float, Quantity(SMALL_LENGTH, low="0 mm", high="40 mm")] | None = Field(
        default=None, description="largest grain in the powder"
    )
    water_powder_ratio: WaterPowderRatio
    fresh: Fresh | None = Field(default=None)
    accelerator: Accelerator | None = Field(
        default=None,
        description="needed for a two-part mortar; not used while the kind is one-part",
        validate_default=True,
    )
    spread: MortarSpread = Field(default_factory=MortarSpread)
    hardened: Hardened | None = Field(default=None)

    @field_validator("accelerator")
    @classmethod
    def _is_there_if_needed(cls, accelerator: Accelerator | None, info: ValidationInfo) -> Accelerator | None:
        if accelerator is None and info.data.get("kind") == "two-part":
            raise refusal("is missing from a two-part mortar", "expected an [accelerator] section with its dose")
        return accelerator
