"""Order sheets: what is ordered for what, sums that are the plan's, CSV that reads back and runs nothing."""

from __future__ import annotations

import csv
import datetime as dt
from collections import Counter
from dataclasses import replace
from decimal import Decimal
from io import StringIO

import pytest
from hostile import HOSTILE, MARKS, WIDE
from hypothesis import given
from hypothesis import strategies as st
from pdf_reading import faults_of, flat, missing_from, outside, overlapping, pages_of, text_of

from onceapart.cli.files import Loaded, prepare
from onceapart.demo import read_demo
from onceapart.paper.order_files import CHECKS, CSV_COLUMNS, as_text, orders_csv, orders_pdf
from onceapart.paper.order_sheets import OrderJob, OrderLine, OrderPart, Orders, OrderSheet, orders_of
from onceapart.planning.lots import lots_of
from onceapart.planning.plan import Aim, Plan
from onceapart.planning.plan_file import figures_to_json
from onceapart.planning.solve import best_plan

DAY = dt.date(2026, 3, 2)
FORMULAS = ("=1+1", "+cmd", "-2", "@SUM(A1)", "\t=1", "  =1", "'quoted", 'say "hi", please', "line\r\nbreak")


@pytest.fixture(scope="module")
def planned() -> tuple[Loaded, Plan]:
    found = prepare(read_demo())
    plan = best_plan(found.workload, Aim.BALANCE).plan
    assert plan is not None
    return found, plan


@pytest.fixture(scope="module")
def orders(planned: tuple[Loaded, Plan]) -> Orders:
    found, plan = planned
    return orders_of(found.workshop, found.workload, plan)


def rows_of(text: str) -> list[dict[str, str]]:
    return list(csv.DictReader(StringIO(text, newline="")))


def test_sums_are_those_of_the_plan_file(planned: tuple[Loaded, Plan], orders: Orders) -> None:
    """The plan file's figures are worked out elsewhere, from the rules of the planning problem."""
    found, plan = planned
    told = figures_to_json(found.workload, plan)
    assert [(one.seller, one.goods, one.delivery, one.deposit) for one in orders.sheets] == [
        (one["seller"], one["goods"], one["delivery"], one["deposit"]) for one in told["orders"]
    ]
    assert orders.money == told["cost"]["money"]
    lines = {line.offer: line for sheet in orders.sheets for line in sheet.lines}
    for one in (line for order in told["orders"] for line in order["lines"]):
        assert lines[one["offer"]].units == one["units"]
        assert lines[one["offer"]].arrives.isoformat() == one["arrives"]
    spare = Counter({p.id: p.spare for line in lines.values() for p in line.parts if p.spare})
    assert dict(spare) == told["spare"]


@pytest.mark.parametrize("aim", [Aim.THRIFT])
def test_sums_are_the_plans_for_other_aims_too(aim: Aim) -> None:
    found = prepare(read_demo())
    plan = best_plan(found.workload, aim, work_limit=1).plan
    assert plan is not None
    made = orders_of(found.workshop, found.workload, plan)
    assert made.money == figures_to_json(found.workload, plan)["cost"]["money"]


def test_each_line_is_for_the_jobs_that_use_it(planned: tuple[Loaded, Plan], orders: Orders) -> None:
    found, plan = planned
    lots = lots_of(found.workload, plan)
    for line in (line for sheet in orders.sheets for line in sheet.lines):
        users = {
            job for job, several in lots.of_job.items() if any(lot.offer == line.offer for lot in several)
        }
        assert {job.id for job in line.jobs} == users
        assert line.needed == min(
            (found.workload.stints[plan.stint_of(job) or 0].date for job in users), default=None
        )
        assert line.needed is None or line.arrives <= line.needed
        used = sum(
            lot.pieces for several in lots.of_job.values() for lot in several if lot.offer == line.offer
        )
        assert sum(part.pieces - part.spare for part in line.parts) == used


def test_everything_is_on_the_sheet_and_each_seller_has_its_own(orders: Orders) -> None:
    pdf = orders_pdf(orders)
    wanted = [*CHECKS]
    for sheet in orders.sheets:
        wanted += [sheet.name]
        for line in sheet.lines:
            wanted += [
                line.title,
                line.offer,
                *(part.id for part in line.parts),
                *(p.title for p in line.parts),
            ]
            wanted += [f"{job.title} ({job.car})" for job in line.jobs]
    assert missing_from(pdf, wanted) == []
    assert (faults_of(pdf), outside(pdf), overlapping(pdf)) == ([], [], [])
    heads = [flat(sheet.name) for sheet in orders.sheets]
    for page in map(flat, pages_of(pdf)[:-1]):
        assert sum(page.startswith(head) for head in heads) == 1
    last = flat(pages_of(pdf)[-1])
    assert f"Moneyoftheplan{orders.money / 100:.2f}EUR" in last
    assert f"Depositsof{orders.deposit / 100:.2f}EUR" in last


