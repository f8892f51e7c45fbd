"""Made-up workshops for the tests of this room: one as text, and any as a hypothesis strategy."""

from __future__ import annotations

import datetime as dt
from typing import Any

from hypothesis import strategies as st

from onceapart.errors import Problem, WorkshopFileError
from onceapart.workshop import (
    MAX_MONEY,
    PLACES,
    Access,
    Aftercare,
    Car,
    Finding,
    Inspection,
    Job,
    Layout,
    Need,
    Offer,
    Seller,
    Stint,
    Tool,
    Workshop,
    parse_workshop,
)

SMALL = """\
format: onceapart-workshop/1
name: Quay Lane
today: 2026-03-02
currency: EUR
hour_worth: 12.00
cars:
  - id: wren
    name: The Wren
    inspection: {due: 2026-04-11, rules: eu-2014-45}
    layout: {drive: rear, rear-brakes: disc}
tools:
  - {id: ball-joint-splitter, have: true}
  - {id: spring-compressor, hire: 9.00, buy: 42.00}
shelf: {wren/front/drop-link: 1}
access:
  - id: wren/front-left/wheel
    minutes: 8
  - id: wren/front-left/driveshaft
    minutes: 55
    under: [wren/front-left/wheel]
    aftercare: [wren/wheel-alignment]
    tools: [ball-joint-splitter]
aftercare:
  - {id: wren/wheel-alignment, minutes: 30, price: 65.00}
jobs:
  - id: wren-cv-boot
    car: wren
    need: inspection
    minutes: 40
    by: 2026-04-11
    worth: 0
    access: [wren/front-left/driveshaft]
    parts: {wren/front-left/cv-boot-kit: 1}
    tools: []
    after: []
    aftercare: []
  - {id: wren-mats, car: wren, need: wish, minutes: 5, worth: 20.5, after: [wren-cv-boot]}
sellers:
  - {id: counter, name: Parts counter, delivery: 0, days: 0}
  - {id: post-a, name: By post A, delivery: 8.50, free_from: 90.00, days: 6}
offers:
  - id: post-a-boot
    seller: post-a
    title: Boot kit with grease and clips
    parts: {wren/front-left/cv-boot-kit: 1}
    price: 14.90
    limit: 4
    days: 5
    deposit: 3
stints:
  - {date: 2026-03-07, minutes: 300}
"""


def problems_of(text: str | bytes) -> tuple[Problem, ...]:
    """What is said about a text; none if it is fine."""
    try:
        parse_workshop(text)
    except WorkshopFileError as error:
        return error.problems
    return ()


word = st.text("abcxyz019", min_size=1, max_size=5)
ids = st.builds(
    lambda first, rest: first + "".join(sep + one for sep, one in rest),
    word,
    st.lists(st.tuples(st.sampled_from("-/"), word), max_size=2),
) | st.sampled_from(["null", "true", "no", "1", "2e3", "0x1", "12", "1-2", "y", "price", "worth"])
texts = st.text(st.characters(exclude_categories=["Cc", "Cs", "Zl", "Zp"]), min_size=1, max_size=12).map(
    str.strip
).filter(
    lambda text: (
        text and not set(text) & set("\u200e\u200f\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069")
    )
) | st.sampled_from(
    ["null", "~", "Yes", "206", "a: b", "a #b", "- a", "{a}", "x, y", "&a", "'", '"', "1.5", "%a", "\ufeffa"]
)
money = st.integers(0, 20_000) | st.integers(0, MAX_MONEY)
minutes = st.integers(0, 600)
days = st.integers(0, 40)
dates = st.dates(dt.date(1, 1, 1), dt.date(9999, 12, 31)) | st.dates(dt.date(2026, 1, 1), dt.date(2026, 2, 1))
kits = st.dictionaries(ids, st.integers(1, 9), min_size=1, max_size=4)


def some_of(names: list[str]) -> st.SearchStrategy[tuple[str, ...]]:
    """Some of the names, each once."""
    if not names:
        return st.just(())
    return st.lists(st.sampled_from(names), unique=True, max_size=3).map(tuple)


# Numbers with units as people write them; what of it is a unit is not for this room to say.
NUMBERS = ["0", "7", "9999", "2.4", "3/32", "1 3/4", "12,5", "-0.5", "½", ".5"]
UNITS = ["mm", " mm", " in", "%", " %", " kg", "°", '"', " N·m", " 1/32 in", " no", " e3"]
measured = st.sampled_from([number + unit for number in NUMBERS for unit in UNITS])
odometers = st.builds("{} {}".format, st.integers(0, 9_999_999), st.sampled_from(["km", "mi"]))
photos = st.sampled_from(
    ["boot.jpg", "IMG 4.JPG", "true", "1.5", "a b, {c} #1.png", "früh ½.webp", "x" * 200]
)


