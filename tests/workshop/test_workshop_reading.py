"""What a workshop file means, and what is said about each thing that may be wrong with one."""

from __future__ import annotations

import datetime as dt
from pathlib import Path

import pytest
from broken_files import BROKEN
from workshop_cases import SMALL, problems_of

from onceapart.errors import WorkshopFileError
from onceapart.workshop import (
    Need,
    check_references,
    check_workshop,
    parse_with_lines,
    parse_workshop,
    read_with_lines,
    read_workshop,
)


def line_of(text: str, part: str) -> int:
    """Line on which a part first stands, found by counting."""
    return text[: text.index(part)].count("\n") + 1


def test_every_key_is_read() -> None:
    shop = parse_workshop(SMALL)
    assert (shop.name, shop.today, shop.currency, shop.hour_worth) == (
        "Quay Lane",
        dt.date(2026, 3, 2),
        "EUR",
        1200,
    )
    (car,) = shop.cars
    assert (car.id, car.name) == ("wren", "The Wren")
    assert car.inspection is not None
    assert (car.inspection.due, car.inspection.rules) == (dt.date(2026, 4, 11), "eu-2014-45")
    assert car.layout is not None
    assert (car.layout.drive, car.layout.rear_brakes, car.layout.front_brakes) == ("rear", "disc", "disc")
    assert [(t.id, t.have, t.hire, t.buy) for t in shop.tools] == [
        ("ball-joint-splitter", True, None, None),
        ("spring-compressor", False, 900, 4200),
    ]
    assert shop.shelf == {"wren/front/drop-link": 1}
    assert shop.access[1].model_dump() == {
        "id": "wren/front-left/driveshaft",
        "minutes": 55,
        "under": ("wren/front-left/wheel",),
        "aftercare": ("wren/wheel-alignment",),
        "tools": ("ball-joint-splitter",),
        "between": None,
        "may_stand": False,
    }
    assert shop.aftercare[0].model_dump() == {"id": "wren/wheel-alignment", "minutes": 30, "price": 6500}
    assert shop.jobs[0].model_dump() == {
        "id": "wren-cv-boot",
        "car": "wren",
        "need": Need.INSPECTION,
        "minutes": 40,
        "between": None,
        "by": dt.date(2026, 4, 11),
        "worth": 0,
        "access": ("wren/front-left/driveshaft",),
        "parts": {"wren/front-left/cv-boot-kit": 1},
        "tools": (),
        "after": (),
        "aftercare": (),
        "recipe": None,
        "place": None,
    }
    assert (shop.jobs[1].worth, shop.jobs[1].after) == (2050, ("wren-cv-boot",))
    assert shop.sellers[1].model_dump() == {
        "id": "post-a",
        "name": "By post A",
        "delivery": 850,
        "free_from": 9000,
        "days": 6,
    }
    assert shop.offers[0].model_dump() == {
        "id": "post-a-boot",
        "seller": "post-a",
        "title": "Boot kit with grease and clips",
        "parts": {"wren/front-left/cv-boot-kit": 1},
        "price": 1490,
        "limit": 4,
        "days": 5,
        "deposit": 300,
    }
    assert [(s.date, s.minutes, s.id) for s in shop.stints] == [(dt.date(2026, 3, 7), 300, None)]


FOUND = """\
findings:
  - {car: wren, item: disc-thickness, place: front, value: 3/8 in, date: 2026-03-01, odometer: 89400 mi}
  - {car: wren, item: boots, seen: [split, dry], date: 2026-01-01, note: "left: worse", photo: IMG 4.jpg}
"""
KNOWN = """\
    registered: 1994-06-30
    mass: 2160 lb
    facts: {power-brakes: yes, steering-wheel: 370 mm}
    marks: {front/disc-thickness: 9.8 mm, pads: 2 mm}
    rust: heavy
"""


