"""Take the pictures of the site that docs/site.md shows, of the demo with a plan that is worked by.

They go to docs/pictures/. Needs Chromium (Debian's package `chromium`); asks nobody but this machine.
"""

from __future__ import annotations

import io
import os
import shutil
import sys
import tempfile
import threading
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from playwright.sync_api import ViewportSize

FOLDER = Path(__file__).resolve().parents[1] / "docs" / "pictures"
Picture = tuple[str, "ViewportSize", str, str]
PHONE: ViewportSize
DESK: ViewportSize
PHONE, DESK = {"width": 390, "height": 844}, {"width": 1280, "height": 800}
PICTURES = (
    ("workshop", PHONE, "/", ""),
    ("findings", PHONE, "/cars/pickle/findings/", "Go round the car"),
    ("place", PHONE, "/cars/pickle/findings/front-left/#cv-boot", ""),
    ("parts", PHONE, "/parts/", ""),
    ("bench", PHONE, "/bench/?step=3", ""),
    ("plan-wide", DESK, "/plan/", ""),
    ("access-wide", DESK, "/jobs/-/access/?car=pickle", ""),
    ("sum", PHONE, "/sums/bolt-substitute/?example=1", "Answer"),
)
"""Name, size, address, and the heading to scroll to, if not the top."""
AFTER_WORK = (("release", PHONE, "/cars/pickle/release/", "Checks, in this order"),)
"""The same, once all work of the first stint is ticked."""
COLOURS = 64


def main() -> int:
    """Write all pictures; the exit status."""
    chromium = shutil.which("chromium") or shutil.which("chromium-browser")
    if chromium is None:
        print("no Chromium here: install the package chromium, then run this again", file=sys.stderr)
        return 1
    with tempfile.TemporaryDirectory() as data:
        os.environ.update(ONCEAPART_DATA=data, DJANGO_SETTINGS_MODULE="onceapart.site.settings", TZ="UTC")
        for name in ("DATABASE_URL", "ONCEAPART_OPEN", "ONCEAPART_HOSTS"):
            os.environ.pop(name, None)
        fill()
        address, close = serve()
        try:
            take(chromium, address, PICTURES)
            do_the_first_stint()
            take(chromium, address, AFTER_WORK)
        finally:
            close()
    return 0


def fill() -> None:
    """The demo, a plan for each aim, and the first one worked by."""
    import datetime as dt

    import django

    django.setup()
    from django.conf import settings
    from django.core.management import call_command

    from onceapart.demo import demo_text
    from onceapart.planning.plan import Aim
    from onceapart.site.server.worker import Stopper, work_through
    from onceapart.site.store import runs
    from onceapart.site.store.versions import take_in

    settings.PLANS_IN_BACKGROUND = False
    call_command("migrate", verbosity=0, interactive=False)
    at = dt.datetime(2026, 3, 5, 12, tzinfo=dt.UTC)  # the demo's day
    take_in(demo_text(), at=at)
    asked = [runs.ask(aim, at=at) for aim in Aim]
    work_through(Stopper())
    runs.choose(asked[0].pk)


def serve() -> tuple[str, Callable[[], None]]:
    """Address of the site, and what ends it."""
    from waitress.server import create_server

    from onceapart.site.wsgi import application

    server = create_server(application, host="127.0.0.1", port=0, threads=2)
    threading.Thread(target=server.run, daemon=True).start()
    return f"http://127.0.0.1:{server.effective_port}", server.close


def do_the_first_stint() -> None:
    """Tick all of it that is neither a check nor for the road."""
    import datetime as dt

    from onceapart.bench.card import job_card
    from onceapart.bench.entries import Ticked
    from onceapart.site.pages.plan.reading import read
    from onceapart.site.store import runs
    from onceapart.site.store.record import DatabaseRecord
    from onceapart.site.store.versions import current

    chosen, found = runs.chosen(), current()
    assert chosen is not None
    assert found is not None
    plan = read(chosen)
    assert plan is not None
    card = job_card(found.worked_out, plan.plan, 0, workload=plan.workload)
    at = dt.datetime.combine(card.date, dt.time(15), dt.UTC)
    for step in card.steps:
        if step.kind not in ("check", "aftercare"):
            entry = Ticked(time=at, car=step.car, step=step.id, stint=card.date.isoformat())
            DatabaseRecord().append(entry)


def take(chromium: str, address: str, pictures: tuple[Picture, ...]) -> None:
    """Take every picture, with few colours so that it stays small."""
    from PIL import Image
    from playwright.sync_api import sync_playwright

    FOLDER.mkdir(exist_ok=True)
    with sync_playwright() as playwright:
        options = ["--no-sandbox", "--disable-gpu", "--disable-background-networking", "--no-first-run"]
        browser = playwright.chromium.launch(executable_path=chromium, args=options)
        for name, size, url, heading in pictures:
            context = browser.new_context(viewport=size, color_scheme="light", reduced_motion="reduce")
            page = context.new_page()
            answer = page.goto(f"{address}{url}")
            if answer is None or answer.status != 200:
                raise SystemExit(f"{url} can't be shown: {answer.status if answer else 'no answer'}")
            if heading:
                page.get_by_role("heading", name=heading).evaluate("one => one.scrollIntoView()")
            shot = Image.open(io.BytesIO(page.screenshot())).convert("RGB")
            path = FOLDER / f"{name}.png"
            shot.quantize(COLOURS, dither=Image.Dither.NONE).save(path, optimize=True)
            print(f"{path.relative_to(FOLDER.parents[1])}: {path.stat().st_size // 1000} kB")
            context.close()
        browser.close()


if __name__ == "__main__":
    sys.exit(main())
