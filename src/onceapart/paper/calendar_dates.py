"""What stands in a calendar: stints, arrivals, inspections, and what is to be done again after driving."""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field

from onceapart.bench.card_work import job_title, place_words, spoken, titled
from onceapart.bench.entries import Entry
from onceapart.bench.release import release_of
from onceapart.bench.release_checks import REMIND_AFTER_DAYS, RETIGHTEN_FROM_KM, RETIGHTEN_TO_KM
from onceapart.bench.release_work import RETIGHTEN, WHEEL_NUTS, Work, name_of
from onceapart.bench.replan import ANOTHER_DAY, ON_ITS_WAY
from onceapart.bench.state import State, fold
from onceapart.paper.order_sheets import OrderLine, orders_of
from onceapart.paper.words import SAFETY, count, day, hours, listed, sentence
from onceapart.planning.plan import Plan
from onceapart.planning.workload import Stint, Workload
from onceapart.trade.jobs import car_of
from onceapart.workshop import Car

NINE = dt.timedelta(hours=9)
DAY = dt.timedelta(days=1)
EVE = NINE - DAY
"""Nine in the morning of the day before an all-day event."""
FIRST_REMINDER_DAYS = 3
"""Days after a release when a first reminder of the wheels comes: our judgement. [days]"""
ARRIVAL = (
    "Look at it the day it comes, before the car is taken apart: pieces, numbers, side, each part beside the "
    "old one or its picture. Wrong or damaged: do not fit it, and tell the seller the same day."
)
"""Common practice, no source."""


@dataclass(frozen=True)
class Dated:
    """One event. ``start`` and ``end`` are dates, the end not included, or times of the wall clock."""

    key: tuple[str, ...]
    """What it is, whatever its date: makes the UID."""
    start: dt.date | dt.datetime
    end: dt.date | dt.datetime
    title: str
    words: str
    category: str
    alarms: tuple[dt.timedelta, ...] = ()
    """From the start; an all-day event starts at midnight."""
    takes_time: bool = False
    is_cancelled: bool = False


@dataclass
class _Delivery:
    lines: list[str] = field(default_factory=list)
    is_placed: bool = False


def dates_of(
    work: Work,
    workload: Workload,
    plan: Plan | None,
    entries: Sequence[Entry],
    *,
    today: dt.date,
    begins: dt.time | None = None,
) -> tuple[Dated, ...]:
    """All of it; parameters as for ``calendar.calendar_ics``."""
    writer = _Writer(work, workload, plan, entries, today, begins)
    return (
        *writer.stints(),
        *writer.arrivals(),
        *(writer.inspection(car) for car in work.workshop.cars if car.inspection),
        *writer.again(),
    )


