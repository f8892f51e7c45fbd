"""The simulation: run by run like a plain oracle, and in the mean like exact answers."""

from __future__ import annotations

import math
import time

import numpy as np
import pytest
from chance_cases import day, every_luck, luck_of, made_case, spread, work_one, workload
from hypothesis import HealthCheck, assume, given, settings
from hypothesis import strategies as st
from scipy import stats

from onceapart.cli.files import prepare
from onceapart.demo import read_demo
from onceapart.planning.chance.breaks import InHand
from onceapart.planning.chance.draws import draw
from onceapart.planning.chance.minutes import Chances, binomial, minutes_of
from onceapart.planning.chance.odds import Odds
from onceapart.planning.chance.simulate import simulate
from onceapart.planning.chance.stint_load import stint_loads
from onceapart.planning.chance.trouble import Fastener, Trouble, trouble_of
from onceapart.planning.cost import cost
from onceapart.planning.plan import plan_of
from onceapart.planning.rules import broken_rules
from onceapart.planning.solve import best_plan
from onceapart.planning.workload import Access, Aftercare, Job, Stint

SLOW = [HealthCheck.too_slow, HealthCheck.data_too_large, HealthCheck.filter_too_much]


def agrees(odds: Odds, exact: float) -> bool:
    """Whether so many hits or more, or fewer, are likelier than once in ten million times."""
    few = stats.binom.cdf(odds.hits, odds.runs, exact)
    many = stats.binom.sf(odds.hits - 1, odds.runs, exact)
    return bool(min(few, many) > 1e-7)


@settings(max_examples=200, deadline=None, suppress_health_check=SLOW)
@given(st.integers(0, 10**9))
def test_each_run_goes_by_the_rule(seed):
    w, plan, trouble, in_hand = made_case(seed)
    draws = draw(w, trouble, runs=25, seed=seed)
    found = simulate(w, plan, trouble, in_hand, draws=draws)
    for run in range(25):
        wanted = work_one(w, plan, trouble, in_hand, luck_of(draws, run))
        assert {
            name: int(at[run]) for name, at in found.done_at.items() if at[run] < len(w.stints)
        } == wanted.done_at
        assert [bool(left[run]) for left in found.left_over] == wanted.left_over
        assert found.minutes[run] == wanted.minutes
        assert found.prices[run] == wanted.prices
        assert found.trips[run] == wanted.trips


@settings(max_examples=25, deadline=None, suppress_health_check=SLOW)
@given(st.integers(0, 10**9))
def test_chances_are_those_of_all_that_may_happen(seed):
    w, plan, trouble, in_hand = made_case(seed, few=True)
    wide = [
        np.count_nonzero(minutes_of(trouble.spread(kind, one.id, w)).chance)
        for kind, items in (("job", w.jobs), ("access", w.access), ("aftercare", w.aftercare))
        for one in items
    ]
    assume(math.prod(wide) * 9 ** len(trouble.fasteners) <= 8000)
    found = simulate(w, plan, trouble, in_hand, runs=4000, seed=3)
    done: dict[tuple[str, int], float] = {}
    minutes, trips, total = 0.0, 0.0, 0.0
    for chance, luck in every_luck(w, trouble):
        run = work_one(w, plan, trouble, in_hand, luck)
        total += chance
        minutes += chance * run.minutes
        trips += chance * run.trips
        for job, at in run.done_at.items():
            done[job, at] = done.get((job, at), 0.0) + chance
    assert total == pytest.approx(1)
    for job, at_runs in found.done_at.items():
        for at in range(len(w.stints)):
            assert agrees(found.odds(at_runs == at), min(1.0, done.get((job, at), 0.0)))
    assert abs(found.minutes.mean() - minutes) <= 4.5 * found.minutes.std() / math.sqrt(4000) + 0.05
    assert abs(found.trips.mean() - trips) <= 4.5 * found.trips.std() / math.sqrt(4000) + 0.01


