"""Jobs that are left: what is done taken off, ways chosen put on, stopgaps to make good, aftercare owed."""

from __future__ import annotations

import datetime as dt
from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field

from onceapart.bench.entries import step_parts
from onceapart.bench.release_work import Work
from onceapart.bench.replan_done import DoneWork, is_begun
from onceapart.bench.state import Snag, State
from onceapart.bench.stopgap import make_good_job, missing_make_good
from onceapart.trade.jobs import car_of
from onceapart.trade.snag_ways import Way, all_ways
from onceapart.workshop import Job, Need, Workshop

TOLD_OTHERWISE = ("short of time", "left unfinished", "wrong part", "bad part", "missing tool")
"""Snags that a plan reckons with before a way on is chosen: time, pieces that don't count, lacking tools."""
WITH_THE_JOB = ("work", "substitute", "stopgap")
"""Acts whose minutes go with the job, whenever it is done; those of the others go off the day they are chosen
on."""


@dataclass(frozen=True)
class LeftJobs:
    """Jobs to plan; ``not_before`` are those put off to another day, ``reserved`` pieces that are in a job
    half done, or were laid out for it."""

    jobs: tuple[Job, ...]
    done: tuple[str, ...]
    begun: Mapping[str, int] = field(default_factory=dict)
    """Job -> minutes left of one that is half done. [min]"""
    added: tuple[str, ...] = ()
    """Jobs that are not in the file: stopgaps to make good, and what a way on from a snag asks for."""
    owed: Mapping[str, str] = field(default_factory=dict)
    """Job -> aftercare that is still to follow work which is done."""
    not_before: Mapping[str, dt.date] = field(default_factory=dict)
    reserved: Mapping[str, int] = field(default_factory=dict)
    notes: tuple[str, ...] = ()


def with_make_good(workshop: Workshop, state: State, on: dt.date) -> tuple[Workshop, tuple[str, ...]]:
    """The workshop with the jobs that open stopgaps need, which no plan can leave; ids of new ones."""
    new = [Job.model_validate(entry) for entry in missing_make_good(workshop, state, on)]
    jobs = [*workshop.jobs, *new]
    for stopgap in state.open_stopgaps():
        wanted = make_good_job(stopgap, workshop, on)
        for at, job in enumerate(jobs):
            if job.id != stopgap.fitted.job:
                continue
            days = [day for day in (job.by, wanted.get("by")) if day is not None]
            need = job.need if job.need.is_must else Need(wanted["need"])
            jobs[at] = job.model_copy(update={"need": need, "by": min(days, default=None)})
    return workshop.model_copy(update={"jobs": tuple(jobs)}), tuple(job.id for job in new)


def jobs_left(
    work: Work, state: State, done: DoneWork, shelf: Mapping[str, int], sold: frozenset[str], today: dt.date
) -> LeftJobs:
    """The jobs of a workshop that are left, as they are left.

    Parameters
    ----------
    work : Work
        The workshop, stopgaps' jobs included.
    state : State
        Folded with ``work.job_steps``.
    done : DoneWork
    shelf : mapping
        Pieces in the house; jobs half done have theirs already.
    sold : frozenset of str
        Parts that can be had: those of offers, on the shelf, or on their way.
    today : date
    """
    gone = jobs_gone(work, state)
    chosen = _Chosen(work, state, gone, sold)
    leave = chosen.leaves()
    hand, reserved = Counter(shelf), Counter[str]()
    jobs, begun, notes = [], dict[str, int](), list(chosen.notes)
    for job in work.workshop.jobs:
        if job.id in gone or job.id in leave:
            continue
        minutes = job.minutes or 0
        if is_begun(state, job.id) and job.id not in made_good_anew(state):
            minutes -= done.minutes_of_job.get(job.id, 0)
            begun[job.id] = minutes
        parts = Counter(job.parts)
        parts.update(chosen.parts.get(job.id, {}))
        if job.id in begun:
            for part, need in job.parts.items():
                taken = min(need, hand[part])
                hand[part] -= taken
                reserved[part] += taken
                parts[part] -= taken
        jobs.append(_left(job, chosen, minutes, dict(+parts), gone))
    owed = _owed(work, state, gone, {*work.jobs, *chosen.new}, today)
    extra = chosen.jobs()
    notes += [f"{name}: a job was to be left, and must be done; it stays in the plan" for name in chosen.kept]
    return LeftJobs(
        jobs=(*jobs, *extra, *owed),
        done=gone,
        begun=begun,
        added=tuple(job.id for job in extra),
        owed={job.id: job.aftercare[0] for job in owed},
        not_before=chosen.not_before,
        reserved=dict(+reserved),
        notes=tuple(notes),
    )


