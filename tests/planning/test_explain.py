"""Explanations: an example worked by hand, and the cases that it does not have."""

import datetime as dt
from dataclasses import replace

import pytest

from onceapart.planning.explain import explain, why_left
from onceapart.planning.explain_words import (
    done_in_words,
    left_in_words,
    more_or_less,
    order_in_words,
)
from onceapart.planning.lots import lots_of
from onceapart.planning.plan import Aim, Plan, Status, StintWork, plan_of
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


def day(days):
    return MONDAY + dt.timedelta(days=days)


# An hour is worth 12.00, so a minute 0.20.

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


def test_what_comes_first_is_used_first():
    rod = Job("first", "wren", True, 10, None, 0, (), {"rod-end": 1})
    offers = (
        Offer("late", "post", {"rod-end": 1}, 500, day(10), 1),
        Offer("soon", "counter", {"rod-end": 1}, 900, MONDAY, 1),
    )
    workload = replace(EXAMPLE, jobs=(rod, replace(rod, id="second")), offers=offers)
    plan = plan_of(workload, [["first"], ["second"], []], {"late": 1, "soon": 1})
    lots = lots_of(workload, plan)
    assert {job: [lot.offer for lot in used] for job, used in lots.of_job.items()} == {
        "first": ["soon"],
        "second": ["late"],
    }


def test_what_only_one_seller_has_stays_in_its_order():
    only = Job("seal", "wren", True, 10, None, 0, (), {"seal": 1})
    offers = (*EXAMPLE.offers, Offer("p-seal", "post", {"seal": 1}, 300, day(6)))
    workload = replace(EXAMPLE, jobs=(BOOT, only), offers=offers)
    plan = plan_of(workload, [[], ["boot", "seal"], []], {"p-boot": 1, "p-seal": 1})
    (order,) = explain(workload, plan).basket
    assert order.only_here == ("seal",)
    assert order.instead.units == {"c-boot": 1, "p-seal": 1}
    assert order.saves == 2450 - 1490
    assert order_in_words(workload, order)[1] == (
        "Only here is seal sold in time; its other pieces from counter would cost 9.60 more."
    )


def test_what_comes_too_late_is_no_other_way():
    sellers = (POST, Seller("late", "Late", 0), Seller("dear", "Dear", 100))
    offers = (
        Offer("p-boot", "post", {"boot-kit": 1}, 1490, day(6)),
        Offer("late-boot", "late", {"boot-kit": 1}, 1600, day(15)),
        Offer("dear-boot", "dear", {"boot-kit": 1}, 3000, day(2)),
    )
    workload = replace(EXAMPLE, jobs=(BOOT,), sellers=sellers, offers=offers)
    plan = plan_of(workload, [[], ["boot"], []], {"p-boot": 1})
    (order,) = explain(workload, plan).basket
    assert order.instead_sellers == ("dear",)
    assert order.saves == (3000 + 100) - (1490 + 850)
