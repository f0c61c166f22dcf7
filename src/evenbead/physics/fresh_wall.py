"""A fresh wall that grows layer by layer: how old each layer is and what it carries, at every moment.

Everything is an array with layers from the bottom up on one axis and moments on the next, ``(..., layers, moments)``.
Axes in front are free: draws of a Monte Carlo, rhythms that are compared, places along the wall.

As long as mortar only gains strength, the wall is nearest to failure just after a layer has been laid, so those are
the moments that are looked at unless others are given. A layer counts at once, with its whole weight, at the place
looked at: its `laid` is the moment at which the nozzle passes there.

`collapse` and `buckling` give a load factor: by what the weight could be multiplied before the wall fails.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from evenbead.errors import NotPossible
from evenbead.physics.constants import GRAVITY

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]
    Whole = NDArray[np.int64]
    Numbers = float | Floats


@dataclass(frozen=True, slots=True, kw_only=True)
class Layers:
    """The layers of a wall at one place, from the bottom up. Each is an array ``(..., layers)``, or a number for all.

    Attributes
    ----------
    laid : array
        Moment at which the layer is laid here; never earlier than the one below. [s]
    height : float or array
        From one layer to the next. [m]
    width : float or array
        That carries: where beads rest on each other, not where they bulge. [m]
    area : float or array
        Of the bead's section: volume for each metre of wall. [m^2]
    density : float or array
        Of the fresh mortar. [kg/m^3]
    """

    laid: Floats
    height: Numbers
    width: Numbers
    area: Numbers
    density: Numbers

    def __post_init__(self) -> None:
        if self.laid.ndim == 0 or self.laid.shape[-1] == 0:
            raise ValueError("a wall without layers")
        if np.any(np.diff(self.laid, axis=-1) < 0.0):
            raise ValueError("a layer is laid before the one below it")
        for name in ("height", "width", "area", "density"):
            if not np.all(np.asarray(getattr(self, name)) > 0.0):
                raise ValueError(f"{name} is not above zero in every layer")

    @property
    def count(self) -> int:
        """How many layers. [1]"""
        return int(self.laid.shape[-1])

    @property
    def weight(self) -> Floats:
        """Of each layer, for each metre of wall, ``(..., layers)``. [N/m]"""
        weight = GRAVITY * np.asarray(self.density) * self.area
        return np.broadcast_to(weight, np.broadcast_shapes(weight.shape, (self.count,)))

    @property
    def interval(self) -> Numbers:
        """The usual time from one layer to the next: the median, so that a pause does not count. [s]"""
        if self.count == 1:
            raise NotPossible("a single layer has no interval")
        result: Numbers = np.median(np.diff(self.laid, axis=-1), axis=-1)[()]
        return result

    @property
    def wall_height(self) -> Numbers:
        """Of all layers. [m]"""
        heights = np.asarray(self.height, float)
        result: Numbers = np.broadcast_to(heights, np.broadcast_shapes(heights.shape, (self.count,))).sum(axis=-1)[()]
        return result


@dataclass(frozen=True, slots=True, kw_only=True)
class Course:
    """How near to failure a growing wall is at each moment.

    Attributes
    ----------
    load_factor : (..., moments) array
        By what the weight could be multiplied then; infinite before anything stands. [1]
    layer : (..., moments) array
        Index from the bottom of the layer that governs then. [1]
    """

    load_factor: Floats
    layer: Whole

    @property
    def moment(self) -> Whole:
        """Index of the moment that governs, ``(...)``. [1]"""
        return np.asarray(self.load_factor.argmin(axis=-1))

    @property
    def least(self) -> Floats:
        """The load factor at that moment. [1]"""
        return np.asarray(self.load_factor.min(axis=-1))

    @property
    def governing_layer(self) -> Whole:
        """The layer that governs at that moment. [1]"""
        return np.asarray(np.take_along_axis(self.layer, self.moment[..., None], axis=-1)[..., 0])


def even_layers(
    count: int, *, interval: float, height: float, width: float, density: float, area: float | None = None
) -> Layers:
    """A wall of equal layers laid at equal intervals, the first at zero.

    Parameters
    ----------
    count : int
        How many. [1]
    interval : float
        From one layer to the next. [s]
    height : float
        Of a layer. [m]
    width : float
        That carries. [m]
    density : float
        Of the fresh mortar. [kg/m^3]
    area : float, optional
        Of the bead's section; width times height unless given. [m^2]

    Returns
    -------
    layers : Layers
        [-]

    Source: definition.

    Examples
    --------
    >>> even_layers(3, interval=60.0, height=0.01, width=0.04, density=2000.0).laid
    array([  0.,  60., 120.])
    """
    return Layers(
        laid=np.arange(count, dtype=np.float64) * interval,
        height=height,
        width=width,
        area=width * height if area is None else area,
        density=density,
    )


def ages(layers: Layers, moments: Floats | None = None) -> Floats:
    """Age of every layer at every moment.

    Parameters
    ----------
    layers : Layers
        [-]
    moments : (..., moments) array, optional
        When to look; when each layer has just been laid unless given. [s]

    Returns
    -------
    age : (..., layers, moments) array
        Zero before the layer is laid. [s]

    Source: definition.

    Examples
    --------
    >>> ages(even_layers(2, interval=60.0, height=0.01, width=0.04, density=2000.0))
    array([[ 0., 60.],
           [ 0.,  0.]])
    """
    return np.maximum(_since_laid(layers, moments), 0.0)


def loads(layers: Layers, moments: Floats | None = None) -> Floats:
    """Weight at the foot of every layer at every moment, its own included, for each metre of wall.

    Parameters
    ----------
    layers : Layers
        [-]
    moments : (..., moments) array, optional
        As in `ages`. [s]

    Returns
    -------
    load : (..., layers, moments) array
        Zero before the layer is laid. [N/m]

    Source: geometry.

    Examples
    --------
    >>> loads(even_layers(2, interval=60.0, height=0.01, width=0.04, density=2000.0))
    array([[ 7.84532, 15.69064],
           [ 0.     ,  7.84532]])
    """
    standing = layers.weight[..., :, None] * (_since_laid(layers, moments) >= 0.0)
    return np.asarray(np.cumsum(standing[..., ::-1, :], axis=-2)[..., ::-1, :])


def _since_laid(layers: Layers, moments: Floats | None) -> Floats:
    """Time since each layer was laid at each moment, negative before."""
    when = layers.laid if moments is None else np.asarray(moments, np.float64)
    return np.asarray(when[..., None, :] - layers.laid[..., :, None])
