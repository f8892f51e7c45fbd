"""The release pages: they say what the engine says, and nothing else makes a car released."""

import datetime as dt
import re

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from site_bench import YARD, entries, words, yard, yard_card

from onceapart.bench.entries import (
    Limits,
    ReleaseGranted,
    SnagOpened,
    StopgapFitted,
    Ticked,
)
from onceapart.bench.release import release_of
from onceapart.bench.release_work import work_of
from onceapart.site.store.record import DatabaseRecord
from onceapart.trade import apply_recipes
from onceapart.workshop import parse_workshop

pytestmark = pytest.mark.django_db
DAY = dt.datetime(2026, 3, 7, 9, tzinfo=dt.UTC)
WORK = work_of(apply_recipes(parse_workshop(YARD)))
TODAY = dt.date(2026, 3, 7)


@pytest.fixture
def worked_on(db, noon):
    """All work on the Wren is ticked, and nothing is answered."""
    yard(noon)
    record = DatabaseRecord()
    for step in yard_card().steps:
        if step.car == "wren" and step.kind not in ("check", "aftercare"):
            record.append(Ticked(time=DAY, car="wren", step=step.id, stint="2026-03-07"))
    return record


def engine(car="wren"):
    return release_of(DatabaseRecord().entries(), car, WORK, TODAY)


def post(client, what, car="wren", **form):
    return client.post(f"/cars/{car}/release/{what}/", form, follow=True)


def answer_all(client):
    for number, check in enumerate(engine().checks):
        post(client, "answer", check=check.id, answer="yes", once=f"c{number}")


def test_it_says_of_each_car_what_the_engine_says(client, worked_on):
    for car in ("wren", "heron"):
        text, found = words(client.get(f"/cars/{car}/release/")), engine(car)
        assert str(found.status) in text
        for check in found.checks:
            assert check.title in text
            assert check.words in text
        if found.checks:
            assert f"{len(found.checks)} checks are not answered" in text
    assert client.get("/cars/finch/release/").status_code == 404


def test_answers_in_order_and_a_name_let_the_car_go(client, worked_on):
    assert "not released" in words(client.get("/cars/wren/release/"))
    answer_all(client)
    page = post(client, "grant", name="A. Finch", odometer="143200 km", once="g")
    text = words(page)
    assert engine().is_released
    assert "released with follow-ups due" in text
    assert "By A. Finch" in text
    assert "143250" in text  # wheel nuts again, 50 km on
    assert [one["kind"] for one in entries()][-2:] == ["release asked", "release granted"]
    assert entries()[-1]["who"] == "A. Finch"
    post(client, "grant", name="A. Finch", odometer="143200 km", once="g")  # the same form once more
    assert [one["kind"] for one in entries()].count("release granted") == 1


def test_each_check_is_a_question_with_yes_and_no_and_leads_to_the_next(client, worked_on):
    page = client.get("/cars/wren/release/").content.decode()
    checks = engine().checks
    assert len(re.findall(r'name="answer" value="yes"', page)) == len(checks)
    assert len(re.findall(r'name="answer" value="no"', page)) == len(checks)
    answer = client.post("/cars/wren/release/answer/", {"check": checks[0].id, "answer": "yes", "once": "a"})
    assert answer.status_code == 302
    assert answer.url.endswith("#" + checks[1].id.replace("/", "-"))


def test_a_no_is_kept_with_its_words_and_stands_against_it(client, worked_on):
    answer_all(client)
    page = post(client, "answer", check="wren/pedal-hard", answer="no", words="sinks slowly", once="no")
    text = words(page)
    assert "was answered with no" in text
    assert "sinks slowly" in text
    assert post(client, "grant", name="A. Finch", once="g").status_code == 422
    assert "release granted" not in [one["kind"] for one in entries()]


def test_the_pedal_comes_before_the_engine_and_the_car_moves_last(client, worked_on):
    page = post(client, "answer", check="wren/brakes-slow-try", answer="yes", once="early")
    assert page.status_code == 422
    assert "too early" in words(page)
    assert "Pedal hard" in words(page)
    assert not any(one["kind"] == "check answered" for one in entries())


@pytest.mark.parametrize(
    ("form", "said"),
    [
        ({"check": "wren/coffee", "answer": "yes"}, "not asked for yet"),
        ({"check": "wren/nothing-left", "answer": "maybe"}, "maybe"),
        ({"check": "wren/nothing-left", "answer": "yes", "value": "tight"}, "tight"),
        ({"check": "heron/nothing-left", "answer": "yes"}, "not asked for yet"),
        ({"check": "wren/nothing-left", "answer": "yes", "odometer": "far"}, "far"),
    ],
)
def test_an_answer_that_makes_no_sense_is_refused_and_kept_in_the_form(client, worked_on, form, said):
    page = post(client, "answer", once="x", **form)
    assert page.status_code == 422
    assert said in words(page) or said in page.content.decode()
    assert not any(one["kind"] == "check answered" for one in entries())


def test_a_grant_without_a_name_or_before_its_time_is_refused(client, worked_on):
    assert post(client, "grant", name="A. Finch", once="g1").status_code == 422
    answer_all(client)
    page = post(client, "grant", name="  ", odometer="143200 km", once="g2")
    assert page.status_code == 422
    assert 'value="143200 km"' in page.content.decode()
    assert not engine().is_released


def test_a_grant_that_came_into_the_record_by_another_way_is_not_believed(client, worked_on):
    worked_on.append(ReleaseGranted(time=DAY, car="wren", who="A. Finch"))
    text = words(client.get("/cars/wren/release/"))
    assert "not released" in text
    assert "no release holds" in text.lower()


