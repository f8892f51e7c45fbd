"""What the pages of the bench share: the time that counts, and what entries are looked at against."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable, Iterable, Mapping, Sequence
from typing import Any

from django.http import HttpRequest
from django.utils import timezone

from onceapart.bench.entries import Entry
from onceapart.bench.release_checks import DueCheck, FollowUp
from onceapart.bench.state import State
from onceapart.site.pages.bench.cards import card_of, stints_of
from onceapart.site.pages.bench.taking import Bench, RefusedError
from onceapart.site.pages.kept import standing_of
from onceapart.site.pages.planned import chosen_plan
from onceapart.site.pages.shared import Now, who_is
from onceapart.site.store.models import RecordEntry
from onceapart.site.store.record import DatabaseRecord

SAME = ("kind", "car", "step", "stint", "check", "answer", "fastener", "job", "entry")
"""What two sendings of one entry have in common, whatever the site has added to it since."""


def moment(now: Now) -> dt.datetime:
    """The present time; on the day that the workshop is set to, where it is set to one."""
    time = timezone.localtime(timezone.now()).replace(microsecond=0)
    pinned = now.workshop.today
    return time if pinned is None else dt.datetime.combine(pinned, time.timetz())


def bench_of(request: HttpRequest, now: Now) -> Bench:
    """What entries that come with a request are looked at against."""
    store = DatabaseRecord()

    def state() -> State:
        return store.state(now.work.job_steps)

    def releases(car: str) -> tuple[Sequence[DueCheck], Sequence[FollowUp]]:
        found = standing_of(now.applied).release(store.entries(), car, now.today)
        return found.checks, found.follow_ups

    def card_steps(stint: str) -> Mapping[str, str]:
        planned = chosen_plan(now.found)
        choices = stints_of(planned, state()) if planned else ()
        return {
            step.id: step.car
            for one in choices
            if planned and stint in ("", one.name)
            for step in card_of(planned, one.at).steps
        }

    return Bench(
        work=now.work,
        store=store,
        now=moment(now),
        who=who_is(request) or None,
        pinned=now.workshop.today,
        state=state,
        releases=releases,
        card_steps=card_steps,
    )


def kept_before(ids: Iterable[str]) -> Callable[[Entry], int | None]:
    """For ``taking.take_all``: which of some entries the record has already; one query."""
    rows = {row.uid: row for row in RecordEntry.objects.filter(uid__in=[one[:64] for one in ids])}

    def is_kept(entry: Entry) -> int | None:
        row = rows.get(entry.id)
        if row is None:
            return None
        mine: dict[str, Any] = entry.model_dump(mode="json")
        if any(row.data.get(key) != mine.get(key) for key in SAME):
            raise RefusedError(
                f"{entry.id}: entry {row.number} has this id and says something else; do it again"
            )
        return row.number

    return is_kept
