"""Wishes of a plan, as plain functions of workshop and workload."""

from __future__ import annotations

import datetime as dt
from dataclasses import replace

import pytest
from workshop_cases import SMALL

from onceapart.demo import read_demo
from onceapart.planning.plan import Aim
from onceapart.planning.rules import broken_rules
from onceapart.planning.solve import best_plan
from onceapart.planning.workload import Stint, Workload, workload_from
from onceapart.site.store.wishes import (
    WishError,
    Wishes,
    as_wished,
    wishes_from_json,
    wishes_to_json,
    with_other_dates,
)
from onceapart.trade import apply_recipes
from onceapart.workshop import parse_workshop

DAY = dt.date(2026, 3, 7)
SOME = Wishes(
    held={"boot": "2026-03-07"},
    without_sellers=frozenset({"post-a"}),
    without_offers=frozenset({"x", "a"}),
    due={"wren": DAY},
    by={"wren-mats": DAY},
)


def workload() -> Workload:
    return workload_from(parse_workshop(SMALL))


def test_wishes_are_kept_as_plain_data() -> None:
    assert wishes_from_json(wishes_to_json(SOME)) == SOME
    assert wishes_to_json(Wishes()) == {}
    assert wishes_from_json({}) == Wishes()
    assert not Wishes()
    assert SOME


def test_no_wish_changes_nothing() -> None:
    workshop = parse_workshop(SMALL)
    assert with_other_dates(workshop, Wishes()) == workshop
    assert as_wished(workload(), Wishes()) == workload()


def test_a_job_is_held_and_done() -> None:
    wished = as_wished(workload(), Wishes(held={"wren-mats": "2026-03-07"}))
    job = wished.job["wren-mats"]
    assert (job.held_to, job.is_must, job.worth) == ((DAY, None), True, 2050)
    assert wished.job["wren-cv-boot"] == workload().job["wren-cv-boot"]


def test_sellers_and_offers_are_left_out() -> None:
    assert as_wished(workload(), Wishes(without_sellers=frozenset({"post-a"}))).offers == ()
    assert as_wished(workload(), Wishes(without_offers=frozenset({"post-a-boot"}))).offers == ()
    assert as_wished(workload(), Wishes(without_sellers=frozenset({"counter"}))).offers == workload().offers


def test_dates_of_inspections_and_jobs_are_others() -> None:
    workshop = with_other_dates(
        parse_workshop(SMALL), Wishes(due={"wren": DAY}, by={"wren-cv-boot": DAY + dt.timedelta(1)})
    )
    made = workload_from(workshop)
    assert made.due == {"wren": DAY}
    assert made.job["wren-cv-boot"].last_day == DAY + dt.timedelta(1)


def test_all_that_makes_no_sense_is_said_at_once() -> None:
    with pytest.raises(WishError) as caught:
        with_other_dates(parse_workshop(SMALL), Wishes(due={"no-car": DAY}, by={"no-job": DAY}))
    assert len(caught.value.problems) == 2
    wrong = Wishes(
        held={"no-job": "2026-03-07", "wren-mats": "2026-03-09"},
        without_sellers=frozenset({"no-seller"}),
        without_offers=frozenset({"no-offer"}),
    )
    with pytest.raises(WishError) as caught:
        as_wished(workload(), wrong)
    assert len(caught.value.problems) == 4
    assert "wren-mats held to 2026-03-09: no stint is called so" in str(caught.value)


def test_a_name_of_two_stints_is_refused() -> None:
    two = replace(workload(), stints=(Stint(DAY, 60), Stint(DAY + dt.timedelta(1), 60, "2026-03-07")))
    with pytest.raises(WishError, match="two stints are called so"):
        as_wished(two, Wishes(held={"wren-mats": "2026-03-07"}))


def test_the_demo_as_wished_costs_more_and_keeps_to_it() -> None:
    plain = workload_from(apply_recipes(read_demo().workshop))
    wished = as_wished(
        plain,
        Wishes(held={"pickle-shoes": "2026-03-14"}, without_sellers=frozenset({"fennick"})),
    )
    before, after = best_plan(plain, Aim.BALANCE), best_plan(wished, Aim.BALANCE)
    assert before.plan is not None
    assert after.plan is not None
    assert broken_rules(wished, after.plan) == []
    assert plain.stints[after.plan.stint_of("pickle-shoes") or 0].date == dt.date(2026, 3, 14)
    assert not any(plain.offer[name].seller == "fennick" for name in after.plan.units)
    assert before.cost is not None
    assert after.cost is not None
    assert after.cost.total > before.cost.total
