"""The dates of a plan and of what follows from it, as a calendar file (iCalendar, RFC 5545).

An event keeps its UID however its date or words change, so that the file, imported once more, updates
what is there. An import takes nothing away: a stint that has no work any more comes as cancelled.
"""

from __future__ import annotations

import datetime as dt
import json
import uuid
from collections.abc import Iterable

from icalendar import Alarm, Calendar, Event

from onceapart.bench.entries import Entry
from onceapart.bench.release_work import Work
from onceapart.paper.calendar_dates import Dated, dates_of
from onceapart.planning.plan import Plan
from onceapart.planning.workload import Workload

PRODUCT = "-//Onceapart//Workshop calendar//EN"
NAMES = uuid.UUID("5d0c7a9e-6b1f-4c53-9a57-1f2f6f0c2a41")
"""Name space of the UIDs (RFC 9562, version 5); never to be changed."""
FIRST_MINUTE = dt.datetime(2020, 1, 1, tzinfo=dt.UTC)
"""SEQUENCE counts minutes from here: a file made later is a later revision (RFC 5545, 3.8.7.4)."""


def calendar_ics(
    work: Work,
    workload: Workload,
    plan: Plan | None,
    entries: Iterable[Entry] = (),
    *,
    at: dt.datetime,
    begins: dt.time | None = None,
) -> bytes:
    """Stints, arrivals, inspections and what is to be done again after driving, as an iCalendar file.

    Parameters
    ----------
    work : Work
        The workshop with what the library says of it (``release_work.work_of``).
    workload : Workload
        The one that the plan is of.
    plan : Plan, optional
        Without one there are only inspections and what the record asks for.
    entries : iterable of Entry
        The record, in order: orders placed, releases.
    at : datetime
        When it is made, with its zone: DTSTAMP, LAST-MODIFIED and SEQUENCE.
    begins : time, optional
        When the first stint of a day begins; a second one follows on it. Times are those of the wall clock
        wherever the calendar is read (RFC 5545, 3.3.5, form 1). Without it, stints take the whole day.

    Returns
    -------
    bytes
        The same for the same data and time; lines end with CR LF and are folded at 75 octets.

    Raises
    ------
    ValueError
        ``at`` has no zone.
    """
    if at.tzinfo is None:
        raise ValueError("the time that a calendar is made has a zone; give it with one")
    stamp = at.astimezone(dt.UTC).replace(microsecond=0)
    name = work.workshop.name
    calendar = Calendar()
    calendar.add("prodid", PRODUCT)
    calendar.add("version", "2.0")
    calendar.add("name", name)
    calendar.add("x-wr-calname", name)  # what most programs read in place of NAME (RFC 7986)
    for one in dates_of(work, workload, plan, tuple(entries), today=at.date(), begins=begins):
        calendar.add_component(_event(one, name, stamp))
    return bytes(calendar.to_ical())


def uid_of(workshop: str, key: Iterable[str]) -> str:
    """The UID of an event: the same for the same thing of the same workshop.

    >>> uid_of("Quay Lane", ("inspection", "wren")) == uid_of("Quay Lane", ("inspection", "wren"))
    True
    """
    return str(uuid.uuid5(NAMES, json.dumps([workshop, *key], ensure_ascii=False)))


def _event(one: Dated, workshop: str, stamp: dt.datetime) -> Event:
    event = Event()
    event.add("uid", uid_of(workshop, one.key))
    event.add("dtstamp", stamp)
    event.add("last-modified", stamp)
    event.add("sequence", max(0, int((stamp - FIRST_MINUTE).total_seconds()) // 60))
    event.add("dtstart", one.start)
    event.add("dtend", one.end)
    event.add("summary", one.title)
    event.add("description", one.words)
    event.add("categories", [one.category])
    event.add("status", "CANCELLED" if one.is_cancelled else "CONFIRMED")
    event.add("transp", "OPAQUE" if one.takes_time else "TRANSPARENT")
    for before in one.alarms:
        alarm = Alarm()
        alarm.add("action", "DISPLAY")
        alarm.add("description", one.title)
        alarm.add("trigger", before)
        event.add_component(alarm)
    return event
