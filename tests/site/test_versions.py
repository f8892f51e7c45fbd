"""Changing the workshop, undoing, and telling who changed what meanwhile."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable
from typing import Any

import pytest
from django.test.utils import CaptureQueriesContext
from hypothesis import HealthCheck, given, settings
from workshop_cases import SMALL, workshops

from onceapart.demo import demo_text
from onceapart.errors import WorkshopFileError
from onceapart.site.store.models import Version
from onceapart.site.store.versions import (
    HEAD,
    ChangedMeanwhileError,
    ChangeRefusedError,
    NothingThereError,
    Ref,
    change,
    changes,
    current,
    mark,
    take_in,
    undo,
    version_of,
    with_entry,
    without_entry,
)
from onceapart.workshop import Stint, Tool, Workshop, parse_workshop, write_workshop

NOON = dt.datetime(2026, 3, 5, 12, tzinfo=dt.UTC)
pytestmark = pytest.mark.django_db
Edit = Callable[[Workshop], Workshop]


@pytest.fixture
def small(db: None) -> None:
    take_in(SMALL, at=NOON)


def workshop() -> Workshop:
    found = current()
    assert found is not None
    return found.workshop


def adding(name: str) -> Edit:
    return lambda now: with_entry(now, "tools", Tool(id=name, have=True))


def removing(name: str) -> Edit:
    return lambda now: without_entry(now, Ref("tools", name))


def worth(amount: int) -> Edit:
    return lambda now: now.model_copy(update={"hour_worth": amount})


def tools() -> list[str]:
    return [tool.id for tool in workshop().tools]


def do(edit: Edit, what: str = "A change", who: str = "", **more: Any) -> int:
    return change(what, edit, at=NOON, who=who, **more).number


def test_what_is_taken_in_goes_out_as_it_came(small: None) -> None:
    found = current()
    assert found is not None
    assert (found.number, found.text, found.workshop) == (1, SMALL, parse_workshop(SMALL))
    take_in(demo_text().encode(), at=NOON)
    now = current()
    assert now is not None
    assert (now.number, now.text) == (2, demo_text())
    assert version_of(1).text == SMALL


@settings(
    max_examples=15,
    deadline=None,
    suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow],
)
@given(made=workshops())
def test_any_workshop_comes_out_equal(db: None, made: Workshop) -> None:
    plain = made.model_copy(update={"jobs": tuple(job for job in made.jobs if job.recipe is None)})
    kept = {job.id for job in plain.jobs}
    after = [job.model_copy(update={"after": tuple(set(job.after) & kept)}) for job in plain.jobs]
    plain = plain.model_copy(update={"jobs": tuple(after)})
    text = write_workshop(plain)
    version = take_in(text, at=NOON)
    assert workshop() == plain
    out = version_of(version.number).text
    assert out == text
    assert take_in(out, at=NOON).number == version.number, "the same once more is no change"


def test_a_broken_file_changes_nothing(small: None) -> None:
    with pytest.raises(WorkshopFileError) as caught:
        take_in(SMALL.replace("minutes: 300", "minutes: no").replace("hour_worth: 12.00", ""), at=NOON)
    assert len(caught.value.problems) == 2
    with pytest.raises(WorkshopFileError, match="no-such-recipe"):
        take_in(SMALL.replace("minutes: 5, worth", "recipe: no-such-recipe, worth"), at=NOON)
    assert Version.objects.count() == 1


def test_a_change_that_breaks_a_rule_is_refused_with_its_reasons(small: None) -> None:
    with pytest.raises(ChangeRefusedError, match="ball-joint-splitter") as caught:
        do(removing("ball-joint-splitter"))
    assert caught.value.problems[0].where.startswith("access")
    assert Version.objects.count() == 1


def test_a_change_of_nothing_makes_no_version(small: None) -> None:
    assert do(worth(1200)) == 1
    assert Version.objects.count() == 1


def test_before_there_is_a_workshop(db: None) -> None:
    assert current() is None
    with pytest.raises(NothingThereError, match="take in"):
        do(worth(1))
    with pytest.raises(NothingThereError):
        undo(1, at=NOON)


def test_who_changed_the_same_entry_meanwhile_is_named(small: None) -> None:
    ref = Ref("tools", "spring-compressor")
    shown = {ref: mark(workshop(), ref)}
    hired = Tool(id="spring-compressor", hire=1100, buy=4200)
    do(lambda now: with_entry(now, "tools", hired, ref), "Hire is dearer", "Ann", marks=shown)
    do(adding("jack"), "Another tool", "Bob")
    for edit in (adding("file"), removing("spring-compressor")):
        with pytest.raises(ChangedMeanwhileError, match=r"by Ann \(Hire is dearer\)"):
            do(edit, marks=shown)
    do(adding("lamp"), marks={ref: mark(workshop(), ref)})
    assert tools() == ["ball-joint-splitter", "spring-compressor", "jack", "lamp"]


def test_an_entry_that_was_not_there_may_not_be_there_meanwhile(small: None) -> None:
    ref = Ref("tools", "jack")
    do(adding("jack"), marks={ref: ""})
    with pytest.raises(ChangedMeanwhileError):
        do(adding("jack"), marks={ref: ""})
    taken_out = {Ref("tools", "jack"): mark(workshop(), ref)}
    do(removing("jack"), marks=taken_out)
    with pytest.raises(ChangedMeanwhileError):
        do(removing("jack"), marks=taken_out)


def test_the_head_has_a_mark_of_its_own(small: None) -> None:
    shown = {HEAD: mark(workshop(), HEAD)}
    do(adding("jack"))
    do(worth(1500), marks=shown)
    with pytest.raises(ChangedMeanwhileError, match="workshop"):
        do(worth(1600), marks=shown)


def test_undo_takes_out_one_change_and_leaves_the_later_ones(small: None) -> None:
    first = do(adding("jack"), "Add a jack")
    do(worth(1500))
    do(lambda now: with_entry(now, "stints", Stint(date=dt.date(2026, 3, 8), minutes=60)))
    undone = undo(first, at=NOON, who="Ann")
    assert (undone.what, undone.undoes_id) == ("Undone: Add a jack", first)
    assert (tools(), workshop().hour_worth, len(workshop().stints)) == (
        ["ball-joint-splitter", "spring-compressor"],
        1500,
        2,
    )


def test_undo_undo_and_undo_again(small: None) -> None:
    before = current()
    first = do(adding("jack"), "Add a jack")
    after = current()
    assert before is not None
    assert after is not None
    undo(first, at=NOON)
    assert version_of(3).text == before.text == SMALL
    with pytest.raises(NothingThereError, match="undone already; undo change 3"):
        undo(first, at=NOON)
    assert undo(3, at=NOON).what == "Done again: Add a jack"
    assert version_of(4).text == after.text
    assert [one.is_undone for one in reversed(changes())] == [False, False, True, False]
    assert undo(first, at=NOON).undoes_id == 4, "by its own number, though it was done again by another"
    assert version_of(5).text == before.text
    assert [one.is_undone for one in reversed(changes())] == [False, True, False, True, False]


def test_undo_of_what_was_changed_again_is_refused(small: None) -> None:
    first = do(worth(1500))
    do(worth(1600), "Worth more", "Bob")
    with pytest.raises(
        ChangedMeanwhileError, match=r"workshop/hour_worth was changed meanwhile by Bob \(Worth"
    ):
        undo(first, at=NOON)
    undo(3, at=NOON)
    undo(first, at=NOON)
    assert workshop().hour_worth == 1200


def test_undo_of_what_is_needed_by_now_is_refused(small: None) -> None:
    first = do(adding("jack"))
    job = workshop().jobs[1]
    using = job.model_copy(update={"tools": ("jack",)})
    do(lambda now: with_entry(now, "jobs", using, Ref("jobs", job.id)))
    with pytest.raises(ChangeRefusedError, match="jack"):
        undo(first, at=NOON)
    assert Version.objects.count() == 3


def test_a_file_taken_in_by_mistake_can_be_undone(small: None) -> None:
    take_in(demo_text(), at=NOON)
    undo(2, at=NOON)
    found = current()
    assert found is not None
    assert found.text == SMALL
    with pytest.raises(NothingThereError):
        undo(1, at=NOON)


def test_ten_thousand_versions_are_no_burden(small: None, django_assert_num_queries: Any) -> None:
    first = Version.objects.get()
    Version.objects.bulk_create(
        [
            Version(number=number, at=NOON, what=f"Change {number}", packed=first.packed)
            for number in range(2, 10_001)
        ],
        batch_size=500,
    )
    for number in range(10_001, 10_021):
        do(adding(f"tool-{number}"))
    undo(10_010, at=NOON)
    with django_assert_num_queries(2) as caught:
        page = changes()
    assert [one.number for one in page] == list(range(10_021, 9_971, -1))
    assert page[11].is_undone
    assert "packed" not in _all_sql(caught)
    assert [one.number for one in changes(before=9_972, most=2)] == [9_971, 9_970]
    with django_assert_num_queries(1):
        current()


def _all_sql(caught: CaptureQueriesContext) -> str:
    return " ".join(query["sql"] for query in caught.captured_queries)
