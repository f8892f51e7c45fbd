"""Workloads too large to look at every plan of, against the plain models in two other solvers."""

import pytest
from workloads import SMALL, seeded_workload

from made_workloads import made_workload
from onceapart.planning.cost import ranking
from onceapart.planning.plan import Aim, Status
from onceapart.planning.rules import broken_rules
from onceapart.planning.solve import best_plan
from plain_models import solve_with_cp_sat, solve_with_highs


def _check(workload, aim, *, tie_breaks=True):
    answer = best_plan(workload, aim)
    exact = solve_with_cp_sat(workload, aim, tie_breaks=tie_breaks)
    if exact.status == "impossible":
        assert answer.status is Status.IMPOSSIBLE
        return
    assert exact.status == "proven"
    assert answer.status is Status.PROVEN
    assert broken_rules(workload, answer.plan) == []
    figures = None if tie_breaks else -3
    assert ranking(workload, answer.plan, aim)[:figures] == ranking(workload, exact.plan, aim)[:figures]


@pytest.mark.parametrize("aim", Aim)
@pytest.mark.parametrize("seed", range(16))
def test_small_workloads_against_cp_sat(seed, aim):
    _check(seeded_workload(seed, SMALL), aim)


@pytest.mark.parametrize("aim", Aim)
@pytest.mark.parametrize("seed", range(1, 6))
def test_the_small_made_up_workloads_against_cp_sat(seed, aim):
    _check(made_workload("s", seed), aim, tie_breaks=aim in (Aim.THRIFT, Aim.LEAST_WORK))


@pytest.mark.parametrize(
    ("seed", "aim"), [(1, Aim.BALANCE), (2, Aim.THRIFT), (2, Aim.LEAST_WORK), (2, Aim.SOONEST)]
)
def test_medium_made_up_workloads_against_highs(seed, aim):
    """CP-SAT does not prove these in a minute. HiGHS does, in floating point; so a unit's leeway is left."""
    workload = made_workload("m", seed)
    answer, plain = best_plan(workload, aim), solve_with_highs(workload, aim)
    assert plain.status == "proven"
    assert answer.status is Status.PROVEN
    assert broken_rules(workload, answer.plan) == []
    ours, theirs = ranking(workload, answer.plan, aim), ranking(workload, plain.plan, aim)
    assert ours <= theirs
    assert all(plain_figure - figure <= 1 for figure, plain_figure in zip(ours, theirs[:-3], strict=False))
