"""What is paid already, and what standing apart has cost."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field

from onceapart.bench.release_work import Work
from onceapart.bench.replan_done import DoneWork, nights
from onceapart.bench.replan_stints import names_of
from onceapart.bench.replan_stock import Order, Stock
from onceapart.bench.state import State
from onceapart.planning.plan import Plan
from onceapart.planning.workload import Workload
from onceapart.trade.jobs import car_of


@dataclass(frozen=True)
class Spent:
    """What is paid, and worked, already. [minor units; minutes as planning counts them]

    ``hired``: tools hired for each stint that was begun, by its date and id; their prices are in ``hire``.
    """

    goods: int = 0
    delivery: int = 0
    aftercare: int = 0
    hire: int = 0
    tools: int = 0
    ways: int = 0
    off_road: int = 0
    minutes: int = 0
    hired: Mapping[tuple[dt.date, str | None], Mapping[str, int]] = field(default_factory=dict)

    @property
    def money(self) -> int:
        """All money together."""
        return (
            self.goods + self.delivery + self.aftercare + self.hire + self.tools + self.ways + self.off_road
        )


def spent_of(
    work: Work,
    state: State,
    old: Workload | None,
    plan: Plan | None,
    orders: Iterable[Order],
    stock: Stock,
    done: DoneWork,
    left: Workload,
    day: dt.date,
) -> Spent:
    """What is spent by the record, the orders and the plan that was followed.

    Parameters
    ----------
    work : Work
    state : State
    old : Workload, optional
        The workload of ``plan``.
    plan : Plan, optional
        Tools that it hires for a stint in which anything was done are paid.
    orders, stock, done
        As ``replanned`` found them.
    left : Workload
        What is left; a car that is apart stands until its first stint.
    day : date
        Today.
    """
    orders = tuple(orders)
    hired = {}
    if old is not None and plan is not None:
        for stint, planned in zip(old.stints, plan.work, strict=True):
            names = names_of(old.stints, stint.date, stint.id, done)
            if stint.date <= day and done.pieces_on(stint.date, names):
                hired[stint.date, stint.id] = {tool: old.tool[tool].hire or 0 for tool in planned.hire}
    prices = {care.id: care.price for care in work.workshop.aftercare}
    return Spent(
        goods=sum(one.price for one in orders if one.tool is None) + stock.bought,
        delivery=sum(one.delivery for one in orders),
        aftercare=sum(prices.get(care, 0) * times for care, times in done.aftercare.items()),
        hire=sum(sum(tools.values()) for tools in hired.values()),
        tools=sum(one.price for one in orders if one.tool is not None),
        ways=sum(way.price or 0 for snag in state.snags for way in snag.ways),
        off_road=_off_road(work, done, left, day),
        minutes=done.minutes,
        hired=hired,
    )


def _off_road(work: Work, done: DoneWork, left: Workload, day: dt.date) -> int:
    """Price of the nights that cars stood apart, up to the first stint that is left."""
    first = left.stints[0].date if left.stints else day
    apart = {car: set(days) for car, days in done.apart.items()}
    for name, since in done.off_since.items():
        car = car_of(work.workshop, name)
        if car is not None:
            apart.setdefault(car.id, set()).update(nights(since, first))
    price = {car.id: car.off_road for car in work.workshop.cars}
    return sum(price.get(car, 0) * len(days) for car, days in apart.items())
