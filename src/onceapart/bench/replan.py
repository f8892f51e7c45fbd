"""What is left of a workshop once work has begun, ready for the ordinary planning.

What is done is done, what is off must go on again, pieces used are gone, orders placed are paid and on their
way, time that is over is over. Ways chosen for snags and stopgaps to make good are in it.
"""

from __future__ import annotations

import datetime as dt
from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from onceapart.bench.release_work import Work, work_of
from onceapart.bench.replan_done import DoneWork, done_work
from onceapart.bench.replan_jobs import LeftJobs, jobs_gone, jobs_left, made_good_anew, with_make_good
from onceapart.bench.replan_money import Spent, spent_of
from onceapart.bench.replan_stints import stints_left
from onceapart.bench.replan_stock import (
    SPOILT_BY,
    Coming,
    Order,
    Stock,
    orders_noted,
    orders_planned,
    stock_of,
)
from onceapart.bench.state import State
from onceapart.planning.cost import cost, delivery_of, goods_by_seller, time_worth
from onceapart.planning.plan import Plan
from onceapart.planning.workload import Workload, workload_from
from onceapart.trade import Recipe
from onceapart.trade.jobs import car_of
from onceapart.trade.snag_ways import all_ways
from onceapart.workshop import Access, Offer, Seller, Stint, Workshop

ON_ITS_WAY, ANOTHER_DAY = "on-its-way", "another-day"
"""Sellers that stand for what is paid already, and for jobs that were put off to another day."""
PRETENDED = frozenset({ON_ITS_WAY, ANOTHER_DAY})


@dataclass(frozen=True)
class Left:
    """What is left: a workshop and its workload, and what was there before.

    ``workload`` says besides what is off now. Orders on their way stand in both as offers of ``ON_ITS_WAY``
    that cost nothing; jobs put off ask for a piece that ``ANOTHER_DAY`` has from then on.
    """

    workshop: Workshop
    workload: Workload
    work: Work
    """The workshop as it was, stopgaps' jobs included."""
    spent: Spent
    orders: tuple[Order, ...]
    stock: Stock
    jobs: LeftJobs
    done: DoneWork
    now: dt.datetime
    worth_done: int = 0
    """Worth of the upkeep and wishes that are done. [minor units]"""
    notes: tuple[str, ...] = ()
    """What was taken for granted, to be said to a person."""

    def paid_again(self, plan: Plan) -> int:
        """Hire in a plan of the workload that was paid already, for stints that had begun. [minor units]"""
        return sum(
            self.spent.hired.get((stint.date, stint.id), {}).get(tool, 0)
            for stint, work in zip(self.workload.stints, plan.work, strict=True)
            for tool in work.hire
        )

    def money_in_all(self, plan: Plan) -> int:
        """What is spent already and what a plan of the workload spends, nothing twice. [minor units]"""
        return self.spent.money + cost(self.workload, plan).money - self.paid_again(plan)

    def total_in_all(self, plan: Plan) -> int:
        """Money, and time at what it is worth, less the worth of upkeep and wishes, those done included.

        In whole minor units.
        """
        price = cost(self.workload, plan)
        time = time_worth(self.spent.minutes + price.minutes, self.workload.hour_worth)
        return self.money_in_all(plan) + time - price.worth - self.worth_done


