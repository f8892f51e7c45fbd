"""The first page: what it says of each car is what the engine says."""

import datetime as dt
import re

import pytest

from onceapart.bench.entries import (
    CheckAnswered,
    Limits,
    ReleaseAsked,
    ReleaseGranted,
    SnagClosed,
    SnagOpened,
    StopgapFitted,
    Ticked,
    new_id,
)
from onceapart.bench.release import ask_release, release_of
from onceapart.bench.release_work import work_of
from onceapart.demo import read_demo
from onceapart.inspection.verdicts import inspect_car
from onceapart.planning.plan import Aim
from onceapart.planning.plan_file import plan_to_json
from onceapart.planning.solve import best_plan
from onceapart.planning.workload import workload_from
from onceapart.site.pages.kept import Standing
from onceapart.site.store.models import PlanRun, Version
from onceapart.site.store.record import DatabaseRecord
from onceapart.site.store.versions import take_in
from onceapart.trade import apply_recipes
from onceapart.trade.rules import load_pack
from onceapart.workshop import parse_workshop

pytestmark = pytest.mark.django_db
SMALL = """
format: onceapart-workshop/1
name: Barn
today: 2026-03-05
currency: EUR
hour_worth: 10
cars:
  - {id: wren, name: The Wren, inspection: {due: 2026-03-20}}
jobs:
  - {id: wren-one, car: wren, need: inspection, minutes: 40, parts: {wren/boot: 1}}
  - {id: wren-two, car: wren, need: safety, minutes: 20}
sellers: [{id: s, name: S, delivery: 0, days: 1}]
offers: [{id: boot, seller: s, parts: {wren/boot: 1}, price: 14.90}]
stints: [{date: 2026-03-07, minutes: 50}, {date: 2026-03-14, minutes: 50}]
"""


def text(answer):
    page = answer.content.decode().replace("&#x27;", "'")
    return re.sub(r"\s+", " ", re.sub(r"<[^>]+>", " ", page[page.index("<main") :]))


@pytest.fixture
def barn(db, noon):
    return take_in(SMALL, at=noon)


def choose_plan(version, noon, text=SMALL):
    workload = workload_from(apply_recipes(parse_workshop(text)))
    answer = best_plan(workload, Aim.BALANCE)
    return PlanRun.objects.create(
        asked_at=noon,
        version=version,
        aim="balance",
        stage="done",
        result=plan_to_json(workload, answer),
        is_chosen=True,
    )


def test_each_car_of_the_demo_with_outcome_and_release(client, demo_workshop):
    page = text(client.get("/"))
    workshop = read_demo().workshop
    for car in workshop.cars:
        verdict = inspect_car(workshop, car.id, load_pack(car.inspection.rules))
        release = release_of((), car.id, work_of(apply_recipes(workshop)), workshop.today)
        assert f"{car.name} On the road {release.status} Inspection {verdict.outcome}" in page
        assert f"{(car.inspection.due - workshop.today).days} days" in page
    assert "no plan yet" in page
    assert "bought line by line" in page


def test_it_asks_the_database_as_little_with_many_entries(
    client, demo_workshop, noon, django_assert_num_queries
):
    record = DatabaseRecord()
    for minute in range(30):
        time = noon + dt.timedelta(minutes=minute)
        record.append(Ticked(time=time, car="pickle", step=f"do:pickle-window:a{minute}"))
    client.get("/")
    with django_assert_num_queries(4):
        client.get("/")


def test_with_a_plan_it_says_cost_and_next_stint_and_when_ready(client, barn, noon):
    choose_plan(barn, noon)
    page = text(client.get("/"))
    assert "14.90 EUR to pass, by the plan" in page
    assert "1 h of work, 2 jobs" in page
    assert "Sat 14 Mar ready by the plan" in page
    assert "Next stint Sat 7 Mar , 1 job" in page


def test_a_job_done_is_no_longer_counted(client, barn, noon):
    choose_plan(barn, noon)
    DatabaseRecord().append(Ticked(time=noon, car="wren", step="do:wren-two"))
    assert "40 min of work, 1 job" in text(client.get("/"))


def test_a_plan_that_no_longer_fits_is_said(client, barn, noon):
    choose_plan(barn, noon)
    client.post("/workshop/", {"name": "Shed", "hour_worth": "10", "currency": "EUR", "today": "2026-03-05"})
    assert "no longer fits" not in text(client.get("/")), "the name changes no plan"
    client.post("/workshop/stints/2026-03-07/", {"date": "2026-03-08", "minutes": "50"})
    assert "The plan no longer fits" in text(client.get("/"))


@pytest.mark.parametrize("result", [{}, {"format": "onceapart-plan/1"}, {"format": "else"}, []])
def test_a_plan_that_can_not_be_read_is_no_plan(client, barn, noon, result):
    PlanRun.objects.create(asked_at=noon, version=barn, aim="balance", result=result, is_chosen=True)
    assert "no plan yet" in text(client.get("/"))


