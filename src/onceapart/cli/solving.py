"""Looking for a plan while a person waits: how far it is, and Ctrl-C for the best so far."""

from __future__ import annotations

import sys
import time
from contextlib import contextmanager
from typing import TYPE_CHECKING

from onceapart.planning.answer import Answer, Progress
from onceapart.planning.plan import Aim
from onceapart.planning.stopped import FIRST_FIGURE, UNKNOWN, with_bound

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

    from rich.status import Status as StatusLine

    from onceapart.planning.workload import Workload

QUIET_SECONDS = 0.5
"""A search that is done sooner says nothing of its progress."""


def find_plan(workload: Workload, aim: Aim, seconds: float | None = None) -> Answer:
    """The best plan, with progress on the error stream if that is a terminal.

    Ctrl-C, ``seconds`` or a fixed amount of work stops the search; the best plan so far is the answer, marked
    ``good``.

    Raises
    ------
    KeyboardInterrupt
        Stopped before there was any plan.
    """
    from onceapart.planning.solve import USUAL_WORK, best_plan

    watch = Watch(aim, workload.currency, is_shown=sys.stderr.isatty())
    with watch.shown():
        limit = USUAL_WORK if seconds is None else None
        answer = best_plan(workload, aim, work_limit=limit, seconds=seconds, progress=watch)
    return with_bound(answer, watch.last)


class Watch:
    """Keeps what a search said last, and shows where it stands in one line that goes away."""

    def __init__(self, aim: Aim, currency: str, *, is_shown: bool) -> None:
        self.aim, self.currency, self.is_shown = aim, currency, is_shown
        self.last: Progress | None = None
        self.started = time.monotonic()
        self.line: StatusLine | None = None

    @contextmanager
    def shown(self) -> Iterator[None]:
        """The line goes away at the end."""
        try:
            yield
        finally:
            if self.line is not None:
                self.line.stop()

    def __call__(self, progress: Progress) -> None:
        self.last = progress
        if not self.is_shown:
            return
        if self.line is None:
            if time.monotonic() - self.started < QUIET_SECONDS:
                return
            self.line = _status_line("")
        self.line.update(progress_words(progress, self.aim, self.currency))


@contextmanager
def waiting(words: str) -> Iterator[None]:
    """Say on the error stream, if that is a terminal, what takes its time; the line goes away at the end."""
    if not sys.stderr.isatty():
        yield
        return
    line = _status_line(words)
    try:
        yield
    finally:
        line.stop()


@contextmanager
def saying(words: str) -> Iterator[Callable[[str], None]]:
    """As ``waiting``, with a way to say other words meanwhile."""
    if not sys.stderr.isatty():
        yield lambda _: None
        return
    line = _status_line(words)
    try:
        yield line.update
    finally:
        line.stop()


def _status_line(words: str) -> StatusLine:
    from onceapart.cli.screen import console_for

    line = console_for(sys.stderr).status(words)
    line.start()
    return line


def progress_words(progress: Progress, aim: Aim, currency: str) -> str:
    """Where a search stands, in short.

    >>> progress_words(Progress("total", 70000.0, 69300.0, 12), Aim.BALANCE, "EUR")
    'best plan so far 700.00 EUR; at most 7.00 EUR to save; Ctrl-C takes it'
    """
    from onceapart.cli.words import hours, money

    first = FIRST_FIGURE.get(aim, "total")
    if progress.best is None:
        return "looking for a first plan"
    if aim is Aim.SOONEST or progress.stage not in ("root", first):
        stage = "choosing among the best" if progress.stage != "root" else "looking for the soonest"
        return f"{stage}; Ctrl-C takes the best plan so far"
    best = round(progress.best)
    shown = hours(best) if first == "minutes" else money(best, currency)
    if progress.bound is None or not abs(progress.bound) < -UNKNOWN:
        return f"best plan so far {shown}; Ctrl-C takes it"
    gap = max(0, round(progress.best - progress.bound))
    saved = hours(gap) if first == "minutes" else money(gap, currency)
    return f"best plan so far {shown}; at most {saved} to save; Ctrl-C takes it"