def test_new_work_and_a_withdrawal_take_it_back(client, worked_on):
    answer_all(client)
    post(client, "grant", name="A. Finch", once="g")
    assert engine().is_released
    page = post(client, "withdraw", why="", once="w0")
    assert page.status_code == 422
    assert engine().is_released
    text = words(post(client, "withdraw", why="a knock from the left", once="w"))
    assert "not released" in text
    assert "a knock from the left" in text


def test_asking_fixes_the_checks_and_follow_ups_are_ticked(client, worked_on):
    post(client, "ask", once="a")
    asked = entries()[-1]
    assert asked["kind"] == "release asked"
    assert asked["checks"] == [one.id for one in engine().checks]
    answer_all(client)
    post(client, "grant", name="A. Finch", odometer="143200 km", once="g")
    assert len(engine().follow_ups) == 3
    page = post(client, "follow-up", follow_up="wren/retighten-wheels", odometer="143199 km", once="f")
    assert page.status_code == 422
    assert "never goes back" in words(page)
    post(client, "follow-up", follow_up="wren/retighten-wheels", odometer="143260 km", once="f")
    assert len(engine().follow_ups) == 2
    assert engine().is_released


def test_a_car_driven_on_without_its_follow_up_is_not_released(client, worked_on):
    answer_all(client)
    post(client, "grant", name="A. Finch", odometer="143200 km", once="g")
    text = words(post(client, "odometer", odometer="143420 km", once="o"))
    assert "not released" in text
    assert "143420 km" in text


@pytest.mark.parametrize("odometer", ["", "far", "-3 km", "143200 miles and more", "99999999 km"])
def test_an_odometer_that_is_none_is_refused(client, worked_on, odometer):
    count = len(entries())
    assert post(client, "odometer", odometer=odometer, once="o").status_code == 422
    assert len(entries()) == count


def wire(**more):
    given = {
        "time": DAY, "car": "wren", "what": "two turns of wire", "where": "rear box", "system": "exhaust",
        "limits": Limits(until=dt.date(2026, 3, 20)), "job": "wren-exhaust", **more,
    }  # fmt: skip
    return StopgapFitted(**given)


def test_a_stopgap_is_signed_and_closed_only_when_it_is_made_good(client, db, noon):
    yard(noon)
    record = DatabaseRecord()
    fitted = record.append(wire())
    assert "two turns of wire" in words(client.get("/cars/wren/release/"))
    page = post(client, "made-good", stopgap=fitted.id, once="m0")
    assert page.status_code == 422
    assert "was not done since" in words(page)
    post(client, "sign", stopgap=fitted.id, name="A. Finch", once="s")
    assert "Signed by A. Finch" in words(client.get("/cars/wren/release/"))
    record.append(Ticked(time=DAY, car="wren", step="do:wren-exhaust"))
    text = words(post(client, "made-good", stopgap=fitted.id, once="m1"))
    assert "was made good" in text
    assert engine().stopgaps == ()
    assert post(client, "sign", stopgap=fitted.id, name="B", once="s2").status_code == 404


def test_a_makeshift_in_the_brakes_says_do_not_drive_whoever_signs(client, worked_on):
    fitted = worked_on.append(wire(system="brakes"))
    answer_all(client)
    post(client, "sign", stopgap=fitted.id, name="A. Finch", once="s")
    text = words(client.get("/cars/wren/release/"))
    assert "DO NOT DRIVE" in text
    assert post(client, "grant", name="A. Finch", once="g").status_code == 422


def test_a_distance_limit_wants_the_odometer_with_the_release(client, db, noon):
    yard(noon)
    DatabaseRecord().append(
        wire(limits=Limits(distance="300 km"), odometer="143200 km", signed_by="A. Finch")
    )
    answer_all(client)
    page = post(client, "grant", name="A. Finch", once="g")
    assert page.status_code == 422
    assert "odometer" in words(page)
    assert engine().is_released is False
    post(client, "grant", name="A. Finch", odometer="143201 km", once="g2")
    assert engine().is_released


def test_a_dangerous_snag_stands_against_it_until_it_is_closed(client, worked_on):
    answer_all(client)
    snag = worked_on.append(
        SnagOpened(time=DAY, car="wren", snag="damage found", words="hose chafed", dangerous=True)
    )
    answer_all(client)
    assert "hose chafed" in words(client.get("/cars/wren/release/"))
    assert post(client, "grant", name="A. Finch", once="g").status_code == 422
    client.post(f"/bench/snags/{snag.number}/close/", {"how": " ", "to": "release"})
    assert DatabaseRecord().state().open_snags("wren")
    client.post(f"/bench/snags/{snag.number}/close/", {"how": "hose renewed", "to": "release"})
    assert not DatabaseRecord().state().open_snags("wren")


def test_a_few_queries_whatever_the_record_holds(client, worked_on):
    client.get("/cars/wren/release/")
    answer_all(client)
    client.get("/cars/wren/release/")
    with CaptureQueriesContext(connection) as found:
        client.get("/cars/wren/release/")
    assert len(found) <= 4


def test_what_stands_against_it_is_said_in_words_and_not_in_ids(client, db, noon):
    yard(noon)
    steps = ("off:wren/front/on-stands", "off:wren/front-left/wheel", "do:wren-exhaust:joints")
    for step in steps:
        DatabaseRecord().append(Ticked(time=DAY, car="wren", step=step))
    text = words(client.get("/cars/wren/release/"))
    assert "Wheel, front left is still off" in text
    assert "The front is still on stands" in text
    assert "is begun and not done (3 of 4 steps open)" in text
    assert "wren-exhaust" not in text
    assert len(engine().against) - len(engine().checks) == 3
