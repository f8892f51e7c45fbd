"""The record in the database: the same as in a file, quick when it is long."""

from __future__ import annotations

import datetime as dt
import time
from pathlib import Path
from typing import Any

import pytest

from onceapart.bench.entries import (
    Corrected,
    Entry,
    MeasuredValue,
    Noted,
    SnagOpened,
    Ticked,
    Unticked,
    entry_to_json,
)
from onceapart.bench.record import RecordError, RecordFile
from onceapart.bench.state import fold
from onceapart.site.store import record
from onceapart.site.store.models import RecordEntry
from onceapart.site.store.record import DatabaseRecord

NOON = dt.datetime(2026, 3, 5, 12, tzinfo=dt.UTC)
pytestmark = pytest.mark.django_db
STEPS = {"boot": [["do:boot:clips"], ["do:boot:grease"]]}


def tick(at: int, **more: Any) -> Ticked:
    step = more.pop("step", f"do:boot:{('clips', 'grease', 'fit')[at % 3]}")
    return Ticked(id=f"t-{at}", time=NOON + dt.timedelta(minutes=at), car="wren", step=step, **more)


def some_entries() -> list[Entry]:
    return [
        tick(0),
        tick(1, who="Ann"),
        MeasuredValue(id="m-1", time=NOON, car="wren", step="measure:boot:play", value="0.2 mm"),
        Noted(id="n-1", time=NOON, words="Zwölf ½ ° Grad\nund mehr", photo="boot.jpg"),
        SnagOpened(id="s-1", time=NOON, car="wren", snag="seized fastener", words="Stuck", dangerous=False),
        Unticked(id="u-1", time=NOON, car="wren", step="do:boot:clips"),
        Corrected(id="c-1", time=NOON, entry="t-1", why="Wrong car"),
        Corrected(id="c-2", time=NOON, entry="c-1", why="It was the right car"),
    ]


def test_the_database_and_a_file_keep_the_same(tmp_path: Path) -> None:
    ours, file = DatabaseRecord(), RecordFile(tmp_path / "w.record.jsonl")
    for entry in some_entries():
        assert ours.append(entry) == file.append(entry)
    assert ours.entries() == file.entries()
    assert [entry_to_json(one) for one in ours.entries()] == [entry_to_json(one) for one in file.entries()]
    record.forget()
    assert ours.entries() == file.entries(), "read anew"
    assert ours.state(STEPS) == fold(file.entries(), STEPS)


def test_what_is_sent_twice_is_kept_once() -> None:
    store = DatabaseRecord()
    first = store.append(tick(1))
    again = tick(1).model_copy(update={"time": NOON})
    assert store.append(again) == first
    with pytest.raises(RecordError, match=r"t-1.*says something else"):
        store.append(tick(1, who="Bob"))
    with pytest.raises(RecordError, match="no such entry"):
        store.append(Corrected(id="c", time=NOON, entry="nobody", why="-"))
    assert RecordEntry.objects.count() == 1


def test_all_of_several_entries_are_kept_or_none() -> None:
    store = DatabaseRecord()
    store.append(tick(1))
    with pytest.raises(RecordError):
        store.append_all([tick(2), tick(1, who="Bob"), tick(3)])
    assert [one.id for one in store.entries()] == ["t-1"]
    assert [one.number for one in store.append_all([tick(2), tick(1), tick(3)])] == [2, 1, 3]


def test_the_state_goes_on_from_where_it_was() -> None:
    store, kept = DatabaseRecord(), []
    for entry in some_entries():
        kept.append(store.append(entry))
        for steps in (STEPS, {}):
            assert store.state(steps) == fold(kept, steps)
    assert store.state(STEPS) is store.state(dict(STEPS)), "what was folded is not folded again"


def test_another_database_is_noticed() -> None:
    store = DatabaseRecord()
    store.append(tick(1))
    store.append(tick(2))
    assert len(store.entries()) == 2
    RecordEntry.objects.all().delete()
    assert store.entries() == ()
    assert store.state() == fold(())
    store.append(tick(1, who="Ann"))
    store.append(tick(2, who="Ann"))
    assert [one.who for one in store.entries()] == ["Ann", "Ann"]


def test_twenty_thousand_entries_are_read_once_and_stay_quick(django_assert_num_queries: Any) -> None:
    rows = []
    for at in range(1, 20_001):
        entry: Entry = tick(at, step=f"do:job-{at % 300}:op-{at % 7}")
        if at % 100 == 0:
            entry = Corrected(id=f"t-{at}", time=NOON, entry=f"t-{at - 1}", why="Slipped")
        data = entry.model_copy(update={"number": at}).model_dump(mode="json", exclude_none=True)
        rows.append(RecordEntry(number=at, uid=entry.id, kind=entry.kind, data=data))
    RecordEntry.objects.bulk_create(rows, batch_size=1000)
    store = DatabaseRecord()
    assert store.state(STEPS).last_number == 20_000
    with django_assert_num_queries(1):
        store.state(STEPS)
    start = time.process_time()
    for at in range(20_001, 20_011):
        store.append(tick(at))
        assert store.state(STEPS).last_number == at
    each = (time.process_time() - start) / 10
    assert each < 0.1, f"an entry and the state after it take {each:.3f} s of the processor"
    assert store.state(STEPS) == fold(store.entries(), STEPS)
