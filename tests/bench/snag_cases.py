"""A Saturday in a small workshop, on which things may go otherwise."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from pathlib import Path
from typing import Any

from replan_cases import numbered

from onceapart.bench.entries import Entry, SnagOpened, Ticked
from onceapart.bench.release_work import Work, work_of
from onceapart.bench.replan import Left, replanned
from onceapart.bench.snag import kind_of, snag_entry, where_of
from onceapart.bench.state import State, fold
from onceapart.bench.ways import WayOn, ways_on
from onceapart.planning.plan import Plan
from onceapart.trade import apply_recipes
from onceapart.workshop import Workshop, parse_workshop

FILE = Path(__file__).parents[2] / "docs" / "shown" / "snag.yaml"
ZONE = dt.timezone(dt.timedelta(hours=1))
SATURDAY = dt.date(2026, 3, 14)
"""The second stint, of 360 minutes."""


def workshop(**changes: Any) -> Workshop:
    """The workshop of the documentation, with its recipes applied."""
    text = FILE.read_text(encoding="utf-8")
    for old, new in changes.items():
        assert old in text
        text = text.replace(old, new)
    return apply_recipes(parse_workshop(text))


def at(minute: int = 0, day: dt.date = SATURDAY) -> dt.datetime:
    return dt.datetime.combine(day, dt.time(9), ZONE) + dt.timedelta(minutes=minute)


class Bench:
    """A workshop and a record in memory."""

    def __init__(self, of: Workshop | None = None, plan: Plan | None = None) -> None:
        self.workshop = of or workshop()
        self.work: Work = work_of(self.workshop)
        self.plan = plan
        self.entries: list[Entry] = []

    def add(self, *entries: Entry) -> Entry:
        self.entries = numbered([*self.entries, *entries])
        return self.entries[-1]

    def tick(self, *steps: str, minute: int = 0, day: dt.date = SATURDAY, car: str = "wren") -> None:
        self.add(*(Ticked(time=at(minute, day), car=car, step=step) for step in steps))

    @property
    def state(self) -> State:
        return fold(self.entries, self.work.job_steps)

    def left(self, minute: int = 0, day: dt.date = SATURDAY, **more: Any) -> Left:
        return replanned(self.workshop, self.state, self.plan, at(minute, day), **more)

    def snag(self, kind: str, *steps: str, **more: Any) -> SnagOpened:
        entry = snag_entry(self.work, self.state, "wren", kind_of(kind), steps, time=at(), **more)
        kept = self.add(entry)
        assert isinstance(kept, SnagOpened)
        return kept

    def ways(self, opened: SnagOpened, **more: Any) -> dict[str, list[WayOn]]:
        found: dict[str, list[WayOn]] = {}
        for way in ways_on(self.work, self.state, self.left(**more), opened):
            found.setdefault(way.way.id, []).append(way)
        return found

    def where(self, opened: SnagOpened) -> Any:
        return where_of(self.work, self.state, opened)


def minutes_of(left: Left, jobs: Sequence[str]) -> list[int]:
    return [left.workload.job[job].minutes for job in jobs]
