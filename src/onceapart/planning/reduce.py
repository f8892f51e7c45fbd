"""The planning problem made small before any solver sees it: what can't matter is left out, what always
goes together is put together. Nothing here loses the best plan, nor one that ties with it.

* A job keeps only the stints it can stand in: not before its parts can have come, not after its last day,
  the one that it is held to.
* Access and aftercare that only one job needs become part of that job; those that the same jobs need
  become one *set-up*, paid once in a stint however many of them are done in it.
* An offer is dropped where others do its work for strictly less money and no later.
"""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass, replace
from functools import cached_property

from onceapart.planning.workload import Offer, Workload


@dataclass(frozen=True)
class ReducedJob:
    """A job that can be done. ``first`` and ``last`` are positions of stints, both allowed."""

    id: str
    is_must: bool
    minutes: int
    price: int
    worth: int
    first: int
    last: int
    parts: tuple[tuple[str, int], ...]
    after: tuple[int, ...]


@dataclass(frozen=True)
class SetUp:
    """Access and aftercare needed by two jobs or more: minutes and price, once a stint.

    ``alone``: it is kept by itself and never put into the patterns of a block, since what is left off
    between stints decides on it too.
    """

    jobs: tuple[int, ...]
    minutes: int
    price: int
    alone: bool = False


@dataclass(frozen=True)
class Stand:
    """Access that may be left off between stints. Everything is named by position."""

    id: str
    car: str
    setup: int
    """The set-up that stands for its use: of no minutes, since they hang on what is left off."""
    minutes_off: int
    minutes_on: int
    under: tuple[int, ...]
    """Other such access that must be left off as well."""
    cares: tuple[int, ...]
    """Set-ups that follow where it goes on again."""
    tools: tuple[int, ...]
    over: tuple[bool, ...]
    """For each stint whether it may be left off at its end."""
    is_off_now: bool


@dataclass(frozen=True)
class ReducedTool:
    """A tool that is not there, and the jobs that need it."""

    id: str
    hire: int | None
    buy: int | None
    jobs: tuple[int, ...]


@dataclass(frozen=True)
class ReducedOffer:
    """An offer worth thinking about. ``useful`` units can serve jobs; ``extra`` can only fill up an order.

    ``parts`` are the pieces in one unit of the parts that jobs need; ``at`` is the first stint that its
    pieces can be used in.
    """

    id: str
    seller: str
    price: int
    parts: tuple[tuple[str, int], ...]
    pieces: int
    at: int
    useful: int
    extra: int
    limit: int | None


@dataclass(frozen=True)
class Reduced:
    """The reduced problem. Jobs, set-ups, tools and stints are named by position from here on."""

    workload: Workload
    jobs: tuple[ReducedJob, ...]
    setups: tuple[SetUp, ...]
    tools: tuple[ReducedTool, ...]
    offers: tuple[ReducedOffer, ...]
    stands: tuple[Stand, ...]
    cannot: tuple[tuple[str, str], ...]
    """Jobs that can't be done in any plan, each with the reason in words."""

    @cached_property
    def room(self) -> tuple[int, ...]:
        """Minutes of each stint."""
        return tuple(stint.minutes for stint in self.workload.stints)

    @cached_property
    def days(self) -> tuple[int, ...]:
        """Days from today to each stint."""
        return tuple((stint.date - self.workload.today).days for stint in self.workload.stints)

    @cached_property
    def demand(self) -> dict[str, dict[int, int]]:
        """Pieces of each part that each job uses."""
        need: dict[str, dict[int, int]] = defaultdict(dict)
        for at, job in enumerate(self.jobs):
            for part, pieces in job.parts:
                need[part][at] = pieces
        return dict(need)

    @property
    def impossible(self) -> tuple[str, ...]:
        """Why a job that must be done can't be, for each such job."""
        return tuple(why for job, why in self.cannot if self.workload.job[job].is_must)


