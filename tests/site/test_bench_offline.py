"""The bench in a real browser that loses its line: no tick is lost, each counts once, and in order.

Skipped, and said so, where there is no Chromium (Debian's package ``chromium``).
"""

import os
import shutil

import pytest
from django.urls import reverse
from playwright.sync_api import expect, sync_playwright
from site_bench import entries, yard, yard_card

from onceapart.site.pages.bench import send_views

CHROMIUM = shutil.which("chromium") or shutil.which("chromium-browser") or ""
pytestmark = [
    pytest.mark.skipif(
        not CHROMIUM, reason="NO CHROMIUM: ticking without a line is not tested; install chromium"
    ),
    pytest.mark.django_db(transaction=True),
]
PHONE = {"width": 390, "height": 844}


@pytest.fixture
def browser():
    before = os.environ.get("DJANGO_ALLOW_ASYNC_UNSAFE")
    os.environ["DJANGO_ALLOW_ASYNC_UNSAFE"] = "yes"  # Playwright keeps a loop in this thread
    with sync_playwright() as playwright:
        options = ["--no-sandbox", "--disable-gpu", "--disable-background-networking", "--no-first-run"]
        found = playwright.chromium.launch(executable_path=CHROMIUM, args=options)
        yield found
        found.close()
    if before is None:
        del os.environ["DJANGO_ALLOW_ASYNC_UNSAFE"]


@pytest.fixture
def phone(browser, live_server, noon):
    """A phone at the bench of the yard; what its pages complain of fails the test."""
    yard(noon)
    context = browser.new_context(base_url=live_server.url, viewport=PHONE)
    context.set_default_timeout(8_000)
    complaints = []
    context.on("weberror", lambda error: complaints.append(str(error.error)))
    context.on("console", lambda said: complaints.append(said.text) if "Policy" in said.text else None)
    context.on(
        "request",
        lambda asked: None if asked.url.startswith(live_server.url) else complaints.append(asked.url),
    )
    yield context
    context.close()
    assert complaints == []


def at_bench(context, url="/bench/"):
    page = context.new_page()
    page.goto(url)
    return page


def press_done(page, times):
    for _ in range(times):
        page.wait_for_timeout(420)  # closer together two presses count as one
        page.locator(".bench-step:not([hidden]) button[value=ticked]").click()


def ready_without_a_line(page):
    """Wait until the worker has the page and its files."""
    page.evaluate("navigator.serviceWorker.ready.then(() => true)")
    page.wait_for_function(
        """async () => { const kept = await caches.open("onceapart-bench-1");
        const keys = (await kept.keys()).map((one) => new URL(one.url).pathname);
        return ["/bench/", "/static/onceapart/site.css", "/static/onceapart/bench.js",
                "/static/onceapart/bench_queue.js"].every((one) => keys.includes(one)); }"""
    )


def ticked():
    return [one["step"] for one in entries() if one["kind"] == "ticked"]


def test_ticks_survive_a_lost_line_and_a_reload_and_come_once_and_in_order(phone):
    steps = [step.id for step in yard_card().steps]
    page = at_bench(phone)
    page.get_by_role("link", name="All there: step 1").click()
    press_done(page, 2)
    expect(page.locator("#queue")).to_be_hidden()
    assert ticked() == steps[:2]
    ready_without_a_line(page)

    phone.set_offline(True)
    press_done(page, 3)
    expect(page.locator("#queue")).to_contain_text("Not sent yet: 3")
    expect(page.locator("#done-count")).to_have_text("5")

    page.goto("/bench/")  # the page opens all the same, and what is done is still done
    expect(page.locator("#queue-count")).to_have_text("3")
    expect(page.locator("#done-count")).to_have_text("5")
    expect(page.locator(".bench-step:not([hidden])")).to_have_attribute("data-n", "6")
    press_done(page, 2)
    page.reload()
    expect(page.locator("#queue-count")).to_have_text("5")
    expect(page.locator("[data-standing=wren]")).to_contain_text("not known until all is sent")
    assert ticked() == steps[:2]

    phone.set_offline(False)
    expect(page.locator("#queue")).to_be_hidden()
    assert ticked() == steps[:7]
    expect(page.locator("[data-standing=wren]")).to_have_text("not released")
    page.reload()
    expect(page.locator("#done-count")).to_have_text("7")
    assert len(entries()) == 7


def test_an_answer_that_is_lost_on_its_way_makes_no_second_entry(phone):
    steps = [step.id for step in yard_card().steps]
    page = at_bench(phone, "/bench/?step=1")
    lost = []

    def lose(route):
        route.fetch()  # the site has it, and nobody hears of it
        lost.append(1)
        route.abort()

    page.route("**" + reverse("bench-send"), lose, times=2)
    press_done(page, 3)
    expect(page.locator("#queue")).to_be_hidden(timeout=15_000)
    assert lost
    assert ticked() == steps[:3]
    assert len(entries()) == 3


