"""Plans made by a process of their own: progress, the stop button, and what happens when it dies."""

from __future__ import annotations

import datetime as dt
import os
import signal
import time
from collections.abc import Callable

import pytest
from cli_cases import as_file
from workshop_cases import SMALL

from made_workloads import made_workload
from onceapart.planning.plan import Aim
from onceapart.planning.rules import broken_rules
from onceapart.site.store import runs
from onceapart.site.store.at_work import at_work
from onceapart.site.store.models import PlanRun
from onceapart.site.store.runs import ask, basis_of, look, plan_of, stop
from onceapart.site.store.versions import take_in

NOON = dt.datetime(2026, 3, 5, 12, tzinfo=dt.UTC)
PATIENCE = 90.0
Stage = PlanRun.Stage
pytestmark = pytest.mark.usefixtures("in_the_background")


def big() -> str:
    """A workshop whose proof takes far longer than the tests wait."""
    return as_file(made_workload("l", 3))


def wait_until(run: PlanRun, what: Callable[[PlanRun], bool]) -> None:
    end = time.monotonic() + PATIENCE
    while True:
        run.refresh_from_db()
        if what(run):
            return
        assert time.monotonic() < end, f"{run.stage} {run.progress} {run.why}"
        time.sleep(0.1)


def worker_pid() -> int:
    process = runs._WORKER._process
    assert process is not None
    return process.pid


def test_two_runs_are_made_one_after_the_other_and_the_process_ends() -> None:
    take_in(SMALL, at=NOON)
    asked = [ask(aim, at=NOON) for aim in (Aim.BALANCE, Aim.THRIFT)]
    for run in asked:
        wait_until(run, lambda run: run.is_over)
        assert (run.stage, run.has_plan) == (Stage.DONE, True)
    first, second = asked
    assert first.ended_at is not None
    assert second.started_at is not None
    assert first.ended_at <= second.started_at
    process = runs._WORKER._process
    assert process is not None
    assert process.wait(PATIENCE) == 0
    with at_work() as is_idle:
        assert is_idle


def test_stopping_gives_the_best_plan_so_far_and_a_kill_is_found_out() -> None:
    take_in(big(), at=NOON)
    run, next_ = ask(Aim.BALANCE, at=NOON), ask(Aim.THRIFT, at=NOON)
    wait_until(run, lambda run: bool(run.progress.get("best") and run.progress.get("bound")))
    look()
    with at_work() as is_idle:
        assert not is_idle, "it is at it, so another look does no harm"
    next_.refresh_from_db()
    assert (run.stage, next_.stage) == (Stage.RUNNING, Stage.WAITING)
    stop(run.pk, at=NOON)
    wait_until(run, lambda run: run.is_over)
    assert (run.stage, run.why) == (Stage.STOPPED, "")
    assert run.result is not None
    assert run.result["status"] == "good"
    basis = basis_of(run)
    plan = plan_of(run, basis)
    assert plan is not None
    assert broken_rules(basis.workload, plan) == []
    assert 0 < run.result["cost"]["bound"] <= run.result["cost"]["total"]

    wait_until(next_, lambda run: run.stage == Stage.RUNNING)
    os.kill(worker_pid(), signal.SIGKILL)
    last = PlanRun.objects.create(
        asked_at=NOON, version=run.version, today=run.today, aim="balance", is_stop_asked=True
    )
    wait_until(next_, lambda run: look() is None and run.is_over)
    assert (next_.stage, next_.why) == (Stage.FAILED, runs.DIED)
    wait_until(last, lambda run: look() is None and run.is_over)  # as a page does that shows it
    assert last.stage == Stage.STOPPED, "the queue goes on without it"


def test_ending_the_site_ends_the_process_with_what_it_has() -> None:
    take_in(big(), at=NOON)
    run = ask(Aim.BALANCE, at=NOON)
    wait_until(run, lambda run: bool(run.progress.get("best")))
    pid = worker_pid()
    runs.end_worker(60)
    run.refresh_from_db()
    assert (run.stage, run.has_plan) == (Stage.STOPPED, True)
    with pytest.raises(ProcessLookupError):
        os.kill(pid, 0)
