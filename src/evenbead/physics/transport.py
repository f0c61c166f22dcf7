"""Where a change is: what comes out of a line while the settings go through a schedule, and when.

Contents are per volume of mortar (kilograms of water, or of powder, in each cubic metre): these are what mixes in
proportion to volume. The ratio of two of them is the ratio of the mixed mortar.

A schedule of settings stands in cumulative volume, where it is exact through changing flow and pauses (see `mixing`);
`volume_passed` and `time_when_passed` lead from the clock to that volume and back.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from evenbead.physics.mixing import HoldUp, step_response

if TYPE_CHECKING:
    from numpy.typing import ArrayLike, NDArray

    Floats = NDArray[np.float64]


def outlet_content(
    hold_up: HoldUp, *, passed: ArrayLike, changed_at: ArrayLike, content: ArrayLike, content_before: float = 0.0
) -> Floats:
    """What is in the mortar at the outlet, while the inlet goes through a schedule of settings.

    Each change sends its own step response down the line, and the responses add: this is exact for any schedule.

    Parameters
    ----------
    hold_up : HoldUp
        What the mortar passes through. [m^3]
    passed : (points,) array
        Cumulative volumes at which to look. [m^3]
    changed_at : (steps,) array
        Cumulative volume at which each setting begins, ascending. [m^3]
    content : (steps,) array
        Content of the mortar that each setting sends in, per volume of mortar. [-]
    content_before : float
        Content of the line before the first setting, evenly. [-]

    Returns
    -------
    content : (points,) array
        At the outlet, in the same unit. [-]

    Source: superposition, [Levenspiel1999] chapter 11, the convolution integral.

    Examples
    --------
    >>> bare_hose = HoldUp(plug=1.0, mixed=0.0)
    >>> outlet_content(bare_hose, passed=[0.5, 1.5, 2.5], changed_at=[0.0, 1.0], content=[8.0, 4.0])
    array([0., 8., 4.])
    """
    begins = np.asarray(changed_at, float)
    if np.any(np.diff(begins) < 0.0):
        raise ValueError("changed_at is not ascending")
    steps = np.diff(np.asarray(content, float), prepend=content_before)
    arrived = step_response(hold_up, np.asarray(passed, float) - begins[:, np.newaxis])
    result: Floats = content_before + steps @ np.asarray(arrived, float)
    return result


def outlet_ratio(
    hold_up: HoldUp,
    *,
    passed: ArrayLike,
    changed_at: ArrayLike,
    ratio: ArrayLike,
    mortar_yield: ArrayLike,
    ratio_before: float,
    yield_before: float,
) -> Floats:
    """The water/powder ratio at the outlet, while the inlet goes through a schedule of ratios.

    Water and powder each mix in proportion to volume; the ratio is taken after they have mixed. Wetter mortar holds
    less powder in each litre, so that its ratio counts for a little less than its volume.

    Parameters
    ----------
    hold_up : HoldUp
        What the mortar passes through. [m^3]
    passed : (points,) array
        Cumulative volumes at which to look. [m^3]
    changed_at : (steps,) array
        Cumulative volume at which each setting begins, ascending. [m^3]
    ratio : (steps,) array
        Ratio that each setting sends in. [1]
    mortar_yield : (steps,) array
        Volume of mortar per mass of powder at each of these ratios. [m^3/kg]
    ratio_before : float
        Ratio of the mortar in the line before the first setting. [1]
    yield_before : float
        Its volume per mass of powder. [m^3/kg]

    Returns
    -------
    ratio : (points,) array
        At the outlet. [1]

    Source: superposition, as in `outlet_content`, for water and for powder.

    Examples
    --------
    >>> tank = HoldUp(plug=0.0, mixed=1.0)
    >>> wetter = {"changed_at": [0.0], "ratio": [0.17], "mortar_yield": [5.4e-4]}
    >>> outlet_ratio(tank, passed=[0.0, 30.0], **wetter, ratio_before=0.15, yield_before=5.2e-4)
    array([0.15, 0.17])
    """
    ratios, volumes = np.asarray(ratio, float), np.asarray(mortar_yield, float)
    water = outlet_content(
        hold_up,
        passed=passed,
        changed_at=changed_at,
        content=ratios / volumes,
        content_before=ratio_before / yield_before,
    )
    powder = outlet_content(
        hold_up, passed=passed, changed_at=changed_at, content=1.0 / volumes, content_before=1.0 / yield_before
    )
    return water / powder


def volume_passed(time: ArrayLike, *, flow_from: ArrayLike, flow: ArrayLike) -> Floats:
    """Cumulative volume at given moments, for a flow that changes in steps and may pause.

    Parameters
    ----------
    time : (points,) array
        Moments at which to look. [s]
    flow_from : (steps,) array
        Moment from which each flow holds, ascending. [s]
    flow : (steps,) array
        Volume per time, zero for a pause; the last one goes on. [m^3/s]

    Returns
    -------
    volume : (points,) array
        Since the first moment of `flow_from`; zero before it. [m^3]

    Source: the definition of flow.

    Examples
    --------
    >>> volume_passed([5.0, 15.0, 25.0], flow_from=[0.0, 10.0, 20.0], flow=[2.0, 0.0, 1.0])
    array([10., 20., 25.])
    """
    begins, rates, at_begin = _flow_steps(flow_from, flow)
    moments = np.maximum(np.asarray(time, float), begins[0])
    step = np.searchsorted(begins, moments, side="right") - 1
    result: Floats = at_begin[step] + rates[step] * (moments - begins[step])
    return result


def time_when_passed(volume: ArrayLike, *, flow_from: ArrayLike, flow: ArrayLike) -> Floats:
    """The first moment at which a cumulative volume has passed: the inverse of `volume_passed`.

    Parameters
    ----------
    volume : (points,) array
        Cumulative volume since the first moment of `flow_from`. [m^3]
    flow_from : (steps,) array
        Moment from which each flow holds, ascending. [s]
    flow : (steps,) array
        Volume per time, zero for a pause; the last one goes on. [m^3/s]

    Returns
    -------
    time : (points,) array
        Infinite where the volume never passes. [s]

    Source: the definition of flow.

    Examples
    --------
    >>> time_when_passed([20.0, 25.0], flow_from=[0.0, 10.0, 20.0], flow=[2.0, 0.0, 1.0])
    array([10., 25.])
    """
    begins, rates, at_begin = _flow_steps(flow_from, flow)
    wanted = np.maximum(np.asarray(volume, float), 0.0)
    # The volume is reached during the last step that begins with less: never in a pause, unless that is the last.
    step = np.maximum(np.searchsorted(at_begin, wanted, side="left") - 1, 0)
    missing = wanted - at_begin[step]
    with np.errstate(divide="ignore", invalid="ignore"):
        waited = np.where(missing > 0.0, missing / rates[step], 0.0)
    result: Floats = begins[step] + waited
    return result


def _flow_steps(flow_from: ArrayLike, flow: ArrayLike) -> tuple[Floats, Floats, Floats]:
    """Moments, flows, and the cumulative volume at each moment."""
    begins, rates = np.asarray(flow_from, np.float64), np.asarray(flow, np.float64)
    if len(begins) == 0 or begins.shape != rates.shape:
        raise ValueError(f"{begins.shape} moments for {rates.shape} flows, expected as many, and at least one")
    if np.any(np.diff(begins) < 0.0) or np.any(rates < 0.0):
        raise ValueError("flow_from is not ascending, or a flow is negative")
    at_begin = np.concatenate(([0.0], np.cumsum(rates[:-1] * np.diff(begins))))
    return begins, rates, at_begin
