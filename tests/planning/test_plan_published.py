"""Optima from outside the project: published, worked out by another library, or known by construction."""

import random
from pathlib import Path

import numpy as np
import pytest
from published import (
    affine_lines,
    assignment,
    bin_packing,
    covering,
    knapsack,
    projective_lines,
    warehouse_location,
)
from scipy.optimize import linear_sum_assignment

from onceapart.planning.plan import Aim, Status
from onceapart.planning.rules import broken_rules
from onceapart.planning.solve import best_plan
from onceapart.planning.workload import workload_from
from onceapart.workshop import parse_workshop

CAP71 = Path(__file__).parent / "data" / "cap71.txt"


def proven(text, aim=Aim.BALANCE):
    workload = workload_from(parse_workshop(text))
    answer = best_plan(workload, aim)
    assert answer.status is Status.PROVEN
    assert broken_rules(workload, answer.plan) == []
    return answer


@pytest.mark.parametrize("aim", [Aim.BALANCE, Aim.THRIFT])
def test_warehouse_location_cap71(aim):
    """OR-Library (J. E. Beasley), `cap71`; optimum printed in its file `uncapopt`: 932615.750.

    All amounts of the data are whole eightieths, so an eightieth is the minor unit here.
    """
    answer = proven(warehouse_location(CAP71, minor_units_for_one=80), aim)
    assert f"{answer.cost.total / 80:.3f}" == "932615.750"


def test_bin_packing_example():
    """Example of the OR-Tools documentation, "The bin packing problem"; data and its 4 bins from memory.

    The optimum needs no source: the sizes add up to 370, which is more than three bins of 100 hold.
    """
    sizes = [48, 30, 19, 36, 36, 27, 42, 42, 36, 24, 30]
    answer = proven(bin_packing(sizes, 100, bins=6))
    assert answer.cost.total == 400
    assert sum(bool(work.jobs) for work in answer.plan.work) == 4


@pytest.mark.parametrize(("seed", "bins"), [(1, 3), (2, 4), (3, 5)])
def test_bin_packing_in_triplets(seed, bins):
    """Constructed: three items fill a bin to the minute, so that number of bins is the least.

    The construction is that of the "triplet" instances of E. Falkenauer, "A hybrid grouping genetic algorithm
    for bin packing", Journal of Heuristics 2, 1996 (cited from memory); the numbers are our own.
    """
    draw = random.Random(seed)
    sizes = []
    for _ in range(bins):
        first = draw.randint(380, 490)
        second = draw.randint((1000 - first) // 2 - 50, (1000 - first) // 2)
        sizes += [first, second, 1000 - first - second]
    draw.shuffle(sizes)
    answer = proven(bin_packing(sizes, 1000, bins=bins + 2))
    assert answer.cost.total == 100 * bins


def test_bin_packing_that_does_not_fit_is_impossible():
    """Constructed: two items of 51 never share a bin of 100, so five of them need five bins."""
    workload = workload_from(parse_workshop(bin_packing([51] * 5, 100, bins=4)))
    assert best_plan(workload).status is Status.IMPOSSIBLE
    assert proven(bin_packing([51] * 5, 100, bins=5)).cost.total == 500


def best_packed(values, weights, capacity):
    """The most a knapsack can hold in value, by dynamic programming over its capacity."""
    most = [0] * (capacity + 1)
    for value, weight in zip(values, weights, strict=True):
        for room in range(capacity, weight - 1, -1):
            most[room] = max(most[room], most[room - weight] + value)
    return most[capacity]


def test_knapsack_example():
    """Example of the OR-Tools documentation, "The knapsack problem": data and optimum 7534 from memory.

    The optimum is worked out once more by dynamic programming.
    """
    values = [
        360, 83, 59, 130, 431, 67, 230, 52, 93, 125, 670, 892, 600, 38, 48, 147, 78, 256, 63, 17, 120, 164,
        432, 35, 92, 110, 22, 42, 50, 323, 514, 28, 87, 73, 78, 15, 26, 78, 210, 36, 85, 189, 274, 43, 33, 10,
        19, 389, 276, 312,
    ]  # fmt: skip
    weights = [
        7, 0, 30, 22, 80, 94, 11, 81, 70, 64, 59, 18, 0, 36, 3, 8, 15, 42, 9, 0, 42, 47, 52, 32, 26, 48, 55,
        6, 29, 84, 2, 4, 18, 56, 7, 29, 93, 44, 71, 3, 86, 66, 31, 65, 0, 79, 20, 65, 52, 13,
    ]  # fmt: skip
    assert best_packed(values, weights, 850) == 7534
    assert proven(knapsack(values, weights, 850)).cost.worth == 7534


@pytest.mark.parametrize("seed", range(4))
def test_small_knapsacks(seed):
    """Optimum by dynamic programming."""
    draw = random.Random(seed)
    weights = [draw.randint(10, 90) for _ in range(14)]
    values = [weight * 10 + draw.randint(-60, 60) for weight in weights]
    assert proven(knapsack(values, weights, 300)).cost.worth == best_packed(values, weights, 300)


def test_assignment_example_of_scipy():
    """The example in the docstring of `scipy.optimize.linear_sum_assignment`, which prints 5."""
    costs = [[4, 1, 3], [2, 0, 5], [3, 2, 2]]
    answer = proven(assignment(costs, reward=100))
    assert 3 * 100 - answer.cost.worth == 5
    assert answer.plan.done == {"pair-0-1", "pair-1-0", "pair-2-2"}


@pytest.mark.parametrize(("rows", "columns", "seed"), [(4, 4, 1), (3, 5, 2), (5, 5, 3)])
def test_assignment_as_scipy_solves_it(rows, columns, seed):
    costs = np.random.default_rng(seed).integers(0, 90, (rows, columns))
    row, column = linear_sum_assignment(costs)
    answer = proven(assignment(costs.tolist(), reward=1000))
    assert 1000 * rows - answer.cost.worth == costs[row, column].sum()


def test_covering_the_lines_of_an_affine_plane():
    """Fewest points that meet every line of the affine plane of order three: 5 of 9.

    The covering problem A9 of D. R. Fulkerson, G. L. Nemhauser and L. E. Trotter, "Two computationally
    difficult set covering problems that arise in computing the 1-width of incidence matrices of Steiner
    triple systems", Mathematical Programming Study 2, 1974 (optimum from memory).
    """
    assert proven(covering(affine_lines(2))).cost.total == 500


@pytest.mark.parametrize(("dimension", "least"), [(2, 3), (3, 7)])
def test_covering_the_lines_of_a_projective_space(dimension, least):
    """Fewest points that meet every line: those of a hyperplane, one less than a power of two.

    R. C. Bose and R. C. Burton, "A characterization of flat spaces in a finite geometry", Journal of
    Combinatorial Theory 1, 1966 (from memory).
    """
    assert proven(covering(projective_lines(dimension))).cost.total == 100 * least


def test_a_search_cut_short_holds_the_optimum_of_a_hard_covering_between_bound_and_plan():
    """The covering problem A27 of the same paper as A9: 18 of 27 points (optimum from memory).

    The 9 points left out are a largest set without a line: sequence A090245 of the On-Line Encyclopedia of
    Integer Sequences (from memory).
    """
    workload = workload_from(parse_workshop(covering(affine_lines(3))))
    answer = best_plan(workload, work_limit=2000)
    assert broken_rules(workload, answer.plan) == []
    assert answer.bound_of == "total"
    assert answer.bound <= 1800 <= answer.cost.total
