"""What a release asks for: the checks that follow from what was done, and what stands against it."""

from __future__ import annotations

import datetime as dt
from collections.abc import Collection, Mapping
from dataclasses import dataclass
from enum import StrEnum

from onceapart.bench.entries import CheckAnswered, step_parts
from onceapart.bench.release_work import (
    ALWAYS,
    PEDAL,
    RETIGHTEN,
    UNKNOWN_WORK,
    WHEEL_NUTS,
    Work,
    name_of,
)
from onceapart.bench.state import State
from onceapart.bench.stopgap import odometer_now, remains_of, why_not_to_drive

RETIGHTEN_FROM_KM, RETIGHTEN_TO_KM = 50.0, 100.0
"""When wheel nuts are checked again: common practice, no source. [km]"""
REMIND_AFTER_DAYS = 14
"""Days after which to look at a follow-up where the odometer is not known: our judgement. [days]"""


class CheckState(StrEnum):
    """How a release check stands."""

    OPEN = "open"
    YES = "yes"
    NO = "no"
    EARLY = "too early"
    """Answered while what has to come before it was still open: it has to be done again."""


@dataclass(frozen=True)
class DueCheck:
    """One release check. ``after`` is the number of the last entry whose work it looks at."""

    id: str
    title: str
    words: str
    after: int
    state: CheckState
    answer: CheckAnswered | None = None


class AgainstKind(StrEnum):
    """What can stand against a release."""

    SNAG = "dangerous snag"
    STOPGAP = "stopgap"
    ACCESS = "access off"
    UNFINISHED = "unfinished job"
    AFTERCARE = "aftercare"
    CHECK = "check"
    FOLLOW_UP = "follow-up"
    ODOMETER = "odometer"


@dataclass(frozen=True)
class Against:
    """One reason why a car is not released."""

    kind: AgainstKind
    words: str
    way_out: str
    of: str = ""
    """The snag, stopgap, access, job, aftercare or check."""

    def __str__(self) -> str:
        return f"{self.words}; {self.way_out}"


@dataclass(frozen=True)
class FollowUp:
    """Something to be done after a release, such as wheel nuts again after 50 to 100 km. [km]"""

    id: str
    title: str
    words: str
    since: int
    """Number of the release."""
    day: dt.date
    from_km: float | None = None
    to_km: float | None = None
    """Odometer between which it is due, where the distance and the odometer at release are known."""

    def is_due(self, on: dt.date, odometer_km: float | None) -> bool:
        """Whether it is time: by the odometer where that is known, else by the days gone."""
        if self.from_km is not None and odometer_km is not None:
            return odometer_km >= self.from_km
        return (on - self.day).days >= REMIND_AFTER_DAYS

    def is_overdue(self, odometer_km: float | None) -> bool:
        """Whether the car was driven farther than it should have been without it."""
        return self.to_km is not None and odometer_km is not None and odometer_km > self.to_km

    def __str__(self) -> str:
        when = ""
        if self.from_km is not None and self.to_km is not None:
            when = f" between {self.from_km:.0f} and {self.to_km:.0f} km"
        elif name_of(self.id) == RETIGHTEN:
            when = f" after {RETIGHTEN_FROM_KM:.0f} to {RETIGHTEN_TO_KM:.0f} km"
            when += f", by {self.day + dt.timedelta(days=REMIND_AFTER_DAYS)} at the latest"
        return f"{self.title}{when}: {self.words}"


@dataclass(frozen=True)
class Touched:
    """What of a car was worked on since some entry, each with the number of its last tick."""

    jobs: Mapping[str, int]
    access: Mapping[str, int]
    other: int
    """Of work of another kind: a stopgap, an aftercare."""
    unknown: int
    """Of work of which nobody can say what it touched; 0 for none."""

    @property
    def last(self) -> int:
        """Number of the last entry that changed the car; 0 if none did."""
        return max([*self.jobs.values(), *self.access.values(), self.other, self.unknown])


def touched_since(state: State, car: str, work: Work, since: int) -> Touched:
    """What of a car was worked on after the entry of that number."""
    jobs: dict[str, int] = {}
    access: dict[str, int] = {}
    other = unknown = 0
    for tick in state.ticks:
        if tick.car != car or tick.number <= since or not work.is_work(tick):
            continue
        kind, what = step_parts(tick.step)
        subject = what.split(":")[0]
        if kind == "do" or (kind == "tighten" and subject in work.jobs):
            jobs[subject] = tick.number
            # Whoever ticks the job alone has had off what stands in its way all the same.
            access |= dict.fromkeys(work.access_of_job(subject), tick.number)
        elif kind in ("off", "on", "loosen", "tighten"):
            access[subject] = tick.number
        else:
            other = tick.number
    for stopgap in state.stopgaps:
        if stopgap.fitted.car == car and stopgap.fitted.number > since:
            unknown = max(unknown, stopgap.fitted.number)
    return Touched(jobs, access, other, unknown)