class _Writer:
    def __init__(
        self,
        work: Work,
        workload: Workload,
        plan: Plan | None,
        entries: Sequence[Entry],
        today: dt.date,
        begins: dt.time | None,
    ) -> None:
        self.work, self.workload, self.plan = work, workload, plan
        self.entries, self.today, self.begins = entries, today, begins
        self.state: State = fold(entries, work.job_steps)
        self.cars = {car.id: car.name for car in work.workshop.cars}

    def stints(self) -> Iterator[Dated]:
        """Each stint of the plan; one without work is cancelled, for who has it from an earlier plan."""
        if self.plan is None:
            return
        taken: dict[dt.date, int] = defaultdict(int)
        for at, stint in enumerate(self.workload.stints):
            works = self.plan.work[at]
            start, end = self._times(stint, taken[stint.date])
            taken[stint.date] += stint.minutes
            is_empty = not (works.jobs or works.access or works.aftercare)
            name = f" ({stint.id})" if stint.id else ""
            yield Dated(
                key=("stint", stint.date.isoformat(), stint.id or ""),
                start=start,
                end=end,
                title=f"Nothing planned{name}"
                if is_empty
                else f"{self._cars_of(at)}: {self._jobs(at)}{name}",
                words="The plan has no work in this stint." if is_empty else self._stint_words(at),
                category="Stint",
                takes_time=not is_empty and self.begins is not None,
                is_cancelled=is_empty,
            )

    def _times(self, stint: Stint, minutes_before: int) -> tuple[dt.date, dt.date]:
        if self.begins is None:
            return stint.date, stint.date + DAY
        start = dt.datetime.combine(stint.date, self.begins) + dt.timedelta(minutes=minutes_before)
        return start, start + dt.timedelta(minutes=max(1, stint.minutes))

    def _cars_of(self, at: int) -> str:
        assert self.plan is not None
        works = self.plan.work[at]
        ids = dict.fromkeys(self.work.jobs[job].car for job in works.jobs if job in self.work.jobs)
        if not ids:
            cars = [car_of(self.work.workshop, one) for one in works.access]
            ids = dict.fromkeys(car.id for car in cars if car is not None)
        return listed([self.cars.get(one, one) for one in ids]) or "Workshop"

    def _jobs(self, at: int) -> str:
        assert self.plan is not None
        jobs = self.plan.work[at].jobs
        return count(len(jobs), "job") if jobs else "put together again"

    def _stint_words(self, at: int) -> str:
        assert self.plan is not None
        works, minutes = self.plan.work[at], self.plan.minutes_in(self.workload, at)
        lines = [f"{hours(minutes)} of work in {hours(self.workload.stints[at].minutes)}.", ""]
        several = len({self.work.jobs[job].car for job in works.jobs if job in self.work.jobs}) > 1
        lines += [f"- {self._job(job, with_car=several)}" for job in works.jobs]
        off = [one for one in works.access if one not in self.plan.found_off(self.workload, at)]
        if off:
            lines += ["", f"Comes off: {self._things(off, several)}."]
        if works.left_off:
            lines += ["", f"Stays off: {self._things(works.left_off, several)}."]
        if works.aftercare:
            lines += ["", f"Afterwards: {', '.join(self._care(one) for one in works.aftercare)}."]
        if works.hire:
            lines += ["", f"To hire: {', '.join(spoken(one) for one in works.hire)}."]
        return "\n".join([*lines, "", SAFETY])

    def _things(self, access: Sequence[str], with_car: bool) -> str:
        """What comes off, as one says it: ``wren/front-left/hub-nut`` is the hub nut front left."""
        found = []
        for one in access:
            car = car_of(self.work.workshop, one)
            place, _, name = (one.removeprefix(f"{car.id}/") if car else one).rpartition("/")
            words = f"{spoken(name)} {spoken(place)}".strip()
            found.append(f"{words} ({car.name})" if car and with_car else words)
        return ", ".join(found)

    def _job(self, job_id: str, *, with_car: bool = False) -> str:
        job = self.work.jobs.get(job_id)
        if job is None:
            return titled(spoken(job_id))
        title = f"{job_title(job, self.work.fitted.jobs.get(job_id))} {place_words(job.place or 'all')}"
        return title.strip() + (f" ({self.cars.get(job.car, job.car)})" if with_car else "")

    def _care(self, care: str) -> str:
        return self.work.words_of_check(care)[0]

    def arrivals(self) -> Iterator[Dated]:
        """What comes from each seller on each day; the first of a seller has one UID whenever it comes."""
        found: dict[str, dict[dt.date, _Delivery]] = defaultdict(lambda: defaultdict(_Delivery))
        names: dict[str, str] = {one.id: one.name for one in self.workload.sellers}
        names |= {one.id: one.name for one in self.work.workshop.sellers}
        offers = {one.id: one.title for one in self.work.workshop.offers}
        placed = {one.offer for one in self.state.ordered if one.offer}
        for one in self.state.ordered:
            if one.parts:
                here = found[one.seller or ""][one.arrives]
                parts = ", ".join(f"{n} × {spoken(part)}" for part, n in one.parts.items())
                title = offers.get(one.offer or "")
                here.lines.append(f"- {title}: {parts}" if title else f"- {parts}")
                here.is_placed = True
        unreal = {ANOTHER_DAY, *([ON_ITS_WAY] if placed else [])}
        if self.plan is not None:
            for sheet in orders_of(self.work.workshop, self.workload, self.plan).sheets:
                for line in sheet.lines:
                    if sheet.seller not in unreal and line.offer not in placed:
                        found[sheet.seller][line.arrives].lines.append(_line_words(line))
        for seller, by_day in found.items():
            name = names.get(seller, seller) or "a seller"
            for number, date in enumerate(sorted(by_day), start=1):
                delivery = by_day[date]
                state = "Ordered." if delivery.is_placed else "By the plan; order it in time."
                yield Dated(
                    key=("arrival", seller, str(number)),
                    start=date,
                    end=date + DAY,
                    title=f"Parts from {name}",
                    words="\n".join([state, "", *delivery.lines, "", ARRIVAL]),
                    category="Arrival",
                )

    def inspection(self, car: Car) -> Dated:
        """The day an inspection is due, with a reminder the morning before."""
        assert car.inspection is not None
        due = car.inspection.due
        musts = [job for job in self.work.workshop.jobs if job.car == car.id and job.need.is_must]
        open_ = [self._job(job.id) for job in musts if not self.state.is_job_done(job.id)]
        left = ["Still to be done before:", *(f"- {one}" for one in open_)] if open_ else []
        return Dated(
            key=("inspection", car.id),
            start=due,
            end=due + DAY,
            title=f"Inspection due: {car.name}",
            words="\n".join([f"Last day: {day(due)}. An inspector decides.", *left]),
            category="Inspection",
            alarms=(EVE,),
        )

    def again(self) -> Iterator[Dated]:
        """Wheel nuts once more and the like: as the record asks for it, or as the plan is going to."""
        seen: set[tuple[str, str]] = set()
        for car in self.cars:
            for one in release_of(self.entries, car, self.work, self.today).follow_ups:
                seen.add((one.id, one.day.isoformat()))
                km = f" Odometer between {one.from_km:.0f} and {one.to_km:.0f} km." if one.from_km else ""
                yield self._again(car, one.id, one.day, f"After the release of {day(one.day)}.{km}")
        for at, stint in enumerate(self.workload.stints if self.plan is not None else ()):
            for car, care in self._planned_again(at):
                if (care, stint.date.isoformat()) not in seen:
                    seen.add((care, stint.date.isoformat()))
                    yield self._again(car, care, stint.date, f"After the work planned for {day(stint.date)}.")

    def _planned_again(self, at: int) -> Iterator[tuple[str, str]]:
        assert self.plan is not None
        works = self.plan.work[at]
        jobs = [self.work.jobs[job] for job in works.jobs if job in self.work.jobs]
        if jobs and all(self.state.is_job_done(job.id) for job in jobs):
            return
        for car in dict.fromkeys(job.car for job in jobs):
            access = [one for one in works.access if one.startswith(f"{car}/")]
            checks = [one for job in jobs if job.car == car for one in self.work.checks_of_job(job.id) or ()]
            checks += [check for one in access for check in self.work.checks_of_access(one, car)]
            if any(name_of(one) == WHEEL_NUTS for one in checks):
                yield car, f"{car}/{RETIGHTEN}"
            for care in works.aftercare:
                if care.startswith(f"{car}/") and self.work.is_of_the_road(care):
                    yield car, care

    def _again(self, car: str, care: str, since: dt.date, why: str) -> Dated:
        title, words = self.work.words_of_check(care)
        name = self.cars[car]
        wheels = name_of(care) == RETIGHTEN
        date = since + dt.timedelta(days=REMIND_AFTER_DAYS if wheels else 1)
        first = dt.timedelta(days=FIRST_REMINDER_DAYS - REMIND_AFTER_DAYS) + NINE
        when = f"after {RETIGHTEN_FROM_KM:.0f} to {RETIGHTEN_TO_KM:.0f} km, by today at the latest"
        return Dated(
            key=("again", care, since.isoformat()),
            start=date,
            end=date + DAY,
            title=f"{title}: {name}, {when}" if wheels else f"{title}: {name}",
            words="\n".join([sentence(words) if words else title, "", why]),
            category="Once more",
            alarms=(first, NINE) if wheels else (NINE,),
        )


def _line_words(line: OrderLine) -> str:
    pieces = ", ".join(f"{part.pieces} × {part.title}" for part in line.parts)
    jobs = ", ".join(f"{job.title}, {day(job.date)}" for job in line.jobs)
    return f"- {line.title}: {pieces}" + (f" (for {jobs})" if jobs else " (spare)")
