"""The plan as JSON: its shape, reading it back, and what is said of one that can't be read."""

import copy
import datetime as dt
import json
from dataclasses import replace

import pytest
from hypothesis import HealthCheck, assume, given, settings
from hypothesis import strategies as st
from workloads import SMALL, seeded_workload, workloads

from onceapart.planning.answer import Answer
from onceapart.planning.cost import cost
from onceapart.planning.greedy import greedy_plan
from onceapart.planning.plan import Aim, Plan, Status, StintWork, plan_of
from onceapart.planning.plan_file import (
    FORMAT,
    PlanFileError,
    figures_to_json,
    plan_from_json,
    plan_to_json,
    wrong_figures,
)
from onceapart.planning.rules import broken_rules
from onceapart.planning.solve import best_plan
from onceapart.planning.workload import Access, Aftercare, Job, Offer, Seller, Stint, Tool, Workload

MONDAY = dt.date(2026, 3, 2)
WORKLOAD = Workload(
    today=MONDAY,
    currency="EUR",
    hour_worth=1200,
    jobs=(
        Job("boot", "wren", True, 40, access=("shaft",), parts={"boot-kit": 1}),
        Job("radio", "wren", False, 60, worth=500),
    ),
    access=(Access("wheel", 8), Access("shaft", 55, ("wheel",), ("alignment",), ("puller", "press"))),
    aftercare=(Aftercare("alignment", 30, 6500),),
    tools=(Tool("puller", hire=900), Tool("press", buy=4200)),
    sellers=(Seller("post-a", "Post", 850, 9000), Seller("post-b", "Post", 100)),
    offers=(
        Offer("post-a-boot", "post-a", {"boot-kit": 1, "clip": 2}, 1490, MONDAY + dt.timedelta(6), None, 500),
        Offer("post-b-boot", "post-b", {"boot-kit": 1}, 9990, MONDAY),
    ),
    stints=(
        Stint(dt.date(2026, 3, 7), 300),
        Stint(dt.date(2026, 3, 14), 150, "morning"),
        Stint(dt.date(2026, 3, 14), 180, "afternoon"),
    ),
)


@pytest.fixture
def data():
    """The plan of the example as other programs see it."""
    return json.loads(json.dumps(plan_to_json(WORKLOAD, best_plan(WORKLOAD))))


def test_the_whole_of_an_example(data):
    goods, time = 1490, 133 * 20
    money = goods + 850 + 6500 + 900 + 4200
    assert data == {
        "format": "onceapart-plan/1",
        "aim": "balance",
        "status": "proven",
        "cost": {
            "goods": goods, "delivery": 850, "aftercare": 6500, "hire": 900, "tools": 4200, "money": money,
            "minutes": 133, "time": time, "worth": 0, "total": money + time, "bound": money + time,
        },
        "stints": [
            {
                "date": "2026-03-07", "id": None, "minutes": 300, "used": 0,
                "jobs": [], "access": [], "aftercare": [], "hire": [],
            },
            {
                "date": "2026-03-14", "id": "morning", "minutes": 150, "used": 133, "jobs": ["boot"],
                "access": ["shaft", "wheel"], "aftercare": ["alignment"], "hire": ["puller"],
            },
            {
                "date": "2026-03-14", "id": "afternoon", "minutes": 180, "used": 0,
                "jobs": [], "access": [], "aftercare": [], "hire": [],
            },
        ],
        "orders": [
            {
                "seller": "post-a", "goods": goods, "delivery": 850, "deposit": 500,
                "lines": [{"offer": "post-a-boot", "units": 1, "arrives": "2026-03-08"}],
            }
        ],
        "tools_bought": ["press"],
        "left": [
            {
                "job": "radio",
                "why": "Doing it on 7 March would cost 12.00 (60 minutes at 12.00), and is worth 5.00.",
            }
        ],
        "spare": {"clip": 2},
    }  # fmt: skip


def test_an_impossible_workshop_has_only_reasons():
    answer = best_plan(replace(WORKLOAD, offers=()))
    assert plan_to_json(WORKLOAD, answer) == {
        "format": "onceapart-plan/1", "aim": "balance", "status": "impossible", "why": list(answer.why),
    }  # fmt: skip
    with pytest.raises(PlanFileError, match="says that there is no plan"):
        plan_from_json(WORKLOAD, plan_to_json(WORKLOAD, answer))