def reduce_workload(workload: Workload) -> Reduced:
    """Leave out what can't matter and put together what always goes together."""
    spans, cannot = _spans(workload)
    kept = [job for job in workload.jobs if job.id in spans]
    place = {job.id: at for at, job in enumerate(kept)}
    own_minutes = {job.id: job.minutes for job in kept}
    own_price = dict.fromkeys(own_minutes, 0)
    users: dict[tuple[str, str], list[int]] = defaultdict(list)
    tool_users: dict[str, list[int]] = defaultdict(list)
    for job in kept:
        opened = workload.opened_for([job.id])
        for name in opened:
            users["stand" if name in workload.standing else "access", name].append(place[job.id])
        opened = fixed_access(workload, opened)
        for name in workload.aftercare_for([job.id], opened):
            users["aftercare", name].append(place[job.id])
        for name in workload.tools_for([job.id], opened):
            if not workload.tool[name].have:
                tool_users[name].append(place[job.id])
    standing = [name for name in workload.standing if name in workload.off_now or users["stand", name]]
    followed = {care for name in standing for care in workload.access_by_id[name].aftercare}
    for name in standing:
        for tool in workload.access_by_id[name].tools:
            if not workload.tool[tool].have:
                tool_users[tool] += []
    grouped: dict[tuple[int, ...], list[int]] = {}
    for (kind, name), jobs in sorted(users.items()):
        if kind == "stand" or (kind == "aftercare" and name in followed):
            continue
        if kind == "access":
            minutes, price = workload.access_by_id[name].minutes, 0
        else:
            care = workload.aftercare_by_id[name]
            minutes, price = care.minutes, care.price
        if len(jobs) == 1:
            own_minutes[kept[jobs[0]].id] += minutes
            own_price[kept[jobs[0]].id] += price
        elif minutes or price:
            sums = grouped.setdefault(tuple(jobs), [0, 0])
            sums[0] += minutes
            sums[1] += price
    jobs_reduced = tuple(
        ReducedJob(
            id=job.id,
            is_must=job.is_must,
            minutes=own_minutes[job.id],
            price=own_price[job.id],
            worth=job.worth,
            first=spans[job.id][0],
            last=spans[job.id][1],
            parts=tuple(sorted((part, n) for part, n in job.parts.items() if n)),
            after=tuple(sorted({place[name] for name in job.after})),
        )
        for job in kept
    )
    tools = tuple(
        ReducedTool(name, workload.tool[name].hire, workload.tool[name].buy, tuple(jobs))
        for name, jobs in sorted(tool_users.items())
    )
    offers = _worthwhile_offers(workload, jobs_reduced)
    setups = [SetUp(jobs, minutes, price) for jobs, (minutes, price) in sorted(grouped.items())]
    care_at = {}
    for name in sorted(followed):
        care = workload.aftercare_by_id[name]
        care_at[name] = len(setups)
        setups.append(SetUp(tuple(users["aftercare", name]), care.minutes, care.price, alone=True))
    tool_at = {tool.id: at for at, tool in enumerate(tools)}
    stands = []
    for name in standing:
        access, car = workload.access_by_id[name], workload.standing[name]
        stands.append(
            Stand(
                id=name,
                car=car,
                setup=len(setups),
                minutes_off=access.minutes_off,
                minutes_on=access.minutes - access.minutes_off,
                under=tuple(standing.index(under) for under in access.under),
                cares=tuple(sorted({care_at[care] for care in access.aftercare})),
                tools=tuple(sorted({tool_at[tool] for tool in access.tools if tool in tool_at})),
                over=tuple(workload.may_stand_over(car, at) for at in range(len(workload.stints))),
                is_off_now=name in workload.off_now,
            )
        )
        setups.append(SetUp(tuple(users["stand", name]), 0, 0, alone=True))
    return Reduced(
        workload=workload,
        jobs=jobs_reduced,
        setups=tuple(setups),
        tools=tools,
        offers=offers,
        stands=tuple(stands),
        cannot=tuple(cannot.items()),
    )


