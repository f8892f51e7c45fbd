"""For any workload: all figures are those of real plans, and nothing is named that isn't there."""

import dataclasses
import functools
from dataclasses import replace

import pytest
from hypothesis import HealthCheck, assume, given, settings
from hypothesis import strategies as st
from workloads import SMALL, TINY, seeded_workload, workloads

from made_workloads import made_workload
from onceapart.planning.cost import cost, ranking, spare_pieces
from onceapart.planning.explain import best_with, explain, why_left
from onceapart.planning.explain_words import done_in_words, left_in_words, order_in_words
from onceapart.planning.greedy import greedy_plan
from onceapart.planning.lots import lots_of
from onceapart.planning.plan import Aim, Plan, Status, StintWork, plan_of
from onceapart.planning.repair import difference
from onceapart.planning.rules import broken_rules
from onceapart.planning.solve import best_plan

laws = settings(
    max_examples=60,
    deadline=None,
    derandomize=True,
    suppress_health_check=[HealthCheck.too_slow, HealthCheck.filter_too_much],
)
LARGER = SMALL._replace(jobs=7, offers=12, access=6)
aims = st.sampled_from(Aim)


@functools.cache
def known_plans():
    """Workloads with plans that keep the rules, often far from the best."""
    made = [seeded_workload(seed, LARGER) for seed in range(400)]
    return [(workload, plan) for workload in made if (plan := greedy_plan(workload)) is not None]


def planned():
    """One of the known plans: drawing a number is far quicker than drawing a whole workload."""
    return st.integers(0, len(known_plans()) - 1).map(lambda number: known_plans()[number])


def alternatives(explanation):
    """Every other plan in an explanation, with what it is said to cost on top."""
    for done in explanation.done:
        yield from ((one.plan, one.change) for one in done.elsewhere if one.plan)
        yield from ((wait.sooner.plan, wait.sooner.change) for wait in done.waits if wait.sooner)
    yield from ((left.plan, left.change) for left in explanation.left if left.plan and not left.longer)


@laws
@given(planned(), aims)
def test_every_figure_is_that_of_a_plan_that_keeps_the_rules(case, aim):
    workload, plan = case
    explanation = explain(workload, plan, aim)
    before = cost(workload, plan)
    for other, change in alternatives(explanation):
        assert broken_rules(workload, other) == []
        assert difference(before, cost(workload, other)) == change
    for order in explanation.basket:
        if order.instead is not None:
            assert broken_rules(workload, order.instead) == []
            assert cost(workload, order.instead).money - before.money == order.saves
            assert order.instead.done == plan.done


@laws
@given(planned(), aims)
def test_another_stint_moves_one_job_and_no_other(case, aim):
    workload, plan = case
    for done in explain(workload, plan, aim).done:
        assert [one.place for one in done.elsewhere] == [
            at for at in range(len(workload.stints)) if at != done.place
        ]
        for one in done.elsewhere:
            if one.plan:
                moved = {job: one.plan.stint_of(job) for job in plan.done}
                assert moved == {**{job: plan.stint_of(job) for job in plan.done}, done.job: one.place}
                assert one.is_alone == (one.plan.work[one.place].jobs == (done.job,))


@laws
@given(planned())
def test_what_is_shared_adds_up_to_what_a_stint_of_its_own_would_take(case):
    workload, plan = case
    for done in explain(workload, plan).done:
        work = plan.work[done.place]
        rest = tuple(job for job in work.jobs if job != done.job)
        split = [stint_work(workload, jobs, work.hire) for jobs in (rest, (done.job,))]
        at = done.place + 1  # the stint for the job alone stands right behind its own
        stints = (
            *workload.stints[:at],
            replace(workload.stints[at - 1], minutes=10**6),
            *workload.stints[at:],
        )
        apart = replace(plan, work=(*plan.work[: at - 1], *split, *plan.work[at:]))
        wider = replace(workload, stints=stints)
        assert [rule for rule in broken_rules(wider, apart) if "rule 6" not in rule] == []
        change = difference(cost(workload, plan), cost(wider, apart))
        assert (change.minutes, change.money) == (done.minutes_saved, done.money_saved)


