"""The process that makes plans, one after the other, and ends when none is waiting.

``python -m onceapart.site.server.worker``. A run is stopped by its row in the database; the process by
SIGINT or SIGTERM. Either way the best plan so far is kept.
"""

from __future__ import annotations

import os
import signal
import sys
import threading
import time
import traceback
from dataclasses import replace
from importlib.metadata import version
from types import FrameType
from typing import Any

import django

if __name__ == "__main__":
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "onceapart.site.settings")
    django.setup()

from django.db import DatabaseError, connection
from django.utils import timezone

from onceapart.bench.replan_plan import plan_anew
from onceapart.errors import OnceapartError
from onceapart.planning.answer import Answer, Progress
from onceapart.planning.conflict import explain_impossible
from onceapart.planning.plan import Aim, Status
from onceapart.planning.plan_file import plan_to_json
from onceapart.planning.solve import USUAL_WORK, best_plan
from onceapart.planning.stopped import UNKNOWN, with_bound
from onceapart.planning.workload import Workload
from onceapart.site.store.at_work import at_work
from onceapart.site.store.basis import Basis, basis_of, with_wishes
from onceapart.site.store.locking import Kept, writing
from onceapart.site.store.models import PlanRun
from onceapart.site.store.runs import fail_the_dead

Stage = PlanRun.Stage
HEARTBEAT = 0.5
"""Seconds between two looks at whether to stop, and between two words on how far it is."""
HELD = "With these jobs held to their stints no plan is possible; without that, one is:"


def program() -> str:
    """Versions of the program and its solver."""
    return f"onceapart {version('onceapart')}, HiGHS {version('highspy')}"


class Stopper:
    """Breaks off a search that is under way, and nothing else.

    A signal sets the mark and interrupts the search; a thread does the same when the row says so.
    """

    def __init__(self) -> None:
        self.is_asked = False
        self.is_ending = False
        """Whether the whole process is to end, not only this run."""
        self._is_searching = False

    def on_signal(self, _number: int, _frame: FrameType | None) -> None:
        self.is_asked = self.is_ending = True
        if self._is_searching:
            raise KeyboardInterrupt

    def on_alarm(self, _number: int, _frame: FrameType | None) -> None:
        self.is_asked = True
        if self._is_searching:
            raise KeyboardInterrupt

    def search(self, workload: Workload, aim: Aim, watch: Watch) -> Answer:
        """The best plan, or the best so far; raises KeyboardInterrupt if there is none at all."""
        try:
            self._is_searching = not self.is_asked
            if not self.is_asked:
                answer = best_plan(workload, aim, work_limit=USUAL_WORK, progress=watch)
                self._is_searching = False
                return with_bound(answer, watch.last)
        except KeyboardInterrupt:
            pass
        self._is_searching = False
        answer = best_plan(workload, aim, seconds=0.0)
        if answer.plan is None and answer.status is not Status.IMPOSSIBLE:
            raise KeyboardInterrupt
        return answer

    def explain(self, workload: Workload) -> tuple[str, ...]:
        """Why there is no plan; nothing if that was broken off."""
        self._is_searching = not self.is_asked
        try:
            return () if self.is_asked else tuple(explain_impossible(workload))
        except KeyboardInterrupt:
            return ()
        finally:
            self._is_searching = False