def fixed_access(workload: Workload, opened: Iterable[str]) -> tuple[str, ...]:
    """What of these accesses goes off and on within a stint, always."""
    return tuple(name for name in opened if name not in workload.standing)


def _spans(workload: Workload) -> tuple[dict[str, tuple[int, int]], dict[str, str]]:
    """First and last stint each job can stand in; and why not, for jobs that can stand in none."""
    stints = workload.stints
    arrivals: dict[str, list[tuple[int, Offer]]] = defaultdict(list)
    for offer in workload.offers:
        for part in offer.parts:
            arrivals[part].append((_first_stint_from(workload, offer), offer))
    span: dict[str, tuple[int, int]] = {}
    cannot: dict[str, str] = {}
    for job in workload.jobs:
        last = sum(job.last_day is None or stint.date <= job.last_day for stint in stints) - 1
        first, why = 0, ""
        if last < 0:
            why = f"{job.id} has no stint on or before its last day {job.last_day}" if stints else "no stints"
        held = next((at for at, stint in enumerate(stints) if stint.key == job.held_to), None)
        if held is not None:
            if held > last and not why:
                why = f"{job.id} is held to {stints[held].label}, after its last day {job.last_day}"
            first = last = held
        elif job.held_to is not None and not why:
            why = f"{job.id} is held to a stint that is not there"
        for part, pieces in job.parts.items():
            at = _first_with_pieces(pieces - workload.shelf.get(part, 0), part, arrivals[part], len(stints))
            if at > last and not why:
                why = _why_parts_late(workload, job.id, part, pieces, arrivals[part])
                if held is not None:
                    why = f"{job.id} is held to {stints[held].label}; {why}"
            first = max(first, at)
        opened = workload.opened_for([job.id])
        for name in workload.tools_for([job.id], opened):
            tool = workload.tool[name]
            if not tool.have and tool.hire is None and tool.buy is None:
                why = (
                    why or f"{job.id} needs the tool {name}, which is neither there nor to be hired or bought"
                )
        opened = fixed_access(workload, opened)
        alone = workload.minutes_of([job.id], opened, workload.aftercare_for([job.id], opened))
        fits = [at for at in range(first, last + 1) if stints[at].minutes >= alone]
        if fits:
            first, last = fits[0], fits[-1]
        elif not why:
            longest = max(stints[at].minutes for at in range(first, last + 1))
            why = (
                f"{job.id} takes {alone} minutes on its own, the longest stint it can stand in has {longest}"
            )
        if why:
            cannot[job.id] = why
        else:
            span[job.id] = (first, last)
    _follow_order(workload, span, cannot)
    return span, cannot


def _follow_order(workload: Workload, span: dict[str, tuple[int, int]], cannot: dict[str, str]) -> None:
    """Carry what ``after`` says through the spans, until nothing changes."""
    changed = True
    while changed:
        changed = False
        for job in workload.jobs:
            if job.id not in span:
                continue
            first, last = span[job.id]
            for name in job.after:
                if name not in span:
                    cannot[job.id] = f"{job.id} comes after {name}, which can't be done: {cannot[name]}"
                    break
                first = max(first, span[name][0])
                if job.is_must and span[name][1] > last:
                    span[name] = (span[name][0], last)
                    changed = True
                    if span[name][0] > last:
                        cannot[name] = (
                            f"{name} must be done before {job.id}, whose last stint is "
                            f"{workload.stints[last].label}; it can be done from "
                            f"{workload.stints[span[name][0]].label}"
                        )
                        del span[name]
                        break
            if job.id not in cannot and first > last:
                cannot[job.id] = (
                    f"{job.id} can't be done by {workload.stints[last].label}: what it comes after "
                    f"can be done from {workload.stints[first].label} at the earliest"
                )
            if job.id in cannot:
                del span[job.id]
                changed = True
            elif first != span[job.id][0]:
                span[job.id] = (first, last)
                changed = True


