"""Adding jobs: the library searched in plain words, a recipe at a place, by hand, and from findings."""

import re

import pytest
from jobs_cases import fields
from test_jobs import job, text_of

from onceapart.site.store.versions import change, current, undo
from onceapart.trade import load_recipe, recipe_ids
from onceapart.trade.fitting import suited_places
from onceapart.workshop import Layout

pytestmark = pytest.mark.django_db


def test_all_recipes_are_there_without_words_those_that_do_not_suit_apart(client, demo_workshop):
    page = client.get("/jobs/-/library/?car=pickle").content.decode()
    for name in recipe_ids():
        recipe = load_recipe(name)
        suits = bool(suited_places(recipe, Layout()))
        assert (f"/jobs/-/recipe/pickle/-/{name}/" in page) == suits
        assert recipe.title in page
    assert "for cars built otherwise" in page


def test_what_nothing_suits_may_be_written_by_hand(client, demo_workshop):
    page = client.get("/jobs/-/library/?car=pickle&q=zebra").content.decode()
    assert "nothing that suits" in page
    assert "/jobs/-/by-hand/?car=pickle&amp;q=zebra" in page


def test_a_recipe_shows_what_it_brings_to_that_place(client, demo_workshop):
    front = text_of(client.get("/jobs/-/recipe/pickle/-/brake-pads/?place=front").content.decode())
    assert "1 × Brake pad set, front: from 14.50 EUR, Farway Direct" in front
    assert "Caliper moved aside, front left, 8 min" in front
    assert "off anyway for" in front
    assert "Bedding-in" in front
    assert "caution" in front
    page = client.get("/jobs/-/recipe/pickle/-/cv-boot/?place=front-right").content.decode()
    assert "CV boot kit, front right" in page
    assert "nobody sells it yet" in page
    assert client.get("/jobs/-/recipe/pickle/-/nothing/").status_code == 404
    assert client.get("/jobs/-/recipe/nobody/-/cv-boot/").status_code == 404


def test_places_are_those_that_suit_how_the_car_is_built(client, demo_workshop):
    def places(car):
        page = client.get(f"/jobs/-/recipe/{car}/-/brake-discs/").content.decode()
        return re.findall(r'href="\?place=([a-z-]+)"', page)

    assert places("pickle") == []  # discs in front, drums behind: one place, nothing to choose
    assert places("duchess") == ["front", "rear"]


def test_a_job_is_added_from_the_library(client, demo_workshop):
    url = "/jobs/-/recipe/duchess/-/brake-discs/"
    sent = fields(client.get(f"{url}?place=rear").content.decode())
    answer = client.post(url, {**sent, "need": "upkeep", "worth": "40"})
    assert answer.status_code == 302
    new = job("duchess-brake-discs-rear")
    assert (new.recipe, new.place, new.worth, str(new.need)) == ("brake-discs", "rear", 4000, "upkeep")
    assert answer.url == "/jobs/duchess-brake-discs-rear/"
    assert "has such a job already" in text_of(client.get(f"{url}?place=rear").content.decode())
    client.post(url, {**sent, "need": "wish"})
    assert job("duchess-brake-discs-rear-2") is not None


def test_tools_that_it_asks_for_come_into_the_list(client, demo_workshop, noon):
    keep = {
        "ball-joint-splitter",
        "piston-wind-back-tool",
        "boot-clip-pliers",
        "pipe-flaring-tool",
        "bearing-press-set",
    }

    def without_springs(workshop):
        return workshop.model_copy(
            update={
                "tools": tuple(one for one in workshop.tools if one.id in keep),
                "jobs": tuple(one for one in workshop.jobs if one.recipe != "coil-spring"),
            }
        )

    change("out", without_springs, at=noon)
    url = "/jobs/-/recipe/duchess/-/coil-spring/"
    sent = fields(client.get(url).content.decode())
    assert client.post(url, {**sent, "need": "safety", "have_spring-compressor": "yes"}).status_code == 302
    assert [one.have for one in current().workshop.tools if one.id == "spring-compressor"] == [True]


