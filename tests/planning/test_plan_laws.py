"""Laws that hold for any workload: no oracle, only what must follow when something is changed."""

import datetime as dt
from dataclasses import replace

import pytest
from hypothesis import HealthCheck, assume, given, settings
from hypothesis import strategies as st
from workloads import SMALL, TINY, relabelled, seeded_workload, workloads

from made_workloads import made_workload
from onceapart.planning.cost import cost, ranking
from onceapart.planning.plan import Aim, Status
from onceapart.planning.rules import broken_rules
from onceapart.planning.solve import best_plan
from onceapart.planning.workload import Offer

laws = settings(
    max_examples=40,
    deadline=None,
    derandomize=True,
    suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large, HealthCheck.filter_too_much],
)
aims = st.sampled_from(Aim)
LARGER = SMALL._replace(jobs=7, offers=10, access=6)


def figures(workload, aim):
    """What the best plan shows in the figures of the aim itself; None where there is no plan."""
    answer = best_plan(workload, aim)
    if answer.status is Status.IMPOSSIBLE:
        return None
    assert answer.status is Status.PROVEN
    return ranking(workload, answer.plan, aim)[:-3]


def never_worse(workload, changed, aim):
    """The changed workload has a plan if the other has, and none worse."""
    before = figures(workload, aim)
    assume(before is not None)
    after = figures(changed, aim)
    assert after is not None
    assert after <= before


@laws
@given(workloads(LARGER), aims)
def test_a_plan_returned_keeps_the_rules_and_costs_what_it_says(workload, aim):
    answer = best_plan(workload, aim)
    if answer.status is Status.IMPOSSIBLE:
        assert answer.plan is None
        assert answer.why
    else:
        assert answer.status is Status.PROVEN
        assert broken_rules(workload, answer.plan) == []
        assert answer.cost == cost(workload, answer.plan)
        assert answer.bound == answer.cost.total


@laws
@given(workloads(), aims, st.data())
def test_another_offer_never_makes_the_best_plan_dearer(workload, aim, data):
    parts = sorted({part for job in workload.jobs for part in job.parts}) or ["part0"]
    offer = Offer(
        id="another",
        seller=data.draw(st.sampled_from([seller.id for seller in workload.sellers])),
        parts=data.draw(st.dictionaries(st.sampled_from(parts), st.integers(1, 3), min_size=1, max_size=2)),
        price=data.draw(st.integers(0, 1000)),
        arrives=workload.today + dt.timedelta(days=data.draw(st.integers(0, 9))),
        limit=data.draw(st.none() | st.integers(0, 2)),
    )
    never_worse(workload, replace(workload, offers=(*workload.offers, offer)), aim)


@laws
@given(workloads(), aims, st.integers(0, 4), st.integers(1, 9))
def test_a_later_last_day_never_costs_more(workload, aim, which, days):
    dated = [job.id for job in workload.jobs if job.last_day]
    assume(dated)
    chosen = dated[which % len(dated)]
    later = tuple(
        replace(job, last_day=job.last_day + dt.timedelta(days=days)) if job.id == chosen else job
        for job in workload.jobs
    )
    never_worse(workload, replace(workload, jobs=later), aim)


@laws
@given(workloads(), aims, st.integers(0, 2), st.integers(1, 120))
def test_a_longer_stint_never_costs_more(workload, aim, which, minutes):
    at = which % len(workload.stints)
    longer = replace(workload.stints[at], minutes=workload.stints[at].minutes + minutes)
    stints = (*workload.stints[:at], longer, *workload.stints[at + 1 :])
    never_worse(workload, replace(workload, stints=stints), aim)


@laws
@given(workloads(), aims, st.integers(0, 5))
def test_a_part_on_the_shelf_never_costs_more(workload, aim, which):
    parts = sorted({part for job in workload.jobs for part in job.parts})
    assume(parts)
    part = parts[which % len(parts)]
    never_worse(
        workload, replace(workload, shelf={**workload.shelf, part: workload.shelf.get(part, 0) + 1}), aim
    )


