"""Planning anew: nothing done is planned again, nothing paid is paid again, no way on is cheaper."""

from __future__ import annotations

import datetime as dt
import itertools
from collections.abc import Iterator
from dataclasses import replace

import pytest
from replan_cases import (
    LONG,
    Shape,
    left_of,
    planned_workshop,
    ticks_of_stint,
    time_of,
)

from onceapart.bench.replan import ON_ITS_WAY, Left
from onceapart.bench.replan_plan import plan_anew
from onceapart.planning.cost import cost
from onceapart.planning.plan import Plan, Status, StintWork, plan_of
from onceapart.planning.rules import broken_rules
from onceapart.planning.workload import Seller, workload_from
from onceapart.workshop import Workshop

TOOLED = Shape(jobs=4, stints=3, offers=4, access=3, sellers=2, tools=2, baskets=60)
CASES = [(shape, seed) for shape, seeds in ((LONG, 90), (TOOLED, 60)) for seed in range(seeds)]
DAY = dt.timedelta(days=1)


def stops(workshop: Workshop, plan: Plan) -> Iterator[tuple[int, int | None]]:
    """Where work may break off: before all, after each stint, and half-way through each."""
    yield 0, 0
    for at in range(len(plan.work)):
        steps = len(ticks_of_stint(workshop, plan, at))
        if steps > 1:
            yield at, steps // 2
        yield at, None


def worked(workshop: Workshop, plan: Plan, at: int, most: int | None) -> tuple[Left, int]:
    """What is left after all stints before one, and the first steps of it; and how many stints are over."""
    entries = [tick for one in range(at) for tick in ticks_of_stint(workshop, plan, one)]
    entries += ticks_of_stint(workshop, plan, at, most)
    stints = workload_from(workshop).stints
    over = at + (most is None)
    now = time_of(workshop.today or stints[0].date) if most == 0 else time_of(stints[at].date, 600)
    if most is None:
        now += DAY
        while over < len(stints) and stints[over].date < now.date():
            over += 1
    return left_of(workshop, plan, entries, now), over


def going_on(left: Left, plan: Plan, at: int, over: int) -> Plan:
    """The old plan's rest as a plan of what is left: all that is on its way comes, what is owed is done."""
    done = {*left.jobs.done}
    count = len(left.workload.stints)
    work = []
    for place in range(len(plan.work) - count, len(plan.work)):
        old = plan.work[place]
        now = place == at and over == at
        jobs = tuple(sorted([job for job in old.jobs if job not in done] + [*left.jobs.owed] * now))
        access = sorted({*old.access, *left.workload.off_now}) if now else old.access
        work.append(StintWork(jobs, tuple(access), old.aftercare, old.hire, old.left_off))
    units = {offer.id: 1 for offer in left.workload.offers if offer.seller == ON_ITS_WAY}
    return Plan(tuple(work), units)


@pytest.mark.parametrize(("shape", "seed"), CASES)
def test_the_rest_of_the_plan_still_goes_and_no_plan_anew_is_dearer(shape: Shape, seed: int) -> None:
    found = planned_workshop(seed, shape)
    if found is None:
        pytest.skip("no plan")
    workshop, plan = found
    old = cost(workload_from(workshop), plan)
    for at, most in stops(workshop, plan):
        left, over = worked(workshop, plan, at, most)
        if any(
            job not in left.jobs.done for work in plan.work[: len(plan.work) - len(left.workload.stints)]
            for job in work.jobs
        ):  # fmt: skip
            continue  # two stints on a day, of which one was broken off
        assert not {*left.jobs.done} & {*left.workload.job}, "nothing done is planned again"
        rest = going_on(left, plan, at, over)
        assert broken_rules(left.workload, rest) == []
        assert left.money_in_all(rest) == old.money
        assert left.spent.minutes + cost(left.workload, rest).minutes == old.minutes
        assert left.total_in_all(rest) == old.total
        again = plan_anew(left)
        assert again.status is Status.PROVEN
        assert again.plan is not None
        assert left.total_in_all(again.plan) <= old.total
        if most == 0 and again.plan.done == rest.done:
            assert cost(left.workload, again.plan).goods == 0, "what is ordered is not bought again"


