"""Explanations: an example worked by hand, and for any workload that every figure is that of a real plan."""

import dataclasses
import datetime as dt
from dataclasses import replace

import pytest
from hypothesis import HealthCheck, assume, given, settings
from hypothesis import strategies as st
from workloads import SMALL, TINY, seeded_workload, workloads

from made_workloads import made_workload
from onceapart.planning.cost import cost, ranking, spare_pieces
from onceapart.planning.explain import best_with, explain, why_left
from onceapart.planning.explain_words import (
    done_in_words,
    left_in_words,
    more_or_less,
    order_in_words,
)
from onceapart.planning.greedy import greedy_plan
from onceapart.planning.lots import lots_of
from onceapart.planning.plan import Aim, Plan, Status, StintWork, plan_of
from onceapart.planning.repair import difference
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
)

MONDAY = dt.date(2026, 3, 2)
SPLIT_DAY = 1
"""Where a stint for one job alone is put into a workload, it stands right behind that job's own."""


def day(days):
    return MONDAY + dt.timedelta(days=days)


# --- An example small enough to work by hand. An hour is worth 12.00, so a minute 0.20. ---

COUNTER, POST = Seller("counter", "Counter", 0), Seller("post", "Post", 850, 9000)
WHEEL = Access("wheel", 8)
SHAFT = Access("shaft", 55, ("wheel",), ("alignment",), ("puller",))
BOOT = Job("boot", "wren", True, 40, dt.date(2026, 4, 11), 0, ("shaft",), {"boot-kit": 1})
ROD = Job(
    "rod", "wren", True, 30, dt.date(2026, 4, 11), 0, ("wheel",), {"rod-end": 2}, (), (), ("alignment",)
)
RADIO = Job("radio", "wren", False, 60, None, 2000, (), {"trim": 1})
ROOF = Job("roof", "wren", False, 60, None, 9000, (), {"glass": 1})
EXAMPLE = Workload(
    today=MONDAY,
    currency="EUR",
    hour_worth=1200,
    jobs=(BOOT, ROD, RADIO, ROOF),
    access=(WHEEL, SHAFT),
    aftercare=(Aftercare("alignment", 30, 6500),),
    tools=(Tool("puller", hire=900, buy=4200),),
    sellers=(COUNTER, POST),
    offers=(
        Offer("c-boot", "counter", {"boot-kit": 1}, 2450, MONDAY),
        Offer("c-rod", "counter", {"rod-end": 1}, 1990, MONDAY),
        Offer("p-boot", "post", {"boot-kit": 1}, 1490, day(6)),
        Offer("p-rods", "post", {"rod-end": 2, "cotter": 4}, 2400, day(6)),
        Offer("p-trim", "post", {"trim": 1}, 950, day(6)),
    ),
    stints=(Stint(day(5), 300), Stint(day(12), 300), Stint(day(19), 200)),
)
BEST = plan_of(EXAMPLE, [[], ["boot", "rod"], []], {"p-boot": 1, "p-rods": 1})


@pytest.fixture(scope="module")
def example():
    return explain(EXAMPLE, BEST)


def by_id(entries, name):
    return next(entry for entry in entries if entry.job == name)


def test_the_example_is_the_best_plan():
    answer = best_plan(EXAMPLE)
    assert (answer.status, answer.plan) == (Status.PROVEN, BEST)


def test_what_a_job_shares_and_what_that_saves(example):
    boot = by_id(example.done, "boot")
    assert boot.minutes_alone == 40 + 55 + 8 + 30
    shares = {share.id: (share.with_jobs, share.minutes, share.money) for share in boot.shares}
    assert shares == {"wheel": (("rod",), 8, 0), "alignment": (("rod",), 30, 6500)}
    assert (boot.minutes_saved, boot.money_saved, boot.minutes_added) == (38, 6500, 95)


def test_a_job_waits_for_the_order_that_no_earlier_stint_can_have(example):
    (wait,) = by_id(example.done, "boot").waits
    assert (wait.part, wait.offer, wait.seller, wait.arrives, wait.holds) == (
        "boot-kit", "p-boot", "post", day(6), True,
    )  # fmt: skip
    assert wait.sooner.place == 0
    assert wait.sooner.change.money == 2450 - 1490  # the rods still come by post
    (rods,) = by_id(example.done, "rod").waits
    assert rods.sooner.change.money == 2 * 1990 - 2400


