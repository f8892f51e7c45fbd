"""Jobs for what fails, with what they put right and what they cost."""

from __future__ import annotations

from typing import TYPE_CHECKING

from onceapart.cli.inspect_page import capital
from onceapart.cli.screen import column_widths, table
from onceapart.cli.words import count, hours, listed, money
from onceapart.inspection.judging import Verdict
from onceapart.inspection.verdicts import INSPECTOR
from onceapart.inspection.wording import item_words
from onceapart.planning.plan import Status
from onceapart.workshop import Need, format_money

if TYPE_CHECKING:
    from onceapart.cli.inspect_load import Inspected
    from onceapart.cli.page import Page
    from onceapart.cli.propose_cost import Costs
    from onceapart.inspection.proposing import Proposal, Proposals, Reason
    from onceapart.planning.cost import Cost


WIDE = 72
"""In less room the table has only what each job costs in all."""


def add_proposals(page: Page, found: Inspected, proposals: Proposals, costs: Costs) -> None:
    """Everything that is said of the jobs."""
    new = count(len(proposals.new), "new job")
    page.heading(f"{found.workshop.name}: {new} for what fails")
    for verdict in found.verdicts:
        looked = len(verdict.verdicts)
        text = f"{verdict.car.name}: {verdict.outcome} by {verdict.pack.id}"
        page.below(f"{text}, {looked} of {looked + len(verdict.unchecked)} things looked at.", 2)
    for title, jobs in (
        ("New", proposals.new),
        ("In the file already", tuple(job for job in proposals.jobs if job.there is not None)),
    ):
        if jobs:
            page.heading(title)
            for job in jobs:
                _add_job(page, job)
    if proposals.uncured:
        page.heading("No job found")
        page.sentences(f"{_reason(one.reason)}: {one.why}." for one in proposals.uncured)
    if proposals.jobs:
        _add_costs(page, costs, proposals)
    _add_notes(page, costs, proposals)
    page.paragraph(
        "What was not looked at is not in here: `onceapart walkround FILE` lists it. The tool advises; "
        f"{INSPECTOR}."
    )


def _add_job(page: Page, job: Proposal) -> None:
    page.below(f"{job.id}: {job.recipe} at {job.place}, {job.need}", 2)
    page.below(f"for {'; '.join(_reason(reason) for reason in job.reasons)}")
    there = job.there
    if there is not None and job.need.is_must and not there.need.is_must:
        page.below(f"It is there as {there.need} and may be left; to pass, make its need {job.need}.")


def _reason(reason: Reason) -> str:
    one = reason.verdict
    words = item_words(one.item, one.place)
    if not reason.is_ahead:
        return f"{words} ({one.verdict})"
    will = "will be" if reason.is_sure else "may be"
    on = one.projection.on.isoformat() if one.projection else ""
    return f"{words} ({one.verdict} now, {will} {reason.klass} by {on})"


def _add_costs(page: Page, costs: Costs, proposals: Proposals) -> None:
    page.heading(
        "What passing costs", f"{costs.workload.currency}; each job by itself, its parts where cheapest"
    )
    there = {job.id for job in proposals.jobs if job.there is not None}
    order = {job.id: at for at, job in enumerate(proposals.jobs)}
    musts = [one for one in costs.alone if one.job in costs.musts]
    rows: list[tuple[str, ...]] = [
        ("Job", "Parts", "Delivery", "Aftercare", "Tools", "Money", "Time"),
    ]
    for one in sorted(costs.alone, key=lambda one: (one not in musts, order[one.job])):
        name = f"{one.job}{'' if one.job in there else ' (new)'}{'' if one in musts else ' (upkeep)'}"
        rows.append(_row(name, one.cost, lacks=bool(one.unsold or one.no_tools)))
    if len(musts) > 1:
        total = sum(one.cost.money for one in musts)
        minutes = sum(one.cost.minutes for one in musts)
        lacks = any(one.unsold or one.no_tools for one in musts)
        name = f"these {len(musts)} jobs one by one"
        rows.append((name, "", "", "", "", format_money(total) + "+" * lacks, _clock(minutes)))
        if costs.together is not None and costs.together.cost is not None:
            rows.append(_row("the same in one plan", costs.together.cost, lacks=lacks))
    if page.width < WIDE:
        rows = [(row[0], row[5], row[6]) for row in rows]
    headings, *lines = rows
    widths = column_widths(rows, page.width, text=(0,))
    page.add(table(headings, lines, widths, numbers=range(1, len(headings))))
    if len(musts) > 1:
        _add_saving(page, costs)


