"""How much water a face has lost until the next bead covers it: the drying dose, through changing weather.

The rate of loss is that of `drying`. Its sum over the interval is what an interval does to a face: a short one in wind
can dry it more than a long one in fog, which is why no interval alone is a limit.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from evenbead.physics.ranges import within

if TYPE_CHECKING:
    from numpy.typing import ArrayLike, NDArray

    from evenbead.physics.drying import Evaporation

    Floats = NDArray[np.float64]
    Numbers = float | Floats


@dataclass(frozen=True, slots=True, kw_only=True)
class DryingDose:
    """Water lost from a wet face over a time, by both formulas.

    Attributes
    ----------
    uno : float or array
        By Uno's formula. [kg/m^2]
    menzel : float or array
        By Menzel's. [kg/m^2]
    """

    uno: Numbers
    menzel: Numbers

    @property
    def higher(self) -> Numbers:
        """The cautious one of the two. [kg/m^2]"""
        higher: Numbers = np.maximum(self.uno, self.menzel)
        return higher


def drying_doses(time: ArrayLike, weather: Evaporation, *, since: Numbers, until: Numbers) -> DryingDose:
    """Water lost from each area of a wet face between two moments, by both formulas.

    Parameters
    ----------
    time : (n,) array
        Moments at which the rates are known, ascending. [s]
    weather : Evaporation
        Rates at each, as (n,) arrays. [kg/m^2/s]
    since : float or array
        When each face was laid. [s]
    until : float or array
        When each was covered, not before. [s]

    Returns
    -------
    dose : DryingDose
        [kg/m^2]

    Valid for: as `drying_dose`.

    Source: as `drying_dose`.
    """
    return DryingDose(
        uno=drying_dose(time, weather.uno, since=since, until=until),
        menzel=drying_dose(time, weather.menzel, since=since, until=until),
    )


def drying_dose(time: ArrayLike, rate: ArrayLike, *, since: Numbers, until: Numbers) -> Numbers:
    """Water lost from each area of a wet face between two moments, while the weather changes.

    Parameters
    ----------
    time : (n,) array
        Moments at which the rate is known, ascending. [s]
    rate : (n,) array
        Evaporation at each; in between it goes evenly. [kg/m^2/s]
    since : float or array
        When each face was laid. [s]
    until : float or array
        When each was covered, not before. [s]

    Returns
    -------
    dose : float or array
        [kg/m^2]

    Raises
    ------
    ValueError
        Faces laid or covered outside the weather that is known.

    Valid for: the first hours, while the face is wet; later, water comes up too slowly and the loss falls behind.

    Source: definition; that printed specimens lose water at the rate of a free surface was seen in an abstract.

    Examples
    --------
    >>> float(drying_dose([0.0, 3600.0], [0.0, 1e-4], since=0.0, until=3600.0))
    0.18
    """
    moments, rates = np.asarray(time, np.float64), np.asarray(rate, np.float64)
    if moments.ndim != 1 or moments.shape != rates.shape or np.any(np.diff(moments) <= 0.0):
        raise ValueError("time is not ascending, or there is not one rate for each moment")
    within(since, "since", at_least=float(moments[0]), at_most=float(moments[-1]))
    within(np.asarray(until, float) - since, "time from laid to covered", at_least=0.0)
    within(until, "until", at_most=float(moments[-1]))
    lost = np.concatenate(([0.0], np.cumsum((rates[1:] + rates[:-1]) / 2.0 * np.diff(moments))))

    def until_then(moment: Numbers) -> Floats:
        when = np.asarray(moment, np.float64)
        piece = np.clip(np.searchsorted(moments, when, side="right") - 1, 0, len(moments) - 1)
        mean_rate = (rates[piece] + np.interp(when, moments, rates)) / 2.0
        result: Floats = lost[piece] + mean_rate * (when - moments[piece])
        return result

    dose: Numbers = (until_then(until) - until_then(since))[()]
    return dose


def share_of_water_lost(
    dose: Numbers, *, exposed_width: Numbers, section_area: Numbers, water_content: Numbers
) -> Numbers:
    """Share of a bead's mixing water that a drying dose takes from it.

    Parameters
    ----------
    dose : float or array
        From `drying_dose`. [kg/m^2]
    exposed_width : float or array
        Of the bead's outline, as far as it is open to the air. [m]
    section_area : float or array
        Of the bead. [m^2]
    water_content : float or array
        Water in each volume of mortar. [kg/m^3]

    Returns
    -------
    share : float or array
        Of all water in the bead; at its face it is far more. [1]

    Source: definition.

    Examples
    --------
    >>> share_of_water_lost(0.5, exposed_width=0.07, section_area=6e-4, water_content=280.0)
    0.208
    """
    return dose * exposed_width / (section_area * water_content)
