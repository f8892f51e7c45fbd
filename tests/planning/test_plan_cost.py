"""What a plan costs: rounding, delivery, spare pieces, ranking, and an example worked by hand."""

import datetime as dt
from dataclasses import replace
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from onceapart.planning.cost import (
    cost,
    days_waited,
    delivery_of,
    goods_by_seller,
    minutes_worked,
    ranking,
    ready_day,
    spare_pieces,
    time_worth,
)
from onceapart.planning.plan import Aim, Plan, plan_of
from onceapart.planning.rules import broken_rules
from onceapart.planning.workload import Job, Offer, Seller, Stint, Tool, Workload, workload_from
from onceapart.workshop import parse_workshop

MONDAY = dt.date(2026, 3, 2)


def day(days: int) -> dt.date:
    return MONDAY + dt.timedelta(days=days)


# The example that shows every key of the workshop file; the seller needs six days, the stint is the fifth.
EXAMPLE = """
format: onceapart-workshop/1
name: Quay Lane
today: 2026-03-02
currency: EUR
hour_worth: 12.00
cars:
  - id: wren
    name: The Wren
    inspection: {due: 2026-04-11, rules: eu-2014-45}
tools:
  - {id: ball-joint-splitter, have: true}
  - {id: spring-compressor, hire: 9.00, buy: 42.00}
shelf: {wren/front/drop-link: 1}
access:
  - id: wren/front-left/wheel
    minutes: 8
  - id: wren/front-left/driveshaft
    minutes: 55
    under: [wren/front-left/wheel]
    aftercare: [wren/wheel-alignment]
    tools: [ball-joint-splitter]
aftercare:
  - {id: wren/wheel-alignment, minutes: 30, price: 65.00}
jobs:
  - id: wren-cv-boot
    car: wren
    need: inspection
    minutes: 40
    access: [wren/front-left/driveshaft]
    parts: {wren/front-left/cv-boot-kit: 1}
    tools: []
    after: []
    aftercare: []
    recipe: cv-boot
    place: front-left
sellers:
  - {id: counter, name: Parts counter, delivery: 0, days: 0}
  - {id: post-a, name: By post A, delivery: 8.50, free_from: 90.00, days: 6}
offers:
  - id: post-a-boot
    seller: post-a
    title: Boot kit with grease and clips
    parts: {wren/front-left/cv-boot-kit: 1}
    price: 14.90
    limit: 4
    days: 6
    deposit: 3.00
stints:
  - {date: 2026-03-07, minutes: 300}
"""


def test_the_example_of_the_workshop_file_becomes_a_workload():
    workload = workload_from(parse_workshop(EXAMPLE))
    assert workload.hour_worth == 1200
    assert workload.offers[0].arrives == dt.date(2026, 3, 8)
    assert workload.jobs[0].last_day == dt.date(2026, 4, 11)
    assert workload.jobs[0].is_must


def test_the_boot_of_the_example_comes_a_day_after_its_only_stint():
    workload = workload_from(parse_workshop(EXAMPLE))
    plan = plan_of(workload, [["wren-cv-boot"]], {"post-a-boot": 1})
    assert broken_rules(workload, plan) == [
        "rule 7: 2026-03-07 needs 1 of wren/front-left/cv-boot-kit by then, 0 are there"
    ]


def test_the_example_a_day_later_costs_what_it_does_by_hand():
    """Goods 14.90, delivery 8.50, alignment 65.00; 40 + 55 + 8 + 30 minutes at 12.00 an hour are 26.60."""
    workload = workload_from(parse_workshop(EXAMPLE.replace("2026-03-07", "2026-03-08")))
    plan = plan_of(workload, [["wren-cv-boot"]], {"post-a-boot": 1})
    assert broken_rules(workload, plan) == []
    price = cost(workload, plan)
    assert (price.goods, price.delivery, price.aftercare, price.hire, price.tools) == (1490, 850, 6500, 0, 0)
    assert (price.money, price.minutes, price.time, price.worth, price.total) == (8840, 133, 2660, 0, 11500)


@given(st.integers(0, 10**6), st.integers(0, 10**7))
def test_time_is_rounded_half_up(minutes, hour_worth):
    exact = Fraction(minutes * hour_worth, 60)
    assert time_worth(minutes, hour_worth) == int(exact + Fraction(1, 2))  # both positive: int rounds down


@pytest.mark.parametrize(("hour_worth", "expected"), [(29, 0), (30, 1), (31, 1), (89, 1), (90, 2), (150, 3)])
def test_half_a_minor_unit_of_time_counts_as_one(hour_worth, expected):
    assert time_worth(1, hour_worth) == expected


def test_time_is_rounded_once_on_all_stints_together():
    jobs = tuple(Job(f"j{n}", "wren", True, 1) for n in range(3))
    workload = Workload(MONDAY, "EUR", 20, jobs, stints=tuple(Stint(day(n), 9) for n in range(3)))
    # A minute is worth a third of a minor unit: nothing by itself, one for the three.
    assert cost(workload, plan_of(workload, [["j0"], ["j1"], ["j2"]], {})).time == 1


SHOP = Workload(
    today=MONDAY,
    currency="EUR",
    hour_worth=600,
    jobs=(
        Job("pads", "wren", True, 60, parts={"pad": 4}, tools=("press",)),
        Job("disc", "wren", True, 60, parts={"disc": 2}, tools=("press",)),
        Job("mat", "wren", False, 20, worth=1700),
    ),
    tools=(Tool("press", hire=400, buy=800),),
    shelf={"pad": 3, "disc": 5},
    sellers=(Seller("a", "A", 500, 1000), Seller("b", "B", 300), Seller("c", "C", 700, 0)),
    offers=(
        Offer("a-pad", "a", {"pad": 2}, 500, MONDAY),
        Offer("a-rag", "a", {"rag": 1}, 499, MONDAY),
        Offer("b-kit", "b", {"pad": 1, "disc": 1}, 1000, MONDAY, deposit=9999),
        Offer("c-gift", "c", {"rag": 3}, 0, MONDAY),
    ),
    stints=(Stint(day(1), 200), Stint(day(3), 200)),
)


