"""The frame of every page: no script or style inside, menu, units, who it is, mishaps."""

import re

import pytest
from django.test import Client

from onceapart.site.store.versions import current

pytestmark = pytest.mark.django_db
PAGES = (
    "/",
    "/take-in/",
    "/workshop/",
    "/workshop/stints/",
    "/workshop/stints/2026-03-07/",
    "/workshop/tools/",
    "/workshop/tools/spring-compressor/",
    "/workshop/cars/new/",
    "/workshop/cars/pickle/",
    "/workshop/cars/pickle/take-out/",
    "/changes/",
    "/changes/1/",
)


@pytest.mark.parametrize("url", PAGES)
def test_every_page_keeps_to_the_content_policy(client, demo_workshop, url):
    answer = client.get(url)
    page = answer.content.decode()
    assert answer.status_code == 200
    assert not re.search(r"<style|<[a-z][^>]* style=|<[a-z][^>]* on[a-z]+=|javascript:", page)
    assert all("src=" in tag for tag in re.findall(r"<script[^>]*>", page))
    assert not re.search(r"""(?:src|href|action)=["']?(?:https?:)?//""", page), "nothing from elsewhere"
    assert "default-src 'none'" in answer["Content-Security-Policy"]


@pytest.mark.parametrize("url", PAGES)
def test_every_page_has_one_heading_and_one_main(client, demo_workshop, url):
    page = client.get(url).content.decode()
    assert page.count("<h1") == 1
    assert page.count("<main") == 1
    ids = re.findall(r'\bid="([^"]+)"', page)
    assert len(ids) == len(set(ids)), "ids are used once"
    for name in re.findall(r'aria-(?:describedby|labelledby)="([^"]+)"', page):
        assert set(name.split()) <= set(ids)


@pytest.mark.parametrize("url", PAGES)
def test_every_page_asks_the_database_little(client, demo_workshop, django_assert_max_num_queries, url):
    client.get(url)
    with django_assert_max_num_queries(4):
        client.get(url)


def test_every_form_carries_its_token_and_none_is_taken_without(demo_workshop):
    client = Client(enforce_csrf_checks=True)
    for url in PAGES:
        page = client.get(url).content.decode()
        for form in re.findall(r'<form method="post".*?</form>', page, re.S):
            assert 'name="csrfmiddlewaretoken"' in form
    answer = client.post("/workshop/", {"name": "Stolen"})
    assert answer.status_code == 403
    assert "Nothing was changed" in answer.content.decode()
    assert current().workshop.name == "Weir Street"


def test_the_menu_says_where_one_is(client, demo_workshop):
    page = client.get("/changes/").content.decode()
    assert re.search(r'<a href="/changes/" aria-current="page">', page)
    assert 'href="/cars/pickle/findings/"' in page, "findings of the first car"


def test_units_are_kept_on_this_browser_and_lead_back(client, demo_workshop):
    answer = client.post("/units/", {"units": "imperial", "to": "/workshop/tools/"})
    assert answer["Location"] == "/workshop/tools/"
    assert "in, mi" in client.get("/").content.decode()
    client.post("/units/", {"units": "metric", "to": "/"})
    assert "mm, km" in client.get("/").content.decode()


@pytest.mark.parametrize("to", ["https://elsewhere.example/", "//elsewhere.example", "javascript:1", "\\\\x"])
def test_units_never_lead_elsewhere(client, demo_workshop, to):
    assert client.post("/units/", {"units": "metric", "to": to})["Location"] == "/"


def test_odd_cookies_are_taken_as_metric(client, demo_workshop):
    client.cookies["units"] = "<script>"
    assert "mm, km" in client.get("/").content.decode()


@pytest.mark.parametrize("url", ["/", "/workshop/", "/changes/", "/workshop.yaml", "/workshop/cars/new/"])
def test_before_there_is_a_workshop_all_lead_to_the_page_that_takes_one_in(client, db, url):
    assert client.get(url)["Location"] == "/take-in/"


@pytest.mark.parametrize(
    "url",
    ["/nowhere/", "/workshop/cars/wren/", "/workshop/tools/hammer/", "/workshop/stints/x/", "/changes/99/"],
)
def test_what_is_not_there_is_said_in_words_with_ways_on(client, demo_workshop, url):
    answer = client.get(url)
    assert answer.status_code == 404
    page = answer.content.decode()
    assert "Nothing here" in page
    assert 'href="/changes/"' in page


@pytest.mark.parametrize("name", ["<b>&\"'", "x" * 200, "長い" * 60, "؀ עברית"])
def test_names_are_shown_as_they_are_and_break_nothing(client, demo_workshop, name):
    answer = client.post("/workshop/", {"name": name, "hour_worth": "11", "currency": "EUR"})
    assert answer.status_code == 302
    page = client.get("/").content.decode()
    assert '<b>&"' not in page
    assert current().workshop.name == name


def test_who_it_was_is_said_with_the_change(client, demo_workshop):
    client.post("/workshop/you/", {"who": "  Ida   Berg "})
    client.post("/workshop/tools/", {"id": "press", "have": "true"})
    assert "Ida Berg" in client.get("/changes/").content.decode()
