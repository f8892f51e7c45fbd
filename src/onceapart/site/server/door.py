"""Who may come in. On this machine everybody; from elsewhere who has given the passphrase."""

from __future__ import annotations

from collections.abc import Callable
from ipaddress import ip_address

from django.conf import settings
from django.http import HttpRequest, HttpResponse, HttpResponseRedirect
from django.urls import reverse
from django.utils.http import url_has_allowed_host_and_scheme, urlencode

from onceapart.site.server.passphrase import is_good_ticket

TICKET = "came_in"
"""Where a session keeps its ticket."""
SAFE_METHODS = ("GET", "HEAD", "OPTIONS")
PASSED_ON = ("HTTP_X_FORWARDED_FOR", "HTTP_FORWARDED", "HTTP_X_REAL_IP", "HTTP_VIA")
"""Headers of a request that another program on this machine passes on. They can only take trust away."""


def is_from_here(request: HttpRequest) -> bool:
    """Whether a request comes from this machine itself. No header can make it so."""
    if any(name in request.META for name in PASSED_ON):
        return False
    try:
        return ip_address(request.META.get("REMOTE_ADDR", "")).is_loopback
    except ValueError:
        return False


def may_come_in(request: HttpRequest) -> bool:
    """Whether a request may see and change the workshop."""
    return is_from_here(request) or is_good_ticket(request.session.get(TICKET))


def local_path(to: str) -> str:
    """A path of this site to go on to; the first page for anything else.

    >>> local_path("/jobs/?page=2"), local_path("//else.example/"), local_path("jobs")
    ('/jobs/?page=2', '/', '/')
    """
    is_path = to.startswith("/") and not to.startswith("//") and to.isprintable() and "\\" not in to
    return to if is_path and url_has_allowed_host_and_scheme(to, allowed_hosts=None) else "/"


def ask_strangers(
    get_response: Callable[[HttpRequest], HttpResponse],
) -> Callable[[HttpRequest], HttpResponse]:
    """Middleware that sends whoever is not from here, and has not given the passphrase, to the door."""

    def middleware(request: HttpRequest) -> HttpResponse:
        if not settings.OPEN_TO_OTHERS and not is_from_here(request):
            said = "This site is for its own machine only."
            return HttpResponse(said, status=403, content_type="text/plain")
        door = reverse("come-in")
        if request.path_info == door or may_come_in(request):
            return get_response(request)
        if request.method not in SAFE_METHODS:
            said = f"Come in first, at {door}; nothing was changed."
            return HttpResponse(said, status=403, content_type="text/plain")
        return HttpResponseRedirect(f"{door}?{urlencode({'to': request.get_full_path()})}")

    return middleware
