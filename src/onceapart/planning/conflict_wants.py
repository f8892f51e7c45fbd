"""What a workload wants, one by one, and the workload with only some of its wants kept.

Rules that a person can do nothing about (what must come off first, aftercare, how long a job takes, the
dates of the stints) are no wants: they hold in every copy. Prices are left out of copies, since money can't
make a plan impossible.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection
from dataclasses import dataclass, replace
from enum import StrEnum

from onceapart.planning.workload import Job, Offer, Seller, Workload


class WantKind(StrEnum):
    """What is wanted. The name of the want is a job, a part or a tool; a stint has its position as name."""

    TOOL = "tool"
    """The tool, neither there nor to be hired or bought, is not to be got from elsewhere."""
    AMOUNT = "amount"
    """No more pieces of the part than are on the shelf and the limits of the offers allow."""
    ORDER = "order"
    """The job is done in the same stint as ``before`` or later."""
    ARRIVAL = "arrival"
    """Pieces of the part are not used before they arrive."""
    LAST_DAY = "last day"
    """The job is done on its last day or before."""
    LENGTH = "length"
    """The work of the stint fits its minutes."""
    MUST = "must"
    """The job is done."""


@dataclass(frozen=True)
class Want:
    """One thing wanted: a job done, a date or an order kept, a stint's length, a part's or tool's supply."""

    kind: WantKind
    name: str
    before: str = ""
    """For an order only: the job that is done first."""

    @property
    def stint(self) -> int:
        """Position of the stint whose length is meant."""
        return int(self.name)


def wants_of(workload: Workload) -> tuple[Want, ...]:
    """Everything wanted, the wants that explain most in the fewest words first.

    What keeps a single job from being done (a tool, a part) comes before what makes jobs compete (dates and
    minutes); jobs that must be done come last, long ones before short ones, so that few of them are kept.
    """
    demand = pieces_needed(workload.jobs)
    sold = {part for offer in workload.offers for part in offer.parts}
    parts = [part for part in sorted(demand) if demand[part]]
    alone = {job.id: minutes_together(workload, [job.id]) for job in workload.jobs}
    return (
        *(Want(WantKind.TOOL, tool.id) for tool in workload.tools if is_out_of_reach(workload, tool.id)),
        *(Want(WantKind.AMOUNT, part) for part in parts),
        *(
            Want(WantKind.ORDER, job.id, before)
            for job in workload.jobs
            for before in dict.fromkeys(job.after)
        ),
        *(Want(WantKind.ARRIVAL, part) for part in parts if part in sold),
        *(Want(WantKind.LAST_DAY, job.id) for job in workload.jobs if job.last_day is not None),
        *(Want(WantKind.LENGTH, str(at)) for at in range(len(workload.stints))),
        *(
            Want(WantKind.MUST, job.id)
            for job in sorted(workload.jobs, key=lambda job: -alone[job.id])
            if job.is_must
        ),
    )


def is_out_of_reach(workload: Workload, tool_id: str) -> bool:
    """Whether a tool is neither there nor to be hired or bought."""
    tool = workload.tool[tool_id]
    return not tool.have and tool.hire is None and tool.buy is None


def pieces_needed(jobs: Collection[Job]) -> dict[str, int]:
    """Pieces of each part that the jobs use together."""
    demand: dict[str, int] = defaultdict(int)
    for job in jobs:
        for part, pieces in job.parts.items():
            demand[part] += pieces
    return dict(demand)


def offers_by_part(workload: Workload) -> dict[str, list[Offer]]:
    """The offers that hold each part, in the workload's order."""
    selling: dict[str, list[Offer]] = defaultdict(list)
    for offer in workload.offers:
        for part, pieces in offer.parts.items():
            if pieces:
                selling[part].append(offer)
    return selling


def minutes_together(workload: Workload, job_ids: Collection[str]) -> int:
    """Minutes of doing these jobs in one stint, all access and aftercare counted once."""
    opened = workload.opened_for(job_ids)
    return workload.minutes_of(job_ids, opened, workload.aftercare_for(job_ids, opened))


def jobs_behind(workload: Workload, job_ids: Collection[str]) -> tuple[str, ...]:
    """These jobs and all that has to be done with them by ``after``, in the workload's order."""
    seen = set(job_ids)
    waiting = list(job_ids)
    while waiting:
        for before in workload.job[waiting.pop()].after:
            if before not in seen:
                seen.add(before)
                waiting.append(before)
    return tuple(job.id for job in workload.jobs if job.id in seen)


def only(workload: Workload, kept: Collection[Want]) -> Workload:
    """The workload with all wants but these let go; with all of them kept, as possible as it is.

    Returns
    -------
    Workload
        Jobs, access, tools and stints have their ids and places. Kits are split into offers of one part
        each, and nothing costs anything: whether there is a plan does not hang on that.
    """
    named = {(want.kind, want.name) for want in kept}
    orders = {(want.name, want.before) for want in kept if want.kind is WantKind.ORDER}
    jobs = tuple(
        replace(
            job,
            is_must=job.is_must and (WantKind.MUST, job.id) in named,
            worth=0,
            last_day=job.last_day if (WantKind.LAST_DAY, job.id) in named else None,
            after=tuple(before for before in job.after if (job.id, before) in orders),
        )
        for job in workload.jobs
    )
    everything = minutes_together(workload, [job.id for job in workload.jobs])
    demand = pieces_needed(workload.jobs)
    offers_of = offers_by_part(workload)
    shelf = dict(workload.shelf)
    offers: list[Offer] = []
    for part, pieces in sorted(demand.items()):
        any_amount = (WantKind.AMOUNT, part) not in named
        at_once = (WantKind.ARRIVAL, part) not in named
        selling = offers_of.get(part, [])
        if any_amount and (at_once or not selling):
            shelf[part] = max(shelf.get(part, 0), pieces)
            continue
        for offer in selling:
            most = pieces
            if offer.limit is not None and not any_amount:
                most = min(most, offer.limit * offer.parts[part])
            if at_once:
                shelf[part] = shelf.get(part, 0) + most
            elif most:
                offers.append(Offer(f"{offer.id}/{part}", "any", {part: 1}, 0, offer.arrives, most))
    return replace(
        workload,
        hour_worth=0,
        jobs=jobs,
        aftercare=tuple(replace(care, price=0) for care in workload.aftercare),
        tools=tuple(
            replace(
                tool,
                have=not is_out_of_reach(workload, tool.id) or (WantKind.TOOL, tool.id) not in named,
                hire=None,
                buy=None,
            )
            for tool in workload.tools
        ),
        shelf=shelf,
        sellers=(Seller("any", "Any", 0),),
        offers=tuple(offers),
        stints=tuple(
            stint
            if (WantKind.LENGTH, str(at)) in named
            else replace(stint, minutes=max(stint.minutes, everything))
            for at, stint in enumerate(workload.stints)
        ),
    )
