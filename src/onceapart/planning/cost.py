"""What a plan costs, by the rules of the planning problem. Judges every plan, whoever made it."""

from __future__ import annotations

import datetime as dt
from collections import Counter
from dataclasses import dataclass

from onceapart.planning.plan import Aim, Plan
from onceapart.planning.workload import Workload


@dataclass(frozen=True)
class Cost:
    """Money in minor units, time in minutes; ``time`` is what the minutes are worth."""

    goods: int
    delivery: int
    aftercare: int
    hire: int
    tools: int
    minutes: int
    time: int
    worth: int
    off_road: int = 0
    """Price of the days on which cars can't be driven because something is left off."""

    @property
    def money(self) -> int:
        return self.goods + self.delivery + self.aftercare + self.hire + self.tools + self.off_road

    @property
    def total(self) -> int:
        return self.money + self.time - self.worth


def time_worth(minutes: int, hour_worth: int) -> int:
    """Minutes at what an hour is worth, rounded half up to a whole minor unit.

    >>> time_worth(90, 1200), time_worth(1, 30), time_worth(1, 29)
    (1800, 1, 0)
    """
    return (2 * minutes * hour_worth + 60) // 120


def goods_by_seller(workload: Workload, plan: Plan) -> dict[str, int]:
    """Value of the goods bought from each seller, sellers in the file's order. [minor units]"""
    goods = Counter[str]()
    for offer_id, count in plan.units.items():
        if count:
            offer = workload.offer[offer_id]
            goods[offer.seller] += count * offer.price
    return {seller.id: goods[seller.id] for seller in workload.sellers if seller.id in goods}


def delivery_of(workload: Workload, seller_id: str, goods: int) -> int:
    """Delivery for an order worth ``goods`` at this seller. [minor units]"""
    seller = workload.seller[seller_id]
    return 0 if seller.free_from is not None and goods >= seller.free_from else seller.delivery


def minutes_worked(workload: Workload, plan: Plan) -> int:
    """Minutes of all stints together."""
    return sum(plan.minutes_in(workload, at) for at in range(len(plan.work)))


def off_road_days(workload: Workload, plan: Plan) -> Counter[str]:
    """Days between stints on which each car stands with something left off."""
    days = Counter[str]()
    for at, work in enumerate(plan.work[:-1]):
        for car in {workload.standing.get(name, "") for name in work.left_off}:
            days[car] += workload.days_to_next(at)
    return days


def cost(workload: Workload, plan: Plan) -> Cost:
    """What the plan costs. The plan need not keep the rules; its ids must be the workload's."""
    goods = goods_by_seller(workload, plan)
    minutes = minutes_worked(workload, plan)
    return Cost(
        goods=sum(goods.values()),
        delivery=sum(delivery_of(workload, seller, value) for seller, value in goods.items()),
        aftercare=sum(workload.aftercare_by_id[care].price for work in plan.work for care in work.aftercare),
        hire=sum(workload.tool[tool].hire or 0 for work in plan.work for tool in work.hire),
        tools=sum(workload.tool[tool].buy or 0 for tool in plan.tools_bought),
        minutes=minutes,
        time=time_worth(minutes, workload.hour_worth),
        worth=sum(workload.job[job].worth for job in plan.done),
        off_road=sum(
            days * workload.off_road.get(car, 0) for car, days in off_road_days(workload, plan).items()
        ),
    )


def spare_pieces(workload: Workload, plan: Plan) -> dict[str, int]:
    """Pieces bought that the plan leaves over, by part. What is on the shelf is used first."""
    bought, used = Counter[str](), Counter[str]()
    for offer_id, count in plan.units.items():
        for part, pieces in workload.offer[offer_id].parts.items():
            bought[part] += pieces * count
    for job in plan.done:
        used.update(workload.job[job].parts)
    over = {part: n - max(0, used[part] - workload.shelf.get(part, 0)) for part, n in sorted(bought.items())}
    return {part: n for part, n in over.items() if n > 0}


def days_waited(workload: Workload, plan: Plan) -> int:
    """Days from today to each job done, added up: the less, the earlier the work."""
    return sum(
        len(work.jobs) * (stint.date - workload.today).days
        for stint, work in zip(workload.stints, plan.work, strict=True)
    )


def ready_day(workload: Workload, plan: Plan) -> dt.date | None:
    """Date on which all cars are ready that have something to be done; None where there is none."""
    return max(ready_days(workload, plan).values(), default=None)


def ready_days(workload: Workload, plan: Plan) -> dict[str, dt.date]:
    """For each car that has inspection or safety jobs, when the last is done and nothing is left off."""
    cars = {job.car for job in workload.jobs if job.is_must}
    days = {}
    for at, (stint, work) in enumerate(zip(workload.stints, plan.work, strict=True)):
        put_on = set(plan.found_off(workload, at)) - set(work.left_off)
        days.update({workload.job[job].car: stint.date for job in work.jobs if workload.job[job].is_must})
        days.update({car: stint.date for name in put_on if (car := workload.standing.get(name)) in cars})
    return days


def ranking(workload: Workload, plan: Plan, aim: Aim) -> tuple[int, ...]:
    """What plans are compared by, first figure first, smaller is better.

    The figures of the aim, then the tie-breaks: orders, spare pieces, days waited.
    """
    price = cost(workload, plan)
    ready = ready_day(workload, plan)
    first = {
        Aim.BALANCE: (),
        Aim.THRIFT: (price.money,),
        Aim.SOONEST: (ready.toordinal() if ready else 0,),
        Aim.LEAST_WORK: (price.minutes,),
    }[aim]
    return (
        *first,
        price.total,
        len(goods_by_seller(workload, plan)),
        sum(spare_pieces(workload, plan).values()),
        days_waited(workload, plan),
    )
