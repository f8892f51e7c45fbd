"""Chromium, and the site behind waitress on loopback, for the tests that look at it as a person does."""

from __future__ import annotations

import contextlib
import os
import shutil
import threading
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING, Any
from urllib.parse import urlsplit

import axe_core_python
from playwright.sync_api import sync_playwright

if TYPE_CHECKING:
    from playwright.sync_api import Browser, BrowserContext

CHROMIUM = shutil.which("chromium") or shutil.which("chromium-browser") or ""
PHONE, DESK = {"width": 390, "height": 844}, {"width": 1280, "height": 800}
AXE = next(Path(axe_core_python.__file__).parent.rglob("axe.min.js")).read_text(encoding="utf-8")
RULES = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"]


@contextlib.contextmanager
def chromium() -> Iterator[Browser]:
    """A browser; Django is told that this thread is not asynchronous, though Playwright's loop is in it."""
    before = os.environ.get("DJANGO_ALLOW_ASYNC_UNSAFE")
    os.environ["DJANGO_ALLOW_ASYNC_UNSAFE"] = "yes"
    try:
        with sync_playwright() as playwright:
            options = ["--no-sandbox", "--disable-gpu", "--disable-background-networking", "--no-first-run"]
            found = playwright.chromium.launch(executable_path=CHROMIUM, args=options)
            yield found
            found.close()
    finally:
        if before is None:
            del os.environ["DJANGO_ALLOW_ASYNC_UNSAFE"]


@contextlib.contextmanager
def served() -> Iterator[str]:
    """The address of the site, served as it is by ``onceapart serve``."""
    from waitress.server import create_server

    from onceapart.site.wsgi import application

    server = create_server(application, host="127.0.0.1", port=0, threads=4)
    thread = threading.Thread(target=_run, args=(server,), daemon=True)
    thread.start()
    yield f"http://127.0.0.1:{server.effective_port}"
    server.task_dispatcher.shutdown()
    server.close()
    server.asyncore.close_all(server._map, ignore_all=True)
    thread.join(10)
    assert not thread.is_alive()


def _run(server: Any) -> None:
    # A socket that is closed under the loop ends it.
    with contextlib.suppress(OSError):
        server.run()


def complaints_of(context: BrowserContext, address: str) -> list[str]:
    """A list that is added to: errors of pages and scripts, and requests to anywhere but the site."""
    found: list[str] = []

    def on_request(request: Any) -> None:
        if urlsplit(request.url).scheme != "data" and not request.url.startswith(f"{address}/"):
            found.append(f"asked elsewhere: {request.url}")

    def on_answer(answer: Any) -> None:
        if answer.status >= 400:
            found.append(f"{answer.status}: {answer.url}")

    context.on("request", on_request)
    context.on("response", on_answer)
    context.on("weberror", lambda error: found.append(f"script: {error.error}"))
    context.on(
        "console", lambda said: found.append(f"console: {said.text}") if said.type == "error" else None
    )
    return found
