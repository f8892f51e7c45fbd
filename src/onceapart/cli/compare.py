"""``onceapart compare``: the four aims beside each other, and beside two plain ways of doing the work."""

from __future__ import annotations

import json
from typing import TYPE_CHECKING, Any

import typer

from onceapart.cli.files import File, Loaded, add_stopgaps, load
from onceapart.cli.plan import IMPOSSIBLE, INTERRUPTED, NO_PLAN_YET, JsonOption, SecondsOption

if TYPE_CHECKING:
    from onceapart.planning.compare import Comparison, Row
    from onceapart.planning.workload import Workload


def add_to(app: typer.Typer) -> None:
    """Add the command."""
    app.command("compare")(compare)


def compare(file: File, as_json: JsonOption = False, seconds: SecondsOption = None) -> None:
    """Set the four aims beside each other and beside two plain ways.

    The plain ways do the jobs that the plan for `balance` does: each on its own with parts from the
    counter; or each part bought where it is cheapest, line by line. All are worked out by the same rules.
    --seconds is for all four aims together. Exit statuses are those of `plan`.
    """
    from onceapart.cli.plan import explained, say_no_plan_yet, show_why_impossible
    from onceapart.cli.solving import waiting
    from onceapart.planning.compare import compare as compare_aims
    from onceapart.planning.plan import Status
    from onceapart.planning.solve import USUAL_WORK

    found = load(file)
    limit = USUAL_WORK if seconds is None else None
    try:
        with waiting("planning for four aims; Ctrl-C takes the best plans so far"):
            comparison = compare_aims(found.workload, work_limit=limit, seconds=seconds)
    except KeyboardInterrupt:
        say_no_plan_yet(found, "stopped before a plan was found")
        raise typer.Exit(INTERRUPTED) from None
    first = comparison.answers[0]
    if as_json:
        typer.echo(json.dumps(as_data(comparison), indent=2, ensure_ascii=False))
    elif first.plan is not None:
        _show(found, comparison)
    elif first.status is Status.IMPOSSIBLE:
        show_why_impossible(found, explained(found, first))
    else:
        say_no_plan_yet(found, ", ".join(first.why))
    if first.plan is None:
        raise typer.Exit(IMPOSSIBLE if first.status is Status.IMPOSSIBLE else NO_PLAN_YET)


def as_data(comparison: Comparison) -> dict[str, Any]:
    """The comparison for JSON: money in minor units, time in minutes, dates as text."""
    return {
        "ways": [
            {
                "name": row.name,
                "status": None if row.status is None else str(row.status),
                "money": row.cost and row.cost.money,
                "minutes": row.cost and row.cost.minutes,
                "worth": row.cost and row.cost.worth,
                "total": row.cost and row.cost.total,
                "ready": row.ready and row.ready.isoformat(),
                "orders": row.orders,
                "jobs": row.jobs_done,
                "late": list(row.late),
                "extra_stints": row.extra_stints,
                "extra_minutes": row.extra_minutes,
            }
            for row in comparison.rows
        ]
    }


_WAYS = {"on its own": "each job on its own", "line by line": "cheapest line by line"}


def _show(found: Loaded, comparison: Comparison) -> None:
    from onceapart.cli.page import Page
    from onceapart.cli.screen import column_widths, table

    page = Page()
    add_stopgaps(page, found.stopgaps)
    page.heading(f"{found.workshop.name}: four aims, and two plain ways of doing the same jobs")
    page.add("")
    headings = ("", "Money", "Hours", "All in", "Ready", "Orders", "Jobs")
    rows = [_cells(row) for row in comparison.rows]
    widths = column_widths([headings, *rows], page.width, text=(0,))
    page.add(table(headings, rows, widths, numbers=(1, 2, 3, 5, 6)))
    page.add("")
    page.sentences([*_saved(found.workload, comparison), *_left(found.workload, comparison)])
    page.paragraph(
        "All in: money, and hours at what they are worth to you, less what the upkeep and wishes done are "
        f"worth ({found.workload.currency}). Each job on its own: parts from the counter where it has "
        "them, and everything off for each job anew. Cheapest line by line: every part where its pieces "
        "cost least; then jobs share."
    )
    page.show()


def _cells(row: Row) -> tuple[str, ...]:
    from onceapart.cli.words import day
    from onceapart.planning.plan import Status
    from onceapart.workshop import format_money

    name = _WAYS.get(row.name, row.name)
    if row.status is Status.GOOD:
        name += " (not proven)"
    if row.cost is None:
        return name, "none", "", "", "", "", ""
    ready = day(row.ready) if row.ready else "too late" if row.extra_stints else ""
    return (
        name,
        format_money(row.cost.money),
        f"{row.cost.minutes // 60}:{row.cost.minutes % 60:02}",
        format_money(row.cost.total),
        ready,
        str(row.orders),
        str(row.jobs_done),
    )


def _saved(workload: Workload, comparison: Comparison) -> list[str]:
    """What the plan for balance saves against the plain ways, and whether those can be worked at all."""
    from onceapart.cli.words import count, hours, listed, money

    best = comparison.rows[0].cost
    assert best is not None
    sentences = []
    for row in comparison.rows[len(comparison.answers) :]:
        assert row.cost is not None
        gains = (
            (money(row.cost.money - best.money, workload.currency), row.cost.money - best.money),
            (hours(row.cost.minutes - best.minutes), row.cost.minutes - best.minutes),
        )
        less = [words for words, amount in gains if amount > 0]
        more = [words.removeprefix("-") for words, amount in gains if amount < 0]
        takes = [f"{listed(less)} less"] * bool(less) + [f"{listed(more)} more"] * bool(more)
        sentence = f"Against {_WAYS[row.name]}, balance takes {' but '.join(takes) or 'the same'}"
        unfit = []
        if row.extra_stints:
            stints = count(row.extra_stints, "stint")
            unfit.append(f"needs {stints} more than there are ({hours(row.extra_minutes)})")
        if row.late:
            unfit.append(f"does {count(len(row.late), 'job')} after the last day")
        sentences.append(f"{sentence}{'; that way ' + ' and '.join(unfit) if unfit else ''}.")
    return sentences


def _left(workload: Workload, comparison: Comparison) -> list[str]:
    """What each aim leaves, aims that leave the same in one sentence."""
    from onceapart.cli.words import listed

    by_left: dict[tuple[str, ...], list[str]] = {}
    for answer in comparison.answers:
        if answer.plan is not None:
            left = tuple(job.id for job in workload.jobs if job.id not in answer.plan.done)
            by_left.setdefault(left, []).append(str(answer.aim))
    return [
        f"{listed(aims)} {'leave' if len(aims) > 1 else 'leaves'} {listed(list(left)) or 'nothing'}."
        for left, aims in by_left.items()
    ]
