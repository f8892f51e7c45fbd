"""The whole job in a real browser: from a finding to a car that is released, with scripts and without.

Skipped, and said so, where there is no Chromium (Debian's package ``chromium``).
"""

import datetime as dt
import re

import pytest
from browsing import CHROMIUM, DESK, PHONE, chromium, complaints_of, served
from playwright.sync_api import expect
from site_bench import entries

from onceapart.site.store import runs
from onceapart.site.store.versions import current, take_in

pytestmark = [
    pytest.mark.skipif(not CHROMIUM, reason="NO CHROMIUM: the whole job is not tested; install chromium"),
    pytest.mark.django_db(transaction=True),
]
# The bench takes two presses close together for one, as a glove makes them; this hand is quick and sure.
HASTE = "const now = performance.now.bind(performance); performance.now = () => 20 * now();"
expect.set_options(timeout=20_000)
LANE = """
format: onceapart-workshop/1
name: Lane End
currency: EUR
hour_worth: 12.00
cars: [{{id: finch, name: The Finch, inspection: {{due: {due}, rules: eu-2014-45}}}}]
tools: [{{id: piston-wind-back-tool, have: true}}]
jobs:
  - {{id: finch-lamp, car: finch, need: inspection, recipe: plate-lamp, place: rear}}
  - {{id: finch-mirror, car: finch, need: upkeep, worth: 30.00, minutes: 20}}
sellers:
  - {{id: counter, name: Parts counter, delivery: 0, days: 0}}
  - {{id: post, name: By post, delivery: 4.00, days: 6}}
offers:
  - {{id: post-lamp, seller: post, parts: {{finch/plate-lamp: 1}}, price: 9.00}}
stints: [{{date: {first}, minutes: 150}}, {{date: {second}, minutes: 90}}]
"""


@pytest.fixture
def browser():
    with chromium() as found:
        yield found


@pytest.fixture
def site(transactional_db):
    """The workshop, served; the lamp comes by post, so that it waits for the second stint."""
    today = dt.datetime.now(dt.UTC).date()
    days = {name: today + dt.timedelta(n) for name, n in (("first", 0), ("second", 7), ("due", 30))}
    take_in(LANE.format(**days), at=dt.datetime.now(dt.UTC))
    with served() as address:
        yield address


@pytest.fixture
def visit(browser, site):
    """A page of the site; what it complains of, or asks of anybody else, fails the test."""
    contexts, complaints = [], []

    def go(**options):
        context = browser.new_context(base_url=site, **options)
        context.set_default_timeout(20_000)
        context.add_init_script(HASTE)
        contexts.append(context)
        complaints.append(complaints_of(context, site))
        return context.new_page()

    yield go
    for context in contexts:
        context.close()
    assert [one for each in complaints for one in each] == []


STEP = ".bench-step:not([hidden])"


def menu(page, label):
    """Go to a page by the frame: by what is under "All" on the phone, by the list on the screen."""
    thumb = page.get_by_role("button", name="All", exact=True)
    if thumb.is_visible():
        thumb.click()
    page.get_by_role("navigation", name="All pages").get_by_role("link", name=label, exact=True).click()


def find(page):
    """Pads worn to the steel, measured at their place: the verdict with its clause."""
    page.goto("/")
    page.get_by_role("link", name="Findings of The Finch").click()
    page.get_by_role("navigation", name="Places of the car").get_by_role("link", name="front left").click()
    lining = page.locator("#pad-lining")
    lining.get_by_label("Measured").fill("1.1")
    lining.get_by_role("button", name="Keep").click()
    expect(lining).to_contain_text("1.1 mm")
    expect(lining).to_contain_text(re.compile(r"major|dangerous"))
    expect(lining).to_contain_text("1.1.13")  # brake linings and pads, in annex I of 2014/45/EU


def measure_anew(page):
    """The new pads, for the inspection: what was found before does not count any more."""
    page.goto("/cars/finch/findings/front-left/")
    lining = page.locator("#pad-lining")
    lining.get_by_label("Measured").fill("0.43 in")
    lining.get_by_role("button", name="Keep").click()
    expect(lining).to_contain_text("passes")


def add_job(page):
    menu(page, "Jobs")
    page.get_by_role("link", name="Look at them and add them").click()
    page.get_by_role("button", name="Add Disc pads, front").click()
    page.get_by_text("Every finding that does not pass has its job.").wait_for()
    (job,) = (one for one in current().workshop.jobs if one.recipe == "brake-pads")
    return job.id


def add_offer(page, job):
    page.goto(f"/jobs/{job}/")
    page.get_by_role("link", name="Brake pad set").click()
    page.get_by_label("Parts counter").check()
    page.get_by_label("Price of one unit").fill("24,00")
    page.get_by_role("button", name="Save", exact=True).click()
    page.wait_for_load_state()
    assert [one.price for one in current().workshop.offers] == [900, 2400]


