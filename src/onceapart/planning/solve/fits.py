"""Rows that know that what is done in a stint has to fit it, and not only all stints together.

A *dual feasible function* f keeps sums: where minutes add up to a stint's room or less, f of them adds up to
1 or less. So over all contents of a slot f adds up to the slot's number of stints or less; over those
that need a tool, to the number of stints the tool is there. The families are those of S. P. Fekete,
J. Schepers, "New classes of fast lower bounds for bin packing problems", Mathematical Programming 91, 2001
(reference from memory; the property itself is tested).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from onceapart.planning.patterns import Floats

PARTS = (1, 2, 3)


@dataclass(frozen=True, order=True)
class Fit:
    """One function, for one slot.

    ``parts`` k > 0: x counts as the number of (k+1)-th parts it passes, in k-th parts.
    ``parts`` 0: what is longer than the room less ``edge`` counts as all of it, what is shorter than
    ``edge`` as nothing, the rest as it is.
    """

    slot: int
    room: int
    parts: int
    edge: int
    tool: int = -1
    """Position of the tool that contents must need to count; -1: all count."""

    def of(self, minutes: Floats) -> Floats:
        """The function of minutes from 0 to the room; longer ones are of no account."""
        if self.parts:
            scaled = (self.parts + 1) * minutes
            whole = np.floor(scaled / self.room)
            return np.where(scaled % self.room == 0, minutes / self.room, whole / self.parts)
        return np.where(
            minutes > self.room - self.edge, 1.0, np.where(minutes < self.edge, 0.0, minutes / self.room)
        )


def candidates(slot: int, room: int, minutes: Floats) -> list[Fit]:
    """Functions that may tell of these minutes in a slot that they can't fit."""
    edges = {int(m) for m in minutes if m <= room / 2} | {int(room - m) + 1 for m in minutes if m > room / 2}
    return [Fit(slot, room, k, 0) for k in PARTS] + [
        Fit(slot, room, 0, edge) for edge in sorted(edges) if 1 <= edge <= room / 2
    ]