def test_what_is_known_of_a_car_and_found_on_it_is_read() -> None:
    shop = parse_workshop(FOUND + SMALL.replace("    layout:", f"{KNOWN}    layout:"))
    (car,) = shop.cars
    assert (car.registered, car.mass, car.rust) == (dt.date(1994, 6, 30), "2160 lb", "heavy")
    assert car.facts == {"power-brakes": "yes", "steering-wheel": "370 mm"}
    assert car.marks == {"front/disc-thickness": "9.8 mm", "pads": "2 mm"}
    assert [finding.model_dump() for finding in shop.findings] == [
        {
            "car": "wren",
            "item": "disc-thickness",
            "place": "front",
            "value": "3/8 in",
            "seen": (),
            "date": dt.date(2026, 3, 1),
            "odometer": "89400 mi",
            "note": None,
            "photo": None,
        },
        {
            "car": "wren",
            "item": "boots",
            "place": None,
            "value": None,
            "seen": ("split", "dry"),
            "date": dt.date(2026, 1, 1),
            "odometer": None,
            "note": "left: worse",
            "photo": "IMG 4.jpg",
        },
    ]


def test_what_is_not_known_of_a_car() -> None:
    (car,) = parse_workshop(SMALL).cars
    assert (car.registered, car.mass, car.facts, car.marks, car.rust) == (None, None, {}, {}, "medium")


def test_good_and_bad_cases_and_what_may_stand_are_read() -> None:
    text = SMALL.replace("minutes: 8", "minutes: 8\n    between: [8, 8]\n    may_stand: true")
    shop = parse_workshop(text.replace("minutes: 40", "minutes: 40\n    between: [0, 90]"))
    assert [(one.between, one.may_stand) for one in shop.access] == [((8, 8), True), (None, False)]
    assert [job.between for job in shop.jobs] == [(0, 90), None]


def test_cases_beside_a_recipe_take_the_place_of_its_own() -> None:
    job = parse_workshop(RECIPE.replace("recipe: mats,", "recipe: mats, between: [5, 9],")).jobs[1]
    assert (job.minutes, job.between) == (None, (5, 9))
    assert job.overrides == {"between", "access", "tools"}


def test_minutes_and_cases_that_can_not_be_read_are_not_compared() -> None:
    for change in ("minutes: x\n    between: [9, 20]", "between: [9, 20]", "minutes: 8\n    between: [9, x]"):
        said = problems_of(SMALL.replace("minutes: 8", change))
        assert len(said) == 1, said


def test_a_finding_that_can_not_be_read_is_not_called_empty() -> None:
    for keys in ("value: 3", "seen: x", "seen: [X x]", "value: ~"):
        said = problems_of(SMALL + f"findings:\n  - {{car: wren, item: a, date: 2026-03-01, {keys}}}\n")
        assert len(said) == 1, said


def test_what_may_be_missing() -> None:
    shop = parse_workshop("format: onceapart-workshop/1\nname: Bare\ncurrency: GBP\nhour_worth: 0\n")
    assert shop.today is None
    assert shop.cars == shop.jobs == shop.stints == ()
    assert shop.shelf == {}


def test_the_deadline_of_an_inspection_job_is_the_due_date_of_its_car() -> None:
    text = SMALL.replace("    by: 2026-04-11\n", "")
    shop = parse_workshop(text)
    assert shop.jobs[0].by is None
    assert shop.deadline(shop.jobs[0]) == dt.date(2026, 4, 11)
    assert shop.deadline(shop.jobs[1]) is None
    early = parse_workshop(SMALL.replace("by: 2026-04-11", "by: 2026-04-01"))
    assert early.deadline(early.jobs[0]) == dt.date(2026, 4, 1)


def test_the_days_of_an_offer_are_its_own_or_the_sellers() -> None:
    shop = parse_workshop(SMALL)
    assert shop.delivery_days(shop.offers[0]) == 5
    shop = parse_workshop(SMALL.replace("    days: 5\n", ""))
    assert shop.delivery_days(shop.offers[0]) == 6