def replanned(
    workshop: Workshop,
    state: State,
    plan: Plan | None,
    now: dt.datetime,
    *,
    recipes: Iterable[Recipe] = (),
    plan_day: dt.date | None = None,
    minutes_left: Mapping[str, int] | None = None,
) -> Left:
    """What is left of a workshop, to be planned anew.

    Parameters
    ----------
    workshop : Workshop
        As ``apply_recipes`` returns it. Its shelf is what was there when all began.
    state : State
        From the record, folded with the job steps of this workshop.
    plan : Plan, optional
        The plan that was followed, of the workshop's own workload: its tools were hired, and as long as the
        record notes no order at all, its orders are taken as placed.
    now : datetime
        Orders are placed on that day; what is left of today's stints counts from that time.
    recipes : iterable of Recipe, optional
        The recipes of one's own that it was applied with.
    plan_day : date, optional
        The day the plan's orders were placed, where the workshop names none.
    minutes_left : mapping, optional
        Stint -> minutes left of it, by its id or date, where they are not those that clock or ticks say.

    Returns
    -------
    Left
        Its workload is an ordinary one: ``best_plan`` and all else take it.

    Raises
    ------
    ValueError
        A job has no minutes, or there is a plan and no day it was made on.
    """
    day = now.date()
    whole, added = with_make_good(workshop, state, day)
    work = work_of(whole, recipes)
    state = replace(state, job_steps={**state.job_steps, **work.job_steps})
    first_day = workshop.today or plan_day
    if plan is not None and first_day is None:
        raise ValueError("no day the plan was made on: give `today` in the workshop file, or `plan_day`")
    old = workload_from(workshop, first_day) if plan is not None else None
    orders = _orders(old, plan, state)
    done = done_work(work, state)
    stock = _stock(work, state, orders, day)
    sold = frozenset(
        {part for offer in workshop.offers for part in offer.parts}
        | {*stock.shelf}
        | {part for one in stock.coming for part in one.parts}
    )
    jobs = jobs_left(work, state, done, stock.shelf, sold, day)
    stints = stints_left(work.workshop, state, done, now, minutes_left or {})
    off, more_access, off_notes = _off_now(work, state)
    if not off:
        stints = tuple(stint for stint in stints if stint.minutes)
    later = {
        job: date
        for job, date in jobs.not_before.items()
        if date > day and any(one.id == job for one in jobs.jobs)
    }
    left = _workshop_left(work.workshop, jobs, stock, stints, more_access, later, day, _tools(state, orders))
    left = _no_second_delivery(_no_more_than_there_are(left, orders), orders, day)
    workload = replace(workload_from(left), off_now=off)
    return Left(
        workshop=left,
        workload=workload,
        work=work,
        spent=spent_of(work, state, old, plan, orders, stock, done, workload, day),
        orders=orders,
        stock=stock,
        jobs=replace(jobs, added=(*added, *jobs.added)),
        done=done,
        now=now,
        worth_done=sum(work.jobs[job].worth for job in jobs.done if not work.jobs[job].need.is_must),
        notes=(*off_notes, *jobs.notes, *_stock_notes(stock), *_late_stopgaps(state)),
    )


def real_units(workload: Workload, plan: Plan) -> dict[str, int]:
    """Units of the offers that a plan buys, without those that are on their way already."""
    return {name: units for name, units in plan.units.items() if workload.offer[name].seller not in PRETENDED}


def _orders(old: Workload | None, plan: Plan | None, state: State) -> tuple[Order, ...]:
    if state.ordered or plan is None or old is None:
        return orders_noted(state.ordered)
    fees = {seller: delivery_of(old, seller, goods) for seller, goods in goods_by_seller(old, plan).items()}
    return orders_planned(old, plan, fees)


def _stock(work: Work, state: State, orders: Sequence[Order], day: dt.date) -> Stock:
    used = Counter[str]()
    for job in (*jobs_gone(work, state), *made_good_anew(state)):
        if job in work.jobs:
            used.update(work.jobs[job].parts)
    for snag in state.snags:
        used.update(_pieces_of_ways(snag, work))
    spoilt = [one.opened for one in state.snags if one.opened.snag in SPOILT_BY and one.opened.part]
    return stock_of(work.workshop.shelf, orders, state.arrived, spoilt, used, day)


def _pieces_of_ways(snag: object, work: Work) -> Counter[str]:
    """A new fastener that went in by a way which is done."""
    opened, ways = getattr(snag, "opened"), getattr(snag, "ways")  # noqa: B009
    if getattr(snag, "is_open") or not ways or opened.part is None:  # noqa: B009
        return Counter()
    way = all_ways().get(ways[-1].way)
    job = work.jobs.get(opened.job or "")
    is_new = way is not None and way.takes_new and not (job and opened.part in job.parts)
    return Counter({opened.part: 1} if is_new and opened.snag not in SPOILT_BY else {})


def _off_now(work: Work, state: State) -> tuple[frozenset[str], tuple[Access, ...], tuple[str, ...]]:
    """What is off, with all that must be off for it; access that the file no longer names; what to say."""
    known = {one.id: one.under for one in work.workshop.access}
    more, notes = dict[str, Access](), list[str]()
    waiting = [*state.off, *(name for name in state.raised if name in known)]
    found: set[str] = set()
    while waiting:
        name = waiting.pop(0)
        if name in found:
            continue
        if name not in known:
            of = car_of(work.workshop, name)
            fitted = work.access(name, of.id) if of else None
            if fitted is None:
                notes.append(
                    f"{name} is off, and neither the file nor the library says what it is; put it on again"
                )
                continue
            cares = tuple(one for one in fitted.aftercare if one in {c.id for c in work.workshop.aftercare})
            more[name] = Access(
                id=name, minutes=fitted.work.minutes.typical, under=fitted.under, aftercare=cares
            )
            known[name] = fitted.under
        found.add(name)
        waiting += known[name]
    more = {name: one for name, one in more.items() if name in found}
    return frozenset(found), tuple(more.values()), tuple(notes)


