"""Asking for plans. They are made one at a time by a process in the background, which others here may end.

``ask`` puts a run in the queue, ``look`` sees to it that somebody works through the queue, ``stop`` asks
for the best plan so far, ``choose`` says which plan is worked by.
"""

from __future__ import annotations

import datetime as dt
import os
import subprocess
import sys
import threading
from collections.abc import Mapping
from urllib.parse import quote

from django.conf import settings
from django.db import connection
from django.db.models import Max
from django.utils import timezone

from onceapart.errors import OnceapartError
from onceapart.planning.plan import Aim
from onceapart.site.store.at_work import at_work
from onceapart.site.store.basis import Basis, basis_of, plan_of
from onceapart.site.store.locking import Kept, writing
from onceapart.site.store.models import PlanRun, RecordEntry, Version
from onceapart.site.store.refs import NothingThereError
from onceapart.site.store.wishes import WishError, Wishes, wishes_to_json

__all__ = [
    "Basis",
    "NotPlannedError",
    "WishError",
    "Wishes",
    "ask",
    "basis_of",
    "choose",
    "chosen",
    "end_worker",
    "fail_the_dead",
    "look",
    "plan_of",
    "runs",
    "stop",
]

Stage = PlanRun.Stage
DIED = "the process that made the plan ended before it was done; ask for it again"


class NotPlannedError(OnceapartError):
    """A run that has no plan can't be worked by."""


def ask(aim: Aim, wishes: Wishes | None = None, *, at: dt.datetime, today: dt.date | None = None) -> PlanRun:
    """Ask for a plan of the workshop as it is now, and of what is left of it if work has begun.

    Parameters
    ----------
    aim : Aim
    wishes : Wishes, optional
    at : datetime
        Now, with time zone.
    today : date, optional
        The day orders are placed on, where the workshop names none; by default that of ``at``.

    Returns
    -------
    PlanRun
        A new run, or the one that was asked the same of the same.

    Raises
    ------
    NothingThereError
        There is no workshop.
    WishError
        A wish names what is not there.
    """
    version = Version.objects.order_by("-number").first()
    if version is None:
        raise NothingThereError("there is no workshop to plan; take in a workshop file first")
    run = PlanRun(
        asked_at=at,
        version=version,
        record_number=RecordEntry.objects.aggregate(last=Max("number"))["last"] or 0,
        aim=Aim(aim).value,
        wishes=wishes_to_json(wishes or Wishes()),
    )
    run.today = run.today or today or timezone.localdate(at)
    basis = basis_of(run)
    run.today = basis.workload.today
    if basis.left is not None:
        run.follows = chosen()
    with writing(Kept.RUNS):
        same = _same_as(run, is_anew=basis.left is not None)
        if same is not None:
            return same
        run.save()
    look()
    return run


def _same_as(run: PlanRun, *, is_anew: bool) -> PlanRun | None:
    """A run that answers the same. What is planned anew depends on the hour too, so only one under way."""
    stages = [Stage.WAITING, Stage.RUNNING, *([] if is_anew else [Stage.DONE])]
    alike = PlanRun.objects.filter(
        version=run.version,
        record_number=run.record_number,
        aim=run.aim,
        today=run.today,
        stage__in=stages,
        is_stop_asked=False,
    )
    return next((one for one in alike if one.wishes == run.wishes), None)


def look() -> None:
    """See to the queue: say of a run whose process has died that it failed, and have the next one made."""
    with at_work() as is_idle:
        if is_idle:
            fail_the_dead()
    if is_idle and settings.PLANS_IN_BACKGROUND and PlanRun.objects.filter(stage=Stage.WAITING).exists():
        _WORKER.start()


def fail_the_dead() -> None:
    """Say of runs that nobody is at any more that they failed; for whom ``at_work`` has let in."""
    PlanRun.objects.filter(stage=Stage.RUNNING).update(stage=Stage.FAILED, why=DIED, ended_at=timezone.now())


def runs(most: int = 50) -> tuple[PlanRun, ...]:
    """The last runs, the newest first."""
    return tuple(PlanRun.objects.select_related("version").defer("version__packed")[:most])


def stop(number: int, *, at: dt.datetime) -> PlanRun:
    """Ask for the best plan so far; a run that was waiting is not made at all.

    Raises
    ------
    NothingThereError
        There is no such run.
    """
    with writing(Kept.RUNS):
        run = _run(number)
        if run.stage == Stage.WAITING:
            run.stage, run.ended_at, run.why = Stage.STOPPED, at, "stopped before it was begun"
        elif run.stage == Stage.RUNNING:
            run.is_stop_asked = True
        run.save(update_fields=["stage", "ended_at", "why", "is_stop_asked"])
    return run


def choose(number: int | None) -> PlanRun | None:
    """Work by the plan of a run from now on, or by none; gives back the run that was worked by before.

    Raises
    ------
    NothingThereError
        There is no such run.
    NotPlannedError
        It has no plan.
    """
    with writing(Kept.RUNS):
        before = chosen()
        if number is not None and not _run(number).has_plan:
            raise NotPlannedError(f"run {number} has no plan, so nobody can work by it; choose another")
        PlanRun.objects.filter(is_chosen=True).update(is_chosen=False)
        if number is not None:
            PlanRun.objects.filter(pk=number).update(is_chosen=True)
    return before


def chosen() -> PlanRun | None:
    """The run whose plan is worked by."""
    return PlanRun.objects.filter(is_chosen=True).select_related("version").first()


def _run(number: int) -> PlanRun:
    run = PlanRun.objects.filter(pk=number).first()
    if run is None:
        raise NothingThereError(f"plan run {number}: there is none")
    return run


class _Worker:
    """The process that makes plans for this one."""

    def __init__(self) -> None:
        self._lock = threading.Lock()
        self._process: subprocess.Popen[bytes] | None = None

    def start(self) -> None:
        with self._lock:
            if self._process is not None and self._process.poll() is None:
                return  # it has just been started
            with (settings.DATA / "plans.log").open("ab") as log:
                self._process = subprocess.Popen(
                    [sys.executable, "-m", "onceapart.site.server.worker"],
                    env=os.environ | _surroundings(),
                    stdin=subprocess.DEVNULL,
                    stdout=log,
                    stderr=log,
                    start_new_session=True,  # Ctrl-C is for the site, which then ends it with care
                )

    def end(self, patience: float) -> None:
        with self._lock:
            process, self._process = self._process, None
        if process is None or process.poll() is not None:
            return
        process.terminate()
        try:
            process.wait(timeout=patience)
        except subprocess.TimeoutExpired:
            process.kill()
            process.wait()


_WORKER = _Worker()


def end_worker(patience: float = 10.0) -> None:
    """End the process that was started here, if any; what it is at stops with the best plan so far."""
    _WORKER.end(patience)


def _surroundings() -> Mapping[str, str]:
    """What another process needs to find the same data."""
    found = {"ONCEAPART_DATA": str(settings.DATA)}
    if connection.vendor == "postgresql":
        given = {
            key: quote(str(connection.settings_dict[key]), safe="") for key in ("USER", "PASSWORD", "NAME")
        }
        host = str(connection.settings_dict["HOST"])
        host = f"[{host}]" if ":" in host else host
        place = f"{host}:{connection.settings_dict['PORT'] or 5432}"
        found["DATABASE_URL"] = f"postgres://{given['USER']}:{given['PASSWORD']}@{place}/{given['NAME']}"
    return found
