"""Stopgaps: whether one may be driven on, what remains of its limits, and the job that makes it good."""

from __future__ import annotations

import datetime as dt
import math
from dataclasses import dataclass
from functools import lru_cache
from typing import Any

from onceapart.bench.entries import SumCheck
from onceapart.bench.state import State, Stopgap, km_of
from onceapart.errors import Problem, SumError
from onceapart.sums.bolts.joint import CRITICAL, ORDINARY
from onceapart.sums.run import run_sum
from onceapart.workshop import Need, Workshop

CHECKED_BY = "bolt-substitute"
"""The one sum that can pass a stopgap where a failure can kill: a bolt other than the original's."""
PASSES = ("as good", "stopgap")
"""Verdicts of it that pass; in such a joint ``stopgap`` means other, but in nothing weaker."""
HARMLESS_SYSTEMS = frozenset({*ORDINARY, "ignition", "cooling", "electrics", "body"})
"""Systems in which a failing makeshift strands a car and no more; every other needs check and signature."""
KNOWN_SYSTEMS = tuple(dict.fromkeys((*CRITICAL, "structure", *sorted(HARMLESS_SYSTEMS))))
KM_A_DAY = 30.0
"""How far a car is driven on a day when nothing is known of it: our assumption, 11,000 km a year. [km]"""
USUAL_MINUTES = 60
"""Minutes to make a stopgap good where nothing is known of the job: our assumption. [min]"""


@dataclass(frozen=True)
class Remains:
    """What remains of a stopgap's limits; None where there is no such limit, or it can't be said.

    ``end_km`` is the odometer at which the distance is used up. [days, km]
    """

    days: int | None = None
    km: float | None = None
    end_km: float | None = None
    expired: tuple[str, ...] = ()
    """Limits that are passed, in words."""


def needs_check(system: str) -> bool:
    """Whether a stopgap in a system has to be checked by a sum and signed for before it is driven on.

    >>> needs_check("steering"), needs_check("exhaust"), needs_check("a system nobody knows")
    (True, False, True)
    """
    return system not in HARMLESS_SYSTEMS


def why_not_to_drive(stopgap: Stopgap) -> str | None:
    """Why a car with this stopgap stays where it is; None if it may be driven within its limits.

    Steering, suspension, brakes and whatever else can kill: a sum has to pass the makeshift, for this very
    system, and a person has to sign for it. The sum is run again on what was typed in; nobody's word counts
    for its verdict.
    """
    fitted = stopgap.fitted
    if fitted.limits.do_not_drive:
        return "it was fitted to stand on, not to drive on"
    if not needs_check(fitted.system):
        return None
    if fitted.check is None:
        return f"no sum has passed it, and a failure in the {fitted.system} can kill"
    failing = _failing(fitted.check, fitted.system)
    if failing:
        return failing
    return None if stopgap.signed_by else "nobody has signed for it"


def remains_of(stopgap: Stopgap, on: dt.date, odometer_km: float | None = None) -> Remains:
    """What remains of a stopgap's limits on a day.

    Parameters
    ----------
    stopgap : Stopgap
        As the state has it.
    on : date
        Its last day is still within the limit.
    odometer_km : float, optional
        The odometer then; without it what remains of a distance can't be said. [km]

    Returns
    -------
    Remains
        Days and kilometres left, nought or less where they are used up. [days, km]
    """
    limits = stopgap.fitted.limits
    days = km = end_km = None
    expired = []
    if limits.until is not None:
        days = (limits.until - on).days
        if days < 0:
            expired.append(f"its last day was {limits.until}")
    if limits.distance is not None and stopgap.fitted.odometer is not None:
        end_km = km_of(stopgap.fitted.odometer) + km_of(limits.distance)
        if odometer_km is not None:
            km = end_km - odometer_km
            if km < 0:
                expired.append(f"its {limits.distance} were used up {-km:.0f} km ago")
    return Remains(days, km, end_km, tuple(expired))


