"""The workshop at a glance, and its file coming in and going out."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from onceapart.demo import demo_text
from onceapart.errors import Problem, WorkshopFileError
from onceapart.site.pages.planned import chosen_plan
from onceapart.site.pages.shared import Now, look, said, who_is, with_workshop
from onceapart.site.pages.workshop.glance import glance_at
from onceapart.site.server.door import local_path
from onceapart.site.store.versions import BusyError, take_in
from onceapart.workshop.reading import MAX_PROBLEMS
from onceapart.workshop.tree import MAX_BYTES

NAME = "workshop.yaml"


@require_GET
@with_workshop
def workshop(request: HttpRequest, now: Now) -> HttpResponse:
    """Each car, what stands in its way, and what to do next."""
    planned = chosen_plan(now.found)
    glances = [
        glance_at(
            now.workshop,
            now.applied,
            car,
            today=now.today,
            release=now.release(car.id),
            state=now.state,
            planned=planned,
            memo=now.memo,
        )
        for car in now.workshop.cars
    ]
    coming = sorted((s for s in now.workshop.stints if s.date >= now.today), key=lambda one: one.date)
    context = {
        "glances": glances,
        "planned": planned,
        "coming": coming,
        "coming_minutes": sum(stint.minutes for stint in coming),
        "have": sum(tool.have for tool in now.workshop.tools),
    }
    return render(request, "workshop/workshop.html", context)


@require_GET
@with_workshop
def export(request: HttpRequest, now: Now) -> HttpResponse:
    """The workshop file, as it is kept: taken in again it is the same."""
    return HttpResponse(
        now.found.text.encode(),
        content_type="application/yaml; charset=utf-8",
        headers={"Content-Disposition": f'attachment; filename="{NAME}"', "Cache-Control": "no-store"},
    )


@require_http_methods(["GET", "HEAD", "POST"])
def take_in_file(request: HttpRequest) -> HttpResponse:
    """Take in a workshop file, sent or pasted, or the demo; or say all that is wrong with it."""
    now = look(request)
    if request.method != "POST":
        return render(request, "workshop/take_in.html", {"pasted": ""})
    text, what = _sent(request)
    problems: tuple[Problem, ...] = ()
    if not text:
        problems = (Problem(None, "", "", "nothing was sent", "choose a file, or paste its text"),)
    else:
        try:
            version = take_in(text, at=timezone.now(), who=who_is(request), what=what)
        except WorkshopFileError as error:
            problems = error.problems
        except BusyError as error:
            problems = (Problem(None, "", "", str(error), "send it again"),)
        else:
            said(request, f"{what}.", version if version.number > 1 else None)
            return redirect("workshop")
    context = {
        "problems": problems,
        "pasted": _shown(text),
        "more": len(problems) > MAX_PROBLEMS,
        "before": now,
    }
    return render(request, "workshop/take_in.html", context, status=422)


def _sent(request: HttpRequest) -> tuple[str | bytes, str]:
    """The text that was sent, and what to call it in the list of changes."""
    if "demo" in request.POST:
        return demo_text(), "The demo taken in"
    file = request.FILES.get("file")
    if file is not None:
        return file.read(MAX_BYTES + 1), f"Workshop file {(file.name or '')[:80]} taken in"
    return request.POST.get("text", "").replace("\r\n", "\n"), "Pasted workshop file taken in"


def _shown(text: str | bytes) -> str:
    """What was sent, to be mended in the page; a file that is no text is not shown."""
    if isinstance(text, str):
        return text
    try:
        return text.decode("utf-8-sig") if len(text) <= MAX_BYTES else ""
    except UnicodeDecodeError:
        return ""


@require_POST
def units(request: HttpRequest) -> HttpResponse:
    """Show amounts in the other units from now on, on this browser."""
    response = redirect(local_path(request.POST.get("to", "/")))
    chosen = "imperial" if request.POST.get("units") == "imperial" else "metric"
    response.set_cookie("units", chosen, max_age=3600 * 24 * 365, samesite="Lax", httponly=True)
    return response
