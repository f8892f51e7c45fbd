"""How things stand at the bench, kept from request to request.

Entries of a record are never changed, so what was folded once holds, and new entries are added to it. A fold
is begun anew when the workshop changes, or when the record is another one.
"""

from __future__ import annotations

import datetime as dt
import threading
from collections.abc import Sequence
from functools import cached_property

from onceapart.bench.entries import Entry
from onceapart.bench.release import CarRelease, release_of
from onceapart.bench.release_work import Work, work_of
from onceapart.bench.state import Folding, State
from onceapart.trade import apply_recipes
from onceapart.workshop import Workshop


class Standing:
    """A workshop with its recipes applied, and how a record stands for it."""

    def __init__(self, workshop: Workshop) -> None:
        self.workshop = workshop
        self._lock = threading.RLock()
        self._entries: Sequence[Entry] = ()
        self._folding: Folding | None = None
        self._state: State | None = None
        self._releases: dict[tuple[str, dt.date], CarRelease] = {}

    @cached_property
    def applied(self) -> Workshop:
        """The workshop with what the recipes bring to its jobs."""
        return apply_recipes(self.workshop)

    @cached_property
    def work(self) -> Work:
        """What is known of its work, as release asks for."""
        return work_of(self.applied)

    def state(self, entries: Sequence[Entry]) -> State:
        """How things stand after some entries."""
        with self._lock:
            self._take(entries)
            assert self._folding is not None
            if self._state is None:
                self._state = self._folding.state()
            return self._state

    def release(self, entries: Sequence[Entry], car: str, on: dt.date) -> CarRelease:
        """Whether a car may go on the road on a day, and why not."""
        with self._lock:
            self._take(entries)
            if (car, on) not in self._releases:
                self._releases[car, on] = release_of(entries, car, self.work, on)
            return self._releases[car, on]

    def _take(self, entries: Sequence[Entry]) -> None:
        """Fold what is new."""
        had = len(self._entries)
        goes_on = had <= len(entries) and (not had or entries[had - 1] is self._entries[-1])
        if self._folding is None or not goes_on:
            self._folding, had = Folding(self.work.job_steps), 0
        elif had == len(entries):
            return
        for entry in entries[had:]:
            self._folding.take(entry)
        self._entries, self._state = entries, None
        self._releases.clear()


_last = Standing(Workshop(name="none", currency="EUR", hour_worth=0))


def standing_of(workshop: Workshop) -> Standing:
    """The standing that is kept for a workshop; the one before it is let go."""
    global _last
    kept = _last
    if kept.workshop is not workshop:
        _last = kept = Standing(workshop)
    return kept
