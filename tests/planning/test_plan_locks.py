"""A job held to a stint is done there or not at all, and the plan is the best of those that keep to it."""

from __future__ import annotations

import datetime as dt
from dataclasses import replace

import pytest
from oracles import _every_plan
from workloads import TINIEST, TINY, seeded_workload

from onceapart.planning.baselines import line_by_line, on_its_own
from onceapart.planning.cost import ranking
from onceapart.planning.explain import explain
from onceapart.planning.greedy import greedy_plan
from onceapart.planning.plan import Aim, Status
from onceapart.planning.rules import broken_rules
from onceapart.planning.solve import best_plan
from onceapart.planning.workload import Job, Offer, Seller, Stint, Workload

DAY = dt.date(2026, 3, 7)


def holding(workload: Workload, held: dict[int, int], *, musts: bool = False) -> Workload:
    """The workload with jobs held to stints, both by place."""
    return replace(
        workload,
        jobs=tuple(
            replace(
                job,
                held_to=workload.stints[held[at]].key,
                is_must=job.is_must or musts,
                worth=0 if musts else job.worth,
            )
            if at in held
            else job
            for at, job in enumerate(workload.jobs)
        ),
    )


def some_held(seed: int, workload: Workload) -> dict[int, int]:
    """One job or two, and where; any stint, so that some of it is impossible."""
    jobs, stints = len(workload.jobs), len(workload.stints)
    held = {seed % jobs: seed // 3 % stints} if jobs and stints else {}
    if held and seed % 4 == 0 and jobs > 1:
        held[(seed + 1) % jobs] = seed // 5 % stints
    return held


@pytest.mark.parametrize("seed", range(120))
def test_the_best_plan_is_that_of_looking_at_every_plan(seed: int) -> None:
    workload = seeded_workload(seed, TINIEST)
    held = some_held(seed, workload)
    names = {workload.jobs[job].id: stint for job, stint in held.items()}
    for musts in (False, True):
        wanted = holding(workload, held, musts=musts)
        free = replace(wanted, jobs=tuple(replace(job, held_to=None) for job in wanted.jobs))
        kept = [
            plan
            for plan in _every_plan(free, 0)
            if all(plan.stint_of(job) in (None, stint) for job, stint in names.items())
            and not broken_rules(free, plan)
        ]
        for aim in Aim:
            answer = best_plan(wanted, aim)
            if not kept:
                assert answer.status is Status.IMPOSSIBLE
                assert answer.why
                continue
            assert answer.status is Status.PROVEN
            assert answer.plan is not None
            assert broken_rules(wanted, answer.plan) == []
            assert ranking(free, answer.plan, aim) == min(ranking(free, plan, aim) for plan in kept)


@pytest.mark.parametrize("seed", range(0, 240, 8))
def test_the_best_of_all_stints_is_the_best_without_holding(seed: int) -> None:
    workload = seeded_workload(seed, TINY)
    job = next((at for at, job in enumerate(workload.jobs) if job.is_must), None)
    if job is None:
        return
    free = best_plan(workload)
    each = [best_plan(holding(workload, {job: at})) for at in range(len(workload.stints))]
    found = [ranking(workload, answer.plan, Aim.BALANCE) for answer in each if answer.plan is not None]
    if free.plan is None:
        assert not found
    else:
        assert min(found) == ranking(workload, free.plan, Aim.BALANCE)


def two_on_one_day(**more: object) -> Workload:
    """Two stints on one day, a part that comes the day after, and a stint then."""
    return Workload(
        today=DAY - dt.timedelta(5),
        currency="EUR",
        hour_worth=1200,
        jobs=(Job("boot", "wren", True, 40, **more), Job("mats", "wren", False, 5, worth=500)),  # type: ignore[arg-type]
        sellers=(Seller("counter", "Counter", 0),),
        offers=(Offer("counter-boot", "counter", {"boot": 1}, 900, DAY + dt.timedelta(1)),),
        stints=(
            Stint(DAY, 60, "morning"),
            Stint(DAY, 60, "evening"),
            Stint(DAY + dt.timedelta(1), 60),
        ),
    )


@pytest.mark.parametrize("stint", range(3))
def test_one_of_two_stints_on_a_day_can_be_meant(stint: int) -> None:
    workload = holding(two_on_one_day(), {0: stint, 1: 2 - stint})
    answer = best_plan(workload)
    assert answer.plan is not None
    assert [answer.plan.stint_of(job) for job in ("boot", "mats")] == [stint, 2 - stint]
    assert broken_rules(holding(workload, {0: (stint + 1) % 3}), answer.plan) == [
        f"rule 2: job boot is done in {workload.stints[stint].label}, and is held to another stint"
    ]
    greedy = greedy_plan(workload)
    assert greedy is not None
    assert greedy.stint_of("boot") == stint
    explanation = explain(workload, answer.plan, Aim.BALANCE)
    assert explanation is not None
    assert line_by_line(workload, {"boot"}).plan.stint_of("boot") == stint
    assert on_its_own(workload, {"boot"}).plan.done == {"boot"}


def test_what_a_held_job_lacks_there_is_said() -> None:
    late = best_plan(holding(two_on_one_day(parts={"boot": 1}), {0: 1}))
    assert late.why[0].startswith(
        "boot is held to 2026-03-07 evening; 1 of boot for boot can be here from 2026-"
    )
    past = best_plan(holding(two_on_one_day(last_day=DAY), {0: 2}))
    assert past.why == ("boot is held to 2026-03-08, after its last day 2026-03-07",)


def test_a_stint_that_is_not_there_is_said() -> None:
    assert best_plan(two_on_one_day(held_to=(DAY, "noon"))).why == (
        "boot is held to a stint that is not there",
    )