@pytest.mark.parametrize(
    "typed",
    [{"need": ""}, {"worth": "much"}, {"need": "safety", "worth": "4"}, {"place": "cabin"}, {"by": "soon"}],
)
def test_a_job_from_the_library_that_can_not_be_is_refused(client, demo_workshop, typed):
    answer = client.post(
        "/jobs/-/recipe/duchess/-/brake-discs/", {"need": "upkeep", "place": "rear", **typed}
    )
    assert answer.status_code == 422
    assert "Not saved yet" in answer.content.decode()
    assert current().number == 1


def test_a_job_by_hand(client, demo_workshop):
    url = "/jobs/-/by-hand/?car=pickle"
    sent = fields(client.get(url).content.decode())
    answer = client.post(
        url,
        {
            **sent,
            "title": "Mend the glove box",
            "need": "wish",
            "minutes": "0:30",
            "worth": "12",
            "access": ["pickle/passenger-door-card", ""],
            "parts": "glove box hinge: 2",
            "tools": ["ball-joint-splitter"],
            "after": ["pickle-window"],
            "between": "20 to 60",
        },
    )
    assert answer.status_code == 302
    new = job("pickle-mend-the-glove-box")
    assert new.minutes == 30
    assert new.between == (20, 60)
    assert new.parts == {"pickle/glove-box-hinge": 2}
    assert new.access == ("pickle/passenger-door-card",)
    assert (new.tools, new.after) == (("ball-joint-splitter",), ("pickle-window",))
    assert "Mend the glove box" in client.get("/jobs/").content.decode()


def test_by_hand_the_car_is_asked_for(client, demo_workshop):
    page = client.get("/jobs/-/by-hand/").content.decode()
    assert 'href="?car=pickle"' in page
    assert 'href="?car=duchess"' in page


@pytest.mark.parametrize(
    ("typed", "words"),
    [
        ({"title": ""}, "it has no name yet"),
        ({"minutes": ""}, "a job has minutes or a recipe"),
        ({"minutes": "-3"}, "not negative"),
        ({"access": "roof"}, "no access with this id"),
        ({"between": "60 to 20"}, "the good case is the shortest"),
        ({"parts": "a: b: c"}, "pieces"),
    ],
)
def test_what_is_wrong_by_hand_is_said_and_kept(client, demo_workshop, typed, words):
    sent = {"title": "Mend it all", "need": "wish", "minutes": "30", **typed}
    answer = client.post("/jobs/-/by-hand/?car=pickle", sent)
    page = answer.content.decode()
    assert answer.status_code == 422
    assert words in text_of(page)
    assert sent["title"] in page
    assert current().number == 1


def test_findings_call_for_jobs_that_are_added_one_by_one(client, demo_workshop):
    page = client.get("/jobs/-/from-findings/").content.decode()
    assert "Wheel cylinder, rear left" in page
    assert "major" in page
    sent = fields(page, containing="Add<span")
    assert client.post("/jobs/-/from-findings/", sent).status_code == 302
    (name,) = sent["job"]
    assert job(name) is not None
    assert len(current().workshop.jobs) == 18
    client.post("/jobs/-/from-findings/", sent)  # pressed once more, or by somebody else
    assert len(current().workshop.jobs) == 18
    assert "Nothing was added" in client.get("/jobs/-/from-findings/").content.decode()


def test_all_that_findings_call_for_are_added_at_once_and_undone(client, demo_workshop, noon):
    page = client.get("/jobs/-/from-findings/").content.decode()
    sent = fields(page, containing="Add all")
    assert client.post("/jobs/-/from-findings/", sent).status_code == 302
    assert len(current().workshop.jobs) == 19
    assert (
        "Every finding that does not pass has its job"
        in client.get("/jobs/-/from-findings/").content.decode()
    )
    undo(current().number, at=noon)
    assert len(current().workshop.jobs) == 17


def test_what_no_finding_calls_for_is_not_added(client, demo_workshop):
    client.post("/jobs/-/from-findings/", {"job": ["pickle-strut-front", "x"]})
    assert current().number == 1
