"""What is worked out from a workshop and its record, kept from request to request while neither changes."""

from __future__ import annotations

import datetime as dt
import threading
from collections.abc import Hashable, Sequence
from functools import cached_property
from typing import Any

from onceapart.bench.entries import Entry
from onceapart.bench.release import CarRelease, ReleaseWalk
from onceapart.bench.release_work import Work, work_of
from onceapart.workshop import Workshop


class Standing:
    """What is known of the work of a workshop, and the release of its cars by a record.

    Parameters
    ----------
    applied : Workshop
        With its recipes applied.
    """

    def __init__(self, applied: Workshop) -> None:
        self.applied = applied
        self.memo: dict[Hashable, Any] = {}
        """What pages work out from the workshop alone, or from what the key names besides."""
        self._lock = threading.RLock()
        self._walks: dict[str, tuple[ReleaseWalk, Sequence[Entry]]] = {}
        self._found: dict[str, tuple[Sequence[Entry], dt.date, CarRelease]] = {}

    @cached_property
    def work(self) -> Work:
        """What is known of the work, as release asks for."""
        return work_of(self.applied)

    def release(self, entries: Sequence[Entry], car: str, on: dt.date) -> CarRelease:
        """Whether a car may go on the road on a day, and why not; only new entries are gone through."""
        with self._lock:
            if car in self._found and self._found[car][0] is entries and self._found[car][1] == on:
                return self._found[car][2]
            walk, taken = self._walks.get(car, (ReleaseWalk(car, self.work), ()))
            had = len(taken)
            if had > len(entries) or (had and entries[had - 1] is not taken[-1]):  # another record
                walk, had = ReleaseWalk(car, self.work), 0
            self._walks.pop(car, None)  # not kept if it breaks off half-way
            for entry in entries[had:]:
                walk.take(entry)
            self._walks[car] = walk, entries
            found = walk.now(on, None)
            self._found[car] = entries, on, found
            return found


_last: Standing | None = None


def standing_of(applied: Workshop) -> Standing:
    """The standing that is kept for a workshop; the one before it is let go."""
    global _last
    kept = _last
    if kept is None or kept.applied is not applied:
        _last = kept = Standing(applied)
    return kept
