"""Coming in with the passphrase, and going out again."""

from __future__ import annotations

import math

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.cache import never_cache
from django.views.decorators.debug import sensitive_post_parameters
from django.views.decorators.http import require_http_methods, require_POST

from onceapart.site.server.door import TICKET, is_from_here, local_path, may_come_in
from onceapart.site.server.passphrase import has_passphrase, is_right, ticket
from onceapart.site.server.tries import TRIES

WRONG = "That is not the passphrase. Look at it again where the site was started, and type it once more."
SAID_NOTHING = "Type the passphrase."
NONE_YET = "No passphrase is set yet. Set one where the site was started."


@never_cache
@sensitive_post_parameters("passphrase")
@require_http_methods(["GET", "HEAD", "POST"])
def come_in(request: HttpRequest) -> HttpResponse:
    """The form for the passphrase; whoever is in already goes on."""
    to = local_path(request.POST.get("to") or request.GET.get("to") or "/")
    if may_come_in(request):
        return redirect(to)
    if request.method != "POST":
        return _form(request, to, "" if has_passphrase() else NONE_YET, 200)
    typed = request.POST.get("passphrase", "")
    if not typed.strip():
        return _form(request, to, SAID_NOTHING, 422)
    address = request.META.get("REMOTE_ADDR", "")
    wait = TRIES.begin(address)
    if wait > 0:
        seconds = math.ceil(wait)
        how_long = f"{seconds} s" if seconds < 100 else f"{math.ceil(seconds / 60)} min"
        response = _form(request, to, f"Too many wrong tries. Wait {how_long}, then try again.", 429)
        response.headers["Retry-After"] = str(seconds)
        return response
    if not is_right(typed):
        return _form(request, to, WRONG, 422)
    TRIES.passed(address)
    request.session.flush()  # a session that was there before may be somebody else's making
    request.session[TICKET] = ticket()
    return redirect(to)


@require_POST
def go_out(request: HttpRequest) -> HttpResponse:
    """Forget that this browser came in."""
    request.session.flush()
    return redirect("workshop" if is_from_here(request) else "come-in")


def _form(request: HttpRequest, to: str, error: str, status: int) -> HttpResponse:
    return render(request, "door/come_in.html", {"to": to, "error": error}, status=status)
