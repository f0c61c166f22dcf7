"""How much strength a joint lost with the interval, as others published it: data to look at, not a law.

Each study is one mortar in one climate with one kind of test. Between two intervals of a study a straight line stands
in; outside them nothing is said. The spread between studies at the same interval is the honest answer to "how long may
I wait": it depends.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    Floats = NDArray[np.float64]
    Numbers = float | Floats
    Counts = int | NDArray[np.int64]

_MINUTE, _HOUR = 60.0, 3600.0


@dataclass(frozen=True, slots=True, kw_only=True)
class BondLoss:
    """What one study saw.

    Attributes
    ----------
    condition : str
        Mortar, surface or climate. [-]
    points : tuple of (float, float)
        Interval in seconds and share of strength lost, ascending; empty where no pair could be read. [-]
    finding : str
        In a sentence. [-]
    source : str
        Key of the bibliography. [-]
    """

    condition: str
    points: tuple[tuple[float, float], ...]
    finding: str
    source: str


@dataclass(frozen=True, slots=True, kw_only=True)
class PublishedRange:
    """The least and the most that studies lost at an interval.

    Attributes
    ----------
    low : float or array
        NaN where no study covers the interval. [1]
    high : float or array
        NaN where no study covers the interval. [1]
    studies : int or array
        How many cover it. [1]
    """

    low: Numbers
    high: Numbers
    studies: Counts


BOND_LOSSES = (
    BondLoss(
        condition="high-performance mortar",
        points=(),
        finding="tensile bond fell from 2.3 to 0.7 MPa as the interval grew",
        source="[Le2012]",
    ),
    BondLoss(
        condition="Portland cement only",
        points=(),
        finding="flexural strength lost over 90 % among intervals of 2 min, 10 min and 1 day",
        source="[Nerella2019]",
    ),
    BondLoss(
        condition="with pozzolans",
        points=(),
        finding="flexural strength lost less than 25 % at each of 2 min, 10 min and 1 day",
        source="[Nerella2019]",
    ),
    BondLoss(
        condition="flow-retaining plasticiser",
        points=((20.0, 0.0), (30 * _MINUTE, 0.141)),
        finding="lost 14.1 % from 20 s to 30 min",
        source="[Pan2022]",
    ),
    BondLoss(
        condition="ordinary plasticiser",
        points=((20.0, 0.0), (30 * _MINUTE, 0.500)),
        finding="lost 50.0 % from 20 s to 30 min",
        source="[Pan2022]",
    ),
    BondLoss(
        condition="printed mortar",
        points=((0.0, 0.0), (2 * _HOUR, 0.566), (4.5 * _HOUR, 0.685)),
        finding="lost 56.6 % at 2 h, evenly until then, and 68.5 % at 4.5 h; cracks beyond 2 h",
        source="[Skibicki2024]",
    ),
    BondLoss(
        condition="activated geopolymer, face left as it was",
        points=((5.0, 0.0), (40 * _MINUTE, 0.63)),
        finding="lost 63 % from 5 s to 40 min",
        source="[Muthukrishnan2023]",
    ),
    BondLoss(
        condition="activated geopolymer, face wetted",
        points=((5.0, 0.0), (40 * _MINUTE, 0.15)),
        finding="lost 15 % from 5 s to 40 min",
        source="[Muthukrishnan2023]",
    ),
    BondLoss(
        condition="geopolymer with fibres",
        points=((0.0, 0.0), (20 * _MINUTE, 0.0)),
        finding="no significant effect up to 20 min",
        source="[Liu2024]",
    ),
)
"""Read in abstracts, each with its source; a site puts its own tests beside them."""


def published_losses(interval: Numbers, *, studies: Sequence[BondLoss] = BOND_LOSSES) -> PublishedRange:
    """The range of losses that studies saw at an interval.

    Parameters
    ----------
    interval : float or array
        From laid to covered. [s]
    studies : sequence of BondLoss
        Whose pairs to use. [-]

    Returns
    -------
    losses : PublishedRange
        [1]

    Valid for: an impression of the spread; none of these mortars is the one in the hopper.

    Source: [Pan2022], [Skibicki2024], [Muthukrishnan2023], [Liu2024]; abstracts.

    Examples
    --------
    >>> found = published_losses(15 * 60.0)
    >>> float(found.low), float(found.high), int(found.studies)
    (0.0, 0.247, 6)
    """
    asked = np.asarray(interval, np.float64)
    seen = [_at(study, asked) for study in studies if study.points]
    rows = np.stack(seen) if seen else np.full((1, *asked.shape), math.nan)
    covered = ~np.isnan(rows)
    counts = covered.sum(axis=0)
    low: Numbers = np.where(counts > 0, np.min(np.where(covered, rows, math.inf), axis=0), math.nan)[()]
    high: Numbers = np.where(counts > 0, np.max(np.where(covered, rows, -math.inf), axis=0), math.nan)[()]
    return PublishedRange(low=low, high=high, studies=counts[()])


def _at(study: BondLoss, interval: Floats) -> Floats:
    """The loss of one study, NaN outside its intervals."""
    intervals, losses = np.array(study.points).T
    lost: Floats = np.asarray(np.interp(interval, intervals, losses, left=math.nan, right=math.nan), np.float64)
    return lost