@pytest.mark.parametrize(
    ("aim", "bound", "bound_of", "shown"),
    [
        (Aim.BALANCE, 1000, "total", {"bound": 1000}),
        (Aim.BALANCE, -(10**12), "total", {"bound": -500}),  # nothing is known: no less than all worth
        (Aim.BALANCE, 1, "orders", {"bound": 16600}),  # the total is proven before orders are looked at
        (Aim.THRIFT, 700, "money", {"bound": 700, "bound_of": "money"}),
        (Aim.LEAST_WORK, -3, "minutes", {"bound": 0, "bound_of": "minutes"}),
        (Aim.SOONEST, 739000, "ready", {"bound": -500}),  # says nothing of the total
    ],
)
def test_the_bound_of_a_search_cut_short(aim, bound, bound_of, shown):
    plan = best_plan(WORKLOAD).plan
    answer = Answer(aim, Status.GOOD, plan, cost(WORKLOAD, plan), bound, bound_of)
    stated = plan_to_json(WORKLOAD, answer)["cost"]
    assert stated["total"] == 16600
    assert {name: stated[name] for name in stated if name.startswith("bound")} == shown


laws = settings(
    max_examples=40,
    deadline=None,
    derandomize=True,
    suppress_health_check=[HealthCheck.too_slow, HealthCheck.filter_too_much],
)


@laws
@given(workloads(SMALL), st.sampled_from(Aim))
def test_a_plan_read_back_is_the_same_and_costs_what_it_says(workload, aim):
    plan = greedy_plan(workload)
    assume(plan is not None)
    price = cost(workload, plan)
    data = json.loads(json.dumps(plan_to_json(workload, Answer(aim, Status.GOOD, plan, price))))
    assert plan_from_json(workload, data) == plan
    assert wrong_figures(workload, data) == []
    stated = data["cost"]
    assert {name: stated.get(name, 0) for name in vars(price)} == vars(price)
    assert (stated["money"], stated["total"]) == (price.money, price.total)
    assert {left["job"] for left in data["left"]} == {job.id for job in workload.jobs} - plan.done
    assert all(stint["used"] <= stint["minutes"] for stint in data["stints"])


@pytest.mark.parametrize("seed", range(10))
def test_a_best_plan_read_back_keeps_the_rules(seed):
    workload = seeded_workload(seed, SMALL)
    answer = best_plan(workload)
    if answer.plan is not None:
        plan = plan_from_json(workload, plan_to_json(workload, answer))
        assert (plan, broken_rules(workload, plan)) == (answer.plan, [])


@laws
@given(st.data())
def test_a_plan_that_breaks_rules_is_read_all_the_same(chosen):
    some = st.lists(st.sampled_from([job.id for job in WORKLOAD.jobs]), max_size=3)
    work = tuple(
        StintWork(
            tuple(chosen.draw(some)),
            tuple(chosen.draw(st.lists(st.sampled_from(["wheel", "shaft"]), max_size=2))),
            tuple(chosen.draw(st.lists(st.just("alignment"), max_size=2))),
            tuple(chosen.draw(st.lists(st.sampled_from(["puller", "press"]), max_size=2))),
        )
        for _ in WORKLOAD.stints
    )
    units = chosen.draw(st.dictionaries(st.sampled_from(["post-a-boot", "post-b-boot"]), st.integers(1, 3)))
    plan = Plan(work, units, tuple(chosen.draw(st.lists(st.sampled_from(["puller", "press"]), max_size=2))))
    data = {"format": FORMAT, **figures_to_json(WORKLOAD, plan)}
    assert plan_from_json(WORKLOAD, data) == plan
    assert wrong_figures(WORKLOAD, data) == []


def test_a_plan_made_elsewhere_need_not_state_figures():
    data = {
        "format": "onceapart-plan/1",
        "stints": [
            {
                "date": "2026-03-07", "jobs": ["boot"], "access": ["wheel", "shaft"],
                "aftercare": ["alignment"], "hire": ["puller"],
            },
        ],
        "orders": [{"seller": "post-b", "lines": [{"offer": "post-b-boot", "units": 1}]}],
        "tools_bought": ["press"],
    }  # fmt: skip
    plan = plan_from_json(WORKLOAD, data)
    assert broken_rules(WORKLOAD, plan) == []
    assert cost(WORKLOAD, plan) == cost(WORKLOAD, plan_of(WORKLOAD, [["boot"], [], []], {"post-b-boot": 1}))
    assert wrong_figures(WORKLOAD, data) == []