def test_a_job_alone_in_a_stint_of_its_own(example):
    boot = by_id(example.done, "boot")
    first, last = boot.elsewhere
    assert (first.place, first.is_alone, first.change.minutes) == (0, True, 38)
    assert first.change.money == 6500 + (2450 - 1490)
    assert (last.change.minutes, last.change.money) == (38, 6500)
    assert boot.alone is last
    assert boot.last_day == dt.date(2026, 4, 11)


def test_a_wish_that_is_not_worth_what_the_cheapest_way_costs(example):
    radio = by_id(example.left, "radio")
    # With the order that goes there anyway: the trim and an hour, but no more delivery.
    assert (radio.change.goods, radio.change.delivery, radio.change.minutes) == (950, 0, 60)
    assert radio.change.total == 950 + 1200 - 2000
    assert (radio.place, radio.figure, radio.is_better) == (1, "total", False)


def test_a_job_that_no_plan_can_do(example):
    roof = by_id(example.left, "roof")
    assert "nobody sells glass" in roof.cannot
    assert (roof.plan, roof.change, roof.place) == (None, None, None)


def test_what_an_order_saves_against_the_counter(example):
    (post,) = example.basket
    assert (post.goods, post.delivery, post.is_counter) == (1490 + 2400, 850, False)
    assert post.saves == (2450 + 2 * 1990) - (1490 + 2400 + 850)
    assert post.instead_sellers == ("counter",)
    rods = next(line for line in post.lines if line.offer == "p-rods")
    assert (rods.useful, rods.spare) == ({"rod-end": 2}, {"cotter": 4})
    assert (rods.without, rods.filling) == (2 * 1990 - 2400, None)


def test_the_example_in_words(example):
    assert done_in_words(EXAMPLE, by_id(example.done, "boot")) == (
        "boot is done on 14 March with rod: sharing wheel and alignment saves 38 minutes and 65.00; it waits "
        "for boot-kit (9.60 more by 7 March) from post, here on 8 March; its last day is 11 April.",
        "Alone on 21 March it would take 38 minutes and 65.00 more.",
    )
    assert [left_in_words(EXAMPLE, left) for left in example.left] == [
        "Doing it on 14 March would cost 21.50 (parts 9.50, 60 minutes at 12.00), and is worth 20.00.",
        "It can't be done: nobody sells glass, of which roof needs 1.",
    ]
    assert order_in_words(EXAMPLE, example.basket[0]) == (
        "post: 3 pieces for 2 jobs, 38.90 and 8.50 delivery, all here by 8 March.",
        "The same pieces from counter would cost 16.90 more.",
        "p-rods leaves 4 cotter over, and is still 15.80 cheaper than any other way found.",
    )


def test_a_tool_hired_once_for_two_jobs():
    second = replace(BOOT, id="boot-right", access=("shaft-right",), parts={})
    workload = replace(
        EXAMPLE,
        jobs=(BOOT, second),
        access=(WHEEL, SHAFT, Access("shaft-right", 50, (), (), ("puller",))),
    )
    plan = plan_of(workload, [[], ["boot", "boot-right"], []], {"p-boot": 1})
    boot = by_id(explain(workload, plan).done, "boot")
    assert [(share.kind, share.id, share.minutes, share.money) for share in boot.shares] == [
        ("hire", "puller", 0, 900)
    ]
    assert boot.alone.change.hire == 900


def test_no_stint_has_room_but_a_longer_one_would():
    small = replace(EXAMPLE, jobs=(BOOT, RADIO), stints=(Stint(day(12), 150),))
    plan = plan_of(small, [["boot"]], {"c-boot": 1})
    (radio,) = why_left(small, plan)
    # 133 minutes of 150 are used; the trim is 9.50 and 8.50 to deliver.
    assert (radio.longer, radio.obstacle.kind, radio.change.money) == (43, "room", 1800)
    assert left_in_words(small, radio) == (
        "No stint has room for it; with 43 minutes more on 14 March it would cost 30.00 "
        "(parts 9.50, delivery 8.50, 60 minutes at 12.00), and is worth 20.00."
    )


