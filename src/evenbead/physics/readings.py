"""How far to trust a single reading, or a handful of them: standard uncertainties from what an instrument is.

Scatter that can be seen is evaluated from repeated readings; what can't be seen is taken from limits that somebody
states, with the shape that fits them.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

import numpy as np

from evenbead.errors import NotPossible
from evenbead.physics.uncertainty import Estimate

if TYPE_CHECKING:
    from numpy.typing import ArrayLike, NDArray

    Numbers = float | NDArray[np.float64]


def mean_of_readings(readings: ArrayLike) -> Estimate:
    """The mean of repeated readings, with the uncertainty that their scatter leaves.

    Parameters
    ----------
    readings : (n,) array
        At least two readings of the same thing under the same conditions. [-]

    Returns
    -------
    mean : Estimate
        With n - 1 degrees of freedom. [-]

    Source: [GUM2008] eq. 3 to 5.

    Examples
    --------
    >>> mean = mean_of_readings([3.02, 2.97, 3.05, 2.99, 3.01, 2.98])
    >>> mean.value, mean.u95
    (3.0033, 0.0309)
    """
    column = np.asarray(readings, float)
    if column.ndim != 1 or len(column) < 2:
        raise NotPossible("the scatter of one reading can't be seen: take at least two")
    u = float(np.std(column, ddof=1)) / math.sqrt(len(column))
    return Estimate(value=float(np.mean(column)), u=u, dof=len(column) - 1)


def rectangular_uncertainty(half_width: Numbers) -> Numbers:
    """Standard uncertainty of a value known only to lie within limits, anywhere in them alike.

    Parameters
    ----------
    half_width : float or array
        From the middle to either limit. [-]

    Returns
    -------
    u : float or array
        Half width over √3. [-]

    Source: [GUM2008] 4.3.7.
    """
    return half_width / math.sqrt(3.0)


def triangular_uncertainty(half_width: Numbers) -> Numbers:
    """Standard uncertainty of a value within limits, likelier near their middle.

    Parameters
    ----------
    half_width : float or array
        From the middle to either limit. [-]

    Returns
    -------
    u : float or array
        Half width over √6. [-]

    Source: [GUM2008] 4.3.9.
    """
    return half_width / math.sqrt(6.0)


def u_shaped_uncertainty(half_width: Numbers) -> Numbers:
    """Standard uncertainty of a value that swings like a sine between limits, seen at a random moment.

    Parameters
    ----------
    half_width : float or array
        Amplitude of the swing. [-]

    Returns
    -------
    u : float or array
        Half width over √2. [-]

    Source: [GUM2008] H.1.3.4.
    """
    return half_width / math.sqrt(2.0)


def digital_step_uncertainty(step: Numbers) -> Numbers:
    """Standard uncertainty that the last digit of a display leaves.

    Parameters
    ----------
    step : float or array
        Smallest change that the display can show. [-]

    Returns
    -------
    u : float or array
        Step over 2√3: anywhere within half a step either way. [-]

    Source: [GUM2008] F.2.2.1.
    """
    return step / (2.0 * math.sqrt(3.0))
