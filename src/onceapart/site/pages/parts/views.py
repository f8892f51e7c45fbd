"""Parts: what is needed against what is offered, and pieces in hand."""

from __future__ import annotations

import re

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_GET, require_http_methods

from onceapart.site.pages.jobs.looking import Looking
from onceapart.site.pages.parts.matrix import SHOWN, matrix_of
from onceapart.site.pages.parts.orders import units_to_order
from onceapart.site.pages.parts.stock import PartNeed
from onceapart.site.pages.shared import Now, refused, save, with_workshop
from onceapart.workshop import Workshop
from onceapart.workshop.part_names import PartNames, known_parts
from onceapart.workshop.values import MAX_PIECES, suggest_id

GET_AND_POST = ["GET", "HEAD", "POST"]
MANY = 40
"""Parts that are short at most to be shown for all cars at once."""


@require_GET
@with_workshop
def parts(request: HttpRequest, now: Now) -> HttpResponse:
    """Needs against offers, for all cars or for one; what nobody sells first."""
    look = Looking(now)
    counted, names = look.counted, look.names
    short = [need for need in counted.needs.values() if need.short]
    asked = request.GET.get("car", "")
    if asked and asked != "all":
        asked = now.car(asked).id
    elif not asked and len(short) > MANY:
        asked = next((car for car in now.cars if any(names.car_in(one.part) == car for one in short)), "")
    chosen = asked if asked != "all" else ""
    mine = [one for one in counted.needs.values() if not chosen or names.car_in(one.part) in (chosen, "")]
    units = units_to_order(look.planned, now.state) if look.planned else {}
    context = {
        "asked": chosen,
        "planned": look.planned,
        "matrix": matrix_of(counted, names, units, mine, 1 if not chosen and len(short) > MANY else SHOWN),
        "unsold": [_said(one, look) for one in counted.unsold],
        "there": [_said(one, look) for one in mine if not one.short],
        "wrong": [(names.part(one.part), one) for one in now.state.arrived if one.state != "right"],
    }
    return render(request, "parts_page/parts.html", context)


def _said(need: PartNeed, look: Looking) -> dict[str, object]:
    names = look.names
    return {
        "need": need,
        "title": names.part(need.part),
        "car": names.car(names.car_in(need.part)),
        "jobs": [names.job(job) for job in need.jobs],
        "most": look.counted.most(need.part),
    }


@require_http_methods(GET_AND_POST)
@with_workshop
def shelf(request: HttpRequest, now: Now) -> HttpResponse:
    """Pieces in hand when all began; on POST all of them at once, and one more."""
    look = Looking(now)
    known = known_parts(now.applied)
    typed = {part: str(pieces) for part, pieces in now.workshop.shelf.items()}
    new_part, new_pieces = request.GET.get("part", ""), "1"
    problems: list[tuple[str, str]] = []
    if request.method == "POST":
        typed = {part: request.POST.get(f"pieces_{part}", old) for part, old in typed.items()}
        new_part, new_pieces = request.POST.get("new_part", ""), request.POST.get("new_pieces", "1")
        wanted = {part: _pieces(text, look.names.part(part), problems) for part, text in typed.items()}
        if new_part.strip():
            part = _part(new_part, known, look, problems)
            wanted[part] = wanted.get(part, 0) + _pieces(new_pieces, new_part, problems)
        if not problems and save(request, None, "Shelf changed", lambda w: _with_shelf(w, wanted)):
            return redirect("shelf")
    context = {
        "rows": [
            (part, look.names.part(part), look.names.car(look.names.car_in(part)), text)
            for part, text in typed.items()
        ],
        "new_part": look.names.part(new_part) if new_part in known and request.method != "POST" else new_part,
        "new_pieces": new_pieces,
        "known": [f"{look.names.part(part)} ({look.names.car(look.names.car_in(part))})" for part in known],
        "problems": problems,
        "hand": [(look.names.part(part), pieces) for part, pieces in look.counted.hand.items()],
    }
    if request.method == "POST":
        return refused(request, "parts_page/shelf.html", context)
    return render(request, "parts_page/shelf.html", context)


def _pieces(text: str, name: str, problems: list[tuple[str, str]]) -> int:
    said = text.strip()
    if not said:
        return 0
    if not re.fullmatch(r"[0-9]{1,6}", said, re.ASCII) or int(said) > MAX_PIECES:
        problems.append(
            (said[:20], f"pieces of {name} are a whole number up to {MAX_PIECES}; write digits only")
        )
        return 0
    return int(said)


def _part(text: str, known: dict[str, str], look: Looking, problems: list[tuple[str, str]]) -> str:
    name = text.strip()
    found = PartNames(known, look.names.parts_and_cars(known)).find(name)
    if len(found) == 1:
        return found[0]
    if not found and "/" in name and suggest_id(name):
        return suggest_id(name)
    rule = "it may be one of several parts" if found else "no part is called so"
    problems.append(
        (name[:60], f"{rule}; choose one of the list, or write a new one as in wren/front/brake-disc")
    )
    return ""


def _with_shelf(workshop: Workshop, pieces: dict[str, int]) -> Workshop:
    kept = {**workshop.shelf, **pieces}
    return workshop.model_copy(
        update={"shelf": {part: count for part, count in kept.items() if part and count}}
    )