def open_stopgaps(
    state: State, car: str, *, on: dt.date | None = None, odometer: str | None = None
) -> tuple[str, ...]:
    """What to show of each open stopgap of a car on all its pages and papers, until it is closed.

    Parameters
    ----------
    state : State
        From the record.
    car : str
        Id of the car.
    on : date, optional
        Day for which to say what remains; without it the limits alone are said.
    odometer : str, optional
        As in ``143200 km``; by default the highest one in the record.

    Returns
    -------
    tuple of str
        A sentence or more for each, oldest first. Empty: there are none.
    """
    return tuple(
        stopgap_text(one, on=on, odometer_km=odometer_now(state, car, odometer))
        for one in state.open_stopgaps(car)
    )


def odometer_now(state: State, car: str, odometer: str | None = None) -> float | None:
    """The odometer as given, or the highest in the record, whichever is more. [km]"""
    known = state.odometers.get(car)
    given = [km_of(odometer)] if odometer else []
    return max([*given, *([known.km] if known else [])], default=None)


def stopgap_text(stopgap: Stopgap, *, on: dt.date | None = None, odometer_km: float | None = None) -> str:
    """A stopgap in words: what, where, whether to drive, limits with what remains, what makes it good."""
    fitted = stopgap.fitted
    remains = remains_of(stopgap, on or fitted.day, odometer_km)
    expired = remains.expired if on else ()
    why_not = why_not_to_drive(stopgap)
    words = [f"STOPGAP since {fitted.day}: {fitted.what}, {fitted.where} ({fitted.system})."]
    if why_not or expired:
        words.append(f"DO NOT DRIVE: {'; '.join([*([why_not] if why_not else []), *expired])}.")
    limits = []
    if fitted.limits.until:
        left = f" ({_count(remains.days, 'day')} left)" if on and remains.days is not None else ""
        limits.append(f"until {fitted.limits.until}" + (left if not expired else ""))
    if fitted.limits.distance:
        text = f"for {fitted.limits.distance} from {fitted.odometer}"
        if on and remains.km is not None and not expired:
            text += f" ({remains.km:.0f} km left)"
        limits.append(text)
    if fitted.limits.speed:
        limits.append(f"at most {fitted.limits.speed}")
    if limits:
        words.append(f"Limits: {', '.join(limits)}.")
    if stopgap.signed_by:
        words.append(f"Signed by {stopgap.signed_by}.")
    words.append(f"Job {fitted.job} makes it good.")
    return " ".join(words)


def make_good_by(stopgap: Stopgap, on: dt.date, *, km_a_day: float = KM_A_DAY) -> dt.date | None:
    """Last day for making a stopgap good, by its limits; None where they are passed or the car stands.

    Parameters
    ----------
    stopgap : Stopgap
        Its distance is turned into days from the day it was fitted.
    on : date
        Today.
    km_a_day : float
        How far the car is driven on a day. [km]
    """
    limits = stopgap.fitted.limits
    days = [limits.until] if limits.until else []
    if limits.distance and km_a_day > 0:
        whole = math.floor(km_of(limits.distance) / km_a_day)
        days.append(stopgap.fitted.day + dt.timedelta(days=min(whole, 36_500)))
    last = min(days, default=None)
    return last if last is not None and last >= on else None


def make_good_job(
    stopgap: Stopgap,
    workshop: Workshop,
    on: dt.date,
    *,
    minutes: int | None = None,
    recipe: str | None = None,
    place: str | None = None,
    km_a_day: float = KM_A_DAY,
) -> dict[str, Any]:
    """The entry for ``jobs`` of the workshop file that makes a stopgap good, one that no plan can leave.

    Parameters
    ----------
    stopgap : Stopgap
        An open one.
    workshop : Workshop
        Where it goes; not changed (see ``workshop.insert.with_entries``).
    on : date
        Today. A deadline that is passed already is not written: the car stands until the job is done.
    minutes : int, optional
        Of the job; without them and without a recipe ``USUAL_MINUTES``. [min]
    recipe, place : str, optional
        The recipe to do it by, and where; ``place`` by default the stopgap's.
    km_a_day : float
        How far the car is driven on a day. [km]

    Returns
    -------
    dict
        Need ``safety``; ``inspection`` where it can only strand the car and an inspection is due.
    """
    fitted = stopgap.fitted
    is_due = any(car.id == fitted.car and car.inspection is not None for car in workshop.cars)
    harmless = not needs_check(fitted.system) and not fitted.limits.do_not_drive
    need = Need.INSPECTION if harmless and is_due else Need.SAFETY
    entry: dict[str, Any] = {"id": fitted.job, "car": fitted.car, "need": need.value}
    by = make_good_by(stopgap, on, km_a_day=km_a_day)
    if by is not None:
        entry["by"] = by
    if recipe is not None:
        entry |= {"recipe": recipe, "place": place or fitted.place or "all"}
    if recipe is None or minutes is not None:
        entry["minutes"] = USUAL_MINUTES if minutes is None else minutes
    return entry