def test_stints_on_one_day_are_told_apart_by_id_and_without_ids_by_order():
    workload = replace(WORKLOAD, stints=(Stint(MONDAY, 300), Stint(MONDAY, 301)))
    plan = plan_of(workload, [[], ["boot"]], {"post-b-boot": 1})
    answer = Answer(Aim.BALANCE, Status.GOOD, plan, cost(workload, plan))
    data = plan_to_json(workload, answer)
    assert plan_from_json(workload, data) == plan
    assert wrong_figures(workload, data) == []


@pytest.mark.parametrize(
    ("change", "said"),
    [
        (lambda d: d["cost"].update(money=1), "money of the cost is stated as 1; it is 13940"),
        (lambda d: d["stints"][1].update(used=1), "used of the stint on 2026-03-14 is stated as 1; it"),
        (lambda d: d["orders"][0].update(delivery=0), "order at post-a is stated as 0; it is 850"),
        (lambda d: d["orders"][0]["lines"][0].update(arrives="2026-03-03"), "it is 2026-03-08"),
        (lambda d: d.update(spare={}), "spare of the plan is stated as {}"),
        (lambda d: d.update(left=[]), "left of the plan is stated as []"),
    ],
)  # fmt: skip
def test_wrong_figures_are_pointed_out(data, change, said):
    change(data)
    (found,) = wrong_figures(WORKLOAD, data)
    assert said in found


@pytest.mark.parametrize(
    ("change", "said"),
    [
        (lambda d: d.pop("format"), "format: `format` is missing"),
        (lambda d: d.update(format="onceapart-plan/2"), "it is one of onceapart-plan/1"),
        (lambda d: d.update(aim="cheap"), "aim: cheap: it is one of balance, thrift"),
        (lambda d: d.update(stint=[]), "this key is not known; did you mean `stints`?"),
        (lambda d: d["stints"][1].pop("hire"), "stints[1].hire: `hire` is missing"),
        (lambda d: d["stints"][1].update(jobs="boot"), "stints[1].jobs: boot: a list is wanted"),
        (lambda d: d["stints"][1].update(date="14 March"), "a date is wanted"),
        (lambda d: d["stints"][1].update(date=20260314), "a date is wanted"),
        (lambda d: d["stints"][1].update(date="2026-03-15"), "its stints are on 2026-03-07, 2026"),
        (lambda d: d["stints"][1].update(id="noon"), "its stints that day are morning, afternoon"),
        (lambda d: d["stints"].append(d["stints"][1]), "stints[3]: 2026-03-14 morning: this stint is"),
        (lambda d: d["stints"][1]["jobs"].append("bot"), "no such job; did you mean boot?"),
        (lambda d: d["stints"][1]["access"].append("x"), "stints[1].access[2]: x: the workshop has no"),
        (lambda d: d["tools_bought"].append("crane"), "tools_bought[1]: crane: the workshop has no"),
        (lambda d: d["orders"].append(d["orders"][0]), "there is one order a seller"),
        (lambda d: d["orders"][0].update(seller="post-b"), "this offer is sold by post-a, not by post-b"),
        (lambda d: d["orders"][0]["lines"][0].update(offer="x"), "orders[0].lines[0].offer: x: the"),
        (lambda d: d["orders"][0]["lines"][0].update(units=0), "at least one unit is bought"),
        (lambda d: d["orders"][0]["lines"][0].update(units=True), "a whole number is wanted"),
        (lambda d: d["orders"][0]["lines"][0].update(units=1.5), "a whole number is wanted"),
        (lambda d: d["orders"][0]["lines"][0].update(units=float("nan")), "a whole number is wanted"),
        (lambda d: d["orders"][0]["lines"].append(d["orders"][0]["lines"][0]), "this offer is there twice"),
    ],
)  # fmt: skip
def test_what_can_not_be_read_is_named_with_the_way_out(data, change, said):
    change(data)
    before = copy.deepcopy(data)
    with pytest.raises(PlanFileError) as error:
        plan_from_json(WORKLOAD, data)
    assert said in str(error.value)
    assert all(problem.rule and problem.way_out for problem in error.value.problems)
    assert str(data) == str(before)


@pytest.mark.parametrize("data", [None, [], "plan", 3, {}, {"stints": {}}])
def test_data_of_another_kind_is_refused(data):
    with pytest.raises(PlanFileError):
        plan_from_json(WORKLOAD, data)


def test_all_problems_are_named_at_once(data):
    data["stints"][1]["jobs"] = ["a", "b"]
    data["tools_bought"] = ["c"]
    with pytest.raises(PlanFileError) as error:
        plan_from_json(WORKLOAD, data)
    assert [problem.where for problem in error.value.problems] == [
        "stints[1].jobs[0]", "stints[1].jobs[1]", "tools_bought[0]",
    ]  # fmt: skip
