"""Each of the nine rules, broken in one way at a time, gives that complaint and no other."""

import datetime as dt
from dataclasses import replace

import pytest

from onceapart.planning.plan import Plan, StintWork, plan_of
from onceapart.planning.rules import broken_rules
from onceapart.planning.workload import Access, Aftercare, Job, Offer, Seller, Stint, Tool, Workload

MONDAY = dt.date(2026, 3, 2)


def day(days: int) -> dt.date:
    return MONDAY + dt.timedelta(days=days)


WORKLOAD = Workload(
    today=MONDAY,
    currency="EUR",
    hour_worth=1200,
    jobs=(
        Job(
            "boot", "wren", True, 40, last_day=day(12), access=("shaft",), parts={"kit": 1}, tools=("press",)
        ),
        Job("link", "wren", True, 25, access=("wheel",), parts={"link": 2}, aftercare=("wash",)),
        Job("mat", "wren", False, 10, worth=500, after=("link",)),
    ),
    access=(
        Access("wheel", 8),
        Access("shaft", 55, under=("wheel",), aftercare=("alignment",), tools=("splitter",)),
    ),
    aftercare=(Aftercare("alignment", 30, 6500), Aftercare("wash", 5, 0)),
    tools=(Tool("press", hire=900), Tool("splitter", buy=2000), Tool("scope"), Tool("jack", have=True)),
    shelf={"link": 1},
    sellers=(Seller("counter", "Counter", 0), Seller("post", "Post", 850, 9000)),
    offers=(
        Offer("kit-1", "post", {"kit": 1}, 1490, day(6), limit=2),
        Offer("link-1", "counter", {"link": 1}, 700, day(0)),
    ),
    stints=(Stint(day(5), 60), Stint(day(6), 180, "early"), Stint(day(6), 40, "late"), Stint(day(13), 300)),
)
PLAN = plan_of(WORKLOAD, [["link"], ["boot"], ["mat"], []], {"kit-1": 1, "link-1": 1})


def with_work(at: int, work: StintWork, plan: Plan = PLAN) -> Plan:
    return replace(plan, work=(*plan.work[:at], work, *plan.work[at + 1 :]))


def test_a_plan_that_can_be_worked_has_no_complaints():
    assert broken_rules(WORKLOAD, PLAN) == []


def test_access_aftercare_and_tools_follow_from_the_jobs():
    assert PLAN.work == (
        StintWork(("link",), ("wheel",), ("wash",)),
        StintWork(("boot",), ("shaft", "wheel"), ("alignment",), ("press",)),
        StintWork(("mat",)),
        StintWork(),
    )
    assert PLAN.tools_bought == ("splitter",)


@pytest.mark.parametrize(
    ("jobs_in", "complaint"),
    [
        ([["link"], [], ["mat"], []], "rule 1: job boot must be done exactly once, the plan does it 0 times"),
        (
            [["link"], ["boot", "link"], ["mat"], []],
            "rule 1: job link must be done exactly once, the plan does it 2 times",
        ),
        (
            [["link"], ["boot", "mat"], ["mat"], []],
            "rule 1: job mat is done 2 times, at most once is allowed",
        ),
        (
            [["link"], [], ["mat"], ["boot"]],
            "rule 2: job boot is done on 2026-03-15, after its last day 2026-03-14",
        ),
        ([[], ["boot"], ["link", "mat"], []], "rule 5: the work in 2026-03-08 late takes 48 minutes of 40"),
        ([["mat"], ["boot", "link"], [], []], "rule 6: job mat is done before link"),
    ],
)  # fmt: skip
def test_jobs_in_the_wrong_stint(jobs_in, complaint):
    # Two more links, so that doing that job twice lacks no parts.
    plan = plan_of(WORKLOAD, jobs_in, {"kit-1": 1, "link-1": 3})
    assert broken_rules(WORKLOAD, plan) == [complaint]


def test_a_job_may_be_done_on_its_last_day():
    on_its_day = replace(WORKLOAD, jobs=(replace(WORKLOAD.jobs[0], last_day=day(6)), *WORKLOAD.jobs[1:]))
    assert broken_rules(on_its_day, PLAN) == []


