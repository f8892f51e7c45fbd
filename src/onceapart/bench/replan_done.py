"""What the ticks of a record come to: minutes of work done, what it cost, how long cars stood apart."""

from __future__ import annotations

import datetime as dt
from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from onceapart.bench.entries import Ticked, step_parts
from onceapart.bench.release_work import Work
from onceapart.bench.state import State
from onceapart.planning.workload import Access
from onceapart.trade.jobs import car_of, split_minutes
from onceapart.workshop import Job


@dataclass(frozen=True)
class Piece:
    """A piece of work that is done, with the minutes that the plan counts for it. [min]"""

    day: dt.date
    stint: str | None
    minutes: int


@dataclass(frozen=True)
class DoneWork:
    """All work that is done. Minutes are those of planning, not of the clock. [min]"""

    pieces: tuple[Piece, ...]
    minutes_of_job: Mapping[str, int]
    """Of the operations done of each job that was begun; of a job that is done, all."""
    aftercare: Counter[str]
    """How often each was carried out."""
    apart: Mapping[str, frozenset[dt.date]]
    """Car -> the nights that something of it was off, by the day before, as far as it is on again."""
    off_since: Mapping[str, dt.date]
    """What is off now, and since when."""

    @property
    def minutes(self) -> int:
        """All minutes together."""
        return sum(one.minutes for one in self.pieces)

    def minutes_on(self, day: dt.date, stints: Iterable[str | None] | None = None) -> int:
        """Minutes done on a day; of these stints only, if they are given."""
        return sum(one.minutes for one in self.pieces_on(day, stints))

    def pieces_on(self, day: dt.date, stints: Iterable[str | None] | None = None) -> list[Piece]:
        """What was done on a day; in these stints only, if they are given."""
        return [one for one in self.pieces if one.day == day and (stints is None or one.stint in {*stints})]


def done_work(work: Work, state: State) -> DoneWork:
    """What is done, by the ticks that stand.

    Parameters
    ----------
    work : Work
        The workshop, with its recipes applied.
    state : State
        Folded with ``work.job_steps``.
    """
    pieces, minutes_of_job = [], {}
    for job in work.workshop.jobs:
        done = list(_job_pieces(work, state, job))
        if done:
            minutes_of_job[job.id] = sum(piece.minutes for piece in done)
            pieces += done
    walk = _Walk(work)
    for tick in state.ticks:
        walk.take(tick)
    return DoneWork((*pieces, *walk.pieces), minutes_of_job, walk.aftercare(), walk.apart(), dict(walk.off))


def operation_minutes(work: Work, job: Job) -> dict[str, int]:
    """A job's minutes over its operations, by the step that ticks each. [min]

    One without a recipe is done in one step.
    """
    fitted = work.fitted.jobs.get(job.id)
    minutes = job.minutes or 0
    if fitted is None or not fitted.operations:
        return {f"do:{job.id}:work": minutes}
    shares = split_minutes(minutes, [one.what.minutes for one in fitted.operations])
    found: dict[str, int] = {}
    for placed, share in zip(fitted.operations, shares, strict=True):
        at = "" if placed.place == fitted.place else f":{placed.place}"
        step = f"do:{job.id}:{placed.what.id}{at}"
        found[step] = found.get(step, 0) + share
    return found


def is_begun(state: State, job: str) -> bool:
    """Whether anything of a job itself is done."""
    return f"do:{job}" in state.done or any(step.startswith(f"do:{job}:") for step in state.done)


def _job_pieces(work: Work, state: State, job: Job) -> Iterable[Piece]:
    rest = 0
    last: Ticked | None = None
    for step, minutes in operation_minutes(work, job).items():
        tick = state.done.get(step) or _with_place(work, state, job, step)
        if tick is None:
            rest += minutes
        else:
            yield Piece(tick.time.date(), tick.stint, minutes)
            last = tick if last is None or tick.number > last.number else last
    if rest and state.is_job_done(job.id):
        whole = state.done.get(f"do:{job.id}") or last or _any_tick(state, job.id)
        if whole is not None:
            yield Piece(whole.time.date(), whole.stint, rest)


def _with_place(work: Work, state: State, job: Job, step: str) -> Ticked | None:
    """An operation at the job's own place may be ticked with the place, too."""
    fitted = work.fitted.jobs.get(job.id)
    return state.done.get(f"{step}:{fitted.place}") if fitted and step.count(":") == 2 else None


def _any_tick(state: State, job: str) -> Ticked | None:
    return next((tick for step, tick in state.done.items() if step.startswith(f"do:{job}:")), None)


class _Walk:
    """What comes off and goes on, and aftercare, tick by tick."""

    def __init__(self, work: Work) -> None:
        self.work = work
        self.access = {one.id: Access(one.id, one.minutes) for one in work.workshop.access}
        self.care = {one.id: one.minutes for one in work.workshop.aftercare}
        self.off: dict[str, dt.date] = {}
        self.done: list[tuple[str, Piece]] = []
        self.stood: list[tuple[str, str, dt.date, dt.date]] = []
        """Access, step that ended it, first and last day it was off."""

    def take(self, tick: object) -> None:
        step = getattr(tick, "step", "")
        kind, what = step_parts(step)
        if kind not in ("off", "on", "aftercare"):
            return
        if not isinstance(tick, Ticked):
            self._undo(kind, what, step)
        elif kind == "aftercare":
            same = (step, tick.day, tick.stint)
            if not any((one, piece.day, piece.stint) == same for one, piece in self.done):
                self._add(tick, self.care.get(what, 0))
        elif kind == "off" and what not in self.off:
            self.off[what] = tick.day
            self._add(tick, self.access[what].minutes_off if what in self.access else 0)
        elif kind == "on" and what in self.off:
            self.stood.append((what, step, self.off.pop(what), tick.day))
            one = self.access.get(what)
            self._add(tick, one.minutes - one.minutes_off if one else 0)

    def _add(self, tick: Ticked, minutes: int) -> None:
        self.done.append((tick.step, Piece(tick.day, tick.stint, minutes)))

    def _undo(self, kind: str, what: str, step: str) -> None:
        at = next((n for n in range(len(self.done) - 1, -1, -1) if self.done[n][0] == step), None)
        if at is None:
            return
        del self.done[at]
        if kind == "off":
            self.off.pop(what, None)
        elif kind == "on":
            last = next(n for n in range(len(self.stood) - 1, -1, -1) if self.stood[n][1] == step)
            self.off[what] = self.stood.pop(last)[2]

    @property
    def pieces(self) -> list[Piece]:
        return [piece for _, piece in self.done]

    def aftercare(self) -> Counter[str]:
        return Counter(step_parts(step)[1] for step, _ in self.done if step.startswith("aftercare:"))

    def apart(self) -> dict[str, frozenset[dt.date]]:
        found: dict[str, set[dt.date]] = {}
        for access, _, first, last in self.stood:
            car = car_of(self.work.workshop, access)
            if car is not None:
                found.setdefault(car.id, set()).update(nights(first, last))
        return {car: frozenset(days) for car, days in found.items()}


def nights(first: dt.date, last: dt.date) -> Iterable[dt.date]:
    """The days from one up to another, which is not one of them."""
    return (first + dt.timedelta(days=n) for n in range((last - first).days))
