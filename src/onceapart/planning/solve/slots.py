"""Stints that are alike put together: between two arrivals only a stint's length matters.

A *period* is a run of stints between which nothing arrives, no job becomes possible and no last day passes.
Stints of one length in one period form a *slot*. A program over slots is smaller than one over stints and
free of the many solutions that only swap stints; what it leaves out is the order of jobs within a period.
"""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass

from onceapart.planning.reduce import Reduced, ReducedOffer


@dataclass(frozen=True)
class Slot:
    """Stints by position, in order; minutes of each; number of their period."""

    stints: tuple[int, ...]
    room: int
    period: int


@dataclass(frozen=True)
class Slots:
    """All slots, in order of period; and the last stint of each period."""

    slots: tuple[Slot, ...]
    ends: tuple[int, ...]

    @property
    def are_single(self) -> bool:
        """Whether each slot is one stint."""
        return all(len(slot.stints) == 1 for slot in self.slots)

    def period_of(self, stint: int) -> int:
        """The period a stint is in."""
        return next(at for at, end in enumerate(self.ends) if stint <= end)


def single_slots(reduced: Reduced) -> Slots:
    """Each stint a slot and a period of its own."""
    n = len(reduced.room)
    return Slots(tuple(Slot((at,), reduced.room[at], at) for at in range(n)), tuple(range(n)))


def alike_slots(reduced: Reduced, offers: Collection[ReducedOffer]) -> Slots:
    """As few slots as tell all jobs and all arrivals of these offers apart."""
    n = len(reduced.room)
    ends = {n - 1} | {offer.at - 1 for offer in offers if offer.useful}
    for job in reduced.jobs:
        ends |= {job.first - 1, job.last}
    slots: list[Slot] = []
    cuts = sorted(end for end in ends if 0 <= end < n)
    start = 0
    for period, end in enumerate(cuts):
        for room in sorted({reduced.room[at] for at in range(start, end + 1)}):
            stints = tuple(at for at in range(start, end + 1) if reduced.room[at] == room)
            slots.append(Slot(stints, room, period))
        start = end + 1
    return Slots(tuple(slots), tuple(cuts))
