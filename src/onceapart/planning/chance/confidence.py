"""Plans that hold with a given chance: room kept free, or time before the last day, as little as does it."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, replace

from onceapart.planning.answer import Answer
from onceapart.planning.chance.draws import draw
from onceapart.planning.chance.minutes import minutes_of
from onceapart.planning.chance.odds import Odds
from onceapart.planning.chance.outcome import Outcome
from onceapart.planning.chance.risk import MoreTime, Risk, more_time, risks
from onceapart.planning.chance.simulate import RUNS, SEED, simulate
from onceapart.planning.chance.spares import SpareChoice, choose_spares
from onceapart.planning.chance.trouble import Trouble
from onceapart.planning.cost import cost, ranking
from onceapart.planning.plan import Aim, Plan, Status
from onceapart.planning.rules import broken_rules
from onceapart.planning.solve import USUAL_WORK, best_plan
from onceapart.planning.workload import Workload

FRESH_SEED = 2718
"""Luck that no plan was chosen on."""
STEPS = ((0, 0), (50, 0), (100, 0), (100, 8), (100, 16), (100, 24), (100, 32), (100, 40), (100, 50))
"""How careful a plan is made, step by step: how far the minutes reckoned with go from the typical ones to
the means of the spreads, and how much of each stint is kept free. [%, %]"""
MOST_PLANS = 32
"""Plans made at most."""


@dataclass(frozen=True)
class Care:
    """How careful a plan is made.

    ``step`` is the position in ``STEPS``, ``full`` are stints of which nothing is kept free all the same.
    ``early`` says for each last day of jobs that must be done how many stints before it they are to be
    done, so that something is left to catch up in.
    """

    step: int
    early: tuple[int, ...]
    full: frozenset[int] = frozenset()
    late: frozenset[str] = frozenset()
    """Jobs that may be done up to their last day all the same."""

    def more(self) -> Iterator[Care]:
        """One step more careful, in each way there is."""
        if self.step + 1 < len(STEPS):
            yield replace(self, step=self.step + 1)
        for at, stints in enumerate(self.early):
            yield replace(self, early=(*self.early[:at], stints + 1, *self.early[at + 1 :]))

    def less(self) -> Iterator[Care]:
        """One step less careful, in each way there is."""
        if self.step:
            yield replace(self, step=self.step - 1)
        for at, before in enumerate(self.early):
            if before:
                yield replace(self, early=(*self.early[:at], before - 1, *self.early[at + 1 :]))

    def a_little_less(self, stints: int, jobs: Iterable[str]) -> Iterator[Care]:
        """Less careful with one stint or one job."""
        if any(self.early):
            for job in jobs:
                if job not in self.late:
                    yield replace(self, late=self.late | {job})
        if STEPS[self.step][1]:
            for at in range(stints):
                if at not in self.full:
                    yield replace(self, full=self.full | {at})


@dataclass(frozen=True, eq=False)
class Tried:
    """A plan, the spares for it and what came of both on the luck that plans are chosen on."""

    care: Care
    answer: Answer
    """Its cost and status are those of the workload as it is; its bound is left out."""
    plan: Plan
    spares: SpareChoice
    outcome: Outcome
    rank: tuple[int, ...]

    @property
    def odds(self) -> Odds:
        """Chance that all dates hold."""
        return self.outcome.odds(self.outcome.all_in_time)

    @property
    def nearness(self) -> tuple[int, int, list[int]]:
        """What plans are compared by that don't hold yet: all dates, then each car's, then the aim."""
        cars = sum(int(self.outcome.in_time(car).sum()) for car in self.outcome.cars)
        return self.odds.hits, cars, [-figure for figure in self.rank]


@dataclass(frozen=True, eq=False)
class Confident:
    """Of the plans tried the best one that holds all dates with the chance asked for, or comes nearest."""

    target: float
    trouble: Trouble
    usual: Tried
    """The plan on typical minutes, with its spares."""
    found: Tried
    proof: Outcome
    """The plan found, worked on fresh luck."""
    reached: bool
    """Whether the lower end of the fresh interval is at least the target."""
    tried: int
    """How many different plans were made and worked."""
    limits: tuple[Risk, ...] = ()
    """Where it is not reached: what the chance hangs on."""
    longer: tuple[MoreTime, ...] = ()
    """Where it is not reached: what an hour more in a stint would bring."""

    @property
    def odds(self) -> Odds:
        """The chance that all dates hold, on fresh luck."""
        return self.proof.odds(self.proof.all_in_time)


TriedCall = Callable[[int, float], None]
"""Called with the number of plans tried and the best chance so far."""


def confident_plan(
    workload: Workload,
    trouble: Trouble,
    confidence: float,
    aim: Aim = Aim.BALANCE,
    *,
    runs: int = RUNS,
    seed: int = SEED,
    work_limit: int | None = USUAL_WORK,
    progress: TriedCall | None = None,
) -> Confident | None:
    """A plan that holds all dates with a given chance, spares included.

    Plans are made by ``best_plan`` on a stricter workload: stints with room kept free, mean minutes, jobs
    that must be done some stints before their last day. From the typical plan on, each step takes the way
    that raises the chance most, until it is reached; then what is not needed is taken back as long as that
    makes the plan better in its aim.

    Parameters
    ----------
    workload : Workload
    trouble : Trouble
    confidence : float
        Chance that every car is ready in time, all together; between 0 and 1.
    aim : Aim
    runs, seed : int
        For choosing; the proof is made with as many runs of another seed.
    work_limit : int, optional
        For each plan, as for ``best_plan``. The same gives the same result.
    progress : callable, optional

    Returns
    -------
    Confident or None
        None where no plan is found even on typical minutes.

    Raises
    ------
    ValueError
        The confidence is not between 0 and 1.
    """
    if not 0 < confidence < 1:
        raise ValueError(f"confidence {confidence}: it is a chance; give one between 0 and 1, such as 0.8")
    search = _Search(workload, trouble, confidence, aim, runs, seed, work_limit, progress)
    usual = search.tried(Care(0, (0,) * len(search.days)))
    if usual is None:
        return None
    search.climb(usual)
    for found in search.holding():
        proof = search.proven(found)
        if _lower(proof) >= confidence:
            return Confident(confidence, trouble, usual, found, proof, True, len(search.by_plan))
    best = max(search.by_plan.values(), key=lambda one: one.nearness)
    luck = draw(workload, trouble, runs=runs, seed=FRESH_SEED)
    hand = best.spares.in_hand
    return Confident(
        confidence,
        trouble,
        usual,
        best,
        simulate(workload, best.plan, trouble, hand, draws=luck),
        False,
        len(search.by_plan),
        risks(workload, best.plan, trouble, luck, hand),
        more_time(workload, best.plan, trouble, luck, hand),
    )


def _lower(proof: Outcome) -> float:
    return proof.odds(proof.all_in_time).interval[0]


class _Search:
    def __init__(
        self,
        workload: Workload,
        trouble: Trouble,
        target: float,
        aim: Aim,
        runs: int,
        seed: int,
        work_limit: int | None,
        progress: TriedCall | None,
    ) -> None:
        self.workload, self.trouble, self.target, self.aim = workload, trouble, target, aim
        self.work_limit, self.progress = work_limit, progress
        self.draws = draw(workload, trouble, runs=runs, seed=seed)
        self.fresh = draw(workload, trouble, runs=runs, seed=FRESH_SEED)
        self.mean = _mean_minutes(workload, trouble)
        musts = [job for job in workload.jobs if job.is_must]
        self.days = sorted({day for job in musts if (day := _last_day(trouble, job.car, job.last_day))})
        self.musts = [job.id for job in musts]
        self.known: dict[Care, Tried | None] = {}
        self.by_plan: dict[str, Tried] = {}

    def climb(self, here: Tried) -> None:
        """Be more careful step by step, by the way that brings most, until the chance is reached."""
        while not self._holds(here) and len(self.known) < MOST_PLANS:
            ways = [found for care in here.care.more() if (found := self.tried(care)) is not None]
            if not ways:
                return
            # A step that brings nothing by itself may be on the way to one that does.
            here = max(ways, key=lambda way: way.nearness)
        while True:
            better = self._best_of(here, here.care.less()) or self._first_of(
                here, here.care.a_little_less(len(self.workload.stints), self.musts)
            )
            if better is None:
                return
            here = better

    def _best_of(self, here: Tried, cares: Iterable[Care]) -> Tried | None:
        """Of these the one best in the aim, if it still holds and is better than what there is."""
        ways = [way for care in cares if (way := self._better(here, care)) is not None]
        return min(ways, key=lambda way: (way.rank, -way.odds.hits), default=None)

    def _first_of(self, here: Tried, cares: Iterable[Care]) -> Tried | None:
        return next((way for care in cares if (way := self._better(here, care)) is not None), None)

    def _better(self, here: Tried, care: Care) -> Tried | None:
        if len(self.known) >= MOST_PLANS and care not in self.known:
            return None
        way = self.tried(care)
        return way if way is not None and self._holds(way) and way.rank < here.rank else None

    def holding(self) -> list[Tried]:
        """Plans that seem to hold, the best in the aim first."""
        return sorted(
            (one for one in self.by_plan.values() if self._holds(one)),
            key=lambda one: (one.rank, -one.odds.hits),
        )

    def proven(self, found: Tried) -> Outcome:
        """The plan on fresh luck."""
        hand = found.spares.in_hand
        return simulate(self.workload, found.plan, self.trouble, hand, draws=self.fresh)

    def tried(self, care: Care) -> Tried | None:
        """The plan that is so careful, worked; None where there is none."""
        if care not in self.known:
            self.known[care] = self._try(care)
            if self.progress is not None and self.by_plan:
                best = max(one.odds.share for one in self.by_plan.values())
                self.progress(len(self.known), best)
        return self.known[care]

    def _try(self, care: Care) -> Tried | None:
        answer = best_plan(self._stricter(care), self.aim, work_limit=self.work_limit)
        plan = answer.plan
        if plan is None or broken_rules(self.workload, plan):
            return None
        key = repr((plan.work, sorted(plan.units.items()), plan.tools_bought))
        if key in self.by_plan:
            return replace(self.by_plan[key], care=care)
        spares = choose_spares(self.workload, plan, self.trouble)
        outcome = simulate(self.workload, plan, self.trouble, spares.in_hand, draws=self.draws)
        own = replace(answer, cost=cost(self.workload, plan), status=Status.GOOD)
        if not care.step and not any(care.early):
            own = answer
        found = Tried(care, own, plan, spares, outcome, ranking(self.workload, plan, self.aim))
        self.by_plan[key] = found
        return found

    def _holds(self, one: Tried) -> bool:
        return one.odds.interval[0] >= self.target

    def _stricter(self, care: Care) -> Workload:
        """The workload with less room, mean minutes and earlier last days."""
        towards_mean, free = STEPS[care.step]
        stints = tuple(
            stint if at in care.full else replace(stint, minutes=stint.minutes * (100 - free) // 100)
            for at, stint in enumerate(self.workload.stints)
        )
        before = _between(self.workload, self.mean, towards_mean)
        jobs = tuple(
            replace(job, last_day=self._earlier(job.last_day, job.car, care))
            if job.is_must and job.id not in care.late
            else job
            for job in before.jobs
        )
        return replace(before, jobs=jobs, stints=stints)

    def _earlier(self, last_day: dt.date | None, car: str, care: Care) -> dt.date | None:
        day = _last_day(self.trouble, car, last_day)
        if day is None:
            return None
        stints = care.early[self.days.index(day)]
        if not stints:
            return last_day
        dates = sorted({stint.date for stint in self.workload.stints if stint.date <= day})
        return dates[-1 - stints] if stints < len(dates) else dt.date.min


def _last_day(trouble: Trouble, car: str, last_day: dt.date | None) -> dt.date | None:
    """Day by which a job that must be done counts as in time."""
    return min((day for day in (last_day, trouble.due.get(car)) if day is not None), default=None)


def _between(typical: Workload, mean: Workload, percent: int) -> Workload:
    """The workload with minutes so far on the way from typical to mean ones."""

    def minutes(one: int, other: int) -> int:
        return one + round((other - one) * percent / 100)

    return replace(
        typical,
        jobs=tuple(
            replace(a, minutes=minutes(a.minutes, b.minutes))
            for a, b in zip(typical.jobs, mean.jobs, strict=True)
        ),
        access=tuple(
            replace(a, minutes=minutes(a.minutes, b.minutes))
            for a, b in zip(typical.access, mean.access, strict=True)
        ),
        aftercare=tuple(
            replace(a, minutes=minutes(a.minutes, b.minutes))
            for a, b in zip(typical.aftercare, mean.aftercare, strict=True)
        ),
    )


def _mean_minutes(workload: Workload, trouble: Trouble) -> Workload:
    """The workload with mean minutes, those for broken fasteners among them."""

    def mean(kind: str, name: str, at: dict[str, tuple[int, ...]]) -> int:
        minutes = minutes_of(trouble.spread(kind, name, workload)).mean
        for place in at.get(name, ()):
            one = trouble.fasteners[place]
            minutes += one.count * one.chance * minutes_of(one.getting_out).mean
        return round(minutes)

    return replace(
        workload,
        jobs=tuple(replace(job, minutes=mean("job", job.id, trouble.at_job)) for job in workload.jobs),
        access=tuple(
            replace(one, minutes=mean("access", one.id, trouble.at_access)) for one in workload.access
        ),
        aftercare=tuple(replace(one, minutes=mean("aftercare", one.id, {})) for one in workload.aftercare),
    )
