"""Refusing numbers that nature does not allow."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Numbers = float | NDArray[np.float64]


def within(
    value: Numbers,
    name: str,
    *,
    at_least: float = -math.inf,
    at_most: float = math.inf,
    above: float = -math.inf,
    below: float = math.inf,
) -> Numbers:
    """The value itself, when all of it lies in its range.

    NaN and infinity lie outside every range.

    Parameters
    ----------
    value : float or array
        What to look at, in any unit. [-]
    name : str
        What it is called, for the message. [-]
    at_least : float
        Smallest allowed value. [-]
    at_most : float
        Largest allowed value. [-]
    above : float
        The value must be larger than this. [-]
    below : float
        The value must be smaller than this. [-]

    Returns
    -------
    value : float or array
        Unchanged. [-]

    Source: definition.

    Examples
    --------
    >>> within(0.5, "efficiency", above=0.0, at_most=1.0)
    0.5
    """
    number = np.asarray(value, float)
    inside = (number >= at_least) & (number <= at_most) & (number > above) & (number < below)
    if not np.all(inside):
        worst = number[~inside].flat[0] if number.ndim else number
        raise ValueError(f"{name} is {worst:g}, outside what is possible: {_wording(at_least, at_most, above, below)}")
    return value


def _wording(at_least: float, at_most: float, above: float, below: float) -> str:
    """The range in words."""
    limits = (
        ("at least", at_least, -math.inf),
        ("more than", above, -math.inf),
        ("at most", at_most, math.inf),
        ("less than", below, math.inf),
    )
    parts = [f"{words} {limit:g}" for words, limit, none in limits if limit != none]
    return "expected " + (" and ".join(parts) or "a finite number")