def test_a_stint_may_be_full_to_the_minute():
    full = replace(WORKLOAD, stints=(Stint(day(5), 38), Stint(day(6), 133, "early"), *WORKLOAD.stints[2:]))
    assert broken_rules(full, PLAN) == []
    fuller = replace(full, stints=(Stint(day(5), 37), *full.stints[1:]))
    assert broken_rules(fuller, PLAN) == ["rule 5: the work in 2026-03-07 takes 38 minutes of 37"]


def test_a_job_may_follow_in_the_same_stint():
    assert broken_rules(WORKLOAD, plan_of(WORKLOAD, [["link", "mat"], ["boot"], [], []], PLAN.units)) == []


def test_a_job_done_needs_the_job_before_it_done():
    wishes = replace(WORKLOAD, jobs=tuple(replace(job, is_must=job.id == "boot") for job in WORKLOAD.jobs))
    plan = plan_of(wishes, [[], ["boot"], ["mat"], []], {"kit-1": 1})
    assert broken_rules(wishes, plan) == ["rule 6: job mat is done, link before it is left"]


def test_access_of_a_job_is_open():
    plan = with_work(0, StintWork(("link",), (), ("wash",)))
    assert broken_rules(WORKLOAD, plan) == ["rule 3: job link in 2026-03-07 needs wheel open"]


def test_access_in_another_stint_does_not_count():
    plan = with_work(0, StintWork(("link",), (), ("wash",)), with_work(3, StintWork((), ("wheel",))))
    assert broken_rules(WORKLOAD, plan) == ["rule 3: job link in 2026-03-07 needs wheel open"]


def test_what_is_under_is_open_too():
    plan = with_work(1, StintWork(("boot",), ("shaft",), ("alignment",), ("press",)))
    assert broken_rules(WORKLOAD, plan) == [
        "rule 3: shaft is open in 2026-03-08 early, wheel under it is not"
    ]


def test_an_access_opened_for_nothing_is_allowed_with_all_that_hangs_on_it():
    plan = with_work(3, StintWork((), ("shaft", "wheel"), ("alignment",)))
    assert broken_rules(WORKLOAD, plan) == []
    plan = with_work(3, StintWork((), ("shaft", "wheel"), ()))
    assert broken_rules(WORKLOAD, plan) == ["rule 4: alignment is not carried out in 2026-03-15"]


def test_nothing_is_listed_twice_in_a_stint():
    plan = with_work(0, StintWork(("link",), ("wheel", "wheel"), ("wash",)))
    assert broken_rules(WORKLOAD, plan) == ["rule 3: an access is listed twice in 2026-03-07"]
    plan = with_work(0, StintWork(("link",), ("wheel",), ("wash", "wash")))
    assert broken_rules(WORKLOAD, plan) == ["rule 4: aftercare is carried out twice in 2026-03-07"]


@pytest.mark.parametrize(
    ("at", "work", "complaint"),
    [
        (0, StintWork(("link",), ("wheel",)), "rule 4: wash is not carried out in 2026-03-07"),
        (
            1,
            StintWork(("boot",), ("shaft", "wheel"), (), ("press",)),
            "rule 4: alignment is not carried out in 2026-03-08 early",
        ),
    ],
)
def test_aftercare_of_jobs_and_of_access_is_carried_out(at, work, complaint):
    assert broken_rules(WORKLOAD, with_work(at, work)) == [complaint]


def test_parts_are_bought():
    plan = replace(PLAN, units={"kit-1": 1})
    assert broken_rules(WORKLOAD, plan) == ["rule 7: 2026-03-07 needs 2 of link by then, 1 are there"]


def test_pieces_used_before_are_gone():
    two = replace(WORKLOAD, jobs=(*WORKLOAD.jobs[:2], replace(WORKLOAD.jobs[2], parts={"link": 1})))
    assert broken_rules(two, PLAN) == ["rule 7: 2026-03-08 late needs 3 of link by then, 2 are there"]


