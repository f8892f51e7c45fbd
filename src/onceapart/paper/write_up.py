"""The write-up of a job or a stint, to be read by others: what was done, with what, for how much, and how."""

from __future__ import annotations

import datetime as dt
from collections.abc import Collection, Iterable, Iterator, Sequence
from fractions import Fraction

from onceapart.bench.card_work import job_title, overlaps, place_words, spoken, titled
from onceapart.bench.entries import Entry, Noted, Ordered, SnagOpened, Ticked, step_parts
from onceapart.bench.release_work import Work, place_and_name
from onceapart.bench.state import State, fold
from onceapart.bench.stopgap import odometer_now, stopgap_text
from onceapart.paper.typst_run import shortened
from onceapart.paper.words import SAFETY, count, day, hours, listed, money, sentence
from onceapart.paper.write_up_formats import (
    CONTENT_POLICY,
    Block,
    Grid,
    Points,
    Say,
    Section,
    WriteUp,
    write_up_html,
    write_up_markdown,
)
from onceapart.paper.write_up_money import Share, share_of
from onceapart.paper.write_up_private import WHAT, without_private
from onceapart.planning.plan import Plan
from onceapart.planning.workload import Workload
from onceapart.workshop import Job, Offer

__all__ = [
    "CONTENT_POLICY",
    "WriteUp",
    "write_up_html",
    "write_up_markdown",
    "write_up_of_job",
    "write_up_of_stint",
]

ALL_OF_IT = (
    "Nothing was left out: names, notes and all that is noted of the car stand here as they were written."
)


def write_up_of_job(
    work: Work,
    workload: Workload,
    plan: Plan | None,
    entries: Iterable[Entry],
    job: str,
    *,
    today: dt.date,
    with_private: bool = False,
) -> WriteUp:
    """The write-up of one job.

    Parameters
    ----------
    work : Work
        The workshop with what the library says of it (``release_work.work_of``).
    workload : Workload
        The one that the plan is of.
    plan : Plan, optional
        Says where the parts come from and what was saved.
    entries : iterable of Entry
        The record, in order; what is after ``today`` is left out.
    job : str
    today : date
    with_private : bool
        Keep what is otherwise left out; see ``write_up_private``.

    Returns
    -------
    WriteUp
        For ``write_up_markdown`` and ``write_up_html``.

    Raises
    ------
    KeyError
        There is no such job.
    """
    writer = _Writer(work, workload, plan, entries, today, with_private)
    one = work.jobs[job]
    at = plan.stint_of(job) if plan is not None else None
    date = workload.stints[at].date if at is not None else None
    title = f"{writer.title(one)}, {writer.car(one.car)}"
    return writer.write(title, [one], date, stint=None)


def write_up_of_stint(
    work: Work,
    workload: Workload,
    plan: Plan,
    entries: Iterable[Entry],
    at: int,
    *,
    today: dt.date,
    with_private: bool = False,
) -> WriteUp:
    """The write-up of all the work of a stint, by its place in the plan; parameters as for a job.

    Raises
    ------
    IndexError
        The plan has no such stint.
    """
    if not 0 <= at < len(plan.work):
        raise IndexError(f"stint {at}: the plan has {len(plan.work)}")
    writer = _Writer(work, workload, plan, entries, today, with_private)
    jobs = [work.jobs[one] for one in plan.work[at].jobs if one in work.jobs]
    stint = workload.stints[at]
    cars = listed([writer.car(one) for one in dict.fromkeys(job.car for job in jobs)])
    title = f"{count(len(jobs), 'job')} on {cars}" if jobs else "A stint without jobs"
    if len(jobs) == 1:
        title = f"{writer.title(jobs[0])}, {cars}"
    return writer.write(title, jobs, stint.date, stint=stint.id or stint.date.isoformat())


