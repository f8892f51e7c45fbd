"""Release: how it stands in words, every check as a question, granting it and taking it back."""

from __future__ import annotations

import re
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_POST, require_safe

from onceapart.bench.card_work import RAISE, job_title, spoken
from onceapart.bench.entries import CheckAnswered, ReleaseGranted, new_id
from onceapart.bench.release import CarRelease, ask_release
from onceapart.bench.release_checks import Against, AgainstKind, CheckState, DueCheck, comes_before
from onceapart.bench.release_work import Work, name_of
from onceapart.bench.state import km_of
from onceapart.bench.stopgap import needs_check
from onceapart.site.pages.bench.sending import bench_of, moment
from onceapart.site.pages.bench.showing import thing_words
from onceapart.site.pages.bench.snag_forms import KIND_WORDS
from onceapart.site.pages.bench.taking import RefusedError, check_answer
from onceapart.site.pages.release.keeping import NotKeptError, keep, made, typed_odometer
from onceapart.site.pages.shared import Now, said, who_is, with_workshop

STATES = {
    CheckState.OPEN: "not answered yet",
    CheckState.YES: "yes",
    CheckState.NO: "no",
    CheckState.EARLY: "answered too early: do it again",
}


@require_safe
@with_workshop
def release(request: HttpRequest, now: Now, car: str) -> HttpResponse:
    """Whether a car may go on the road, and what to do about it."""
    return page(request, now, car)


def page(
    request: HttpRequest, now: Now, car: str, error: NotKeptError | None = None, of: str = ""
) -> HttpResponse:
    """The page of a release; with what is wrong with the form ``of`` that was sent, and what was typed."""
    standing = now.standing(car)
    found = standing.release
    state, km = now.state, now.state.odometers.get(car)
    asked = state.asked.get(car)
    context = {
        "now": now,
        "car": standing.car,
        "found": found,
        "why": why_in_short(found, now.work),
        "open_checks": sum(1 for one in found.checks if one.state is not CheckState.YES),
        "checks": [_check(now, one, found) for one in found.checks],
        "follow_ups": [
            (one, one.is_due(now.today, km.km if km else None), one.is_overdue(km.km if km else None))
            for one in found.follow_ups
        ],
        "stopgaps": [
            (one, text, needs_check(one.fitted.system), state.is_job_done(one.fitted.job))
            for one, text in zip(state.open_stopgaps(car), found.stopgaps, strict=True)
        ],
        "snags": [(one, KIND_WORDS[one.opened.snag]) for one in state.open_snags(car)],
        "odometer": km,
        "needs_odometer": any(one.fitted.limits.distance for one in state.open_stopgaps(car)),
        "asked": asked if asked is not None and not found.is_released else None,
        "error": error,
        "of": of,
        "typed": request.POST if error else {},
        "who": who_is(request),
        "once": new_id(),
    }  # fmt: skip
    return render(request, "release/release.html", context, status=422 if error else 200)


def why_in_short(found: CarRelease, work: Work) -> list[str]:
    """Why it is not released; of checks not answered, which stand below, only how many there are."""
    if found.is_released:
        return []
    still_open = {one.id for one in found.checks if one.state is CheckState.OPEN}
    rest = [
        _why(one, found.car, work)
        for one in found.against
        if one.kind is not AgainstKind.CHECK or one.of not in still_open
    ]
    if still_open:
        count = len(still_open)
        rest.append(f"{count} {'checks are' if count > 1 else 'check is'} not answered; answer below")
    return [*rest, *found.why[len(found.against) :]]


def _why(one: Against, car: str, work: Work) -> str:
    """One reason, with names in place of ids and the way out as it is on these pages."""
    if one.kind is AgainstKind.ACCESS:
        if name_of(one.of) == RAISE:
            where = spoken(one.of.removeprefix(f"{car}/").rpartition("/")[0]) or "car"
            return f"the {where} is still on stands; let it down and tick it at the bench"
        words = one.words.replace(one.of, thing_words(one.of, car))
        return f"{words}; {one.way_out.partition(' and tick')[0]} and tick it at the bench"
    if one.kind is AgainstKind.UNFINISHED:
        job = work.jobs.get(one.of)
        title = job_title(job, work.fitted.jobs.get(one.of)) if job else one.of
        count = re.search(r"\(([0-9]+ of [0-9]+ steps open)", one.words)
        more = f" ({count[1]})" if count else ""
        return f"{title} is begun and not done{more}; finish it and tick it at the bench"
    if one.kind is AgainstKind.AFTERCARE:
        return f"{work.words_of_check(one.of)[0]} is not done; do it and tick it at the bench"
    if one.kind is AgainstKind.CHECK:
        words = one.words.replace(f"check {one.of}", work.words_of_check(one.of)[0])
        return f"{words}; {one.way_out}"
    return f"{one.words}; {one.way_out}"


def _check(now: Now, check: DueCheck, found: CarRelease) -> dict[str, Any]:
    first = comes_before(check.id, found.checks, now.work) if not found.is_released else ()
    answer = check.answer
    return {
        "check": check,
        "name": check.id.replace("/", "-"),
        "state": STATES[check.state],
        "is_yes": check.state is CheckState.YES,
        "first": [one.title for one in first],
        "answer": answer,
        "once": new_id(),
    }


