"""Findings of a car: verdicts with clauses, going round by the drawing, findings typed in and judged."""

import io

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from PIL import Image

from onceapart.inspection.verdicts import inspect_car
from onceapart.inspection.walking import tasks_for
from onceapart.site.store.versions import current
from onceapart.trade.rules import load_pack

pytestmark = pytest.mark.django_db
PADS = "/cars/pickle/findings/front-left/pad-lining/"


@pytest.fixture
def verdict(demo_workshop):
    workshop = current().workshop
    rules = next(car for car in workshop.cars if car.id == "pickle").inspection.rules
    return inspect_car(workshop, "pickle", load_pack(rules), today=workshop.today)


def page_of(client, address, status=200):
    answer = client.get(address)
    assert answer.status_code == status
    return answer.content.decode()


def test_every_verdict_is_there_with_its_clause_the_worst_first(client, verdict):
    page = page_of(client, "/cars/pickle/findings/")
    assert f"As far as looked at: {verdict.outcome}" in page
    order = ["is-dangerous", "is-major", "is-minor"]
    heads = [
        page.index(f'<h2><b class="badge {kind}"') for kind in order if f'<h2><b class="badge {kind}"' in page
    ]
    assert len(heads) >= 2
    assert heads == sorted(heads)
    for one in verdict.verdicts:
        for rule in one.rules:
            assert rule.clause.replace("'", "&#x27;") in page
    assert "An inspector decides" in page


def test_wear_ahead_has_its_picture(client, verdict):
    assert any(one.projection for one in verdict.verdicts)
    page = page_of(client, "/cars/pickle/findings/")
    assert "Wears out by the inspection" in page
    assert "<polyline" in page


def test_the_drawing_leads_to_every_place_with_what_is_left_to_look_at(client, verdict):
    page = page_of(client, "/cars/pickle/findings/")
    for place in {task.place for task in tasks_for(verdict)}:
        assert f'href="/cars/pickle/findings/{place}/"' in page
        assert client.get(f"/cars/pickle/findings/{place}/").status_code == 200


def test_every_thing_at_a_place_has_how_to_look_and_a_form(client, verdict):
    page = page_of(client, "/cars/pickle/findings/front-left/")
    tasks = [task for task in tasks_for(verdict, everything=True) if task.place == "front-left"]
    assert len(tasks) > 10
    for task in tasks:
        assert f'action="/cars/pickle/findings/front-left/{task.item.id}/"' in page
    assert "never under a car that only a jack holds" in page


@pytest.mark.parametrize(
    ("typed", "verdict_word"),
    [("6 mm", "passes"), ("1.4 mm", "dangerous"), ("1/16 in", "passes"), ("0,9", "dangerous")],
)
def test_a_measured_finding_is_judged_at_once(client, demo_workshop, typed, verdict_word):
    answer = client.post(PADS, {"value": typed, "date": "2026-03-05", "odometer": "129500 km"})
    assert answer.headers["Location"] == "/cars/pickle/findings/front-left/#pad-lining"
    finding = current().workshop.findings[-1]
    assert (finding.car, finding.item, finding.place, finding.odometer) == (
        "pickle", "pad-lining", "front-left", "129500 km",
    )  # fmt: skip
    assert f"is-{verdict_word}" in page_of(client, PADS)


def test_one_press_says_that_something_is_sound(client, demo_workshop):
    client.post("/cars/pickle/findings/front-left/tyre/", {"seen": "sound", "date": "2026-03-05"})
    assert current().workshop.findings[-1].seen == ("sound",)


def picture(name="pads.png"):
    data = io.BytesIO()
    Image.new("RGB", (40, 30), "red").save(data, "PNG")
    return SimpleUploadedFile(name, data.getvalue(), "image/png")


def test_a_photo_is_kept_with_its_finding_and_shown(client, demo_workshop):
    client.post(PADS, {"value": "1.2 mm", "date": "2026-03-05", "photo": picture()})
    name = current().workshop.findings[-1].photo
    assert name.endswith(".jpg")
    assert f'src="/photos/{name}"' in page_of(client, "/cars/pickle/findings/")
    assert b"".join(client.get(f"/photos/{name}").streaming_content).startswith(b"\xff\xd8")