class Watch:
    """Writes how far a run is into its row, and looks there whether to stop; a thread, while it is used."""

    def __init__(self, run: PlanRun) -> None:
        self.run, self.last = run, None  # type: tuple[PlanRun, Progress | None]
        self._written: Progress | None = None
        self._over = threading.Event()
        self._started = time.monotonic()
        self._thread = threading.Thread(target=self._beat, daemon=True)

    def __call__(self, progress: Progress) -> None:
        self.last = progress

    def __enter__(self) -> Watch:
        if not connection.in_atomic_block:  # in a transaction nobody could see it, nor write beside it
            self._thread.start()
        return self

    def __exit__(self, *_: object) -> None:
        self._over.set()
        if self._thread.ident is not None:
            self._thread.join()

    def _beat(self) -> None:
        is_told = False
        while not self._over.wait(HEARTBEAT):
            try:
                rows = PlanRun.objects.filter(pk=self.run.pk)
                if self.last is not None and self.last is not self._written:
                    self._written = self.last
                    rows.update(progress=self._words(self._written))
                if not is_told and rows.filter(is_stop_asked=True).exists():
                    is_told = True
                    signal.raise_signal(signal.SIGALRM)
            except DatabaseError:
                continue  # busy; the next beat says it
        connection.close()

    def _words(self, progress: Progress) -> dict[str, Any]:
        def figure(value: float | None) -> int | None:
            return None if value is None or not abs(value) < -UNKNOWN else round(value)

        return {
            "stage": progress.stage,
            "best": figure(progress.best),
            "bound": figure(progress.bound),
            "nodes": progress.nodes,
            "seconds": round(time.monotonic() - self._started),
        }


def work_through(stopper: Stopper) -> int:
    """Make the plans that are waiting; gives their number."""
    made = 0
    while not stopper.is_ending and (run := _next()) is not None:
        stopper.is_asked = False
        _make(run, stopper)
        made += 1
    return made


def _next() -> PlanRun | None:
    with writing(Kept.RUNS):
        run = PlanRun.objects.filter(stage=Stage.WAITING).order_by("asked_at", "pk").first()
        if run is not None:
            run.stage, run.started_at, run.program = Stage.RUNNING, timezone.now(), program()
            run.save(update_fields=["stage", "started_at", "program"])
    return run


def _make(run: PlanRun, stopper: Stopper) -> None:
    try:
        basis = basis_of(run)
        with Watch(run) as watch:
            answer = _answer(run, basis, stopper, watch)
        run.stage = Stage.STOPPED if stopper.is_asked and answer.status is Status.GOOD else Stage.DONE
        run.result = plan_to_json(basis.workload, answer)
    except KeyboardInterrupt:
        run.stage, run.why = Stage.STOPPED, "stopped before a plan was found"
    except OnceapartError as error:
        run.stage, run.why = Stage.FAILED, str(error)
    except Exception as error:
        traceback.print_exc()
        run.stage, run.why = (
            Stage.FAILED,
            f"the program broke off ({type(error).__name__}); that is our fault",
        )
    run.ended_at = timezone.now()
    with writing(Kept.RUNS):
        run.save(update_fields=["stage", "ended_at", "result", "why"])


def _answer(run: PlanRun, basis: Basis, stopper: Stopper, watch: Watch) -> Answer:
    aim, left = Aim(run.aim), with_wishes(basis)

    def solve(workload: Workload, wanted: Aim) -> Answer:
        return stopper.search(workload, wanted, watch)

    answer = solve(basis.workload, aim) if left is None else plan_anew(left, aim, solve)
    if answer.status is not Status.IMPOSSIBLE or stopper.is_asked:
        return answer
    workload = basis.workload
    if any(job.held_to for job in workload.jobs):
        free = replace(workload, jobs=tuple(replace(job, held_to=None) for job in workload.jobs))
        if solve(free, aim).plan is not None:
            return replace(answer, why=(HELD, *answer.why))
        workload = free
    why = stopper.explain(workload)
    return replace(answer, why=why) if why else answer


def main() -> None:
    """Make plans until none is waiting, unless somebody else does."""
    stopper = Stopper()
    signal.signal(signal.SIGINT, stopper.on_signal)
    signal.signal(signal.SIGTERM, stopper.on_signal)
    signal.signal(signal.SIGALRM, stopper.on_alarm)
    while not stopper.is_ending and PlanRun.objects.filter(stage=Stage.WAITING).exists():
        with at_work(patience=2.0) as is_mine:
            if not is_mine:
                return
            fail_the_dead()
            work_through(stopper)


if __name__ == "__main__":
    main()
    sys.exit(0)
