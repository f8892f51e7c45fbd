"""The plan page: asked for, made, shown whole, held against others, worked by; and what can't be asked."""

import datetime as dt

import pytest
from django.test import Client

from onceapart.planning.plan import Aim
from onceapart.site.pages.plan.picture import Way, picture_of
from onceapart.site.server.worker import Stopper, work_through
from onceapart.site.store import runs
from onceapart.site.store.models import PlanRun
from onceapart.site.store.versions import change, current, with_entry
from onceapart.site.store.wishes import Wishes

pytestmark = pytest.mark.django_db
DAY = dt.date(2026, 3, 5)


@pytest.fixture(autouse=True)
def in_the_foreground(settings):
    settings.PLANS_IN_BACKGROUND = False


def made(noon, aim=Aim.BALANCE, wishes=None):
    """A plan of the demo, made and done."""
    run = runs.ask(aim, wishes, at=noon)
    work_through(Stopper())
    return PlanRun.objects.get(pk=run.pk)


def page_of(client, address, status=200):
    answer = client.get(address)
    assert answer.status_code == status
    return answer.content.decode()


def test_without_a_plan_it_says_how_to_get_one(client, demo_workshop):
    page = page_of(client, "/plan/")
    assert "You work by no plan yet" in page
    for aim in Aim:
        assert f'value="{aim.value}"' in page


def test_before_there_is_a_workshop_it_asks_for_one(client, db):
    assert client.get("/plan/").headers["Location"] == "/take-in/"


def test_a_plan_is_asked_for_made_and_shown_whole(client, demo_workshop):
    answer = client.post("/plan/ask/", {"aim": "balance"})
    run = PlanRun.objects.get()
    assert answer.headers["Location"] == f"/plan/{run.pk}/"
    waiting = page_of(client, f"/plan/{run.pk}/")
    assert "Waiting for its turn" in waiting
    assert 'http-equiv="refresh"' in waiting  # for who has no JavaScript
    work_through(Stopper())
    page = page_of(client, f"/plan/{run.pk}/")
    now = current()
    plan = PlanRun.objects.get().result
    assert "No plan is cheaper." in page
    for job in now.workshop.jobs:
        assert job.id in page, job.id
    for stint in plan["stints"]:
        for name in stint["jobs"]:
            assert name in page
    assert "658.40" in page  # regression: the demo's money
    assert page.count("is-inspection") == 2


def test_progress_is_a_piece_of_the_page_and_ends_with_the_whole_one(client, demo_workshop, noon):
    run = runs.ask(Aim.BALANCE, at=noon)
    first = client.get(f"/plan/{run.pk}/progress/")
    assert "hx-get" in first.content.decode()
    assert "HX-Refresh" not in first.headers
    work_through(Stopper())
    last = client.get(f"/plan/{run.pk}/progress/")
    assert last.headers["HX-Refresh"] == "true"
    assert "hx-get" not in last.content.decode()


def test_a_plan_is_worked_by_and_another_in_its_place(client, demo_workshop, noon):
    one, other = made(noon), made(noon, Aim.THRIFT)
    client.post(f"/plan/{one.pk}/choose/")
    assert runs.chosen().pk == one.pk
    assert f"(plan {one.pk})" in page_of(client, "/plan/")
    client.post(f"/plan/{other.pk}/choose/")
    page = page_of(client, "/plan/")
    assert f"(plan {other.pk})" in page
    assert f"The one before is plan {one.pk}" in page
    client.post("/plan/none/")
    assert runs.chosen() is None


def test_wishes_are_kept_and_their_price_is_said_against_the_plan_worked_by(client, demo_workshop, noon):
    one = made(noon)
    runs.choose(one.pk)
    jobs = [job.id for job in current().workshop.jobs]
    at = jobs.index("pickle-cv-boot")
    client.post("/plan/ask/", {"aim": "balance", f"held-{at}": "2026-03-21", "without": ["brimbeck"]})
    work_through(Stopper())
    run = PlanRun.objects.order_by("pk").last()
    assert run.wishes == {"held": {"pickle-cv-boot": "2026-03-21"}, "without_sellers": ["brimbeck"]}
    page = page_of(client, f"/plan/{run.pk}/")
    assert "pickle-cv-boot held to 2026-03-21" in page
    assert "nothing from Brimbeck Brakes" in page
    assert f"Against plan {one.pk}" in page
    assert "pickle-cv-boot is done on 21 March instead of" in page
    stint = next(one for one in run.result["stints"] if one["date"] == "2026-03-21")
    assert "pickle-cv-boot" in stint["jobs"]
    assert "brimbeck" not in [order["seller"] for order in run.result["orders"]]


