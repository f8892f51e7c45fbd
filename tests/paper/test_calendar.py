"""The calendar: what stands in it, that an import updates, and that it is iCalendar as RFC 5545 has it."""

from __future__ import annotations

import datetime as dt
from collections import Counter
from dataclasses import replace
from typing import Any

import pytest
from hostile import HOSTILE, RIGHT_TO_LEFT
from icalendar import Calendar
from planned_demo import AT, SATURDAY, PlannedDemo, planned, planned_demo

from onceapart.bench.entries import (
    CheckAnswered,
    Entry,
    Ordered,
    ReleaseAsked,
    ReleaseGranted,
    Ticked,
)
from onceapart.bench.release import ask_release, release_of
from onceapart.bench.release_work import work_of
from onceapart.bench.state import fold
from onceapart.demo import read_demo
from onceapart.paper.calendar import calendar_ics
from onceapart.planning.plan import StintWork, plan_of
from onceapart.trade import apply_recipes


def made(demo: PlannedDemo, entries: tuple[Entry, ...] = (), **changed: Any) -> bytes:
    return calendar_ics(demo.work, demo.workload, demo.plan, entries, **{"at": AT, **changed})


def events(content: bytes, category: str = "") -> list[Any]:
    found = Calendar.from_ical(content).walk("VEVENT")
    return [one for one in found if not category or category in one["categories"].cats]


def uids(content: bytes, category: str = "") -> list[str]:
    return [str(one["uid"]) for one in events(content, category)]


def test_every_stint_with_work_is_there_with_its_jobs() -> None:
    demo = planned_demo()
    stints = events(made(demo), "Stint")
    assert len(stints) == len(demo.workload.stints)
    for one, stint, work in zip(stints, demo.workload.stints, demo.plan.work, strict=True):
        assert one.decoded("dtstart") == stint.date
        assert one.decoded("dtend") == stint.date + dt.timedelta(days=1)
        has_work = bool(work.jobs or work.access)
        assert str(one["status"]) == ("CONFIRMED" if has_work else "CANCELLED")
        assert str(one["description"]).count("\n- ") == len(work.jobs)


def test_with_a_time_stints_begin_then_and_last_as_long_as_they_are() -> None:
    demo = planned_demo()
    found = events(made(demo, begins=dt.time(9, 30)), "Stint")
    for one, stint in zip(found, demo.workload.stints, strict=True):
        start = one.decoded("dtstart")
        assert (start.date(), start.time(), start.tzinfo) == (stint.date, dt.time(9, 30), None)
        assert one.decoded("dtend") - start == dt.timedelta(minutes=stint.minutes)


def test_the_second_stint_of_a_day_follows_on_the_first() -> None:
    demo = planned_demo()
    first = demo.workload.stints[0]
    two = (replace(first, id="early", minutes=100), replace(first, id="late", minutes=60))
    workload = replace(demo.workload, stints=two)
    plan = replace(demo.plan, work=(StintWork(("pickle-window",)), StintWork(("pickle-speakers",))))
    content = calendar_ics(demo.work, workload, plan, at=AT, begins=dt.time(9))
    assert [one.decoded("dtstart").time() for one in events(content, "Stint")] == [
        dt.time(9),
        dt.time(10, 40),
    ]
    assert len(set(uids(content))) == len(uids(content))


def test_each_order_has_the_day_it_comes() -> None:
    demo = planned_demo()
    expected = Counter(
        (demo.workload.seller[offer.seller].name, offer.arrives)
        for name, n in demo.plan.units.items()
        if n
        for offer in [demo.workload.offer[name]]
    )
    found = [(str(one["summary"]), one.decoded("dtstart")) for one in events(made(demo), "Arrival")]
    assert sorted(found) == sorted((f"Parts from {name}", day) for name, day in expected)


