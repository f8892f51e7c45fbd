"""Best plans at the edges: nothing to do, nowhere to do it, large figures, ties, and the file's example."""

import datetime as dt

import pytest
from test_plan_cost import EXAMPLE

from onceapart.planning.cost import ranking
from onceapart.planning.plan import Aim, Status
from onceapart.planning.rules import broken_rules
from onceapart.planning.solve import best_plan
from onceapart.planning.workload import (
    Access,
    Aftercare,
    Job,
    Offer,
    Seller,
    Stint,
    Tool,
    Workload,
    workload_from,
)
from onceapart.workshop import parse_workshop

TODAY = dt.date(2026, 3, 2)


def day(days):
    return TODAY + dt.timedelta(days=days)


AN_HOUR = (Stint(day(1), 60),)


def workload(*jobs, stints=AN_HOUR, hour_worth=0, **more):
    return Workload(TODAY, "EUR", hour_worth, jobs, stints=stints, **more)


def proven(problem, aim=Aim.BALANCE):
    answer = best_plan(problem, aim)
    assert answer.status is Status.PROVEN
    assert broken_rules(problem, answer.plan) == []
    assert len(answer.plan.work) == len(problem.stints)
    return answer


@pytest.mark.parametrize("aim", Aim)
def test_the_example_is_impossible_until_its_stint_is_a_day_later(aim):
    """The boot comes on the 8th; by hand it then costs 88.40 and 133 minutes, 115.00 in all."""
    answer = best_plan(workload_from(parse_workshop(EXAMPLE)), aim)
    assert answer.status is Status.IMPOSSIBLE
    assert any("wren-cv-boot" in said for said in answer.why)
    later = workload_from(parse_workshop(EXAMPLE.replace("2026-03-07", "2026-03-08")))
    price = proven(later, aim).cost
    assert (price.money, price.minutes, price.total) == (8840, 133, 11500)


@pytest.mark.parametrize("aim", Aim)
@pytest.mark.parametrize("stints", [(), (Stint(day(1), 60),), (Stint(day(1), 0), Stint(day(1), 0))])
def test_nothing_to_do_costs_nothing(stints, aim):
    answer = proven(workload(stints=stints), aim)
    assert answer.cost.total == 0
    assert answer.plan.units == {}


@pytest.mark.parametrize("aim", Aim)
def test_without_a_stint_only_wishes_can_be_left(aim):
    wish, must = Job("wish", "car", False, 0, worth=900), Job("must", "car", True, 0)
    assert proven(workload(wish, stints=()), aim).plan.done == frozenset()
    answer = best_plan(workload(wish, must, stints=()), aim)
    assert answer.status is Status.IMPOSSIBLE
    assert answer.why


@pytest.mark.parametrize("aim", Aim)
def test_work_that_takes_and_costs_nothing_fits_a_stint_of_no_minutes(aim):
    answer = proven(workload(Job("must", "car", True, 0), stints=(Stint(day(1), 0),)), aim)
    assert answer.plan.work[0].jobs == ("must",)


def test_a_wish_is_done_only_where_that_pays():
    half_an_hour = {"minutes": 30, "is_must": False, "car": "car"}
    done = proven(workload(Job("wish", worth=601, **half_an_hour), hour_worth=1200))
    assert done.cost.total == -1
    left = proven(workload(Job("wish", worth=599, **half_an_hour), hour_worth=1200))
    assert left.cost.total == 0
    # Worth just what it costs: leaving it ranks first, as it waits fewer days.
    even = proven(workload(Job("wish", worth=600, **half_an_hour), hour_worth=1200))
    assert even.plan.done == frozenset()


def test_thrift_and_least_work_do_a_wish_that_takes_no_money_or_no_time():
    wish = workload(Job("wish", "car", False, 30, worth=900), hour_worth=1200)
    assert proven(wish, Aim.THRIFT).plan.done == {"wish"}
    assert proven(wish, Aim.LEAST_WORK).plan.done == frozenset()


def test_soonest_is_about_the_jobs_that_must_be_done():
    problem = workload(
        Job("must", "car", True, 40, parts={"pad": 1}),
        Job("wish", "car", False, 40, worth=500),
        stints=(Stint(day(0), 60), Stint(day(5), 60), Stint(day(9), 60)),
        sellers=(Seller("near", "Near", 0), Seller("far", "Far", 0)),
        offers=(
            Offer("dear", "near", {"pad": 1}, 9000, day(0)),
            Offer("cheap", "far", {"pad": 1}, 1000, day(4)),
        ),
    )
    soonest, balance = proven(problem, Aim.SOONEST), proven(problem)
    assert soonest.plan.stint_of("must") == 0
    assert soonest.plan.units == {"dear": 1}
    assert soonest.plan.stint_of("wish") == 1
    assert balance.plan.units == {"cheap": 1}


def test_goods_are_bought_for_free_delivery_where_that_is_cheaper():
    sellers = (Seller("post", "Post", 1000, free_from=2000),)
    offers = (
        Offer("pad", "post", {"pad": 1}, 1500, TODAY),
        Offer("rag", "post", {"rag": 1}, 250, TODAY),
    )
    answer = proven(workload(Job("must", "car", True, 9, parts={"pad": 1}), sellers=sellers, offers=offers))
    assert answer.plan.units == {"pad": 1, "rag": 2}
    assert answer.cost.money == 2000


