"""What stands in the sheets of a spreadsheet, as plain tables."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Literal, TypeAlias

from onceapart.bench.card_work import job_title, place_words
from onceapart.bench.replan import PRETENDED
from onceapart.bench.state import State
from onceapart.inspection.verdicts import CarVerdict, ItemVerdict
from onceapart.inspection.wording import (
    ahead_words,
    asked_words,
    found_words,
    rule_words,
)
from onceapart.inspection.wording import (
    place_words as item_place_words,
)
from onceapart.paper.order_sheets import OrderLine, OrderSheet, orders_of
from onceapart.planning.plan import Plan
from onceapart.planning.workload import Workload
from onceapart.trade import fit_workshop
from onceapart.workshop import Workshop

Kind: TypeAlias = Literal["text", "number", "money", "date"]


@dataclass(frozen=True)
class Formula:
    """A formula of our own, with ``{row}`` for its row, and what it comes to."""

    text: str
    value: float


Cell: TypeAlias = str | int | float | dt.date | Formula | None


@dataclass(frozen=True)
class Column:
    head: str
    kind: Kind = "text"


@dataclass(frozen=True)
class Table:
    """One sheet. ``frozen`` columns stay in sight; ``totals`` are the places of the rows that add up."""

    name: str
    columns: tuple[Column, ...]
    rows: tuple[tuple[Cell, ...], ...]
    frozen: int = 0
    totals: frozenset[int] = frozenset()


def tables_of(
    workshop: Workshop,
    workload: Workload,
    plan: Plan | None,
    verdicts: Sequence[CarVerdict],
    state: State,
) -> Iterator[Table]:
    """The sheets in their order; parameters as for ``sheet.sheet_xlsx``."""
    yield _findings(workshop)
    if verdicts:
        yield _verdicts(verdicts)
    yield _jobs(workshop, workload, plan, state)
    yield _offers(workshop, plan)
    if plan is not None:
        yield _plan(workload, plan)
        yield from _orders_and_money(workshop, workload, plan)
    if state.ordered:
        yield _spent(workshop, state)


def amount(minor: int) -> float:
    """Minor units as a cell holds them."""
    return minor / 100


def _findings(workshop: Workshop) -> Table:
    columns = (
        Column("car"), Column("item"), Column("place"), Column("value"), Column("seen"),
        Column("date", "date"), Column("odometer"), Column("note"), Column("photo"),
    )  # fmt: skip
    rows = tuple(
        (one.car, one.item, one.place, one.value, ", ".join(one.seen) or None, one.date, one.odometer,
         one.note, one.photo)
        for one in workshop.findings
    )  # fmt: skip
    return Table("Findings", columns, rows, frozen=2)


def _verdicts(verdicts: Sequence[CarVerdict]) -> Table:
    columns = tuple(
        map(Column, ("car", "item", "place", "verdict", "found", "asked", "rule", "by the inspection"))
    )
    rows = [_verdict(car, one) for car in verdicts for one in (*car.verdicts, *car.unchecked)]
    return Table("Verdicts", columns, tuple(rows), frozen=2)


def _verdict(car: CarVerdict, one: ItemVerdict) -> tuple[Cell, ...]:
    said = str(one.verdict) + (f", may be {one.worst}" if one.is_open else "")
    ahead = ahead_words(one.projection, one.item) if one.projection is not None else None
    return (
        car.car.id,
        one.item.title,
        item_place_words(one.place, one.item) or None,
        said,
        found_words(one) if one.readings else None,
        asked_words(one) or None,
        "; ".join(rule_words(rule) for rule in one.rules) or None,
        ahead,
    )


def _jobs(workshop: Workshop, workload: Workload, plan: Plan | None, state: State) -> Table:
    columns = (
        Column("job"), Column("car"), Column("what"), Column("need"), Column("minutes", "number"),
        Column("by", "date"), Column("worth", "money"), Column("stint", "date"), Column("how it stands"),
        Column("parts"), Column("after"),
    )  # fmt: skip
    fitted = fit_workshop(workshop)
    rows: list[tuple[Cell, ...]] = []
    for job in workshop.jobs:
        at = plan.stint_of(job.id) if plan is not None else None
        if state.is_job_done(job.id):
            stands = "done"
        elif plan is None:
            stands = "not planned yet"
        else:
            stands = "planned" if at is not None else "left"
        title = f"{job_title(job, fitted.jobs.get(job.id))} {place_words(job.place or 'all')}".strip()
        rows.append(
            (job.id, job.car, title, str(job.need), job.minutes, workshop.deadline(job),
             amount(job.worth) if job.worth else None, workload.stints[at].date if at is not None else None,
             stands, _pieces(job.parts) or None, ", ".join(job.after) or None)
        )  # fmt: skip
    return Table("Jobs", columns, tuple(rows), frozen=1)


def _pieces(parts: dict[str, int]) -> str:
    """Parts as ``offers_in`` reads them."""
    return " + ".join(f"{part} x{pieces}" if pieces > 1 else part for part, pieces in parts.items())


def _offers(workshop: Workshop, plan: Plan | None) -> Table:
    """Its heads are those that ``onceapart offers`` knows, so that a changed sheet can be read back."""
    columns = (
        Column("id"), Column("part"), Column("seller"), Column("price", "money"), Column("days", "number"),
        Column("limit", "number"), Column("deposit", "money"), Column("title"),
        Column("bought by the plan", "number"),
    )  # fmt: skip
    units = plan.units if plan is not None else {}
    rows = tuple(
        (one.id, _pieces(one.parts), one.seller, amount(one.price), one.days, one.limit,
         amount(one.deposit) if one.deposit else None, one.title, units.get(one.id) or None)
        for one in workshop.offers
        if one.seller not in PRETENDED
    )  # fmt: skip
    return Table("Offers", columns, rows, frozen=1)


def _plan(workload: Workload, plan: Plan) -> Table:
    columns = (
        Column("date", "date"), Column("stint"), Column("minutes there are", "number"),
        Column("minutes used", "number"), Column("minutes over", "number"), Column("jobs"),
        Column("comes off"), Column("stays off"), Column("aftercare"), Column("to hire"),
    )  # fmt: skip
    rows: list[tuple[Cell, ...]] = []
    for at, (stint, work) in enumerate(zip(workload.stints, plan.work, strict=True)):
        used = plan.minutes_in(workload, at)
        words = (", ".join(one) or None for one in (work.jobs, work.access, work.left_off, work.aftercare,
                                                    work.hire))  # fmt: skip
        rows.append(
            (
                stint.date,
                stint.id,
                stint.minutes,
                used,
                Formula("=C{row}-D{row}", stint.minutes - used),
                *words,
            )
        )
    total: tuple[Cell, ...] = ()
    if rows:
        last = len(rows) + 1
        sums = [
            Formula(f"=SUM({letter}2:{letter}{last})", value)
            for letter, value in (
                ("C", sum(stint.minutes for stint in workload.stints)),
                ("D", sum(plan.minutes_in(workload, at) for at in range(len(plan.work)))),
            )
        ]
        over = Formula("=C{row}-D{row}", sums[0].value - sums[1].value)
        total = ("All", None, *sums, over, *[None] * 5)
    return Table(
        "Plan",
        columns,
        (*rows, total) if rows else (),
        frozen=2,
        totals=frozenset([len(rows)] if rows else []),
    )


def _orders_and_money(workshop: Workshop, workload: Workload, plan: Plan) -> Iterator[Table]:
    orders = orders_of(workshop, workload, plan)
    sheets = [one for one in orders.sheets if one.seller not in PRETENDED]  # which cost nothing
    columns = (
        Column("seller"), Column("offer"), Column("title"), Column("units", "number"),
        Column("price of one", "money"), Column("amount", "money"), Column("arrives", "date"),
        Column("needed", "date"), Column("for"), Column("pieces"), Column("spare"),
        Column("deposit", "money"),
    )  # fmt: skip
    rows: list[tuple[Cell, ...]] = []
    money: list[tuple[Cell, ...]] = []
    for sheet in sheets:
        first = len(rows) + 2
        rows.extend(_order_line(sheet, line) for line in sheet.lines)
        goods = Formula(f"=SUM(Orders!F{first}:F{len(rows) + 1})", amount(sheet.goods))
        money.append((f"Goods from {sheet.name}", goods, orders.currency))
        if sheet.delivery:
            money.append((f"Delivery by {sheet.name}", amount(sheet.delivery), orders.currency))
    money += [(what, amount(minor), orders.currency) for what, minor in orders.besides.items()]
    yield Table("Orders", columns, tuple(rows), frozen=3)
    total = Formula(f"=SUM(B2:B{len(money) + 1})" if money else "=0", amount(orders.money))
    deposit = Formula(f"=SUM(Orders!L2:L{len(rows) + 1})" if rows else "=0", amount(orders.deposit))
    yield Table(
        "Money",
        (Column("what"), Column("amount", "money"), Column("currency")),
        (
            *money,
            ("All the money of the plan", total, orders.currency),
            ("Deposits besides, to get back", deposit, orders.currency),
        ),
        totals=frozenset([len(money), len(money) + 1]),
    )


def _order_line(sheet: OrderSheet, line: OrderLine) -> tuple[Cell, ...]:
    return (
        sheet.name,
        line.offer,
        line.title,
        line.units,
        amount(line.price),
        Formula("=D{row}*E{row}", amount(line.amount)),
        line.arrives,
        line.needed,
        ", ".join(job.id for job in line.jobs) or None,
        "; ".join(f"{part.pieces} x {part.id}" for part in line.parts),
        "; ".join(f"{part.spare} x {part.id}" for part in line.parts if part.spare) or None,
        amount(line.units * line.deposit) if line.deposit else None,
    )


def _spent(workshop: Workshop, state: State) -> Table:
    """What the record says was ordered."""
    columns = (
        Column("ordered", "date"), Column("what"), Column("seller"), Column("price", "money"),
        Column("delivery", "money"), Column("arrives", "date"), Column("currency"),
    )  # fmt: skip
    titles = {one.id: one.title for one in workshop.offers}
    rows: list[tuple[Cell, ...]] = []
    for one in state.ordered:
        parts = "; ".join(f"{pieces} x {part}" for part, pieces in one.parts.items())
        what = titles.get(one.offer or "") or parts or one.tool
        rows.append(
            (one.placed or one.day, what, one.seller, amount(one.price), amount(one.delivery), one.arrives,
             workshop.currency)
        )  # fmt: skip
    last = len(rows) + 1
    sums = [
        Formula(f"=SUM({letter}2:{letter}{last})", amount(value))
        for letter, value in (
            ("D", sum(one.price for one in state.ordered)),
            ("E", sum(one.delivery for one in state.ordered)),
        )
    ]
    total: tuple[Cell, ...] = ("All", None, None, *sums, None, workshop.currency)
    return Table("Spent", columns, (*rows, total), totals=frozenset([len(rows)]))