def test_open_snags_and_stopgaps_are_shown_until_they_are_closed(client, barn, noon):
    record = DatabaseRecord()
    snag = SnagOpened(
        id=new_id(), time=noon, car="wren", snag="broken fastener", words="stud gone", dangerous=True
    )
    record.append(snag)
    record.append(
        StopgapFitted(
            time=noon,
            car="wren",
            what="a zip tie",
            where="exhaust hanger",
            system="exhaust",
            limits=Limits(until=dt.date(2026, 3, 10)),
            job="wren-one",
        )
    )
    page = text(client.get("/"))
    assert "broken fastener: stud gone dangerous" in page
    assert "a zip tie" in page
    assert "a zip tie" in text(client.get("/workshop/cars/wren/")), "on every page of the car"
    record.append(SnagClosed(time=noon, snag=snag.id, how="drilled out"))
    assert "stud gone" not in text(client.get("/"))


def test_a_released_car_is_shown_as_released(client, barn, noon):
    record = DatabaseRecord()
    for job in ("wren-one", "wren-two"):
        record.append(Ticked(time=noon, car="wren", step=f"do:{job}"))
    work = work_of(apply_recipes(parse_workshop(SMALL)))
    asked = ask_release(record.entries(), "wren", work, noon, "Ida")
    assert isinstance(asked, ReleaseAsked)
    record.append(asked)
    for check in release_of(record.entries(), "wren", work, noon.date()).checks:
        record.append(CheckAnswered(time=noon, car="wren", check=check.id, answer="yes", who="Ida"))
    record.append(ReleaseGranted(time=noon, car="wren", who="Ida"))
    truth = release_of(record.entries(), "wren", work, dt.date(2026, 3, 5))
    page = text(client.get("/"))
    assert f"On the road {truth.status}" in page
    assert truth.is_released, truth.why


@pytest.mark.parametrize(
    ("today", "says"),
    [
        ("2026-03-20", "The inspection is today"),
        ("2026-03-22", "was due 2 days ago"),
        ("2026-03-19", "1 day "),
    ],
)
def test_the_day_of_the_inspection_comes_and_goes(client, db, noon, today, says):
    take_in(SMALL.replace("today: 2026-03-05", f"today: {today}"), at=noon)
    assert says in text(client.get("/"))


@pytest.mark.parametrize(
    ("change", "step"),
    [
        (lambda text: text.replace("jobs:", "old: #").split("old: #")[0], "Walk round the car"),
        (lambda text: text, "Make a plan"),
        (
            lambda text: (
                text + "findings: [{car: wren, item: tyre, place: front-left, seen: [cut], date: 2026-03-01}]"
            ),
            "Add the jobs",
        ),
    ],
)
def test_it_says_what_to_do_next(client, db, noon, change, step):
    take_in(change(SMALL), at=noon)
    page = text(client.get("/"))
    assert re.search(rf"Next: [^.]+\. {step} \(", page)


def test_a_workshop_without_cars_says_how_to_go_on(client, db, noon):
    take_in("format: onceapart-workshop/1\nname: Bare\ncurrency: EUR\nhour_worth: 0\n", at=noon)
    page = client.get("/").content.decode()
    assert 'href="/workshop/cars/new/"' in page


def test_unknown_rules_are_said_and_break_nothing(client, db, noon):
    take_in(SMALL.replace("due: 2026-03-20", "due: 2026-03-20, rules: moon-1"), at=noon)
    assert "rule pack moon-1" in text(client.get("/"))


def test_releases_followed_entry_by_entry_are_those_of_the_whole_record(noon):
    """Oracle: ``release_of`` over all entries, after each one."""
    applied = apply_recipes(parse_workshop(SMALL))
    standing, work = Standing(applied), work_of(applied)
    entries = ()
    for at, make in enumerate(
        [
            lambda n: Ticked(number=n, time=noon, car="wren", step="off:wren/wheel"),
            lambda n: Ticked(number=n, time=noon, car="wren", step="on:wren/wheel"),
            lambda n: ReleaseGranted(number=n, time=noon, car="wren", who="Ida"),
            lambda n: Ticked(number=n, time=noon, car="wren", step="do:wren-one"),
        ],
        start=1,
    ):
        entries = (*entries, make(at))
        on = dt.date(2026, 3, 5)
        assert standing.release(entries, "wren", on) == release_of(entries, "wren", work, on)
    shorter = entries[:2]
    assert standing.release(shorter, "wren", on) == release_of(shorter, "wren", work, on)


def test_versions_are_not_made_by_looking(client, demo_workshop):
    for url in ("/", "/workshop/cars/pickle/", "/workshop/stints/", "/changes/1/"):
        client.get(url)
    assert Version.objects.count() == 1
