"""Many runs of a plan, each with its own luck, worked by one plain rule.

The rule, which ``docs/chance.md`` gives in words for the person who plans:

- In each stint, what the plan puts there and what earlier stints did not finish is worked in one order:
  inspection and safety jobs first, the nearest last day first, and none before what it comes after.
- A job is begun where there is time to get at it. What comes off stays off to the end of the stint, and
  getting at it counts off and on again and the aftercare it brings.
- When the time is up, what is done of a job is done. The car is put together, the job goes on in the next
  stint, and what was off comes off again.
- A broken fastener takes its minutes where it is met first. Without a new one in the house there is a trip
  to the counter, one for each kind at each piece of work; without a counter the job waits for the post.
- Nothing is done earlier than planned, and no stint is made longer.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Sequence

import numpy as np

from onceapart.planning.chance.breaks import Bools, Breaks, InHand
from onceapart.planning.chance.draws import Draws, draw
from onceapart.planning.chance.minutes import Ints
from onceapart.planning.chance.outcome import Outcome
from onceapart.planning.chance.trouble import Trouble
from onceapart.planning.placing import in_turn
from onceapart.planning.plan import Plan
from onceapart.planning.workload import Job, Workload

RUNS = 10_000
SEED = 1959
NEVER = 10_000
"""Position of a stint that does not come."""


def simulate(
    workload: Workload,
    plan: Plan,
    trouble: Trouble,
    in_hand: Iterable[InHand] = (),
    *,
    runs: int = RUNS,
    seed: int = SEED,
    draws: Draws | None = None,
) -> Outcome:
    """Work a plan in many runs.

    Parameters
    ----------
    workload : Workload
    plan : Plan
        Of the workload; it need not keep the rules.
    trouble : Trouble
    in_hand : iterable of InHand
        Spare fasteners besides those to be renewed.
    runs, seed : int
        The same give the same result.
    draws : Draws, optional
        The luck, where it was drawn already.

    Returns
    -------
    Outcome
        What happened in each run. [stints by position, min]
    """
    luck = draws or draw(workload, trouble, runs=runs, seed=seed)
    return _Simulation(workload, plan, trouble, tuple(in_hand), luck).run()


class _Simulation:
    """All runs side by side: each array has one figure a run, and ``runs`` are positions of some of them."""

    def __init__(
        self, workload: Workload, plan: Plan, trouble: Trouble, in_hand: Sequence[InHand], draws: Draws
    ) -> None:
        self.workload, self.plan, self.trouble, self.draws = workload, plan, trouble, draws
        self.order = in_turn(workload, plan.done)
        self.opened_for = {job.id: workload.opened_for([job.id]) for job in self.order}
        self.planned_at = {job: at for at, work in enumerate(plan.work) for job in work.jobs}
        self.breaks = Breaks(trouble, draws, in_hand)
        self.to_do = {job.id: draws.jobs[job.id].copy() for job in self.order}
        """Minutes of its own that each job still takes. [min]"""
        self.is_through = {job.id: self._flags() for job in self.order}
        """All of the job is done but its aftercare."""
        self.waits_to = {job.id: np.zeros(draws.runs, np.int64) for job in self.order}
        """Stint before which nothing can be done at it."""
        self.done_at = {job.id: np.full(draws.runs, NEVER) for job in self.order}
        self.left_over = [self._flags() for _ in workload.stints]
        self.worked = np.zeros(draws.runs, np.int64)
        self.prices = np.zeros(draws.runs, np.int64)
        self.owned = {*plan.tools_bought, *(tool.id for tool in workload.tools if tool.have)}
        # Of the stint at hand:
        self.at = 0
        self.left = np.zeros(draws.runs, np.int64)
        self.stays: frozenset[str] = frozenset()
        self.is_open: dict[str, Bools] = {}
        self.cared: dict[str, Bools] = {}
        self.hired: dict[str, Bools] = {}

    def run(self) -> Outcome:
        off = {name: ~self._flags() for name in self.workload.off_now}
        for at, (stint, work) in enumerate(zip(self.workload.stints, self.plan.work, strict=True)):
            self.at = at
            self.left = np.full(self.draws.runs, stint.minutes)
            self.stays = frozenset(work.left_off)
            self.is_open, self.cared, self.hired = off, {}, {}
            self.breaks.take_in(stint.date)
            self._put_on_what_was_off()
            planned = [job for job in self.order if self.planned_at[job.id] <= at]
            for job in planned:
                self._work_at(job)
            for job in planned:
                self.left_over[at] |= self.done_at[job.id] > at
            self.worked += stint.minutes - self.left
            off = {name: is_open for name, is_open in self.is_open.items() if name in self.stays}
        return Outcome(
            workload=self.workload,
            plan=self.plan,
            due=self.trouble.due,
            runs=self.draws.runs,
            done_at=self.done_at,
            left_over=tuple(self.left_over),
            minutes=self.worked,
            prices=self.prices,
            trips=self.breaks.trips,
        )

    def _flags(self) -> Bools:
        return np.zeros(self.draws.runs, bool)

    def _put_on_what_was_off(self) -> None:
        """At the start of a stint, count what it found off and will not leave off as to be put on."""
        for name, was_off in self.is_open.items():
            if name not in self.stays:
                runs = np.flatnonzero(was_off)
                access = self.workload.access_by_id[name]
                self.left[runs] -= self.draws.access[name][runs] // 2
                self._care(access.aftercare, runs)
                self._hire(access.tools, runs)

    def _work_at(self, job: Job) -> None:
        """Begin a job or go on with it, in the runs that come to it in this stint."""
        may = (self.done_at[job.id] > self.at) & (self.waits_to[job.id] <= self.at)
        may &= (self.left > 0) | ((self.left == 0) & (self.to_do[job.id] == 0))
        for before in job.after:
            may &= self.done_at.get(before, NEVER) <= self.at
        runs = np.flatnonzero(may)
        is_through = self.is_through[job.id][runs]
        begun = self._get_at(job, runs[~is_through])
        runs = np.concatenate((begun, runs[is_through]))
        own = np.minimum(self.left[runs], self.to_do[job.id][runs])
        self.left[runs] -= own
        self.to_do[job.id][runs] -= own
        self._hire(job.tools, begun)
        through = runs[self.to_do[job.id][runs] == 0]
        self.is_through[job.id][through] = True
        ends = through[self._care_minutes(job.aftercare, through) <= self.left[through]]
        self._care(job.aftercare, ends)
        self.done_at[job.id][ends] = self.at

    def _get_at(self, job: Job, runs: Ints) -> Ints:
        """Open what is in the way, in those of the runs that have the time; they are given back.

        Left out of these are runs that find a fastener broken and have to wait for the post.
        """
        cost = np.zeros(len(runs), np.int64)
        closed: dict[str, Bools] = {}
        cares: dict[str, Bools] = {}
        met = self.breaks.meeting(runs)
        for name in self.opened_for[job.id]:
            is_open = self.is_open.setdefault(name, self._flags())
            shut = closed[name] = ~is_open[runs]
            minutes = self.draws.access[name][runs]
            cost += np.where(shut, minutes - minutes // 2 if name in self.stays else minutes, 0)
            cost += met.meet("access", name, shut)
            if name not in self.stays:
                for care in self.workload.access_by_id[name].aftercare:
                    cares[care] = cares.get(care, False) | shut
        for care, brings in cares.items():
            brings &= ~self.cared.setdefault(care, self._flags())[runs]
            cost += np.where(brings, self.draws.aftercare[care][runs], 0)
        begins = cost <= self.left[runs]
        met.keep(begins)
        runs, cost = runs[begins], cost[begins]
        self.left[runs] -= cost
        for name, shut in closed.items():
            opened = runs[shut[begins]]
            self.is_open[name][opened] = True
            self._hire(self.workload.access_by_id[name].tools, opened)
        for care, brings in cares.items():
            self._note_care(care, runs[brings[begins]])
        at_job = self.breaks.meeting(runs)
        self.to_do[job.id][runs] += at_job.meet("job", job.id, np.ones(len(runs), bool))
        at_job.keep(np.ones(len(runs), bool))
        waits = met.waits[begins] | at_job.waits
        self.waits_to[job.id][runs[waits]] = self._after_post()
        return runs[~waits]

    def _after_post(self) -> int:
        """First stint by whose day the post has brought what is ordered in this one."""
        comes = self.workload.stints[self.at].date + dt.timedelta(days=self.trouble.post)
        return sum(stint.date < comes for stint in self.workload.stints)

    def _care_minutes(self, names: Iterable[str], runs: Ints) -> Ints:
        """Minutes of the aftercare that was not carried out yet in this stint. [min]"""
        minutes = np.zeros(len(runs), np.int64)
        for name in names:
            cared = self.cared.setdefault(name, self._flags())
            minutes += np.where(cared[runs], 0, self.draws.aftercare[name][runs])
        return minutes

    def _care(self, names: Iterable[str], runs: Ints) -> None:
        self.left[runs] -= self._care_minutes(names, runs)
        for name in names:
            self._note_care(name, runs[~self.cared[name][runs]])

    def _note_care(self, name: str, runs: Ints) -> None:
        """Aftercare is carried out in these runs, and paid."""
        self.cared[name][runs] = True
        self.prices[runs] += self.workload.aftercare_by_id[name].price

    def _hire(self, tools: Iterable[str], runs: Ints) -> None:
        """Tools are hired for this stint, where they are not yet."""
        for name in tools:
            price = self.workload.tool[name].hire
            if price and name not in self.owned:
                hired = self.hired.setdefault(name, self._flags())
                self.prices[runs[~hired[runs]]] += price
                hired[runs] = True
