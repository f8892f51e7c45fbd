"""Files as they are sent: type, name, and never kept by anybody in between. And why there is none."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Callable
from functools import wraps
from typing import Concatenate, ParamSpec

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils.http import content_disposition_header
from django.views.decorators.http import require_safe

from onceapart.errors import OnceapartError
from onceapart.paper.typst_run import PaperSize
from onceapart.site.pages.shared import Now, units_of, with_workshop

P = ParamSpec("P")
TYPES = {
    "pdf": "application/pdf",
    "csv": "text/csv; charset=utf-8",
    "ics": "text/calendar; charset=utf-8",
    "xlsx": "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet",
    "md": "text/markdown; charset=utf-8",
    "html": "text/html; charset=utf-8",
}


class NoPaperError(OnceapartError):
    """There is nothing to make this paper of; the message says why and the way out."""


def paper_view(
    view: Callable[Concatenate[HttpRequest, Now, P], HttpResponse],
) -> Callable[Concatenate[HttpRequest, P], HttpResponse]:
    """A view that sends a paper; where there is none to send it says why, with status 422."""

    @wraps(view)
    def wrapped(request: HttpRequest, now: Now, /, *args: P.args, **kwargs: P.kwargs) -> HttpResponse:
        try:
            return view(request, now, *args, **kwargs)
        except OnceapartError as error:
            return render(request, "paper/none.html", {"now": now, "why": str(error)}, status=422)

    return require_safe(with_workshop(wrapped))


def file_response(content: bytes | str, name: str, kind: str, policy: str = "") -> HttpResponse:
    """A file to be saved, named so, with the content policy that it brings along if it brings one."""
    data = content.encode() if isinstance(content, str) else content
    header = content_disposition_header(True, f"{name}.{kind}") or "attachment"
    response = HttpResponse(
        data,
        content_type=TYPES[kind],
        headers={
            "Content-Disposition": header,
            "Cache-Control": "no-store",
            "X-Content-Type-Options": "nosniff",
        },
    )
    if policy:
        response["Content-Security-Policy"] = f"{policy}; sandbox"
    return response


def file_name(*words: str) -> str:
    """A name that every system takes.

    >>> file_name("Dossier", "Pickle, the grüne", "2026-03-07"), file_name("Card", "車")
    ('dossier-pickle-the-grune-2026-03-07', 'card')
    """
    plain = unicodedata.normalize("NFKD", " ".join(words)).encode("ascii", "ignore").decode().lower()
    return "-".join(re.findall(r"[a-z0-9]+", plain))[:80].strip("-") or "paper"


def size_asked(request: HttpRequest) -> PaperSize:
    """The sheet asked for; by default Letter for those who see inches, and A4 for all others."""
    usual = PaperSize.LETTER if units_of(request) == "imperial" else PaperSize.A4
    asked = request.GET.get("paper", "")
    return next((one for one in PaperSize if one.value == asked), usual)
