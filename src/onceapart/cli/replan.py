"""``onceapart replan``: the best plan of what is left, and what it changes."""

from __future__ import annotations

import json
from typing import TYPE_CHECKING, Annotated, Any

import typer

from onceapart.cli.plan import IMPOSSIBLE, INTERRUPTED, NO_PLAN_YET, AimName, AimOption, JsonOption
from onceapart.cli.record_bench import Bench, File, WhoOption, at_bench, refuse
from onceapart.cli.replan_load import PlanOption, Standing, TodayOption, standing

if TYPE_CHECKING:
    from onceapart.bench.replan import Left
    from onceapart.planning.answer import Answer

LABEL = 9


def add_to(app: typer.Typer) -> None:
    """Add the command."""
    app.command("replan")(replan)


def replan(
    file: File,
    aim: AimOption = AimName.BALANCE,
    plan: PlanOption = None,
    today: TodayOption = None,
    minutes_left: Annotated[
        list[str] | None,
        typer.Option(
            "--minutes-left",
            metavar="[STINT=]N",
            help="Minutes left of today's stint; by default what the clock, or else the ticks, leave.",
        ),
    ] = None,
    order: Annotated[
        bool, typer.Option("--order", help="Note the new orders, and the old plan's, as placed.")
    ] = False,
    card: Annotated[
        str | None,
        typer.Option("--card", metavar="DATE|ID", help="Print the job card of this stint of the new plan."),
    ] = None,
    who: WhoOption = None,
    as_json: JsonOption = False,
) -> None:
    """Plan what is left, by the record.

    What is done is done, what is off goes on again, pieces used are gone, orders placed are paid and on
    their way, and ways chosen for snags count. As long as the record notes no order, the old plan's are
    taken as placed. Exit status 0 with a plan, 2 if file or record cannot be used, 3 if no plan is possible.
    """
    bench = at_bench(file)
    stands = standing(bench, plan, today, minutes_left=minutes_left)
    answer = _answer(stands.left, aim)
    if answer.plan is None:
        _no_plan(stands, answer, as_json=as_json)
    if order:
        _note_orders(bench, stands, answer, who)
    if card is not None:
        _show_card(bench, stands, answer, card, as_json=as_json)
    elif as_json:
        typer.echo(json.dumps(_as_json(stands, answer), indent=2, ensure_ascii=False))
    else:
        _show(stands, answer, is_noted=order)


def _answer(left: Left, aim: AimName) -> Answer:
    from onceapart.bench.replan_plan import plan_anew
    from onceapart.cli.solving import find_plan
    from onceapart.planning.plan import Aim

    try:
        return plan_anew(left, Aim(aim.value), find_plan)
    except KeyboardInterrupt:
        raise typer.Exit(INTERRUPTED) from None


def _no_plan(stands: Standing, answer: Answer, *, as_json: bool) -> None:
    from onceapart.cli.files import Loaded
    from onceapart.cli.plan import explained, say_no_plan_yet, show_why_impossible
    from onceapart.planning.plan import Status

    found = Loaded(stands.left.workshop, stands.left.workload)
    if answer.status is not Status.IMPOSSIBLE:
        say_no_plan_yet(found, ", ".join(answer.why))
        raise typer.Exit(NO_PLAN_YET)
    answer = explained(found, answer)
    if as_json:
        from onceapart.planning.plan_file import plan_to_json

        typer.echo(json.dumps(plan_to_json(found.workload, answer), indent=2, ensure_ascii=False))
    else:
        show_why_impossible(found, answer)
    raise typer.Exit(IMPOSSIBLE)


def _note_orders(bench: Bench, stands: Standing, answer: Answer, who: str | None) -> None:
    """Keep the orders of the old plan, if the record lacks them, and those of the new one."""
    from onceapart.bench.entries import now
    from onceapart.bench.replan_orders import ordered_now
    from onceapart.bench.ways_choose import noted_orders

    assert answer.plan is not None
    old = noted_orders(bench.state, stands.left.orders, now(), who)
    for entry in (*old, *ordered_now(stands.left, answer.plan, now(), who)):
        bench.add(entry)


