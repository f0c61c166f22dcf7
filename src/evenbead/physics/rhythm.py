"""A print made taller, faster or slower: how far it may go before the wall falls.

Layers that are added are like the last, at the usual interval; a rhythm scales every time between layers alike. What
decides is any function from layers to the load factor at each moment: of collapse, of buckling, or the lesser of both.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np

from evenbead.errors import NotPossible
from evenbead.physics.fresh_wall import Layers

if TYPE_CHECKING:
    from collections.abc import Callable

    from numpy.typing import NDArray

    Floats = NDArray[np.float64]
    Whole = NDArray[np.int64]
    Numbers = float | Floats


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
    >>> from evenbead.physics.fresh_wall import even_layers
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
    >>> from evenbead.physics.fresh_wall import even_layers
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
