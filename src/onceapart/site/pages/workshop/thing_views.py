"""Pages for the head of a workshop, its stints and its special tools."""

from __future__ import annotations

import datetime as dt

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST

from onceapart.errors import Problem
from onceapart.planning.workload import workload_from
from onceapart.site.pages.forms import Form, Model
from onceapart.site.pages.shared import Now, form_page, look, said, save, who_is, with_workshop
from onceapart.site.pages.workshop.fields import HEAD_FIELDS, NEW_TOOL_FIELDS, STINT_FIELDS, TOOL_FIELDS
from onceapart.site.store.refs import HEAD_KEYS
from onceapart.site.store.versions import Ref, entries_of, take_in, with_entry, without_entry
from onceapart.workshop import Stint, Tool, Workshop, write_workshop

GET_AND_POST = ["GET", "HEAD", "POST"]
MOST_WEEKS = 52


@require_http_methods(GET_AND_POST)
def begin(request: HttpRequest) -> HttpResponse:
    """An empty workshop, where there is none yet."""
    if look(request) is not None:
        return redirect("workshop-edit")
    form = Form(Workshop, HEAD_FIELDS[:3])
    if request.method == "POST":
        form = Form(Workshop, HEAD_FIELDS[:3], typed=request.POST)
        if form.model is not None:
            take_in(write_workshop(form.model), at=timezone.now(), who=who_is(request), what="Workshop begun")
            return redirect("car-new")
    return form_page(request, "workshop/begin.html", {}, form)


@require_http_methods(GET_AND_POST)
@with_workshop
def edit_head(request: HttpRequest, now: Now) -> HttpResponse:
    """Name, currency, worth of an hour, and the day to count from."""
    form = Form(Workshop, HEAD_FIELDS, of=now.workshop)
    if request.method == "POST":
        form = Form(Workshop, HEAD_FIELDS, typed=request.POST, of=now.workshop)
        new = form.model
        if new is not None:
            head = {key: getattr(new, key) for key in HEAD_KEYS}
            if save(request, form, "Name, money or day changed", lambda w: w.model_copy(update=head)):
                return redirect("workshop")
    return form_page(request, "workshop/head.html", {"who": who_is(request)}, form)


@require_POST
def say_who(request: HttpRequest) -> HttpResponse:
    """Who is at this browser, so that changes say by whom they are."""
    name = " ".join(request.POST.get("who", "").split())[:60]
    request.session["who"] = name
    said(request, f"Changes from this browser say: {name}." if name else "Changes no longer say by whom.")
    return redirect("workshop-edit")


@require_http_methods(GET_AND_POST)
@with_workshop
def stints(request: HttpRequest, now: Now) -> HttpResponse:
    """All stints; on POST one more, or one a week."""
    form = Form(Stint, STINT_FIELDS)
    weeks = "1"
    if request.method == "POST":
        form = Form(Stint, STINT_FIELDS, typed=request.POST)
        weeks = request.POST.get("weeks", "1").strip()
        if not weeks.isascii() or not weeks.isdigit() or not 1 <= int(weeks[:9]) <= MOST_WEEKS:
            rule = f"weeks running are 1 to {MOST_WEEKS}"
            form.add_problems([Problem(None, "", weeks[:20], rule, "write 1 for this day only")])
        first = form.model
        new = weekly(first, int(weeks)) if first is not None else ()
        if first is not None and not new:
            form.add_problems([Problem(None, "", str(first.date), "the calendar ends", "write fewer weeks")])
        elif first is not None and save(
            request, form, f"Stint on {first.date} put in", lambda w: _with_stints(w, new)
        ):
            return redirect("stints")
    rows = [(key, one, one.date < now.today) for key, one in entries_of(now.workshop, "stints").items()]
    rows.sort(key=lambda row: (row[1].date, row[0]))
    return form_page(request, "workshop/stints.html", {"rows": rows, "weeks": weeks}, form)