def test_an_order_that_comes_later_moves_its_event() -> None:
    demo = planned_demo()
    bought = [one for one in demo.workload.offers if demo.plan.units.get(one.id)]
    seller = bought[0].seller
    mine = [one for one in bought if one.seller == seller]
    assert len({one.arrives for one in mine}) == 1
    late = mine[0].arrives + dt.timedelta(days=9)
    noted = tuple(
        Ordered(number=n, time=AT, offer=one.id, seller=seller, parts=one.parts, price=1, arrives=late)
        for n, one in enumerate(mine, start=1)
    )
    before = {str(one["uid"]): one.decoded("dtstart") for one in events(made(demo), "Arrival")}
    after = {str(one["uid"]): one.decoded("dtstart") for one in events(made(demo, noted), "Arrival")}
    assert before.keys() == after.keys()
    assert [(before[one], after[one]) for one in before if before[one] != after[one]] == [
        (mine[0].arrives, late)
    ]


def test_inspections_have_a_reminder_the_day_before() -> None:
    demo = planned_demo()
    found = events(made(demo), "Inspection")
    due = {car.name: car.inspection.due for car in demo.workshop.cars if car.inspection}
    assert {str(one["summary"]): one.decoded("dtstart") for one in found} == {
        f"Inspection due: {name}": day for name, day in due.items()
    }
    for one in found:
        (alarm,) = one.walk("VALARM")
        rings = dt.datetime.combine(one.decoded("dtstart"), dt.time()) + alarm.decoded("trigger")
        assert rings.date() == one.decoded("dtstart") - dt.timedelta(days=1)


def test_wheels_off_by_the_plan_are_to_be_retightened_after_it() -> None:
    demo = planned_demo()
    found = [one for one in events(made(demo), "Once more") if "Retightening" in str(one["summary"])]
    with_wheels = sum(
        len({name.partition("/")[0] for name in work.access if name.endswith("/wheel")})
        for work in demo.plan.work
    )
    assert with_wheels
    assert len(found) == with_wheels
    assert all(len(one.walk("VALARM")) == 2 for one in found)


def released(demo: PlannedDemo) -> tuple[Entry, ...]:
    """A record in which one job is done, all is checked, and the car is released."""
    job = "pickle-drop-links"
    entries: list[Entry] = [Ticked(number=1, time=SATURDAY, car="pickle", step=f"do:{job}")]
    for check in release_of(entries, "pickle", demo.work, SATURDAY.date()).checks:
        entries.append(
            CheckAnswered(number=len(entries) + 1, time=SATURDAY, car="pickle", check=check.id, answer="yes")
        )
    asked = ask_release(entries, "pickle", demo.work, SATURDAY)
    entries.append(asked.model_copy(update={"number": len(entries) + 1}))
    assert isinstance(entries[-1], ReleaseAsked)
    entries.append(ReleaseGranted(number=len(entries) + 1, time=SATURDAY, car="pickle", who="Ann"))
    return tuple(entries)


def test_a_release_brings_its_follow_ups() -> None:
    demo = planned_demo()
    entries = released(demo)
    held = release_of(entries, "pickle", demo.work, SATURDAY.date())
    assert held.is_released
    assert held.follow_ups
    content = calendar_ics(demo.work, demo.workload, None, entries, at=AT + dt.timedelta(days=3))
    found = events(content, "Once more")
    assert len(found) == len(held.follow_ups)
    assert all("After the release of Sat 7 Mar 2026." in str(one["description"]) for one in found)


def test_work_that_is_done_is_not_reminded_of_by_the_plan_too() -> None:
    demo = planned_demo()
    at = next(at for at, work in enumerate(demo.plan.work) if "pickle-drop-links" in work.jobs)
    works = tuple(
        StintWork(("pickle-drop-links",), work.access) if n == at else StintWork()
        for n, work in enumerate(demo.plan.work)
    )
    plan = replace(demo.plan, work=works)
    content = calendar_ics(demo.work, demo.workload, plan, released(demo), at=AT + dt.timedelta(days=3))
    state = fold(released(demo), demo.work.job_steps)
    assert state.is_job_done("pickle-drop-links")
    assert all("planned for" not in str(one["description"]) for one in events(content, "Once more"))


