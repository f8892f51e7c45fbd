"""The best plan of a tiny workload by looking at every plan, in two ways.

``by_every_plan`` is the naive one: it makes every plan there is and asks `broken_rules` and `ranking`. It is
only good for the very tiniest. ``by_brute_force`` looks at every assignment of jobs to stints and at every
basket too, but weighs the two apart: what an assignment costs in minutes, aftercare and tools does not
hang on the basket, and a basket matters to it only by the pieces there are on each day. It does its own
sums, and `broken_rules` and `ranking` are asked to confirm each plan it returns.
"""

from __future__ import annotations

import itertools
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache

from onceapart.planning.cost import ranking
from onceapart.planning.plan import Aim, Plan, StintWork, plan_of
from onceapart.planning.rules import broken_rules
from onceapart.planning.workload import Tool, Workload
from plain_models import units_that_can_help


@dataclass(frozen=True)
class Best:
    ranking: tuple[int, ...]
    plan: Plan


def by_every_plan(workload: Workload, *, more_units: int = 1) -> dict[Aim, Best]:
    """Best plan for each aim, by making every plan; empty where no plan keeps the rules.

    ``more_units`` of each offer are tried beyond what `units_that_can_help` allows.
    """
    best: dict[Aim, Best] = {}
    for plan in _every_plan(workload, more_units):
        if broken_rules(workload, plan):
            continue
        for aim in Aim:
            key = ranking(workload, plan, aim)
            if aim not in best or key < best[aim].ranking:
                best[aim] = Best(key, plan)
    return best


def _every_plan(workload: Workload, more_units: int) -> Iterator[Plan]:
    places = [None, *range(len(workload.stints))]
    baskets = list(_baskets(workload, more_units))
    may_stand = [access.id for access in workload.access if access.may_stand or access.id in workload.off_now]
    gaps = itertools.product(_subsets(may_stand), repeat=max(0, len(workload.stints) - 1))
    left_ways = [(*gap, ()) for gap in gaps] if workload.stints else [()]
    assignments = itertools.product(places, repeat=len(workload.jobs))
    for assignment, left_off in itertools.product(assignments, left_ways):
        work, needed, found = [], [], set(workload.off_now)
        for at, left in enumerate(left_off):
            jobs = [job.id for job, place in zip(workload.jobs, assignment, strict=True) if place == at]
            opened = sorted({*workload.opened_for(jobs), *found, *left})
            cares = workload.aftercare_for(jobs, set(opened) - set(left))
            work.append((tuple(jobs), tuple(opened), cares, left))
            needed.append(workload.tools_for(jobs, set(opened) - (found & set(left))))
            found = set(left)
        buyable = [tool.id for tool in workload.tools if tool.buy is not None]
        for bought in _subsets(buyable):
            # Hiring what is bought or in hand is allowed and never better; so is hiring a tool for nothing.
            had = {*bought, *(tool.id for tool in workload.tools if tool.have)}
            stints = tuple(
                StintWork(jobs, opened, cares, tuple(tool for tool in names if tool not in had), left)
                for (jobs, opened, cares, left), names in zip(work, needed, strict=True)
            )
            for units in baskets:
                yield Plan(stints, units, bought)


def _subsets(names: list[str]) -> Iterator[tuple[str, ...]]:
    for size in range(len(names) + 1):
        yield from itertools.combinations(names, size)


def _baskets(workload: Workload, more_units: int = 0) -> Iterator[dict[str, int]]:
    """Every number of units of every offer, each up to the most that can help."""
    most = units_that_can_help(workload)
    for offer in workload.offers:
        ceiling = most[offer.id] + more_units
        most[offer.id] = ceiling if offer.limit is None else min(ceiling, offer.limit)
    for counts in itertools.product(*(range(most[offer.id] + 1) for offer in workload.offers)):
        yield {offer.id: n for offer, n in zip(workload.offers, counts, strict=True) if n}


def by_brute_force(workload: Workload) -> dict[Aim, Best]:
    """Best plan for each aim; empty where no plan keeps the rules."""
    found: dict[Aim, tuple[tuple[int, ...], tuple[int | None, ...], dict[str, int]]] = {}
    stints = _Stints(workload)
    baskets = _Baskets(workload)
    for assignment in _assignments(workload):
        inner = stints.sums(assignment)
        basket = baskets.best_for(assignment) if inner else None
        if inner is None or basket is None:
            continue
        goods, orders, pieces, units = basket
        money = goods + inner.money
        total = money + (inner.minutes * workload.hour_worth + 30) // 60 - inner.worth
        ties = (orders, pieces - baskets.used_of_bought(assignment), inner.days)
        for aim, first in (
            (Aim.BALANCE, ()),
            (Aim.THRIFT, (money,)),
            (Aim.SOONEST, (inner.ready,)),
            (Aim.LEAST_WORK, (inner.minutes,)),
        ):
            key = (*first, total, *ties)
            if aim not in found or key < found[aim][0]:
                found[aim] = (key, assignment, units)
    best = {}
    for aim, (key, assignment, units) in found.items():
        jobs_in = [
            [job.id for job, place in zip(workload.jobs, assignment, strict=True) if place == at]
            for at, _ in enumerate(workload.stints)
        ]
        plan = plan_of(workload, jobs_in, units)
        assert broken_rules(workload, plan) == []
        assert ranking(workload, plan, aim) == key
        best[aim] = Best(key, plan)
    return best


Assignment = tuple[int | None, ...]


