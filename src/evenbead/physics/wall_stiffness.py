"""How stiff the layers of a fresh wall are against bending and shear, and what of them stands at each moment.

A wall is a plate that bends over its width. Beads that are rounded at the sides bear on less than their full width, and
the stiffness falls with its cube: take the width on which they rest on each other.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from evenbead.physics.fresh_wall import Layers, loads

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]
    Numbers = float | Floats

# Of a rectangle, the share that bears shear; from memory.
_SHEAR_SHARE = 5.0 / 6.0


def plate_modulus(modulus: Numbers, poisson: Numbers) -> Numbers:
    """Modulus with which a long wall bends, E/(1 - ν²), because its ends can't spread.

    Parameters
    ----------
    modulus : float or array
        Young's modulus. [Pa]
    poisson : float or array
        Poisson's ratio; 0 gives a narrow column, and is cautious. [1]

    Returns
    -------
    modulus : float or array
        [Pa]

    Valid for: walls many times longer than thick.

    Source: [Suiker2018], from memory; plate theory of any textbook.

    Examples
    --------
    >>> plate_modulus(78e3, 0.3)
    85714.3
    """
    return modulus / (1.0 - poisson**2)


def bending_rigidity(*, modulus: Numbers, width: Numbers, poisson: Numbers = 0.0) -> Numbers:
    """Bending rigidity of a metre of wall, E d³/(12 (1 - ν²)).

    Parameters
    ----------
    modulus : float or array
        Young's modulus. [Pa]
    width : float or array
        Of the wall, d. [m]
    poisson : float or array
        As in `plate_modulus`. [1]

    Returns
    -------
    rigidity : float or array
        [N*m]

    Valid for: beads that rest on each other over the width given.

    Source: [Suiker2018], from memory; plate theory of any textbook.

    Examples
    --------
    >>> bending_rigidity(modulus=78e3, width=0.04, poisson=0.3)
    0.45714
    """
    return plate_modulus(modulus, poisson) * width**3 / 12.0


def shear_stiffness(*, modulus: Numbers, width: Numbers, poisson: Numbers = 0.0) -> Numbers:
    """Stiffness of a metre of wall against shear, 5/12 E d over one plus Poisson's ratio.

    Parameters
    ----------
    modulus : float or array
        Young's modulus. [Pa]
    width : float or array
        Of the wall, d. [m]
    poisson : float or array
        Poisson's ratio. [1]

    Returns
    -------
    stiffness : float or array
        [N/m]

    Valid for: beads that rest on each other over the width given, bonded so that they don't slip.

    Source: [Timoshenko1961], from memory.

    Examples
    --------
    >>> shear_stiffness(modulus=78e3, width=0.04, poisson=0.3)
    1000.0
    """
    return _SHEAR_SHARE * modulus * width / (2.0 * (1.0 + poisson))


@dataclass(frozen=True, slots=True, kw_only=True)
class Walls:
    """Walls as they stand at single moments, one in each row, layers from the foot up.

    Attributes
    ----------
    rigidity : (walls, layers) array
        Of bending, for each metre of wall; without meaning where nothing stands. [N*m]
    shear : (walls, layers) array
        Stiffness against shear, for each metre of wall; without meaning where nothing stands. [N/m]
    load : (walls, layers) array
        Weight at the foot of each layer, its own included; zero where nothing stands. [N/m]
    height : (layers,) or (walls, layers) array
        Of the layers. [m]
    shape : tuple
        Of the draws and moments that the rows are. [1]
    """

    rigidity: Floats
    shear: Floats
    load: Floats
    height: Floats
    shape: tuple[int, ...]


def standing_walls(layers: Layers, modulus: Floats, *, poisson: Numbers = 0.0, moments: Floats | None = None) -> Walls:
    """What stands at each moment, each moment of each draw a wall of its own.

    Parameters
    ----------
    layers : Layers
        Of the wall. [-]
    modulus : (..., layers, moments) array
        Young's modulus of each layer at each moment. [Pa]
    poisson : float or array
        As in `plate_modulus`. [1]
    moments : (..., moments) array, optional
        As in `fresh_wall.ages`. [s]

    Returns
    -------
    walls : Walls
        [-]

    Source: definition.
    """
    load = loads(layers, moments)
    width = np.asarray(layers.width)
    width = width[..., :, None] if width.ndim else width
    rigidity = np.asarray(bending_rigidity(modulus=np.asarray(modulus), width=width, poisson=poisson))
    shear = np.asarray(shear_stiffness(modulus=np.asarray(modulus), width=width, poisson=poisson))
    if not np.all((rigidity > 0.0) | (load == 0.0)):
        raise ValueError("a layer that stands has no stiffness above zero")
    height = np.asarray(layers.height, np.float64)
    shape = np.broadcast_shapes(load.shape, rigidity.shape, (*height.shape[:-1], 1, 1))

    def rows(values: Floats) -> Floats:
        turned = np.swapaxes(np.broadcast_to(values, shape), -1, -2)
        return np.reshape(turned, (-1, shape[-2]))

    # Layer heights that are the same in all draws stay one row.
    heights = np.broadcast_to(height, (shape[-2],)) if height.ndim <= 1 else rows(height[..., :, None])
    return Walls(
        rigidity=rows(rigidity), shear=rows(shear), load=rows(load), height=heights, shape=(*shape[:-2], shape[-1])
    )