@laws
@given(workloads(), aims, st.integers(0, 9))
def test_a_cheaper_and_earlier_offer_never_costs_more(workload, aim, which):
    assume(workload.offers)
    chosen = workload.offers[which % len(workload.offers)]
    # Cheaper goods may miss free delivery, so the seller here delivers for nothing.
    free = tuple(replace(seller, delivery=0) for seller in workload.sellers)
    workload = replace(workload, sellers=free)
    better = replace(chosen, price=chosen.price // 2, arrives=workload.today)
    offers = tuple(better if offer.id == chosen.id else offer for offer in workload.offers)
    never_worse(workload, replace(workload, offers=offers), aim)


@laws
@given(workloads(LARGER), aims, st.integers(0, 5))
def test_other_ids_do_not_change_what_the_best_plan_ranks_by(workload, aim, turn):
    other = relabelled(workload, turn)
    one, two = best_plan(workload, aim), best_plan(other, aim)
    assert one.status is two.status
    if one.plan:
        assert ranking(workload, one.plan, aim) == ranking(other, two.plan, aim)


@laws
@given(workloads(), aims)
def test_the_order_of_the_file_does_not_change_what_the_best_plan_ranks_by(workload, aim):
    turned = replace(
        workload,
        jobs=workload.jobs[::-1],
        offers=workload.offers[::-1],
        sellers=workload.sellers[::-1],
        access=workload.access[::-1],
        tools=workload.tools[::-1],
    )
    one, two = best_plan(workload, aim), best_plan(turned, aim)
    assert one.status is two.status
    if one.plan:
        assert ranking(workload, one.plan, aim) == ranking(turned, two.plan, aim)


@laws
@given(workloads(LARGER))
def test_no_aim_beats_another_at_its_own_game(workload):
    answers = {aim: best_plan(workload, aim) for aim in Aim}
    assume(answers[Aim.BALANCE].plan)
    for aim in Aim:
        own = ranking(workload, answers[aim].plan, aim)
        assert all(own <= ranking(workload, other.plan, aim) for other in answers.values())


@pytest.mark.parametrize("aim", Aim)
@pytest.mark.parametrize("seed", range(12))
def test_the_same_workload_gives_the_very_same_plan(seed, aim):
    first = best_plan(seeded_workload(seed, LARGER), aim)
    again = best_plan(seeded_workload(seed, LARGER), aim)
    assert again == first


@pytest.mark.parametrize("aim", Aim)
@pytest.mark.parametrize("limit", [0, 1, 40, 400])
def test_work_cut_short_still_gives_a_plan_that_keeps_the_rules(limit, aim):
    workload = made_workload("m", 3)
    answer = best_plan(workload, aim, work_limit=limit)
    assert answer.status is Status.GOOD
    assert broken_rules(workload, answer.plan) == []
    assert answer.cost == cost(workload, answer.plan)
    assert _bounded(workload, answer, aim)
    assert best_plan(workload, aim, work_limit=limit) == answer


@pytest.mark.parametrize("aim", Aim)
@pytest.mark.parametrize("seed", range(25))
def test_work_cut_short_never_calls_a_plan_proven_that_is_not(seed, aim):
    workload = seeded_workload(seed, TINY)
    best = best_plan(workload, aim)
    for limit in (0, 1, 5, 20):
        cut = best_plan(workload, aim, work_limit=limit)
        if cut.status is Status.PROVEN:
            assert ranking(workload, cut.plan, aim) == ranking(workload, best.plan, aim)
        elif cut.status is Status.IMPOSSIBLE:
            assert best.status is Status.IMPOSSIBLE
        elif cut.plan is not None:
            assert broken_rules(workload, cut.plan) == []
            assert _bounded(workload, cut, aim)
            assert _bounded(workload, replace(cut, plan=best.plan), aim)


def _bounded(workload, answer, aim):
    """Whether the plan is no better than the bound says any can be."""
    rank = ranking(workload, answer.plan, aim)
    price = cost(workload, answer.plan)
    orders, spare, days = rank[-3:]
    named = {
        "total": price.total, "money": price.money, "minutes": price.minutes, "ready": rank[0],
        "orders": orders, "spare": spare, "days": days,
    }  # fmt: skip
    return answer.bound <= named[answer.bound_of]


def test_progress_is_told_and_never_contradicts_the_answer():
    workload = made_workload("s", 2)
    told = []
    answer = best_plan(workload, progress=told.append)
    assert told
    bounds = [step.bound for step in told if step.bound is not None and step.stage in ("root", "total")]
    bests = [step.best for step in told if step.best is not None]
    assert all(bound <= answer.cost.total + 0.5 for bound in bounds)
    assert all(best >= answer.cost.total for best in bests)


@pytest.mark.parametrize("after", [0, 1, 2])
def test_interrupting_gives_the_best_plan_so_far(after):
    workload = made_workload("m", 3)
    calls = []

    def interrupt(step):
        calls.append(step)
        if len(calls) > after:
            raise KeyboardInterrupt

    answer = best_plan(workload, progress=interrupt)
    assert answer.status is Status.GOOD
    assert broken_rules(workload, answer.plan) == []
    assert _bounded(workload, answer, Aim.BALANCE)