def jobs_gone(work: Work, state: State) -> tuple[str, ...]:
    """Jobs that are done; not those that have to be done again because a makeshift went in since."""
    again = made_good_anew(state)
    return tuple(job.id for job in work.workshop.jobs if state.is_job_done(job.id) and job.id not in again)


def made_good_anew(state: State) -> frozenset[str]:
    """Jobs that were done before the stopgap went in that they are to make good."""
    found = set()
    for stopgap in state.open_stopgaps():
        job = stopgap.fitted.job
        newest = _newest(state, job)
        if newest and newest < stopgap.fitted.number:
            found.add(job)
    return frozenset(found)


def job_of(work: Work, snag: Snag, gone: Iterable[str] = ()) -> str | None:
    """The job that a snag is in: as it says, or that of its step, or the first left that needs its access."""
    opened = snag.opened
    if opened.job is not None:
        return opened.job
    steps = [step for step in (opened.step, *opened.blocks) if step]
    for step in steps:
        kind, what = step_parts(step)
        name = what.split(":")[0]
        if kind in ("do", "measure", "tighten") and name in work.jobs:
            return name
    for step in steps:
        kind, what = step_parts(step)
        left = [job for job in work.workshop.jobs if job.id not in gone and job.car == opened.car]
        behind = [job.id for job in left if what in work.access_of_job(job.id)]
        if behind:
            return behind[0]
    return None


class _Chosen:
    """What the ways chosen for open snags do to the jobs."""

    def __init__(self, work: Work, state: State, gone: tuple[str, ...], sold: frozenset[str]) -> None:
        self.work, self.gone = work, gone
        self.minutes = Counter[str]()
        self.parts: dict[str, Counter[str]] = {}
        self.not_before: dict[str, dt.date] = {}
        self.elsewhere: dict[str, int] = {}
        self.wanted_left: set[str] = set()
        self.kept: list[str] = []
        self.new: dict[str, Job] = {}
        self.notes: list[str] = []
        for snag in state.open_snags():
            job = job_of(work, snag, gone)
            if job in gone:
                continue
            if snag.ways:
                self._take(snag, job, sold)
            elif snag.opened.snag not in TOLD_OTHERWISE:
                on = f" on {job}" if job else ""
                self.notes.append(
                    f"snag {snag.opened.number} ({snag.opened.snag}{on}) has no way on yet; "
                    "the plan takes it as if nothing stood in the way"
                )

    def _take(self, snag: Snag, job: str | None, sold: frozenset[str]) -> None:
        chosen = snag.ways[-1]
        way, minutes = all_ways().get(chosen.way), chosen.minutes or 0
        act = way.act if way else "work"
        if act in ("longer", "stop"):
            return
        if act == "put-off" and job is not None:
            self.not_before[job] = chosen.day + dt.timedelta(days=1)
        elif act == "leave" and job is not None:
            self.wanted_left.add(job)
        elif act == "elsewhere" and job is not None:
            self.elsewhere[job] = minutes
        elif job is not None:
            self.minutes[job] += minutes if act in WITH_THE_JOB else 0
        elif minutes and act in WITH_THE_JOB:
            name = f"{snag.opened.car}-snag-{snag.opened.number}"
            must = Need.SAFETY if snag.opened.dangerous else Need.UPKEEP
            worth = 0 if must.is_must else minutes * self.work.workshop.hour_worth
            self.new[name] = Job(id=name, car=snag.opened.car, need=must, minutes=minutes, worth=worth)
        if job is not None and _needs_piece(snag, way, self.work.jobs.get(job), sold):
            self.parts.setdefault(job, Counter())[snag.opened.part or ""] += 1

    def leaves(self) -> frozenset[str]:
        """Jobs that are left, with those that only make sense after them; none that must be done."""
        found = set(self.wanted_left)
        jobs = [job for job in self.work.workshop.jobs if job.id not in self.gone]
        while True:
            more = {job.id for job in jobs if found.intersection(job.after)} - found
            if not more:
                break
            found |= more
        must = [job.id for job in jobs if job.id in found and job.need.is_must]
        if must:
            self.kept += must
            self.wanted_left -= {name for name in self.wanted_left if self._behind(name, must)}
            return self.leaves()
        return frozenset(found)

    def _behind(self, name: str, must: Iterable[str]) -> bool:
        """Whether one of these jobs is this one, or comes after it by way of others."""
        waiting, seen = list(must), set[str]()
        while waiting:
            one = waiting.pop()
            if one == name:
                return True
            if one not in seen and one in self.work.jobs:
                seen.add(one)
                waiting += self.work.jobs[one].after
        return False

    def jobs(self) -> tuple[Job, ...]:
        return tuple(self.new.values())