def test_an_impossible_wish_says_why(client, demo_workshop, noon):
    run = made(noon, wishes=Wishes(due={"pickle": dt.date(2026, 3, 6)}))
    page = page_of(client, f"/plan/{run.pk}/")
    assert "No plan is possible" in page
    assert len(run.result["why"]) >= 1
    answer = client.post(f"/plan/{run.pk}/choose/", follow=True)
    assert "has no plan" in answer.content.decode()
    assert runs.chosen() is None


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ({"aim": "balance", "due-0": "soon"}, "soon: a date is wanted"),
        ({"aim": "balance", "held-0": "2031-01-01"}, "2031-01-01: there is no such stint"),
        ({"aim": "cheapest"}, "cheapest: there is no such aim"),
    ],
)
def test_what_makes_no_sense_is_refused_and_kept(client, demo_workshop, typed, said):
    answer = client.post("/plan/ask/", typed)
    page = answer.content.decode()
    assert answer.status_code == 422
    assert said in page
    assert not PlanRun.objects.exists()


def test_a_run_that_waits_is_stopped(client, demo_workshop, noon):
    run = runs.ask(Aim.BALANCE, at=noon)
    client.post(f"/plan/{run.pk}/stop/")
    assert PlanRun.objects.get().stage == "stopped"
    assert "stopped before it was begun" in page_of(client, f"/plan/{run.pk}/")


def test_an_old_plan_says_that_it_is_old(client, demo_workshop, noon):
    run = made(noon)
    runs.choose(run.pk)
    job = current().workshop.jobs[0]
    change(
        "Longer",
        lambda w: with_entry(w, "jobs", job.model_copy(update={"minutes": 77}), ref_of_job(job.id)),
        at=noon,
    )
    page = page_of(client, "/plan/")
    assert "has changed since this plan was made" in page
    assert "as it was in version 1" in page_of(client, f"/plan/{run.pk}/")


def ref_of_job(name):
    from onceapart.site.store.versions import Ref

    return Ref("jobs", name)


def test_aims_and_plain_ways_are_held_against_one_another(client, demo_workshop):
    client.post("/plan/ask-all/")
    assert PlanRun.objects.count() == 4
    work_through(Stopper())
    page = page_of(client, "/plan/")
    for name in ("Least money", "Ready soonest", "Least work", "Each job on its own", "line by line"):
        assert name in page
    assert "<circle" in page


@pytest.mark.parametrize("address", ["/plan/99/", "/plan/99/progress/"])
def test_there_is_no_such_run(client, demo_workshop, address):
    assert client.get(address).status_code == 404
    assert client.post("/plan/99/stop/").status_code == 404
    assert client.post("/plan/99/choose/").status_code == 404


def test_nothing_is_changed_without_the_token(demo_workshop):
    strict = Client(enforce_csrf_checks=True)
    assert strict.post("/plan/ask/", {"aim": "balance"}).status_code == 403
    assert not PlanRun.objects.exists()


def test_pages_need_few_queries(client, demo_workshop, noon, django_assert_max_num_queries):
    run = made(noon)
    runs.choose(run.pk)
    for address in ("/plan/", f"/plan/{run.pk}/"):
        client.get(address)
        with django_assert_max_num_queries(9):
            client.get(address)


def test_the_picture_keeps_money_up_days_right_and_its_ways_apart():
    ways = [
        Way("a", 50_000, DAY, 60),
        Way("b", 40_000, DAY + dt.timedelta(10), 60),
        Way("c", 40_000, DAY + dt.timedelta(10), 60),
        Way("d", 90_000, None, 60),
    ]
    picture = picture_of(ways)
    a, both = picture.spots
    assert a.y < both.y
    assert a.x < both.x
    assert both.names == ("b", "c")
    assert picture_of(ways[:1]) is None
