"""Each car at a glance: may it go on the road, will it pass, what is in the way, and what to do next."""

from __future__ import annotations

import datetime as dt
from collections import Counter
from collections.abc import Hashable, MutableMapping
from dataclasses import dataclass, field, replace
from typing import Any

from onceapart.bench.release import CarRelease
from onceapart.bench.state import Snag, State
from onceapart.errors import OnceapartError
from onceapart.inspection.judging import Verdict
from onceapart.inspection.proposing import propose
from onceapart.inspection.verdicts import CarVerdict, Outcome, inspect_car
from onceapart.planning.workload import workload_from
from onceapart.site.pages.planned import Planned
from onceapart.site.pages.workshop.cost_to_pass import CostToPass, by_plan, line_by_line_cost
from onceapart.site.pages.workshop.picture import WayPicture, way_to
from onceapart.trade.rules import load_pack
from onceapart.workshop import Car, Job, Workshop

USUAL_RULES = "home-check"
"""Rule pack for a car that names none."""


@dataclass(frozen=True)
class NextStint:
    """The next stint of the plan with work on a car."""

    date: dt.date
    name: str
    """Its id, or its date where it has none."""
    jobs: tuple[str, ...]
    """Those on this car that are not done yet."""
    minutes: int
    """Of the whole stint, all cars."""
    waiting_for: tuple[str, ...] = ()
    """Parts that it needs and that have not come."""


@dataclass(frozen=True)
class Step:
    """What to do next, and where."""

    words: str
    label: str
    url: str


@dataclass(frozen=True)
class CarGlance:
    """One car as the first page shows it."""

    car: Car
    today: dt.date
    release: CarRelease
    due: dt.date | None
    verdict: CarVerdict | None
    rules_problem: str
    """Why nothing can be judged, where ``verdict`` is None."""
    musts: tuple[Job, ...]
    """Inspection and safety jobs that are not done."""
    done: int
    """Jobs that are."""
    cost: CostToPass | None
    ready: dt.date | None
    """Day of the last of these jobs by the plan."""
    stint: NextStint | None
    snags: tuple[Snag, ...]
    uncovered: int
    """Jobs that findings call for and the workshop does not have yet."""
    stint_days: tuple[dt.date, ...] = field(default=())
    """Days of stints from today to the inspection."""
    step: Step | None = None

    @property
    def outcome(self) -> str:
        return str(self.verdict.outcome if self.verdict else Outcome.NOT_CHECKED)

    @property
    def counts(self) -> tuple[tuple[str, int], ...]:
        """Verdicts of what was found, and how many of each there are; the worst first."""
        if self.verdict is None:
            return ()
        kinds = (Verdict.DANGEROUS, Verdict.MAJOR, Verdict.MINOR, Verdict.PASSES)
        found = [(str(kind), len(self.verdict.of(kind))) for kind in kinds]
        return tuple(one for one in (*found, ("not checked", len(self.verdict.unchecked))) if one[1])

    @property
    def days(self) -> int | None:
        """Days to the inspection; negative once it is past."""
        return None if self.due is None else (self.due - self.today).days

    @property
    def days_over(self) -> int:
        """Days since the inspection was due."""
        return max(0, -(self.days or 0))

    @property
    def way(self) -> WayPicture | None:
        """The days to the inspection as a picture."""
        return way_to(self.today, self.due, self.stint_days, self.ready)

    @property
    def is_late(self) -> bool:
        """Whether the plan has it ready only after the inspection."""
        return bool(self.ready and self.due and self.ready > self.due)


def glance_at(
    workshop: Workshop,
    applied: Workshop,
    car: Car,
    *,
    today: dt.date,
    release: CarRelease,
    state: State,
    planned: Planned | None,
    memo: MutableMapping[Hashable, Any],
) -> CarGlance:
    """Everything the first page says of one car.

    Parameters
    ----------
    workshop, applied : Workshop
        As in its file, and with recipes applied.
    car : Car
    today : date
    release : CarRelease
        As it stands today.
    state : State
        From the record.
    planned : Planned or None
        The plan that is worked by.
    memo : mapping
        What was worked out before from the same workshop; added to.
    """
    key = ("glance", car.id, today)
    if key not in memo:
        memo[key] = _judged(workshop, car, today)
    verdict, rules_problem, uncovered = memo[key]
    jobs = [job for job in applied.jobs if job.car == car.id]
    left = [job for job in jobs if not state.is_job_done(job.id)]
    musts = tuple(job for job in left if job.need.is_must)
    due = car.inspection.due if car.inspection else None
    plan_key = (planned.run, planned.asked_at) if planned else None
    cost_key = ("cost", tuple(job.id for job in musts), today, plan_key)
    if cost_key not in memo:
        memo[cost_key] = _cost(applied, musts, planned, today)
    found = CarGlance(
        car=car,
        today=today,
        release=release,
        due=due,
        verdict=verdict,
        rules_problem=rules_problem,
        musts=musts,
        done=len(jobs) - len(left),
        cost=memo[cost_key],
        ready=_ready(musts, planned),
        stint=_next_stint(car, state, planned, today),
        snags=state.open_snags(car.id),
        uncovered=uncovered,
        stint_days=tuple(
            sorted({s.date for s in workshop.stints if s.date >= today and (due is None or s.date <= due)})
        ),
    )
    return _with_step(found, bool(jobs), planned)