def test_a_second_import_updates() -> None:
    """RFC 5545, 3.8.4.7 and 3.8.7.4: same UID, higher SEQUENCE for a later revision."""
    demo = planned_demo()
    later = AT + dt.timedelta(minutes=1)
    jobs = [list(work.jobs) for work in demo.plan.work]
    other = replace(demo, plan=plan_of(demo.workload, [jobs[-1], *jobs[1:-1], []], demo.plan.units))
    first, second = made(demo), made(other, at=later)
    assert set(uids(first, "Stint")) == set(uids(second, "Stint"))
    assert set(uids(first, "Inspection")) == set(uids(second, "Inspection"))
    before = {str(one["uid"]): int(one["sequence"]) for one in events(first)}
    for one in events(second):
        assert one.decoded("last-modified") == one.decoded("dtstamp") == later
        if str(one["uid"]) in before:
            assert int(one["sequence"]) > before[str(one["uid"])]


def test_uids_are_each_of_one_event_and_of_one_workshop() -> None:
    demo = planned_demo()
    found = uids(made(demo))
    assert len(set(found)) == len(found)
    other = demo.workshop.model_copy(update={"name": "Another"})
    assert not set(found) & set(uids(made(replace(demo, work=work_of(other)))))


def test_same_bytes_for_the_same_and_in_any_zone() -> None:
    demo = planned_demo()
    elsewhere = AT.astimezone(dt.timezone(dt.timedelta(hours=2)))
    assert made(demo) == made(demo) == made(demo, at=elsewhere)
    with pytest.raises(ValueError, match="has a zone"):
        made(demo, at=AT.replace(tzinfo=None))


def test_lines_are_folded_and_end_as_they_must() -> None:
    """RFC 5545, 3.1: lines end with CR LF and have at most 75 octets."""
    content = made(planned_demo())
    assert content.count(b"\n") == content.count(b"\r\n")
    assert max(len(line) for line in content.split(b"\r\n")) <= 75
    content.decode("utf-8")


def test_it_round_trips_through_icalendar() -> None:
    content = made(planned_demo(), begins=dt.time(9))
    assert Calendar.from_ical(content).to_ical() == content


@pytest.mark.parametrize("name", [*HOSTILE, RIGHT_TO_LEFT, "a;b,c\\n:d", "BEGIN:VEVENT"])
def test_any_text_comes_through(name: str) -> None:
    workshop = read_demo().workshop
    cars = tuple(car.model_copy(update={"name": f"{name} {car.id}"}) for car in workshop.cars)
    demo = planned(apply_recipes(workshop.model_copy(update={"name": name, "cars": cars})))
    content = made(demo)
    assert str(Calendar.from_ical(content)["x-wr-calname"]) == name
    titles = {str(one["summary"]) for one in events(content, "Inspection")}
    assert titles == {f"Inspection due: {car.name}" for car in cars if car.inspection}
    assert len(events(content)) == len(events(made(planned_demo())))


def test_ids_without_a_car_and_a_place_are_ids_too() -> None:
    workshop = read_demo().workshop
    access = [one.model_copy(update={"id": "door-card"}) for one in workshop.access[:1]]
    jobs = [
        one.model_copy(update={"access": ("door-card",)})
        for one in workshop.jobs
        if workshop.access[0].id in one.access
    ]
    assert jobs
    small = workshop.model_copy(update={"access": tuple(access), "jobs": tuple(jobs)})
    demo = planned(apply_recipes(small))
    assert any("Comes off: door card." in str(one["description"]) for one in events(made(demo), "Stint"))


def test_without_a_plan_there_are_the_inspections() -> None:
    demo = planned_demo()
    content = calendar_ics(demo.work, demo.workload, None, at=AT)
    assert len(events(content)) == len(events(content, "Inspection")) == 2
