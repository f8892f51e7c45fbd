"""One entry, striking it, and adding a note. Nothing is ever deleted."""

from __future__ import annotations

import json
from typing import cast

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_POST, require_safe

from onceapart.bench.entries import Corrected, Entry, entry_to_json, new_id
from onceapart.bench.entries_words import entry_words
from onceapart.site.pages.record.looking import INDEX
from onceapart.site.pages.record.views import record_page
from onceapart.site.pages.release.keeping import NotKeptError, keep, made, typed_odometer
from onceapart.site.pages.shared import Now, said, with_workshop
from onceapart.site.store.photos import PhotoRefusedError, Upload, keep_photo

LABELS = {"who": "by"}


@require_safe
@with_workshop
def entry(request: HttpRequest, now: Now, number: int) -> HttpResponse:
    """All that an entry says, and what strikes it."""
    return entry_page(request, now, number)


def entry_page(request: HttpRequest, now: Now, number: int, error: str = "", why: str = "") -> HttpResponse:
    """The page of an entry; with what is wrong with the reason it is to be struck for."""
    found = _numbered(now, number)
    dead = INDEX.dead(now.entries)
    data = json.loads(entry_to_json(found))
    names = INDEX.numbers
    facts = [
        (LABELS.get(key, key.replace("_", " ")), _shown(value), names.get(str(value)))
        for key, value in data.items()
        if key not in ("number", "kind", "photo", "time", "id")
    ]  # fmt: skip
    car = INDEX.car_of(found)
    strikes = [
        one for one in now.entries[number:] if isinstance(one, Corrected) and one.entry == found.id
    ]  # fmt: skip
    context = {
        "now": now,
        "entry": found,
        "words": entry_words(found, names),
        "facts": facts,
        "photo": data.get("photo"),
        "car": now.cars.get(car or ""),
        "is_struck": found.id in dead,
        "strikes": [(one, one.id in dead) for one in strikes],
        "doubt": next((one.why for one in now.state.doubts if one.entry.id == found.id), ""),
        "error": error,
        "why": why,
        "once": new_id(),
    }
    return render(request, "record/entry.html", context, status=422 if error else 200)


def _shown(value: object) -> str:
    if isinstance(value, dict):
        return ", ".join(f"{key}: {one}" for key, one in value.items())
    if isinstance(value, list):
        return ", ".join(map(str, value))
    return {True: "yes", False: "no"}.get(value, str(value)) if isinstance(value, bool) else str(value)


def _numbered(now: Now, number: int) -> Entry:
    """An entry by its number, which is its place; Http404 if there is none."""
    if not 1 <= number <= len(now.entries):
        raise Http404(f"entry {number}")
    found = now.entries[number - 1]
    if found.number != number:
        found = next((one for one in now.entries if one.number == number), found)
    if found.number != number:
        raise Http404(f"entry {number}")
    return found


@require_POST
@with_workshop
def strike(request: HttpRequest, now: Now, number: int) -> HttpResponse:
    """An entry does not count; or, by striking what struck it, counts again."""
    found = _numbered(now, number)
    why = str(request.POST.get("why", "")).replace("\r\n", "\n")
    if found.id in INDEX.dead(now.entries):
        messages.info(request, "This entry is struck already.")
        return redirect("record-entry", number)
    released = {car for car in now.cars if now.release(car).is_released}
    try:
        keep([made(request, now, "corrected", entry=found.id, why=why)])
    except NotKeptError as error:
        return entry_page(request, now, number, error.why, why)
    fresh = Now.of(now.found)
    lost = [now.cars[car].name for car in released if not fresh.release(car).is_released]
    more = f" {', '.join(lost)}: not released any more." if lost else ""
    said(
        request,
        f"Entry {number} is struck. It stays where it is; strike the correction to have it back.{more}",
    )
    return redirect("record-entry", number)


@require_POST
@with_workshop
def note(request: HttpRequest, now: Now) -> HttpResponse:
    """A note, maybe with a photo."""
    typed = {key: str(value) for key, value in request.POST.items()}
    car = typed.get("car", "")
    photo = None
    try:
        if car and car not in now.cars:
            raise NotKeptError("car", f"{car[:60]}: there is no such car; pick one")
        odometer = typed_odometer(request, now, car) if car else None
        made(request, now, "noted", words=typed.get("words", "").replace("\r\n", "\n"), car=car)
        sent = request.FILES.get("photo")
        if sent is not None:
            try:
                photo = keep_photo(cast(Upload, sent), at=timezone.now()).name
            except PhotoRefusedError as error:
                raise NotKeptError("photo", f"photo: {error}") from None
        words = typed.get("words", "").replace("\r\n", "\n")
        kept = keep([made(request, now, "noted", words=words, car=car, photo=photo, odometer=odometer)])
    except NotKeptError as error:
        where = {"words": "note: ", "odometer": "odometer: "}.get(error.field, "")
        return record_page(request, now, f"{where}{error.why}", typed)
    said(request, f"Noted as entry {kept[0].number}.")
    return redirect("record")