def _show_card(bench: Bench, stands: Standing, answer: Answer, wanted: str, *, as_json: bool) -> None:
    from onceapart.bench.replan_card import card_left
    from onceapart.cli.words import day

    assert answer.plan is not None
    stints = stands.left.workload.stints
    named = [at for at, one in enumerate(stints) if wanted in (one.id, one.date.isoformat(), one.label)]
    if len(named) != 1:
        there = ", ".join(one.label for one in stints) or "none"
        refuse(f"--card {wanted}: this names {len(named) or 'no'} stint; left are {there}")
    made = card_left(stands.left, bench.state, answer.plan, named[0])
    if as_json:
        from onceapart.bench.card_data import card_to_json

        typer.echo(json.dumps(card_to_json(made), indent=2, ensure_ascii=False))
        return
    from onceapart.cli.card_page import show_card

    busy = [
        day(stint.date) + (f" {stint.id}" if stint.id else "")
        for stint, work in zip(stints, answer.plan.work, strict=True)
        if work.jobs or work.access
    ]
    show_card(made, busy)


def _as_json(stands: Standing, answer: Answer) -> dict[str, Any]:
    from onceapart.bench.replan_changes import as_replanned, changes, changes_in_words, planned_to_json
    from onceapart.planning.plan_file import plan_to_json

    assert answer.plan is not None
    left = stands.left
    data = plan_to_json(left.workload, answer)
    words = changes_in_words(left, changes(stands.before, left, answer.plan)) if stands.before else ()
    return {
        **data,
        "in_all": planned_to_json(as_replanned(left, answer.plan)),
        "spent": {"money": left.spent.money, "minutes": left.spent.minutes},
        "done": list(left.jobs.done),
        "half_done": dict(left.jobs.begun),
        "off_now": sorted(left.workload.off_now),
        "changes": list(words),
        "notes": list(left.notes),
    }


def _show(stands: Standing, answer: Answer, *, is_noted: bool) -> None:
    from dataclasses import replace

    from onceapart.bench.replan import real_units
    from onceapart.bench.replan_changes import changes, changes_in_words
    from onceapart.cli.page import Page
    from onceapart.cli.plan_page import add_plan, add_rest
    from onceapart.cli.words import day, hours, money

    assert answer.plan is not None
    left, page = stands.left, Page()
    currency = left.workload.currency
    page.heading(f"{left.workshop.name}: planned anew", f"as of {day(left.now.date(), year=True)}")
    page.items("Done", list(left.jobs.done), LABEL)
    half = [f"{job} ({minutes} min left)" for job, minutes in left.jobs.begun.items()]
    page.items("Half done", half, LABEL)
    page.items("Off now", sorted(left.workload.off_now), LABEL)
    page.fact("Spent", f"{money(left.spent.money, currency)}, {hours(left.spent.minutes)} of work", LABEL)
    coming = [
        f"{one.order.offer or ', '.join(one.parts)} ({day(one.order.arrives)})" for one in left.stock.coming
    ]
    page.items("Coming", coming, LABEL)
    if stands.before is not None:
        page.heading("What changes")
        page.sentences(changes_in_words(left, changes(stands.before, left, answer.plan)))
    if left.notes:
        page.heading("Taken for granted")
        page.sentences(left.notes)
    shown = replace(answer, plan=replace(answer.plan, units=real_units(left.workload, answer.plan)))
    assert shown.plan is not None
    add_plan(page, left.workshop, left.workload, shown)
    add_rest(page, left.workload, shown.plan)
    if shown.plan.units or shown.plan.tools_bought:
        page.paragraph(
            "The orders are noted." if is_noted else "When it is ordered: `onceapart replan FILE --order`."
        )
    page.show()
