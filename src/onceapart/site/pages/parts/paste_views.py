"""Pasting a list of offers: first what was understood is shown, then it is put in."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods

from onceapart.site.pages.jobs.looking import Looking
from onceapart.site.pages.shared import Now, refused, save, with_workshop
from onceapart.workshop.offer_heads import MEANINGS, Meaning
from onceapart.workshop.offer_rows import Names
from onceapart.workshop.offers_in import OffersIn, offers_in, with_offers
from onceapart.workshop.part_names import known_parts

GET_AND_POST = ["GET", "HEAD", "POST"]
MEANING_WORDS: dict[Meaning, str] = {
    "part": "the part",
    "pieces": "pieces in one unit",
    "seller": "the seller",
    "price": "the price of one unit",
    "days": "days to arrive",
    "limit": "units that can be had",
    "deposit": "the deposit",
    "title": "what it is called",
    "id": "its id",
}
NAMES_SHOWN = 30
"""Unknown names that can be chosen for at once."""
MOST_NAMES = 2_000
ROWS_SHOWN = 200


@require_http_methods(GET_AND_POST)
@with_workshop
def paste(request: HttpRequest, now: Now) -> HttpResponse:
    """A table of offers: shown as it was understood; with ``save``, put in."""
    if request.method != "POST":
        return render(request, "parts_page/paste.html", {"seller": request.GET.get("seller", "")})
    look = Looking(now)
    text = request.POST.get("text", "").replace("\r\n", "\n")
    seller = request.POST.get("seller", "")
    known = {one.id for one in now.workshop.sellers}
    chosen = _names(request, look)
    found = offers_in(
        text,
        now.applied,
        seller=seller if seller in known else None,
        meanings=_meanings(request),
        names=chosen,
        today=now.today,
    )
    if "save" in request.POST and not found.problems and found.offers:
        rows = [row for row in found.usable if row.change != "same"]
        what = f"{len(rows)} pasted {'offer' if len(rows) == 1 else 'offers'} put in"
        if save(request, None, what, lambda w: with_offers(w, rows)):
            return redirect("offers")
    context = {
        **_context(found, look),
        "text": text,
        "seller": seller,
        "chosen_parts": list(chosen.parts.items()),
        "chosen_sellers": list(chosen.sellers.items()),
    }
    if found.problems or not found.usable or "save" in request.POST:
        return refused(request, "parts_page/paste.html", context)
    return render(request, "parts_page/paste.html", context)


def _meanings(request: HttpRequest) -> list[Meaning | None] | None:
    """What the person said the columns hold; None before that."""
    if "column_0" not in request.POST:
        return None
    found: list[Meaning | None] = []
    while (said := request.POST.get(f"column_{len(found)}")) is not None and len(found) < 60:
        found.append(next((meaning for meaning in MEANINGS if meaning == said), None))
    return found


def _names(request: HttpRequest, look: Looking) -> Names:
    parts: dict[str, str] = {}
    sellers: dict[str, str] = {}
    for key in list(request.POST)[:MOST_NAMES]:
        kind, _, at = key.partition("_")
        name = request.POST[key]
        if kind == "name" and (chosen := request.POST.get(f"part_{at}", "?")) != "?":
            parts[name] = chosen
        if kind == "shop" and (chosen := request.POST.get(f"seller_{at}", "")):
            sellers[name] = chosen
    known = known_parts(look.now.applied)
    return Names(parts, sellers, look.names.parts_and_cars(known))


def _context(found: OffersIn, look: Looking) -> dict[str, object]:
    names = look.names
    sellers = look.counted.sellers
    rows = [
        {
            "row": row,
            "cells": [cell for cell in row.cells if cell],
            "seller": sellers[row.offer.seller].name if row.offer else "",
            "parts": [(names.part(part), pieces) for part, pieces in row.offer.parts.items()]
            if row.offer
            else [],
        }
        for row in found.rows
    ]
    rows.sort(key=lambda one: one["row"].offer is not None)  # type: ignore[attr-defined]
    return {
        "found": found,
        "columns": [
            (
                at,
                column,
                [(meaning, MEANING_WORDS[meaning], meaning == column.meaning) for meaning in MEANINGS],
            )
            for at, column in enumerate(found.columns)
        ],
        "rows": rows[:ROWS_SHOWN],
        "rows_left": max(0, len(rows) - ROWS_SHOWN),
        "wrong": sum(row.offer is None for row in found.rows),
        "count": {
            change: sum(row.change == change for row in found.rows) for change in ("new", "changed", "same")
        },
        "part_choices": [
            (part, f"{names.part(part)} ({names.car(names.car_in(part))})")
            for part in known_parts(look.now.applied)
        ],
        "unknown_parts": list(enumerate(found.unknown_parts[:NAMES_SHOWN])),
        "unknown_sellers": list(enumerate(found.unknown_sellers[:NAMES_SHOWN])),
        "changed": [
            row.before.id for row in found.rows if row.before is not None and row.change == "changed"
        ],
    }