def _needs_piece(snag: Snag, way: Way | None, job: Job | None, sold: frozenset[str]) -> bool:
    """Whether a way uses a piece that the job does not bring along itself."""
    part = snag.opened.part
    if way is None or not way.takes_new or part is None or job is None:
        return False
    is_fastener = snag.opened.snag in ("broken fastener", "seized fastener")
    return is_fastener and part in sold and part not in job.parts


def _left(job: Job, chosen: _Chosen, minutes: int, parts: dict[str, int], gone: Iterable[str]) -> Job:
    changes: dict[str, object] = {"after": tuple(one for one in job.after if one not in {*gone})}
    if job.id in chosen.elsewhere:
        nothing: dict[str, object] = {"access": (), "parts": {}, "tools": (), "aftercare": ()}
        new = chosen.elsewhere[job.id]
        return job.model_copy(update={**changes, **nothing, "minutes": new, "between": None})
    new = minutes + chosen.minutes[job.id]
    changes |= {"minutes": new, "parts": parts, "between": _between(job, new)}
    return job.model_copy(update=changes)


def _between(job: Job, minutes: int) -> tuple[int, int] | None:
    """Minutes in a good and a bad case, in proportion."""
    if job.between is None or not job.minutes:
        return job.between
    good, bad = job.between
    return minutes * good // job.minutes, -(-minutes * bad // job.minutes)


def _owed(
    work: Work, state: State, gone: tuple[str, ...], names: set[str], today: dt.date
) -> tuple[Job, ...]:
    """A job for each aftercare of work that is done, where it was not carried out since."""
    found = []
    for care in work.workshop.aftercare:
        last = state.done[f"aftercare:{care.id}"].number if f"aftercare:{care.id}" in state.done else 0
        jobs = [
            work.jobs[job]
            for job in gone
            if care.id in work.jobs[job].aftercare and _newest(state, job) > last
        ]
        put_on = [
            one.id
            for one in work.workshop.access
            if care.id in one.aftercare and f"on:{one.id}" in state.done
            and state.done[f"on:{one.id}"].number > last
        ]  # fmt: skip
        if not jobs and not put_on:
            continue
        of = car_of(work.workshop, care.id) or (car_of(work.workshop, put_on[0]) if put_on else None)
        name = care.id.replace("/", "-")
        while name in names:
            name += "-owed"
        days = [day for job in jobs if job.need.is_must and (day := work.workshop.deadline(job))]
        by = min(days, default=None)
        car = of.id if of else jobs[0].car if jobs else work.workshop.cars[0].id
        found.append(
            Job(
                id=name,
                car=car,
                need=Need.SAFETY,
                minutes=0,
                by=by if by and by >= today else None,
                aftercare=(care.id,),
            )
        )
    return tuple(found)


def _newest(state: State, job: str) -> int:
    steps = [
        tick.number
        for step, tick in state.done.items()
        if step == f"do:{job}" or step.startswith(f"do:{job}:")
    ]
    return max(steps, default=0)
