"""Jobs: listed, looked at, changed, taken out; what comes off as a picture; nothing written over."""

import datetime as dt
import itertools
import re

import pytest
from jobs_cases import TODAY, choose_plan, fields, large_text, seconds_of

from onceapart.bench.entries import SnagOpened, Ticked
from onceapart.planning.workload import workload_from
from onceapart.site.pages.jobs.access_picture import WIDTH, access_picture, wrapped
from onceapart.site.pages.jobs.looking import Looking
from onceapart.site.pages.shared import Now
from onceapart.site.store.record import DatabaseRecord
from onceapart.site.store.versions import Ref, change, current, take_in, undo, with_entry, without_entry

pytestmark = pytest.mark.django_db


def job(name):
    return next((one for one in current().workshop.jobs if one.id == name), None)


def text_of(page):
    """What a page says, without its tags."""
    return re.sub(r"\s+", " ", re.sub(r"<[^>]+>", " ", page))


def test_each_job_is_listed_with_its_title_need_minutes_and_what_it_waits_for(client, demo_workshop):
    page = text_of(client.get("/jobs/").content.decode())
    assert "CV boot, front left inspection, by Wed 1 Apr" in page
    assert "Waits: CV boot kit, front left to buy" in page
    assert "38 min and 1 h 18 to get there" in page
    assert "Brake fluid change and bleeding upkeep, worth 55.00 EUR" in page
    assert "Waits: after Wheel cylinder, rear right" in page
    assert "There is no plan yet" in page
    assert "Findings call for 2 more jobs" in page


def test_of_one_car_alone(client, demo_workshop):
    page = client.get("/jobs/?car=duchess").content.decode()
    assert "Dampers, rear" in page
    assert "CV boot" not in page
    assert client.get("/jobs/?car=nobody").status_code == 404


def test_with_a_plan_each_job_has_its_day_and_one_that_is_too_late_says_so(client, demo_workshop, noon):
    choose_plan(noon)
    page = text_of(client.get("/jobs/").content.decode())
    assert "Sat 28 Mar" in page
    assert "Sat 28 Mar: too late" in page  # the wheel cylinder is to be done by 14 March


def test_what_is_done_stands_apart_and_no_longer_waits(client, demo_workshop, noon):
    DatabaseRecord().append(Ticked(time=noon, car="pickle", step="do:pickle-wheel-cylinder"))
    page = text_of(client.get("/jobs/").content.decode())
    assert "1 job done" in page
    assert "after Wheel cylinder" not in page


def test_an_open_snag_is_what_a_job_waits_for(client, demo_workshop, noon):
    snag = SnagOpened(
        time=noon,
        car="pickle",
        snag="broken fastener",
        words="stud sheared",
        dangerous=False,
        job="pickle-cv-boot",
    )
    DatabaseRecord().append(snag)
    assert "snag: stud sheared" in client.get("/jobs/").content.decode()


def test_a_job_tells_what_it_needs_shares_and_minds(client, demo_workshop):
    page = text_of(client.get("/jobs/pickle-cv-boot/").content.decode())
    assert "9.80 EUR, Farway Direct, Fri 20 Mar" in page
    assert "Driveshaft, front left" in page or "Driveshaft" in page
    assert "shared with" in page
    assert "Boot-clip pliers : buy 11.90 EUR".replace(" :", ":") in page.replace(" :", ":")
    assert "Cautions" in page
    assert "Wheel alignment: 30 min, 48.00 EUR" in page
    assert client.get("/jobs/nothing/").status_code == 404


def test_need_and_worth_are_changed_and_all_else_stays(client, demo_workshop):
    before = job("pickle-shoes")
    sent = fields(client.get("/jobs/-/change/pickle-shoes/").content.decode())
    answer = client.post("/jobs/-/change/pickle-shoes/", {**sent, "need": "upkeep", "worth": "80,50"})
    assert (answer.status_code, answer.url) == (302, "/jobs/pickle-shoes/")
    after = job("pickle-shoes")
    assert (str(after.need), after.worth) == ("upkeep", 8050)
    assert after == before.model_copy(update={"need": after.need, "worth": 8050})
    undo(current().number, at=dt.datetime(2026, 3, 5, tzinfo=dt.UTC))
    assert job("pickle-shoes") == before


def test_saved_as_it_is_nothing_changes(client, demo_workshop):
    number = current().number
    for name in ("pickle-shoes", "pickle-window", "pickle-brake-fluid", "duchess-plate-lamp"):
        sent = fields(client.get(f"/jobs/-/change/{name}/").content.decode())
        assert client.post(f"/jobs/-/change/{name}/", sent).status_code == 302
    assert current().number == number


