"""Choosing a way on from a snag, with the check of a substitute bolt by its sum."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from functools import cache
from typing import Any

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.http import urlencode
from django.views.decorators.http import require_http_methods
from pydantic import ValidationError

from onceapart.bench.entries import Entry, entry_of, new_id
from onceapart.bench.snag import Where
from onceapart.bench.stopgap import CHECKED_BY, PASSES, needs_check
from onceapart.bench.ways import WayOn, cautions_of
from onceapart.bench.ways_choose import HOLDS, Choice, choose
from onceapart.errors import OnceapartError, Problem
from onceapart.site.pages.bench.sending import moment
from onceapart.site.pages.bench.snag_forms import WayTyped, filled_in, way_fields
from onceapart.site.pages.bench.snag_views import key_of, numbered, snag_context, ways_of_snag, where_is
from onceapart.site.pages.bench.taking import plain_words
from onceapart.site.pages.forms import Form
from onceapart.site.pages.shared import Now, said, units_of, who_is, with_workshop
from onceapart.site.pages.sums.forms import SumForm, sum_form, typed_of
from onceapart.site.store.locking import Kept, writing
from onceapart.site.store.models import RecordEntry
from onceapart.site.store.record import DatabaseRecord
from onceapart.site.store.versions import ChangeRefusedError, change, with_entry
from onceapart.sums.registry import find_sum
from onceapart.trade import load_recipe, recipe_ids
from onceapart.workshop import Job, Workshop
from onceapart.workshop.places import PLACES


@require_http_methods(["GET", "HEAD", "POST"])
@with_workshop
def one_way(request: HttpRequest, now: Now, number: int, key: str) -> HttpResponse:
    """A way on: what it does and asks for. On POST the bolt is checked, or the way is chosen."""
    snag = numbered(now, number)
    once = str(request.POST.get("once", ""))
    if once and RecordEntry.objects.filter(uid=f"{once}-0").exists():
        return redirect("snag", number)  # the same form once more
    if not snag.is_open:
        messages.info(request, "This snag is closed; open another if it is not settled.")
        return redirect("snag", number)
    ways, left = ways_of_snag(now, snag)
    made = next((one for one in ways if one.number and key_of(one) == key), None)
    if made is None:
        raise Http404(f"way {key}")
    where = where_is(now.work, now, snag)
    fields = way_fields(made, where, _recipes(), list(PLACES))
    is_makeshift = made.way.act in ("substitute", "stopgap")
    if request.method == "POST":
        form = Form(WayTyped, fields, typed=request.POST)
    else:
        form = Form(WayTyped, fields)
        for name, text in filled_in(made, where).items():
            form.set_typed(name, text)
    bolt = _bolt(request, form, where, made) if is_makeshift else None
    if form.model is not None and request.POST.get("go") == "choose":
        problem = _lacking(form.model, made, where, bolt)
        if problem is None:
            done = _choose(request, now, (snag.opened, where, made, left), form, bolt, once)
            if done:
                return redirect("snag", number)
        else:
            form.add_problems([problem])
    context = {
        **snag_context(now, snag),
        "made": made,
        "key": key,
        "form": form,
        "cautions": cautions_of(now.work, made.way),
        "once": new_id(),
        "is_makeshift": is_makeshift,
        "must_check": is_makeshift and needs_check(_system(form, where)),
        "where": where,
        **_bolt_context(bolt, _holds(form, where)),
    }
    is_wrong = form.has_problems or bool(bolt and bolt.has_problems)
    return render(request, "bench/way.html", context, status=422 if is_wrong else 200)


def _system(form: Form[WayTyped], where: Where) -> str:
    typed = next((one.typed for one in form.fields if one.key == "system"), "")
    return typed or where.system


def _holds(form: Form[WayTyped], where: Where) -> str:
    """What the bolt sum calls the system."""
    system = _system(form, where)
    return HOLDS.get(system, system)


def _bolt(request: HttpRequest, form: Form[WayTyped], where: Where, made: WayOn) -> SumForm:
    """The sum of the substitute bolt, for what the makeshift holds."""
    asked = find_sum(CHECKED_BY)
    typed = typed_of(asked, request.POST)
    given = {key: text for key, text in typed.items() if text.strip() and key != "holds"}
    is_wanted = made.way.act == "substitute" or "found" in given
    is_sent = request.method == "POST" and is_wanted
    typed["holds"] = _holds(form, where)
    found = sum_form(asked, typed, "imperial" if units_of(request) == "imperial" else "metric",
                     is_sent=is_sent)  # fmt: skip
    return replace(found, fields=[one for one in found.fields if one.key != "holds"])


def _bolt_context(bolt: SumForm | None, holds: str) -> dict[str, Any]:
    if bolt is None:
        return {"bolt": None}
    given = {one.name: one.typed for one in bolt.fields if one.typed}
    return {
        "bolt": bolt,
        "asked": bolt.asked,
        "answer": bolt.answer,
        "first_fields": bolt.fields[:4],
        "more_fields": bolt.fields[4:],
        "given": urlencode({**given, "holds": holds}),
        "passes": bolt.answer is not None and bolt.answer.verdict in PASSES,
    }


def _lacking(typed: WayTyped, made: WayOn, where: Where, bolt: SumForm | None) -> Problem | None:
    """What is missing for the way to be chosen."""

    def problem(rule: str, way_out: str) -> Problem:
        return Problem(None, "", "", rule, way_out)

    act = made.way.act
    if act == "job" and typed.recipe is None and typed.minutes is None:
        return problem("a job is one from the library, or has minutes of its own", "pick it, or write them")
    if act == "job" and typed.recipe is not None and typed.place is None:
        return problem("a job from the library is done at a place", "pick the place")
    if bolt is None:
        return None
    if bolt.has_problems:
        return problem("the figures of the bolt have no answer yet", "mend them below")
    if act == "substitute" and bolt.answer is None:
        return problem("another bolt is checked by the sum first", "give its figures below")
    if bolt.answer is not None and bolt.answer.verdict not in PASSES:
        return problem(f"the bolt sum says: {bolt.answer.verdict}", "take another bolt, or another way")
    found = next((one.typed for one in bolt.fields if one.key == "found"), "")
    if typed.what is None and not found:
        return problem("a makeshift says what goes in", "write it")
    if typed.where is None and len(where.fasteners) != 1:
        return problem("a makeshift says where it is", "write it")
    if typed.distance is not None and typed.odometer is None:
        return problem("a distance counts from the odometer of today", "give the odometer")
    return None


def _choose(
    request: HttpRequest,
    now: Now,
    of: tuple[Any, Where, WayOn, Any],
    form: Form[WayTyped],
    bolt: SumForm | None,
    once: str,
) -> bool:
    """Choose the way; the jobs it brings go into the workshop before its entries go into the record."""
    opened, where, made, left = of
    typed = form.model
    assert typed is not None
    check: Mapping[str, str] = {}
    if bolt is not None and bolt.answer is not None:
        check = {one.key: one.typed for one in bolt.fields if one.typed}
    choice = Choice(
        time=moment(now), who=who_is(request) or None, minutes=typed.minutes, price=typed.price,
        odometer=typed.odometer, what=typed.what, where=typed.where, system=typed.system, until=typed.until,
        distance=typed.distance, speed=typed.speed, stands=typed.stands, signed_by=typed.signed_by,
        check=check, recipe=typed.recipe, place=typed.place, need=typed.need,
    )  # fmt: skip
    try:
        chosen = choose(now.work, now.state, left, opened, where, made, choice)
        jobs = [Job.model_validate(one) for one in chosen.jobs]
        entries = _with_ids(chosen.entries, once)
        with writing(Kept.WORKSHOP):
            version = None
            if jobs:
                version = change(
                    f"Job {', '.join(job.id for job in jobs)} put in after a snag",
                    lambda w: _with_jobs(w, jobs),
                    at=timezone.now(),
                    who=who_is(request),
                )
            DatabaseRecord().append_all(entries)
    except ChangeRefusedError as error:
        form.add_problems(error.problems)
        return False
    except OnceapartError as error:
        rule, _, way_out = plain_words(str(error)).partition("; ")
        form.add_problems([Problem(None, "", "", rule, way_out or "mend it and choose again")])
        return False
    except ValidationError as error:
        form.add_problems([Problem(None, "", "", str(error.errors()[0]["msg"]), "mend it and choose again")])
        return False
    words = f"Chosen: {made.way.title}."
    if jobs:
        words += f" {'Jobs' if len(jobs) > 1 else 'Job'} {', '.join(job.id for job in jobs)} put in."
    said(request, words, version)
    return True


def _with_ids(entries: tuple[Entry, ...], once: str) -> list[Entry]:
    """Entries with ids that follow from that of the form, so that it counts once however often it is sent."""
    if not once:
        return list(entries)
    return [
        entry_of({**one.model_dump(mode="python"), "id": f"{once}-{at}"}) for at, one in enumerate(entries)
    ]


def _with_jobs(workshop: Workshop, jobs: list[Job]) -> Workshop:
    for job in jobs:
        workshop = with_entry(workshop, "jobs", job)
    return workshop


@cache
def _recipes() -> tuple[tuple[str, str], ...]:
    """Recipes of the library, by title."""
    found = ((one, load_recipe(one).title) for one in recipe_ids())
    return tuple(sorted(found, key=lambda pair: pair[1]))
