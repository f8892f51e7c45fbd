"""Any row of changes and undos: what is kept is what a plain list of workshops says."""

from __future__ import annotations

import datetime as dt

import pytest
from hypothesis import HealthCheck, settings
from hypothesis import strategies as st
from hypothesis.stateful import (
    RuleBasedStateMachine,
    invariant,
    precondition,
    rule,
    run_state_machine_as_test,
)
from workshop_cases import SMALL

from onceapart.site.store.models import Version
from onceapart.site.store.versions import (
    ChangedMeanwhileError,
    ChangeRefusedError,
    NothingThereError,
    Ref,
    change,
    changes,
    current,
    entries_of,
    take_in,
    touched_refs,
    undo,
)
from onceapart.workshop import Finding, Job, Stint, Tool, Workshop, parse_workshop

NOON = dt.datetime(2026, 3, 5, 12, tzinfo=dt.UTC)
DAY = dt.date(2026, 3, 9)
POOL = {
    "tools": [Tool(id=name, have=have) for name in ("jack", "lamp") for have in (True, False)],
    "stints": [Stint(date=DAY + dt.timedelta(at // 2), minutes=60 + at) for at in range(6)],
    "findings": [
        Finding(car="wren", item="pads", place=place, value=f"{at} mm", date=DAY)
        for at in (2, 3)
        for place in ("front", "rear")
    ],
    "jobs": [
        Job(id=name, car="wren", need="wish", minutes=5, tools=tools)
        for name in ("mats", "horn")
        for tools in ((), ("jack",))
    ],
}


class Editing(RuleBasedStateMachine):
    def __init__(self) -> None:
        super().__init__()
        for version in Version.objects.order_by("-number"):
            version.delete()
        take_in(SMALL, at=NOON)
        self.rows = [parse_workshop(SMALL)]
        self.undoes: dict[int, int] = {}

    @rule(section=st.sampled_from(sorted(POOL)), data=st.data(), goes=st.booleans())
    def edit(self, section: str, data: st.DataObject, goes: bool) -> None:
        one = data.draw(st.sampled_from(POOL[section]))
        name = getattr(one, "place", None) or getattr(one, "id", None) or one.date  # type: ignore[attr-defined]

        def swap(workshop: Workshop) -> Workshop:
            kept = [
                other
                for other in getattr(workshop, section)
                if name
                not in (getattr(other, "place", ""), getattr(other, "id", None), getattr(other, "date", ""))
            ]
            return workshop.model_copy(update={section: (*kept, *([] if goes else [one]))})

        wanted = swap(self.rows[-1])
        try:
            number = change("Edit", swap, at=NOON).number
        except ChangeRefusedError:
            assert "jack" not in {tool.id for tool in wanted.tools}
            assert any("jack" in job.tools for job in wanted.jobs)
            return
        if number > len(self.rows):
            self.rows.append(wanted)
        else:
            assert touched_refs(self.rows[-1], wanted) == ()

    @precondition(lambda self: len(self.rows) > 1)
    @rule(data=st.data())
    def undo(self, data: st.DataObject) -> None:
        number = data.draw(st.integers(2, len(self.rows)))
        target = self._standing(number)
        refusal: Exception | None = None
        try:
            undo(number, at=NOON)
        except (NothingThereError, ChangedMeanwhileError, ChangeRefusedError) as error:
            refusal = error
        assert isinstance(refusal, NothingThereError) == (target is None)
        if target is None:
            return
        if isinstance(refusal, ChangedMeanwhileError):
            later = list(zip(self.rows[target - 1 :], self.rows[target:], strict=False))
            touched = {ref for one, two in later for ref in touched_refs(one, two)}
            assert refusal.ref in touched or not refusal.ref.key
        if refusal is not None:
            assert isinstance(refusal, ChangedMeanwhileError) or "jack" in str(refusal)
            return
        found = current()
        assert found is not None
        self._check_undone(found.workshop, target)
        self.undoes[found.number] = target
        self.rows.append(found.workshop)

    def _check_undone(self, found: Workshop, target: int) -> None:
        old, new, before = self.rows[target - 2], self.rows[target - 1], self.rows[-1]
        touched = set(touched_refs(old, new))
        assert set(touched_refs(before, found)) <= touched
        for ref in touched:
            assert entries_of(found, ref.section).get(ref.key) == entries_of(old, ref.section).get(ref.key)

    def _standing(self, number: int) -> int | None:
        by = {target: undoing for undoing, target in self.undoes.items()}
        while number in by:
            if by[number] not in by:
                return None
            number = by[by[number]]
        return number

    @invariant()
    def the_last_version_is_the_last_row(self) -> None:
        found = current()
        assert found is not None
        assert (found.number, found.workshop) == (len(self.rows), self.rows[-1])
        rows = {one.number: one.is_undone for one in changes(most=100)}
        for number, is_undone in rows.items():
            by = [undoing for undoing, target in self.undoes.items() if target == number]
            assert is_undone == (bool(by) and not rows[by[0]])


@pytest.mark.django_db
def test_changes_and_undos_in_any_order() -> None:
    run_state_machine_as_test(
        Editing,
        settings=settings(
            max_examples=12, stateful_step_count=12, deadline=None, suppress_health_check=list(HealthCheck)
        ),
    )


def test_a_reference_says_where_it_points() -> None:
    assert str(Ref("jobs", "wren/front-left/boot")) == "jobs/wren/front-left/boot"
