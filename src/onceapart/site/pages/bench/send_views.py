"""Where the script of the bench sends what it has queued; each entry gets an answer of its own."""

from __future__ import annotations

import json
from typing import Any

from django.core.exceptions import RequestDataTooBig
from django.http import HttpRequest, HttpResponse, JsonResponse
from django.views.decorators.http import require_POST

from onceapart.bench.entries import SnagOpened
from onceapart.site.pages.bench.sending import bench_of, kept_before
from onceapart.site.pages.bench.taking import MOST_AT_ONCE, take_all
from onceapart.site.pages.shared import Now, with_workshop
from onceapart.site.pages.words import badge


@require_POST
@with_workshop
def send(request: HttpRequest, now: Now) -> HttpResponse:
    """Keep a list of entries, in order, each once.

    Takes ``{"entries": [...]}`` and answers ``{"answers": [{"id", "state", "number", "why"}], "number": n,
    "standing": {car: badge}}``; ``state`` is ``kept``, ``refused`` or ``later``.
    """
    entries = _entries_in(request)
    if entries is None:
        said = f"a list of at most {MOST_AT_ONCE} entries is wanted; load the page anew"
        return JsonResponse({"error": said}, status=400)
    ids = [str(one.get("id", "")) for one in entries if isinstance(one, dict)]
    answers = take_all(entries, bench_of(request, now), kept_before(ids))
    fresh = Now.of(now.found)
    cars = {str(one.get("car", "")) for one in entries if isinstance(one, dict)} & set(now.cars)
    snags = {one.id: one.number for one in fresh.entries if isinstance(one, SnagOpened) and one.id in ids}
    return JsonResponse(
        {
            "answers": [one.as_json() for one in answers],
            "number": fresh.entries[-1].number if fresh.entries else 0,
            "standing": {car: str(badge(fresh.release(car).status)) for car in sorted(cars)},
            "snags": {key: f"/bench/snags/{number}/" for key, number in snags.items()},
        }
    )


def _entries_in(request: HttpRequest) -> list[Any] | None:
    """The list that was sent; None where there is none that can be read."""
    try:
        data = json.loads(request.body)
    except (ValueError, RecursionError, RequestDataTooBig):
        return None
    entries = data.get("entries") if isinstance(data, dict) else None
    return entries if isinstance(entries, list) and len(entries) <= MOST_AT_ONCE else None
