"""Findings: what an inspection would say of a car, and going round it to look."""

from __future__ import annotations

import datetime as dt
from dataclasses import replace
from typing import Any, cast

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from onceapart.errors import OnceapartError
from onceapart.inspection.proposing import propose
from onceapart.inspection.verdicts import CarVerdict
from onceapart.inspection.walking import RING
from onceapart.inspection.wording import flag_words, place_words, when_words
from onceapart.site.pages.findings import entering, reading
from onceapart.site.pages.shared import Now, save, with_workshop
from onceapart.site.store.photos import PhotoRefusedError, Upload, keep_photo, photos_kept
from onceapart.site.store.refs import keys_of
from onceapart.site.store.versions import Ref, with_entry, without_entry
from onceapart.trade.rules import Pack, load_pack, pack_ids
from onceapart.workshop import Car


@require_GET
@with_workshop
def findings(request: HttpRequest, now: Now, car: str) -> HttpResponse:
    """All verdicts of a car, the worst first; where there is still something to look at."""
    one = now.car(car)
    pack, problem = _pack(request, one)
    if pack is None:
        context = {"now": now, "car": one, "of_car": now.standing(car), "rules_problem": problem}
        return render(request, "findings/no_rules.html", context)
    verdict = reading.verdict_of(now.workshop, one, pack, now.today)
    history = reading.history_of(now.workshop, pack, car, now.today)
    groups = [
        (kind, [reading.shown(verdict, each, history.get(each.key, ())) for each in there])
        for kind, there in reading.grouped(verdict)
    ]
    ahead = [
        reading.shown(verdict, each, history.get(each.key, ()))
        for each in verdict.verdicts
        if each.projection
    ]
    context = {
        "now": now,
        "car": one,
        "of_car": now.standing(car),
        "pack": pack,
        "packs": [(name, load_pack(name).title) for name in _choices(pack)],
        "verdict": verdict,
        "groups": groups,
        "ahead": ahead,
        "flags": [(flag, flag_words(flag)) for flag in verdict.flagged],
        "places": reading.places_of(verdict),
        "jobs": propose(now.workshop, [verdict]).new,
        "photos": photos_kept(r.photo for each in verdict.verdicts for r in each.readings if r.photo),
        "others": [other for other in now.workshop.cars if other.id != car],
    }
    return render(request, "findings/findings.html", context)


@require_GET
@with_workshop
def at_place(request: HttpRequest, now: Now, car: str, place: str) -> HttpResponse:
    """Everything to look at in one place, each thing with its form."""
    one, pack, verdict = _judged(request, now, car, place)
    legs = [
        (
            reading.STAGE_WORDS[leg.state],
            [_task(now, verdict, task.item.id, place, off) for task, off in reading.tasks_of(leg)],
        )
        for leg in reading.legs_at(verdict, place)
    ]
    if not legs:
        raise Http404(f"nothing to look at in {place}")
    places = [shown.place for shown in reading.places_of(verdict)]
    at = places.index(place)
    context = {
        "now": now,
        "car": one,
        "of_car": now.standing(car),
        "pack": pack,
        "place": place,
        "place_words": place_words(place) or "the whole car",
        "legs": legs,
        "next": places[(at + 1) % len(places)],
        "next_words": place_words(places[(at + 1) % len(places)]) or "the whole car",
    }
    return render(request, "findings/place.html", context)


