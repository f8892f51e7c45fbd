"""Why a plan is as it is: the few reasons that matter, or all of them."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterator
from typing import TYPE_CHECKING

from onceapart.cli.page import Page
from onceapart.cli.words import count, day, hours, listed
from onceapart.cli.wrapping import tied
from onceapart.planning.explain_words import done_in_words, left_in_words, order_in_words
from onceapart.workshop import format_money

if TYPE_CHECKING:
    from onceapart.planning.explain import BoughtOrder, Explanation, JobDone, Wait
    from onceapart.planning.plan import Plan, StintWork
    from onceapart.planning.workload import Workload


def add_why(page: Page, workload: Workload, plan: Plan, explanation: Explanation, *, in_full: bool) -> None:
    """What is shared, waited for and saved; in full, every job and order."""
    if in_full:
        page.heading("Why, job by job")
        page.sentences(" ".join(done_in_words(workload, done)) for done in explanation.done)
        if explanation.basket:
            page.heading("Why, order by order")
        page.sentences(" ".join(order_in_words(workload, order)) for order in explanation.basket)
        return
    reasons = [
        *_sharing(workload, plan),
        *_waiting(workload, explanation.done),
        *(_order(workload, order) for order in explanation.basket),
    ]
    if reasons:
        page.heading("Why", "--why tells it job by job")
        page.sentences(reasons)


def add_left(page: Page, workload: Workload, explanation: Explanation) -> None:
    """What is left, and why."""
    if explanation.left:
        page.heading("Left")
        page.sentences(f"{left.job}: {left_in_words(workload, left)}" for left in explanation.left)


def _order(workload: Workload, order: BoughtOrder) -> str:
    """What an order saves, in a sentence."""
    saves = order_in_words(workload, order)[1]
    return f"{workload.seller[order.seller].name}: {saves[0].lower()}{saves[1:]}"


def _sharing(workload: Workload, plan: Plan) -> Iterator[str]:
    """A sentence for each stint whose jobs share something."""
    for stint, work in zip(workload.stints, plan.work, strict=True):
        minutes, price = saved_by_sharing(workload, work)
        saved = [hours(minutes)] * bool(minutes) + [format_money(price)] * bool(price)
        if saved:
            yield f"{day(stint.date)}: {count(len(work.jobs), 'job')} together save {' and '.join(saved)}."


def saved_by_sharing(workload: Workload, work: StintWork) -> tuple[int, int]:
    """What the jobs of a stint would take more if each opened, aligned, bled and hired for itself.

    Returns
    -------
    (int, int)
        [minutes], and aftercare and hire [minor units].
    """
    times: Counter[tuple[str, str]] = Counter()
    for job in work.jobs:
        opened = workload.opened_for([job])
        times.update(("access", name) for name in opened)
        times.update(("care", name) for name in workload.aftercare_for([job], opened))
        times.update(("hire", tool) for tool in workload.tools_for([job], opened) if tool in work.hire)
    minutes = price = 0
    for (kind, name), n in times.items():
        if kind == "access":
            minutes += (n - 1) * workload.access_by_id[name].minutes
        elif kind == "care":
            minutes += (n - 1) * workload.aftercare_by_id[name].minutes
            price += (n - 1) * workload.aftercare_by_id[name].price
        else:
            price += (n - 1) * (workload.tool[name].hire or 0)
    return minutes, price


def _waiting(workload: Workload, jobs: tuple[JobDone, ...]) -> Iterator[str]:
    """A sentence for each stint and order that jobs of the stint wait for."""
    waits: defaultdict[tuple[int, str], dict[str, Wait]] = defaultdict(dict)
    for done in jobs:
        for wait in done.waits:
            if wait.holds:
                waits[done.place, wait.seller][wait.part] = wait
    for (place, seller), found in waits.items():
        before = day(workload.stints[place - 1].date)
        arrives = max(wait.arrives for wait in found.values())
        dearer = [
            tied(part, format_money(wait.sooner.change.money))
            for part, wait in found.items()
            if wait.sooner is not None
        ]
        nobody = [part for part, wait in found.items() if wait.sooner is None]
        why = [f"by {before} it would cost more: {', '.join(dearer)}"] * bool(dearer)
        why += [f"nobody has {listed(nobody)} by {before}"] * bool(nobody)
        yield (
            f"{day(workload.stints[place].date)} waits for {workload.seller[seller].name} "
            f"({day(arrives)}); {'; '.join(why)}."
        )
