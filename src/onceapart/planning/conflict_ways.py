"""Changes to a workload that can make an impossible one possible, and what each does to it."""

from __future__ import annotations

import datetime as dt
from bisect import bisect_right
from collections.abc import Container
from dataclasses import dataclass, replace
from enum import StrEnum

from onceapart.planning.workload import Offer, Seller, Stint, Workload


class WayKind(StrEnum):
    """What is changed; the order is that in which they are told."""

    PIECES = "pieces"
    """``pieces`` more of ``part`` are here by ``date``, from wherever."""
    TOOL = "tool"
    """``tool`` is there."""
    LATER = "later"
    """The last day ``old_date`` of the jobs of ``car`` moves to ``date``; with ``minutes``, a stint of so
    many minutes is worked on that day."""
    LONGER = "longer"
    """The stint at ``stint`` has ``minutes`` in place of ``old_minutes``."""
    STINT = "stint"
    """A stint of ``minutes`` more, on any day from ``date`` to ``until`` (None: or any later day)."""
    LEAVE = "leave"
    """``jobs`` need not be done."""
    ORDER = "order"
    """The first of ``jobs`` need not wait for the second."""


class Frees(StrEnum):
    """How far a way out reaches; checked, not presumed."""

    ALL = "all"
    """The workload is possible."""
    WITH_OTHERS = "with others"
    """The workload is possible once the other conflicts found are freed too."""
    THIS = "this"
    """This conflict is freed; another stands in the way."""


@dataclass(frozen=True)
class WayOut:
    """A change that frees a conflict. Which fields are filled goes by the kind."""

    kind: WayKind
    frees: Frees = Frees.ALL
    jobs: tuple[str, ...] = ()
    car: str = ""
    part: str = ""
    pieces: int = 0
    tool: str = ""
    stint: int | None = None
    minutes: int = 0
    old_minutes: int = 0
    date: dt.date | None = None
    old_date: dt.date | None = None
    until: dt.date | None = None

    def changed(self, workload: Workload) -> Workload:
        """The workload with this change made. Of a range of days, the first is taken."""
        match self.kind:
            case WayKind.PIECES:
                assert self.date is not None
                return with_pieces(workload, self.part, self.pieces, self.date)
            case WayKind.TOOL:
                tools = tuple(replace(t, have=True) if t.id == self.tool else t for t in workload.tools)
                return replace(workload, tools=tools)
            case WayKind.LATER:
                assert self.old_date is not None
                assert self.date is not None
                later = with_last_day(workload, self.car, self.old_date, self.date)
                return with_stint(later, self.date, self.minutes) if self.minutes else later
            case WayKind.LONGER:
                assert self.stint is not None
                return with_minutes(workload, self.stint, self.minutes)
            case WayKind.STINT:
                assert self.date is not None
                return with_stint(workload, self.date, self.minutes)
            case WayKind.LEAVE:
                jobs = tuple(replace(j, is_must=j.is_must and j.id not in self.jobs) for j in workload.jobs)
                return replace(workload, jobs=jobs)
            case WayKind.ORDER:
                return without_order(workload, *self.jobs)


def with_pieces(workload: Workload, part: str, pieces: int, day: dt.date) -> Workload:
    """Pieces of a part that are here on a day, from a seller not listed so far."""
    name = _new("elsewhere", workload.seller)
    offer = Offer(_new(f"elsewhere-{part}", workload.offer), name, {part: 1}, 0, day, pieces)
    return replace(
        workload, sellers=(*workload.sellers, Seller(name, "Elsewhere", 0)), offers=(*workload.offers, offer)
    )


def with_last_day(workload: Workload, car: str, old: dt.date, new: dt.date) -> Workload:
    """Another last day for the jobs of a car that share one."""
    jobs = tuple(
        replace(job, last_day=new) if job.car == car and job.last_day == old else job for job in workload.jobs
    )
    return replace(workload, jobs=jobs)


def with_minutes(workload: Workload, place: int, minutes: int) -> Workload:
    """Another length for a stint."""
    stints = list(workload.stints)
    stints[place] = replace(stints[place], minutes=minutes)
    return replace(workload, stints=tuple(stints))


def with_stint(workload: Workload, day: dt.date, minutes: int) -> Workload:
    """A stint more, after those of the same day."""
    stints = list(workload.stints)
    place = bisect_right([stint.date for stint in stints], day)
    stints.insert(place, Stint(day, minutes, _new("more", {stint.id for stint in stints if stint.id})))
    return replace(workload, stints=tuple(stints))


def without_order(workload: Workload, job_id: str, before: str) -> Workload:
    """A job that need not wait for another any more."""
    jobs = tuple(
        replace(job, after=tuple(name for name in job.after if name != before)) if job.id == job_id else job
        for job in workload.jobs
    )
    return replace(workload, jobs=jobs)


def _new(name: str, taken: Container[str]) -> str:
    """The name, with as many dashes as it takes to be a new one."""
    while name in taken:
        name += "-"
    return name