@pytest.mark.parametrize("name", ["206", "Yes", "1e3", "12:30", "2026-03-02", "0x10", "true"])
def test_names_are_taken_as_they_are_written(name: str) -> None:
    assert parse_workshop(SMALL.replace("The Wren", name)).cars[0].name == name
    assert parse_workshop(SMALL.replace("The Wren", f'"{name}"')).cars[0].name == name


def test_json_is_read_too() -> None:
    text = '{"format": "onceapart-workshop/1", "name": "N", "currency": "EUR", "hour_worth": 1.5,'
    text += '\n\t"shelf": {"a/b": 2}}'
    shop = parse_workshop(text)
    assert (shop.hour_worth, shop.shelf) == (150, {"a/b": 2})


@pytest.mark.parametrize(("old", "new", "where", "value", "rule", "way_out"), BROKEN)
def test_one_thing_wrong_is_said_once_with_line_value_rule_and_way_out(
    old: str, new: str, where: str, value: str, rule: str, way_out: str
) -> None:
    assert old in SMALL
    text = SMALL.replace(old, new, 1)
    same = next(i for i, (a, b) in enumerate(zip(old + "\0", new + "\1", strict=False)) if a != b)
    about = [problem for problem in problems_of(text) if problem.where == where]
    assert len(about) == 1, problems_of(text)
    (problem,) = about
    assert problem.value == value
    assert rule in problem.rule
    assert way_out in problem.way_out
    assert problem.line is not None
    if new and "missing" not in rule and "leads back" not in rule:
        changed = SMALL.index(old) + same
        first, last = text[:changed].count("\n") + 1, text[: SMALL.index(old) + len(new)].count("\n") + 1
        assert first <= problem.line <= last


def test_nothing_else_is_said_of_one_thing_wrong() -> None:
    # Changes with consequences elsewhere in the file are left out: what named the old id is then dangling.
    for old, new, *_ in BROKEN:
        said = problems_of(SMALL.replace(old, new, 1))
        consequences = [
            p for p in said if "there is no" in p.rule or "is missing" in p.rule or "not known" in p.rule
        ]
        assert len(said) - len(consequences) <= 1, (new, said)


def test_all_problems_come_at_once_in_the_order_of_their_lines() -> None:
    text = SMALL
    for old, new in [
        ("currency: EUR", "currency: euro"),
        ("minutes: 8", "minutes: 8.5\n    minuts: 3"),
        ("seller: post-a", "seller: post-z"),
        ("price: 14.90", "price: -1\n    price: 2"),
        ("date: 2026-03-07", "date: soon"),
        ("after: []", "after: [wren-mats]"),
        ("aftercare: [wren/wheel-alignment]", "aftercare: [Wheel, wren/other]"),
    ]:
        text = text.replace(old, new, 1)
    said = problems_of(text)
    assert [problem.where for problem in said] == [
        "currency",
        "access[0].minutes",
        "access[0].minuts",
        "access[1].aftercare[0]",
        "access[1].aftercare[1]",
        "jobs[0].after[0]",
        "offers[0].seller",
        "offers[0].price",
        "offers[0].price",
        "stints[0].date",
    ]
    lines = [problem.line or 0 for problem in said]
    assert lines == sorted(lines)


def test_a_broken_entry_is_still_there_for_what_names_it() -> None:
    said = problems_of(
        SMALL.replace("  - id: wren\n    name: The Wren\n", "  - id: Wren\n    nam: The Wren\n")
    )
    assert sorted(problem.where for problem in said) == ["cars[0].id", "cars[0].nam", "cars[0].name"]


def test_a_recipe_that_can_not_be_read_still_is_one() -> None:
    said = problems_of(RECIPE.replace("recipe: mats", "recipe: Mats?"))
    assert [(problem.where, problem.value) for problem in said] == [("jobs[1].recipe", "Mats?")]