def due_checks(
    state: State, car: str, work: Work, since: int = 0, too_early: Collection[str] = ()
) -> tuple[DueCheck, ...]:
    """The release checks that the work on a car since its last release asks for, in working order.

    Parameters
    ----------
    state : State
        From the record.
    car : str
        Id of the car.
    work : Work
        What is known of the work.
    since : int
        Number of the entry of the last release; 0 if there was none.
    too_early : collection of str
        Ids of answers that came before what has to come first.

    Returns
    -------
    tuple of DueCheck
        An answer counts if it was given after the last work that its check looks at. Where the release was
        asked for after all work, the checks are those that were asked for then. A check whose last answer is
        no, or came too early, is always among them.
    """
    touched = touched_since(state, car, work, since)
    after = _checks_after(touched, car, work) if touched.last else {}
    asked = state.asked.get(car)
    if touched.last and asked is not None and asked.number > touched.last:
        after = {check: after.get(check, since) for check in asked.checks}
    for check, given in state.answers.items():
        if given[-1].car == car and (given[-1].answer == "no" or given[-1].id in too_early):
            after.setdefault(check, given[-1].number - 1)
    found = []
    for check in sorted(after, key=work.rank_of_check):
        title, words = work.words_of_check(check)
        answers = [
            one for one in state.answers.get(check, ()) if one.number > after[check] and one.car == car
        ]
        answer = answers[-1] if answers else None
        how = CheckState.OPEN
        if answer is not None:
            how = CheckState(answer.answer)
            if how is CheckState.YES and answer.id in too_early:
                how = CheckState.EARLY
        found.append(DueCheck(check, title, words, after[check], how, answer))
    return tuple(found)


def comes_before(check: str, checks: Collection[DueCheck], work: Work) -> tuple[DueCheck, ...]:
    """Checks that must be answered with yes before another one is tried, and are not.

    The pedal is hard before the engine starts, and all else is in order before the car moves.
    """
    stage = work.stage_of_check(check)
    if stage == 0:
        return ()
    return tuple(
        one
        for one in checks
        if one.id != check
        and one.state is not CheckState.YES
        and (work.stage_of_check(one.id) < 2 if stage == 2 else name_of(one.id) == PEDAL)
    )


def against_release(
    state: State,
    car: str,
    work: Work,
    on: dt.date,
    odometer: str | None = None,
    *,
    since: int = 0,
    too_early: Collection[str] = (),
    follow_ups: Collection[FollowUp] = (),
) -> tuple[Against, ...]:
    """Everything that stands against letting a car go on the road on a day; empty if nothing does.

    Parameters as for ``due_checks``; ``odometer`` as in ``143200 km``, ``follow_ups`` those still to be done
    from earlier releases.
    """
    km = odometer_now(state, car, odometer)
    touched = touched_since(state, car, work, since)
    return (
        *_snags(state, car),
        *_stopgaps(state, car, on, km),
        *_apart(state, car, work),
        *_unfinished(state, touched),
        *_aftercare(state, car, work, touched, since),
        *_checks(state, car, work, since, too_early),
        *_overdue(follow_ups, km),
    )


def follow_ups_of(state: State, car: str, work: Work, since: int) -> tuple[str, ...]:
    """Aftercare of the road that the work since an entry asks for, and that is not done yet.

    Retightening of wheels is always among them where wheel nuts were checked, and counts only after driving.
    """
    touched = touched_since(state, car, work, since)
    asked = _aftercare_of(touched, car, work)
    nuts = any(name_of(check.id) == WHEEL_NUTS for check in due_checks(state, car, work, since))
    found = [one for one in asked if work.is_of_the_road(one)]
    if nuts:
        found.append(f"{car}/{RETIGHTEN}")
    return tuple(
        one for one in dict.fromkeys(found) if name_of(one) == RETIGHTEN or not _is_done(state, one, since)
    )


def is_followed_up(state: State, follow_up: FollowUp) -> bool:
    """Whether a follow-up was ticked, or answered with yes, since its release."""
    return _is_done(state, follow_up.id, follow_up.since)


def _checks_after(touched: Touched, car: str, work: Work) -> dict[str, int]:
    """Check -> number of the last work it looks at."""
    after: dict[str, int] = {f"{car}/{name}": touched.last for name in ALWAYS}

    def ask(checks: Collection[str], number: int) -> None:
        for check in checks:
            after[check] = max(number, after.get(check, 0))

    unknown = [f"{car}/{name}" for name in UNKNOWN_WORK]
    for job, number in touched.jobs.items():
        of_job = work.checks_of_job(job)
        ask(unknown if of_job is None else of_job, number)
    for access, number in touched.access.items():
        ask(work.checks_of_access(access, car), number)
    if touched.unknown:
        ask(unknown, touched.unknown)
    return after