def _tools(state: State, orders: Iterable[Order]) -> dict[str, bool]:
    """Tools that are had now though the file does not say so, or are not though it does."""
    found = {one.tool: True for one in orders if one.tool}
    for snag in state.snags:
        tool = snag.opened.tool
        if tool is None or snag.opened.snag != "missing tool":
            continue
        way = all_ways().get(snag.ways[-1].way) if snag.ways else None
        act = way.act if way else ""
        if act in ("borrow", "buy"):
            found[tool] = True
        elif snag.is_open:
            found[tool] = False
    return found


def _workshop_left(
    workshop: Workshop,
    jobs: LeftJobs,
    stock: Stock,
    stints: tuple[Stint, ...],
    more_access: tuple[Access, ...],
    later: Mapping[str, dt.date],
    day: dt.date,
    tools: Mapping[str, bool],
) -> Workshop:
    shelf = Counter(stock.shelf)
    shelf.subtract(jobs.reserved)
    offers = [*workshop.offers, *_on_their_way(stock.coming, day)]
    left = []
    for job in jobs.jobs:
        if job.id in later:
            token = f"{ANOTHER_DAY}/{job.id}"[:100]
            job = job.model_copy(update={"parts": {**job.parts, token: 1}})
            offers.append(
                Offer(
                    id=token, seller=ANOTHER_DAY, title=f"Another day for {job.id}"[:200], parts={token: 1},
                    price=0, limit=1, days=(later[job.id] - day).days,
                )
            )  # fmt: skip
        left.append(job)
    sellers = [*workshop.sellers]
    for name, title in ((ON_ITS_WAY, "On its way, paid"), (ANOTHER_DAY, "Put off")):
        if any(offer.seller == name for offer in offers):
            sellers.append(Seller(id=name, name=title, delivery=0, days=0))
    return workshop.model_copy(
        update={
            "today": day,
            "shelf": {part: pieces for part, pieces in sorted(shelf.items()) if pieces > 0},
            "tools": tuple(
                one.model_copy(update={"have": tools[one.id]}) if one.id in tools else one
                for one in workshop.tools
            ),
            "access": (*workshop.access, *more_access),
            "jobs": tuple(left),
            "sellers": tuple(sellers),
            "offers": tuple(offers),
            "stints": stints,
        }
    )


def _on_their_way(coming: Iterable[Coming], day: dt.date) -> list[Offer]:
    return [
        Offer(
            id=f"{ON_ITS_WAY}/{at}",
            seller=ON_ITS_WAY,
            title=f"{one.order.offer or 'An order'}, ordered already"[:200],
            parts=dict(one.parts),
            price=0,
            limit=1,
            days=(one.order.arrives - day).days,
        )
        for at, one in enumerate(coming, start=1)
    ]


def _no_more_than_there_are(workshop: Workshop, orders: Iterable[Order]) -> Workshop:
    """Of an offer that is limited, what was ordered can't be ordered again."""
    units = Counter[str]()
    for one in orders:
        units[one.offer or ""] += one.units
    offers = tuple(
        one.model_copy(update={"limit": max(0, one.limit - units[one.id])})
        if one.limit is not None and one.seller not in PRETENDED
        else one
        for one in workshop.offers
    )
    return workshop.model_copy(update={"offers": offers})


def _no_second_delivery(workshop: Workshop, orders: Iterable[Order], day: dt.date) -> Workshop:
    """What is ordered today goes into today's parcel, whose delivery is paid."""
    today = {one.seller for one in orders if one.placed == day and one.seller}
    sellers = tuple(
        one.model_copy(update={"delivery": 0, "free_from": None}) if one.id in today else one
        for one in workshop.sellers
    )
    return workshop.model_copy(update={"sellers": sellers})


def _stock_notes(stock: Stock) -> Iterator[str]:
    due = [one.order.offer or ", ".join(one.parts) for one in stock.due]
    if due:
        yield (
            f"{', '.join(dict.fromkeys(due))}: due by now, and taken as come; say of what is not there "
            "`onceapart order FILE --late OFFER=DATE`"
        )
    for part, pieces in stock.lacking.items():
        yield f"{pieces} of {part} used that by the record were neither on the shelf nor ordered"


def _late_stopgaps(state: State) -> Iterator[str]:
    for stopgap in state.open_stopgaps():
        if state.is_job_done(stopgap.fitted.job) and stopgap.fitted.job not in made_good_anew(state):
            yield (
                f"{stopgap.fitted.job} is done, and the stopgap that it makes good "
                f"({stopgap.fitted.what}) is still open; close it"
            )
