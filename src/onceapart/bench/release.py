"""Release: may this car go on the road? Worked out anew from the whole record each time.

A person grants a release; it takes effect only if nothing stands against it as the record stood then, and
it is lost by new work, by a withdrawal, or by anything that comes to stand against it. Once lost it comes
back only by being granted again. Nothing that a store may hold can make it otherwise.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable
from dataclasses import dataclass, replace
from enum import StrEnum

from onceapart.bench.entries import (
    Arrived,
    CheckAnswered,
    Corrected,
    Entry,
    MeasuredValue,
    Noted,
    Ordered,
    RecordMended,
    ReleaseAsked,
    ReleaseGranted,
    ReleaseWithdrawn,
    Started,
    Stopped,
    Tightened,
    WayChosen,
    new_id,
    on_car,
)
from onceapart.bench.release_checks import (
    RETIGHTEN_FROM_KM,
    RETIGHTEN_TO_KM,
    Against,
    AgainstKind,
    DueCheck,
    FollowUp,
    against_release,
    comes_before,
    due_checks,
    follow_ups_of,
    is_followed_up,
)
from onceapart.bench.release_work import RETIGHTEN, Work, name_of
from onceapart.bench.state import Folding, State, dead_ids, km_of
from onceapart.bench.stopgap import odometer_now, open_stopgaps


class ReleaseStatus(StrEnum):
    NOT_RELEASED = "not released"
    RELEASED = "released"
    FOLLOW_UPS = "released with follow-ups due"


@dataclass(frozen=True)
class CarRelease:
    """How the release of a car stands on a day.

    ``against`` is what stands in the way, ``why`` all of it in words; both say nothing of a car that is
    released. ``checks`` are those due now; of a released car, those it was released by. ``stopgaps`` are to
    be shown with every status.
    """

    car: str
    status: ReleaseStatus
    why: tuple[str, ...]
    against: tuple[Against, ...]
    checks: tuple[DueCheck, ...]
    follow_ups: tuple[FollowUp, ...]
    stopgaps: tuple[str, ...]
    granted: ReleaseGranted | None = None
    """The release that holds; None if none does."""

    @property
    def is_released(self) -> bool:
        """Whether it may go on the road, with follow-ups or without."""
        return self.status is not ReleaseStatus.NOT_RELEASED


def release_of(
    entries: Iterable[Entry], car: str, work: Work, on: dt.date, odometer: str | None = None
) -> CarRelease:
    """How the release of a car stands.

    Parameters
    ----------
    entries : iterable of Entry
        The whole record, in order.
    car : str
        Id of the car.
    work : Work
        What workshop and library say of the work (``release_work.work_of``).
    on : date
        The day it is asked for; limits of stopgaps count by it.
    odometer : str, optional
        As in ``143200 km``; by default the highest in the record.

    Returns
    -------
    CarRelease
        A car without any work in the record is not released either: nobody has looked at it.
    """
    walk = ReleaseWalk(car, work)
    for entry in entries:
        walk.take(entry)
    return walk.now(on, odometer)


def ask_release(
    entries: Iterable[Entry], car: str, work: Work, at: dt.datetime, who: str | None = None
) -> ReleaseAsked:
    """The entry that asks for the release of a car, with the checks due for it."""
    walk = ReleaseWalk(car, work)
    for entry in entries:
        walk.take(entry)
    checks = tuple(one.id for one in walk.checks())
    return ReleaseAsked(id=new_id(), time=at, who=who, car=car, checks=checks)


def answers_too_early(entries: Iterable[Entry], car: str, work: Work, check: str) -> tuple[DueCheck, ...]:
    """Checks that must be answered with yes before this one is tried; to be asked before taking a yes."""
    walk = ReleaseWalk(car, work)
    for entry in entries:
        walk.take(entry)
    return comes_before(check, walk.checks(), work)


HARMLESS_KINDS = (
    MeasuredValue,
    Tightened,
    Started,
    Stopped,
    Noted,
    Ordered,
    Arrived,
    WayChosen,
    ReleaseAsked,
)
"""Entries that no release hangs on, so that correcting one takes none away."""


class ReleaseWalk:
    """The release of one car, followed from entry to entry: ``release_of`` for a record that grows.

    Entries are taken one by one in the order of their numbers; ``now`` may be asked in between.
    """

    def __init__(self, car: str, work: Work) -> None:
        self.car = car
        self.work = work
        self.seen: list[Entry] = []
        self.by_id: dict[str, Entry] = {}
        self.struck: set[str] = set()
        """Releases that don't count since something that they hung on was corrected."""
        self._start_anew()

    def _start_anew(self) -> None:
        self.folding = Folding(self.work.job_steps)
        self.granted: ReleaseGranted | None = None
        self.since = 0
        """Number of the last release that took effect."""
        self._too_early: set[str] = set()
        self._is_corrected = False
        """Whether an entry was corrected since early answers were looked for."""
        self.walked: list[tuple[Entry, int]] = []
        """Entries so far, each with ``since`` as it was then."""
        self.follow_ups: dict[str, FollowUp] = {}
        self.last_checks: tuple[DueCheck, ...] = ()
        self.lost = ""

    def take(self, entry: Entry) -> None:
        """Go on by one entry."""
        self.seen.append(entry)
        self.by_id.setdefault(entry.id, entry)
        if isinstance(entry, Corrected) and self._strike(entry):
            self._start_anew()
            for one in self.seen:
                self._step(one)
            self._lose(f"an entry before it was corrected on {entry.day}")
        else:
            self._step(entry)

    def _strike(self, correction: Corrected) -> bool:
        """Strike the releases given after what is corrected now; whether there were any."""
        target = self.by_id.get(correction.entry)
        if target is None or isinstance(target, HARMLESS_KINDS):
            return False
        if self._car_of(target) not in (None, self.car):
            return False
        struck = {
            one.id
            for one in self.seen
            if isinstance(one, ReleaseGranted) and one.car == self.car and one.number >= target.number
        }
        is_news = not struck <= self.struck
        self.struck |= struck
        return is_news

    def _car_of(self, entry: Entry) -> str | None:
        """The car of an entry, or of the one that it names; None: it may have to do with any."""
        named = next((getattr(entry, key) for key in ("snag", "stopgap", "entry") if hasattr(entry, key)), "")
        earlier = self.by_id.get(named)
        if on_car(entry) is not None or earlier is None or earlier is entry:
            return on_car(entry)
        return self._car_of(earlier) if earlier.number < entry.number else None

    def _step(self, entry: Entry) -> None:
        if self._is_too_early(entry, self.folding, self.since):
            self._too_early.add(entry.id)
        self.folding.take(entry)
        self.walked.append((entry, self.since))
        self._is_corrected |= isinstance(entry, Corrected)
        if isinstance(entry, RecordMended):
            self._lose("the record was mended after it had been damaged, so all is to be checked anew")
            self.since = 0
        elif isinstance(entry, ReleaseGranted) and entry.car == self.car:
            if entry.id not in self.struck:
                self._grant(entry)
        elif isinstance(entry, Corrected) or on_car(entry) == self.car:
            self._look_again(entry)

    @property
    def too_early(self) -> set[str]:
        """Answers with yes that should have waited for others; looked for anew after a correction."""
        if self._is_corrected:
            self._is_corrected = False
            self._look_for_early_answers()
        return self._too_early

    def checks(self) -> tuple[DueCheck, ...]:
        """Release checks due as the record stands."""
        return due_checks(self.folding.state(), self.car, self.work, self.since, self.too_early)

    def now(self, on: dt.date, odometer: str | None) -> CarRelease:
        """How it stands on a day."""
        state = self.folding.state()
        against = self._against(state, on, odometer)
        km = odometer_now(state, self.car, odometer)
        open_follow_ups = tuple(self._open_follow_ups(state))
        released = self.granted is not None and not against
        status = ReleaseStatus.NOT_RELEASED
        if released:
            status = ReleaseStatus.FOLLOW_UPS if open_follow_ups else ReleaseStatus.RELEASED
        why = [] if released else [str(one) for one in against]
        if self.granted is None:
            why.append(self._why_not_granted(against))
        return CarRelease(
            car=self.car,
            status=status,
            why=tuple(why),
            against=() if released else against,
            checks=self.last_checks if released else self.checks(),
            follow_ups=tuple(sorted(open_follow_ups, key=lambda one: not one.is_due(on, km))),
            stopgaps=open_stopgaps(state, self.car, on=on, odometer=odometer),
            granted=self.granted if released else None,
        )

    def _why_not_granted(self, against: tuple[Against, ...]) -> str:
        if self.lost:
            return f"no release holds: {self.lost}; grant it anew"
        return "nobody has granted a release yet" + ("" if against else "; grant it if all is well")

    def _is_too_early(self, entry: Entry, folding: Folding, since: int) -> bool:
        """Whether an entry answers with yes what should wait, as things stand before it."""
        if not isinstance(entry, CheckAnswered) or entry.car != self.car or entry.answer == "no":
            return False
        if self.work.stage_of_check(entry.check) == 0:
            return False
        checks = due_checks(folding.state(), self.car, self.work, since, self.too_early)
        return bool(comes_before(entry.check, checks, self.work))

    def _look_for_early_answers(self) -> None:
        """Once an entry is corrected, what came after it may turn out to have been too early, or not."""
        dead = dead_ids([entry for entry, _ in self.walked])
        folding = Folding(self.work.job_steps)
        self._too_early = set()
        for entry, since in self.walked:
            if entry.id in dead or isinstance(entry, Corrected):
                continue
            if self._is_too_early(entry, folding, since):
                self._too_early.add(entry.id)
            folding.take(entry)

    def _against(self, state: State, on: dt.date, odometer: str | None) -> tuple[Against, ...]:
        return against_release(
            state,
            self.car,
            self.work,
            on,
            odometer,
            since=self.since,
            too_early=self.too_early,
            follow_ups=tuple(self._open_follow_ups(state)),
        )

    def _open_follow_ups(self, state: State) -> list[FollowUp]:
        return [one for one in self.follow_ups.values() if not is_followed_up(state, one)]

    def _grant(self, entry: ReleaseGranted) -> None:
        state = self.folding.state()
        against = [*self._against(state, entry.day, entry.odometer), *self._needs_odometer(state, entry)]
        if against:
            self._lose(f"it was granted on {entry.day} although this stood against it: {against[0].words}")
            return
        for one in follow_ups_of(state, self.car, self.work, self.since):
            self.follow_ups[one] = self._follow_up(one, state, entry)
        self.last_checks = due_checks(state, self.car, self.work, self.since, self.too_early)
        self.granted, self.since, self.lost = entry, entry.number, ""

    def _needs_odometer(self, state: State, entry: ReleaseGranted) -> list[Against]:
        """A car with a stopgap for a distance goes only with its odometer read."""
        limited = any(one.fitted.limits.distance for one in state.open_stopgaps(self.car))
        if not limited or entry.odometer is not None:
            return []
        words = "a stopgap may stay for a distance, and the odometer was not read"
        return [Against(AgainstKind.ODOMETER, words, "give the odometer with the release")]

    def _follow_up(self, aftercare: str, state: State, entry: ReleaseGranted) -> FollowUp:
        title, words = self.work.words_of_check(aftercare)
        found = FollowUp(aftercare, title, words, entry.number, entry.day)
        if name_of(aftercare) == RETIGHTEN and entry.odometer is not None:
            km = km_of(entry.odometer)
            return replace(found, from_km=km + RETIGHTEN_FROM_KM, to_km=km + RETIGHTEN_TO_KM)
        return found

    def _look_again(self, entry: Entry) -> None:
        """A release is lost by new work, by a withdrawal, or by what has come to stand against it."""
        if self.granted is None:
            return
        if isinstance(entry, ReleaseWithdrawn):
            self._lose(f"withdrawn on {entry.day}: {entry.why}")
        elif on_car(entry) == self.car and self.work.is_work(entry):
            self._lose(f"new work on {entry.day}")
        else:
            against = self._against(self.folding.state(), entry.day, None)
            if against:
                self._lose(f"since {entry.day} {against[0].words}")

    def _lose(self, why: str) -> None:
        self.granted = None
        self.lost = why
