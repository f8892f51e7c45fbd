"""The record in the database: the same entries and the same fold as in a file, added to and never changed."""

from __future__ import annotations

import json
import threading
from typing import Any

from django.db import IntegrityError, transaction
from django.db.models import Max

from onceapart.bench.entries import Corrected, Entry, entry_of, entry_to_json, says_the_same
from onceapart.bench.record import RecordError
from onceapart.site.store.models import RecordEntry

TRIES = 20


class DatabaseRecord:
    """Keeps entries in the database, as ``bench.record.Store`` asks for."""

    def append(self, entry: Entry) -> Entry:
        """Keep an entry and give it back with its number; one that is there already is not kept twice."""
        for _ in range(TRIES):
            try:
                with transaction.atomic():
                    return self._add(entry)
            except IntegrityError:
                continue  # another entry came first, or the same one: look again
        raise RecordError(f"entry {entry.id}: the record is too busy; do it again")

    def _add(self, entry: Entry) -> Entry:
        kept = RecordEntry.objects.filter(uid=entry.id).first()
        if kept is not None:
            there = _entry(kept.data)
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

    def entries(self) -> tuple[Entry, ...]:
        """All entries in order. Those read before are kept in memory: they never change."""
        return _KNOWN.up_to_date()


class _Known:
    """Entries read so far by this process."""

    def __init__(self) -> None:
        self._lock = threading.Lock()
        self._entries: tuple[Entry, ...] = ()

    def up_to_date(self) -> tuple[Entry, ...]:
        with self._lock:
            last = self._entries[-1].number if self._entries else 0
            held = last and RecordEntry.objects.filter(number=last, uid=self._entries[-1].id).exists()
            if last and not held:  # another database, as between tests
                self._entries, last = (), 0
            new = (
                RecordEntry.objects.filter(number__gt=last).order_by("number").values_list("data", flat=True)
            )
            self._entries += tuple(_entry(data) for data in new)
            return self._entries


_KNOWN = _Known()


def _entry(data: dict[str, Any]) -> Entry:
    return entry_of(data)
