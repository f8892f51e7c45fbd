"""Every bench sum as a form: answered, refused with what was typed kept, drawn, and kept with a car."""

import re
from urllib.parse import urlencode

import pytest
from django.test import Client
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from onceapart.site.pages.sums.forms import SumField
from onceapart.site.store.models import KeptSum
from onceapart.sums.registry import all_sums, find_sum

pytestmark = pytest.mark.django_db
NAMES = [one.name for one in all_sums()]


def address(name, typed=None, **more):
    fields = {SumField(key, "").name: text for key, text in (typed or {}).items()}
    return f"/sums/{name}/?{urlencode({**fields, **more})}"


def test_the_list_has_every_sum_with_its_question(client, demo_workshop):
    page = client.get("/sums/").content.decode()
    for one in all_sums():
        assert f'href="/sums/{one.name}/"' in page
        assert one.question.replace("'", "&#x27;") in page


@pytest.mark.parametrize("name", NAMES)
def test_its_example_is_answered_and_drawn(client, demo_workshop, name):
    asked = find_sum(name)
    answer = client.get(address(name, example=1))
    page = answer.content.decode()
    assert answer.status_code == 200
    assert 'id="answer"' in page
    for source in asked.sources:
        assert str(source).replace("'", "&#x27;").replace("<", "&lt;").replace(">", "&gt;") in page or (
            source.document.split("&")[0] in page
        )
    for caution in asked.cautions:
        assert caution.split("'")[0] in page
    for picture in re.findall(r'src="(/sums/[^"]+\.svg\?[^"]*)"', page):
        drawn = client.get(picture.replace("&amp;", "&"))
        assert drawn.status_code == 200
        assert drawn.headers["Content-Type"] == "image/svg+xml"
        assert b"<svg" in drawn.content
    same = client.get(address(name, asked.example, go=1))
    assert same.status_code == 200


@pytest.mark.parametrize("name", NAMES)
def test_opened_it_asks_and_says_nothing_is_wrong(client, demo_workshop, name):
    answer = client.get(address(name))
    page = answer.content.decode()
    assert answer.status_code == 200
    assert "No answer yet" not in page
    for each in find_sum(name).inputs:
        assert f'name="{SumField(each.name, "").name}"' in page


def test_what_is_wrong_is_said_at_its_field_and_what_was_typed_stays(client, demo_workshop):
    answer = client.get(address("bolt-torque", {"bolt": "M10 ???"}, go=1))
    page = answer.content.decode()
    assert answer.status_code == 422
    assert "M10 ???" in page
    assert 'id="f-bolt-error"' in page
    assert 'href="#f-bolt"' in page


def test_units_of_the_answer_follow_the_reader(client, demo_workshop):
    typed = find_sum("bolt-torque").example
    metric = client.get(address("bolt-torque", typed, go=1)).content.decode()
    client.cookies["units"] = "imperial"
    imperial = client.get(address("bolt-torque", typed, go=1)).content.decode()
    assert "N·m" in metric
    assert "lb·ft" in imperial


def test_no_such_sum_is_not_found(client, demo_workshop):
    assert client.get("/sums/bolt-dance/").status_code == 404
    assert client.get("/sums/bolt-torque/drawing.svg").status_code == 404


def keep(client, car="pickle", **more):
    asked = find_sum("bolt-torque")
    typed = {SumField(key, "").name: text for key, text in asked.example.items()}
    return client.post("/sums/bolt-torque/keep/", {**typed, "car": car, "note": "arm, rear bolt", **more})


def test_an_answer_is_kept_with_a_car_taken_out_and_put_back(client, demo_workshop):
    assert keep(client).status_code == 302
    one = KeptSum.objects.get()
    assert (one.car, one.name, one.note) == ("pickle", "bolt-torque", "arm, rear bolt")
    assert one.given == dict(find_sum("bolt-torque").example)
    assert "arm, rear bolt" in client.get("/sums/").content.decode()
    page = client.get(f"/sums/kept/{one.pk}/").content.decode()
    assert "differently now" not in page
    client.post(f"/sums/kept/{one.pk}/remove/")
    assert "arm, rear bolt" not in client.get("/sums/").content.decode()
    client.post(f"/sums/kept/{one.pk}/back/")
    assert "arm, rear bolt" in client.get("/sums/").content.decode()


def test_a_kept_answer_that_would_come_out_differently_now_says_so(client, demo_workshop):
    keep(client)
    one = KeptSum.objects.get()
    one.result["values"]["torque"] = {"label": "Torque of old", "unit": "N·m", "value": 1}
    one.save()
    page = client.get(f"/sums/kept/{one.pk}/").content.decode()
    assert "differently now" in page
    assert "Torque of old" in page


@pytest.mark.parametrize("wrong", [{"car": "nobody"}, {"bolt": "M0"}])
def test_nothing_is_kept_without_a_car_or_an_answer(client, demo_workshop, wrong):
    assert keep(client, **wrong).status_code == 302
    assert not KeptSum.objects.exists()


def test_pages_need_few_queries(client, demo_workshop, django_assert_max_num_queries):
    for page in ("/sums/", address("bolt-torque", example=1)):
        client.get(page)
        with django_assert_max_num_queries(4):
            client.get(page)


@settings(max_examples=60, deadline=None, suppress_health_check=list(HealthCheck))
@given(name=st.sampled_from(NAMES), data=st.data())
def test_no_text_breaks_a_form(demo_workshop, name, data):
    odd = st.one_of(
        st.text(max_size=40), st.sampled_from(["9**9**9", "-1 mm", "1e308 kN", "nan", "M10", "0", "\x00"])
    )
    typed = {each.name: data.draw(odd) for each in find_sum(name).inputs}
    answer = Client().get(address(name, typed, go=1))
    assert answer.status_code in (200, 422)
