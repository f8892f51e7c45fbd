"""What large workshops are searched by: stints put together, functions that keep sums, the two sides."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from workloads import SMALL, seeded_workload

from onceapart.planning.cost import ranking
from onceapart.planning.plan import Aim, Status
from onceapart.planning.reduce import reduce_workload
from onceapart.planning.solve import aims, best_plan
from onceapart.planning.solve.fits import PARTS, Fit
from onceapart.planning.solve.slots import alike_slots
from plain_models import solve_with_cp_sat


@given(st.data())
def test_what_fits_a_stint_adds_up_to_one_at_most(data):
    room = data.draw(st.integers(2, 40))
    left, minutes = room, []
    while left and len(minutes) < 8:
        minutes.append(data.draw(st.integers(1, left)))
        left -= minutes[-1]
    fits = [Fit(0, room, k, 0) for k in PARTS] + [Fit(0, room, 0, e) for e in range(1, room // 2 + 1)]
    for fit in fits:
        assert fit.of(np.array(minutes, float)).sum() <= 1 + 1e-9


@pytest.mark.parametrize("seed", range(12))
def test_each_stint_is_in_one_slot_and_periods_follow_one_another(seed):
    reduced = reduce_workload(seeded_workload(seed, SMALL))
    slots = alike_slots(reduced, reduced.offers)
    assert sorted(at for slot in slots.slots for at in slot.stints) == list(range(len(reduced.room)))
    for slot in slots.slots:
        assert {reduced.room[at] for at in slot.stints} == {slot.room}
        assert {slots.period_of(at) for at in slot.stints} == {slot.period}
    for offer in reduced.offers:
        if offer.useful and 0 < offer.at < len(reduced.room):
            assert slots.period_of(offer.at - 1) < slots.period_of(offer.at)


@pytest.mark.parametrize("aim", [Aim.BALANCE, Aim.THRIFT])
@pytest.mark.parametrize("seed", range(8))
def test_the_two_sides_find_the_best_plan(seed, aim, monkeypatch):
    monkeypatch.setattr(aims, "PATTERNS_TOGETHER", 0)
    monkeypatch.setattr(aims, "COMBINE_AFTER_TURNS", frozenset(range(1, 99)))
    workload = seeded_workload(seed, SMALL)
    answer, exact = best_plan(workload, aim), solve_with_cp_sat(workload, aim, tie_breaks=False)
    if exact.status == "impossible":
        assert answer.status is Status.IMPOSSIBLE
    else:
        assert answer.status is Status.PROVEN
        mine, best = (ranking(workload, found.plan, aim)[:-3] for found in (answer, exact))
        assert mine == best
