"""A fresh wall that grows layer by layer: how old each layer is and what it carries, at every moment.

Everything is an array with layers from the bottom up on one axis and moments on the next, ``(..., layers, moments)``.
Axes in front are free: draws of a Monte Carlo, rhythms that are compared, places along the wall.

As long as mortar only gains strength, the wall is nearest to failure just after a layer has been laid, so those are
the moments that are looked at unless others are given. A layer counts at once, with its whole weight, at the place
looked at: its `laid` is the moment at which the nozzle passes there.

`collapse` and `buckling` give a load factor: by what the weight could be multiplied before the wall fails.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np

from evenbead.errors import NotPossible
from evenbead.physics.constants import GRAVITY

if TYPE_CHECKING:
    from collections.abc import Callable

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


@dataclass(frozen=True, slots=True, kw_only=True)
class Tallest:
    """The tallest print that stands, layers going on as before.

    Attributes
    ----------
    layers : int
        How many stand. [1]
    height : float
        Of these. [m]
    ends : bool
        The next layer brings it down; otherwise it still stood when the search ended. [-]
    """

    layers: int
    height: float
    ends: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Rhythm:
    """A print of the same layers, faster or slower throughout.

    Attributes
    ----------
    ratio : float
        Of every time between layers to what it was. [1]
    interval : float
        The usual time from one layer to the next. [s]
    """

    ratio: float
    interval: float


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


def in_rhythm(layers: Layers, ratio: Numbers) -> Layers:
    """The same layers, every time between them multiplied.

    Parameters
    ----------
    layers : Layers
        [-]
    ratio : float or array
        Of the new times to the old; 0 lays all at once. An array adds axes in front. [1]

    Returns
    -------
    layers : Layers
        [-]

    Source: definition.

    Examples
    --------
    >>> in_rhythm(even_layers(3, interval=60.0, height=0.01, width=0.04, density=2000.0), 0.5).laid
    array([ 0., 30., 60.])
    """
    first = layers.laid[..., :1]
    return replace(layers, laid=first + np.asarray(ratio)[..., None] * (layers.laid - first))


def continued(layers: Layers, count: int) -> Layers:
    """The same wall with more layers, each like its last, at its usual interval.

    Parameters
    ----------
    layers : Layers
        Of one wall, ``(layers,)``, two at least. [-]
    count : int
        How many there are then; fewer than before cuts the wall off. [1]

    Returns
    -------
    layers : Layers
        [-]

    Source: definition.

    Examples
    --------
    >>> continued(even_layers(2, interval=60.0, height=0.01, width=0.04, density=2000.0), 4).laid
    array([  0.,  60., 120., 180.])
    """
    more = max(count - layers.count, 0)

    def column(values: Numbers) -> Numbers:
        if np.ndim(values) == 0:
            return values
        array = np.asarray(values)
        return np.concatenate([array, np.repeat(array[-1:], more)])[:count]

    later = layers.laid[-1] + layers.interval * np.arange(1, more + 1)
    return Layers(
        laid=np.concatenate([layers.laid, later])[:count],
        height=column(layers.height),
        width=column(layers.width),
        area=column(layers.area),
        density=column(layers.density),
    )


def tallest(
    layers: Layers, load_factor: Callable[[Layers], Floats], *, required: float = 1.0, most: int = 1000
) -> Tallest:
    """The tallest print that stands when layers go on as before.

    Parameters
    ----------
    layers : Layers
        Of one wall, ``(layers,)``. [-]
    load_factor : callable
        Layers to the load factor at each of their moments. [1]
    required : float
        Load factor that counts as safe. [1]
    most : int
        Layers after which the search ends. [1]

    Returns
    -------
    tallest : Tallest
        [m]

    Source: definition.
    """
    count = layers.count
    while True:
        wall = continued(layers, count)
        failing = np.flatnonzero(load_factor(wall) < required)
        if failing.size or count >= most:
            break
        count = min(2 * count, most)
    standing = int(failing[0]) if failing.size else count
    heights = np.broadcast_to(np.asarray(wall.height, float), (count,))
    return Tallest(layers=standing, height=float(heights[:standing].sum()), ends=bool(failing.size))


def shortest_interval(
    layers: Layers, load_factor: Callable[[Layers], Floats], *, required: float = 1.0, slowest: float = 100.0
) -> Rhythm:
    """The fastest rhythm in which the whole print stands, every time between layers scaled alike.

    Parameters
    ----------
    layers : Layers
        Of one wall, ``(layers,)``, two at least. [-]
    load_factor : callable
        Layers to the load factor at each of their moments; mortar must not lose strength with age. [1]
    required : float
        Load factor that counts as safe. [1]
    slowest : float
        Ratio to the given rhythm at which the search ends. [1]

    Returns
    -------
    rhythm : Rhythm
        Ratio 0 where even all layers at once would stand. [s]

    Raises
    ------
    NotPossible
        The print falls in every rhythm up to the slowest.

    Source: definition; the root is bracketed and found by Brent's method, from memory.
    """
    from scipy.optimize import brentq  # noqa: PLC0415  (SciPy is slow to import)

    def reserve(ratio: float) -> float:
        return math.log(float(np.min(load_factor(in_rhythm(layers, ratio))))) - math.log(required)

    usual = float(layers.interval)
    if reserve(0.0) >= 0.0:
        return Rhythm(ratio=0.0, interval=0.0)
    if reserve(slowest) < 0.0:
        raise NotPossible(
            f"the wall does not stand even at {slowest:g} times the time between layers: "
            "it needs lower or wider layers, or mortar that starts stronger or stiffens faster"
        )
    low, high = (0.0, 1.0) if reserve(1.0) >= 0.0 else (1.0, slowest)
    ratio = float(brentq(reserve, low, high, xtol=1e-9, rtol=1e-9))
    return Rhythm(ratio=ratio, interval=ratio * usual)


def telling_moments(load_factor: Floats, *, within: float = 1.5) -> Whole:
    """The few moments worth looking at again for other draws: the last, and each low point before a pause.

    Parameters
    ----------
    load_factor : (moments,) array
        Of the expected case at every moment. [1]
    within : float
        Low points up to this many times the least are kept. [1]

    Returns
    -------
    moments : array
        Indices, rising. [1]

    Valid for: draws that resemble the expected case; a test compares with all moments.

    Source: definition.

    Examples
    --------
    >>> telling_moments(np.array([9.0, 2.0, 4.0, 3.0, 1.9, 1.8]))
    array([1, 5])
    """
    padded = np.concatenate([[np.inf], load_factor, [np.inf]])
    low = (load_factor <= padded[:-2]) & (load_factor < padded[2:]) & (load_factor <= within * load_factor.min())
    low[-1] = True
    return np.asarray(np.flatnonzero(low))


def _since_laid(layers: Layers, moments: Floats | None) -> Floats:
    """Time since each layer was laid at each moment, negative before."""
    when = layers.laid if moments is None else np.asarray(moments, np.float64)
    return np.asarray(when[..., None, :] - layers.laid[..., :, None])
