"""Looking for a plan while a person waits: how far it is, and Ctrl-C for the best so far."""

from __future__ import annotations

import sys
import time
from contextlib import contextmanager
from typing import TYPE_CHECKING

from onceapart.planning.answer import Answer, Progress
from onceapart.planning.plan import Aim

if TYPE_CHECKING:
    from collections.abc import Iterator

    from rich.status import Status

    from onceapart.planning.workload import Workload

QUIET_SECONDS = 0.5
"""A search that is done sooner says nothing of its progress."""
FIGURES = ("total", "money", "minutes")
"""Stages whose figures are worth showing; after them only ties are sorted out."""


def find_plan(workload: Workload, aim: Aim, seconds: float | None = None) -> Answer:
    """The best plan, with progress on the error stream if that is a terminal.

    Ctrl-C stops the search; the best plan so far is the answer, marked ``good``.

    Raises
    ------
    KeyboardInterrupt
        Stopped before there was any plan.
    """
    from onceapart.planning.solve import best_plan

    if not sys.stderr.isatty():
        return best_plan(workload, aim, seconds=seconds)
    watch = Watch(aim, workload.currency)
    with watch.shown():
        return best_plan(workload, aim, seconds=seconds, progress=watch)


class Watch:
    """Shows where a search stands, in one line that goes away."""

    def __init__(self, aim: Aim, currency: str) -> None:
        self.aim, self.currency = aim, currency
        self.started = time.monotonic()
        self.status: Status | None = None

    @contextmanager
    def shown(self) -> Iterator[None]:
        """The line goes away at the end."""
        try:
            yield
        finally:
            if self.status is not None:
                self.status.stop()

    def __call__(self, progress: Progress) -> None:
        if self.status is None:
            if time.monotonic() - self.started < QUIET_SECONDS:
                return
            self.status = _status("")
        self.status.update(progress_words(progress, self.aim, self.currency))


@contextmanager
def waiting(words: str) -> Iterator[None]:
    """Say on the error stream, if that is a terminal, what takes its time; the line goes away at the end."""
    if not sys.stderr.isatty():
        yield
        return
    status = _status(words)
    try:
        yield
    finally:
        status.stop()


def _status(words: str) -> Status:
    from onceapart.cli.screen import console_for

    status = console_for(sys.stderr).status(words)
    status.start()
    return status


def progress_words(progress: Progress, aim: Aim, currency: str) -> str:
    """Where a search stands, in short.

    >>> progress_words(Progress("total", 70000.0, 69300.0, 12), Aim.BALANCE, "EUR")
    'best plan so far 700.00 EUR; at most 7.00 EUR to save; Ctrl-C takes it'
    """
    from onceapart.cli.words import hours, money

    first = {Aim.THRIFT: "money", Aim.LEAST_WORK: "minutes"}.get(aim, "total")
    if progress.best is None:
        return "looking for a first plan"
    if aim is Aim.SOONEST or progress.stage not in ("root", first):
        stage = "choosing among the best" if progress.stage != "root" else "looking for the soonest"
        return f"{stage}; Ctrl-C takes the best plan so far"
    best = round(progress.best)
    shown = hours(best) if first == "minutes" else money(best, currency)
    if progress.bound is None or not abs(progress.bound) < 1e12:
        return f"best plan so far {shown}; Ctrl-C takes it"
    gap = max(0, round(progress.best - progress.bound))
    saved = hours(gap) if first == "minutes" else money(gap, currency)
    return f"best plan so far {shown}; at most {saved} to save; Ctrl-C takes it"
