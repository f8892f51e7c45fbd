"""An aim as figures to be made small one after the other, each without giving up the ones before."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from onceapart.planning.plan import Aim
from onceapart.planning.workload import Workload


@dataclass(frozen=True)
class Phase:
    """One figure: how columns weigh in it, and where it stands in ``cost.ranking``.

    The search works with the exact figure; a person sees it rounded (only the total has fractions). So a
    plan with exact figure x is better than one that shows v where x <= ``better(v)``, and ties with it
    where x <= ``ties(v)``.
    """

    name: str
    weights: Mapping[str, float]
    place: int
    fraction: int = 1
    """The exact figure is a whole number of 1/fraction."""

    def better(self, shown: int) -> float:
        """Largest exact figure that shows as less than ``shown``."""
        if self.fraction == 1:
            return shown - 1.0
        return shown - 0.5 - 1 / self.fraction

    def ties(self, shown: int) -> float:
        """Largest exact figure that shows as ``shown`` or less."""
        if self.fraction == 1:
            return float(shown)
        return shown + 0.5 - 1 / self.fraction


def phases_of(aim: Aim, workload: Workload) -> tuple[Phase, ...]:
    """The phases of an aim. The ready date of ``soonest`` is no phase: it is met by last days."""
    total = {"money": 1.0, "minutes": workload.hour_worth / 60, "worth": -1.0}
    figures: list[tuple[str, Mapping[str, float], int]] = [
        ("total", total, 60),
        ("orders", {"orders": 1.0}, 1),
        ("spare", {"spare": 1.0}, 1),
        ("days", {"days": 1.0}, 1),
    ]
    if aim is Aim.THRIFT:
        figures.insert(0, ("money", {"money": 1.0}, 1))
    elif aim is Aim.LEAST_WORK:
        figures.insert(0, ("minutes", {"minutes": 1.0}, 1))
    skip = 1 if aim is Aim.SOONEST else 0
    return tuple(
        Phase(name, weights, at + skip, fraction) for at, (name, weights, fraction) in enumerate(figures)
    )