@require_http_methods(["GET", "POST"])
@with_workshop
def one_item(request: HttpRequest, now: Now, car: str, place: str, item: str) -> HttpResponse:
    """One thing at one place: its form, what it was before, and a new finding of it."""
    one, pack, verdict = _judged(request, now, car, place)
    found = next((each for each in pack.items if each.id == item), None)
    if found is None:
        raise Http404(f"no item {item}")
    typed = None
    if request.method == "POST":
        typed = entering.read(now.workshop, pack, car, place, found, request.POST, now.today)
        typed, photo = _with_photo(request, typed)
        if typed.finding is not None:
            finding = typed.finding.model_copy(update={"photo": photo or None})
            what = f"{one.name}: {found.title}, {place_words(place) or 'looked at'}"
            version = save(request, None, what, lambda workshop: with_entry(workshop, "findings", finding))
            for flag in typed.flags if version else ():
                messages.warning(request, f"Kept, but not judged: {flag}.")
            if version:
                there = reverse("findings-at", args=[car, place])
                return redirect(f"{there}#{item}")
    task = _task(now, verdict, item, place, False, typed)
    context = {
        "now": now,
        "car": one,
        "of_car": now.standing(car),
        "pack": pack,
        "place": place,
        "task": task,
    }
    context |= {"place_words": place_words(place) or "the whole car"}
    return render(request, "findings/item.html", context, status=422 if typed else 200)


def _with_photo(request: HttpRequest, typed: entering.Typed) -> tuple[entering.Typed, str]:
    """Keep the photo that was sent with a finding; one that can't be kept is said with the rest."""
    sent = request.FILES.get("photo")
    if sent is None or typed.finding is None:
        return typed, ""
    try:
        return typed, keep_photo(cast(Upload, sent), at=timezone.now()).name
    except PhotoRefusedError as error:
        return replace(typed, errors=(str(error),), finding=None), ""


@require_POST
@with_workshop
def take_out(request: HttpRequest, now: Now, car: str) -> HttpResponse:
    """Take a finding out; the list of changes has it."""
    key = request.POST.get("finding", "")
    if key in keys_of(now.workshop.findings):
        save(
            request,
            None,
            f"{now.car(car).name}: a finding taken out",
            lambda w: without_entry(w, Ref("findings", key)),
        )
    else:
        messages.error(request, "That finding is not there any more. Nothing was changed.")
    back = request.POST.get("place", "")
    return redirect("findings-at", car, back) if back in RING else redirect("findings", car)


def _judged(request: HttpRequest, now: Now, car: str, place: str) -> tuple[Car, Pack, CarVerdict]:
    one = now.car(car)
    pack, problem = _pack(request, one)
    if place not in RING or pack is None:
        raise Http404(problem or f"no place {place}")
    return one, pack, reading.verdict_of(now.workshop, one, pack, now.today)


def _pack(request: HttpRequest, car: Car) -> tuple[Pack | None, str]:
    try:
        return reading.pack_of(car, request.GET.get("rules", "")), ""
    except OnceapartError as error:
        problem = getattr(error, "problems", (error,))[0]
        return None, f"{getattr(problem, 'rule', problem)}; {getattr(problem, 'way_out', 'name another')}"


def _choices(pack: Pack) -> list[str]:
    return [name for name in pack_ids() if name != "items" or pack.id == "items"]


def _task(
    now: Now, verdict: CarVerdict, item: str, place: str, wheel_off: bool, typed: entering.Typed | None = None
) -> dict[str, Any]:
    """What a page says of one thing to look at: how, what it was, and its form."""
    found = next(each for each in verdict.pack.items if each.id == item)
    known = next(
        (each for each in (*verdict.verdicts, *verdict.unchecked) if each.key == (item, place)), None
    )
    history = reading.history_of(now.workshop, verdict.pack, verdict.car.id, now.today).get((item, place), [])
    keys = keys_of(now.workshop.findings)
    last = max(
        (f for f in now.workshop.findings if f.car == verdict.car.id and f.odometer), key=_day, default=None
    )
    odometer = (last.odometer or "") if last and last.date == now.today else ""
    return {
        "item": found,
        "wheel_off": wheel_off,
        "shown": reading.shown(verdict, known, history) if known else None,
        "is_known": known is not None and bool(known.readings),
        "before": [
            (
                keys[one.index],
                when_words(one),
                one.text,
                one.note or "",
                now.mark("findings", keys[one.index]),
            )
            for one in reversed(history)
            if one.index is not None
        ],
        "typed": typed or entering.empty(now.today, odometer),
        "place": place,
    }


def _day(finding: Any) -> dt.date:
    day: dt.date = finding.date
    return day