def test_a_recipe_is_overridden_and_given_back(client, demo_workshop):
    url = "/jobs/-/change/pickle-cv-boot/"
    sent = fields(client.get(url).content.decode())
    mine = {
        **sent,
        "own_parts": "own",
        "parts": "boot kit, universal: 2\npickle/front-left/shaft-nut",
        "minutes": "1 h",
    }
    assert client.post(url, mine).status_code == 302
    assert job("pickle-cv-boot").parts == {"pickle/boot-kit-universal": 2, "pickle/front-left/shaft-nut": 1}
    assert job("pickle-cv-boot").minutes == 60
    assert job("pickle-cv-boot").overrides == {"parts", "minutes"}
    sent = fields(client.get(url).content.decode())
    assert sent["own_parts"] == ["own"]
    assert client.post(url, {**sent, "parts": ""}).status_code == 302
    assert job("pickle-cv-boot").parts == {}
    assert "parts" in job("pickle-cv-boot").overrides  # said outright: none
    sent = fields(client.get(url).content.decode())
    assert client.post(url, {**sent, "own_parts": "recipe", "minutes": ""}).status_code == 302
    assert job("pickle-cv-boot").overrides == frozenset()


@pytest.mark.parametrize(
    ("typed", "at", "words"),
    [
        ({"minutes": "soon"}, "f-minutes-error", "minutes are whole numbers"),
        ({"need": "safety", "worth": "5"}, "f-worth-error", "must be done whatever it is worth"),
        ({"by": "2026-13-01"}, "f-by-error", "no such day"),
        ({"own_access": "own", "access": "engine-out"}, "f-access-error", "no access with this id"),
        ({"own_parts": "own", "parts": "door speaker: many"}, "f-parts-error", "pieces are whole numbers"),
        ({"after": "pickle-shoes, nowhere"}, "f-after-error", "no job with this id"),
        ({"need": "because"}, "f-need", ""),
    ],
)
def test_what_is_wrong_with_a_job_is_said_there_and_nothing_typed_is_lost(
    client, demo_workshop, typed, at, words
):
    url = "/jobs/-/change/pickle-shoes/"
    sent = fields(client.get(url).content.decode())
    answer = client.post(url, {**sent, "worth": "", **typed})
    page = answer.content.decode()
    assert answer.status_code == 422
    assert f'id="{at}"' in page
    assert words in text_of(page)
    for value in typed.values():
        assert value.split(",")[-1].strip() in page
    assert current().number == 1


def test_two_people_do_not_write_over_one_another(client, demo_workshop, noon):
    url = "/jobs/-/change/pickle-shoes/"
    sent = fields(client.get(url).content.decode())
    other = job("pickle-shoes").model_copy(update={"minutes": 99})
    change("Shoes", lambda w: with_entry(w, "jobs", other, Ref("jobs", "pickle-shoes")), at=noon, who="Mo")
    answer = client.post(url, {**sent, "minutes": "70"})
    assert answer.status_code == 422
    assert "changed meanwhile by Mo" in answer.content.decode()
    assert job("pickle-shoes").minutes == 99


def test_a_job_is_taken_out_and_what_came_after_it_no_longer_waits(client, demo_workshop):
    url = "/jobs/-/take-out/pickle-wheel-cylinder/"
    page = client.get(url).content.decode()
    assert "Brake fluid change and bleeding" in page
    assert client.post(url, fields(page)).status_code == 302
    assert job("pickle-wheel-cylinder") is None
    assert job("pickle-brake-fluid").after == ()
    said = client.get("/jobs/").content.decode()
    assert "taken out" in said
    assert "Undo" in said


def test_a_job_changed_meanwhile_is_not_taken_out(client, demo_workshop, noon):
    url = "/jobs/-/take-out/pickle-shoes/"
    sent = fields(client.get(url).content.decode())
    change("out", lambda w: without_entry(w, Ref("jobs", "pickle-drop-links")), at=noon)
    other = job("pickle-shoes").model_copy(update={"minutes": 99})
    change("Shoes", lambda w: with_entry(w, "jobs", other, Ref("jobs", "pickle-shoes")), at=noon)
    client.post(url, sent)
    assert job("pickle-shoes").minutes == 99


