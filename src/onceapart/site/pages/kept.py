"""What is worked out from a workshop and its record, kept from request to request while neither changes."""

from __future__ import annotations

import datetime as dt
import threading
from collections.abc import Sequence
from functools import cached_property

from onceapart.bench.entries import Entry
from onceapart.bench.release import CarRelease, release_of
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
        self._lock = threading.RLock()
        self._entries: Sequence[Entry] = ()
        self._releases: dict[tuple[str, dt.date], CarRelease] = {}

    @cached_property
    def work(self) -> Work:
        """What is known of the work, as release asks for."""
        return work_of(self.applied)

    def release(self, entries: Sequence[Entry], car: str, on: dt.date) -> CarRelease:
        """Whether a car may go on the road on a day, and why not."""
        with self._lock:
            if entries is not self._entries:
                self._entries, self._releases = entries, {}
            if (car, on) not in self._releases:
                self._releases[car, on] = release_of(entries, car, self.work, on)
            return self._releases[car, on]


_last: Standing | None = None


def standing_of(applied: Workshop) -> Standing:
    """The standing that is kept for a workshop; the one before it is let go."""
    global _last
    kept = _last
    if kept is None or kept.applied is not applied:
        _last = kept = Standing(applied)
    return kept