def _aftercare_of(touched: Touched, car: str, work: Work) -> tuple[str, ...]:
    found = [care for job in touched.jobs for care in work.aftercare_of_job(job)]
    found += [care for access in touched.access for care in work.aftercare_of_access(access, car)]
    return tuple(dict.fromkeys(found))


def _is_done(state: State, aftercare: str, since: int) -> bool:
    tick = state.done.get(f"aftercare:{aftercare}")
    if tick is not None and tick.number > since:
        return True
    answers = state.answers.get(aftercare, ())
    return bool(answers) and answers[-1].number > since and answers[-1].answer == "yes"


def _snags(state: State, car: str) -> list[Against]:
    return [
        Against(
            AgainstKind.SNAG,
            f"dangerous snag of {one.opened.day} is open: {one.opened.snag}, {one.opened.words}",
            "settle it and close it",
            one.opened.id,
        )
        for one in state.open_snags(car)
        if one.opened.dangerous
    ]


def _stopgaps(state: State, car: str, on: dt.date, km: float | None) -> list[Against]:
    found = []
    for one in state.open_stopgaps(car):
        why_not = why_not_to_drive(one)
        expired = remains_of(one, on, km).expired
        for why in [*([why_not] if why_not else []), *expired]:
            words = f"stopgap {one.fitted.what}, {one.fitted.where} ({one.fitted.system}): {why}"
            way_out = f"do job {one.fitted.job}, and close it"
            found.append(Against(AgainstKind.STOPGAP, words, way_out, one.fitted.id))
    return found


def _apart(state: State, car: str, work: Work) -> list[Against]:
    found = []
    for access, tick in state.off.items():
        if tick.car == car:
            way_out = f"put it on again and tick on:{access}"
            found.append(Against(AgainstKind.ACCESS, f"{access} is still off", way_out, access))
    for what, tick in state.raised.items():
        if tick.car == car:
            found.append(
                Against(
                    AgainstKind.ACCESS, f"{what} is still raised", f"lower it and tick lower:{what}", what
                )
            )
    for what, tick in state.loose.items():
        if tick.car != car or what in state.off:
            continue
        on_again = state.done.get(f"on:{what}")
        is_on_again = on_again is not None and on_again.number > tick.number
        if not is_on_again or work.is_tightened_late(what, car):
            words = f"{what} was loosened and not tightened for good"
            found.append(Against(AgainstKind.ACCESS, words, f"tighten it and tick tighten:{what}", what))
    return found


def _unfinished(state: State, touched: Touched) -> list[Against]:
    found = []
    for job in touched.jobs:
        begun = any(step == f"do:{job}" or step.startswith(f"do:{job}:") for step in state.done)
        if begun and not state.is_job_done(job):
            needs = state.job_steps.get(job, ())
            left = [need[0] for need in needs if not any(step in state.done for step in need)]
            more = f" ({len(left)} of {len(needs)} steps open, such as {left[0]})" if left else ""
            way_out = f"finish it, tick do:{job} when all of it is done, or untick it if all is as it was"
            found.append(
                Against(AgainstKind.UNFINISHED, f"job {job} is begun and not done{more}", way_out, job)
            )
    return found


def _aftercare(state: State, car: str, work: Work, touched: Touched, since: int) -> list[Against]:
    found = []
    for care in _aftercare_of(touched, car, work):
        if not work.is_of_the_road(care) and not _is_done(state, care, since):
            title, _ = work.words_of_check(care)
            words = f"aftercare is not done: {title} ({care})"
            found.append(Against(AgainstKind.AFTERCARE, words, f"do it and tick aftercare:{care}", care))
    return found


def _checks(state: State, car: str, work: Work, since: int, too_early: Collection[str]) -> list[Against]:
    words = {
        CheckState.OPEN: "is not answered",
        CheckState.NO: "was answered with no",
        CheckState.EARLY: "was done too early, before what has to come first",
    }
    ways = {CheckState.NO: "put it right, and answer it again", CheckState.EARLY: "do it again"}
    return [
        Against(
            AgainstKind.CHECK,
            f"check {one.id} {words[one.state]}",
            ways.get(one.state, "do it, and answer it"),
            one.id,
        )
        for one in due_checks(state, car, work, since, too_early)
        if one.state is not CheckState.YES
    ]


def _overdue(follow_ups: Collection[FollowUp], km: float | None) -> list[Against]:
    found = []
    for one in follow_ups:
        if one.is_overdue(km):
            words = f"{one.title} was due by {one.to_km:.0f} km, and the odometer says {km:.0f} km"
            way_out = f"stop, do it, and tick aftercare:{one.id}"
            found.append(Against(AgainstKind.FOLLOW_UP, words, way_out, one.id))
    return found
