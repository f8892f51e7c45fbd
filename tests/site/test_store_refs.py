"""Naming entries, and taking one change out of several, as plain functions of workshops."""

from __future__ import annotations

import datetime as dt
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from workshop_cases import SMALL, workshops

from onceapart.site.store.refs import (
    SECTIONS,
    NothingThereError,
    Ref,
    TouchedLaterError,
    entries_of,
    entry,
    keys_of,
    mark,
    refs_of,
    touched_refs,
    with_entry,
    without_change,
    without_entry,
)
from onceapart.workshop import Finding, Job, Stint, Tool, Workshop, parse_workshop, write_workshop
from onceapart.workshop.reading import LISTS

DAY = dt.date(2026, 3, 7)
BASE = parse_workshop(SMALL)


def finding(value: str, item: str = "pads", place: Any = "front-left") -> Finding:
    return Finding(car="wren", item=item, place=place, value=value, date=DAY)


def small(**changes: Any) -> Workshop:
    return BASE.model_copy(update=changes)


def some(pool: list[Any]) -> st.SearchStrategy[tuple[Any, ...]]:
    """Some of a pool in any order, none twice by name."""
    return st.permutations(pool).flatmap(
        lambda mixed: st.integers(0, len(mixed)).map(lambda most: tuple(_by_name(mixed[:most])))
    )


def _by_name(entries: list[Any]) -> list[Any]:
    return list(
        {key.partition("~")[0]: one for key, one in zip(keys_of(entries), entries, strict=True)}.values()
    )


TOOLS = [Tool(id=name, have=have) for name in "abcd" for have in (True, False)]
STINTS = [Stint(date=DAY + dt.timedelta(at // 2), minutes=60 + at) for at in range(8)]
FINDINGS = [finding(f"{at} mm", place=place) for at in (1, 2) for place in (None, "front", "rear")]
made_up = st.builds(
    small,
    name=st.sampled_from(["Quay Lane", "Weir Street"]),
    shelf=st.dictionaries(st.sampled_from("pqr"), st.integers(0, 2)),
    tools=some(TOOLS),
    stints=some(STINTS),
    findings=some(FINDINGS),
)


@st.composite
def edited(draw: st.DrawFn, workshop: Workshop) -> Workshop:
    """A workshop with a section or two otherwise: entries gone, new, changed, in another order."""
    other = draw(made_up)
    changes: dict[str, Any] = {}
    for section in draw(
        st.lists(st.sampled_from(["name", "shelf", "tools", "stints", "findings"]), max_size=2)
    ):
        theirs = getattr(other, section)
        if section in LISTS:
            kept = [one for one in getattr(workshop, section) if draw(st.booleans())]
            theirs = tuple(_by_name([*kept, *theirs]))
        changes[section] = theirs
    return workshop.model_copy(update=changes)


@settings(deadline=None)
@given(st.data())
def test_without_the_last_change_all_is_as_before(data: st.DataObject) -> None:
    old = data.draw(made_up)
    new = data.draw(edited(old))
    assert write_workshop(without_change(new, old, new)) == write_workshop(old)


@settings(deadline=None)
@given(st.data())
def test_without_an_earlier_change_the_later_one_stays(data: st.DataObject) -> None:
    old = data.draw(made_up)
    new = data.draw(edited(old))
    later = data.draw(edited(new))
    first, second = set(touched_refs(old, new)), set(touched_refs(new, later))
    try:
        without = without_change(later, old, new)
    except TouchedLaterError as error:
        refused: Ref | None = error.ref
    else:
        refused = None
    if refused is not None:
        # Twice touched; or a list stands in another order, which no entry of it has for itself.
        assert refused in first & second or not refused.key
        return
    assert not first & second
    for section in SECTIONS:
        before, after, found = (entries_of(one, section) for one in (old, later, without))
        for ref in {*refs_of(old, section), *refs_of(new, section), *refs_of(later, section)}:
            source = before if ref in first else after
            assert (ref.key in found) == (ref.key in source), ref
            assert found.get(ref.key) == source.get(ref.key)


def test_of_findings_alike_the_later_one_stays() -> None:
    one, two = finding("2.4 mm"), finding("2.1 mm")
    old, new, later = small(findings=()), small(findings=(one,)), small(findings=(one, two))
    assert without_change(later, old, new).findings == (two,)
    assert without_change(later, new, later).findings == (one,)


@settings(max_examples=15, deadline=None)
@given(workshops())
def test_every_entry_has_a_name_of_its_own_and_a_mark(workshop: Workshop) -> None:
    for section in SECTIONS:
        refs = refs_of(workshop, section)
        assert len(set(refs)) == len(refs)
        for ref in refs:
            assert mark(workshop, ref)
            assert entry(workshop, ref) == entries_of(workshop, section)[ref.key]
    assert touched_refs(workshop, workshop) == ()


def test_findings_alike_are_counted_and_others_keep_their_names() -> None:
    one, two, three = finding("2.4 mm"), finding("2.1 mm"), finding("3 mm", "disc")
    assert keys_of([one, three, two]) == (
        "2026-03-07:wren:pads:front-left",
        "2026-03-07:wren:disc:front-left",
        "2026-03-07:wren:pads:front-left~2",
    )
    assert keys_of([three]) == ("2026-03-07:wren:disc:front-left",)


def test_a_mark_tells_an_empty_override_from_none() -> None:
    plain = Job(id="mats", car="wren", need="wish", recipe="mats")
    empty = Job(id="mats", car="wren", need="wish", recipe="mats", parts={})
    ref = Ref("jobs", "mats")
    assert mark(small(jobs=(plain,)), ref) != mark(small(jobs=(empty,)), ref)
    assert touched_refs(small(jobs=(plain,)), small(jobs=(empty,))) == (ref,)


def test_shelf_and_head_are_told_apart_by_part_and_key() -> None:
    new = small(shelf={"wren/front/drop-link": 1, "grease": 2}, name="Other")
    assert touched_refs(small(), new) == (Ref("shelf", "grease"), Ref("workshop", "name"))
    assert mark(small(), Ref("shelf")) != mark(new, Ref("shelf"))


def test_what_was_taken_out_comes_back_where_it_stood() -> None:
    stints = [Stint(date=DAY + dt.timedelta(days), minutes=60) for days in range(5)]
    old, new = small(stints=tuple(stints)), small(stints=(*stints[:2], *stints[3:]))
    later = with_entry(new, "stints", Stint(date=DAY + dt.timedelta(9), minutes=30))
    later = without_entry(later, Ref("stints", str(DAY)))
    back = without_change(later, old, new)
    assert [stint.date.day for stint in back.stints] == [8, 9, 10, 11, 16]


def test_an_order_that_was_changed_comes_back() -> None:
    tools = [Tool(id=name, have=True) for name in "abcd"]
    old, new = small(tools=tuple(tools)), small(tools=tuple(reversed(tools)))
    later = with_entry(new, "tools", Tool(id="e", have=True))
    assert [tool.id for tool in without_change(later, old, new).tools] == ["a", "b", "c", "d", "e"]
    mixed = small(tools=(tools[1], tools[0], *tools[2:]))
    with pytest.raises(TouchedLaterError):
        without_change(mixed, old, new)


def test_an_entry_that_is_not_there_is_named() -> None:
    for missing in (Ref("jobs", "no-such"), Ref("no-such-list")):
        assert mark(small(), missing) == ""
        with pytest.raises(NothingThereError, match=missing.section):
            without_entry(small(), missing)
    with pytest.raises(NothingThereError):
        with_entry(small(), "tools", Tool(id="a"), Ref("tools", "a"))
