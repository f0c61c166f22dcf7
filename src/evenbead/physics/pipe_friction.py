"""Friction of water in a pipe: the Darcy factor, laminar and turbulent."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from evenbead.physics.ranges import within

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Numbers = float | NDArray[np.float64]

LAMINAR_UP_TO = 2300.0
"""Reynolds number up to which flow in a pipe is taken as laminar. [1]  Source: [CengelCimbala2006] chapter 8."""

# Newton's method on Colebrook's equation doubles its digits each round; from Haaland's two digits four are plenty.
_ROUNDS = 4


def friction_factor(reynolds: Numbers, *, relative_roughness: Numbers = 0.0) -> Numbers:
    """Darcy's friction factor: laminar, or turbulent after Colebrook.

    64/Re, and 1/√f = -2 log₁₀(ε/(3.7 D) + 2.51/(Re √f)).

    Parameters
    ----------
    reynolds : float or array
        Not below zero. [1]
    relative_roughness : float or array
        Roughness over bore. [1]

    Returns
    -------
    factor : float or array
        Infinite for a pipe at rest. [1]

    Valid for: Reynolds numbers below 2300, and from 4000 on. Between the two the flow may be either: the turbulent
    factor, which is larger, is taken as the cautious one.

    Source: [CengelCimbala2006] chapter 8, after Colebrook.

    Examples
    --------
    >>> float(friction_factor(134127.0, relative_roughness=0.002 / 50)), float(friction_factor(1000.0))
    (0.0172, 0.0640)
    """
    number = np.asarray(within(reynolds, "reynolds", at_least=0.0), float)
    roughness = np.asarray(within(relative_roughness, "relative_roughness", at_least=0.0, below=0.1), float) / 3.7
    # Where the flow is laminar the turbulent branch is computed at its edge, and thrown away.
    turbulent = np.maximum(number, LAMINAR_UP_TO)
    root = -1.8 * np.log10(6.9 / turbulent + roughness**1.11)
    for _ in range(_ROUNDS):
        inside = roughness + 2.51 * root / turbulent
        slope = 1.0 + 2.0 / np.log(10.0) * 2.51 / turbulent / inside
        root = root - (root + 2.0 * np.log10(inside)) / slope
    with np.errstate(divide="ignore", over="ignore"):
        factor: Numbers = np.where(number < LAMINAR_UP_TO, np.divide(64.0, number), root**-2)[()]
    return factor
