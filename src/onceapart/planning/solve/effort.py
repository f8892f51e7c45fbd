"""How much work a search has done and may do."""

from __future__ import annotations

import time
from dataclasses import dataclass


class EffortSpent(Exception):  # noqa: N818 (not an error: it carries the bound reached out of a node)
    """The effort was spent in the middle of a node; ``bound`` is a figure that nothing in it is below."""

    def __init__(self, bound: float) -> None:
        super().__init__(bound)
        self.bound = bound


@dataclass
class Effort:
    """Work done and what may be done. ``most`` counts simplex iterations, so it is the same every time."""

    most: int | None = None
    until: float | None = None
    nodes: int = 0
    iterations: int = 0
    solves: int = 0
    stopped: bool = False
    """Set from outside to stop at the next node."""
    in_doubt: bool = False
    """Set where a part of the search could not be closed for numerical reasons."""

    @property
    def seconds_left(self) -> float | None:
        """Seconds left by the clock; None where the clock does not count."""
        return None if self.until is None else max(0.0, self.until - time.monotonic())

    @property
    def is_spent(self) -> bool:
        """Whether to stop now."""
        if self.most is not None and self.iterations >= self.most:
            self.stopped = True
        if self.until is not None and time.monotonic() >= self.until:
            self.stopped = True
        return self.stopped

    def count(self, iterations: int) -> None:
        """Count a linear program solved in so many simplex iterations."""
        self.iterations += iterations
        self.solves += 1
