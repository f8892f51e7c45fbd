"""Fault finding: which check next, in what order the rest, and what that saves."""

from __future__ import annotations

from typing import TYPE_CHECKING

from onceapart.sums.faults import sources
from onceapart.sums.faults.asks import ACCESS, CAUSES, CHECKS, DONE, Names
from onceapart.sums.faults.hunt import Access, Check, Finding, Hunt, after_findings, make_hunt
from onceapart.sums.faults.order import (
    EXACT_MOST,
    Course,
    best_course,
    ratio_course,
    useful_checks,
)
from onceapart.sums.inputs import QuantityInput
from onceapart.sums.present import round_significant
from onceapart.sums.registry import Sum
from onceapart.sums.result import Output, Result, Table

if TYPE_CHECKING:
    from matplotlib.figure import Figure

SURE = 1 - 1e-9


def fault_answer(
    causes: tuple[tuple[str, float], ...],
    checks: tuple[tuple[str, Names, float, float, Names | None, float], ...],
    access: tuple[tuple[str, float, Names | None], ...] | None,
    done: tuple[tuple[str, str, str | None], ...] | None,
    hour_worth_per_h: float,
    give_up: float | None,
) -> Result:
    """Which check next, in what order the rest, and what does that save?"""
    start = make_hunt(
        causes,
        [
            Check(name, finds, minutes, price, needs or (), sees / 100)
            for name, finds, minutes, price, needs, sees in checks
        ],
        [Access(name, minutes, under or ()) for name, minutes, under in access or ()],
        hour_worth=hour_worth_per_h,
        give_up=give_up,
    )
    hunt = after_findings(start, [Finding(name, said == "found", cause) for name, said, cause in done or ()])
    likeliest = max(hunt.chances, key=lambda cause: hunt.chances[cause])
    table = _causes_table(start, hunt)
    if hunt.chances[likeliest] >= SURE or not useful_checks(hunt):
        return _finished(hunt, likeliest, table)
    best, plain = best_course(hunt), ratio_course(hunt)

    def plot() -> Figure:
        return _fault_plot(best, plain)

    first = best.steps[0].check.name if best.steps else "none: have it found"
    return Result(
        values={
            "next": first,
            "expected_cost": best.expected_cost,
            "expected_minutes": best.expected_minutes,
            "most_cost": best.most_cost,
            "by_ratio": plain.expected_cost,
            "saved": max(plain.expected_cost - best.expected_cost, 0.0),
            "not_found": 100 * best.not_found,
            "likeliest": likeliest,
            "likeliest_chance": 100 * hunt.chances[likeliest],
        },
        reasons=tuple(_reasons(hunt, best, plain)),
        warnings=tuple(_warnings(hunt, best)),
        tables=(_order_table(hunt, best), table),
        plot=plot,
    )


def _finished(hunt: Hunt, likeliest: str, table: Table) -> Result:
    sure = hunt.chances[likeliest] >= SURE
    reason = (
        f"Only {likeliest} is left: see that it is really bad before renewing it."
        if sure
        else "No check is left that could tell the remaining causes apart."
    )
    return Result(
        values={
            "next": None,
            "expected_cost": None,
            "expected_minutes": None,
            "most_cost": None,
            "by_ratio": None,
            "saved": None,
            "not_found": None,
            "likeliest": likeliest,
            "likeliest_chance": 100 * hunt.chances[likeliest],
        },
        reasons=(reason,),
        tables=(table,),
    )


def _reasons(hunt: Hunt, best: Course, plain: Course) -> list[str]:
    found = []
    if best.is_proven:
        found.append("No order costs less on average: every set of checks was looked at.")
    else:
        found.append(f"Good, but not proven best: more than {EXACT_MOST} checks can still find something.")
    if best.names == plain.names:
        found.append("The plain rule, chance over cost, gives the same order.")
    elif plain.expected_cost - best.expected_cost > 0.005:
        goes = ", ".join(plain.names) or "straight to giving up"
        if best.expected_cost > 0:
            more = f"{round_significant(100 * (plain.expected_cost / best.expected_cost - 1), 2)}% dearer"
        else:
            more = "dearer"
        found.append(
            f"The plain rule, chance over cost, goes {goes}: {more}, as it does not see what checks share."
        )
    if hunt.give_up is not None and best.not_found > 0:
        after = f"after {best.names[-1]}" if best.names else "at once"
        found.append(f"Cheapest to have it found by somebody else {after}, if it comes to that.")
    return found


