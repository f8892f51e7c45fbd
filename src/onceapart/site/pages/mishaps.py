"""Pages for what went wrong. They say what happened, that nothing is lost, and the way out."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render

from onceapart.site.pages.shared import look


def _mishap(request: HttpRequest, status: int, title: str, text: str) -> HttpResponse:
    return render(request, "mishap.html", {"title": title, "text": text}, status=status)


def bad_request(request: HttpRequest, exception: Exception | None = None) -> HttpResponse:
    return _mishap(
        request, 400, "That did not make sense", "The request could not be read. Nothing was changed."
    )


def not_allowed(request: HttpRequest, exception: Exception | None = None) -> HttpResponse:
    return _mishap(request, 403, "Not from here", "This may not be done from here. Nothing was changed.")


def form_too_old(request: HttpRequest, reason: str = "") -> HttpResponse:
    text = "The form was too old, or not ours. Nothing was changed: load the page anew and send it again."
    return _mishap(request, 403, "Send it once more", text)


def not_found(request: HttpRequest, exception: Exception | None = None) -> HttpResponse:
    look(request)
    text = "There is no such page. What it showed may have been taken out; the list of changes has it."
    return _mishap(request, 404, "Nothing here", text)


def broken(request: HttpRequest) -> HttpResponse:
    text = "Something went wrong in the program. What was saved before is safe; try again."
    return _mishap(request, 500, "That is our fault", text)
