"""A straight line through readings that a few misread ones cannot bend: Theil-Sen, with its interval."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from statistics import NormalDist, median

from onceapart.errors import SumError

EXACT_MOST = 100
"""Readings up to which the interval is exact; above, the usual normal approximation is as good and faster."""


@dataclass(frozen=True)
class SlopeInterval:
    """The slopes that readings allow, and with what confidence."""

    low: float
    high: float
    confidence: float
    """Reached, which for a few readings is less than what was asked for."""


def pair_slopes(xs: Sequence[float], ys: Sequence[float]) -> list[float]:
    """The slope between every two points with different x, in rising order.

    Parameters
    ----------
    xs, ys : sequence of float
        Points, in any order. [unit of x; unit of y]

    Returns
    -------
    list of float
        Slopes. [unit of y per unit of x]

    Notes
    -----
    Points with the same x have no slope between them and are passed over.

    Examples
    --------
    >>> pair_slopes([0, 1, 1], [0, 1, 3])
    [1.0, 3.0]

    References
    ----------
    .. [1] Sen, J. Am. Stat. Assoc. 63 (1968) 1379-1389.
    """
    if len(xs) != len(ys):
        raise SumError(f"{len(xs)} places and {len(ys)} readings: must be as many; give each its own")
    return sorted(
        (ys[j] - ys[i]) / (xs[j] - xs[i]) for i in range(len(xs)) for j in range(i) if xs[i] != xs[j]
    )


def theil_sen_slope(xs: Sequence[float], ys: Sequence[float]) -> float:
    r"""Slope of a line through points, robust to up to 29 % of them being wrong.

    Parameters
    ----------
    xs, ys : sequence of float
        Points, in any order. [unit of x; unit of y]

    Returns
    -------
    float
        Slope. [unit of y per unit of x]

    Notes
    -----
    The median of the slopes between every two points with different x [1]_. Breakdown point
    :math:`1 - 1/\sqrt 2`.

    Examples
    --------
    >>> theil_sen_slope([1, 2, 3, 4, 10, 12, 18], [9, 15, 19, 20, 45, 55, 78])
    4.0

    References
    ----------
    .. [1] Sen, J. Am. Stat. Assoc. 63 (1968) 1379-1389; the example is his.
    """
    slopes = pair_slopes(xs, ys)
    if not slopes:
        raise SumError(f"{len(xs)} reading(s), all at one distance: no rate in them; read again further on")
    return median(slopes)


def theil_sen_intercept(xs: Sequence[float], ys: Sequence[float], slope: float) -> float:
    """Where a line of a given slope through points starts.

    Parameters
    ----------
    xs, ys : sequence of float
        Points. [unit of x; unit of y]
    slope : float
        Slope of the line. [unit of y per unit of x]

    Returns
    -------
    float
        Height of the line at x = 0. [unit of y]

    Notes
    -----
    median(y - slope x): half the points lie above the line. The other usual form,
    median(y) - slope median(x), is pulled by a misread last point.

    Examples
    --------
    >>> theil_sen_intercept([0, 5, 10, 15, 20], [8.0, 7.1, 6.1, 5.2, 7.9], -0.18)
    8.0

    References
    ----------
    .. [1] Documented as ``method='joint'`` of scipy.stats.theilslopes.
    """
    return median(y - slope * x for x, y in zip(xs, ys, strict=True))


def disorder_chances(group_sizes: Sequence[int]) -> list[float]:
    """Chance of each number of pairs in falling order, if values stand in random order.

    Parameters
    ----------
    group_sizes : sequence of int
        How many points share each x; pairs within a group do not count. [-]

    Returns
    -------
    list of float
        Chance of 0, 1, 2 ... falling pairs. [-]

    Notes
    -----
    The distribution behind Kendall's S. Its generating function is the q-multinomial coefficient
    [n]! / ([n1]! [n2]! ...), here multiplied and divided out factor by factor; without shared x it is
    the distribution of inversions of a permutation. Equal values of y make the true chances of the
    tails smaller, so an interval from these stays on the safe side.

    Examples
    --------
    >>> [round(6 * chance) for chance in disorder_chances([1, 1, 1])]
    [1, 2, 2, 1]

    References
    ----------
    .. [1] Kendall, Rank Correlation Methods, distribution of S (from memory).
    """
    ways = [1]
    total = 0
    for size in group_sizes:
        for k in range(1, size + 1):
            total += 1
            ways = _divided(_times(ways, total), k)
    all_ways = sum(ways)
    return [each / all_ways for each in ways]


def _times(ways: list[int], n: int) -> list[int]:
    """Multiplied by 1 + q + ... + q^(n-1)."""
    out = []
    window = 0
    for k in range(len(ways) + n - 1):
        window += (ways[k] if k < len(ways) else 0) - (ways[k - n] if k >= n else 0)
        out.append(window)
    return out


def _divided(ways: list[int], n: int) -> list[int]:
    """Divided by 1 + q + ... + q^(n-1), which goes without remainder."""
    out: list[int] = []
    window = 0
    for k in range(len(ways) - n + 1):
        out.append(ways[k] - window)
        window += out[k] - (out[k - n + 1] if k >= n - 1 else 0)
    return out


def slope_interval(xs: Sequence[float], ys: Sequence[float], confidence: float = 0.95) -> SlopeInterval:
    r"""The slopes that points allow.

    Parameters
    ----------
    xs, ys : sequence of float
        Points, in any order. [unit of x; unit of y]
    confidence : float
        Chance asked for that the interval holds the true slope. [-]

    Returns
    -------
    SlopeInterval
        Lowest and highest slope, and the confidence reached. [unit of y per unit of x; -]

    Notes
    -----
    The k-th smallest and k-th largest slope between two points hold the true one unless fewer than k
    of the pairs stand in falling (or rising) order after the true line is taken off [1]_. k is the
    largest that keeps the confidence: exact up to 100 points, by the normal approximation above. With
    fewer than five points even k = 1, the steepest and the flattest pair, does not reach 95 %.

    Examples
    --------
    >>> interval = slope_interval([1, 2, 3, 4, 10, 12, 18], [9, 15, 19, 20, 45, 55, 78], 0.95)
    >>> round(interval.low, 2), round(interval.high, 2), round(interval.confidence, 3)
    (3.71, 4.38, 0.97)

    References
    ----------
    .. [1] Sen, J. Am. Stat. Assoc. 63 (1968) 1379-1389; the example is his.
    """
    if not 0 < confidence < 1:
        raise SumError(f"confidence {confidence:g}: must be between 0 and 1; 0.95 is usual")
    slopes = pair_slopes(xs, ys)
    if not slopes:
        raise SumError(f"{len(xs)} reading(s), all at one distance: no rate in them; read again further on")
    rank, reached = (
        _exact_rank(list(Counter(xs).values()), confidence)
        if len(xs) <= EXACT_MOST
        else _normal_rank(xs, ys, len(slopes), confidence)
    )
    return SlopeInterval(slopes[rank - 1], slopes[-rank], reached)


def _exact_rank(group_sizes: list[int], confidence: float) -> tuple[int, float]:
    chances = disorder_chances(group_sizes)
    tail = chances[0]
    rank = 1
    reached = max(1 - 2 * tail, 0.0)
    while rank < len(chances) // 2:
        tail += chances[rank]
        # Rounding must not decide: 0.95 asked for and 0.95 reached are equal.
        if 1 - 2 * tail < confidence - 1e-12:
            break
        rank += 1
        reached = 1 - 2 * tail
    return rank, reached


def _normal_rank(
    xs: Sequence[float], ys: Sequence[float], pairs: int, confidence: float
) -> tuple[int, float]:
    n = len(xs)
    ties = [size for values in (xs, ys) for size in Counter(values).values()]
    variance = (
        n * (n - 1) * (2 * n + 5) - math.fsum(size * (size - 1) * (2 * size + 5) for size in ties)
    ) / 18
    half = NormalDist().inv_cdf((1 + confidence) / 2) * math.sqrt(max(variance, 0))
    return max(round((pairs - half) / 2), 1), confidence
