"""The record: what was done, found by text, car, kind and dates; and what it comes to."""

from __future__ import annotations

import datetime as dt
from itertools import groupby
from typing import Any

from django.http import HttpRequest, HttpResponse, QueryDict
from django.shortcuts import render
from django.utils.http import urlencode
from django.views.decorators.http import require_safe

from onceapart.bench.entries import ENTRY_WORDS, MeasuredValue, Ticked, Unticked, new_id
from onceapart.bench.state_steps import KnownStep, known_steps
from onceapart.site.pages.bench.showing import words_of_step
from onceapart.site.pages.record.looking import INDEX, Row, Wanted
from onceapart.site.pages.record.totals import measured_of, money_of, work_by_car, work_by_stint
from onceapart.site.pages.shared import Now, with_workshop


@require_safe
@with_workshop
def record(request: HttpRequest, now: Now) -> HttpResponse:
    """The entries, newest first, as looked for."""
    return record_page(request, now, None)


def record_page(
    request: HttpRequest, now: Now, note_error: str | None, typed: dict[str, str] | None = None
) -> HttpResponse:
    """The list of entries; with what is wrong with a note that was sent, and what was typed."""
    wanted, errors = wanted_of(request.GET)
    found = INDEX.look(now.entries, wanted)
    known = known_of(now)
    rows = [{**vars(row), "step": _step_words(row, known)} for row in found.rows]
    asked = {key: str(value) for key, value in request.GET.items() if value and key != "before"}
    kinds = sorted(set(ENTRY_WORDS))
    context = {
        "now": now,
        "found": found,
        "days": [(day, list(rows)) for day, rows in groupby(rows, key=lambda row: row["entry"].day)],
        "asked": asked,
        "more": urlencode({**asked, "before": str(found.next_before)}) if found.next_before else "",
        "is_later": wanted.before is not None,
        "newest": urlencode(asked),
        "errors": errors,
        "kinds": kinds,
        "count": len(now.entries),
        "money": money_of(now.state),
        "minutes": now.state.minutes_worked(),
        "doubts": now.state.doubts[-20:],
        "once": new_id(),
        "note_error": note_error,
        "typed": typed or {},
        "tab": "entries",
    }
    status = 422 if errors or note_error else 200
    return render(request, "record/record.html", context, status=status)


def _step_words(row: Row, known: dict[str, KnownStep]) -> str:
    """The step of an entry in words, where the workshop still has it."""
    one = known.get(getattr(row.entry, "step", None) or "")
    plain = isinstance(row.entry, Ticked | Unticked | MeasuredValue)
    return words_of_step(one) if one is not None and plain else ""


def wanted_of(asked: QueryDict) -> tuple[Wanted, dict[str, str]]:
    """What is looked for, and what of it could not be read."""
    errors: dict[str, str] = {}

    def day(key: str) -> dt.date | None:
        text = str(asked.get(key, "")).strip()
        if not text:
            return None
        try:
            return dt.date.fromisoformat(text)
        except ValueError:
            errors[key] = f"“{text[:30]}”: a date is year-month-day; write it as in 2026-03-07"
            return None

    before = str(asked.get("before", ""))
    return (
        Wanted(
            text=str(asked.get("text", ""))[:200],
            car=str(asked.get("car", "")),
            kind=str(asked.get("kind", "")),
            since=day("since"),
            until=day("until"),
            before=int(before) if before.isascii() and before.isdigit() and len(before) < 10 else None,
        ),
        errors,
    )


def known_of(now: Now) -> dict[str, KnownStep]:
    """Every step of the workshop by id."""
    key = "known steps"
    if key not in now.memo:
        now.memo[key] = known_steps(now.work)
    found: dict[str, KnownStep] = now.memo[key]
    return found


@require_safe
@with_workshop
def money(request: HttpRequest, now: Now) -> HttpResponse:
    """What was paid."""
    found = money_of(now.state)
    context = {"now": now, "money": found, "lines": found.lines[:500], "tab": "money"}
    return render(request, "record/money.html", context)


@require_safe
@with_workshop
def work(request: HttpRequest, now: Now) -> HttpResponse:
    """Hours and work, by stint and by car."""
    stints = work_by_stint(now.state, known_of(now))
    context: dict[str, Any] = {
        "now": now,
        "minutes": now.state.minutes_worked(),
        "stints": [
            (one, [(now.cars[car].name if car in now.cars else car, jobs) for car, jobs in one.cars.items()])
            for one in stints[:200]
        ],
        "cars": [
            (now.cars[car].name, jobs)
            for car, jobs in work_by_car(now.state, now.work).items()
            if car in now.cars
        ],
        "tab": "work",
    }
    return render(request, "record/work.html", context)


@require_safe
@with_workshop
def measured(request: HttpRequest, now: Now) -> HttpResponse:
    """What was measured, and torques that were set."""
    found = measured_of(now.state, known_of(now))
    cars = [
        (now.cars[car].name if car in now.cars else car, list(rows))
        for car, rows in groupby(found, key=lambda one: one.car)
    ]
    return render(request, "record/measured.html", {"now": now, "cars": cars, "tab": "measured"})
