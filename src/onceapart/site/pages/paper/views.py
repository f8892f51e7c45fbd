"""All papers on one page, and those of the plan: cards, orders, calendar, spreadsheet."""

from __future__ import annotations

import datetime as dt
from typing import Any
from urllib.parse import urlencode

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.views.decorators.http import require_safe

from onceapart.bench.card_work import job_title, place_words
from onceapart.paper.calendar import calendar_ics
from onceapart.paper.job_card import job_card_pdf
from onceapart.paper.links import steps_on
from onceapart.paper.order_files import orders_csv, orders_pdf
from onceapart.paper.order_sheets import Orders
from onceapart.paper.sheet import sheet_xlsx
from onceapart.paper.typst_run import PaperSize
from onceapart.site.pages.bench.cards import StintChoice
from onceapart.site.pages.findings.reading import pack_of, verdict_of
from onceapart.site.pages.paper.data import Material, card_with_stopgaps, material, orders_to_place
from onceapart.site.pages.paper.sending import (
    NoPaperError,
    file_name,
    file_response,
    paper_view,
    size_asked,
)
from onceapart.site.pages.shared import Now, with_workshop

NO_PLAN = "No plan is worked by yet; make a plan and choose it, then this paper can be made."


@require_safe
@with_workshop
def papers(request: HttpRequest, now: Now) -> HttpResponse:
    """Every paper there is, with what it is for."""
    found = material(now)
    size, is_private = size_asked(request), request.GET.get("private") == "1"
    orders = orders_to_place(found)
    context = {
        "now": now,
        "planned": found.planned,
        "stints": [(one, _stint_words(found, one)) for one in found.stints],
        "orders": orders,
        "cars": now.workshop.cars,
        "jobs": [_job_row(found, now, job) for job in now.applied.jobs],
        "size": size.value,
        "sizes": [
            (one.value, words, _query(one.value, is_private), one is size)
            for one, words in ((PaperSize.A4, "A4"), (PaperSize.LETTER, "Letter"))
        ],
        "is_private": is_private,
        "private_query": _query(size.value, not is_private),
        "query": f"?{urlencode({'paper': size.value})}",
        "write_up_query": "?private=1" if is_private else "",
    }
    return render(request, "paper/papers.html", context)


def _query(size: str, is_private: bool) -> str:
    return "?" + urlencode({"paper": size, **({"private": "1"} if is_private else {})})


def _stint_words(found: Material, choice: StintChoice) -> str:
    titles = []
    for job_id in choice.jobs:
        job = found.work.jobs.get(job_id)
        if job is not None:
            title = job_title(job, found.work.fitted.jobs.get(job_id))
            titles.append(f"{title} {place_words(job.place or 'all')}".strip())
    return "; ".join(titles) or "put together again"


def _job_row(found: Material, now: Now, job: Any) -> dict[str, str]:
    title = job_title(job, now.work.fitted.jobs.get(job.id))
    stands = "done" if now.state.is_job_done(job.id) else "not done yet"
    return {
        "id": job.id,
        "title": f"{title} {place_words(job.place or 'all')}".strip(),
        "car": now.cars[job.car].name,
        "stands": stands,
    }


def stint_of(found: Material, key: str) -> StintChoice:
    """A stint of the plan by its key; without a plan NoPaperError, and Http404 if it has no such stint."""
    if found.planned is None:
        raise NoPaperError(NO_PLAN)
    one = next((one for one in found.stints if one.key == key), None)
    if one is None:
        raise Http404(f"stint {key}")
    return one


@paper_view
def card(request: HttpRequest, now: Now, stint: str) -> HttpResponse:
    """The job card of a stint, with codes that lead to its steps here."""
    found = material(now)
    choice = stint_of(found, stint)
    made, drawings = card_with_stopgaps(found, choice, now.state, now.today)
    address = steps_on(request.build_absolute_uri("/"))
    content = job_card_pdf(made, size=size_asked(request), address=address, drawings=drawings)
    return file_response(content, file_name("job card", choice.key), "pdf")


def _orders(request: HttpRequest, now: Now) -> Orders:
    found = material(now)
    if found.plan is None:
        raise NoPaperError(NO_PLAN)
    orders = orders_to_place(found)
    if orders is None:
        raise NoPaperError("The plan has nothing to order any more; look at what is on its way.")
    seller = request.GET.get("seller")
    if seller is None:
        return orders
    try:
        return orders.of(seller)
    except KeyError:
        raise Http404(f"seller {seller}") from None


@paper_view
def orders_as_pdf(request: HttpRequest, now: Now) -> HttpResponse:
    """Order sheets of all sellers, or of one."""
    orders = _orders(request, now)
    name = file_name("orders", request.GET.get("seller", ""), orders.placed.isoformat())
    return file_response(orders_pdf(orders, size=size_asked(request)), name, "pdf")


@paper_view
def orders_as_csv(request: HttpRequest, now: Now) -> HttpResponse:
    """The same as CSV."""
    orders = _orders(request, now)
    name = file_name("orders", request.GET.get("seller", ""), orders.placed.isoformat())
    return file_response(orders_csv(orders), name, "csv")


@paper_view
def calendar(request: HttpRequest, now: Now) -> HttpResponse:
    """Dates of the plan; without a plan inspections and what the record asks for."""
    found = material(now)
    at = timezone.localtime(timezone.now())
    content = calendar_ics(
        found.work,
        found.workload,
        found.plan,
        now.entries,
        at=at,
        begins=_begins(request.GET.get("from", "")),
    )
    return file_response(content, file_name("calendar", now.workshop.name), "ics")


def _begins(typed: str) -> dt.time | None:
    if not typed.strip():
        return None
    for form in ("%H:%M", "%H:%M:%S"):
        try:
            return dt.datetime.strptime(typed.strip(), form).time()
        except ValueError:
            continue
    raise NoPaperError(f"{typed[:20]} is no time of day; write when stints begin as in 09:00.")


@paper_view
def sheet(request: HttpRequest, now: Now) -> HttpResponse:
    """The workshop as a spreadsheet."""
    found = material(now)
    verdicts = [verdict_of(now.workshop, car, pack_of(car), now.today) for car in now.workshop.cars]
    content = sheet_xlsx(
        found.work.workshop,
        found.workload,
        found.plan,
        verdicts,
        now.state,
        at=timezone.localtime(timezone.now()),
        size=size_asked(request),
    )
    return file_response(content, file_name("workshop", now.workshop.name), "xlsx")
