"""Draws of uncertain inputs: the same for the same seed, input by input.

A simulation asks what happens in thousands of cases, each with its own value of every input. The cases are points in
a cube with one side per input; a distribution turns each side into values. The points are random, or those of Sobol's
sequence, which fill the cube more evenly: the error of a mean falls with the number of draws, for a smooth result even
faster, where that of random draws falls with its root [Owen1997]. Both stem from the seed and from the *name* of the
input:

- one more input at the end changes no draw of the others. In `"random"` it may also come in between; in `"sobol"` an
  input keeps its draws while it keeps its place, for which `distributions.Fixed` can stand in;
- more draws begin with the same draws.

A seed gives the same draws on every machine, to round-off.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Literal

import numpy as np

from evenbead.errors import NotPossible
from evenbead.physics.ranges import within

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from numpy.typing import NDArray

    from evenbead.physics.distributions import Distribution

    Floats = NDArray[np.float64]
    Words = NDArray[np.uint32]
    How = Literal["sobol", "random"]

_BITS = 32
# Shares at either end of which a normal is infinite are kept off by half of the last digit a random number has.
_SMALLEST_SHARE, _LARGEST_SHARE = 2.0**-54, 1.0 - 2.0**-53


def drawn(
    distributions: Mapping[str, Distribution],
    *,
    count: int,
    seed: int,
    how: How = "sobol",
    correlations: Mapping[tuple[str, str], float] | None = None,
) -> dict[str, Floats]:
    """Draws of every input.

    Parameters
    ----------
    distributions : mapping
        What each input could be, by its name. [-]
    count : int
        How many draws; for Sobol's sequence best a power of two (`balanced_count`). [1]
    seed : int
        Not negative; the same seed gives the same draws. [1]
    how : "sobol" or "random"
        Evenly filling, or random. [-]
    correlations : mapping, optional
        Correlation coefficient of pairs of names, between -1 and 1; of the normal scores behind the two inputs, which
        is that of the inputs themselves where both are normal. Pairs not named are independent. The later input of a
        pair follows the earlier, which keeps its draws. [1]

    Returns
    -------
    values : dict of (count,) arrays
        By the same names in the same order, each in the unit of its distribution. [-]

    Raises
    ------
    NotPossible
        Correlations that contradict each other.

    Source: [JCGM-101] 6.4 and 7.2; the joint distribution of pairs, a Gaussian copula, from memory.

    Examples
    --------
    >>> from evenbead.physics.distributions import Normal, Rectangular
    >>> inputs = {"ratio": Normal(mean=0.158, sd=0.002), "air": Rectangular(low=0.02, high=0.05)}
    >>> values = drawn(inputs, count=1024, seed=1)
    >>> float(values["ratio"].mean()), float(values["air"].max()) < 0.05
    (0.158, True)
    """
    shares = unit_points(tuple(distributions), count=count, seed=seed, how=how)
    if correlations:
        shares |= _correlated(shares, correlations)
    return {name: np.asarray(distribution.at(shares[name]), float) for name, distribution in distributions.items()}


def unit_points(names: Sequence[str], *, count: int, seed: int, how: How = "sobol") -> dict[str, Floats]:
    """Numbers between 0 and 1, ends excluded, one column for each name.

    Parameters
    ----------
    names : sequence of str
        All different; the order counts for Sobol's sequence. [-]
    count : int
        How many points. [1]
    seed : int
        Not negative. [1]
    how : "sobol" or "random"
        With "sobol" each column goes through its own random linear scrambling and digital shift, so that every point
        is as good as uniform, and the points together are more even than chance. [-]

    Returns
    -------
    shares : dict of (count,) arrays
        By name. [1]

    Source: [Sobol1967] and [Matousek1998].

    Examples
    --------
    >>> points = unit_points(["a", "b"], count=8, seed=1)
    >>> sorted((8 * points["a"]).astype(int).tolist())
    [0, 1, 2, 3, 4, 5, 6, 7]
    """
    within(float(count), "count", at_least=1.0)
    within(float(seed), "seed", at_least=0.0)
    if len(set(names)) != len(names):
        raise ValueError(f"an input is named twice in {', '.join(names)}")
    if not names:
        return {}
    streams = [_stream(seed, name) for name in names]
    if how == "random":
        columns = [stream.random(count) for stream in streams]
    else:
        words = _sobol_words(len(names), count)
        # The middle of the cell that the digits of a point name.
        columns = [
            (_scrambled(word, stream).astype(float) + 0.5) / 2.0**_BITS
            for word, stream in zip(words, streams, strict=True)
        ]
    return {name: _off_the_ends(column) for name, column in zip(names, columns, strict=True)}


def balanced_count(count: int) -> int:
    """The number of draws, not fewer than wanted, with which Sobol's sequence is evenly spread.

    Parameters
    ----------
    count : int
        How many are wanted, at least 1. [1]

    Returns
    -------
    balanced : int
        The next power of two. [1]

    Source: [Sobol1967] and [Owen2020].

    Examples
    --------
    >>> balanced_count(10_000)
    16384
    """
    return 1 << (count - 1).bit_length()


def _off_the_ends(shares: Floats) -> Floats:
    """Strictly between 0 and 1."""
    return np.clip(shares, _SMALLEST_SHARE, _LARGEST_SHARE)


def _stream(seed: int, name: str) -> np.random.Generator:
    """The random numbers of one input: by seed and name, whatever other inputs there are."""
    letters = name.encode()
    return np.random.default_rng([len(letters), *letters, seed])


def _sobol_words(dimensions: int, count: int) -> Words:
    """Sobol's sequence as whole numbers of 32 bits, a row for each dimension."""
    from scipy.stats import qmc  # noqa: PLC0415  (SciPy is slow to import)

    # The first part of a whole power of two: the points are the same, and the engine is asked what it likes.
    points = qmc.Sobol(dimensions, scramble=False, bits=_BITS).random_base2((count - 1).bit_length())[:count]
    return np.ascontiguousarray((points * 2.0**_BITS).astype(np.uint32).T)


