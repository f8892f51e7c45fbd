"""What passing costs: by the plan the plan's own cost; no proven plan is dearer than line by line."""

import datetime as dt
from dataclasses import replace

import pytest

from onceapart.demo import read_demo
from onceapart.planning.cost import cost
from onceapart.planning.plan import Aim, Plan
from onceapart.planning.solve import best_plan
from onceapart.planning.workload import Workload, workload_from
from onceapart.site.pages.planned import Planned
from onceapart.site.pages.workshop.cost_to_pass import by_plan, line_by_line_cost
from onceapart.trade import apply_recipes
from onceapart.workshop import parse_workshop

TODAY = dt.date(2026, 3, 5)
TWO_CARS = """
format: onceapart-workshop/1
name: Two
today: 2026-03-05
currency: EUR
hour_worth: 10
cars: [{id: a, name: A}, {id: b, name: B}]
access: [{id: a/wheel, minutes: 10}, {id: b/wheel, minutes: 20}]
aftercare: [{id: a/alignment, minutes: 30, price: 50}]
jobs:
  - id: a-one
    car: a
    need: inspection
    minutes: 40
    access: [a/wheel]
    parts: {x: 1}
    aftercare: [a/alignment]
  - {id: a-two, car: a, need: safety, minutes: 15, access: [a/wheel], parts: {y: 2}}
  - {id: a-wish, car: a, need: wish, worth: 100, minutes: 5, parts: {z: 1}}
  - {id: b-one, car: b, need: inspection, minutes: 60, access: [b/wheel], parts: {x: 1}}
sellers: [{id: s, name: S, delivery: 6, free_from: 60, days: 1}]
offers:
  - {id: x, seller: s, parts: {x: 1}, price: 20}
  - {id: y, seller: s, parts: {y: 1}, price: 5}
  - {id: kit, seller: s, parts: {x: 1, y: 2}, price: 27}
  - {id: z, seller: s, parts: {z: 1}, price: 15}
stints: [{date: 2026-03-07, minutes: 400}]
"""


def planned(workload: Workload, aim: Aim = Aim.BALANCE) -> Planned:
    plan = best_plan(workload, aim).plan
    assert isinstance(plan, Plan)
    return Planned(1, 0, workload, plan, False)


@pytest.fixture(scope="module")
def two() -> Workload:
    return workload_from(parse_workshop(TWO_CARS))


def only(workload, jobs):
    return replace(workload, jobs=tuple(job for job in workload.jobs if job.id in jobs))


def test_of_all_jobs_it_is_the_cost_of_the_plan(two):
    musts = [job.id for job in two.jobs if job.is_must]
    found = planned(only(two, musts))
    whole = cost(found.workload, found.plan)
    assert (by_plan(found, musts).money, by_plan(found, musts).minutes) == (whole.money, whole.minutes)


def test_of_one_car_it_is_by_hand(two):
    """Of A: kit, delivery and alignment; a wheel, two jobs and the alignment. The wish is left out."""
    found = by_plan(planned(two), ["a-one", "a-two"])
    assert found.money == 2700 + 600 + 5000
    assert found.minutes == 10 + 40 + 15 + 30
    assert found.unplanned == ()


def test_jobs_that_the_plan_does_not_have_are_named_and_not_counted(two):
    found = by_plan(planned(only(two, ["b-one"])), ["b-one", "a-one"])
    assert found.unplanned == ("a-one",)
    assert found.money == 2000 + 600


def test_parts_that_nobody_sells_are_named_and_not_counted(two):
    poor = replace(two, offers=tuple(one for one in two.offers if "y" not in one.parts))
    found = line_by_line_cost(poor, ["a-one", "a-two"])
    assert found.unsold == ("y",)
    assert found.money == 2000 + 600 + 5000


def test_there_need_be_no_stint(two):
    assert line_by_line_cost(replace(two, stints=()), ["b-one"]).minutes == 80


@pytest.mark.parametrize("car", ["a", "b"])
def test_no_proven_thrift_is_dearer_than_line_by_line(two, car):
    musts = [job.id for job in two.jobs if job.is_must and job.car == car]
    least = best_plan(only(two, musts), Aim.THRIFT)
    assert least.plan is not None
    money = cost(only(two, musts), least.plan).money
    assert line_by_line_cost(two, musts).money >= money


def test_the_demo_has_a_figure_for_each_car():
    workshop = apply_recipes(read_demo().workshop)
    workload = workload_from(workshop, TODAY)
    for car in workshop.cars:
        musts = [job.id for job in workshop.jobs if job.car == car.id and job.need.is_must]
        found = line_by_line_cost(workload, musts)
        assert found.unsold == ()
        assert found.minutes >= max(workload.job[name].minutes for name in musts)