def _first_stint_from(workload: Workload, offer: Offer) -> int:
    """Position of the first stint an offer's pieces can be used in; past the end where there is none."""
    return sum(stint.date < offer.arrives for stint in workload.stints)


def _first_with_pieces(short: int, part: str, arrivals: list[tuple[int, Offer]], n_stints: int) -> int:
    """First stint by which ``short`` pieces of a part can have come, whatever they cost."""
    if short <= 0:
        return 0
    for at, offer in sorted(arrivals, key=lambda pair: pair[0]):
        if offer.limit is None:
            return at
        short -= offer.limit * offer.parts[part]
        if short <= 0:
            return at
    return n_stints


def _why_parts_late(
    workload: Workload, job_id: str, part: str, pieces: int, arrivals: list[tuple[int, Offer]]
) -> str:
    last = workload.job[job_id].last_day
    if not arrivals:
        return f"nobody sells {part}, of which {job_id} needs {pieces}"
    soonest = min(offer.arrives for _, offer in arrivals)
    by = f"on or before {last}" if last else "at all"
    return f"{pieces} of {part} for {job_id} can be here from {soonest} on; no stint {by} has them all"


def _worthwhile_offers(workload: Workload, jobs: tuple[ReducedJob, ...]) -> tuple[ReducedOffer, ...]:
    total: dict[str, int] = defaultdict(int)
    for job in jobs:
        for part, pieces in job.parts:
            total[part] += pieces
    offers = []
    for offer in workload.offers:
        seller = workload.seller[offer.seller]
        at = _first_stint_from(workload, offer)
        parts = tuple(sorted((part, n) for part, n in offer.parts.items() if total.get(part)))
        useful = 0
        if parts and at < len(workload.stints):
            useful = max(math.ceil(total[part] / n) for part, n in parts)
        extra = 0
        if seller.free_from is not None and seller.delivery > offer.price:
            # Filling an order up to free delivery pays only while it costs less than the delivery.
            cap = math.ceil(seller.free_from / offer.price) if offer.price else 0
            extra = min(cap, (seller.delivery - 1) // offer.price if offer.price else 0)
        if offer.limit is not None:
            useful, extra = min(useful, offer.limit), min(extra, offer.limit)
        if useful or extra:
            pieces = sum(offer.parts.values())
            offers.append(
                ReducedOffer(
                    offer.id, offer.seller, offer.price, parts, pieces, at, useful, extra, offer.limit
                )
            )
    return tuple(offer for offer in (_without_beaten(workload, offers, total)) if offer.useful or offer.extra)


def _without_beaten(
    workload: Workload, offers: list[ReducedOffer], total: dict[str, int]
) -> list[ReducedOffer]:
    """Take the useful units from offers that others replace for strictly less money and no later.

    Replacing may cost the seller's free delivery, so that much is added to what the others cost; they
    must have no limit, and be at the same seller or at one without delivery. Strictly less, so that no
    plan that ties with the best is lost.
    """
    single: dict[str, list[ReducedOffer]] = defaultdict(list)
    for offer in offers:
        if offer.useful and offer.limit is None and len(offer.parts) == 1:
            single[offer.parts[0][0]].append(offer)
    kept = []
    for offer in offers:
        seller = workload.seller[offer.seller]
        at_risk = seller.delivery if seller.free_from is not None else 0
        instead = 0.0
        for part, n in offer.parts:
            pieces = min(n, total[part])
            costs = [
                math.ceil(pieces / other.parts[0][1]) * other.price
                for other in single[part]
                if other is not offer
                and other.at <= offer.at
                and (other.seller == offer.seller or not workload.seller[other.seller].delivery)
            ]
            instead += min(costs, default=math.inf)
        beaten = bool(offer.useful) and instead + at_risk < offer.price
        kept.append(replace(offer, useful=0, parts=()) if beaten else offer)
    return kept
