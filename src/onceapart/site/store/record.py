"""The record in the database: the same entries and the same fold as in a file, added to and never changed."""

from __future__ import annotations

import json
import threading
from collections import OrderedDict
from typing import Any

from django.db.models import Max

from onceapart.bench.entries import Corrected, Entry, entry_of, entry_to_json, says_the_same
from onceapart.bench.record import RecordError
from onceapart.bench.state import Folding, JobSteps, State
from onceapart.site.store.locking import BusyError, Kept, writing
from onceapart.site.store.models import RecordEntry

FOLDS = 4
"""Folds kept in memory: one for what a workshop now says of its jobs, and those just before."""


class DatabaseRecord:
    """Keeps entries in the database, as ``bench.record.Store`` asks for."""

    def append(self, entry: Entry) -> Entry:
        """Keep an entry and give it back with its number; one that is there already is not kept twice."""
        return self.append_all([entry])[0]

    def append_all(self, entries: list[Entry]) -> tuple[Entry, ...]:
        """Keep entries in their order, all or none; raises RecordError as ``append`` does."""
        try:
            with writing(Kept.RECORD):
                return tuple(_add(entry) for entry in entries)
        except BusyError as error:
            raise RecordError(f"the record: {error}") from None

    def entries(self) -> tuple[Entry, ...]:
        """All entries in order. Those read before are kept in memory: they never change."""
        return _KNOWN.entries()

    def state(self, job_steps: JobSteps | None = None) -> State:
        """How things stand, folded from the entries; those folded before are not folded again."""
        return _KNOWN.state(job_steps or {})


def state(job_steps: JobSteps | None = None) -> State:
    """How things stand (see ``bench.state.fold``)."""
    return _KNOWN.state(job_steps or {})


def _add(entry: Entry) -> Entry:
    kept = RecordEntry.objects.filter(uid=entry.id).first()
    if kept is not None:
        there = entry_of(kept.data)
        if says_the_same(there, entry):
            return there
        raise RecordError(
            f"entry {entry.id}: entry {kept.number} has this id and says something else; "
            "give the new one an id of its own"
        )
    if isinstance(entry, Corrected) and not RecordEntry.objects.filter(uid=entry.entry).exists():
        raise RecordError(f"entry {entry.entry}: there is no such entry to correct")
    last = RecordEntry.objects.aggregate(last=Max("number"))["last"] or 0
    numbered = entry.model_copy(update={"number": last + 1})
    data = json.loads(entry_to_json(numbered))
    RecordEntry.objects.create(number=last + 1, uid=entry.id, kind=data["kind"], data=data)
    return numbered


class _Known:
    """Entries read so far by this process, and how things stood after them."""

    def __init__(self) -> None:
        self._lock = threading.RLock()
        self.forget()

    def forget(self) -> None:
        """Begin anew, as with another database."""
        with self._lock:
            self._entries: tuple[Entry, ...] = ()
            self._last: dict[str, Any] = {}
            self._folds: OrderedDict[str, tuple[Folding, int]] = OrderedDict()
            self._states: dict[str, State] = {}

    def entries(self) -> tuple[Entry, ...]:
        with self._lock:
            last = self._entries[-1].number if self._entries else 0
            rows = RecordEntry.objects.filter(number__gte=last).order_by("number")
            found = list(rows.values_list("data", flat=True))
            if last and (not found or found[0] != self._last):  # not the database that was read before
                self.forget()
                return self.entries()
            new = found[1:] if last else found
            if new:
                self._entries += tuple(entry_of(data) for data in new)
                self._last = new[-1]
            return self._entries

    def state(self, job_steps: JobSteps) -> State:
        key = json.dumps({job: list(map(list, steps)) for job, steps in job_steps.items()}, sort_keys=True)
        with self._lock:
            entries = self.entries()
            folding, taken = self._folds.pop(key, (Folding(job_steps), 0))
            if taken < len(entries) or key not in self._states:
                folding.take_all(entries[taken:])
                self._states[key] = folding.state()
            self._folds[key] = (folding, len(entries))
            while len(self._folds) > FOLDS:
                old, _ = self._folds.popitem(last=False)
                del self._states[old]
            return self._states[key]


_KNOWN = _Known()
forget = _KNOWN.forget
"""Forget what was read: for tests, where one database follows another."""
