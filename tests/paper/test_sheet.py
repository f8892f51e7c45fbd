"""The spreadsheet: opens elsewhere, says what the workshop says, and no text of it is ever a formula."""

from __future__ import annotations

import datetime as dt
import re
from io import BytesIO
from typing import Any

import openpyxl
import pytest
from hostile import HOSTILE, RIGHT_TO_LEFT
from hypothesis import given, settings
from hypothesis import strategies as st
from planned_demo import AT, PlannedDemo, planned, planned_demo

from onceapart.bench.entries import Ordered
from onceapart.bench.state import State, fold
from onceapart.demo import read_demo
from onceapart.inspection.verdicts import inspect_car
from onceapart.paper.sheet import sheet_xlsx
from onceapart.paper.sheet_in import table_in
from onceapart.paper.typst_run import PaperSize
from onceapart.planning.cost import cost
from onceapart.trade import apply_recipes
from onceapart.trade.rules import load_pack
from onceapart.workshop.offers_in import offers_in


def made(demo: PlannedDemo, state: State | None = None, **changed: Any) -> bytes:
    verdicts = [
        inspect_car(demo.workshop, car.id, load_pack("home-check"), today=AT.date())
        for car in demo.workshop.cars
    ]
    return sheet_xlsx(demo.workshop, demo.workload, demo.plan, verdicts, state, **{"at": AT, **changed})


def opened(content: bytes, *, values: bool = False) -> Any:
    return openpyxl.load_workbook(BytesIO(content), data_only=values)


def rows(content: bytes, sheet: str, *, values: bool = True) -> list[dict[str, Any]]:
    heads, *lines = opened(content, values=values)[sheet].iter_rows(values_only=True)
    return [dict(zip(heads, line, strict=True)) for line in lines]


@pytest.fixture(scope="module")
def content() -> bytes:
    return made(planned_demo())


def test_it_has_its_sheets_with_frozen_heads_and_set_up_to_print(content: bytes) -> None:
    book = opened(content)
    assert book.sheetnames == ["Findings", "Verdicts", "Jobs", "Offers", "Plan", "Orders", "Money"]
    for page in book:
        assert page.freeze_panes.endswith("2")
        assert page.page_setup.orientation == "landscape"
        assert page.page_setup.paperSize == 9  # A4 (ECMA-376 part 1, 18.18.50 and 18.3.1.63)
        assert page.print_title_rows == "$1:$1"
        assert page.sheet_properties.pageSetUpPr.fitToPage
    assert opened(made(planned_demo(), size=PaperSize.LETTER))["Jobs"].page_setup.paperSize == 1


def test_findings_jobs_and_plan_are_the_workshops(content: bytes) -> None:
    demo = planned_demo()
    assert len(rows(content, "Findings")) == len(demo.workshop.findings)
    jobs = {row["job"]: row for row in rows(content, "Jobs")}
    assert list(jobs) == [job.id for job in demo.workshop.jobs]
    for job in demo.workshop.jobs:
        at = demo.plan.stint_of(job.id)
        day = jobs[job.id]["stint"]
        assert (day.date() if day else None) == (demo.workload.stints[at].date if at is not None else None)
    *stints, total = rows(content, "Plan")
    assert [row["minutes used"] for row in stints] == [
        demo.plan.minutes_in(demo.workload, at) for at in range(len(demo.plan.work))
    ]
    assert total["minutes used"] == cost(demo.workload, demo.plan).minutes


def test_the_money_is_the_plans(content: bytes) -> None:
    demo = planned_demo()
    money = {row["what"]: row["amount"] for row in rows(content, "Money")}
    assert money["All the money of the plan"] == cost(demo.workload, demo.plan).money / 100


def evaluated(book: Any, sheet: str, formula: str) -> float:
    """What one of our formulas comes to: products and differences of two cells, and sums of a column."""
    if match := re.fullmatch(r"=SUM\((?:(\w+)!)?([A-Z])(\d+):([A-Z])(\d+)\)", formula):
        page, (column, first, last) = match[1] or sheet, (match[2], int(match[3]), int(match[5]))
        return sum(value_of(book, page, f"{column}{line}") for line in range(first, last + 1))
    match = re.fullmatch(r"=([A-Z]\d+)([*-])([A-Z]\d+)", formula)
    assert match, formula
    left, right = value_of(book, sheet, match[1]), value_of(book, sheet, match[3])
    return left * right if match[2] == "*" else left - right


def value_of(book: Any, sheet: str, cell: str) -> float:
    held = book[sheet][cell]
    if held.value is None:
        return 0.0
    return evaluated(book, sheet, held.value) if held.data_type == "f" else float(held.value)


