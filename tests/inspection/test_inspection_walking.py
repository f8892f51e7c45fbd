"""Going round the car: each wheel off at most once, the car up at most once, as few walks as can be."""

from __future__ import annotations

import itertools
from collections import Counter
from collections.abc import Iterable

import pytest
from cases import EU, HOME, TODAY, US, car, finding, inspected, workshop
from hypothesis import given, settings
from hypothesis import strategies as st
from test_inspection_verdicts import any_finding

from onceapart.errors import WorkshopFileError
from onceapart.inspection.form import BLANK, form_text
from onceapart.inspection.walking import RING, Leg, Task, Why, legs_of, walk_round
from onceapart.trade.rules import STAGES, Item, load_pack, places_of_item
from onceapart.workshop import CORNERS, PLACES, Finding, parse_workshop, write_workshop
from onceapart.workshop.insert import with_entries

ORDER = ("cold", "on-the-ground", "engine-running", "on-the-road", "on-stands")


def task(stage: str, at: str, place: str) -> Task:
    """Something to look at at a stage."""
    item = Item.model_validate(
        {
            "id": f"{stage}-{place}",
            "title": "Something",
            "at": at,
            **({"place": place} if at == "car" else {}),
            "system": "body",
            "how": "look",
            "stage": stage,
            "check": "Look.",
            "words": {"bad": "bad"},
        }
    )
    return Task(item, place, Why.NEW)


def any_task() -> st.SearchStrategy[Task]:
    places = {"corner": CORNERS, "axle": ("front", "rear"), "car": PLACES}
    kinds = [(at, place) for at, several in places.items() for place in several]
    return st.builds(lambda stage, kind: task(stage, *kind), st.sampled_from(STAGES), st.sampled_from(kinds))


def fewest_walks(stages: Iterable[str]) -> int:
    """By brute force: the least number of walks, over every way the car can stand from one to the next.

    A walk is done with the car standing in one way. Cold comes before the engine has run, and the car is
    jacked up and let down at most once. With it up, a wheel can be looked behind after what needs it on.
    """
    ways = {
        "cold": {"cold"},
        "on-the-ground": {"cold", "warm"},
        "engine-running": {"running"},
        "on-the-road": {"driving"},
        "on-stands": {"up"},
        "wheel-off": {"up"},
    }
    wanted = set(stages)
    for n in range(len(wanted) + 1):
        for states in itertools.product(("cold", "warm", "running", "driving", "up"), repeat=n):
            ran = [at for at, state in enumerate(states) if state in ("running", "driving", "warm")]
            colds = [at for at, state in enumerate(states) if state == "cold"]
            if ran and colds and max(colds) > min(ran):
                continue
            ups = [at for at, state in enumerate(states) if state == "up"]
            if ups and ups != list(range(ups[0], ups[-1] + 1)):
                continue
            if all(ways[stage] & set(states) for stage in wanted):
                return n
    raise AssertionError("no walk does it")


@pytest.mark.parametrize("n", range(7))
def test_there_are_as_few_walks_as_can_be(n: int) -> None:
    for stages in itertools.combinations(STAGES, n):
        legs = legs_of([task(stage, "corner", "front-left") for stage in stages])
        assert len(legs) == fewest_walks(stages), stages


@given(st.lists(any_task(), max_size=25))
def test_laws_of_a_walk(tasks: list[Task]) -> None:
    legs = legs_of(tasks)
    assert Counter(id(one) for leg in legs for one in leg.tasks) == Counter(id(one) for one in tasks)
    assert [leg.state for leg in legs] == sorted({leg.state for leg in legs}, key=ORDER.index)
    assert sum(leg.state == "on-stands" for leg in legs) <= 1, "up once"
    wheels = [corner for leg in legs for corner in leg.wheels_off]
    assert len(wheels) == len(set(wheels)), "each wheel off once"
    assert set(wheels) <= set(CORNERS)
    for leg in legs:
        places = [stop.place for stop in leg.stops]
        assert len(places) == len(set(places)), "each place once on a walk"
        corners = [place for place in places if place in CORNERS]
        assert corners == sorted(corners, key=RING.index), "round the car, never across"
        check_stage(leg)


def check_stage(leg: Leg) -> None:
    """Nothing is looked at with the car standing otherwise than the item asks for."""
    off: set[str] = set()
    for stop in leg.stops:
        for one in stop.tasks:
            assert one.item.stage == leg.state or (one.item.stage, leg.state) == ("on-the-ground", "cold")
        if stop.takes_wheel_off:
            off.add(stop.place)
        for one in stop.wheel_off:
            assert one.item.stage == "wheel-off"
            needed = {"corner": {one.place}, "axle": {f"{one.place}-left", f"{one.place}-right"}}
            assert needed.get(one.item.at, set()) <= off, "its wheels are off by then"


def test_wheels_that_need_not_come_off_stay_on() -> None:
    (up,) = legs_of([task("wheel-off", "corner", "rear-left"), task("on-stands", "corner", "front-left")])
    assert up.wheels_off == ("rear-left",)


