"""Who may come in. On this machine everybody; from elsewhere who knows the passphrase.

The passphrase is kept as a salted hash in the data folder. Wrong tries are counted by address in the
database's session store's neighbour, the memory of this process: ten, then a wait that grows.
"""

from __future__ import annotations

import threading
import time
from collections.abc import Callable
from ipaddress import ip_address
from pathlib import Path

from django.conf import settings
from django.contrib.auth.hashers import check_password, make_password
from django.http import HttpRequest, HttpResponse, HttpResponseRedirect
from django.urls import reverse
from django.utils.http import urlencode

FREE_TRIES = 5
LONGEST_WAIT = 15 * 60
"""Seconds that an address waits at most after wrong tries."""
SHORTEST = 8
"""Letters of a passphrase at least."""
FREE_PATHS = ("/come-in/", "/static/")


def _file() -> Path:
    path: Path = settings.DATA / "passphrase"
    return path


def set_passphrase(text: str) -> None:
    """Keep a new passphrase; raises ValueError if it is too short."""
    if len(text.strip()) < SHORTEST:
        raise ValueError(f"a passphrase has {SHORTEST} letters or more; three or four words do well")
    path = _file()
    fresh = path.with_name("passphrase.new")
    fresh.touch(mode=0o600)
    fresh.write_text(make_password(text.strip(), hasher="pbkdf2_sha256"))
    fresh.replace(path)


def has_passphrase() -> bool:
    """Whether one is set."""
    return _file().exists()


def is_right(text: str) -> bool:
    """Whether this is the passphrase."""
    return has_passphrase() and check_password(text.strip(), _file().read_text())


class Tries:
    """Wrong tries by address. After five the wait doubles from a second up to a quarter of an hour."""

    def __init__(self, clock: Callable[[], float] = time.monotonic) -> None:
        self._clock, self._lock = clock, threading.Lock()
        self._wrong: dict[str, tuple[int, float]] = {}

    def wait(self, address: str) -> float:
        """Seconds until the address may try again."""
        with self._lock:
            count, last = self._wrong.get(address, (0, 0.0))
        if count < FREE_TRIES:
            return 0.0
        pause = min(LONGEST_WAIT, 2.0 ** min(count - FREE_TRIES, 20))
        return max(0.0, last + pause - self._clock())

    def failed(self, address: str) -> None:
        with self._lock:
            count, _ = self._wrong.get(address, (0, 0.0))
            self._wrong[address] = (count + 1, self._clock())
            if len(self._wrong) > 10_000:
                self._wrong.pop(next(iter(self._wrong)))

    def passed(self, address: str) -> None:
        with self._lock:
            self._wrong.pop(address, None)


TRIES = Tries()


def is_from_here(request: HttpRequest) -> bool:
    """Whether a request comes from this machine. No header is believed."""
    try:
        return ip_address(request.META.get("REMOTE_ADDR", "")).is_loopback
    except ValueError:
        return False


def ask_strangers(
    get_response: Callable[[HttpRequest], HttpResponse],
) -> Callable[[HttpRequest], HttpResponse]:
    """Middleware that sends whoever is not from here, and has not given the passphrase, to the door."""

    def middleware(request: HttpRequest) -> HttpResponse:
        path = request.path_info
        if is_from_here(request) or request.session.get("came_in") or path.startswith(FREE_PATHS):
            return get_response(request)
        if not settings.OPEN_TO_OTHERS:
            return HttpResponse(
                "This site is for its own machine only.", status=403, content_type="text/plain"
            )
        door = reverse("come-in")
        if request.method != "GET":
            return HttpResponse("Come in first; nothing was changed.", status=403, content_type="text/plain")
        return HttpResponseRedirect(f"{door}?{urlencode({'to': request.get_full_path()})}")

    return middleware
