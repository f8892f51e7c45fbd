"""A record of 20,000 entries: every page that shows it stays quick, with as few queries as a short one."""

import datetime as dt
import json
import time

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from site_bench import STINT, send, tick, yard, yard_card

from onceapart.bench.entries import (
    Arrived,
    MeasuredValue,
    Noted,
    Started,
    Stopped,
    Ticked,
    Tightened,
    Unticked,
    entry_to_json,
)
from onceapart.site.store.models import RecordEntry

pytestmark = pytest.mark.django_db
MANY = 20_000
QUICK = 0.200
"""Seconds of server time at most. [s]"""
PAGES = {
    "/record/": 4,
    "/record/?text=note+17&car=wren&since=2010-01-01": 4,
    "/record/?before=9000": 4,
    "/record/?text=nowhere": 4,
    "/record/money/": 4,
    "/record/work/": 4,
    "/record/measured/": 4,
    "/record/12345/": 4,
    "/cars/wren/release/": 4,
    "/bench/": 5,
    "/bench/snags/": 4,
}
"""Page -> database queries at most."""


def long_record():
    """Years of work on two cars: ticks and what takes them back, the clock, values, notes, parts."""
    steps = [step for step in yard_card().steps if step.kind not in ("check",)]
    begin = dt.datetime(2008, 1, 5, 9, tzinfo=dt.UTC)
    for number in range(1, MANY + 1):
        time = begin + dt.timedelta(hours=8 * number)
        day, step, kind = time.date().isoformat(), steps[number % len(steps)], number % 20
        common = {"id": f"e{number}", "number": number, "time": time}
        on_car = {**common, "car": step.car}
        if step.measurements:
            yield MeasuredValue(**on_car, step=step.id, value="2.1 mm", stint=day)
        elif kind == 3:
            yield Started(**common, stint=day, who="A. Finch")
        elif kind == 4:
            yield Stopped(**common, stint=day, who="A. Finch")
        elif kind in (5, 6):
            yield Noted(**on_car, words=f"note {number} of that day")
        elif kind == 7:
            yield Arrived(**common, part="wren/front/brake-pad-set", pieces=1, price=2400)
        elif kind == 8:
            yield Tightened(**on_car, fastener="wren/front-left/wheel-nuts", torque="110 Nm")
        elif kind == 9:
            yield Unticked(**on_car, step=step.id, stint=day)
        else:
            yield Ticked(**on_car, step=step.id, stint=day)


@pytest.fixture
def long(db, noon):
    yard(noon)
    rows = [
        RecordEntry(number=one.number, uid=one.id, kind=one.kind, data=json.loads(entry_to_json(one)))
        for one in long_record()
    ]
    RecordEntry.objects.bulk_create(rows, batch_size=2_000)


def served(client, url):
    """Seconds of server time, the better of three, and the queries of the last. [s]"""
    took = []
    for _ in range(3):
        begin = time.process_time()
        with CaptureQueriesContext(connection) as queries:
            assert client.get(url).status_code == 200
        took.append(time.process_time() - begin)
    return min(took), len(queries)


def test_every_page_is_quick_with_20_000_entries(client, long):
    begin = time.process_time()
    client.get("/record/")  # the first page after a start reads it all
    first = time.process_time() - begin
    client.get("/cars/wren/release/")
    found = {url: served(client, url) for url in PAGES}
    slow = {url: took for url, (took, _) in found.items() if took >= QUICK}
    many = {url: queries for url, (_, queries) in found.items() if queries > PAGES[url]}
    assert slow == {}
    assert many == {}
    assert first < 10

    steps = [step.id for step in yard_card().steps if step.kind not in ("check", "measure")]
    for number in range(3):  # a tick more, and the pages are as quick
        send(client, tick(number, steps[number]))
        for url in ("/bench/", f"/bench/{STINT}/?step=3", "/record/", "/cars/wren/release/"):
            begin = time.process_time()
            assert client.get(url).status_code == 200
            assert time.process_time() - begin < QUICK, url
    print({url: round(took, 3) for url, (took, _) in found.items()}, round(first, 2))