def _row(name: str, cost: Cost, *, lacks: bool) -> tuple[str, ...]:
    """A row of the table; a ``+`` where something is missing in the money."""
    figures = (cost.goods, cost.delivery, cost.aftercare, cost.hire + cost.tools)
    money_in_all = format_money(cost.money) + "+" * lacks
    return (name, *(format_money(figure) for figure in figures), money_in_all, _clock(cost.minutes))


def _add_saving(page: Page, costs: Costs) -> None:
    """What one plan saves against the jobs one by one."""
    answer = costs.together
    if answer is None or answer.cost is None:
        return
    musts = [one.cost for one in costs.alone if one.job in costs.musts]
    saved = sum(cost.money for cost in musts) - answer.cost.money
    minutes = sum(cost.minutes for cost in musts) - answer.cost.minutes
    less = [money(saved, costs.workload.currency)] * (saved > 0) + [hours(minutes)] * (minutes > 0)
    page.add("")
    if less:
        proof = "" if answer.status is Status.PROVEN else " at least"
        page.sentences([f"Sharing deliveries and taking-apart saves{proof} {' and '.join(less)}."])
    if not costs.in_time:
        page.sentences(
            [
                "They do not fit into the stints and last days of the file; the one plan above takes one "
                "long stint. `onceapart plan` says what stands in the way."
            ]
        )


def _clock(minutes: int) -> str:
    return f"{minutes // 60}:{minutes % 60:02}"


def _add_notes(page: Page, costs: Costs, proposals: Proposals) -> None:
    notes = [
        f"{one.job}: nobody sells {listed(list(one.unsold))}; add an offer. Its price is missing above (+)."
        for one in costs.alone
        if one.unsold
    ]
    notes += [
        f"{one.job}: the tool {listed(list(one.no_tools))} is not there and has no price; give it "
        "`have: true`, or a `hire` or `buy` price. Its price is missing above (+)."
        for one in costs.alone
        if one.no_tools
    ]
    upkeep = [job.id for job in proposals.new if job.need is Need.UPKEEP]
    if upkeep:
        notes.append(
            f"{listed(upkeep)}: upkeep is worth nothing until you say what, so a plan leaves it; give it a "
            "`worth`, or the need inspection if it has to be done."
        )
    unsure = [
        reason for job in proposals.jobs for reason in job.reasons if reason.is_ahead and not reason.is_sure
    ]
    if unsure:
        notes.append("What only may fail by the inspection is measured again shortly before.")
    if any(reason.klass is Verdict.DANGEROUS for job in proposals.jobs for reason in job.reasons):
        notes.append("What is dangerous is put right before the car is driven, whatever day the plan takes.")
    if notes:
        page.heading("Note")
        page.sentences(capital(note) if note[0] == "W" else note for note in notes)


def add_written(page: Page, file: str, proposals: Proposals) -> None:
    """What was written."""
    if not proposals.new:
        page.paragraph(f"Nothing was written: {file} has all of these jobs.")
        return
    tools = f" and {count(len(proposals.tools), 'tool')}" if proposals.tools else ""
    page.paragraph(
        f"{count(len(proposals.new), 'job')}{tools} written into {file}. Now: onceapart plan {file}"
    )