def _scrambled(word: Words, stream: np.random.Generator) -> Words:
    """Each binary digit plus a random mix of the digits before it, plus a random digit, modulo 2."""
    mix = stream.integers(0, 2**_BITS, size=_BITS, dtype=np.uint32)
    result = np.full(word.shape, stream.integers(0, 2**_BITS, dtype=np.uint32), np.uint32)
    for place in range(_BITS):
        digit = np.uint32(1 << place)
        result ^= ((word >> np.uint32(place)) & np.uint32(1)) * (digit | (mix[place] & (digit - np.uint32(1))))
    return result


def _correlated(shares: Mapping[str, Floats], correlations: Mapping[tuple[str, str], float]) -> dict[str, Floats]:
    """The columns of the inputs that are correlated with any other, made to follow each other."""
    from scipy.special import ndtr, ndtri  # noqa: PLC0415  (SciPy is slow to import)

    unknown = {name for pair in correlations for name in pair} - set(shares)
    if unknown:
        raise ValueError(f"a correlation names {', '.join(sorted(unknown))}, which is no input")
    names = [name for name in shares if any(name in pair for pair in correlations)]
    matrix = np.eye(len(names))
    for (one, other), coefficient in correlations.items():
        within(coefficient, f"correlation of {one} and {other}", above=-1.0, below=1.0)
        if one == other:
            raise ValueError(f"{one} is correlated with itself, expected two inputs")
        row, column = names.index(one), names.index(other)
        matrix[row, column] = matrix[column, row] = coefficient
    try:
        root = np.linalg.cholesky(matrix)
    except np.linalg.LinAlgError as cause:
        raise NotPossible(
            f"the correlations of {', '.join(names)} contradict each other: no three inputs can move that way together"
        ) from cause
    scores = root @ ndtri(np.stack([shares[name] for name in names]))
    # What follows nothing goes through unchanged, not through two functions with their round-off.
    return {
        name: shares[name] if root[row, row] == 1.0 else _off_the_ends(ndtr(scores[row]))
        for row, name in enumerate(names)
    }
