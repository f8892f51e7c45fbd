"""The frame's pages in a real browser: nothing that axe finds, nothing wider than a phone, scripts or not.

Skipped where there is no Chromium (Debian's package ``chromium``).
"""

import os
import shutil
from pathlib import Path

import axe_core_python
import pytest
from playwright.sync_api import sync_playwright

from onceapart.demo import demo_text
from onceapart.site.store.versions import current, take_in

CHROMIUM = shutil.which("chromium") or shutil.which("chromium-browser") or ""
pytestmark = [
    pytest.mark.skipif(not CHROMIUM, reason="no Chromium here: install the package chromium"),
    pytest.mark.django_db(transaction=True),
]
AXE = next(Path(axe_core_python.__file__).parent.rglob("axe.min.js")).read_text(encoding="utf-8")
RULES = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"]
PHONE, DESK = {"width": 390, "height": 844}, {"width": 1280, "height": 800}
PAGES = (
    "/",
    "/take-in/",
    "/workshop/",
    "/workshop/stints/",
    "/workshop/tools/",
    "/workshop/cars/pickle/",
    "/workshop/cars/pickle/take-out/",
    "/changes/",
    "/changes/1/",
    "/nothing/",
)
SMALLER_THAN_A_GLOVE = """() => [...document.querySelectorAll(
    "a, button, summary, select, textarea, input:not([type=hidden]):not([type=radio]):not([type=checkbox])")]
  .filter((one) => !one.closest("p, dd, dt, li:not(:has(> a)), .skip"))
  .filter((one) => one.getClientRects().length && one.getBoundingClientRect().height < 48)
  .map((one) => one.outerHTML.slice(0, 120))"""


@pytest.fixture
def browser():
    # Playwright keeps a loop in this thread, which Django takes for asynchronous code.
    before = os.environ.get("DJANGO_ALLOW_ASYNC_UNSAFE")
    os.environ["DJANGO_ALLOW_ASYNC_UNSAFE"] = "yes"
    with sync_playwright() as playwright:
        options = ["--no-sandbox", "--disable-gpu", "--disable-background-networking", "--no-first-run"]
        found = playwright.chromium.launch(executable_path=CHROMIUM, args=options)
        yield found
        found.close()
    if before is None:
        del os.environ["DJANGO_ALLOW_ASYNC_UNSAFE"]


@pytest.fixture
def visit(browser, live_server, noon):
    """A page of the demo, in a browser that keeps what was complained of and asked for from elsewhere."""
    take_in(demo_text(), at=noon)
    contexts, complaints = [], []

    def go(**options):
        context = browser.new_context(base_url=live_server.url, **options)
        contexts.append(context)
        page = context.new_page()
        page.on("console", lambda said: complaints.append(said.text) if "Policy" in said.text else None)
        page.on("pageerror", lambda error: complaints.append(str(error)))
        page.on(
            "request",
            lambda asked: None if asked.url.startswith(live_server.url) else complaints.append(asked.url),
        )
        return page

    yield go
    for context in contexts:
        context.close()
    assert complaints == []


@pytest.mark.parametrize(
    ("size", "scheme", "urls"),
    [(PHONE, "dark", PAGES), (DESK, "light", ("/", "/workshop/cars/pickle/", "/changes/"))],
    ids=["phone, dark", "desk, light"],
)
def test_every_page_can_be_read_and_pressed(visit, size, scheme, urls):
    page = visit(viewport=size, color_scheme=scheme)
    for url in urls:
        page.goto(url)
        assert page.evaluate("document.documentElement.scrollWidth") <= size["width"], url
        assert page.evaluate(SMALLER_THAN_A_GLOVE) == [], url
        page.evaluate(AXE)
        found = page.evaluate("rules => axe.run(document, {runOnly: rules})", RULES)["violations"]
        assert [(one["id"], [node["html"] for node in one["nodes"]]) for one in found] == [], url


@pytest.mark.parametrize("scripts", [True, False])
def test_a_thumb_reaches_every_page_and_a_change_is_undone(visit, scripts):
    page = visit(viewport=PHONE, java_script_enabled=scripts)
    page.goto("/")
    page.get_by_role("button", name="All").click()
    page.get_by_role("navigation", name="All pages").get_by_role("link", name="Changes").click()
    page.goto("/workshop/tools/bearing-press-set/")
    page.get_by_label("Price to hire").fill("20,00")
    page.get_by_role("button", name="Save").click()
    assert next(one.hire for one in current().workshop.tools if one.id == "bearing-press-set") == 2000
    page.get_by_role("status").get_by_role("button", name="Undo").click()
    page.wait_for_load_state()
    assert next(one.hire for one in current().workshop.tools if one.id == "bearing-press-set") == 1400


@pytest.mark.parametrize("scripts", [True, False])
def test_a_bad_form_keeps_what_was_typed_and_leads_to_the_field(visit, scripts):
    page = visit(viewport=PHONE, java_script_enabled=scripts)
    page.goto("/workshop/cars/pickle/")
    page.get_by_label("Mass as it is inspected").fill("heavy")
    page.get_by_role("button", name="Save").click()
    page.get_by_role("alert").get_by_role("link", name="Mass").click()
    field = page.get_by_label("Mass as it is inspected")
    assert field.input_value() == "heavy"
    assert field.get_attribute("aria-invalid") == "true"
    field.fill("910 kg")
    page.get_by_role("button", name="Save").click()
    page.wait_for_load_state()
    assert current().workshop.cars[0].mass == "910 kg"


def test_a_line_of_a_pasted_file_is_found_from_its_problem(visit):
    page = visit(viewport=DESK)
    page.goto("/take-in/")
    page.get_by_text("Paste its text instead").click()
    page.get_by_label("Text of the file").fill("format: onceapart-workshop/1\nname: X\ncurrency: eur\n")
    page.get_by_role("button", name="Take the text in").click()
    page.get_by_role("link", name="Line 3").click()
    text = page.get_by_label("Text of the file")
    chosen = text.evaluate("one => one.value.slice(one.selectionStart, one.selectionEnd)")
    assert chosen == "currency: eur"
