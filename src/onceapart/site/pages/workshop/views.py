"""The workshop at a glance, and its file coming in and going out."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.http import url_has_allowed_host_and_scheme
from django.views.decorators.http import require_GET, require_POST

from onceapart.site.pages.shared import Now, with_workshop
from onceapart.workshop import write_workshop


@require_GET
@with_workshop
def workshop(request: HttpRequest, now: Now) -> HttpResponse:
    return render(request, "workshop/workshop.html", {"now": now})


@require_GET
@with_workshop
def export(request: HttpRequest, now: Now) -> HttpResponse:
    """The workshop file, as ``onceapart`` on the command line reads it."""
    name = "workshop.yaml"
    return HttpResponse(
        write_workshop(now.workshop),
        content_type="application/yaml; charset=utf-8",
        headers={"Content-Disposition": f'attachment; filename="{name}"', "Cache-Control": "no-store"},
    )


def take_in_file(request: HttpRequest) -> HttpResponse:
    return render(request, "workshop/take_in.html", {})


@require_POST
def units(request: HttpRequest) -> HttpResponse:
    """Show amounts in the other units from now on, on this browser."""
    back = request.POST.get("to", "/")
    if not url_has_allowed_host_and_scheme(back, allowed_hosts=None):
        back = "/"
    response = redirect(back)
    chosen = "imperial" if request.POST.get("units") == "imperial" else "metric"
    response.set_cookie("units", chosen, max_age=3600 * 24 * 365, samesite="Lax", httponly=True)
    return response