def missing_make_good(workshop: Workshop, state: State, on: dt.date) -> list[dict[str, Any]]:
    """Entries for ``jobs`` that open stopgaps need and the workshop file lacks, each once."""
    have = {job.id for job in workshop.jobs}
    found: dict[str, dict[str, Any]] = {}
    for stopgap in state.open_stopgaps():
        if stopgap.fitted.job in have:
            continue
        entry = make_good_job(stopgap, workshop, on)
        before = found.setdefault(stopgap.fitted.job, entry)
        if entry["need"] == Need.SAFETY.value:
            before["need"] = entry["need"]
        if "by" in entry:
            before["by"] = min(entry["by"], before.get("by", entry["by"]))
    return list(found.values())


def make_good_problems(workshop: Workshop, state: State, on: dt.date) -> list[Problem]:
    """Why a plan of this workshop could leave an open stopgap longer than it may stay; empty: it can't.

    To be asked before planning: a job that makes a stopgap good is there, on its car, must be done, and has a
    deadline no later than the stopgap's limits.
    """
    jobs = {job.id: (index, job) for index, job in enumerate(workshop.jobs)}
    problems = []
    for stopgap in state.open_stopgaps():
        fitted = stopgap.fitted
        index, job = jobs.get(fitted.job, (0, None))
        what = f"the stopgap of {fitted.day} ({fitted.what}, {fitted.where})"
        if job is None:
            rule = f"no job with this id makes {what} good"
            problems.append(Problem(None, "jobs", fitted.job, rule, "put the job back"))
            continue
        where = f"jobs[{index}]"
        if job.car != fitted.car:
            rule = f"it makes {what} good, which is on {fitted.car}"
            problems.append(Problem(None, f"{where}.car", job.car, rule, f"write car: {fitted.car}"))
        if not job.need.is_must:
            rule = f"it makes {what} good, so it may not be left"
            problems.append(Problem(None, f"{where}.need", job.need, rule, "write need: safety"))
        last, deadline = make_good_by(stopgap, on), workshop.deadline(job)
        if last is not None and (deadline is None or deadline > last):
            rule = f"it makes {what} good, which may stay until {last}"
            value = "" if deadline is None else str(deadline)
            problems.append(Problem(None, f"{where}.by", value, rule, f"write by: {last}"))
    return problems


def run_check(inputs: dict[str, str]) -> SumCheck:
    """Run the sum that checks a substitute bolt, for a ``StopgapFitted``; raises SumError as the sum does."""
    return SumCheck(sum=CHECKED_BY, inputs=inputs, verdict=run_sum(CHECKED_BY, inputs).verdict)


def _failing(check: SumCheck, system: str) -> str | None:
    """Why a check does not pass a stopgap in a system; None if it does."""
    if check.sum != CHECKED_BY:
        return f"the sum {check.sum} says nothing of a makeshift"
    holds = check.inputs.get("holds", "")
    if holds != system:
        return f"it was checked as if it held {holds or 'nothing'}, and it holds the {system}"
    verdict = _verdict(tuple(sorted(check.inputs.items())))
    return None if verdict in PASSES else f"the check of the substitute bolt says: {verdict}"


@lru_cache(maxsize=256)
def _verdict(inputs: tuple[tuple[str, str], ...]) -> str:
    try:
        return run_sum(CHECKED_BY, dict(inputs)).verdict
    except SumError:
        return "these inputs have no answer"


def _count(number: int | None, one: str) -> str:
    return f"{number} {one if number == 1 else one + 's'}"
