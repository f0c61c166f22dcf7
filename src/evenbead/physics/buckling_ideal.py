"""Buckling heights of the ideal wall: even, rising without steps, stiffening by a law of its age.

Measured in a length of its own, L = (D/(w d))^(1/3) with D the bending rigidity at age zero and w the weight of a cubic
metre, every such wall obeys one equation. At a distance s below the top the mortar is s/v old; with g(s) its stiffness
over the initial one and φ the slope,

    (g φ')' + s φ = 0,   φ'(0) = 0,   and the wall buckles at the first l with φ(l) = 0.

It is solved as it stands instead of by fitted coefficients. `buckling` treats real layers; the two don't share code.

This fails as `buckling` does, and where layers are so few or so thick that steps matter.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

import numpy as np

from evenbead.errors import NotPossible
from evenbead.physics.constants import GRAVITY
from evenbead.physics.wall_stiffness import bending_rigidity, plate_modulus

if TYPE_CHECKING:
    from collections.abc import Callable

    from numpy.typing import NDArray

    Floats = NDArray[np.float64]
    Numbers = float | Floats

GREENHILL = 7.837_347_4
"""(9/4) j² with j the first zero of the Bessel function of order -1/3. [1]"""


def greenhill_height(*, modulus: Numbers, width: Numbers, density: Numbers, poisson: Numbers = 0.0) -> Numbers:
    """Height at which a free wall of one stiffness buckles under its own weight.

    H³ = K E d²/(12 (1 - ν²) w), with w the weight of a cubic metre.

    Parameters
    ----------
    modulus : float or array
        Young's modulus, the same everywhere. [Pa]
    width : float or array
        Of the wall, d. [m]
    density : float or array
        Of the fresh mortar. [kg/m^3]
    poisson : float or array
        Poisson's ratio; 0 for a narrow column. [1]

    Returns
    -------
    height : float or array
        [m]

    Valid for: slender walls, free at their ends; cautious for mortar that stiffens.

    Source: [Greenhill1881].

    Examples
    --------
    >>> float(greenhill_height(modulus=78e3, width=0.04, density=2070.0, poisson=0.3))
    0.16402
    """
    return math.cbrt(GREENHILL) * wall_scale(modulus=modulus, width=width, density=density, poisson=poisson)


def greenhill_modulus(*, height: Numbers, width: Numbers, density: Numbers, poisson: Numbers = 0.0) -> Numbers:
    """Modulus at which a free wall of one stiffness just stands: the inverse of `greenhill_height`.

    Parameters
    ----------
    height : float or array
        Of the wall. [m]
    width : float or array
        Of the wall. [m]
    density : float or array
        Of the fresh mortar. [kg/m^3]
    poisson : float or array
        As in `greenhill_height`. [1]

    Returns
    -------
    modulus : float or array
        [Pa]

    Valid for: as `greenhill_height`. The often quoted 3 w H³/(2 d²) is this without plate action, rounded down by 2 %.

    Source: [Greenhill1881]; [Roussel2018] for the rounded form, from memory.

    Examples
    --------
    >>> greenhill_modulus(height=1.0, width=0.05, density=2200.0) / 1e6
    13.2134
    """
    return 12.0 / GREENHILL * density * GRAVITY * height**3 / width**2 / plate_modulus(1.0, poisson)


def wall_scale(*, modulus: Numbers, width: Numbers, density: Numbers, poisson: Numbers = 0.0) -> Numbers:
    """The length in which a wall that buckles under its own weight is measured, (D/(w d))^(1/3).

    Parameters
    ----------
    modulus : float or array
        Young's modulus at age zero. [Pa]
    width : float or array
        Of the wall, d. [m]
    density : float or array
        Of the fresh mortar; w is the weight of a cubic metre. [kg/m^3]
    poisson : float or array
        As in `greenhill_height`. [1]

    Returns
    -------
    length : float or array
        [m]

    Valid for: as `greenhill_height`.

    Source: [Suiker2018], from memory.

    Examples
    --------
    >>> float(wall_scale(modulus=78e3, width=0.04, density=2070.0, poisson=0.3))
    0.082572
    """
    rigidity = bending_rigidity(modulus=modulus, width=width, poisson=poisson)
    result: Numbers = np.cbrt(rigidity / (density * GRAVITY * width))
    return result


def critical_length(stiffness: Callable[[float], float], *, longest: float = 1000.0) -> float:
    """Height at which an ideal free wall buckles, in units of its `wall_scale`.

    Parameters
    ----------
    stiffness : callable
        Distance below the top, in the same units, to stiffness over that at the top; above zero. [1]
    longest : float
        Where the search ends. [1]

    Returns
    -------
    length : float
        [1]

    Raises
    ------
    NotPossible
        The wall stands up to the longest.

    Valid for: see the module.

    Source: [Suiker2018] for the equation, from memory; integrated here by a Runge-Kutta method of order 8.

    Examples
    --------
    >>> critical_length(lambda s: 1.0), critical_length(lambda s: 1.0 + s)
    (1.98635, 2.93562)
    """
    from scipy.integrate import solve_ivp  # noqa: PLC0415  (SciPy is slow to import)

    def change(s: float, y: Floats) -> tuple[float, float]:
        return y[1] / stiffness(s), -s * y[0]

    def slope(_: float, y: Floats) -> float:
        return float(y[0])

    slope.terminal = True  # type: ignore[attr-defined]
    solved = solve_ivp(change, (0.0, longest), (1.0, 0.0), events=slope, method="DOP853", rtol=1e-10, atol=1e-12)
    if solved.status != 1 or solved.t_events is None:
        raise NotPossible(f"the wall stands up to {longest:g} times its own length scale")
    return float(solved.t_events[0][0])


def buckling_height(
    *,
    modulus: float,
    growth: float,
    rise: float,
    width: float,
    density: float,
    poisson: float = 0.0,
) -> float:
    """Height at which an ideal free wall buckles whose modulus grows in proportion to time.

    Parameters
    ----------
    modulus : float
        Young's modulus just after it is laid. [Pa]
    growth : float
        Of the modulus. [Pa/s]
    rise : float
        Speed at which the wall rises. [m/s]
    width : float
        Of the wall. [m]
    density : float
        Of the fresh mortar. [kg/m^3]
    poisson : float
        As in `greenhill_height`. [1]

    Returns
    -------
    height : float
        [m]

    Raises
    ------
    NotPossible
        The wall stands up to a thousand times its scale.

    Valid for: see the module.

    Source: [Suiker2018], from memory.

    Examples
    --------
    >>> buckling_height(modulus=78e3, growth=20.0, rise=0.01 / 18.6, width=0.04, density=2070.0, poisson=0.3)
    0.16738
    """
    scale = float(wall_scale(modulus=modulus, width=width, density=density, poisson=poisson))
    curing = growth / modulus * scale / rise
    return scale * critical_length(lambda s: 1.0 + curing * s)