def test_parts_can_be_used_on_the_very_day_they_arrive_and_not_before():
    assert broken_rules(WORKLOAD, PLAN) == []
    later = replace(WORKLOAD, offers=(replace(WORKLOAD.offers[0], arrives=day(7)), WORKLOAD.offers[1]))
    assert broken_rules(later, PLAN) == ["rule 7: 2026-03-08 early needs 1 of kit by then, 0 are there"]


def test_no_more_units_are_bought_than_can_be():
    plan = replace(PLAN, units={"kit-1": 3, "link-1": 1})
    assert broken_rules(WORKLOAD, plan) == ["rule 7: 3 units of kit-1 are bought, 2 can be"]
    assert broken_rules(WORKLOAD, replace(PLAN, units={"kit-1": 2, "link-1": 1})) == []


def test_units_are_not_negative():
    offers = (*WORKLOAD.offers, Offer("oil", "counter", {"oil": 1}, 100, day(0)))
    plan = replace(PLAN, units={**PLAN.units, "oil": -1})
    assert broken_rules(replace(WORKLOAD, offers=offers), plan) == ["rule 7: -1 units of oil are bought"]


def test_tools_of_jobs_and_of_access_are_had():
    plan = with_work(1, replace(PLAN.work[1], hire=()))
    assert broken_rules(WORKLOAD, plan) == [
        "rule 9: tool press is neither there nor hired in 2026-03-08 early"
    ]
    assert broken_rules(WORKLOAD, replace(PLAN, tools_bought=())) == [
        "rule 9: tool splitter is neither there nor hired in 2026-03-08 early"
    ]


def test_a_tool_hired_for_another_stint_does_not_serve():
    plan = with_work(0, replace(PLAN.work[0], hire=("press",)), with_work(1, replace(PLAN.work[1], hire=())))
    assert broken_rules(WORKLOAD, plan) == [
        "rule 9: tool press is neither there nor hired in 2026-03-08 early"
    ]


def test_tools_are_had_only_as_they_can_be():
    hired = with_work(0, replace(PLAN.work[0], hire=("splitter",)))
    assert broken_rules(WORKLOAD, hired) == ["rule 9: tool splitter can't be hired"]
    bought = replace(PLAN, tools_bought=("press", "splitter"))
    assert broken_rules(WORKLOAD, bought) == ["rule 9: tool press can't be bought"]


def test_a_tool_that_cannot_be_had_is_missed():
    jobs = (*WORKLOAD.jobs[:2], replace(WORKLOAD.jobs[2], tools=("jack", "scope")))
    needing = replace(WORKLOAD, jobs=jobs)
    assert broken_rules(needing, PLAN) == ["rule 9: tool scope is neither there nor hired in 2026-03-08 late"]


@pytest.mark.parametrize(
    ("plan", "complaint"),
    [
        (replace(PLAN, units={"nut": 1}), "offer nut is not in the workload"),
        (replace(PLAN, tools_bought=("saw",)), "tool saw is not in the workload"),
        (with_work(3, StintWork(("dent",))), "job dent is not in the workload"),
        (with_work(3, StintWork((), ("hub",))), "access hub is not in the workload"),
        (with_work(3, StintWork((), (), ("wax",))), "aftercare wax is not in the workload"),
        (with_work(3, StintWork((), (), (), ("saw",))), "tool saw is not in the workload"),
        (replace(PLAN, work=PLAN.work[:3]), "the plan has 3 stints, the workload 4"),
    ],
)
def test_a_plan_of_another_workload_is_judged_by_that_alone(plan, complaint):
    assert broken_rules(WORKLOAD, plan) == [complaint]


def test_several_broken_rules_are_all_named():
    plan = plan_of(WORKLOAD, [["mat"], [], [], ["boot"]], {})
    assert [said.split(":")[0] for said in broken_rules(WORKLOAD, plan)] == [
        "rule 1", "rule 2", "rule 6", "rule 7",
    ]  # fmt: skip
