"""Fasteners that break as work meets them, and the new ones that are in the house or are not."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from onceapart.planning.chance.draws import Draws
from onceapart.planning.chance.minutes import Ints
from onceapart.planning.chance.trouble import Trouble

Bools = NDArray[np.bool_]


@dataclass(frozen=True)
class InHand:
    """New fasteners in the house from a day on."""

    part: str
    pieces: int
    since: dt.date


class Breaks:
    """Which work has met its fasteners, and the spares left, in each run."""

    def __init__(self, trouble: Trouble, draws: Draws, in_hand: Iterable[InHand]) -> None:
        self.trouble, self.draws = trouble, draws
        self.coming = sorted(in_hand, key=lambda one: (one.since, one.part))
        self.stock: dict[str, Ints] = {
            one.part: np.zeros(draws.runs, np.int64) for one in trouble.fasteners if not one.renew
        }
        self.was_met: dict[tuple[str, str], Bools] = {}
        self.trips = np.zeros(draws.runs, np.int64)

    def take_in(self, day: dt.date) -> None:
        """Spares that have come by a day."""
        while self.coming and self.coming[0].since <= day:
            one = self.coming.pop(0)
            if one.part in self.stock:
                self.stock[one.part] += one.pieces

    def meeting(self, runs: Ints) -> Meeting:
        """What is about to be met in these runs."""
        return Meeting(self, runs)


class Meeting:
    """Work met in some runs, to be kept in those of them where it is really begun."""

    def __init__(self, breaks: Breaks, runs: Ints) -> None:
        self.breaks, self.runs = breaks, runs
        self.waits = np.zeros(len(runs), bool)
        """Runs that lack a new one which no counter has."""
        self._trips = np.zeros(len(runs), np.int64)
        self._first: dict[tuple[str, str], Bools] = {}
        self._used: dict[str, Ints] = {}

    def meet(self, kind: str, name: str, here: Bools) -> Ints:
        """Minutes that the fasteners of a ``job`` or an ``access`` cost where it is met first. [min]"""
        breaks, runs = self.breaks, self.runs
        minutes = np.zeros(len(runs), np.int64)
        trouble = breaks.trouble
        places = (trouble.at_access if kind == "access" else trouble.at_job).get(name, ())
        if not places:
            return minutes
        was_met = breaks.was_met.setdefault((kind, name), np.zeros(breaks.draws.runs, bool))
        first = self._first[kind, name] = here & ~was_met[runs]
        for place in places:
            one = trouble.fasteners[place]
            broken = np.where(first, breaks.draws.broken[place][runs], 0)
            minutes += np.where(first, breaks.draws.getting_out[place][runs], 0)
            if one.renew:
                continue
            used = self._used.setdefault(one.part, np.zeros(len(runs), np.int64))
            there = np.minimum(broken, breaks.stock[one.part][runs] - used)
            lacks = broken > there
            used += there
            if trouble.trip is None:
                self.waits |= lacks
            else:
                minutes += lacks * trouble.trip
                self._trips += lacks
        return minutes

    def keep(self, begins: Bools) -> None:
        """The work is begun in these of the runs: what broke is broken, spares are used, trips are made."""
        breaks, runs = self.breaks, self.runs[begins]
        for work, first in self._first.items():
            breaks.was_met[work][runs[first[begins]]] = True
        for part, used in self._used.items():
            breaks.stock[part][runs] -= used[begins]
        breaks.trips[runs] += self._trips[begins]
