"""A workshop file comes in and goes out equal; a bad one changes nothing, and all that is wrong is said."""

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from onceapart.demo import demo_text, read_demo
from onceapart.site.store.models import Version
from onceapart.site.store.versions import current
from onceapart.workshop import parse_workshop

pytestmark = pytest.mark.django_db
BAD = """format: onceapart-workshop/1
name: X
currency: eur
hour_worth: 1.999
jobs:
  - {id: a, car: wren, need: wish, minutes: 5}
"""


def sent(text, name="mine.yaml"):
    return {"file": SimpleUploadedFile(name, text if isinstance(text, bytes) else text.encode())}


def test_the_demo_comes_in_at_one_press(client, db):
    assert client.get("/take-in/").status_code == 200
    assert client.post("/take-in/", {"demo": "yes"})["Location"] == "/"
    assert current().workshop == read_demo().workshop
    assert "Pickle" in client.get("/").content.decode()


@pytest.mark.parametrize("way", ["file", "text"])
def test_what_goes_out_is_what_came_in(client, db, way):
    client.post("/take-in/", sent(demo_text()) if way == "file" else {"text": demo_text()})
    out = client.get("/workshop.yaml")
    assert out["Content-Disposition"] == 'attachment; filename="workshop.yaml"'
    assert out.content.decode() == demo_text(), "comments and all"


def test_after_a_change_what_goes_out_comes_in_as_the_same(client, demo_workshop):
    client.post("/workshop/tools/", {"id": "press", "buy": "89"})
    before = current().workshop
    out = client.get("/workshop.yaml").content
    client.post("/take-in/", {"demo": "yes"})
    client.post("/take-in/", sent(out))
    assert current().workshop == before == parse_workshop(out)


def test_all_problems_are_said_at_once_with_line_value_rule_and_way_out(client, demo_workshop):
    answer = client.post("/take-in/", {"text": BAD})
    page = answer.content.decode()
    assert answer.status_code == 422
    assert "3 problems" in page
    for said in ("Line 3", "Line 4", "Line 6", "eur", "1.999", "ISO 4217", "there is no car".capitalize()):
        assert said in page
    assert "hour_worth: 1.999" in page, "what was pasted can be mended in the page"
    assert Version.objects.count() == 1


@pytest.mark.parametrize(
    ("data", "says"),
    [
        ({}, "Nothing was sent"),
        ({"text": "  \n"}, "file is empty"),
        (sent(b"\xff\xfe\x00"), "UTF-8"),
        (sent(b"x" * 1_000_001), "at most 1,000,000 bytes"),
        (sent(b"a: [" * 400), "nests deeper"),
        ({"text": "[1, 2]"}, "map of keys"),
    ],
)
def test_what_is_no_workshop_file_is_refused_and_changes_nothing(client, demo_workshop, data, says):
    answer = client.post("/take-in/", data)
    assert answer.status_code == 422
    assert says.lower() in answer.content.decode().lower()
    assert Version.objects.count() == 1


def test_taking_in_keeps_the_old_versions_and_can_be_undone(client, demo_workshop):
    smaller = demo_text().replace("Weir Street", "Mill Lane")
    page = client.post("/take-in/", sent(smaller), follow=True).content.decode()
    assert current().workshop.name == "Mill Lane"
    assert 'action="/changes/2/undo/"' in page
    client.post("/changes/2/undo/")
    assert client.get("/workshop.yaml").content.decode() == demo_text()


@settings(max_examples=40, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(st.text(max_size=200) | st.binary(max_size=200))
def test_no_file_breaks_the_page(client, demo_workshop, data):
    answer = client.post("/take-in/", sent(data) if isinstance(data, bytes) else {"text": data})
    assert answer.status_code == 422
    assert Version.objects.count() == 1


def test_an_empty_workshop_can_be_begun_and_filled(client, db):
    answer = client.post("/workshop/begin/", {"name": "Barn", "hour_worth": "9,50", "currency": "GBP"})
    assert answer["Location"] == "/workshop/cars/new/"
    client.post("/workshop/cars/new/", {"name": "The Wren", "rust": "heavy"})
    workshop = current().workshop
    assert (workshop.hour_worth, workshop.currency) == (950, "GBP")
    assert [(car.id, car.rust) for car in workshop.cars] == [("wren", "heavy")]
    assert "The Wren" in client.get("/").content.decode()


def test_beginning_asks_for_what_is_wanted(client, db):
    answer = client.post("/workshop/begin/", {"name": "Barn", "currency": "pounds"})
    assert answer.status_code == 422
    assert 'value="pounds"' in answer.content.decode()
    assert not Version.objects.exists()


def test_beginning_writes_over_nothing(client, demo_workshop):
    assert (
        client.post("/workshop/begin/", {"name": "Barn", "hour_worth": "1", "currency": "GBP"}).status_code
        == 302
    )
    assert current().workshop.name == "Weir Street"