def test_a_job_that_comes_after_one_that_is_left_brings_it_along():
    after = replace(RADIO, id="speaker", parts={}, minutes=10, worth=500, after=("radio",))
    workload = replace(EXAMPLE, jobs=(BOOT, ROD, RADIO, after))
    speaker = by_id(why_left(workload, BEST), "speaker")
    assert speaker.with_jobs == ("radio",)
    assert speaker.change.total == 950 + 1400 - 2500  # 70 minutes in all
    assert speaker.is_better  # so this is not the best plan any more, and is said to be so
    assert "this plan is not the best there is" in left_in_words(workload, speaker)


def test_a_wish_left_by_the_aim_though_it_is_worth_more():
    workload = replace(EXAMPLE, jobs=(BOOT, ROD, replace(RADIO, worth=9900)))
    for aim, figure in ((Aim.THRIFT, "money"), (Aim.LEAST_WORK, "minutes")):
        plan = best_plan(workload, aim).plan
        (radio,) = why_left(workload, plan, aim)
        assert (radio.figure, radio.is_better) == (figure, False)
        assert "worth 99.00, but this plan is the one" in left_in_words(workload, radio)


def test_a_unit_that_fills_an_order_up_to_free_delivery():
    post = Seller("post", "Post", 850, 2000)
    oil = Offer("p-oil", "post", {"oil": 1}, 510, day(6))
    workload = replace(EXAMPLE, jobs=(BOOT,), sellers=(COUNTER, post), offers=(*EXAMPLE.offers, oil))
    answer = best_plan(workload)
    assert answer.plan.units == {"p-boot": 1, "p-oil": 1}
    (order,) = explain(workload, answer.plan).basket
    line = next(line for line in order.lines if line.offer == "p-oil")
    assert (line.useful, line.spare, line.filling) == ({}, {"oil": 1}, 850 - 510)
    assert order_in_words(workload, order)[-1] == (
        "p-oil leaves 1 oil over: a unit is there to fill the order up to free delivery at 20.00, "
        "and without it the plan would cost 3.40 more."
    )
    # Against the counter the oil isn't bought: nobody needs it.
    assert order.saves == 2450 - 2000


def test_a_unit_that_nothing_needs_is_called_so():
    plan = plan_of(EXAMPLE, [[], ["boot", "rod"], []], {"p-boot": 1, "p-rods": 2})
    (order,) = explain(EXAMPLE, plan).basket
    assert "a unit less would be enough and cost 24.00 less" in order_in_words(EXAMPLE, order)[-1]


def test_at_the_counter_each_line_is_held_against_the_next_way():
    plan = plan_of(EXAMPLE, [["boot"], ["rod"], []], {"c-boot": 1, "p-rods": 1})
    counter, post = explain(EXAMPLE, plan).basket
    assert (counter.is_counter, counter.saves, counter.lines[0].without) == (True, None, None)
    assert order_in_words(EXAMPLE, counter)[1] == "Here c-boot is all that comes in time."
    assert post.saves == 2 * 1990 - 2400 - 850


def test_a_plan_that_breaks_a_rule_is_not_explained():
    with pytest.raises(ValueError, match=r"keeps all rules.*rule 1: job boot"):
        explain(EXAMPLE, Plan((StintWork(),) * 3))


def test_changes_are_measured_against_the_plan_with_nothing_needless():
    work = (replace(BEST.work[0], access=("wheel",), hire=("puller",)), *BEST.work[1:])
    assert explain(EXAMPLE, replace(BEST, work=work)) == explain(EXAMPLE, BEST)


@pytest.mark.parametrize(
    ("figures", "words"),
    [((1, 0), "1 minute more"), ((-1, -5), "1 minute and 0.05 less"), ((0, 0), "no more")],
)
def test_more_or_less(figures, words):
    assert more_or_less(*figures) == words


# --- Laws ---

laws = settings(
    max_examples=40,
    deadline=None,
    derandomize=True,
    suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large, HealthCheck.filter_too_much],
)
LARGER = SMALL._replace(jobs=7, offers=12, access=6)
aims = st.sampled_from(Aim)


@st.composite
def planned(draw, shape=LARGER):
    """A workload with a plan that keeps the rules, often far from the best."""
    workload = draw(workloads(shape))
    plan = greedy_plan(workload)
    assume(plan is not None)
    return workload, plan


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
        at = done.place + SPLIT_DAY
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
@given(planned(), aims)
def test_all_of_it_can_be_said(case, aim):
    workload, plan = case
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
@pytest.mark.parametrize("seed", range(30))
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
