"""How a chamber mixes: residence, settling, wash-out, and the way down the hose.

Time is the wrong clock for a mixer, because it runs on while the pump stands still. The right one is the volume that
has passed through. A chamber of fixed hold-up, counted in that volume, answers a change of setting always in the
same way: linear, and indifferent to when the change came, however the flow rises, falls or pauses in between.
For N equal tanks of volume V/N with through-flow Q, (V/N) dc/dt = Q (c_before - c); with dW = Q dt the flow has gone.

The hold-up is a part that moves as a plug, then N equal well-mixed tanks. A hose is a longer plug.

This fails where the hold-up itself changes (a chamber that is partly filled, a new shaft speed), where mortar sets or
sticks in corners, or where powder and water enter at different places.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np

from evenbead.errors import NotPossible

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]
    Numbers = float | Floats


@dataclass(frozen=True, slots=True, kw_only=True)
class HoldUp:
    """Mortar inside a stretch of the line while it runs: a plug, then equal tanks in series.

    Attributes
    ----------
    plug : float
        Volume that moves as a plug. [m^3]
    mixed : float
        Volume of all tanks together; zero for a bare hose. [m^3]
    tanks : float
        How many tanks, at least 1; parts of a tank are allowed. [1]
    """

    plug: float
    mixed: float
    tanks: float = 1.0

    def __post_init__(self) -> None:
        if not (0.0 <= self.plug < math.inf and 0.0 <= self.mixed < math.inf):
            raise ValueError(f"hold-up of {self.plug} and {self.mixed} m^3, expected volumes that are not negative")
        if not 1.0 <= self.tanks < math.inf:
            raise ValueError(f"tanks is {self.tanks}, expected 1 or more")

    @property
    def volume(self) -> float:
        """All mortar held. [m^3]"""
        return self.plug + self.mixed


@dataclass(frozen=True, slots=True, kw_only=True)
class Residence:
    """How long mortar stays, counted in volume passed (or in time, where it was measured so).

    Attributes
    ----------
    mean : float
        Mean residence. [m^3]
    variance : float
        Variance of the residence. [m^6]
    """

    mean: float
    variance: float


def chamber(volume: float, *, plug_fraction: float, tanks: float) -> HoldUp:
    """The hold-up of a mixing chamber as a data sheet states it.

    Parameters
    ----------
    volume : float
        Mortar held while running. [m^3]
    plug_fraction : float
        Share of it that moves as a plug, 0 to 1. [1]
    tanks : float
        The rest, as equal tanks in series. [1]

    Returns
    -------
    hold_up : HoldUp
        [m^3]

    Source: [Levenspiel1999] chapters 11 and 14.

    Examples
    --------
    >>> chamber(6e-3, plug_fraction=0.3, tanks=3).mixed * 1000
    4.2
    """
    if not 0.0 <= plug_fraction <= 1.0:
        raise ValueError(f"plug_fraction is {plug_fraction}, expected 0 to 1")
    return HoldUp(plug=volume * plug_fraction, mixed=volume * (1.0 - plug_fraction), tanks=tanks)


def pipe_volume(*, length: float, bore: float) -> float:
    """Volume of mortar in a full hose.

    Parameters
    ----------
    length : float
        Of the hose. [m]
    bore : float
        Inner diameter. [m]

    Returns
    -------
    volume : float
        [m^3]

    Source: geometry.

    Examples
    --------
    >>> pipe_volume(length=10.0, bore=0.025) * 1000
    4.909
    """
    return math.pi / 4.0 * bore**2 * length


def with_hose(hold_up: HoldUp, hose_volume: float) -> HoldUp:
    """A chamber and the hose behind it, seen at the nozzle: the hose only delays.

    Parameters
    ----------
    hold_up : HoldUp
        What stands before the hose. [m^3]
    hose_volume : float
        Volume of the hose, and of anything else that moves as a plug. [m^3]

    Returns
    -------
    hold_up : HoldUp
        Of both together. [m^3]

    Valid for: mortar that slides as a plug on a thin wall layer. Where it shears across the bore, the middle arrives
    early, at worst after half the hose volume, and the change is spread out.

    Source: [Levenspiel1999] chapter 11, plug flow as pure delay.
    """
    return replace(hold_up, plug=hold_up.plug + hose_volume)


def step_response(hold_up: HoldUp, passed: Numbers) -> Numbers:
    """Share of a change at the inlet that has arrived at the outlet.

    F = P(N, N (W - plug)/mixed), the regularised lower incomplete gamma function.

    Parameters
    ----------
    hold_up : HoldUp
        What the change passes through. [m^3]
    passed : float or array
        Volume that has passed since the change. [m^3]

    Returns
    -------
    share : float or array
        0 before the plug has passed; rises to 1 and never falls. [1]

    Source: [Levenspiel1999] chapter 14.

    Examples
    --------
    >>> float(step_response(HoldUp(plug=0.0, mixed=6e-3, tanks=3), 15e-3))
    0.979743
    """
    from scipy.special import gammainc  # noqa: PLC0415  (SciPy is slow to import)

    share: Numbers = np.asarray(gammainc(hold_up.tanks, _scaled(hold_up, passed)), np.float64)[()]
    return share


def washout_left(hold_up: HoldUp, passed: Numbers) -> Numbers:
    """Share of what was in the line that is still to come out at the outlet, 1 - F.

    Parameters
    ----------
    hold_up : HoldUp
        What is washed out. [m^3]
    passed : float or array
        Volume of the new that has entered. [m^3]

    Returns
    -------
    share : float or array
        Of the old at the outlet; accurate also where it is tiny. [1]

    Source: [Levenspiel1999] chapter 14.

    Examples
    --------
    >>> float(washout_left(HoldUp(plug=0.0, mixed=6e-3), 6e-3))
    0.3679
    """
    from scipy.special import gammaincc  # noqa: PLC0415  (SciPy is slow to import)

    share: Numbers = np.asarray(gammaincc(hold_up.tanks, _scaled(hold_up, passed)), np.float64)[()]
    return share


def residence_density(hold_up: HoldUp, passed: Numbers) -> Numbers:
    """How a mark put into the inlet at once is spread over the volume at the outlet.

    E = dF/dW, the gamma density behind the plug.

    Parameters
    ----------
    hold_up : HoldUp
        What the mark passes through, with some mixing in it. [m^3]
    passed : float or array
        Volume since the mark went in. [m^3]

    Returns
    -------
    density : float or array
        Integrates to 1 over the volume. [1/m^3]

    Source: [Levenspiel1999] chapter 14.

    Examples
    --------
    >>> float(residence_density(HoldUp(plug=0.0, mixed=2.0, tanks=1), 2.0))
    0.1839
    """
    from scipy.special import gammaln, xlogy  # noqa: PLC0415  (SciPy is slow to import)

    if hold_up.mixed == 0.0:
        raise NotPossible("without mixing a mark comes out all at once: it has no density")
    tanks = hold_up.tanks
    after_plug = np.asarray(passed, float) - hold_up.plug
    z = np.maximum(after_plug, 0.0) * (tanks / hold_up.mixed)
    density = tanks / hold_up.mixed * np.exp(xlogy(tanks - 1.0, z) - z - gammaln(tanks))
    result: Numbers = np.where(after_plug < 0.0, 0.0, density)[()]
    return result


def settling_volume(hold_up: HoldUp, share: Numbers) -> Numbers:
    """Volume to pass until a share of a change has arrived at the outlet.

    Parameters
    ----------
    hold_up : HoldUp
        What the change passes through. [m^3]
    share : float or array
        0 to below 1; 0 gives the volume of the plug. [1]

    Returns
    -------
    volume : float or array
        [m^3]

    Source: [Levenspiel1999] chapter 14, inverted.

    Examples
    --------
    >>> float(settling_volume(chamber(6e-3, plug_fraction=0.3, tanks=3), 0.98)) * 1000
    12.32
    """
    from scipy.special import gammaincinv  # noqa: PLC0415  (SciPy is slow to import)

    wanted = np.asarray(share, float)
    if not np.all((wanted >= 0.0) & (wanted < 1.0)):
        raise ValueError(f"share is {share}, expected 0 to below 1: the last of a change never arrives")
    scaled = np.asarray(gammaincinv(hold_up.tanks, wanted), np.float64)
    volume: Numbers = (hold_up.plug + hold_up.mixed * scaled / hold_up.tanks)[()]
    return volume


def start_volume(hold_up: HoldUp, *, target: float, low: float, high: float) -> float:
    """Volume to pass, from an empty chamber, until the mortar at its outlet is within the band.

    The start counts as a step from nothing to the target. What is still missing is then the share 1 - F of the whole
    ratio, and it must fit into the narrower side of the band. This is a cautious convention: a chamber that is
    really empty holds no old mortar to displace, so its first mortar is nearer to the target than this says; and
    since a start can be too wet as well as too dry, the narrower side counts whichever it is.

    Parameters
    ----------
    hold_up : HoldUp
        The chamber, with the hose if the nozzle is meant. [m^3]
    target : float
        Ratio that the settings give. [1]
    low : float
        Lower edge of the band. [1]
    high : float
        Upper edge of the band. [1]

    Returns
    -------
    volume : float
        The first of it is waste. [m^3]

    Source: a convention of Evenbead on [Levenspiel1999] chapter 14; no source for the convention.

    Examples
    --------
    >>> empty = chamber(2.8e-3, plug_fraction=0.3, tanks=3)
    >>> start_volume(empty, target=0.158, low=0.150, high=0.170) * 1000
    4.942
    """
    if not 0.0 <= low < target < high:
        raise ValueError(f"target {target} is not inside the band {low} to {high}")
    missing = min(target - low, high - target) / target
    return float(settling_volume(hold_up, max(1.0 - missing, 0.0)))


def residence(hold_up: HoldUp) -> Residence:
    """Mean and variance of how long mortar stays, counted in volume passed.

    Parameters
    ----------
    hold_up : HoldUp
        Where it stays. [m^3]

    Returns
    -------
    residence : Residence
        The mean is the hold-up itself; only the tanks bring variance, mixed²/N. [m^3]

    Source: [Levenspiel1999] chapter 14.

    Examples
    --------
    >>> residence(HoldUp(plug=0.0, mixed=6.0, tanks=3))
    Residence(mean=6.0, variance=12.0)
    """
    return Residence(mean=hold_up.volume, variance=hold_up.mixed**2 / hold_up.tanks)


def in_series(*stretches: Residence) -> Residence:
    """The residence in several stretches of line one after the other: means add, and variances add.

    Parameters
    ----------
    stretches : Residence
        Each on its own; independent of one another. [m^3]

    Returns
    -------
    residence : Residence
        Of the whole line. [m^3]

    Source: [Levenspiel1999] chapter 14.

    Examples
    --------
    >>> in_series(Residence(mean=1.0, variance=0.5), Residence(mean=2.0, variance=0.25))
    Residence(mean=3.0, variance=0.75)
    """
    return Residence(mean=sum(s.mean for s in stretches), variance=sum(s.variance for s in stretches))


def ripple_left(hold_up: HoldUp, wavelength: Numbers) -> Numbers:
    """Share of a regular swing at the inlet, such as the beat of a screw, that is left at the outlet.

    |H| = [1 + (2π mixed/(N λ))²]^(-N/2). A plug passes a swing on unchanged.

    Parameters
    ----------
    hold_up : HoldUp
        What the swing passes through. [m^3]
    wavelength : float or array
        Volume that passes during one swing, above zero. [m^3]

    Returns
    -------
    share : float or array
        Amplitude at the outlet over that at the inlet. [1]

    Source: frequency response of equal first-order tanks in series; from memory.

    Examples
    --------
    >>> ripple_left(HoldUp(plug=0.0, mixed=1.0, tanks=3), 1.0)
    0.0800
    """
    turn = 2.0 * math.pi * hold_up.mixed / (hold_up.tanks * wavelength)
    return (1.0 + turn**2) ** (-hold_up.tanks / 2.0)


def _scaled(hold_up: HoldUp, passed: Numbers) -> Floats:
    """N (W - plug)/mixed, clipped at zero; infinite behind a bare plug."""
    after_plug = np.asarray(passed, float) - hold_up.plug
    if hold_up.mixed == 0.0:
        return np.where(after_plug >= 0.0, np.inf, 0.0)
    result: Floats = np.maximum(after_plug, 0.0) * (hold_up.tanks / hold_up.mixed)
    return result