def stint_work(workload, jobs, hired):
    opened = workload.opened_for(jobs)
    tools = workload.tools_for(jobs, opened)
    return StintWork(
        jobs, opened, workload.aftercare_for(jobs, opened), tuple(tool for tool in tools if tool in hired)
    )


@laws
@given(planned(), aims)
def test_what_stands_in_the_way_does(case, aim):
    workload, plan = case
    everything = {offer.id: 99 if offer.limit is None else offer.limit for offer in workload.offers}
    explanation = explain(workload, plan, aim)
    blocked = [(one.place, done.job, one.obstacle) for done in explanation.done for one in done.elsewhere]
    blocked += [(left.place, left.job, left.obstacle) for left in explanation.left if not left.with_jobs]
    rule = {"last day": "rule 2", "room": "rule 5", "after": "rule 6", "parts": "rule 7", "tool": "rule 9"}
    for place, job, obstacle in blocked:
        if obstacle is not None:
            jobs_in = [[name for name in work.jobs if name != job] for work in plan.work]
            jobs_in[place].append(job)
            forced = plan_of(workload, jobs_in, everything)
            assert any(rule[obstacle.kind] in broken for broken in broken_rules(workload, forced))


@laws
@given(planned(), aims)
def test_a_left_job_that_needs_a_longer_stint_fits_when_it_has_it(case, aim):
    workload, plan = case
    for left in explain(workload, plan, aim).left:
        assert not (left.cannot and left.plan)
        if left.longer:
            stints = list(workload.stints)
            stints[left.place] = replace(stints[left.place], minutes=stints[left.place].minutes + left.longer)
            assert broken_rules(replace(workload, stints=tuple(stints)), left.plan) == []
            stints[left.place] = replace(stints[left.place], minutes=stints[left.place].minutes - 1)
            assert broken_rules(replace(workload, stints=tuple(stints)), left.plan) != []
        if left.plan:
            assert left.plan.done == plan.done | {left.job, *left.with_jobs}


@laws
@given(planned(), aims)
def test_nobody_has_it_sooner_only_where_nobody_has(case, aim):
    workload, plan = case
    everything = {offer.id: 99 if offer.limit is None else offer.limit for offer in workload.offers}
    for done in explain(workload, plan, aim).done:
        for wait in done.waits:
            earlier = [s for s in workload.stints[: done.place] if s.date >= wait.arrives]
            assert wait.holds == (done.place > 0 and not earlier)
            if wait.holds and wait.sooner is None:
                jobs_in = [[job for job in work.jobs if job != done.job] for work in plan.work]
                jobs_in[done.place - 1].append(done.job)
                broken = broken_rules(workload, plan_of(workload, jobs_in, everything))
                assert any("rule 7" in rule and wait.part in rule for rule in broken)


@laws
@given(planned())
def test_every_piece_is_used_or_spare(case):
    workload, plan = case
    lots = lots_of(workload, plan)
    for job, used in lots.of_job.items():
        stint = workload.stints[plan.stint_of(job)]
        for part, need in workload.job[job].parts.items():
            mine = [lot for lot in used if lot.part == part]
            assert sum(lot.pieces for lot in mine) == need
            assert all(lot.arrives is None or lot.arrives <= stint.date for lot in mine)
    spare = {}
    for order in explain(workload, plan).basket:
        for line in order.lines:
            pieces = {part: n * line.units for part, n in workload.offer[line.offer].parts.items()}
            assert {part: line.useful.get(part, 0) + line.spare.get(part, 0) for part in pieces} == pieces
            for part, n in line.spare.items():
                spare[part] = spare.get(part, 0) + n
    assert dict(sorted(spare.items())) == spare_pieces(workload, plan)


@laws
@given(planned())
def test_orders_add_up_to_goods_and_delivery(case):
    workload, plan = case
    orders, price = explain(workload, plan).basket, cost(workload, plan)
    assert sum(order.goods for order in orders) == price.goods
    assert sum(order.delivery for order in orders) == price.delivery
    assert {line.offer: line.units for order in orders for line in order.lines} == plan.units