def plan(page, make):
    menu(page, "Plan")
    page.get_by_role("button", name="Make a plan").click()
    make()
    page.get_by_role("button", name="Work by this plan").click()
    expect(page.get_by_role("heading", name="The plan you work by")).to_be_visible()
    assert runs.chosen() is not None


def order(page):
    page.get_by_role("link", name="Orders").first.click()
    for _ in range(2):
        page.get_by_role("button", name="I have ordered what is ticked").first.click()
    expect(page.get_by_text("Everything that the plan buys is ordered.")).to_be_visible()
    for _ in range(2):
        page.get_by_role("button", name="All of it came").first.click()
    expect(page.get_by_role("heading", name="On the way")).to_be_hidden()


def snag(page, stint):
    """A slide that will not come: noted at its step, a way on chosen, and settled."""
    page.locator(STEP).get_by_role("link", name="Something is wrong").click()
    page.get_by_label("It will not come undone").check()
    page.get_by_label("What happened").fill("lower slide")
    page.get_by_role("button", name="Note it and see the ways on").click()
    page.get_by_role("link", name=re.compile("Penetrating oil")).click()
    page.get_by_role("button", name="Go this way").click()
    expect(page.get_by_role("heading", name=re.compile("^Now: "))).to_be_visible()
    page.goto("/")
    expect(page.get_by_text("lower slide").first).to_be_visible()
    page.goto("/bench/")
    page.get_by_role("link", name="lower slide").click()
    page.get_by_label("How was it settled?").fill("turned after an hour of oil")
    page.get_by_role("button", name="Close the snag").click()
    page.goto(f"/bench/{stint}/")


def work(page, stint):
    """Do every step of a stint that is neither a check nor for the road."""
    page.goto(f"/bench/{stint}/")
    rows = page.locator(".bench-step[data-step]").all()
    steps = [(row.get_attribute("data-step"), row.get_attribute("data-kind")) for row in rows]
    page.get_by_role("link", name="All there: step 1").click()
    for number, (step, kind) in enumerate(steps, 1):
        page.locator(f".bench-list [data-go='{number}']").click()
        now = page.locator(f"{STEP}[data-n='{number}']")
        expect(now).to_be_visible()
        if kind in ("check", "aftercare"):
            continue
        if "slides:front-left" in step:
            snag(page, stint)
            page.locator(f".bench-list [data-go='{number}']").click()
        if "disc-thickness" in step:
            now.locator("[data-kept]").fill("20.4")
        now.get_by_role("button", name="Done", exact=True).click()
        expect(page.locator(f"[data-row='{number}']")).to_have_class("is-done")
    expect(page.locator("#queue")).to_be_hidden()
    return [step for step, kind in steps if kind not in ("check", "aftercare")]


def release(page):
    """Answer every check in its order, let the car go by name, and do what is to follow on the road."""
    page.goto("/cars/finch/release/")
    expect(page.get_by_role("heading", name="not released")).to_be_visible()
    asked = page.locator(".check").count()
    for number in range(asked):
        page.locator(".check:not(.is-answered)").get_by_role("button", name=re.compile("^Yes")).first.click()
        expect(page.locator(".check.is-answered")).to_have_count(number + 1)
    page.get_by_label("Your name").fill("A. Finch")
    page.locator("#odo").fill("143200 km")
    page.get_by_role("button", name="I let it go on the road").click()
    expect(page.get_by_role("heading", name="released with follow-ups due")).to_be_visible()
    for left in range(page.locator(".follow-up").count(), 0, -1):
        page.get_by_label("Odometer then").first.fill("143260 km")
        page.get_by_role("button", name="It is done").first.click()
        expect(page.locator(".follow-up")).to_have_count(left - 1)
    return asked


@pytest.mark.parametrize(
    ("size", "scripts"), [(PHONE, True), (DESK, False)], ids=["phone with scripts", "desk without"]
)
def test_from_a_finding_to_a_released_car(visit, plans_made, size, scripts):
    page = visit(viewport=size, java_script_enabled=scripts)
    find(page)
    job = add_job(page)
    add_offer(page, job)
    plan(page, plans_made)
    order(page)
    done = []
    for stint in current().workshop.stints:
        done += work(page, stint.date.isoformat())
    assert [one["step"] for one in entries() if one["kind"] == "ticked"] == done
    assert release(page) == [one["kind"] for one in entries()].count("check answered") > 5
    measure_anew(page)
    page.goto("/")
    card = page.locator("section.card", has=page.get_by_role("heading", name="The Finch"))
    expect(card.locator("dd").first).to_have_text("released")
    expect(card).to_contain_text("All jobs that must be done are done.")
    expect(card).not_to_contain_text("do not drive")
    kinds = {one["kind"] for one in entries()}
    assert {"ordered", "arrived", "measured", "snag opened", "way chosen", "snag closed"} <= kinds
    assert [one["value"] for one in entries() if one["kind"] == "measured"] == ["20.4 mm"] * 2
    assert [one["who"] for one in entries() if one["kind"] == "release granted"] == ["A. Finch"]
