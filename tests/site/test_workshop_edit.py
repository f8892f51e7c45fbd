"""Cars, stints, tools and head of a workshop: put in, changed, taken out, and never over what others did."""

import datetime as dt
import re

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from onceapart.demo import read_demo
from onceapart.site.store.models import Version
from onceapart.site.store.versions import change, current
from onceapart.workshop import Inspection, Layout

pytestmark = pytest.mark.django_db


def text(answer):
    return answer.content.decode().replace("&#x27;", "'")


def fields_of(client, url):
    """What a browser would send of the form on a page that has the most fields."""
    forms = re.findall(r'<form method="post".*?</form>', text(client.get(url)), re.S)
    form = max(forms, key=len)
    typed: dict[str, object] = {}
    for tag in re.findall(r"<input[^>]*>", form):
        name, value = re.search(r'name="([^"]*)"', tag), re.search(r'value="([^"]*)"', tag)
        is_box = "radio" in tag or "checkbox" in tag
        if name and (not is_box or " checked" in tag):
            typed[name[1]] = value[1] if value else ""
    for name, inner in re.findall(r'<select[^>]*name="([^"]+)"[^>]*>(.*?)</select>', form, re.S):
        chosen = re.search(r'value="([^"]*)" selected', inner)
        typed[name] = chosen[1] if chosen else ""
    return typed | dict(re.findall(r'<textarea[^>]*name="([^"]+)"[^>]*>(.*?)</textarea>', form, re.S))


@pytest.mark.parametrize(
    "url",
    [
        "/workshop/",
        "/workshop/cars/pickle/",
        "/workshop/cars/duchess/",
        "/workshop/stints/2026-03-07/",
        "/workshop/tools/spring-compressor/",
        "/workshop/tools/ball-joint-splitter/",
    ],
)
def test_a_form_sent_back_as_it_came_changes_nothing(client, demo_workshop, url):
    assert client.post(url, fields_of(client, url)).status_code == 302
    assert current().workshop == read_demo().workshop
    assert Version.objects.count() == 1


def test_a_car_is_put_in_with_all_that_is_known_of_it(client, demo_workshop):
    typed = {
        "name": "The Wren",
        "inspection_due": "2026-06-01",
        "inspection_rules": "us-570-ohio",
        "registered": "1994-06-30",
        "mass": "2160 lb",
        "rust": "heavy",
        "facts_power_steering": "no",
        "marks": "front/disc-thickness: 9.8 mm\r\n",
        "layout_drive": "rear",
        "layout_rear_suspension": "live-axle",
        "off_road": "4.50",
    }
    assert client.post("/workshop/cars/new/", typed).status_code == 302
    car = current().workshop.cars[-1]
    assert car.id == "wren"
    assert car.inspection == Inspection(due=dt.date(2026, 6, 1), rules="us-570-ohio")
    assert car.layout == Layout(drive="rear", rear_suspension="live-axle")
    assert (car.facts, car.marks) == ({"power-steering": "no"}, {"front/disc-thickness": "9.8 mm"})
    assert (car.mass, car.rust, car.off_road) == ("2160 lb", "heavy", 450)


def test_a_second_car_of_the_same_name_gets_a_short_name_of_its_own(client, demo_workshop):
    for _ in range(2):
        client.post("/workshop/cars/new/", {"name": "Pickle", "rust": "light"})
    assert [car.id for car in current().workshop.cars] == ["pickle", "duchess", "pickle-2", "pickle-3"]


@pytest.mark.parametrize(
    ("typed", "says"),
    [
        ({"name": ""}, "it may not be left empty"),
        ({"id": "pickle"}, "another car"),
        ({"mass": "heavy"}, "a measured value is a number with its unit"),
        ({"inspection_rules": "eu-2014-45"}, "Inspection due on"),
        ({"inspection_due": "2026-02-30"}, "there is no such day"),
        ({"marks": "front/disc-thickness 9 mm"}, "write it as in front/disc-thickness: 9 mm"),
        (
            {"facts_steering_wheel": "3 kg", "inspection_rules": "us-570", "inspection_due": "2026-06-01"},
            "3 kg",
        ),
        ({"rust": "orange"}, "it is one of light, medium, heavy"),
    ],
)
def test_what_is_wrong_with_a_car_is_said_and_nothing_typed_is_lost(client, demo_workshop, typed, says):
    answer = client.post("/workshop/cars/new/", {"name": "The <Wren>", "rust": "light", **typed})
    page = text(answer)
    assert answer.status_code == 422
    assert says in page
    assert typed.get("name", "The &lt;Wren&gt;") in page
    assert 'role="alert"' in page
    assert Version.objects.count() == 1


def test_nobody_writes_over_what_somebody_else_has_changed_meanwhile(client, demo_workshop, noon):
    shown = fields_of(client, "/workshop/cars/pickle/")

    def rusts(workshop):
        cars = (workshop.cars[0].model_copy(update={"rust": "heavy"}), *workshop.cars[1:])
        return workshop.model_copy(update={"cars": cars})

    change("Rust of Pickle", rusts, at=noon, who="Ida")
    answer = client.post("/workshop/cars/pickle/", {**shown, "name": "Gherkin"})
    page = text(answer)
    assert answer.status_code == 422
    assert "changed meanwhile by Ida" in page
    assert "Gherkin" in page, "what was typed is still there"
    assert current().workshop.cars[0].rust == "heavy"
    assert current().workshop.cars[0].name.startswith("Pickle")