def test_one_seller_alone_tells_of_no_other(orders: Orders) -> None:
    sheet = orders.sheets[1]
    text = flat(text_of(orders_pdf(orders.of(sheet.seller))))
    assert flat(sheet.name) in text
    assert not any(flat(one.name) in text for one in orders.sheets if one is not sheet)
    assert "Moneyoftheplan" not in text
    with pytest.raises(KeyError):
        orders.of("nobody")


def test_nothing_to_order() -> None:
    made = Orders("Quay Lane", "EUR", DAY, ())
    pdf = orders_pdf(made)
    assert "Nothingisordered" in flat(text_of(pdf))
    assert faults_of(pdf) == []
    assert rows_of(orders_csv(made)) == []


def test_csv_reads_back(orders: Orders) -> None:
    text = orders_csv(orders)
    assert text.splitlines(keepends=True)[0] == ",".join(CSV_COLUMNS) + "\r\n"
    rows = rows_of(text)
    lines = [(sheet, line) for sheet in orders.sheets for line in sheet.lines]
    goods = [row for row in rows if row["offer"]]
    assert [(row["seller"], row["offer"], row["title"]) for row in goods] == [
        (sheet.name, line.offer, line.title) for sheet, line in lines
    ]
    assert [dt.date.fromisoformat(row["arrives"]) for row in goods] == [line.arrives for _, line in lines]
    assert sum(Decimal(row["amount"]) for row in rows) * 100 == sum(sheet.total for sheet in orders.sheets)
    assert sum(Decimal(row["deposit"] or 0) for row in rows) * 100 == orders.deposit
    assert all(Decimal(row["unit_price"]) * int(row["units"]) == Decimal(row["amount"]) for row in goods)


def sheet_with(texts: tuple[str, ...] | list[str]) -> Orders:
    lines = tuple(
        OrderLine(f"offer-{n}", text, 2, 99_999_999, 88_888_888, DAY,
                  (OrderPart("wren/" + "p" * 95, text, 2, 1),), (OrderJob("job", text, text, DAY),))
        for n, text in enumerate(texts)
    )  # fmt: skip
    return Orders(texts[0], "EUR", DAY, (OrderSheet("s", texts[-1], lines, 999),))


@given(st.lists(st.sampled_from(FORMULAS) | st.text(min_size=1, max_size=30), min_size=1, max_size=4))
def test_csv_gives_any_text_back_and_none_is_a_formula(texts: list[str]) -> None:
    made = sheet_with(texts)
    rows = list(csv.reader(StringIO(orders_csv(made), newline="")))
    assert all(len(row) == len(CSV_COLUMNS) for row in rows)
    for row, text in zip(rows[1:], texts, strict=False):
        assert row[2].removeprefix("'") == text.removeprefix("'")
        for cell in row:
            assert not cell.lstrip().startswith(("=", "+", "-", "@"))
    assert [as_text(one)[:1] for one in FORMULAS[:6]] == ["'"] * 6


def test_hostile_texts_and_the_largest_figures_fit() -> None:
    made = sheet_with(HOSTILE)
    pdf = orders_pdf(made)
    assert missing_from(pdf, HOSTILE) == []
    assert "999999.99" in text_of(pdf).replace("\n", "")
    assert (faults_of(pdf), outside(pdf), overlapping(pdf)) == ([], [], [])


def test_a_kit_longer_than_a_page_is_all_there() -> None:
    parts = tuple(OrderPart(f"wren/part-{n}", f"Part number {n}", n + 1) for n in range(120))
    line = OrderLine("kit", MARKS, 1, 100, 0, DAY, parts, ())
    made = replace(sheet_with([WIDE]), sheets=(OrderSheet("s", "A seller", (line,), 0),))
    pdf = orders_pdf(made)
    assert missing_from(pdf, [part.id for part in parts]) == []
    assert (outside(pdf), overlapping(pdf)) == ([], [])
    assert "For no job of the plan" in " ".join(text_of(pdf).split())


@pytest.mark.parametrize("days", [-2, -1, 0, 1, 5])
def test_days_between_coming_and_need_are_said(days: int) -> None:
    job = OrderJob("job", "Boot", "The Wren", DAY + dt.timedelta(days=days))
    line = OrderLine("o", "Boot kit", 1, 100, 0, DAY, (OrderPart("p", "Boot", 1),), (job,))
    text = flat(text_of(orders_pdf(Orders("Quay Lane", "EUR", DAY, (OrderSheet("s", "S", (line,), 0),)))))
    plural = "days" if abs(days) > 1 else "day"
    said = f"{abs(days)}{plural}{'tospare' if days > 0 else 'toolate'}" if days else "nodaytospare"
    assert f"({said})" in text