def _judged(workshop: Workshop, car: Car, today: dt.date) -> tuple[CarVerdict | None, str, int]:
    """What an inspection would say, or why that can't be said; and jobs that findings call for besides."""
    rules = (car.inspection.rules if car.inspection else None) or USUAL_RULES
    try:
        verdict = inspect_car(workshop, car.id, load_pack(rules), today=today)
    except OnceapartError as error:
        problem = getattr(error, "problems", (error,))[0]
        return None, f"rule pack {rules}: {getattr(problem, 'rule', problem)}", 0
    return verdict, "", len(propose(workshop, [verdict]).new)


def _cost(
    applied: Workshop, musts: tuple[Job, ...], planned: Planned | None, today: dt.date
) -> CostToPass | None:
    if not musts:
        return None
    names = [job.id for job in musts]
    if planned is not None and any(name in planned.plan.done for name in names):
        return by_plan(planned, names)
    try:
        return line_by_line_cost(workload_from(applied, today), names)
    except ValueError:
        return None


def _ready(musts: tuple[Job, ...], planned: Planned | None) -> dt.date | None:
    if planned is None or not all(job.id in planned.plan.done for job in musts):
        return None
    at = [planned.plan.stint_of(job.id) for job in musts]
    return max((planned.workload.stints[one].date for one in at if one is not None), default=None)


def _next_stint(car: Car, state: State, planned: Planned | None, today: dt.date) -> NextStint | None:
    if planned is None:
        return None
    workload, plan = planned.workload, planned.plan
    for at, (stint, work) in enumerate(zip(workload.stints, plan.work, strict=True)):
        jobs = [name for name in work.jobs if workload.job[name].car == car.id]
        jobs = [name for name in jobs if not state.is_job_done(name)]
        if stint.date >= today and jobs:
            return NextStint(
                date=stint.date,
                name=stint.id or stint.date.isoformat(),
                jobs=tuple(jobs),
                minutes=plan.minutes_in(workload, at),
                waiting_for=_waiting_for(planned, at, jobs, state),
            )
    return None


def _waiting_for(planned: Planned, at: int, jobs: list[str], state: State) -> tuple[str, ...]:
    """Parts of some jobs in a stint that shelf and arrivals do not cover together with all work before it."""
    workload = planned.workload
    had = Counter(workload.shelf)
    for entry in state.arrived:
        if entry.state == "right" and entry.number > planned.record_number:
            had[entry.part] += entry.pieces
    needed: Counter[str] = Counter()
    for work in planned.plan.work[: at + 1]:
        for name in work.jobs:
            needed.update(workload.job[name].parts)
    wanted = dict.fromkeys(part for name in jobs for part, n in workload.job[name].parts.items() if n)
    return tuple(part for part in wanted if had[part] < needed[part])


def _with_step(found: CarGlance, has_jobs: bool, planned: Planned | None) -> CarGlance:
    return replace(found, step=_step(found, has_jobs, planned))


def _step(found: CarGlance, has_jobs: bool, planned: Planned | None) -> Step | None:
    """The one thing to do next for a car."""
    car, name = found.car.id, found.car.name
    nothing_found = found.verdict is None or found.outcome == Outcome.NOT_CHECKED
    if nothing_found and not has_jobs:
        words = f"Nothing was looked at on {name} yet."
        return Step(words, "Walk round the car", f"/cars/{car}/findings/")
    if found.uncovered:
        words = f"Findings call for {found.uncovered} more {'job' if found.uncovered == 1 else 'jobs'}."
        return Step(words, "Add the jobs", "/jobs/-/from-findings/")
    if found.musts:
        missing = planned is None or any(job.id not in planned.plan.done for job in found.musts)
        if missing or (planned and planned.is_old):
            words = "There is no plan yet." if planned is None else "The plan no longer fits."
            return Step(words, "Make a plan", "/plan/")
        if found.stint is None:
            return Step("The stints of the plan are over, and work is left.", "Plan again", "/plan/")
        if found.stint.waiting_for:
            words = f"{len(found.stint.waiting_for)} parts for the next stint have not come."
            return Step(words.replace("1 parts for the next stint have", "1 part has"), "Parts", "/orders/")
        return Step("Everything is there.", "To the bench", f"/bench/{found.stint.name}/")
    if not found.release.is_released:
        return Step("Its must jobs are done.", "Release checks", f"/cars/{car}/release/")
    return None