def test_formulas_come_to_the_values_that_stand_there(content: bytes) -> None:
    book, values = opened(content), opened(content, values=True)
    count = 0
    for page in book:
        for cell in (cell for row in page for cell in row if cell.data_type == "f"):
            kept = values[page.title][cell.coordinate].value
            assert evaluated(book, page.title, cell.value) == pytest.approx(kept)
            count += 1
    assert count > 10


LIVE = (
    "=1+1",
    "+1",
    "-1+2",
    "@SUM(A1)",
    '=HYPERLINK("http://x.example")',
    "{=1}",
    "http://x.example",
    "1e5",
    "007",
)


@pytest.mark.parametrize("text", [*LIVE, *HOSTILE, RIGHT_TO_LEFT, "_x0041_", "a" * 200])
def test_text_stays_text(text: str) -> None:
    workshop = read_demo().workshop
    offers = tuple(one.model_copy(update={"title": text, "parts": one.parts}) for one in workshop.offers)
    findings = tuple(one.model_copy(update={"note": text}) for one in workshop.findings[:2])
    sellers = tuple(
        one.model_copy(update={"name": f"{text}{n}"[:200]}) for n, one in enumerate(workshop.sellers)
    )
    changed = {"offers": offers, "findings": findings, "sellers": sellers, "name": text}
    content = made(planned(apply_recipes(workshop.model_copy(update=changed))))
    book = opened(content)
    formulas = [cell.value for page in book for row in page for cell in row if cell.data_type == "f"]
    assert all(re.fullmatch(r"=(SUM\([A-Za-z0-9!:]+\)|[A-Z]\d+[*-][A-Z]\d+)", one) for one in formulas)
    assert not any(cell.hyperlink for page in book for row in page for cell in row)
    heads = [cell.value for cell in book["Offers"][1]]
    cells = [row[heads.index("title")] for row in book["Offers"].iter_rows(min_row=2)]
    assert {(cell.value, cell.data_type) for cell in cells} == {(text, "s")}
    assert [row["note"] for row in rows(content, "Findings")] == [text] * 2


def test_same_bytes_for_the_same() -> None:
    assert made(planned_demo()) == made(planned_demo())
    assert opened(made(planned_demo())).properties.created == AT.replace(tzinfo=None)


def test_without_a_plan_there_is_no_sheet_of_it() -> None:
    demo = planned_demo()
    book = opened(sheet_xlsx(demo.workshop, demo.workload, None, at=AT))
    assert book.sheetnames == ["Findings", "Jobs", "Offers"]


def test_what_was_spent_is_the_records() -> None:
    ordered = [
        Ordered(
            number=n,
            time=AT,
            parts={"pickle/fuse": 1},
            price=100 * n,
            delivery=50,
            arrives=dt.date(2026, 3, 9),
        )
        for n in (1, 2, 3)
    ]
    total = rows(made(planned_demo(), fold(ordered)), "Spent")[-1]
    assert (total["price"], total["delivery"]) == (6.0, 1.5)


def test_days_that_no_spreadsheet_counts_are_text() -> None:
    workshop = read_demo().workshop
    findings = (workshop.findings[0].model_copy(update={"date": dt.date(1899, 5, 1)}),)
    demo = planned(apply_recipes(workshop.model_copy(update={"findings": findings})))
    content = sheet_xlsx(demo.workshop, demo.workload, demo.plan, at=AT)
    assert rows(content, "Findings")[0]["date"] == "1899-05-01"


def test_its_offers_are_read_back_the_same(content: bytes) -> None:
    demo = planned_demo()
    found = offers_in(table_in(content).text, demo.workshop)
    assert not found.problems
    assert [row.offer for row in found.rows] == list(demo.workshop.offers)
    assert {row.change for row in found.rows} == {"same"}


@settings(max_examples=20, deadline=None)
@given(
    st.lists(st.tuples(st.integers(0, 10_000_000), st.none() | st.integers(1, 99)), min_size=1, max_size=8)
)
def test_any_prices_are_read_back_the_same(cells: list[tuple[int, int | None]]) -> None:
    demo = planned_demo()
    offers = tuple(
        one.model_copy(update={"price": price, "limit": limit, "title": f"Number {n}"})
        for n, (one, (price, limit)) in enumerate(zip(demo.workshop.offers, cells, strict=False))
    )
    workshop = demo.workshop.model_copy(update={"offers": offers})
    content = sheet_xlsx(workshop, demo.workload, None, at=AT)
    found = offers_in(table_in(content).text, workshop)
    assert tuple(row.offer for row in found.rows) == offers