def test_what_is_no_photo_is_refused_with_the_finding(client, demo_workshop):
    before = len(current().workshop.findings)
    sent = SimpleUploadedFile("pads.jpg", b"not a picture", "image/jpeg")
    answer = client.post(PADS, {"value": "1.2 mm", "date": "2026-03-05", "photo": sent})
    assert answer.status_code == 422
    assert 'value="1.2 mm"' in answer.content.decode()
    assert len(current().workshop.findings) == before


@pytest.mark.parametrize(
    ("item", "typed", "said"),
    [
        ("pad-lining", {"value": "80 mm"}, "80 mm"),
        ("pad-lining", {"value": "2 bar"}, "2 bar"),
        ("pad-lining", {"value": ""}, "nothing typed"),
        ("pad-lining", {"value": "9**9**9"}, "9**9**9"),
        ("pad-lining", {"value": "4 mm", "date": "soon"}, "soon"),
        ("pad-lining", {"value": "4 mm", "odometer": "a lot"}, "a lot"),
        ("tyre", {}, "nothing chosen"),
        ("tyre", {"seen": ["sound", "cut"]}, "says that nothing is wrong"),
        ("tyre", {"seen": ["melted"]}, "melted"),
    ],
)
def test_what_cannot_be_is_refused_and_stays_typed(client, demo_workshop, item, typed, said):
    before = len(current().workshop.findings)
    answer = client.post(f"/cars/pickle/findings/front-left/{item}/", {"date": "2026-03-05", **typed})
    page = answer.content.decode()
    assert answer.status_code == 422
    assert said in page
    assert "Not kept yet" in page
    if typed.get("value"):
        assert f'value="{typed["value"]}"' in page
    assert len(current().workshop.findings) == before


def test_what_is_odd_is_kept_and_said(client, demo_workshop):
    client.post(PADS, {"value": "5 mm", "date": "2027-01-01"})
    assert current().workshop.findings[-1].value == "5 mm"
    page = page_of(client, "/cars/pickle/findings/")
    assert "Kept, but not judged" in page


def test_a_finding_is_taken_out_and_undone(client, demo_workshop):
    client.post(PADS, {"value": "5 mm", "date": "2026-03-05"})
    count = len(current().workshop.findings)
    answer = client.post("/cars/pickle/findings/out/", {"finding": "2026-03-05:pickle:pad-lining:front-left"})
    assert answer.status_code == 302
    assert len(current().workshop.findings) == count - 1
    client.post(f"/changes/{current().number}/undo/")
    assert len(current().workshop.findings) == count


def test_nobody_takes_out_what_was_changed_meanwhile(client, demo_workshop):
    client.post(PADS, {"value": "5 mm", "date": "2026-03-05"})
    key = "2026-03-05:pickle:pad-lining:front-left"
    old = {"finding": key, "mark": f"findings/{key}=0000"}
    client.post("/cars/pickle/findings/out/", old)
    assert current().workshop.findings[-1].value == "5 mm"


def test_other_rules_judge_on_request(client, demo_workshop):
    page = page_of(client, "/cars/pickle/findings/?rules=us-570")
    assert "570" in page


@pytest.mark.parametrize(
    "address",
    ["/cars/nobody/findings/", "/cars/pickle/findings/roof/", "/cars/pickle/findings/front-left/wings/"],
)
def test_there_is_no_such_car_place_or_thing(client, demo_workshop, address):
    page_of(client, address, 404)


def test_nothing_is_kept_without_the_token(demo_workshop):
    before = current().number
    assert Client(enforce_csrf_checks=True).post(PADS, {"value": "5 mm"}).status_code == 403
    assert current().number == before


def test_pages_need_few_queries(client, demo_workshop, django_assert_max_num_queries):
    for address in ("/cars/pickle/findings/", "/cars/pickle/findings/front-left/", PADS):
        client.get(address)
        with django_assert_max_num_queries(5):
            client.get(address)
