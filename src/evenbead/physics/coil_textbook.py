"""What textbooks can say of a coil before it has run: a wide band, and no more.

Inside the tube the state of the flow is uncertain at the flows of a mixing station, and the bend of a coil both
delays turbulence and stirs what is laminar. Outside, water in a still ice bath is heaviest at 4 °C: the formulas for
free convection, made for fluids that rise when warmed, have nothing to hold on to. The band spans all of this, and is
good for deciding whether a coil is worth a trial. One timed run then replaces it: see `cooling_coil`.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

import numpy as np

from evenbead.physics.ranges import within
from evenbead.physics.water_transport import water_conductivity, water_prandtl, water_viscosity

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]
    Numbers = float | Floats

STILL_BATH = 150.0
"""Film outside a coil in a bath that nothing stirs, assumed. [W/m^2/K]  Source: common practice, no source."""

STIRRED_BATH = 1500.0
"""Film outside a coil in a well stirred bath, assumed. [W/m^2/K]  Source: common practice, no source."""

COPPER_CONDUCTIVITY = 390.0
"""Thermal conductivity of copper tube. [W/m/K]  Source: from memory; the wall hardly counts."""

_LAMINAR = 3.66
_SMALLEST_TURBULENT = 2300.0
_DITTUS_BOELTER_FROM = 10_000.0
# A tube of correlations scatters about its fit by a fifth or more; [Cengel2007] says up to 25 % for Dittus-Boelter.
_SCATTER = 0.25


@dataclass(frozen=True, slots=True, kw_only=True)
class Coil:
    """A tube wound into a coil.

    Attributes
    ----------
    length : float or array
        Of the tube in the bath. [m]
    bore : float or array
        Inner diameter of the tube. [m]
    outer_diameter : float or array
        Of the tube. [m]
    turn_diameter : float or array
        Across a turn, from middle of tube to middle of tube. [m]
    wall_conductivity : float or array
        Of the tube's wall; copper unless given. [W/m/K]
    """

    length: Numbers
    bore: Numbers
    outer_diameter: Numbers
    turn_diameter: Numbers
    wall_conductivity: Numbers = COPPER_CONDUCTIVITY

    def __post_init__(self) -> None:
        for name in ("length", "bore", "turn_diameter", "wall_conductivity"):
            within(getattr(self, name), name, above=0.0)
        within(np.subtract(self.outer_diameter, self.bore), "outer_diameter less bore", above=0.0)


@dataclass(frozen=True, slots=True, kw_only=True)
class TextbookBand:
    """Between what limits the conductance of a coil may lie, if nobody has measured it.

    Attributes
    ----------
    low : float or array
        Weakest films inside and outside. [W/K]
    high : float or array
        Strongest films inside and outside. [W/K]
    reynolds : float or array
        Of the flow in the tube. [1]
    critical_reynolds : float or array
        At which the flow in this coil is expected to turn turbulent. [1]
    """

    low: Numbers
    high: Numbers
    reynolds: Numbers
    critical_reynolds: Numbers


def nusselt_laminar_entry(graetz: Numbers) -> Numbers:
    """Nusselt number of laminar flow in a tube with a wall of one temperature, from its entry on.

    Nu = 3.66 + 0.065 Gz/(1 + 0.04 Gz^(2/3)), with Gz = (bore/length) Re Pr.

    Parameters
    ----------
    graetz : float or array
        Graetz number. [1]

    Returns
    -------
    nusselt : float or array
        Mean over the length; 3.66 in a long tube. [1]

    Valid for: Reynolds numbers below 2300 in a straight tube.

    Source: [Cengel2007] chapter 8.

    Examples
    --------
    >>> float(nusselt_laminar_entry(10367.0))
    37.32
    """
    return _LAMINAR + 0.065 * graetz / (1.0 + 0.04 * np.power(graetz, 2.0 / 3.0))


def nusselt_laminar_coil(reynolds: Numbers, prandtl: Numbers, *, bore_over_turn: Numbers) -> Numbers:
    """Nusselt number of laminar flow in a coil, whose bend stirs it.

    Parameters
    ----------
    reynolds : float or array
        Of the flow in the tube. [1]
    prandtl : float or array
        Of the fluid. [1]
    bore_over_turn : float or array
        Bore over diameter of a turn. [1]

    Returns
    -------
    nusselt : float or array
        [1]

    Valid for: Reynolds numbers from about 100 to the coil's critical one.

    Source: [Schmidt1967], from memory.

    Examples
    --------
    >>> nusselt_laminar_coil(2000.0, 9.0, bore_over_turn=0.036)
    28.
    """
    power = 0.5 + 0.2903 * bore_over_turn**0.194
    return 3.65 + 0.08 * (1.0 + 0.8 * bore_over_turn**0.9) * reynolds**power * prandtl ** (1.0 / 3.0)


def nusselt_dittus_boelter(reynolds: Numbers, prandtl: Numbers, *, fluid_is: Literal["cooled", "heated"]) -> Numbers:
    """Nusselt number of fully turbulent flow in a tube, 0.023 Re^0.8 Pr^n.

    Parameters
    ----------
    reynolds : float or array
        Above 10 000. [1]
    prandtl : float or array
        0.7 to 160. [1]
    fluid_is : str
        "cooled" takes n = 0.3, "heated" n = 0.4. [-]

    Returns
    -------
    nusselt : float or array
        Good to about a quarter. [1]

    Source: [Cengel2007] chapter 8.

    Examples
    --------
    >>> nusselt_dittus_boelter(27728.0, 3.98, fluid_is="heated")
    143.2
    """
    return 0.023 * reynolds**0.8 * prandtl ** (0.3 if fluid_is == "cooled" else 0.4)


def nusselt_gnielinski(reynolds: Numbers, prandtl: Numbers) -> Numbers:
    """Nusselt number of turbulent flow in a smooth tube, down into the change from laminar flow.

    Nu = (f/8)(Re - 1000) Pr/(1 + 12.7 √(f/8) (Pr^(2/3) - 1)), with f = (0.79 ln Re - 1.64)^-2.

    Parameters
    ----------
    reynolds : float or array
        3000 to 5 million. [1]
    prandtl : float or array
        0.5 to 2000. [1]

    Returns
    -------
    nusselt : float or array
        [1]

    Source: [Cengel2007] chapter 8.

    Examples
    --------
    >>> float(nusselt_gnielinski(5000.0, 9.4))
    44.842
    """
    eighth = (0.79 * np.log(reynolds) - 1.64) ** -2 / 8.0
    return (
        eighth * (np.asarray(reynolds) - 1000.0) * prandtl / (1.0 + 12.7 * np.sqrt(eighth) * (prandtl ** (2 / 3) - 1.0))
    )


def nusselt_free_cylinder(rayleigh: Numbers, prandtl: Numbers) -> Numbers:
    """Nusselt number of free convection about a level cylinder.

    Nu = {0.6 + 0.387 Ra^(1/6)/[1 + (0.559/Pr)^(9/16)]^(8/27)}².

    Parameters
    ----------
    rayleigh : float or array
        On the outer diameter, up to 10^12. [1]
    prandtl : float or array
        Of the fluid outside. [1]

    Returns
    -------
    nusselt : float or array
        [1]

    Valid for: fluids that rise when they are warmed. Water between 0 and 8 °C does not: in an ice bath this says
    nothing, and the band below does not use it.

    Source: [Cengel2007] chapter 9, after Churchill and Chu.

    Examples
    --------
    >>> nusselt_free_cylinder(1.867e6, 0.7241)
    17.39
    """
    hindered = (1.0 + (0.559 / prandtl) ** (9.0 / 16.0)) ** (8.0 / 27.0)
    return (0.6 + 0.387 * rayleigh ** (1.0 / 6.0) / hindered) ** 2


def critical_reynolds(bore_over_turn: Numbers) -> Numbers:
    """Reynolds number at which the flow in a coil turns turbulent: later than in a straight tube.

    Parameters
    ----------
    bore_over_turn : float or array
        Bore over diameter of a turn; zero for a straight tube. [1]

    Returns
    -------
    reynolds : float or array
        [1]

    Source: [Schmidt1967], from memory; equal to what the package `fluids` gives.

    Examples
    --------
    >>> critical_reynolds(10.7 / 300)
    6713.
    """
    return 2300.0 * (1.0 + 8.6 * bore_over_turn**0.45)


def series_conductance(coil: Coil, *, inside_film: Numbers, outside_film: Numbers) -> Numbers:
    """Conductance of a tube from its two films and its wall, one behind the other.

    1/UA = 1/(h_i π D_i L) + ln(D_o/D_i)/(2 π k L) + 1/(h_o π D_o L).

    Parameters
    ----------
    coil : Coil
        The tube. [-]
    inside_film : float or array
        Heat transfer coefficient inside. [W/m^2/K]
    outside_film : float or array
        Heat transfer coefficient outside. [W/m^2/K]

    Returns
    -------
    conductance : float or array
        [W/K]

    Source: [Cengel2007] chapter 3.

    Examples
    --------
    >>> copper = Coil(length=15.0, bore=10.7e-3, outer_diameter=12.7e-3, turn_diameter=0.3)
    >>> float(series_conductance(copper, inside_film=2500.0, outside_film=400.0))
    201.
    """
    inside = 1.0 / (within(inside_film, "inside_film", above=0.0) * math.pi * coil.bore * coil.length)
    wall = np.log(np.divide(coil.outer_diameter, coil.bore)) / (2.0 * math.pi * coil.wall_conductivity * coil.length)
    outside = 1.0 / (within(outside_film, "outside_film", above=0.0) * math.pi * coil.outer_diameter * coil.length)
    return 1.0 / (inside + wall + outside)


def textbook_conductance(
    coil: Coil,
    *,
    flow: Numbers,
    water_temp_c: Numbers,
    still_bath: Numbers = STILL_BATH,
    stirred_bath: Numbers = STIRRED_BATH,
) -> TextbookBand:
    """The band in which the conductance of a coil may lie before anyone has measured it.

    Inside, the weakest and the strongest of the formulas that may hold at this flow, less and more a quarter. Outside,
    what a still and what a well stirred bath may give. The true value is somewhere between, by a factor of several.

    Parameters
    ----------
    coil : Coil
        The tube in the bath. [-]
    flow : float or array
        Mass flow of the water. [kg/s]
    water_temp_c : float or array
        Mean of the water in the coil. [degC]
    still_bath : float or array
        Weakest film outside. [W/m^2/K]
    stirred_bath : float or array
        Strongest film outside. [W/m^2/K]

    Returns
    -------
    band : TextbookBand
        [W/K]

    Valid for: deciding whether a trial is worth it. Not for planning: measure.

    Source: [Cengel2007] chapters 3 and 8, [Schmidt1967] for the coil; the films outside are assumed.

    Examples
    --------
    >>> copper = Coil(length=15.0, bore=10.7e-3, outer_diameter=12.7e-3, turn_diameter=0.3)
    >>> band = textbook_conductance(copper, flow=4.0 / 60, water_temp_c=15.0)
    >>> float(band.low), float(band.high)
    (84., 624.)
    """
    reynolds = 4.0 * within(flow, "flow", above=0.0) / (math.pi * coil.bore * water_viscosity(water_temp_c))
    bend = np.divide(coil.bore, coil.turn_diameter)
    weak, strong = _inside_nusselts(coil, reynolds, water_prandtl(water_temp_c), bend)
    per_nusselt = water_conductivity(water_temp_c) / coil.bore
    return TextbookBand(
        low=series_conductance(coil, inside_film=weak * per_nusselt, outside_film=still_bath),
        high=series_conductance(coil, inside_film=strong * per_nusselt, outside_film=stirred_bath),
        reynolds=reynolds,
        critical_reynolds=critical_reynolds(bend),
    )


def _inside_nusselts(coil: Coil, reynolds: Numbers, prandtl: Numbers, bend: Numbers) -> tuple[Numbers, Numbers]:
    """The weakest and the strongest of what may hold inside the tube."""
    straight = nusselt_laminar_entry(reynolds * prandtl * np.divide(coil.bore, coil.length))
    stirred = nusselt_laminar_coil(reynolds, prandtl, bore_over_turn=bend)
    turbulent = nusselt_gnielinski(np.maximum(reynolds, _SMALLEST_TURBULENT), prandtl)
    fully = nusselt_dittus_boelter(reynolds, prandtl, fluid_is="cooled")
    weak = np.where(reynolds < critical_reynolds(bend), np.minimum(straight, turbulent), turbulent)
    strong = np.maximum(straight, stirred)
    strong = np.where(reynolds >= _SMALLEST_TURBULENT, np.maximum(strong, turbulent), strong)
    strong = np.where(reynolds >= _DITTUS_BOELTER_FROM, np.maximum(strong, fully), strong)
    return weak * (1.0 - _SCATTER), strong * (1.0 + _SCATTER)