@st.composite
def findings(draw: st.DrawFn, car: str) -> Finding:
    """Any finding on a car."""
    words = some_of(["split", "true", "1", "a/b", "no-2"]).filter(bool) | st.just(("sound",))
    what: dict[str, Any] = {"value": draw(measured)} if draw(st.booleans()) else {"seen": draw(words)}
    return Finding(
        car=car,
        item=draw(ids),
        place=draw(st.none() | st.sampled_from(PLACES)),
        date=draw(dates),
        odometer=draw(st.none() | odometers),
        note=draw(st.none() | texts),
        photo=draw(st.none() | photos),
        **what,
    )


@st.composite
def around(draw: st.DrawFn, usual: int | None) -> tuple[int, int] | None:
    """Minutes in a good and a bad case, if any are given."""
    if draw(st.booleans()):
        return None
    good = draw(st.integers(0, 600 if usual is None else usual))
    return good, draw(st.integers(good if usual is None else usual, 900))


@st.composite
def workshops(draw: st.DrawFn) -> Workshop:
    """Any workshop that a file may hold, small."""

    def named(most: int) -> list[str]:
        return draw(st.lists(ids, unique=True, max_size=most))

    def maybe(values: st.SearchStrategy[Any]) -> Any:
        return draw(st.none() | values)

    marks = st.sampled_from(["pads", "1", "null", "a-b", *(f"{place}/disc" for place in PLACES)])
    layouts = st.builds(
        Layout, drive=st.sampled_from(["front", "rear", "all"]), rear_brakes=st.sampled_from(["disc", "drum"])
    )
    cars = [
        Car(
            id=name,
            name=draw(texts),
            inspection=maybe(st.builds(Inspection, due=dates, rules=st.none() | ids)),
            layout=maybe(layouts),
            registered=maybe(dates),
            mass=maybe(measured),
            facts=draw(st.dictionaries(ids, texts, max_size=2)),
            marks=draw(st.dictionaries(marks, measured, max_size=2)),
            rust=draw(st.sampled_from(["light", "medium", "heavy"])),
            off_road=draw(st.sampled_from([0, 350])),
        )
        for name in named(3)
    ]
    found = [draw(findings(draw(st.sampled_from(cars)).id)) for _ in range(draw(st.integers(0, 3))) if cars]
    tools = [
        Tool(id=name, have=draw(st.booleans()), hire=maybe(money), buy=maybe(money)) for name in named(3)
    ]
    tool_ids = [tool.id for tool in tools]
    aftercare = [Aftercare(id=name, minutes=draw(minutes), price=draw(money)) for name in named(3)]
    care_ids = [care.id for care in aftercare]
    access: list[Access] = []
    for name in named(5):
        usual = draw(minutes)
        access.append(
            Access(
                id=name,
                minutes=usual,
                between=draw(around(usual)),
                may_stand=draw(st.booleans()),
                under=draw(some_of([other.id for other in access])),
                aftercare=draw(some_of(care_ids)),
                tools=draw(some_of(tool_ids)),
            )
        )
    jobs: list[Job] = []
    for name in named(5) if cars else []:
        need = draw(st.sampled_from(Need))
        given: dict[str, Any] = {
            "minutes": draw(minutes),
            "access": draw(some_of([one.id for one in access])),
            "parts": draw(st.just({}) | kits),
            "tools": draw(some_of(tool_ids)),
            "aftercare": draw(some_of(care_ids)),
        }
        recipe = maybe(ids)
        if recipe is not None:
            given = {key: value for key, value in given.items() if draw(st.booleans())}
        between = draw(around(given.get("minutes")))
        if between is not None:
            given["between"] = between
        jobs.append(
            Job(
                id=name,
                car=draw(st.sampled_from(cars)).id,
                need=need,
                by=maybe(dates),
                worth=0 if need.is_must else draw(money),
                after=draw(some_of([other.id for other in jobs])),
                recipe=recipe,
                place=maybe(st.sampled_from(PLACES)),
                **given,
            )
        )
    sellers = [
        Seller(id=name, name=draw(texts), delivery=draw(money), free_from=maybe(money), days=draw(days))
        for name in named(3)
    ]
    offers = [
        Offer(
            id=name,
            seller=draw(st.sampled_from(sellers)).id,
            title=maybe(texts),
            parts=draw(kits),
            price=draw(money),
            limit=maybe(st.integers(0, 9)),
            days=maybe(days),
            deposit=draw(money),
        )
        for name in (named(6) if sellers else [])
    ]
    stints = [Stint(date=draw(dates), minutes=draw(minutes), id=name) for name in named(4)]
    free = {stint.date for stint in stints}
    stints += [Stint(date=day, minutes=draw(minutes)) for day in draw(st.sets(dates, max_size=3)) - free]
    return Workshop(
        name=draw(texts),
        today=maybe(dates),
        currency=draw(st.text("EURGBPZ", min_size=3, max_size=3)),
        hour_worth=draw(money),
        cars=tuple(cars),
        findings=tuple(found),
        tools=tuple(tools),
        shelf=draw(st.dictionaries(ids, st.integers(0, 9), max_size=3)),
        access=tuple(access),
        aftercare=tuple(aftercare),
        jobs=tuple(jobs),
        sellers=tuple(sellers),
        offers=tuple(offers),
        stints=tuple(stints),
    )
