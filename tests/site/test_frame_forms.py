"""Forms: what people type is read as a file is, errors stand at their fields, nothing is lost."""

import datetime as dt

import pytest
from django.http import QueryDict
from hypothesis import given
from hypothesis import strategies as st

from onceapart.demo import read_demo
from onceapart.errors import Problem, WorkshopFileError
from onceapart.site.pages.forms import Field, Form, shown, typed_value
from onceapart.site.pages.workshop.cars import car_form, typed_car
from onceapart.workshop import Car, Finding, Job, Offer, Stint, Tool, Workshop, parse_workshop

OFFER = (
    Field("id", "Offer", "id"),
    Field("seller", "Seller"),
    Field("title", "Title"),
    Field("parts", "Parts", "pairs"),
    Field("price", "Price", "money"),
    Field("days", "Days", "whole"),
)
GOOD = {"id": "a", "seller": "counter", "parts": "wren/boot: 1", "price": "14.90"}


def test_a_good_form_is_the_entry_that_a_file_would_give():
    form = Form(Offer, OFFER, typed=GOOD)
    assert form.model == Offer(id="a", seller="counter", parts={"wren/boot": 1}, price=1490)
    assert not form.has_problems


def test_every_field_says_what_is_wrong_with_it_and_keeps_what_was_typed():
    typed = {"id": "?!", "parts": "wren/boot", "price": "a lot", "days": "2.5"}
    form = Form(Offer, OFFER, typed=typed)
    assert form.model is None
    assert set(form.problems) == {"id", "seller", "parts", "price", "days"}
    assert {key: form[key].typed for key in typed} == typed
    assert form["seller"].problems[0].rule == "it may not be left empty"
    assert form["price"].problems[0].value == "a lot"
    assert form["price"].problems[0].way_out == "write it as in 14.90"


@pytest.mark.parametrize(
    ("key", "text"), [("price", "1.999"), ("days", "-3"), ("id", "a" * 101), ("price", "x")]
)
def test_the_wording_is_that_of_a_file(key, text):
    form = Form(Offer, OFFER, typed={**GOOD, key: text})
    values = {**GOOD, "parts": "{wren/boot: 1}", key: text}
    lines = "\n".join(f"    {name}: {value}" for name, value in values.items())
    file = (
        "format: onceapart-workshop/1\nname: x\ncurrency: EUR\nhour_worth: 1\n"
        "sellers: [{id: counter, name: C, delivery: 0, days: 0}]\n"
        f"offers:\n  - x:\n{lines}".replace("  - x:\n    ", "  - ")
    )
    with pytest.raises(WorkshopFileError) as found:
        parse_workshop(file)
    said = found.value.problems[0]
    here = form.problems[key][0]
    assert (here.value, here.rule, here.way_out) == (said.value, said.rule, said.way_out)


@pytest.mark.parametrize(
    ("text", "minutes"),
    [
        ("40", 40),
        ("2 h", 120),
        ("2h30", 150),
        ("2:05", 125),
        ("2 h 5 min", 125),
        ("1.5 h", 90),
        ("90 min", 90),
    ],
)
def test_minutes_may_be_typed_as_hours(text, minutes):
    form = Form(
        Stint,
        (Field("date", "Day", "date"), Field("minutes", "Long", "minutes")),
        typed={"date": "2026-03-07", "minutes": text},
    )
    assert form.model == Stint(date=dt.date(2026, 3, 7), minutes=minutes)


@given(st.integers(0, 100_000))
def test_minutes_are_shown_as_they_are_read(minutes):
    assert typed_value(shown(minutes, "minutes"), "minutes") == str(minutes)


@given(st.integers(0, 10**9))
def test_money_is_shown_as_it_is_read_also_with_a_comma(amount):
    text = shown(amount, "money")
    fields = (Field("id", "Tool", "id"), Field("buy", "Buy", "money"))
    for typed in (text, text.replace(".", ",")):
        form = Form(Tool, fields, typed={"id": "press", "buy": typed})
        assert form.model == Tool(id="press", buy=amount)


@given(st.text(max_size=40))
def test_no_text_breaks_a_form(text):
    form = Form(Offer, OFFER, typed={one.name: text for one in OFFER})
    assert form.model is not None or form.has_problems
    assert all(one.typed == text.replace("\r\n", "\n") for one in form.fields)


@pytest.mark.parametrize("word", ["null", "~", "Null"])
def test_a_name_may_be_a_word_that_means_nothing_in_a_file(word):
    form = Form(Offer, OFFER, typed={**GOOD, "title": word})
    assert form.model.title == word


def test_what_a_form_does_not_show_stays_as_it_was():
    job = Job(id="a", car="wren", need="wish", recipe="strut", place="front", parts={}, worth=500)
    form = Form(Job, (Field("worth", "Worth", "money"),), typed={"worth": "7"}, of=job)
    assert form.model == job.model_copy(update={"worth": 700})
    assert form.model.overrides == {"parts"}, "what overrides a recipe is still given"


def test_an_emptied_field_takes_its_key_out():
    tool = Tool(id="press", hire=100, buy=200)
    form = Form(Tool, (Field("hire", "Hire", "money"), Field("have", "Had", "flag")), typed={}, of=tool)
    assert form.model == Tool(id="press", buy=200)


def test_several_boxes_of_one_name_are_several_words():
    fields = (Field("item", "Item"), Field("seen", "Seen", "words"), Field("date", "Day", "date"))
    typed = QueryDict("item=tyre&seen=worn&seen=cut&date=2026-03-01")
    form = Form(Finding, fields, typed=typed, fixed={"car": "wren"})
    assert form.model.seen == ("worn", "cut")


def test_problems_of_the_whole_workshop_find_their_field():
    form = Form(Offer, OFFER, typed=GOOD)
    form.add_problems(
        [
            Problem(9, "offers[2].seller", "counter", "there is no seller with this id", "add it"),
            Problem(7, "jobs[0].after", "x", "there is no such job", "take it out"),
        ],
        "offers",
        2,
    )
    assert form.model is None
    assert form["seller"].problems[0].line is None
    assert [one.where for one in form.others] == ["jobs[0].after"]


@pytest.mark.parametrize("car", read_demo().workshop.cars, ids=lambda car: car.id)
def test_a_car_sent_back_as_shown_is_the_same(car):
    typed = {one.name: one.typed for one in car_form(car).fields}
    form = typed_car(typed, read_demo().workshop, car)
    assert not form.has_problems
    assert form.model == car


NAMES = st.text("abc xyz", min_size=1, max_size=12).filter(lambda text: text.strip() == text)
CARS = st.builds(
    Car,
    id=st.sampled_from(["wren", "a/b"]),
    name=NAMES,
    registered=st.none() | st.dates(dt.date(1950, 1, 1), dt.date(2030, 1, 1)),
    mass=st.sampled_from([None, "980 kg", "2160 lb"]),
    marks=st.dictionaries(st.sampled_from(["front/disc-thickness", "rear/drum-diameter"]), st.just("9.0 mm")),
    facts=st.dictionaries(st.sampled_from(["abs", "wheel-maker"]), st.just("yes")),
    rust=st.sampled_from(["light", "medium", "heavy"]),
)


@given(CARS)
def test_any_car_sent_back_as_shown_is_the_same(car):
    workshop = Workshop(name="x", currency="EUR", hour_worth=0, cars=(car,))
    typed = {one.name: one.typed for one in car_form(car).fields}
    assert typed_car(typed, workshop, car).model == car
