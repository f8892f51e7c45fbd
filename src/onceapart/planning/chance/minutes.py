"""Whole minutes with their chances: from a good, a typical and a bad case, and added up exactly."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.special import betainc

from onceapart.trade.schema import Spread

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]


@dataclass(frozen=True, eq=False)
class Chances:
    """Chances of whole numbers: ``chance[i]`` is that of ``least + i``."""

    least: int
    chance: Floats

    @classmethod
    def certain(cls, number: int) -> Chances:
        """One number for sure."""
        return cls(number, np.ones(1))

    @property
    def mean(self) -> float:
        return self.least + float(self.chance @ np.arange(len(self.chance)))

    @property
    def variance(self) -> float:
        off = self.least + np.arange(len(self.chance)) - self.mean
        return float(self.chance @ (off * off))

    def at_most(self, number: int) -> float:
        """Chance of this number or less.

        >>> Chances(1, np.array([0.25, 0.25, 0.5])).at_most(2)
        0.5
        """
        return float(self.chance[: max(0, number - self.least + 1)].sum())

    def beyond(self, number: int) -> float:
        """How much it is more than a number on average; less counts as nothing."""
        over = self.least + np.arange(len(self.chance)) - number
        return float(self.chance @ np.maximum(over, 0))

    def __add__(self, other: Chances) -> Chances:
        """Chances of the sum, where neither knows of the other (a discrete convolution)."""
        return Chances(self.least + other.least, np.convolve(self.chance, other.chance))

    def drawn(self, uniform: Floats) -> Ints:
        """A number for each figure between 0 and 1, so that even figures give these chances."""
        steps = np.cumsum(self.chance)
        steps[-1] = math.inf
        return self.least + np.searchsorted(steps, uniform, side="right")


def minutes_of(spread: Spread) -> Chances:
    r"""Chances of whole minutes between a good and a bad case.

    Parameters
    ----------
    spread : Spread
        Good, typical and bad case. [min]

    Returns
    -------
    Chances
        From the good case to the bad one, none beyond. [min]

    Notes
    -----
    The beta distribution of PERT: for the cases :math:`a \le m \le b`, the shapes are
    :math:`1 + 4 (m - a)/(b - a)` and :math:`1 + 4 (b - m)/(b - a)`, so the typical case is the likeliest
    and the mean is :math:`(a + 4m + b)/6` [1]_. It leans to the bad side as work does, and unlike the
    triangle gives the far end little weight. The chance of each minute is shared between the two whole
    minutes beside it in proportion, which leaves the mean as it is to the last digit.

    Examples
    --------
    >>> found = minutes_of(Spread(good=5, typical=8, bad=25))
    >>> found.least, len(found.chance), round(found.mean * 6)
    (5, 21, 62)

    References
    ----------
    .. [1] D. G. Malcolm, J. H. Roseboom, C. E. Clark, W. Fazar, "Application of a Technique for Research
       and Development Program Evaluation", Operations Research 7(5), 1959 (from memory); the shapes are
       the usual reading of its mean (from memory).
    """
    width = spread.bad - spread.good
    if not width:
        return Chances.certain(spread.good)
    first = 1 + 4 * (spread.typical - spread.good) / width
    second = 6 - first
    at = np.arange(width + 1) / width
    # Mean of the lesser of the distribution and each whole minute; second differences are the chances.
    lesser = first / 6 * betainc(first + 1, second, at) + at * (1 - betainc(first, second, at))
    lesser = np.concatenate(([-1 / width], lesser, [first / 6]))
    chance = width * (2 * lesser[1:-1] - lesser[:-2] - lesser[2:])
    chance = np.maximum(chance, 0.0)
    return Chances(spread.good, chance / chance.sum())


def binomial(count: int, chance: float) -> Chances:
    """Chances of how many out of ``count`` things happen, each with the same chance.

    >>> binomial(2, 0.5).chance.tolist()
    [0.25, 0.5, 0.25]
    """
    return Chances(
        0,
        np.array([math.comb(count, k) * chance**k * (1 - chance) ** (count - k) for k in range(count + 1)]),
    )