def test_what_was_looked_at_is_not_on_the_list_unless_all_is_asked_for() -> None:
    found = inspected([finding("tyre", "all"), finding("steering-column")])
    listed = {(one.item.id, one.place) for leg in walk_round(found) for one in leg.tasks}
    everything = {(one.item.id, one.place) for leg in walk_round(found, everything=True) for one in leg.tasks}
    assert not {item for item, _ in listed} & {"tyre", "steering-column"}
    assert everything - listed == {("tyre", corner) for corner in CORNERS} | {("steering-column", "cabin")}
    assert listed == {one.key for one in found.unchecked}


@pytest.mark.parametrize(
    ("findings", "key", "why"),
    [
        ([finding("tyre", "all", date="2024-01-01")], ("tyre", "front-left"), Why.OLD),
        ([finding("disc-thickness", "front-left", "9 mm")], ("disc-thickness", "front-left"), Why.OPEN),
        ([finding("tread-depth", "front-left", "80 mm")], ("tread-depth", "front-left"), Why.FLAGGED),
        (
            [
                finding("tread-depth", "front-left", "4.0 mm", date="2025-01-01"),
                finding("tread-depth", "front-left", "2.0 mm"),
            ],
            ("tread-depth", "front-left"),
            Why.WEARS,
        ),
    ],
)
def test_what_is_worth_another_look_is_on_the_list(
    findings: list[Finding], key: tuple[str, str], why: Why
) -> None:
    tasks = [one for leg in walk_round(inspected(findings)) for one in leg.tasks]
    assert [one.why for one in tasks if (one.item.id, one.place) == key] == [why]


def test_only_what_the_car_has_is_on_the_list() -> None:
    tasks = [one for leg in walk_round(inspected()) for one in leg.tasks]
    at = {(one.item.id, one.place) for one in tasks}
    assert ("shoes", "rear-left") in at
    assert ("pads", "rear-left") not in at
    assert ("pads", "front-left") in at


@settings(max_examples=30, deadline=None)
@given(data=st.data(), pack=st.sampled_from([EU, US, HOME]), everything=st.booleans())
def test_walks_of_real_packs_keep_the_laws(data: st.DataObject, pack: str, everything: bool) -> None:
    found = inspected(data.draw(st.lists(any_finding(pack), max_size=8)), pack)
    legs = walk_round(found, everything=everything)
    wheels = [corner for leg in legs for corner in leg.wheels_off]
    assert len(wheels) == len(set(wheels))
    assert sum(leg.state == "on-stands" for leg in legs) <= 1
    listed = [(one.item.id, one.place) for leg in legs for one in leg.tasks]
    assert len(listed) == len(set(listed))
    assert {one.key for one in found.unchecked} <= set(listed)
    for leg in legs:
        check_stage(leg)


# The form


def filled(form: str, value: str, word: str) -> str:
    """The form with every blank filled in alike."""
    text = form.replace(f"[{BLANK}]", f"[{word}]").replace(f"value: {BLANK}", f"value: {value}")
    assert BLANK not in text.partition("findings:")[2]
    return text


def test_a_form_that_is_filled_in_reads_back_as_looked_at() -> None:
    found = inspected()
    form = form_text([(found, walk_round(found))])
    whole = write_workshop(workshop()) + filled(form, "5", "sound")
    back = parse_workshop(whole)
    assert len(back.findings) == len(found.unchecked)
    again = inspected(back.findings)
    doubtful = {flag.finding.item for flag in again.flagged}
    assert all(load_pack(EU).item(item).is_measured for item in doubtful), "5 mm is no thickness of a disc"  # type: ignore[union-attr]
    assert {one.item.id for one in again.unchecked} == doubtful
    assert {one.date for one in back.findings} == {TODAY}


def test_a_blank_that_is_left_is_refused_with_the_way_out() -> None:
    found = inspected()
    form = form_text([(found, walk_round(found))])
    with pytest.raises(WorkshopFileError) as refused:
        parse_workshop(write_workshop(workshop()) + form)
    assert len(refused.value.problems) >= min(100, len(found.unchecked))
    assert {one.rule for one in refused.value.problems} == {"a blank of a form is not filled in"}


def test_the_form_of_a_car_without_anything_left_is_empty() -> None:
    pack = load_pack(US)
    findings = []
    for item in pack.ruled_items:
        for place in places_of_item(item):
            value = "sound"
            if item.is_measured:
                assert item.plausible is not None
                value = f"{sum(item.plausible) / 2} {item.unit or 'counted'}"
            given = (value,) if not item.is_measured else value
            findings.append(finding(item.id, None if item.at == "car" else place, given))
    marks = {"disc-thickness": "10 mm", "drum-diameter": "200 mm", "toe": "3 mm"}
    the_car = car(US, marks=marks, facts={"steering-wheel": "16 in"})
    found = inspected(findings, US, the_car)
    assert not found.unchecked
    assert "nothing left" in form_text([(found, walk_round(found))])


def test_findings_are_put_into_a_file_as_they_are() -> None:
    text = write_workshop(workshop())
    entry = {"car": "wren", "item": "tyre", "place": "all", "seen": ["sound"], "date": TODAY}
    assert parse_workshop(with_entries(text, "findings", [entry])).findings == (finding("tyre", "all"),)