@pytest.mark.parametrize(
    ("goods", "delivery"), [(0, 500), (999, 500), (1000, 0), (1001, 0)]
)  # equal is free already
def test_delivery_is_free_from_some_value_on(goods, delivery):
    assert delivery_of(SHOP, "a", goods) == delivery


def test_delivery_without_a_free_value_is_always_paid():
    assert delivery_of(SHOP, "b", 10**9) == 300


def test_delivery_free_from_nothing_is_never_paid():
    assert delivery_of(SHOP, "c", 0) == 0


@pytest.mark.parametrize(
    ("units", "goods", "delivery", "orders"),
    [
        ({}, 0, 0, 0),
        ({"a-pad": 1}, 500, 500, 1),
        ({"a-pad": 1, "a-rag": 1}, 999, 500, 1),
        ({"a-pad": 2}, 1000, 0, 1),
        ({"b-kit": 1}, 1000, 300, 1),
        ({"a-pad": 2, "b-kit": 1}, 2000, 300, 2),
        ({"c-gift": 1}, 0, 0, 1),
        ({"a-pad": 0}, 0, 0, 0),
    ],
)
def test_goods_and_delivery_by_order(units, goods, delivery, orders):
    plan = Plan(plan_of(SHOP, [["pads"], []], {}).work, units)
    price = cost(SHOP, plan)
    assert (price.goods, price.delivery, len(goods_by_seller(SHOP, plan))) == (goods, delivery, orders)


def test_delivery_is_paid_for_goods_that_cost_nothing():
    paid = replace(SHOP, sellers=(*SHOP.sellers[:2], replace(SHOP.sellers[2], free_from=1)))
    assert cost(paid, plan_of(paid, [["pads"], []], {"c-gift": 1})).delivery == 700


def test_deposits_are_not_counted():
    with_deposit = plan_of(SHOP, [["pads"], []], {"b-kit": 1})
    without = replace(SHOP, offers=tuple(replace(offer, deposit=0) for offer in SHOP.offers))
    assert cost(SHOP, with_deposit) == cost(without, with_deposit)


def test_hire_is_paid_for_each_stint_and_buying_once():
    apart = replace(plan_of(SHOP, [["pads"], ["disc"]], {}), tools_bought=())
    hired = replace(apart, work=tuple(replace(work, hire=("press",)) for work in apart.work))
    assert (cost(SHOP, hired).hire, cost(SHOP, hired).tools) == (800, 0)
    bought = plan_of(SHOP, [["pads"], ["disc"]], {})
    assert (cost(SHOP, bought).hire, cost(SHOP, bought).tools) == (0, 800)


def test_a_tool_is_bought_where_hiring_would_cost_as_much():
    assert plan_of(SHOP, [["pads"], ["disc"]], {}).tools_bought == ("press",)
    assert plan_of(SHOP, [["pads", "disc"], []], {}).tools_bought == ()


def test_only_wishes_done_are_worth_something():
    assert cost(SHOP, plan_of(SHOP, [["pads"], []], {})).worth == 0
    price = cost(SHOP, plan_of(SHOP, [["pads", "mat"], []], {}))
    assert (price.worth, price.total) == (1700, price.money + price.time - 1700)


@pytest.mark.parametrize(
    ("jobs_in", "units", "spare"),
    [
        ([["pads"], []], {"a-pad": 1}, {"pad": 1}),  # one of four is not on the shelf
        ([["pads"], []], {"b-kit": 1}, {"disc": 1}),
        ([["pads"], ["disc"]], {"b-kit": 1}, {"disc": 1}),  # the shelf's discs are used first
        ([["disc"], []], {"b-kit": 2}, {"disc": 2, "pad": 2}),  # the shelf's own spares are none
        ([["pads"], []], {"a-pad": 1, "a-rag": 2}, {"pad": 1, "rag": 2}),
        ([[], []], {}, {}),
    ],
)
def test_spare_pieces(jobs_in, units, spare):
    assert spare_pieces(SHOP, plan_of(SHOP, jobs_in, units)) == spare


def test_days_waited_count_each_job_and_ready_counts_those_that_must_be():
    plan = plan_of(SHOP, [["pads"], ["disc", "mat"]], {})
    assert days_waited(SHOP, plan) == 1 + 3 + 3
    assert ready_day(SHOP, plan) == day(3)
    assert ready_day(SHOP, plan_of(SHOP, [["pads", "disc"], ["mat"]], {})) == day(1)
    assert ready_day(SHOP, plan_of(SHOP, [[], ["mat"]], {})) is None


def test_ranking_begins_with_the_aims_own_figures_and_ends_with_the_tie_breaks():
    plan = plan_of(SHOP, [["pads"], ["disc", "mat"]], {"a-pad": 1})
    price = cost(SHOP, plan)
    ties = (1, 1, 7)
    assert price.minutes == minutes_worked(SHOP, plan) == 140
    assert ranking(SHOP, plan, Aim.BALANCE) == (price.total, *ties)
    assert ranking(SHOP, plan, Aim.THRIFT) == (price.money, price.total, *ties)
    assert ranking(SHOP, plan, Aim.SOONEST) == (day(3).toordinal(), price.total, *ties)
    assert ranking(SHOP, plan, Aim.LEAST_WORK) == (140, price.total, *ties)
