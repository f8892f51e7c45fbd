"""Comparing the four aims with one another and with the two plain ways."""

import datetime as dt

import pytest
from workloads import SMALL, seeded_workload

from made_workloads import made_workload
from onceapart.planning.answer import Answer
from onceapart.planning.baselines import line_by_line, on_its_own
from onceapart.planning.compare import compare
from onceapart.planning.cost import cost, goods_by_seller, ranking, ready_day
from onceapart.planning.greedy import greedy_plan
from onceapart.planning.plan import Aim, Status
from onceapart.planning.rules import broken_rules
from onceapart.planning.solve import best_plan
from onceapart.planning.workload import Access, Job, Stint, Workload

ROWS = ["balance", "thrift", "soonest", "least-work", "on its own", "line by line"]


@pytest.fixture(scope="module")
def compared():
    workload = made_workload("s", 1)
    return workload, compare(workload)


def test_six_rows_with_the_figures_of_their_plans(compared):
    workload, comparison = compared
    assert [row.name for row in comparison.rows] == ROWS
    for row, answer in zip(comparison.rows, comparison.answers, strict=False):
        plan = answer.plan
        assert broken_rules(workload, plan) == []
        assert (row.aim, row.status, row.cost) == (answer.aim, Status.PROVEN, cost(workload, plan))
        assert (row.ready, row.orders) == (ready_day(workload, plan), len(goods_by_seller(workload, plan)))
        assert (row.jobs_done, row.bound, row.bound_of) == (len(plan.done), row.cost.total, "total")
        assert row.fits


def test_the_plain_ways_do_the_jobs_of_the_balanced_plan(compared):
    workload, comparison = compared
    done = comparison.answers[0].plan.done
    assert comparison.same_jobs == done
    assert comparison.baselines == (on_its_own(workload, done), line_by_line(workload, done))
    for row, base in zip(comparison.rows[4:], comparison.baselines, strict=True):
        assert (row.cost, row.orders, row.ready) == (base.cost, base.orders, base.ready)
        assert (row.status, row.aim, row.bound, row.jobs_done) == (None, None, None, len(done))
        assert row.cost.worth == comparison.row("balance").cost.worth


@pytest.mark.parametrize("seed", range(12))
def test_each_aim_is_best_in_its_own(seed):
    comparison = compare(seeded_workload(seed, SMALL))
    rows = {row.name: row for row in comparison.rows if row.cost}
    if rows:
        assert rows["balance"].cost.total == min(rows[aim].cost.total for aim in Aim)
        assert rows["thrift"].cost.money == min(rows[aim].cost.money for aim in Aim)
        assert rows["least-work"].cost.minutes == min(rows[aim].cost.minutes for aim in Aim)
        days = [rows[aim].ready for aim in Aim]
        assert rows["soonest"].ready is None or rows["soonest"].ready == min(days)


def test_where_searches_are_cut_short_the_best_of_all_plans_counts():
    workload = made_workload("m", 3)
    comparison = compare(workload, work_limit=30)
    plans = [answer.plan for answer in comparison.answers]
    for answer in comparison.answers:
        assert answer.status is Status.GOOD
        assert answer.cost == cost(workload, answer.plan)
        own = ranking(workload, answer.plan, answer.aim)
        assert all(own <= ranking(workload, plan, answer.aim) for plan in plans)
        figure = {"money": answer.cost.money, "minutes": answer.cost.minutes}.get(answer.bound_of)
        assert answer.bound <= (answer.cost.total if figure is None else figure) or answer.bound_of == "ready"


def test_a_search_cut_short_takes_over_the_better_plan_of_another_aim(monkeypatch):
    workload = made_workload("s", 1)
    first, best = greedy_plan(workload), best_plan(workload, Aim.THRIFT).plan

    def only_thrift_is_solved(workload, aim, **limits):
        plan = {Aim.THRIFT: best, Aim.SOONEST: None}.get(aim, first)
        price = None if plan is None else cost(workload, plan)
        return Answer(aim, Status.PROVEN if aim is Aim.THRIFT else Status.GOOD, plan, price, -1)

    monkeypatch.setattr("onceapart.planning.compare.best_plan", only_thrift_is_solved)
    for answer in compare(workload).answers:
        assert answer.plan == min(first, best, key=lambda plan: ranking(workload, plan, answer.aim))
        assert answer.cost == cost(workload, answer.plan)
    # With no plan there was no bound: what takes its place is one for any plan.
    assert compare(workload).row("soonest").bound == -sum(job.worth for job in workload.jobs)


def test_no_time_at_all_still_gives_all_rows():
    comparison = compare(made_workload("s", 2), seconds=0)
    assert [row.name for row in comparison.rows] == ROWS
    assert all(row.cost is not None for row in comparison.rows)


def test_an_interrupt_ends_one_search_and_cuts_the_others_short():
    told = []

    def interrupt(step):
        told.append(step)
        if len(told) == 2:
            raise KeyboardInterrupt

    comparison = compare(made_workload("m", 3), progress=interrupt)
    assert [row.status for row in comparison.rows[:4]] == [Status.GOOD] * 4
    assert len(comparison.baselines) == 2


def test_an_impossible_workshop_has_no_figures_and_no_baselines():
    job = Job("boot", "wren", True, 90)
    workload = Workload(dt.date(2026, 3, 2), "EUR", 1200, (job,), stints=(Stint(dt.date(2026, 3, 7), 60),))
    comparison = compare(workload)
    assert [row.name for row in comparison.rows] == ROWS[:4]
    assert all(
        (row.status, row.cost, row.fits) == (Status.IMPOSSIBLE, None, False) for row in comparison.rows
    )
    assert comparison.baselines == ()
    assert all(answer.why for answer in comparison.answers)


def test_a_workshop_with_nothing_to_do_compares_to_nothing():
    workload = Workload(dt.date(2026, 3, 2), "EUR", 1200, ())
    assert {row.cost.total for row in compare(workload).rows} == {0}


def test_a_row_is_found_by_name(compared):
    _, comparison = compared
    assert comparison.row("line by line") is comparison.rows[5]
    with pytest.raises(KeyError):
        comparison.row("by hand")


def test_a_plain_way_that_does_not_fit_says_so():
    # Only with the wheel taken off once do both jobs fit.
    jobs = tuple(Job(name, "wren", True, 20, access=("wheel",)) for name in ("hose", "pads"))
    stint = Stint(dt.date(2026, 3, 7), 60)
    workload = Workload(dt.date(2026, 3, 2), "EUR", 1200, jobs, (Access("wheel", 15),), stints=(stint,))
    comparison = compare(workload)
    alone, lines = comparison.row("on its own"), comparison.row("line by line")
    assert (alone.extra_stints, alone.extra_minutes, alone.ready, alone.fits) == (1, 35, None, False)
    assert (lines.extra_stints, lines.ready, lines.fits) == (0, stint.date, True)