def one_stint(room: int):
    jobs = [
        Job("pads", "wren", True, 40, access=("wheel",)),
        Job("boot", "wren", True, 35, access=("shaft",)),
    ]
    access = (
        Access("wheel", 8, aftercare=("nuts",)),
        Access("shaft", 30, under=("wheel",)),
    )
    w = workload(jobs, [Stint(day(5), room)], access=access, aftercare=(Aftercare("nuts", 10, 0),))
    trouble = Trouble(
        jobs={"pads": spread(25, 40, 95), "boot": spread(20, 35, 80)},
        access={"wheel": spread(5, 8, 25), "shaft": spread(20, 30, 90)},
        aftercare={"nuts": spread(5, 10, 20)},
        fasteners=(
            Fastener("pads", "pin", 2, 0.2, getting_out=spread(8, 20, 60)),
            Fastener("wheel", "stud", 4, 0.05, True, getting_out=spread(10, 20, 45)),
            Fastener("shaft", "hub-nut", 1, 0.3, True, getting_out=spread(10, 15, 40), renew=True),
        ),
        trip=30,
    )
    return w, plan_of(w, [["pads", "boot"]], {}), trouble


def convolved(trouble: Trouble) -> Chances:
    """Minutes of ``one_stint`` exactly, by adding up independent figures."""
    spreads = [*trouble.jobs.values(), *trouble.access.values(), *trouble.aftercare.values()]
    total = Chances.certain(0)
    for one in spreads:
        total = total + minutes_of(one)
    for fastener in trouble.fasteners:
        number = binomial(fastener.count, fastener.chance)
        most = fastener.count * fastener.getting_out.bad + 30
        mixed = np.zeros(most + 1)
        out = Chances.certain(0)
        for n, chance in enumerate(number.chance):
            trip = 30 if n and not fastener.renew else 0
            mixed[out.least + trip : out.least + trip + len(out.chance)] += chance * out.chance
            out = out + minutes_of(fastener.getting_out)
        total = total + Chances(0, mixed)
    return total


@pytest.mark.parametrize("room", [140, 165, 190, 240])
def test_a_stint_is_in_time_as_often_as_a_convolution_says(room):
    w, plan, trouble = one_stint(room)
    exact = convolved(trouble)
    draws = draw(w, trouble, runs=10_000, seed=11)
    (load,) = stint_loads(w, plan, trouble, draws)
    assert agrees(load.fits, exact.at_most(room))
    assert abs(load.overrun - exact.beyond(room)) <= 4.5 * load.overrun_error
    found = simulate(w, plan, trouble, draws=draws)
    assert found.finished(0) == load.fits
    assert load.minutes.mean() == pytest.approx(exact.mean, abs=4.5 * (exact.variance / 10_000) ** 0.5)


def test_spares_in_the_house_save_the_trips_and_nothing_else():
    w, plan, trouble = one_stint(1000)
    draws = draw(w, trouble, runs=2000, seed=5)
    without = simulate(w, plan, trouble, draws=draws)
    spares = [InHand("pin", 2, day(0)), InHand("stud", 4, day(0))]
    have = simulate(w, plan, trouble, spares, draws=draws)
    late = simulate(w, plan, trouble, [InHand("pin", 2, day(6)), InHand("stud", 4, day(6))], draws=draws)
    assert (without.minutes - have.minutes == 30 * without.trips).all()
    assert not have.trips.any()
    assert (late.minutes == without.minutes).all(), "what comes after the stint is of no use in it"
    assert without.trips.max() == 2


def test_without_a_counter_the_job_waits_for_the_post():
    jobs = [Job("pads", "wren", True, 40)]
    w = workload(jobs, [Stint(day(at), 100) for at in (0, 3, 9)])
    trouble = Trouble(
        fasteners=(Fastener("pads", "pin", 1, 1.0, getting_out=spread(10, 10, 10)),), trip=None, post=5
    )
    plan = plan_of(w, [["pads"], [], []], {})
    assert (simulate(w, plan, trouble, runs=5).done_at["pads"] == 2).all()
    have = simulate(w, plan, trouble, [InHand("pin", 1, day(0))], runs=5)
    assert (have.done_at["pads"] == 0).all()