def _warnings(hunt: Hunt, best: Course) -> list[str]:
    found = []
    covered = {cause for check in hunt.checks for cause in check.finds}
    blind = [cause for cause, chance in hunt.chances.items() if chance > 0 and cause not in covered]
    if blind:
        found.append(f"No check left shows {', '.join(blind)}.")
    if hunt.hour_worth == 0 and best.expected_cost == 0:
        found.append("Nothing costs anything, so any order is as good: give the worth of an hour.")
    return found


def _order_table(hunt: Hunt, best: Course) -> Table:
    columns = (
        Output(name="step", label="", unit=""),
        Output(name="check", label="Check", unit=None),
        Output(name="opens", label="Opens", unit=None),
        Output(name="minutes", label="Time", unit="min"),
        Output(name="cost", label="Cost", unit="money"),
        Output(name="found", label="Found by then", unit="%", digits=3),
    )
    in_order = [each.name for each in hunt.access]
    rows = tuple(
        (
            float(number),
            step.check.name,
            ", ".join(sorted(step.opens, key=in_order.index)) or None,
            step.minutes,
            step.cost,
            100 * step.found,
        )
        for number, step in enumerate(best.steps, 1)
    )
    return Table("Order of checks", columns, rows)


def _causes_table(start: Hunt, now: Hunt) -> Table:
    columns = (
        Output(name="cause", label="Cause", unit=None),
        Output(name="before", label="Before any check", unit="%", digits=3),
        Output(name="now", label="Now", unit="%", digits=3),
    )
    ordered = sorted(now.chances, key=lambda cause: -now.chances[cause])
    rows = tuple((cause, 100 * start.chances[cause], 100 * now.chances[cause]) for cause in ordered)
    return Table("Causes", columns, rows)


def _fault_plot(best: Course, plain: Course) -> Figure:
    from onceapart.sums.plots import new_plot

    figure, axes = new_plot("Fault finding", "Spent by then (price and time)", "Chance that it is found, %")
    for course, words in ((best, "best order"), (plain, "plain rule, chance over cost")):
        spent, chance = [0.0], [0.0]
        for step in course.steps:
            spent.append(spent[-1] + step.cost)
            chance.append(100 * step.found)
        axes.step(spent, chance, where="post", label=f"{words}: {course.expected_cost:.2f} on average")
    axes.set(ylim=(0, 105))
    axes.set_xlim(left=0)
    axes.legend(loc="lower right")
    return figure


FAULT = Sum(
    name="fault-order",
    title="Fault finding",
    question="What do I check next to find the fault for the least time and money?",
    inputs=(
        CAUSES,
        CHECKS,
        ACCESS,
        DONE,
        QuantityInput(
            name="hour-worth",
            label="Worth of an hour of your time",
            unit="money/h",
            low=0,
            high=1000,
            default="12 /h",
            example="12 /h",
        ),
        QuantityInput(
            name="give-up",
            label="Price of having it found",
            unit="money",
            low=0,
            high=100_000,
            optional=True,
            example="90",
            help="What a garage takes to find the fault for certain.",
            argument="give_up",
        ),
    ),
    outputs=(
        Output(name="next", label="Check next", unit=None),
        Output(name="expected_cost", label="Finding it costs on average", unit="money"),
        Output(name="expected_minutes", label="Time on average", unit="min", digits=2),
        Output(name="most_cost", label="If the last check finds it", unit="money"),
        Output(name="by_ratio", label="By the plain rule on average", unit="money"),
        Output(name="saved", label="Saved on average", unit="money"),
        Output(name="not_found", label="Chance that nothing is found", unit="%", digits=2),
        Output(name="likeliest", label="Likeliest cause", unit=None),
        Output(name="likeliest_chance", label="Its chance", unit="%", digits=3),
    ),
    sources=(sources.COST, sources.RATIO, sources.SUBSETS, sources.BAYES, sources.LIKELIHOODS),
    example={
        "causes": "drop link: 35; ball joint: 25; strut top: 15; loose pad: 15; wheel bearing: 10",
        "checks": "listen and bounce: strut top: 5 min: 0:: 60 %;"
        "shake the link: drop link: 3 min: 0: front up; lever the arm: ball joint: 6 min: 0: front up;"
        "look at the pads: loose pad: 4 min: 0: wheel off; spin the wheel: wheel bearing: 3 min: 0: front up",
        "access": "front up: 12 min; wheel off: 6 min: front up",
    },
    cautions=(
        "A knock, pull or soft pedal in steering, suspension or brakes: do not drive to look for it. Have it "
        "checked by a licensed mechanic if no check finds it.",
        "Raise the car on firm ground, on axle stands, wheels chocked; never lie under a car on a jack.",
        "Reckons with exactly one fault, and that a check which says found is right.",
    ),
    answer=fault_answer,
)