def test_two_tabs_share_one_queue_and_each_entry_counts_once(phone):
    steps = [step.id for step in yard_card().steps]
    first, second = at_bench(phone, "/bench/?step=1"), at_bench(phone, "/bench/?step=1")
    phone.set_offline(True)
    press_done(first, 2)
    expect(second.locator("#queue-count")).to_have_text("2")
    expect(second.locator("#done-count")).to_have_text("2")
    second.locator("[data-row='3'] a").click()
    press_done(second, 2)
    first.locator("[data-row='5'] a").click()
    press_done(first, 1)
    phone.set_offline(False)
    for page in (first, second):
        page.evaluate("window.dispatchEvent(new Event('online'))")
    for page in (first, second):
        expect(page.locator("#queue")).to_be_hidden(timeout=15_000)
        expect(page.locator("#done-count")).to_have_text("5")
    assert ticked() == steps[:5]
    assert len(entries()) == 5


def test_on_a_plain_address_it_goes_without_worker_uuid_and_locks(phone):
    """As on a phone that calls the site by http in the garage: no secure context there."""
    phone.add_init_script(
        """delete Crypto.prototype.randomUUID;
        Object.defineProperty(Navigator.prototype, "locks", { get: () => undefined });
        Object.defineProperty(Navigator.prototype, "serviceWorker", { get: () => undefined });
        Object.defineProperty(window, "isSecureContext", { get: () => false });"""
    )
    first, second = at_bench(phone, "/bench/?step=1"), at_bench(phone, "/bench/?step=1")
    phone.set_offline(True)
    press_done(first, 3)
    second.locator("[data-row='4'] a").click()
    press_done(second, 1)
    phone.set_offline(False)
    for page in (first, second):
        page.evaluate("window.dispatchEvent(new Event('online'))")
        expect(page.locator("#queue")).to_be_hidden(timeout=15_000)
    assert ticked() == [step.id for step in yard_card().steps[:4]]
    assert len(entries()) == 4


def test_what_is_refused_is_shown_and_mended_or_dropped_with_a_word(phone):
    page = at_bench(phone, "/bench/?step=11")
    blank = page.get_by_label("disc", exact=False).locator("visible=true").first
    blank.fill("thin")
    press_done(page, 1)
    expect(page.locator(".bench-step:not([hidden]) .error")).to_contain_text("begins with a number")
    blank.fill("9.8 kg")
    press_done(page, 1)
    refused = page.locator("#refused")
    expect(refused).to_contain_text("kg")
    page.reload()
    expect(refused).to_contain_text("9.8 kg")
    refused.get_by_label("Mended").fill("9.8 mm")
    refused.get_by_role("button", name="Send it mended").click()
    expect(refused).to_be_hidden()
    expect(page.locator("#queue")).to_be_hidden()
    assert [one["value"] for one in entries() if one["kind"] == "measured"] == ["9.8 mm"]

    page.goto("/bench/?step=13")
    page.locator(".bench-step:not([hidden]) [data-kept]").fill("3 kg")
    press_done(page, 1)
    refused.get_by_role("button", name="Drop it").click()
    expect(refused).to_be_visible()  # not without a word
    refused.get_by_label("Or drop it: why?").fill("the other pad")
    refused.get_by_role("button", name="Drop it").click()
    expect(refused).to_be_hidden()
    expect(page.locator("#queue")).to_be_hidden()
    assert "the other pad" in str([one["words"] for one in entries() if one["kind"] == "noted"])


def test_a_snag_without_a_line_is_noted_and_leads_to_its_ways_later(phone):
    page = at_bench(phone, "/bench/?step=2")
    phone.set_offline(True)
    page.locator(".bench-step:not([hidden])").get_by_role("link", name="Something is wrong").click()
    form = page.locator("form.snag-offline")
    form.get_by_label("It will not come undone").check()
    form.get_by_label("What happened").fill("both nuts")
    form.get_by_role("button", name="Note it").click()
    phone.set_offline(False)
    page.get_by_role("link", name="Ways on").click()
    expect(page.get_by_role("heading", name="It will not come undone")).to_be_visible()
    assert [one["kind"] for one in entries()] == ["snag opened"]


def test_taking_back_and_the_clock_go_the_same_way(phone):
    page = at_bench(phone, "/bench/?step=1")
    phone.set_offline(True)
    page.wait_for_timeout(420)
    page.get_by_role("button", name="Start the clock").click()
    expect(page.get_by_role("button", name="Stop the clock")).to_be_visible()
    press_done(page, 1)
    page.locator("[data-row='1'] a").click()
    page.wait_for_timeout(420)
    page.get_by_role("button", name="Not done after all").click()
    expect(page.locator("#done-count")).to_have_text("0")
    phone.set_offline(False)
    expect(page.locator("#queue")).to_be_hidden()
    assert [one["kind"] for one in entries()] == ["started", "ticked", "unticked"]
    assert send_views.MOST_AT_ONCE >= 50  # the script sends that many at a time
