"""The list of changes, what each did, and undoing: in any order, with a clear word where it can't be."""

import pytest

from onceapart.demo import read_demo
from onceapart.site.pages.changes import views
from onceapart.site.pages.changes.compare import changed_entries, grouped
from onceapart.site.store.models import Version
from onceapart.site.store.versions import change, current
from onceapart.workshop import Workshop

pytestmark = pytest.mark.django_db


def press(client, hire):
    return client.post("/workshop/tools/bearing-press-set/", {"hire": hire, "buy": "89"})


def text(answer):
    return answer.content.decode().replace("&#x27;", "'")


def test_each_change_is_listed_with_an_undo_but_the_first(client, demo_workshop):
    press(client, "20")
    page = text(client.get("/changes/"))
    assert "Tool bearing-press-set changed" in page
    assert 'action="/changes/2/undo/"' in page
    assert 'action="/changes/1/undo/"' not in page


def test_a_change_says_what_it_did_key_by_key(client, demo_workshop):
    press(client, "20")
    page = text(client.get("/changes/2/"))
    assert "14.00 EUR" in page
    assert "20.00 EUR" in page
    assert "89.00" not in page, "what stayed is not shown"


def test_undo_puts_the_entry_back_and_can_be_undone(client, demo_workshop):
    press(client, "20")
    page = text(client.post("/changes/2/undo/", follow=True))
    assert current().workshop == read_demo().workshop
    assert "Undone: Tool bearing-press-set changed" in page
    client.post("/changes/3/undo/")
    assert next(t for t in current().workshop.tools if t.id == "bearing-press-set").hire == 2000


def test_an_earlier_change_can_be_undone_when_later_ones_touched_other_entries(client, demo_workshop):
    press(client, "20")
    client.post("/workshop/stints/", {"date": "2026-05-02", "minutes": "60", "weeks": "1"})
    client.post("/changes/2/undo/")
    workshop = current().workshop
    assert workshop.tools == read_demo().workshop.tools
    assert len(workshop.stints) == len(read_demo().workshop.stints) + 1


def test_it_is_said_which_later_change_has_to_be_undone_first(client, demo_workshop):
    press(client, "20")
    press(client, "25")
    page = text(client.post("/changes/2/undo/", follow=True))
    assert "Not undone" in page
    assert "change 3" in page
    assert Version.objects.count() == 3


def test_it_is_said_what_later_hangs_on_a_change(client, demo_workshop, noon):
    client.post("/workshop/cars/new/", {"name": "Wren", "rust": "light"})

    def add(workshop):
        job = workshop.jobs[-1].model_copy(
            update={"id": "wren-job", "car": "wren", "recipe": None, "place": None, "minutes": 5}
        )
        return workshop.model_copy(update={"jobs": (*workshop.jobs, job)})

    change("Job for the Wren", add, at=noon)
    page = text(client.post("/changes/2/undo/", follow=True))
    assert "Not undone" in page
    assert "there is no car with this id" in page
    assert Version.objects.count() == 3


@pytest.mark.parametrize("number", [1, 77])
def test_what_can_not_be_undone_is_said(client, demo_workshop, number):
    page = text(client.post(f"/changes/{number}/undo/", follow=True))
    assert "Not undone" in page
    assert Version.objects.count() == 1


def test_undoing_twice_says_so(client, demo_workshop):
    press(client, "20")
    client.post("/changes/2/undo/")
    assert "undone already" in text(client.post("/changes/2/undo/", follow=True))
    assert Version.objects.count() == 3


def test_undo_is_not_done_by_looking(client, demo_workshop):
    press(client, "20")
    assert client.get("/changes/2/undo/").status_code == 405


def test_many_changes_come_page_by_page(
    client, demo_workshop, noon, monkeypatch, django_assert_max_num_queries
):
    monkeypatch.setattr(views, "PAGE", 5)
    for number in range(7):
        change(f"Rate {number}", lambda w, n=number: w.model_copy(update={"hour_worth": n}), at=noon)
    with django_assert_max_num_queries(3):
        first = text(client.get("/changes/"))
    assert "Rate 6" in first
    assert "Rate 1<" not in first
    assert "Rate 1<" in text(client.get("/changes/?before=4"))
    assert client.get("/changes/?before=abc").status_code == 200


def test_of_the_first_version_all_entries_are_put_in():
    workshop = read_demo().workshop
    entries = changed_entries(None, workshop)
    lists = (
        workshop.cars,
        workshop.findings,
        workshop.tools,
        workshop.access,
        workshop.aftercare,
        workshop.jobs,
        workshop.sellers,
        workshop.offers,
        workshop.stints,
        workshop.shelf,
    )
    assert len(entries) == sum(len(one) for one in lists)
    assert {one.what for one in entries} == {"put in"}
    assert sum(len(group.entries) for group in grouped(entries)) == len(entries)


def test_what_a_change_did_is_the_other_way_round_for_its_undo():
    old = read_demo().workshop
    new = old.model_copy(update={"jobs": old.jobs[1:], "currency": "GBP", "shelf": {}})
    there, back = changed_entries(old, new), changed_entries(new, old)
    turned = {"put in": "taken out", "taken out": "put in", "changed": "changed"}
    assert {(one.noun, one.name, turned[one.what]) for one in there} == {
        (one.noun, one.name, one.what) for one in back
    }
    assert changed_entries(old, old) == ()


def test_an_empty_workshop_has_no_entries():
    assert changed_entries(None, Workshop(name="x", currency="EUR", hour_worth=0)) == ()