def test_the_picture_has_every_access_once_and_every_job_where_it_ends(client, demo_workshop):
    look = Looking(Now.of(current()))
    (of_car,) = look.jobs(["pickle"])
    drawn = access_picture(look.workload, of_car.to_do, look.names)
    opened = {name for one in of_car.to_do for name in look.workload.opened_for([one.job.id])}
    assert len(drawn.boxes) == len(opened)
    told = []

    def walk(nodes):
        for one in nodes:
            told.append(one)
            walk(one.inner)

    walk(drawn.tree)
    assert len(told) == len(opened)
    assert sum(one.minutes for one in told) == of_car.together
    by_users = sum(one.minutes * one.users for one in told)
    assert by_users == of_car.alone  # each job by itself takes each off anew
    assert {mark.number for mark in drawn.jobs} == set(range(1, 11))
    for box in drawn.boxes:
        assert box.x >= 0
        assert box.x + box.width <= WIDTH
        for line in (*box.title, *box.small):
            assert box.y < line.y < box.y + box.height
    tops = sorted((box.y, box.y + box.height) for box in drawn.boxes)
    assert all(a[1] <= b[0] for a, b in itertools.pairwise(tops))
    assert all(mark.y < drawn.height for mark in drawn.jobs)


def test_the_picture_says_the_same_in_words(client, demo_workshop, noon):
    DatabaseRecord().append(Ticked(time=noon, car="pickle", step="off:pickle/front-left/wheel"))
    page = client.get("/jobs/-/access/?car=pickle").content.decode()
    assert 'role="img"' in page
    said = text_of(page)
    assert "Wheel, front left, 8 min, shared by 5 jobs, off now" in said
    assert "7 h 32 if each job were done by itself" in said
    assert "4 h 07 if all were done at once" in said


def test_words_in_the_picture_never_run_over():
    for width in (8, 11, 40):
        lines = wrapped("Lower ball joint parted from the extraordinarilylonghubcarrier, front left", width)
        assert all(len(line) <= width for line in lines)
    assert wrapped("", 10) == []


def test_own_minutes_for_what_comes_off_and_back_to_the_librarys(client, demo_workshop):
    url = "/jobs/-/access/of/pickle/front-left/wheel/"
    sent = fields(client.get(url).content.decode())
    assert client.post(url, {**sent, "minutes": "15", "between": ""}).status_code == 302
    assert any(one.id == "pickle/front-left/wheel" and one.minutes == 15 for one in current().workshop.access)
    applied = workload_from(current().worked_out, TODAY)
    assert applied.access_by_id["pickle/front-left/wheel"].minutes == 15
    sent = fields(client.get(url).content.decode())
    assert client.post(url, {**sent, "out": "yes"}).status_code == 302
    assert all(one.id != "pickle/front-left/wheel" for one in current().workshop.access)
    answer = client.post(url, {**fields(client.get(url).content.decode()), "minutes": "long"})
    assert answer.status_code == 422


def test_something_new_that_comes_off_and_aftercare(client, demo_workshop):
    assert client.post("/jobs/-/access/new/pickle/", {"id": "Glove box", "minutes": "20"}).status_code == 302
    assert current().workshop.access[-1].id == "pickle/glove-box"
    assert (
        client.post(
            "/jobs/-/aftercare/new/pickle/", {"id": "smoke test", "minutes": "5", "price": "4"}
        ).status_code
        == 302
    )
    assert current().workshop.aftercare[-1].price == 400
    again = client.post("/jobs/-/access/new/pickle/", {"id": "Glove box", "minutes": "20"})
    assert again.status_code == 422
    assert "another access" in again.content.decode()
    assert client.get("/jobs/-/nonsense/new/pickle/").status_code == 404
    assert client.get("/jobs/-/access/of/pickle/nonsense/").status_code == 404


def test_an_empty_workshop_says_what_to_do(client, db, noon):
    take_in('format: onceapart-workshop/1\nname: "A"\ncurrency: EUR\nhour_worth: 1\n', at=noon)
    for url in ("/jobs/", "/jobs/-/access/", "/jobs/-/library/", "/jobs/-/by-hand/"):
        assert "Put one in" in client.get(url).content.decode()
    assert client.get("/jobs/-/from-findings/").status_code == 200


QUERIES = {
    "/jobs/": 3,
    "/jobs/car-1-brake-discs/": 4,
    "/jobs/-/access/?car=car-1": 4,
    "/jobs/-/library/?car=car-1": 1,
    "/jobs/-/recipe/car-1/-/damper/": 3,
    "/jobs/-/from-findings/": 1,
    "/jobs/-/change/car-1-damper/": 3,
}


def test_pages_of_a_large_workshop_ask_the_database_little_and_take_little_time(
    client, db, noon, django_assert_max_num_queries
):
    take_in(large_text(), at=noon)
    choose_plan(noon)
    for url, queries in QUERIES.items():
        client.get(url)
        with django_assert_max_num_queries(queries):
            assert seconds_of(client, url) < 0.2, url