def _assignments(workload: Workload) -> Iterator[Assignment]:
    """Every way to put the jobs in stints that keeps the rules on how often, by when and in which order."""
    choices = []
    for job in workload.jobs:
        in_time = [
            at for at, stint in enumerate(workload.stints) if not job.last_day or stint.date <= job.last_day
        ]
        choices.append(in_time if job.is_must else [None, *in_time])
    place_of = {job.id: index for index, job in enumerate(workload.jobs)}
    pairs = [(place_of[job.id], place_of[before]) for job in workload.jobs for before in job.after]
    for assignment in itertools.product(*choices):
        if all(_in_order(assignment[late], assignment[early]) for late, early in pairs):
            yield assignment


def _in_order(late: int | None, early: int | None) -> bool:
    return late is None or (early is not None and early <= late)


@dataclass(frozen=True)
class _Sums:
    """What an assignment comes to without its basket; ``money`` is aftercare and tools."""

    money: int
    minutes: int
    worth: int
    days: int
    ready: int


@dataclass(frozen=True)
class _Group:
    """Jobs done together in one stint."""

    minutes: int
    price: int
    tools: frozenset[str]


class _Stints:
    def __init__(self, workload: Workload) -> None:
        self.workload = workload
        self.group = cache(self._group)

    def _group(self, jobs: tuple[int, ...]) -> _Group:
        workload = self.workload
        done = [workload.jobs[index] for index in jobs]
        opened: set[str] = set()
        to_open = {access for job in done for access in job.access}
        while to_open - opened:
            opened |= to_open
            to_open = {under for access in opened for under in workload.access_by_id[access].under}
        users = [*done, *(workload.access_by_id[access] for access in opened)]
        cares = [workload.aftercare_by_id[care] for care in {c for user in users for c in user.aftercare}]
        tools = frozenset(tool for user in users for tool in user.tools if not workload.tool[tool].have)
        minutes = sum(user.minutes for user in users) + sum(care.minutes for care in cares)
        return _Group(minutes, sum(care.price for care in cares), tools)

    def sums(self, assignment: Assignment) -> _Sums | None:
        """What the assignment comes to; None where a stint is too short or a tool can't be had."""
        workload = self.workload
        money = minutes = worth = days = ready = 0
        times: Counter[str] = Counter()
        for at, stint in enumerate(workload.stints):
            jobs = tuple(index for index, place in enumerate(assignment) if place == at)
            group = self.group(jobs)
            if group.minutes > stint.minutes:
                return None
            minutes += group.minutes
            money += group.price
            times.update(group.tools)
            days += len(jobs) * (stint.date - workload.today).days
            worth += sum(workload.jobs[index].worth for index in jobs)
            if any(workload.jobs[index].is_must for index in jobs):
                ready = max(ready, stint.date.toordinal())
        for name, count in times.items():
            price = _cheapest_had(workload.tool[name], count)
            if price is None:
                return None
            money += price
        return _Sums(money, minutes, worth, days, ready)


def _cheapest_had(tool: Tool, times: int) -> int | None:
    prices = [
        price for price in (tool.buy, None if tool.hire is None else times * tool.hire) if price is not None
    ]
    return min(prices, default=None)


@dataclass(frozen=True)
class _Basket:
    goods: int  # with delivery
    orders: int
    pieces: int
    units: dict[str, int]
    there: tuple[int, ...]
    """Pieces arrived for each date and part, in the order of ``_Baskets.corners``."""


class _Baskets:
    """Every basket, the better first, and the first one that covers what an assignment needs."""

    def __init__(self, workload: Workload) -> None:
        self.workload = workload
        parts = sorted({part for job in workload.jobs for part in job.parts})
        self.corners = [(at, part) for part in parts for at, _ in enumerate(workload.stints)]
        self.baskets = sorted(
            (self._basket(units) for units in _baskets(workload)),
            key=lambda basket: (basket.goods, basket.orders, basket.pieces),
        )
        self.first_with = cache(self._first_with)

    def _basket(self, units: dict[str, int]) -> _Basket:
        workload = self.workload
        goods: Counter[str] = Counter()
        for offer, count in units.items():
            goods[workload.offer[offer].seller] += count * workload.offer[offer].price
        price = 0
        for name, value in goods.items():
            seller = workload.seller[name]
            price += value
            if seller.free_from is None or value < seller.free_from:
                price += seller.delivery
        there = tuple(
            sum(
                count * workload.offer[offer].parts.get(part, 0)
                for offer, count in units.items()
                if workload.offer[offer].arrives <= workload.stints[at].date
            )
            for at, part in self.corners
        )
        pieces = sum(count * sum(workload.offer[offer].parts.values()) for offer, count in units.items())
        return _Basket(price, len(goods), pieces, units, there)

    def best_for(self, assignment: Assignment) -> tuple[int, int, int, dict[str, int]] | None:
        """The best basket: goods with delivery, orders, pieces, units."""
        jobs = self.workload.jobs
        need = tuple(
            sum(
                jobs[index].parts.get(part, 0)
                for index, place in enumerate(assignment)
                if place is not None and place <= at
            )
            - self.workload.shelf.get(part, 0)
            for at, part in self.corners
        )
        return self.first_with(tuple(max(0, pieces) for pieces in need))

    def _first_with(self, need: tuple[int, ...]) -> tuple[int, int, int, dict[str, int]] | None:
        for basket in self.baskets:
            if all(have >= pieces for have, pieces in zip(basket.there, need, strict=True)):
                return basket.goods, basket.orders, basket.pieces, basket.units
        return None

    def used_of_bought(self, assignment: Assignment) -> int:
        """Pieces used beyond the shelf's, which a basket that covers them holds."""
        used: Counter[str] = Counter()
        for job, place in zip(self.workload.jobs, assignment, strict=True):
            if place is not None:
                used.update(job.parts)
        return sum(max(0, pieces - self.workload.shelf.get(part, 0)) for part, pieces in used.items())
