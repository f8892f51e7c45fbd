"""What a dossier says of work: jobs done, parts, torques, snags, stopgaps and release, from the record."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from typing import Any

from onceapart.bench.card_work import job_title, place_words, spoken, titled
from onceapart.bench.entries import Entry, ReleaseGranted, ReleaseWithdrawn, step_parts
from onceapart.bench.release import release_of
from onceapart.bench.release_work import Work
from onceapart.bench.state import Folding, State, Stopgap, dead_ids
from onceapart.bench.stopgap import odometer_now, stopgap_text
from onceapart.paper.words import day, hours, money
from onceapart.trade.jobs import car_of


class WorkWriter:
    """The record of one car in words."""

    def __init__(self, work: Work, car: str, entries: Sequence[Entry], today: dt.date) -> None:
        self.work, self.car, self.today = work, car, today
        self.entries = [one for one in entries if one.day <= today]
        folding = Folding(work.job_steps)
        folding.take_all(self.entries)
        self.state: State = folding.state()
        self.currency = work.workshop.currency

    def data(self) -> dict[str, Any]:
        """All of it."""
        release = release_of(self.entries, self.car, self.work, self.today)
        return {
            "release": str(release.status),
            "released_by": f"by {release.granted.who} on {day(release.granted.day)}"
            if release.granted
            else "",
            "against": [str(one) for one in release.against],
            "stopgaps": list(release.stopgaps),
            "open_snags": [self._snag_words(one.opened) for one in self.state.open_snags(self.car)],
            "off": self._off(),
            "odometer": self._odometer(),
            "jobs": self._jobs(),
            "begun": self._begun(),
            "parts": self._parts(),
            "parts_money": self._parts_money(),
            "torques": [
                [titled(spoken(self._short(fastener))), one.torque, day(one.day), one.who or ""]
                for fastener, several in self.state.torques.items()
                for one in several
                if one.car == self.car
            ],
            "measured": [
                [self._step_words(step), one.value, day(one.day), one.who or ""]
                for step, several in self.state.measured.items()
                for one in several
                if one.car == self.car
            ],
            "snags": self._snags(),
            "made_good": [
                f"{self._stopgap_words(one)} Made good on {day(one.closed.day)} by {one.closed.by}."
                for one in self.state.stopgaps
                if one.fitted.car == self.car and one.closed is not None
            ],
            "checks": self._checks(),
            "releases": self._releases(),
            "notes": [
                [day(one.day), one.words, one.who or ""] for one in self.state.notes if one.car == self.car
            ],
            "struck": self._struck(),
        }

    def _short(self, full_id: str) -> str:
        return full_id.removeprefix(f"{self.car}/")

    def _title(self, job_id: str) -> str:
        job = self.work.jobs.get(job_id)
        if job is None:
            return titled(spoken(job_id))
        title = job_title(job, self.work.fitted.jobs.get(job_id))
        return f"{title} {place_words(job.place or 'all')}".strip()

    def _ticks(self) -> dict[str, list[Any]]:
        """Ticks of the car's jobs that stand, by job."""
        found: dict[str, list[Any]] = {}
        for step, tick in self.state.done.items():
            if tick.car == self.car and step.startswith("do:"):
                found.setdefault(step_parts(step)[1].split(":")[0], []).append(tick)
        return found

    def _jobs(self) -> list[list[str]]:
        ticks = self._ticks()
        done = [job for job in self.state.jobs_done() if job in ticks]
        return [
            [
                self._title(job),
                job,
                day(max(one.day for one in ticks[job])),
                self._hours(job),
                self._who(ticks[job]),
            ]
            for job in done
        ]

    def _begun(self) -> list[str]:
        done = set(self.state.jobs_done())
        return [self._title(job) for job in self._ticks() if job not in done]

    def _hours(self, job: str) -> str:
        minutes = self.state.minutes_worked(job=job)
        return hours(minutes) if minutes else ""

    def _who(self, ticks: Sequence[Any]) -> str:
        return ", ".join(dict.fromkeys(one.who for one in ticks if one.who))

    def _is_of_car(self, part: str) -> bool:
        named = car_of(self.work.workshop, part)
        if named is not None:
            return named.id == self.car
        return any(part in job.parts for job in self.work.workshop.jobs if job.car == self.car)

    def _parts(self) -> list[list[str]]:
        return [
            [
                f"{titled(spoken(self._short(one.part)))} ({one.part})",
                str(one.pieces),
                one.state + (f": {one.words}" if one.words else ""),
                day(one.day),
                money(one.price, self.currency) if one.price is not None else "",
            ]
            for one in self.state.arrived
            if self._is_of_car(one.part)
        ]

    def _parts_money(self) -> str:
        paid = sum(one.price or 0 for one in self.state.arrived if self._is_of_car(one.part))
        return money(paid, self.currency) if paid else ""

    def _off(self) -> list[str]:
        found = [
            *(name for name, tick in self.state.off.items() if tick.car == self.car),
            *(f"{name} (raised)" for name, tick in self.state.raised.items() if tick.car == self.car),
            *(f"{name} (loosened)" for name, tick in self.state.loose.items() if tick.car == self.car),
        ]
        return [self._short(one) for one in found]

    def _odometer(self) -> str:
        read = self.state.odometers.get(self.car)
        return f"{read.text} on {day(read.day)}" if read else ""

    def _step_words(self, step: str) -> str:
        kind, what = step_parts(step)
        job, _, rest = what.partition(":")
        if kind in ("do", "measure"):
            return f"{self._title(job)}: {spoken(rest.replace(':', ', '))}" if rest else self._title(job)
        return titled(f"{kind} {spoken(self._short(what))}")

    def _snag_words(self, opened: Any) -> str:
        danger = " DANGEROUS." if opened.dangerous else ""
        return f"{day(opened.day)}: {opened.snag}, {opened.words}.{danger}"

    def _snags(self) -> list[dict[str, Any]]:
        return [
            {
                "snag": self._snag_words(one.opened),
                "ways": [way.way for way in one.ways],
                "closed": f"Closed on {day(one.closed.day)}: {one.closed.how}"
                if one.closed
                else "STILL OPEN.",
            }
            for one in self.state.snags
            if one.opened.car == self.car
        ]

    def _stopgap_words(self, one: Stopgap) -> str:
        return stopgap_text(one, odometer_km=odometer_now(self.state, self.car)).replace(
            "STOPGAP since", "Fitted", 1
        )

    def _checks(self) -> list[list[str]]:
        rows = []
        for check, answers in self.state.answers.items():
            for one in answers:
                if one.car == self.car:
                    said = ", ".join(filter(None, [one.answer, one.value, one.words]))
                    rows.append([self.work.words_of_check(check)[0], said, day(one.day), one.who or ""])
        return rows

    def _releases(self) -> list[str]:
        dead = dead_ids(self.entries)
        found = []
        for one in self.entries:
            if one.id in dead or getattr(one, "car", None) != self.car:
                continue
            if isinstance(one, ReleaseGranted):
                at = f", odometer {one.odometer}" if one.odometer else ""
                found.append(f"{day(one.day)}: granted by {one.who}{at}.")
            elif isinstance(one, ReleaseWithdrawn):
                found.append(f"{day(one.day)}: withdrawn, {one.why}.")
        return found

    def _struck(self) -> list[str]:
        """What in the record does not count; nothing of it is hidden."""
        dead = dead_ids(self.entries)
        struck = [
            f"Entry {one.number} of {day(one.day)} ({one.kind}) was struck."
            for one in self.entries
            if one.id in dead and getattr(one, "car", self.car) in (None, self.car)
        ]
        doubts = [
            f"Entry {one.entry.number} of {day(one.entry.day)} ({one.entry.kind}): {one.why}."
            for one in self.state.doubts
            if getattr(one.entry, "car", self.car) in (None, self.car)
        ]
        return [*struck, *doubts]
