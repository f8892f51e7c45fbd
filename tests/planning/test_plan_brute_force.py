"""The best plan is the one that looking at every plan finds, for every aim, in every figure plans rank by."""

from functools import cache

import pytest
from oracles import by_brute_force
from workloads import TINIEST, TINY, seeded_workload

from onceapart.planning import patterns
from onceapart.planning.cost import cost, ranking
from onceapart.planning.plan import Aim, Status
from onceapart.planning.rules import broken_rules
from onceapart.planning.solve import aims, best_plan

SEEDS = range(660)


@cache
def best_of(seed, shape):
    return by_brute_force(seeded_workload(seed, shape))


def check(seed, shape):
    workload, best = seeded_workload(seed, shape), best_of(seed, shape)
    for aim in Aim:
        answer = best_plan(workload, aim)
        if not best:
            assert answer.status is Status.IMPOSSIBLE, aim
            assert (answer.plan, answer.cost) == (None, None)
            assert answer.why
            continue
        assert answer.status is Status.PROVEN, aim
        assert broken_rules(workload, answer.plan) == [], aim
        assert ranking(workload, answer.plan, aim) == best[aim].ranking, aim
        assert answer.cost == cost(workload, answer.plan), aim
        assert (answer.bound, answer.bound_of) == (answer.cost.total, "total"), aim


@pytest.mark.parametrize("seed", SEEDS)
def test_the_best_plan_is_that_of_brute_force(seed):
    check(seed, TINY)


def test_hundreds_of_them_have_a_plan_and_a_hundred_have_none():
    possible = sum(bool(best_of(seed, TINY)) for seed in SEEDS)
    assert possible >= 400
    assert len(SEEDS) - possible >= 100


@pytest.mark.parametrize("seed", range(0, 660, 4))
@pytest.mark.parametrize("way", ["apart", "cut", "apart and cut"])
def test_the_ways_of_large_workshops_find_it_too(way, seed, monkeypatch):
    """Columns of one block each, and blocks cut in two with set-ups that span them."""
    if "apart" in way:
        monkeypatch.setattr(aims, "PATTERNS_TOGETHER", 0)
        monkeypatch.setattr(aims, "COMBINE_AFTER_TURNS", frozenset({1, 2, 4}))
    if "cut" in way:
        monkeypatch.setattr(patterns, "MAX_PATTERNS", 2)
        monkeypatch.setattr(patterns, "SMALL_BLOCK", 1)
    check(seed, TINY)


@pytest.mark.parametrize("seed", range(80))
def test_the_tiniest_workloads_too(seed):
    """One job or two and hardly an offer, where hardly anything is left to search in."""
    check(seed, TINIEST)