def weekly(first: Stint, weeks: int) -> tuple[Stint, ...]:
    """A stint and the same a week later, and so on; one with a name has its day behind it.

    Empty where the calendar ends before.
    """
    found = [first]
    for week in range(1, weeks):
        try:
            date = first.date + dt.timedelta(weeks=week)
        except OverflowError:
            return ()
        found.append(
            first.model_copy(update={"date": date, "id": f"{first.id}-{date}" if first.id else None})
        )
    return tuple(found)


def _with_stints(workshop: Workshop, new: tuple[Stint, ...]) -> Workshop:
    together = (*workshop.stints, *new)
    return workshop.model_copy(update={"stints": tuple(sorted(together, key=lambda one: one.date))})


@require_http_methods(GET_AND_POST)
@with_workshop
def edit_stint(request: HttpRequest, now: Now, key: str) -> HttpResponse:
    one = _entry(now, Stint, "stints", key)
    form = Form(Stint, STINT_FIELDS, of=one)
    if request.method == "POST":
        if "out" in request.POST:
            save(request, None, f"Stint on {one.date} taken out", lambda w: _without(w, "stints", key))
            return redirect("stints")
        form = Form(Stint, STINT_FIELDS, typed=request.POST, of=one)
        new = form.model
        if new is not None and save(
            request,
            form,
            f"Stint on {one.date} changed",
            lambda w: with_entry(w, "stints", new, Ref("stints", key)),
            section="stints",
        ):
            return redirect("stints")
    return form_page(request, "workshop/stint.html", {"key": key, "stint": one}, form)


@require_http_methods(GET_AND_POST)
@with_workshop
def tools(request: HttpRequest, now: Now) -> HttpResponse:
    """All special tools; on POST one more."""
    form = Form(Tool, NEW_TOOL_FIELDS)
    if request.method == "POST":
        form = Form(Tool, NEW_TOOL_FIELDS, typed=request.POST)
        new = form.model
        if new is not None and save(
            request, form, f"Tool {new.id} put in", lambda w: with_entry(w, "tools", new), section="tools"
        ):
            return redirect("tools")
    asked = jobs_by_tool(now.applied, now.today)
    rows = [(tool, asked.get(tool.id, ())) for tool in now.workshop.tools]
    return form_page(request, "workshop/tools.html", {"rows": rows}, form)


def jobs_by_tool(applied: Workshop, today: dt.date) -> dict[str, list[str]]:
    """Special tool -> jobs that need it, for themselves or to get there."""
    workload = workload_from(applied, today)
    found: dict[str, list[str]] = {}
    for job in workload.jobs:
        for tool in workload.tools_for([job.id], workload.opened_for([job.id])):
            found.setdefault(tool, []).append(job.id)
    return found


@require_http_methods(GET_AND_POST)
@with_workshop
def edit_tool(request: HttpRequest, now: Now, key: str) -> HttpResponse:
    one = _entry(now, Tool, "tools", key)
    form = Form(Tool, TOOL_FIELDS, of=one)
    if request.method == "POST":
        if "out" in request.POST:
            save(request, None, f"Tool {one.id} taken out", lambda w: _without(w, "tools", key))
            return redirect("tools")
        form = Form(Tool, TOOL_FIELDS, typed=request.POST, of=one)
        new = form.model
        if new is not None and save(
            request,
            form,
            f"Tool {one.id} changed",
            lambda w: with_entry(w, "tools", new, Ref("tools", key)),
            section="tools",
        ):
            return redirect("tools")
    return form_page(request, "workshop/tool.html", {"tool": one}, form)


def _entry(now: Now, kind: type[Model], section: str, key: str) -> Model:
    found = entries_of(now.workshop, section).get(key)
    if not isinstance(found, kind):
        raise Http404(f"{section} {key}")
    return found


def _without(workshop: Workshop, section: str, key: str) -> Workshop:
    return without_entry(workshop, Ref(section, key))