@laws
@given(planned(), aims)
def test_no_explanation_names_what_is_not_there(case, aim):
    workload, plan = case
    explanation = explain(workload, plan, aim)
    ids = {
        "job": workload.job, "with_jobs": workload.job, "jobs": workload.job, "offer": workload.offer,
        "seller": workload.seller, "instead_sellers": workload.seller,
        "part": {part for job in workload.jobs for part in job.parts},
        "only_here": {part for job in workload.jobs for part in job.parts},
        "useful": {part for job in workload.jobs for part in job.parts},
        "spare": {part for offer in workload.offers for part in offer.parts},
        "place": range(len(workload.stints)),
    }  # fmt: skip
    for entry in walked(explanation):
        for field in dataclasses.fields(entry):
            value = getattr(entry, field.name)
            if field.name in ids and value is not None:
                names = value if isinstance(value, tuple | dict) else [value]
                assert all(name in ids[field.name] for name in names)
    for done in explanation.done:
        shared = {
            "access": workload.access_by_id,
            "aftercare": workload.aftercare_by_id,
            "hire": workload.tool,
        }
        assert all(share.id in shared[share.kind] for share in done.shares)


def walked(value):
    """Every data class in an explanation, but the plans and figures."""
    if isinstance(value, tuple):
        for entry in value:
            yield from walked(entry)
    elif dataclasses.is_dataclass(value) and not isinstance(value, Plan):
        yield value
        for field in dataclasses.fields(value):
            yield from walked(getattr(value, field.name))


@laws
@given(workloads(LARGER), aims)
def test_all_of_it_can_be_said(workload, aim):
    plan = greedy_plan(workload)
    assume(plan is not None)
    explanation = explain(workload, plan, aim)
    said = [sentence for done in explanation.done for sentence in done_in_words(workload, done)]
    said += [left_in_words(workload, left) for left in explanation.left]
    said += [sentence for order in explanation.basket for sentence in order_in_words(workload, order)]
    for sentence in said:
        assert sentence.endswith(".")
        assert ".." not in sentence
        assert "  " not in sentence
        assert "None" not in sentence


@pytest.mark.parametrize("aim", Aim)
@pytest.mark.parametrize("seed", range(20))
def test_no_other_way_ranks_before_a_proven_plan(seed, aim):
    workload = seeded_workload(seed, LARGER)
    answer = best_plan(workload, aim)
    if answer.plan is None:
        return
    explanation = explain(workload, answer.plan, aim)
    best = ranking(workload, answer.plan, aim)
    assert all(best <= ranking(workload, plan, aim) for plan, _ in alternatives(explanation))
    assert not any(left.is_better for left in explanation.left)


@pytest.mark.parametrize("aim", Aim)
@pytest.mark.parametrize("seed", range(8))
def test_solving_again_with_a_job_costs_no_more_than_the_way_found(seed, aim):
    workload = seeded_workload(seed, TINY)
    answer = best_plan(workload, aim)
    if answer.plan is None:
        return
    for left in why_left(workload, answer.plan, aim):
        again = best_with(workload, answer, left.job)
        if left.plan is not None and not left.longer:
            rank = ranking(workload, again.plan, aim)
            assert ranking(workload, answer.plan, aim) <= rank <= ranking(workload, left.plan, aim)
        if left.cannot:
            assert again.status is Status.IMPOSSIBLE
        if again.plan is not None:
            assert left.job in again.plan.done
            assert broken_rules(workload, again.plan) == []


def test_a_plan_of_twenty_jobs_is_explained_whole():
    workload = made_workload("m", 1)
    plan = greedy_plan(workload)
    explanation = explain(workload, plan)
    assert {done.job for done in explanation.done} == plan.done
    assert {left.job for left in explanation.left} == {job.id for job in workload.jobs} - plan.done
    assert all(broken_rules(workload, other) == [] for other, _ in alternatives(explanation))
