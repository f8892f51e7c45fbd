"""Shares of the runs of a simulation as chances, with how far they may be off."""

from __future__ import annotations

import math
from dataclasses import dataclass

Z_95 = 1.959963984540054
"""Standard normal quantile of 97.5 %, for two-sided intervals of 95 %."""


@dataclass(frozen=True)
class Odds:
    """A chance told from ``hits`` in ``runs`` independent runs."""

    hits: int
    runs: int

    @property
    def share(self) -> float:
        return self.hits / self.runs

    @property
    def error(self) -> float:
        """Monte Carlo standard error of the share.

        >>> Odds(50, 100).error
        0.05
        """
        return math.sqrt(self.share * (1 - self.share) / self.runs)

    @property
    def interval(self) -> tuple[float, float]:
        r"""Wilson's interval: where the chance lies, with a confidence of 95 %.

        Notes
        -----
        :math:`\left(\hat p + \frac{z^2}{2n} \pm z \sqrt{\frac{\hat p (1 - \hat p)}{n} +
        \frac{z^2}{4 n^2}}\right) / \left(1 + \frac{z^2}{n}\right)` [1]_.

        Examples
        --------
        >>> [round(end, 4) for end in Odds(8000, 10_000).interval]
        [0.792, 0.8077]

        References
        ----------
        .. [1] E. B. Wilson, "Probable Inference, the Law of Succession, and Statistical Inference",
           Journal of the American Statistical Association 22, 1927 (from memory).
        """
        square = Z_95 * Z_95 / self.runs
        middle = self.share + square / 2
        half = Z_95 * math.sqrt(self.share * (1 - self.share) / self.runs + square / (4 * self.runs))
        return max(0.0, (middle - half) / (1 + square)), min(1.0, (middle + half) / (1 + square))
