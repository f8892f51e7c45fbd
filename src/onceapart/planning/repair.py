"""A plan with one thing changed and the rest left as it is, repaired so that it keeps all rules again."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from typing import Literal

from onceapart.planning.cost import Cost, cost
from onceapart.planning.covering import Market, needs_of
from onceapart.planning.dates import stint_in_words
from onceapart.planning.plan import Plan, plan_of
from onceapart.planning.rules import broken_rules
from onceapart.planning.workload import Workload


@dataclass(frozen=True)
class Obstacle:
    """Why a job can't stand in a stint, the rest of the plan staying as it is. ``short`` is in minutes."""

    kind: Literal["last day", "held", "after", "tool", "room", "parts"]
    words: str
    short: int = 0


def difference(before: Cost, after: Cost) -> Cost:
    """What comes on top, figure by figure: negative where the plan after needs less."""
    return Cost(
        goods=after.goods - before.goods,
        delivery=after.delivery - before.delivery,
        aftercare=after.aftercare - before.aftercare,
        hire=after.hire - before.hire,
        tools=after.tools - before.tools,
        minutes=after.minutes - before.minutes,
        time=after.time - before.time,
        worth=after.worth - before.worth,
    )


class Repair:
    """Changes of one plan. Each gives a whole new plan, which ``cost`` can judge.

    ``plan`` is the plan with nothing opened, carried out, hired or bought as a tool that its jobs don't
    need: the changes are measured against that.

    Raises
    ------
    ValueError
        The plan breaks a rule.
    """

    def __init__(self, workload: Workload, plan: Plan) -> None:
        broken = broken_rules(workload, plan)
        if broken:
            raise ValueError(f"only a plan that keeps all rules can be explained; {broken[0]}")
        self.workload = workload
        self.market = Market(workload)
        self.jobs_in: Sequence[tuple[str, ...]] = [work.jobs for work in plan.work]
        self.left_off = [work.left_off for work in plan.work]
        self.plan = plan_of(workload, self.jobs_in, plan.units, self.left_off)
        self.cost = cost(workload, self.plan)
        self.at = {job: place for place, jobs in enumerate(self.jobs_in) for job in jobs}
        self.followers: dict[str, list[str]] = {}
        for job in workload.jobs:
            if job.id in self.at:
                for name in job.after:
                    self.followers.setdefault(name, []).append(job.id)

    def change_to(self, plan: Plan) -> Cost:
        """What another plan costs on top of this one."""
        return difference(self.cost, cost(self.workload, plan))

    def with_jobs_at(self, places: Mapping[str, int], *, in_time: bool = True) -> Plan | Obstacle:
        """The plan with these jobs in these stints, whether they were in it or not.

        Parts that are short are bought as cheaply as is found; what that makes needless is taken back.
        With ``in_time`` false the stints are taken to be long enough, so that this alone may be broken.

        Returns
        -------
        Plan or Obstacle
            The first thing that stands in the way.
        """
        jobs_in = [[job for job in jobs if job not in places] for jobs in self.jobs_in]
        for job, place in places.items():
            jobs_in[place].append(job)
        at = {**self.at, **places}
        for job_id, place in places.items():
            why = self._why_not_at(job_id, place, at) or self._too_long(place, jobs_in)
            if why is not None and (in_time or why.kind != "room"):
                return why
        needs = needs_of(self.workload, jobs_in)
        units = self.market.covered(needs, self.plan.units)
        if units is None:
            return Obstacle("parts", "its parts can't be there by then")
        return plan_of(self.workload, jobs_in, units, self.left_off)

    def _why_not_at(self, job_id: str, place: int, at: Mapping[str, int]) -> Obstacle | None:
        workload = self.workload
        job, stint = workload.job[job_id], workload.stints[place]
        if job.last_day is not None and stint.date > job.last_day:
            return Obstacle("last day", "that is after its last day")
        if job.held_to not in (None, stint.key):
            return Obstacle("held", "it is held to another stint")
        for name in job.after:
            if name not in at:
                return Obstacle("after", f"{name}, which comes before it, is left")
            if at[name] > place:
                done = stint_in_words(workload, at[name])
                return Obstacle("after", f"{name}, which comes before it, is done {done}")
        for name in self.followers.get(job_id, ()):
            if at[name] < place:
                done = stint_in_words(workload, at[name])
                return Obstacle("after", f"{name}, which comes after it, is done {done}")
        for name in workload.tools_for([job_id], workload.opened_for([job_id])):
            tool = workload.tool[name]
            if not tool.have and tool.hire is None and tool.buy is None:
                return Obstacle("tool", f"the tool {name} can't be had")
        return None

    def _too_long(self, place: int, jobs_in: Sequence[Sequence[str]]) -> Obstacle | None:
        used = plan_of(self.workload, jobs_in, {}, self.left_off).minutes_in(self.workload, place)
        short = used - self.workload.stints[place].minutes
        if short <= 0:
            return None
        return Obstacle("room", f"the work would be {short} minutes too long", short)

    def with_parts_by(self, job_id: str, part: str, place: int) -> Plan | None:
        """The plan with the pieces of one part for a job there by an earlier stint; None where nobody can.

        The job itself stays where it is.
        """
        needs = needs_of(self.workload, self.jobs_in)
        own = self.workload.job[job_id].parts[part]
        needs[self.at[job_id]][part] -= own
        needs[place][part] += own
        return self._with_units(self.market.covered(needs, self.plan.units))

    def bought_otherwise(self, units: Mapping[str, int], barred: Collection[str]) -> Plan | None:
        """The plan with these units instead, and what is then short bought without the barred offers."""
        needs = needs_of(self.workload, self.jobs_in)
        return self._with_units(self.market.covered(needs, units, barred))

    def with_units(self, units: Mapping[str, int]) -> Plan | None:
        """The plan with just these units instead; None where pieces would be short."""
        needs = needs_of(self.workload, self.jobs_in)
        return self._with_units(units) if self.market.first_short(needs, units) is None else None

    def _with_units(self, units: Mapping[str, int] | None) -> Plan | None:
        return None if units is None else plan_of(self.workload, self.jobs_in, units, self.left_off)