@require_POST
@with_workshop
def answer(request: HttpRequest, now: Now, car: str) -> HttpResponse:
    """A check, answered with yes or no."""
    now.car(car)
    check = str(request.POST.get("check", ""))
    given = str(request.POST.get("answer", ""))
    try:
        entry = made(
            request, now, "check answered", car=car, check=check, answer=given,
            value=request.POST.get("value", "") if given == "yes" else "",
            words=request.POST.get("words", ""), odometer=typed_odometer(request, now, car),
        )  # fmt: skip
        assert isinstance(entry, CheckAnswered)
        try:
            check_answer(entry, bench_of(request, now))
        except RefusedError as error:
            raise NotKeptError("", str(error)) from None
        keep([entry])
    except NotKeptError as error:
        return page(request, now, car, error, check)
    after = Now.of(now.found).release(car)
    following = [one for one in after.checks if one.state is not CheckState.YES]
    ids = [one.id for one in after.checks]
    at = ids.index(check) if check in ids else -1
    later = [one for one in following if ids.index(one.id) > at] or following
    where = later[0].id.replace("/", "-") if later else "grant"
    return redirect(f"{reverse('release', args=[car])}#{where}")


@require_POST
@with_workshop
def ask(request: HttpRequest, now: Now, car: str) -> HttpResponse:
    """Ask for the release: from then on the checks are those that are due now."""
    now.car(car)
    entry = ask_release(now.entries, car, now.work, moment(now), who_is(request) or None)
    once = str(request.POST.get("once", ""))
    try:
        keep([entry if not once else made(request, now, "release asked", car=car, checks=entry.checks)])
    except NotKeptError as error:
        return page(request, now, car, error, "ask")
    said(
        request,
        "Release is asked for. It stands when every check is answered with yes and a person grants it.",
    )
    return redirect("release", car)


@require_POST
@with_workshop
def grant(request: HttpRequest, now: Now, car: str) -> HttpResponse:
    """A person lets the car go on the road; refused while anything stands against it."""
    now.car(car)
    name = " ".join(str(request.POST.get("name", "")).split())
    try:
        odometer = typed_odometer(request, now, car)
        if not name:
            raise NotKeptError("name", "somebody signs for a release; write your name")
        if now.release(car).against:
            raise NotKeptError("", "something still stands against it; see why at the top")
        limited = any(one.fitted.limits.distance for one in now.state.open_stopgaps(car))
        if odometer is None and limited:
            raise NotKeptError("odometer", "a stopgap may stay for a distance; read the odometer")
        asked = ask_release(now.entries, car, now.work, moment(now), name)
        first = made(request, now, "release asked", more="0", car=car, checks=asked.checks)
        second = made(request, now, "release granted", more="1", car=car, who=name, odometer=odometer)
        keep([first.model_copy(update={"who": name}), second])
        assert isinstance(second, ReleaseGranted)
    except NotKeptError as error:
        return page(request, now, car, error, "grant")
    found = Now.of(now.found).release(car)
    if found.is_released:
        said(request, f"{now.cars[car].name} is {found.status}, by {name}.")
        return redirect("release", car)
    lost = NotKeptError(
        "", f"it was granted, and does not hold: {found.why[-1] if found.why else 'see above'}"
    )
    return page(request, Now.of(now.found), car, lost, "grant")


@require_POST
@with_workshop
def withdraw(request: HttpRequest, now: Now, car: str) -> HttpResponse:
    """Take the release back."""
    now.car(car)
    try:
        keep([made(request, now, "release withdrawn", car=car, why=str(request.POST.get("why", "")))])
    except NotKeptError as error:
        return page(request, now, car, error, "withdraw")
    said(request, "The release is withdrawn.")
    return redirect("release", car)


@require_POST
@with_workshop
def follow_up(request: HttpRequest, now: Now, car: str) -> HttpResponse:
    """Something that was to follow the release is done."""
    now.car(car)
    one = str(request.POST.get("follow_up", ""))
    try:
        if one not in {each.id for each in now.release(car).follow_ups}:
            raise NotKeptError("", f"{one[:60]}: this is not due; it may have been ticked already")
        odometer = typed_odometer(request, now, car)
        keep([made(request, now, "ticked", car=car, step=f"aftercare:{one}", odometer=odometer)])
    except NotKeptError as error:
        return page(request, now, car, error, one)
    said(request, "Ticked.")
    return redirect("release", car)


@require_POST
@with_workshop
def odometer(request: HttpRequest, now: Now, car: str) -> HttpResponse:
    """The odometer was read."""
    now.car(car)
    try:
        read = typed_odometer(request, now, car)
        if read is None:
            raise NotKeptError("odometer", "nothing was typed; write it as in 143200 km or 89400 mi")
        km = km_of(read)
        keep([made(request, now, "noted", car=car, words=f"Odometer read: {read}", odometer=read)])
    except NotKeptError as error:
        return page(request, now, car, error, "odometer")
    said(request, f"Noted: {km:,.0f} km.".replace(",", " "))
    return redirect("release", car)