def test_half_a_job_is_half_a_job_and_the_car_comes_apart_again():
    jobs = [Job("pads", "wren", True, 60, last_day=day(3), access=("wheel",))]
    w = workload(jobs, [Stint(day(0), 50), Stint(day(3), 50)], access=(Access("wheel", 20),))
    found = simulate(w, plan_of(w, [["pads"], []], {}), Trouble(), runs=3)
    assert (found.done_at["pads"] == 1).all()
    assert (found.minutes == 60 + 2 * 20).all()
    assert found.odds(found.in_time("wren")).share == 1


def test_what_was_off_and_stays_off_is_not_paid_again():
    jobs = [
        Job("pads", "wren", True, 60, access=("wheel",)),
        Job("disc", "wren", True, 30, access=("wheel",)),
    ]
    access = (Access("wheel", 21, may_stand=True),)
    w = workload(jobs, [Stint(day(0), 90), Stint(day(3), 90)], access=access)
    plan = plan_of(w, [["pads"], ["disc"]], {}, [("wheel",), ()])
    assert broken_rules(w, plan) == []
    found = simulate(w, plan, Trouble(), runs=3)
    assert (found.minutes == 60 + 30 + 21).all()


@settings(max_examples=60, deadline=None, suppress_health_check=SLOW)
@given(st.integers(0, 10**9))
def test_a_plan_that_keeps_the_rules_goes_as_planned_where_nothing_goes_otherwise(seed):
    w, plan, _, _ = made_case(seed)
    assume(not any(rule.startswith(("rule 5", "rule 6", "rule 10")) for rule in broken_rules(w, plan)))
    found = simulate(w, plan, Trouble(), runs=2)
    for job, at in found.done_at.items():
        assert (at == plan.stint_of(job)).all()
    price = cost(w, plan)
    assert (found.minutes == price.minutes).all()
    assert found.money == pytest.approx(price.money)
    assert found.total == pytest.approx(price.total, abs=0.51)  # the plan's time is rounded
    loads = stint_loads(w, plan, Trouble(), draw(w, Trouble(), runs=2, seed=1))
    assert [load.minutes[0] for load in loads] == [plan.minutes_in(w, at) for at in range(len(w.stints))]


def test_the_demo_is_worked_ten_thousand_times_in_less_than_a_second():
    found = prepare(read_demo())
    plan = best_plan(found.workload).plan
    assert plan is not None
    trouble = trouble_of(found.workshop)
    took = []
    for _ in range(3):
        started = time.perf_counter()
        outcome = simulate(found.workload, plan, trouble, runs=10_000)
        took.append(time.perf_counter() - started)
    assert min(took) < 1.0
    again = simulate(found.workload, plan, trouble, runs=10_000)
    assert all((again.done_at[job] == at).all() for job, at in outcome.done_at.items())
    assert (again.minutes == outcome.minutes).all()
    other = simulate(found.workload, plan, trouble, runs=10_000, seed=8)
    assert (other.minutes != outcome.minutes).any()
    both = [one.odds(one.in_time("duchess")) for one in (outcome, other)]
    assert abs(both[0].share - both[1].share) <= 4.5 * math.hypot(both[0].error, both[1].error)


def test_luck_does_not_hang_on_what_else_there_is():
    w, _, trouble = one_stint(200)
    alone = workload([w.job["boot"]], w.stints, access=w.access, aftercare=w.aftercare)
    both = draw(w, trouble, runs=50, seed=1), draw(alone, trouble, runs=50, seed=1)
    assert (both[0].jobs["boot"] == both[1].jobs["boot"]).all()


def test_a_must_job_that_the_plan_leaves_is_never_in_time():
    w = workload([Job("pads", "wren", True, 10, last_day=day(9))], [Stint(day(0), 60)])
    found = simulate(w, plan_of(w, [[]], {}), Trouble(), runs=4)
    assert found.odds(found.all_in_time).share == 0
    assert found.cars == ("wren",)