def test_free_delivery_just_missed_is_paid():
    sellers = (Seller("post", "Post", 499, free_from=2000),)
    offers = (
        Offer("pad", "post", {"pad": 1}, 1500, TODAY),
        Offer("rag", "post", {"rag": 1}, 250, TODAY),
    )
    answer = proven(workload(Job("must", "car", True, 9, parts={"pad": 1}), sellers=sellers, offers=offers))
    assert answer.plan.units == {"pad": 1}
    assert answer.cost.money == 1999


@pytest.mark.parametrize("aim", Aim)
def test_large_figures_are_exact(aim):
    """Prices of 1,000,000.00, the most a file takes, next to ones of a hundredth."""
    dear = 10**8
    problem = workload(
        Job("one", "car", True, 100_000, parts={"pad": 1}),
        Job("two", "car", True, 1, parts={"disc": 997}, tools=("press",)),
        Job("wish", "car", False, 1, worth=dear, aftercare=("paint",)),
        hour_worth=10**8,
        stints=(Stint(day(0), 50), Stint(day(1), 200_000)),
        aftercare=(Aftercare("paint", 1, dear - 1_666_667 * 2 - 1),),
        tools=(Tool("press", hire=dear, buy=dear - 1),),
        sellers=(Seller("post", "Post", dear, free_from=dear), Seller("near", "Near", 0)),
        offers=(
            Offer("pad-post", "post", {"pad": 1}, dear - 1, TODAY),
            Offer("pad-near", "near", {"pad": 1}, dear + 1, TODAY),
            Offer("discs", "near", {"disc": 10}, 1, TODAY),
            Offer("disc", "near", {"disc": 1}, 1, TODAY, limit=3),
        ),
    )
    # A hundredth in 1,668,683,334.00 is past what the solver's doubles tell apart: the plan is right, and
    # the proof is withheld rather than wrong.
    answer = best_plan(problem, aim)
    assert broken_rules(problem, answer.plan) == []
    # Ten discs at a hundredth: a hundred units, or 99 and then seven more ones, of which three can be had.
    assert answer.plan.units == {"pad-near": 1, "discs": 100}
    assert answer.plan.tools_bought == ("press",)
    assert ("wish" in answer.plan.done) == (aim in (Aim.BALANCE, Aim.SOONEST))


@pytest.mark.parametrize("aim", Aim)
def test_a_tool_nobody_has_makes_a_job_impossible(aim):
    problem = workload(
        Job("must", "car", True, 9, access=("cover",)),
        access=(Access("cover", 1, tools=("scope",)),),
        tools=(Tool("scope"),),
    )
    answer = best_plan(problem, aim)
    assert answer.status is Status.IMPOSSIBLE
    assert any("scope" in said for said in answer.why)


@pytest.mark.parametrize("aim", Aim)
def test_ties_go_to_fewer_orders_then_fewer_spare_pieces_then_earlier_work(aim):
    sellers = (Seller("a", "A", 0), Seller("b", "B", 0))
    must = Job("must", "car", True, 9, parts={"pad": 1, "disc": 1})
    stints = (Stint(day(1), 60), Stint(day(1), 60), Stint(day(2), 60))
    offers = (
        Offer("a-pad", "a", {"pad": 1}, 500, TODAY),
        Offer("b-disc", "b", {"disc": 1}, 500, TODAY),
        Offer("b-kit", "b", {"pad": 2, "disc": 1}, 1000, TODAY),
        Offer("b-kit-of-one-each", "b", {"pad": 1, "disc": 1}, 1000, TODAY),
    )
    problem = workload(must, stints=stints, sellers=sellers, offers=offers)
    answer = proven(problem, aim)
    assert answer.plan.units == {"b-kit-of-one-each": 1}
    assert problem.stints[answer.plan.stint_of("must")].date == day(1)
    assert ranking(problem, answer.plan, aim)[-4:] == (1000, 1, 0, 1)


def test_no_time_at_all_still_gives_a_plan():
    problem = workload(Job("must", "car", True, 9), Job("wish", "car", False, 9, worth=100))
    answer = best_plan(problem, seconds=0)
    assert answer.status in (Status.GOOD, Status.PROVEN)
    assert broken_rules(problem, answer.plan) == []


@pytest.mark.parametrize("aim", Aim)
@pytest.mark.parametrize("digits", range(2, 9))
def test_goods_a_hundredth_short_of_free_delivery_pay_it(digits, aim):
    large = 10**digits
    problem = workload(
        Job("must", "car", True, 60, parts={"pad": 1}),
        sellers=(Seller("post", "Post", large, free_from=large), Seller("near", "Near", 0)),
        offers=(
            Offer("short", "post", {"pad": 1}, large - 1, TODAY),
            Offer("near", "near", {"pad": 1}, large + 1, TODAY),
        ),
    )
    answer = proven(problem, aim)
    assert answer.plan.units == {"near": 1}
    assert answer.cost.money == large + 1
