"""What may be left off between stints: the best plan is again the one that looking at every plan finds."""

import datetime as dt
import random
from dataclasses import replace
from functools import cache

import pytest
from oracles import by_every_plan
from workloads import TODAY, Shape, seeded_workload

from onceapart.planning import patterns
from onceapart.planning.cost import cost, off_road_days, ranking, ready_day
from onceapart.planning.plan import Aim, Plan, Status, StintWork
from onceapart.planning.rules import broken_rules
from onceapart.planning.solve import aims, best_plan
from onceapart.planning.workload import Access, Aftercare, Job, Stint, Tool, Workload

WIDE = Shape(jobs=3, stints=2, offers=2, access=3, sellers=1, tools=1, baskets=3)
LONG = Shape(jobs=3, stints=3, offers=1, access=2, sellers=1, tools=1, baskets=2)
CASES = [(shape, seed) for shape, seeds in ((WIDE, 160), (LONG, 70)) for seed in range(seeds)]


@cache
def workload_of(shape, seed):
    """A tiny workload of which much may stand, with short stints so that standing pays."""
    workload = seeded_workload(seed, shape)
    by = random.Random(f"standing {seed}")
    cars = [by.choice(["one"] * 6 + ["two"]) for _ in workload.jobs]
    off_now = {a.id for a in workload.access if by.random() < 0.2}
    for access in list(off_now):  # what is under something that is off is off too
        waiting = [access]
        while waiting:
            name = waiting.pop()
            off_now.add(name)
            waiting.extend(workload.access_by_id[name].under)
    return replace(
        workload,
        jobs=tuple(
            replace(job, car=car, access=job.access or tuple(a.id for a in workload.access[:1]))
            for job, car in zip(workload.jobs, cars, strict=True)
        ),
        access=tuple(
            replace(a, may_stand=by.random() < 0.9, minutes=a.minutes + by.choice([15, 31, 60]))
            for a in workload.access
        ),
        off_now=frozenset(off_now),
        off_road={"one": by.choice([0, 0, 40, 150]), "two": by.choice([0, 90])},
        due={"one": TODAY + dt.timedelta(days=by.choice([3, 20, 20]))},
    )


@cache
def best_of(shape, seed):
    return by_every_plan(workload_of(shape, seed), more_units=0)


def check(shape, seed):
    workload, best = workload_of(shape, seed), best_of(shape, seed)
    for aim in Aim:
        answer = best_plan(workload, aim)
        if not best:
            assert answer.status is Status.IMPOSSIBLE, aim
            continue
        assert answer.status is Status.PROVEN, aim
        assert broken_rules(workload, answer.plan) == [], aim
        assert ranking(workload, answer.plan, aim) == best[aim].ranking, aim
        assert answer.cost == cost(workload, answer.plan), aim


@pytest.mark.parametrize(("shape", "seed"), CASES)
def test_the_best_plan_is_that_of_brute_force(shape, seed):
    check(shape, seed)


@pytest.mark.parametrize(("shape", "seed"), CASES[::6])
def test_the_ways_of_large_workshops_find_it_too(shape, seed, monkeypatch):
    monkeypatch.setattr(aims, "PATTERNS_TOGETHER", 0)
    monkeypatch.setattr(patterns, "SMALL_BLOCK", 1)
    check(shape, seed)


def test_leaving_off_decides_something_in_many_of_them():
    left = sum(
        any(work.left_off for work in best[Aim.BALANCE].plan.work)
        for best in (best_of(*case) for case in CASES)
        if best
    )
    impossible = sum(not best_of(*case) for case in CASES)
    assert left >= 25
    assert 10 <= impossible <= len(CASES) / 2


def saturdays(*minutes):
    days = [dt.date(2026, 3, 7) + dt.timedelta(days=7 * at) for at in range(len(minutes))]
    return tuple(Stint(day, room) for day, room in zip(days, minutes, strict=True))


def two_jobs_behind_one_dashboard(**changes):
    """Each stint has room for the dashboard one way and one job."""
    access = Access("wren/dashboard", 91, may_stand=True, aftercare=("wren/airbag-check",), tools=("puller",))
    workload = Workload(
        today=dt.date(2026, 3, 2),
        currency="EUR",
        hour_worth=1200,
        jobs=tuple(
            Job(name, "wren", True, 60, access=("wren/dashboard",)) for name in ("heater", "wiper-motor")
        ),
        access=(access,),
        aftercare=(Aftercare("wren/airbag-check", 10, 1500),),
        tools=(Tool("puller", hire=400),),
        stints=saturdays(110, 60, 120),
    )
    return replace(workload, **changes)


def test_it_is_paid_once_over_the_stints_it_stands():
    workload = two_jobs_behind_one_dashboard()
    plan = best_plan(workload).plan
    assert [work.left_off for work in plan.work] == [("wren/dashboard",), ("wren/dashboard",), ()]
    assert [plan.minutes_in(workload, at) for at in range(3)] == [46 + 60, 60, 45 + 10]
    price = cost(workload, plan)
    # The aftercare once, the puller when it comes off and when it goes on.
    assert (price.minutes, price.aftercare, price.hire) == (91 + 120 + 10, 1500, 800)
    assert off_road_days(workload, plan) == {"wren": 14}
    assert ready_day(workload, plan) == dt.date(2026, 3, 21)


def test_it_does_not_stand_where_it_may_not_or_the_days_cost_too_much():
    roomy = {"stints": saturdays(240, 240, 240)}
    for changes in ({}, roomy):
        standing = two_jobs_behind_one_dashboard(**changes)
        fixed = replace(standing, access=tuple(replace(a, may_stand=False) for a in standing.access))
        assert (best_plan(fixed).status is Status.IMPOSSIBLE) == (not changes)
    dear = best_plan(two_jobs_behind_one_dashboard(**roomy, off_road={"wren": 10_000}))
    assert not any(work.left_off for work in dear.plan.work)


def test_it_does_not_stand_over_the_inspection():
    due = two_jobs_behind_one_dashboard(due={"wren": dt.date(2026, 3, 10)})
    assert best_plan(due).status is Status.IMPOSSIBLE


def test_what_is_off_now_goes_on_again_even_where_nothing_else_is_done():
    workload = two_jobs_behind_one_dashboard(jobs=(), off_now=frozenset({"wren/dashboard"}))
    answer = best_plan(workload)
    assert (answer.status, answer.cost.minutes, answer.cost.aftercare) == (Status.PROVEN, 45 + 10, 1500)
    nothing_done = Plan((StintWork(), StintWork(), StintWork()))
    assert any("says nothing of it" in rule for rule in broken_rules(workload, nothing_done))


@pytest.mark.parametrize(
    ("left", "rule"),
    [
        (("wren/dashboard",), "no stint follows"),
        (("wren/seat",), "may not be left off"),
        (("wren/console",), "wren/seat under it is not"),
    ],
)
def test_leaving_off_what_may_not_be_left_breaks_a_rule(left, rule):
    workload = two_jobs_behind_one_dashboard(stints=saturdays(600))
    seat = Access("wren/seat", 5)
    console = Access("wren/console", 5, under=("wren/seat",), may_stand=True)
    workload = replace(workload, access=(*workload.access, seat, console))
    off = ("wren/console", "wren/dashboard", "wren/seat")
    jobs = tuple(job.id for job in workload.jobs)
    work = StintWork(jobs, off, ("wren/airbag-check",), ("puller",), left)
    assert any(rule in broken for broken in broken_rules(workload, Plan((work,))))