def test_the_cases_stop_in_the_middle_of_much() -> None:
    halves = apart = owed = coming = 0
    for shape, seed in CASES:
        found = planned_workshop(seed, shape)
        for at, most in stops(*found) if found else ():
            left, _ = worked(*found, at, most)
            halves += bool(most)
            apart += bool(left.workload.off_now)
            owed += bool(left.jobs.owed)
            coming += bool(left.stock.coming)
    assert halves >= 60
    assert apart >= 30
    assert owed >= 10
    assert coming >= 10


TINY = Shape(jobs=3, stints=3, offers=2, access=2, sellers=2, tools=0, baskets=6)


def goes_on_cheapest(workshop: Workshop, plan: Plan, over: int, today: dt.date) -> int | None:
    """The least that the whole may still cost, by every way to go on: the stints that are over and the orders
    placed stay as they were, all else is open, and what is ordered now is ordered today."""
    first = workload_from(workshop)
    late = tuple(
        replace(
            one, id=f"late/{one.id}", seller=f"late/{one.seller}",
            arrives=one.arrives + (today - first.today),
            limit=None if one.limit is None else one.limit - plan.units.get(one.id, 0),
        )
        for one in first.offers
    )  # fmt: skip
    if today == first.today:  # the parcel is not gone yet
        late = tuple(replace(one, seller=first.offer[one.id.removeprefix("late/")].seller) for one in late)
    sellers = tuple(Seller(f"late/{s.id}", s.name, s.delivery, s.free_from) for s in first.sellers)
    whole = replace(first, offers=(*first.offers, *late), sellers=(*first.sellers, *sellers))
    places = [None, *range(over, len(whole.stints))]
    before = [list(work.jobs) for work in plan.work[:over]]
    open_jobs = [job for job in whole.jobs if all(job.id not in jobs for jobs in before)]
    standing = [name for name, one in whole.access_by_id.items() if one.may_stand]
    subsets = [names for n in range(len(standing) + 1) for names in itertools.combinations(standing, n)]
    gaps = max(0, len(whole.stints) - over - 1)
    most = [3 if one.limit is None else min(3, one.limit) for one in late]
    best: int | None = None
    for assignment in itertools.product(places, repeat=len(open_jobs)):
        jobs_in = before + [
            [job.id for job, place in zip(open_jobs, assignment, strict=True) if place == at]
            for at in range(over, len(whole.stints))
        ]
        for stand in itertools.product(subsets, repeat=gaps):
            left_off = [*(work.left_off for work in plan.work[:over]), *stand]
            left_off += [()] * (len(whole.stints) - len(left_off))
            for units in itertools.product(*(range(n + 1) for n in most)):
                bought = {one.id: n for one, n in zip(late, units, strict=True) if n}
                made = plan_of(whole, jobs_in, {**plan.units, **bought}, left_off)
                if (best is None or cost(whole, made).total < best) and not broken_rules(whole, made):
                    best = cost(whole, made).total
    return best


@pytest.mark.parametrize("seed", range(24))
def test_no_way_to_go_on_is_cheaper(seed: int) -> None:
    found = planned_workshop(seed, TINY)
    if found is None:
        pytest.skip("no plan")
    workshop, plan = found
    stints = workload_from(workshop).stints
    for over in range(len(stints)):
        if over and stints[over - 1].date == stints[over].date:
            continue
        today = stints[over - 1].date + DAY if over else workshop.today
        assert today is not None
        if over and stints[over].date < today:
            continue
        entries = [tick for at in range(over) for tick in ticks_of_stint(workshop, plan, at)]
        left = left_of(workshop, plan, entries, time_of(today))
        again = plan_anew(left)
        best = goes_on_cheapest(workshop, plan, over, today)
        assert best is not None
        assert again.plan is not None
        assert left.total_in_all(again.plan) == best