def test_a_section_that_can_not_be_read_makes_nothing_dangling() -> None:
    said = problems_of(SMALL.replace("  - {id: wren/wheel-alignment, minutes: 30, price: 65.00}", "  none"))
    assert [(problem.where, problem.value) for problem in said] == [("aftercare", "none")]


def test_each_cycle_is_told() -> None:
    jobs = "".join(
        f"  - {{id: {name}, car: wren, need: wish, minutes: 1, after: [{after}]}}\n"
        for name, after in [("a", "b"), ("b", "c"), ("c", "a"), ("d", "e"), ("e", "d"), ("f", "a")]
    )
    said = problems_of(SMALL.replace("sellers:", jobs + "sellers:"))
    assert [problem.value for problem in said] == ["a > b > c > a", "d > e > d"]


def test_lines_are_those_of_the_file_whatever_ends_them() -> None:
    for end in ("\r\n", "\r"):
        text = SMALL.replace("price: 14.90", "price: x").replace("\n", end)
        (problem,) = problems_of(text.encode())
        assert problem.line == line_of(SMALL, "price: 14.90")


def test_parts_that_nobody_sells_and_tools_that_can_not_be_got_are_no_errors() -> None:
    text = SMALL.replace(
        "wren/front-left/cv-boot-kit: 1}\n    tools: []", "unheard-of: 3}\n    tools: [magic-wand]"
    )
    text = text.replace("tools:\n  - {id: ball", "tools:\n  - {id: magic-wand}\n  - {id: ball", 1)
    assert problems_of(text) == ()


RECIPE = SMALL.replace(
    "minutes: 5, worth: 20.5,", "recipe: mats, place: cabin, access: [seat], tools: [wand],"
)


def test_a_file_with_a_recipe_may_name_what_the_recipe_brings() -> None:
    shop = parse_workshop(RECIPE)
    assert shop.jobs[1].overrides == {"access", "tools"}
    assert [(p.where, p.value) for p in check_references(shop)] == [
        ("jobs[1].access[0]", "seat"),
        ("jobs[1].tools[0]", "wand"),
    ]
    assert check_workshop(shop) == []


def test_what_no_recipe_brings_is_checked_beside_recipes_too() -> None:
    said = problems_of(
        RECIPE.replace("seller: post-a", "seller: nobody").replace("car: wren,", "car: robin,")
    )
    assert [problem.where for problem in said] == ["jobs[1].car", "offers[0].seller"]


def test_lines_are_known_for_checks_that_come_after() -> None:
    parsed = parse_with_lines(RECIPE, "quay.yaml")
    assert parsed.source == "quay.yaml"
    said = check_references(parsed.workshop, parsed.line_of)
    assert [problem.line for problem in said] == [line_of(RECIPE, "wren-mats")] * 2
    assert (
        parsed.line_of("offers[0].parts.wren/front-left/cv-boot-kit") == line_of(RECIPE, "price: 14.90") - 1
    )
    assert parsed.line_of("jobs[0].minutes") == line_of(RECIPE, "minutes: 40")
    assert parsed.line_of("jobs[0].recipe") == line_of(RECIPE, "wren-cv-boot")
    assert parsed.line_of("jobs[7].minutes") is None
    assert parsed.line_of("nothing") == 1


def test_a_file_is_read_and_named_in_errors(tmp_path: Path) -> None:
    path = tmp_path / "wörkshop.yaml"
    path.write_text("\ufeff" + SMALL, encoding="utf-8")
    assert read_workshop(path) == parse_workshop(SMALL)
    assert read_with_lines(path).source == str(path)
    path.write_text(SMALL.replace("price: 14.90", "price: x"), encoding="utf-8")
    with pytest.raises(WorkshopFileError) as caught:
        read_workshop(path)
    assert str(caught.value).splitlines() == [
        f"{path}: 1 problem(s)",
        "line 46: offers[0].price: x: "
        "money is a decimal number with at most two places; write it as in 14.90",
    ]
