"""Stopgaps of a car: a person signs for one, or it is made good."""

from __future__ import annotations

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.views.decorators.http import require_POST

from onceapart.bench.state import Stopgap, fold
from onceapart.site.pages.release.keeping import NotKeptError, keep, made
from onceapart.site.pages.release.views import page
from onceapart.site.pages.shared import Now, said, with_workshop


@require_POST
@with_workshop
def sign(request: HttpRequest, now: Now, car: str) -> HttpResponse:
    """A person has looked at a stopgap and signs for it."""
    stopgap = _stopgap(request, now, car)
    name = " ".join(str(request.POST.get("name", "")).split())
    try:
        keep([made(request, now, "stopgap signed", stopgap=stopgap.fitted.id, signed_by=name)])
    except NotKeptError as error:
        return page(request, now, car, error, stopgap.fitted.id)
    said(request, f"{name} has signed for it. It stays open until it is made good.")
    return redirect("release", car)


@require_POST
@with_workshop
def made_good(request: HttpRequest, now: Now, car: str) -> HttpResponse:
    """A stopgap was made good by a job, which has to be ticked since it went in."""
    stopgap = _stopgap(request, now, car)
    by = str(request.POST.get("by", "")).strip() or stopgap.fitted.job
    try:
        entry = made(request, now, "stopgap closed", stopgap=stopgap.fitted.id, by=by)
        number = now.entries[-1].number + 1
        tried = fold([*now.entries, entry.model_copy(update={"number": number})], now.work.job_steps)
        doubts = [one.why for one in tried.doubts if one.entry.id == entry.id]
        if doubts:
            raise NotKeptError("by", f"{doubts[0]}; do it, tick it at the bench, and close the stopgap then")
        keep([entry])
    except NotKeptError as error:
        return page(request, now, car, error, stopgap.fitted.id)
    said(request, "The stopgap is closed: it was made good.")
    return redirect("release", car)


def _stopgap(request: HttpRequest, now: Now, car: str) -> Stopgap:
    now.car(car)
    asked = str(request.POST.get("stopgap", ""))
    found = next((one for one in now.state.open_stopgaps(car) if one.fitted.id == asked), None)
    if found is None:
        raise Http404("stopgap")
    return found