def test_two_may_change_different_cars_at_the_same_time(client, demo_workshop):
    one, other = (fields_of(client, f"/workshop/cars/{car}/") for car in ("pickle", "duchess"))
    client.post("/workshop/cars/pickle/", {**one, "rust": "heavy"})
    client.post("/workshop/cars/duchess/", {**other, "rust": "light"})
    assert [car.rust for car in current().workshop.cars] == ["heavy", "light"]


def test_a_car_goes_out_with_what_is_its_own_and_comes_back(client, demo_workshop):
    page = text(client.get("/workshop/cars/pickle/take-out/"))
    demo = read_demo().workshop
    assert f"{sum(job.car == 'pickle' for job in demo.jobs)} jobs" in page
    client.post("/workshop/cars/pickle/take-out/")
    left = current().workshop
    assert [car.id for car in left.cars] == ["duchess"]
    assert {one.car for one in (*left.jobs, *left.findings)} == {"duchess"}
    assert left.offers == demo.offers
    client.post("/changes/2/undo/")
    assert current().workshop == demo


def test_stints_are_put_in_for_several_weeks(client, demo_workshop):
    client.post("/workshop/stints/", {"date": "2026-05-02", "minutes": "4 h 30", "weeks": "3"})
    new = [one for one in current().workshop.stints if one.date >= dt.date(2026, 5, 1)]
    assert [(str(one.date), one.minutes) for one in new] == [
        ("2026-05-02", 270),
        ("2026-05-09", 270),
        ("2026-05-16", 270),
    ]


@pytest.mark.parametrize("weeks", ["0", "-1", "many", "53", "²", "9" * 4000, ""])
def test_weeks_that_make_no_sense_are_refused(client, demo_workshop, weeks):
    answer = client.post("/workshop/stints/", {"date": "2026-05-02", "minutes": "60", "weeks": weeks})
    assert answer.status_code == 422
    assert "1 to 52" in text(answer)
    assert Version.objects.count() == 1


def test_two_stints_on_a_day_need_names(client, demo_workshop):
    answer = client.post("/workshop/stints/", {"date": "2026-03-07", "minutes": "60", "weeks": "1"})
    assert answer.status_code == 422
    assert "2 stints are on this day" in text(answer)


def test_the_last_day_there_is_has_no_week_after_it(client, demo_workshop):
    answer = client.post("/workshop/stints/", {"date": "9999-12-30", "minutes": "60", "weeks": "2"})
    assert answer.status_code == 422


def test_a_stint_is_changed_and_taken_out(client, demo_workshop):
    client.post("/workshop/stints/2026-03-07/", {"date": "2026-03-08", "minutes": "3 h"})
    assert str(current().workshop.stints[0].date) == "2026-03-08"
    client.post("/workshop/stints/2026-03-08/", {"out": "yes"})
    assert len(current().workshop.stints) == len(read_demo().workshop.stints) - 1


def test_a_tool_that_jobs_ask_for_stays_and_it_is_said_why(client, demo_workshop):
    page = text(client.post("/workshop/tools/spring-compressor/", {"out": "yes"}, follow=True))
    assert "Not saved" in page
    assert "needs this special tool" in page
    assert Version.objects.count() == 1


def test_a_tool_is_put_in_by_its_name(client, demo_workshop):
    client.post("/workshop/tools/", {"id": "Torque wrench", "have": "true"})
    tool = current().workshop.tools[-1]
    assert (tool.id, tool.have, tool.hire) == ("torque-wrench", True, None)


WORDS = st.text(max_size=30) | st.sampled_from(
    [
        "",
        "0",
        "-1",
        "2026-03-07",
        "9" * 400,
        "1e9",
        "null",
        "true",
        "eu-2014-45",
        "a: b",
        "medium",
        "{}",
        "\x00",
    ]
)
FORMS = {
    "/workshop/": ("name", "hour_worth", "currency", "today", "mark"),
    "/workshop/you/": ("who",),
    "/workshop/cars/new/": ("name", "id", "inspection_due", "inspection_rules", "marks", "mass", "facts_abs"),
    "/workshop/cars/pickle/": ("name", "rust", "registered", "layout_drive", "marks", "mark"),
    "/workshop/stints/": ("date", "minutes", "id", "weeks"),
    "/workshop/stints/2026-03-07/": ("date", "minutes", "id", "mark"),
    "/workshop/tools/": ("id", "hire", "buy", "have"),
    "/workshop/tools/spring-compressor/": ("hire", "buy", "mark"),
    "/units/": ("units", "to"),
}


@settings(max_examples=30, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(st.data())
def test_no_text_breaks_a_form(client, demo_workshop, data):
    url = data.draw(st.sampled_from(sorted(FORMS)))
    answer = client.post(url, {name: data.draw(WORDS, label=name) for name in FORMS[url]})
    assert answer.status_code in (302, 404, 422)