class _Writer:
    def __init__(
        self,
        work: Work,
        workload: Workload,
        plan: Plan | None,
        entries: Iterable[Entry],
        today: dt.date,
        with_private: bool,
    ) -> None:
        self.work, self.workload, self.plan = work, workload, plan
        self.state: State = fold([one for one in entries if one.day <= today], work.job_steps)
        self.with_private = with_private
        self.currency = work.workshop.currency
        self.cars = {one.id: one for one in work.workshop.cars}

    def free(self, text: str) -> str:
        """Text that somebody wrote, without what is private."""
        return text if self.with_private else without_private(text)

    def car(self, car: str) -> str:
        return self.free(self.cars[car].name) if car in self.cars else self.free(car)

    def title(self, job: Job) -> str:
        title = job_title(job, self.work.fitted.jobs.get(job.id))
        return self.free(f"{title} {place_words(job.place or 'all')}".strip())

    def write(self, title: str, jobs: Sequence[Job], date: dt.date | None, stint: str | None) -> WriteUp:
        ids = {job.id for job in jobs}
        share = None
        if self.plan is not None and ids & self.plan.done:
            share = share_of(self.workload, self.plan, ids, self.state)
        found = [
            ("What was done" if self._days(jobs) else "What there is to do", self._done(jobs)),
            ("Parts", self._parts(jobs, share)),
            ("Money", self._money(share, stint is not None)),
            ("Hours", self._hours(jobs, share, stint)),
            ("Measured and tightened", self._measured(ids)),
            ("What went otherwise", self._snags(ids)),
            ("Lessons", self._lessons(jobs, date, stint)),
            ("Photos", self._photos(jobs, date, stint)),
            ("Cautions", self._cautions(jobs)),
        ]
        sections = tuple(Section(name, blocks) for name, made in found if (blocks := tuple(made)))
        return WriteUp(
            title, tuple(self._lead(jobs, date)), sections, ALL_OF_IT if self.with_private else WHAT
        )

    def _lead(self, jobs: Sequence[Job], date: dt.date | None) -> Iterator[Block]:
        if self.with_private:
            yield Say(f"Workshop: {self.work.workshop.name}")
        for name in dict.fromkeys(job.car for job in jobs):
            car = self.cars.get(name)
            if car is None:
                continue
            said = [f"first registered in {car.registered.year}"] if car.registered else []
            read = self.state.odometers.get(name)
            said += [f"at {read.text}"] if read else []
            yield Say(sentence(", ".join([self.car(name), *said])))
            if self.with_private and car.facts:
                yield Points(tuple(f"{titled(spoken(fact))}: {text}" for fact, text in car.facts.items()))
        open_ = [job for job in jobs if not self.state.is_job_done(job.id)]
        days = self._days(jobs)
        if jobs and len(open_) == len(jobs):
            when = f" It is planned for {day(date)}." if date is not None else ""
            yield Say(f"Not done yet by the record.{when}", is_strong=True)
        else:
            if days:
                yield Say(f"Done on {listed([day(one) for one in days])}.")
            if open_:
                yield Say(f"Not done yet: {listed([self.title(job) for job in open_])}.", is_strong=True)
        yield from (Say(one, is_strong=True) for one in self._stopgaps_open({job.id for job in jobs}))

    def _days(self, jobs: Sequence[Job]) -> list[dt.date]:
        """Days on which something of it was ticked."""
        ids = {job.id for job in jobs}
        return sorted(
            {one.day for one in self.state.ticks if isinstance(one, Ticked) and _job_of(one.step) in ids}
        )

    def _done(self, jobs: Sequence[Job]) -> Iterator[Block]:
        several = len({job.car for job in jobs}) > 1
        for job in jobs:
            if len(jobs) > 1:
                car = f", {self.car(job.car)}" if several else ""
                yield Say(f"{self.title(job)}{car}", is_strong=True)
            off = self._access(job)
            if off:
                yield Say(f"Off for it: {', '.join(off)}.")
            steps = tuple(self._steps(job))
            if steps:
                yield Points(steps, is_numbered=True)
            elif len(jobs) == 1:
                yield Say(f"{self.title(job)}.")

    def _steps(self, job: Job) -> Iterator[str]:
        """The operations of a job, each once with all its places."""
        fitted = self.work.fitted.jobs.get(job.id)
        places: dict[str, list[str]] = {}
        for one in fitted.operations if fitted else ():
            places.setdefault(one.what.do, []).append(place_words(one.place))
        for words, where in places.items():
            named = listed([one for one in dict.fromkeys(where) if one])
            yield f"{sentence(words).rstrip('.')} ({named})." if named else sentence(words)

    def _access(self, job: Job) -> list[str]:
        found = []
        for one in sorted(self.work.access_of_job(job.id)):
            place, _, name = one.removeprefix(f"{job.car}/").rpartition("/")
            found.append(self.free(f"{spoken(name)} {spoken(place)}".strip()))
        return found

    def _parts(self, jobs: Sequence[Job], share: Share | None) -> Iterator[Block]:
        rows: list[tuple[str, ...]] = []
        is_kit = False
        offers = {one.id: one for one in self.work.workshop.offers}
        planned = {one.job for one in share.parts} if share is not None else set()
        if share is not None:
            for one in share.parts:
                offer = offers.get(one.offer or "")
                price = money(_whole(one.price), self.currency) if one.offer else "had already"
                is_kit = is_kit or (offer is not None and len(offer.parts) > 1)
                rows.append(self._part_row(one.job, one.part, one.pieces, offer, price))
        for job in jobs:
            if job.id not in planned:
                for part, pieces in job.parts.items():
                    ordered = next((one for one in self.state.ordered if part in one.parts), None)
                    offer = offers.get(ordered.offer or "") if ordered else None
                    price = self._noted_price(part, pieces, ordered)
                    rows.append(self._part_row(job.id, part, pieces, offer, price))
        if rows:
            yield Grid(("Part", "Pieces", "Bought as", "Price"), tuple(rows), frozenset({1, 3}))
            if is_kit:
                yield Say("Of a kit, the price is the share of the pieces used.")

    def _part_row(self, job: str, part: str, pieces: int, offer: Offer | None, price: str) -> tuple[str, ...]:
        place, name = place_and_name(part)
        fitted = self.work.fitted.jobs.get(job)
        known = fitted.recipe.parts.get(name) if fitted else None
        title = known.title if known else titled(spoken(name))
        title = ", ".join(filter(None, [title, place_words(place or "all")]))
        bought = ""
        if offer is not None:
            sellers = {one.id: one.name for one in self.work.workshop.sellers}
            kit = ", a kit" if len(offer.parts) > 1 else ""
            words = [offer.title or "", f"no. {offer.id}", sellers.get(offer.seller, offer.seller)]
            bought = self.free(", ".join(filter(None, words))) + kit
        return self.free(title), str(pieces), bought, price

    def _noted_price(self, part: str, pieces: int, ordered: Ordered | None) -> str:
        if ordered is None:
            return "not noted"
        if len(ordered.parts) > 1:
            return f"{money(ordered.price, self.currency)} for the kit"
        return money(_whole(Fraction(ordered.price * pieces, ordered.parts[part])), self.currency)

    def _money(self, share: Share | None, is_stint: bool) -> Iterator[Block]:
        if share is None:
            return
        lines = [
            ("Parts", share.goods),
            ("Delivery, its share", share.delivery),
            ("Aftercare by others" if is_stint else "Aftercare by others, its share", share.aftercare),
            ("Tools hired" if is_stint else "Tools hired, its share", share.hire),
            ("Tools bought, its share", share.tools),
        ]
        rows = [(what, money(_whole(one), self.currency)) for what, one in lines if one]
        rows.append(("In all", money(_whole(share.money), self.currency)))
        yield Grid(("", "Amount"), tuple(rows), frozenset({1}))
        yield Say(
            "Parts and delivery as the record notes them." if share.is_noted else "By the plan's prices."
        )
        alone, minutes = share.on_their_own
        saved, spared = alone - _whole(share.money), minutes - _whole(share.minutes)
        if not saved and not spared:
            return
        against = (
            "every job on its own, opened for itself, with parts from the counter as far as it has them "
        )
        against += f"({money(alone, self.currency)}, {hours(minutes)})"
        if saved >= 0 and spared >= 0:
            words = [money(saved, self.currency)] * bool(saved) + [hours(spared)] * bool(spared)
            yield Say(f"Saved: {listed(words)}, against {against}.", is_strong=True)
        else:
            cash = f"{money(abs(saved), self.currency)} {'less' if saved >= 0 else 'more'}"
            time = f"{hours(abs(spared))} {'less' if spared >= 0 else 'more'}"
            yield Say(f"{cash} and {time} than {against}.", is_strong=True)

    def _hours(self, jobs: Sequence[Job], share: Share | None, stint: str | None) -> Iterator[Block]:
        worked = (
            self.state.minutes_worked(stint=stint)
            if stint is not None
            else sum(self.state.minutes_worked(job=job.id) for job in jobs)
        )
        said = [f"{hours(worked)} by the clock"] if worked else []
        if share is not None and share.minutes:
            said.append(f"{hours(_whole(share.minutes))} by the plan")
        elif jobs and not worked:
            minutes = sum(job.minutes or 0 for job in jobs)
            said += [f"{hours(minutes)} reckoned, without taking apart"] if minutes else []
        if said:
            yield Say(f"{listed(said)}.")

    def _measured(self, ids: Collection[str]) -> Iterator[Block]:
        rows = [
            (self._step(step), one.value, day(one.day))
            for step, several in self.state.measured.items()
            for one in several
            if _job_of(step) in ids
        ]
        rows += [
            (titled(spoken(one.fastener)), one.torque, day(one.day))
            for several in self.state.torques.values()
            for one in several
            if one.step is not None and _job_of(one.step) in ids
        ]
        if rows:
            yield Grid(
                ("What", "Value", "Day"), tuple((self.free(what), value, on) for what, value, on in rows)
            )
            yield Say("Torques are those of this car's manual; they fit no other car.")

    def _step(self, step: str) -> str:
        job, _, rest = step_parts(step)[1].partition(":")
        name, _, place = rest.partition(":")
        fitted = self.work.fitted.jobs.get(job)
        known = {one.what.id: one.what.what for one in (fitted.measurements if fitted else ())}
        words = known.get(name) or titled(spoken(name)) or step
        return ", ".join(filter(None, [words, place_words(place)]))

    def _snags(self, ids: Collection[str]) -> Iterator[Block]:
        points = []
        for one in self.state.snags:
            if not _is_of(one.opened, ids):
                continue
            words = [f"{day(one.opened.day)}: {one.opened.snag}, {self.free(one.opened.words)}."]
            words += [f"Way on: {self.free(way.way)}." for way in one.ways]
            words.append(f"Closed: {self.free(one.closed.how)}." if one.closed else "Still open.")
            points.append(" ".join(words))
        if points:
            yield Points(tuple(points))

    def _stopgaps_open(self, ids: Collection[str]) -> Iterator[str]:
        of_snags = {one.opened.id for one in self.state.snags if _is_of(one.opened, ids)}
        for one in self.state.open_stopgaps():
            if one.fitted.job in ids or one.fitted.snag in of_snags:
                km = odometer_now(self.state, one.fitted.car)
                yield self.free(stopgap_text(one, odometer_km=km))

    def _notes(self, jobs: Sequence[Job], date: dt.date | None, stint: str | None) -> list[Noted]:
        """Notes of these jobs; of a stint, those too that name no job and were made that day of its cars."""
        ids, cars = {job.id for job in jobs}, {job.car for job in jobs}
        found = []
        for one in self.state.notes:
            named = one.job or (_job_of(one.step) if one.step else "")
            is_of_day = stint is not None and not named and one.day == date and one.car in cars
            if named in ids or is_of_day:
                found.append(one)
        return found

    def _lessons(self, jobs: Sequence[Job], date: dt.date | None, stint: str | None) -> Iterator[Block]:
        notes = self._notes(jobs, date, stint)
        if notes:
            who = [f" ({one.who})" if self.with_private and one.who else "" for one in notes]
            pairs = zip(notes, who, strict=True)
            yield Points(tuple(f"{self.free(one.words)}{by}" for one, by in pairs))

    def _photos(self, jobs: Sequence[Job], date: dt.date | None, stint: str | None) -> Iterator[Block]:
        told: dict[str, list[str]] = {}
        for finding in self.work.workshop.findings:
            mine = [
                job
                for job in jobs
                if job.car == finding.car and overlaps(job.place or "all", finding.place or "all")
            ]
            if finding.photo and mine:
                words = f"{titled(spoken(finding.item))} {place_words(finding.place or 'all')}".strip()
                told.setdefault(finding.photo, []).append(f"{words}, found on {day(finding.date)}")
        for one in self._notes(jobs, date, stint):
            if one.photo:
                words = shortened(one.words.partition("\n")[0], 80)
                told.setdefault(one.photo, []).append(f"{words}, {day(one.day)}")
        if told:
            yield Points(tuple(self.free(f"{name}: {'; '.join(words)}") for name, words in told.items()))

    def _cautions(self, jobs: Sequence[Job]) -> Iterator[Block]:
        fitted = self.work.fitted
        found = [one for job in jobs for one in fitted.cautions_of(job.id)]
        found += [
            one
            for job in jobs
            for access in sorted(self.work.access_of_job(job.id))
            for one in fitted.cautions_of_access(access)
        ]
        texts = dict.fromkeys(f"{sentence(one.title)} {sentence(one.text)}" for one in found)
        if texts:
            yield Points(tuple(texts))
        yield Say(SAFETY)


def _job_of(step: str) -> str:
    """The job that a step is of; "" where it is of none."""
    kind, what = step_parts(step)
    return what.split(":")[0] if kind in ("do", "measure", "tighten") else ""


def _is_of(opened: SnagOpened, ids: Collection[str]) -> bool:
    return opened.job in ids or (opened.step is not None and _job_of(opened.step) in ids)


def _whole(amount: Fraction) -> int:
    """Rounded half up.

    >>> _whole(Fraction(5, 2)), _whole(Fraction(-5, 2))
    (3, -2)
    """
    return int((2 * amount + 1) // 2)
