"""Asking for plans, and what comes of them."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable

import pytest
from workshop_cases import SMALL

from onceapart.bench.entries import Ticked
from onceapart.demo import read_demo
from onceapart.planning.plan import Aim
from onceapart.planning.plan_file import plan_to_json, wrong_figures
from onceapart.planning.rules import broken_rules
from onceapart.planning.solve import best_plan
from onceapart.planning.workload import workload_from
from onceapart.site.server import worker
from onceapart.site.store import runs
from onceapart.site.store.models import PlanRun, Version
from onceapart.site.store.record import DatabaseRecord
from onceapart.site.store.runs import WishError, Wishes, ask, basis_of, choose, chosen, plan_of, stop
from onceapart.site.store.versions import NothingThereError, change, take_in
from onceapart.trade import apply_recipes
from onceapart.workshop import Workshop, parse_workshop

NOON = dt.datetime(2026, 3, 5, 12, tzinfo=dt.UTC)
DAY = dt.date(2026, 3, 7)
Make = Callable[[], int]
Stage = PlanRun.Stage
pytestmark = pytest.mark.django_db


@pytest.fixture
def small(db: None) -> Version:
    return take_in(SMALL, at=NOON)


def worth(amount: int) -> None:
    def edit(now: Workshop) -> Workshop:
        return now.model_copy(update={"hour_worth": amount})

    change("Worth", edit, at=NOON)


def test_the_demo_is_planned_as_on_the_command_line(demo_workshop: Version, plans_made: Make) -> None:
    run = ask(Aim.BALANCE, at=NOON)
    assert (run.stage, run.version_id, run.today) == (Stage.WAITING, 1, dt.date(2026, 3, 5))
    assert plans_made() == 1
    run.refresh_from_db()
    workload = workload_from(apply_recipes(read_demo().workshop))
    assert run.result == plan_to_json(workload, best_plan(workload))
    assert (run.stage, run.result["status"], run.why) == (Stage.DONE, "proven", "")
    assert run.program.startswith("onceapart 0.")
    assert "HiGHS 1." in run.program
    assert run.started_at
    assert run.ended_at
    basis = basis_of(run)
    assert basis.workload == workload
    plan = plan_of(run, basis)
    assert plan is not None
    assert broken_rules(workload, plan) == []


def test_the_same_is_not_asked_twice(small: Version, plans_made: Make) -> None:
    wishes = Wishes(held={"wren-mats": "2026-03-07"})
    first = ask(Aim.BALANCE, at=NOON)
    assert ask(Aim.BALANCE, at=NOON) == first
    others = [ask(Aim.THRIFT, at=NOON), ask(Aim.BALANCE, wishes, at=NOON)]
    assert plans_made() == 3
    assert ask(Aim.BALANCE, at=NOON + dt.timedelta(hours=1)) == first, "shown again, it is read"
    assert ask(Aim.BALANCE, wishes, at=NOON) == others[1]
    worth(1500)
    assert ask(Aim.BALANCE, at=NOON).pk not in {first.pk, *(one.pk for one in others)}
    assert [one.version_id for one in runs.runs()] == [2, 1, 1, 1]


def test_without_a_day_in_the_file_orders_are_placed_on_the_day_it_is_asked(
    db: None, plans_made: Make
) -> None:
    take_in(SMALL.replace("today: 2026-03-02\n", ""), at=NOON)
    first, later = ask(Aim.BALANCE, at=NOON), ask(Aim.BALANCE, at=NOON + dt.timedelta(1))
    assert [one.today for one in (first, later)] == [NOON.date(), NOON.date() + dt.timedelta(1)]
    assert basis_of(later).workload.today == later.today


def test_wishes_are_kept_to_and_senseless_ones_refused(small: Version, plans_made: Make) -> None:
    run = ask(Aim.BALANCE, Wishes(held={"wren-mats": "2026-03-07"}), at=NOON)
    plans_made()
    run.refresh_from_db()
    plan = plan_of(run, basis_of(run))
    assert plan is not None
    assert plan.stint_of("wren-mats") == 0
    for wishes in (Wishes(held={"no-job": "2026-03-07"}), Wishes(due={"no-car": DAY})):
        with pytest.raises(WishError, match="no-"):
            ask(Aim.BALANCE, wishes, at=NOON)
    assert PlanRun.objects.count() == 1


def test_what_is_impossible_is_said_with_its_reasons(small: Version, plans_made: Make) -> None:
    run = ask(Aim.BALANCE, Wishes(without_sellers=frozenset({"post-a"})), at=NOON)
    early = ask(Aim.BALANCE, Wishes(by={"wren-cv-boot": DAY - dt.timedelta(1)}), at=NOON)
    plans_made()
    for one in (run, early):
        one.refresh_from_db()
        assert (one.stage, one.has_plan) == (Stage.DONE, False)
        assert one.result is not None
        assert one.result["status"] == "impossible"
        assert any("wren-cv-boot" in line for line in one.result["why"])
        assert plan_of(one, basis_of(one)) is None


def test_a_job_held_where_it_cannot_be_is_told_from_one_that_cannot_be_done(
    db: None, plans_made: Make
) -> None:
    text = SMALL.replace("  - {date: 2026-03-07, minutes: 300}", "  - {date: 2026-03-03, minutes: 300}\n" * 2)
    text = text.replace(
        "2026-03-03, minutes: 300}\n  - {date: 2026-03-03", "2026-03-03, minutes: 300}\n  - {date: 2026-03-07"
    )
    take_in(text, at=NOON)
    run = ask(Aim.BALANCE, Wishes(held={"wren-cv-boot": "2026-03-03"}), at=NOON)
    plans_made()
    run.refresh_from_db()
    assert run.result is not None
    assert run.result["why"][0] == worker.HELD
    assert "held to 2026-03-03" in run.result["why"][1]


def test_a_waiting_run_that_is_stopped_is_not_made(small: Version, plans_made: Make) -> None:
    run = ask(Aim.BALANCE, at=NOON)
    assert stop(run.pk, at=NOON).stage == Stage.STOPPED
    assert plans_made() == 0
    with pytest.raises(NothingThereError):
        stop(run.pk + 1, at=NOON)


def test_what_breaks_off_is_said_and_the_next_is_made(
    small: Version, plans_made: Make, monkeypatch: pytest.MonkeyPatch
) -> None:
    broken, fine = ask(Aim.BALANCE, at=NOON), ask(Aim.THRIFT, at=NOON)

    def solve(workload: object, aim: Aim, **more: object) -> object:
        if aim is Aim.BALANCE:
            raise ZeroDivisionError
        return best_plan(workload, aim)  # type: ignore[arg-type]

    monkeypatch.setattr(worker, "best_plan", solve)
    assert plans_made() == 2
    for run in (broken, fine):
        run.refresh_from_db()
    assert (broken.stage, broken.has_plan) == (Stage.FAILED, False)
    assert "ZeroDivisionError" in broken.why
    assert fine.stage == Stage.DONE
    assert ask(Aim.BALANCE, at=NOON) != broken, "what failed can be asked for again"


def test_a_run_whose_process_has_died_is_found_out(small: Version) -> None:
    run = ask(Aim.BALANCE, at=NOON)
    PlanRun.objects.update(stage=Stage.RUNNING)
    runs.look()
    run.refresh_from_db()
    assert (run.stage, run.why) == (Stage.FAILED, runs.DIED)


def test_one_plan_is_worked_by(small: Version, plans_made: Make) -> None:
    first, second = ask(Aim.BALANCE, at=NOON), ask(Aim.THRIFT, at=NOON)
    with pytest.raises(runs.NotPlannedError, match="no plan"):
        choose(first.pk)
    plans_made()
    assert choose(first.pk) is None
    assert choose(second.pk) == first
    assert chosen() == second
    with pytest.raises(NothingThereError):
        choose(second.pk + 1)
    assert choose(None) == second
    assert chosen() is None


def test_once_work_has_begun_what_is_left_is_planned(demo_workshop: Version, plans_made: Make) -> None:
    first = ask(Aim.BALANCE, at=NOON)
    plans_made()
    choose(first.pk)
    record = DatabaseRecord()
    saturday = dt.datetime(2026, 3, 7, 11, tzinfo=dt.UTC)
    record.append(Ticked(id="t1", time=saturday, car="pickle", step="do:pickle-brake-fluid"))
    run = ask(Aim.BALANCE, at=saturday)
    assert (run.record_number, run.follows_id, run.today) == (1, first.pk, saturday.date())
    plans_made()
    run.refresh_from_db()
    assert run.stage == Stage.DONE
    basis = basis_of(run)
    assert basis.left is not None
    assert "pickle-brake-fluid" not in basis.workload.job
    plan = plan_of(run, basis)
    assert plan is not None
    assert run.result is not None
    assert broken_rules(basis.workload, plan) == []
    assert wrong_figures(basis.workload, run.result) == []
    record.append(Ticked(id="t2", time=saturday, car="pickle", step="do:pickle-shoes"))
    assert basis_of(run).workload == basis.workload, "what came later does not change what it was a plan of"


def test_wishes_hold_for_what_is_left_too(demo_workshop: Version, plans_made: Make) -> None:
    DatabaseRecord().append(Ticked(id="t1", time=NOON, car="pickle", step="do:pickle-brake-fluid"))
    run = ask(Aim.THRIFT, Wishes(held={"pickle-shoes": "2026-03-14"}), at=NOON)
    plans_made()
    run.refresh_from_db()
    basis = basis_of(run)
    plan = plan_of(run, basis)
    assert plan is not None
    place = plan.stint_of("pickle-shoes")
    assert place is not None
    assert basis.workload.stints[place].date == dt.date(2026, 3, 14)


def test_a_workshop_with_nothing_to_do_has_a_plan_of_nothing(db: None, plans_made: Make) -> None:
    with pytest.raises(NothingThereError):
        ask(Aim.BALANCE, at=NOON)
    take_in(SMALL.split("jobs:")[0], at=NOON)
    assert parse_workshop(SMALL.split("jobs:")[0]).jobs == ()
    run = ask(Aim.BALANCE, at=NOON)
    plans_made()
    run.refresh_from_db()
    assert (run.stage, run.has_plan) == (Stage.DONE, True)
