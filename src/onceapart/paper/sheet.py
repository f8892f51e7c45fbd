"""A workshop as a spreadsheet (.xlsx): findings, verdicts, jobs, offers, plan, orders and money.

Formulas are ours alone. Whatever stands in a workshop file is written as text, also if it looks like one.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Sequence
from io import BytesIO
from typing import Any

import xlsxwriter  # type: ignore[import-untyped]

from onceapart.bench.state import State
from onceapart.inspection.verdicts import CarVerdict
from onceapart.paper.sheet_rows import Cell, Column, Formula, Table, tables_of
from onceapart.paper.typst_run import PaperSize, shortened
from onceapart.planning.plan import Plan
from onceapart.planning.workload import Workload
from onceapart.workshop import Workshop

NARROWEST, WIDEST = 7, 46
"""Letters in a column."""
MAX_CELL = 32_767
"""Letters that a cell can hold (ECMA-376 part 1 leaves it open; the limit of spreadsheet programs)."""
FIRST_DAY = dt.date(1900, 3, 1)
"""Days before are counted differently by different programs, and are written as text."""
_SHEET_SIZES = {PaperSize.A4: 9, PaperSize.LETTER: 1}
"""ST_PaperSize of ECMA-376 part 1, 18.3.1.63."""


def sheet_xlsx(
    workshop: Workshop,
    workload: Workload,
    plan: Plan | None,
    verdicts: Iterable[CarVerdict] = (),
    state: State | None = None,
    *,
    at: dt.datetime,
    size: PaperSize = PaperSize.A4,
) -> bytes:
    """The workshop as a spreadsheet.

    Parameters
    ----------
    workshop : Workshop
        As ``apply_recipes`` returns it.
    workload : Workload
        The one that the plan is of.
    plan : Plan, optional
        Without one, the sheets of plan, orders and money are left out.
    verdicts : iterable of CarVerdict
        What an inspection would say (``inspect_car``); without any, that sheet is left out.
    state : State, optional
        From the record: what is done, what was spent.
    at : datetime
        When it is made.
    size : PaperSize
        Sheet it is set up to be printed on, crosswise.

    Returns
    -------
    bytes
        The same for the same data and time.
    """
    out = BytesIO()
    book = xlsxwriter.Workbook(
        out,
        {
            "in_memory": True,
            "strings_to_formulas": False,
            "strings_to_numbers": False,
            "strings_to_urls": False,
        },
    )
    book.set_properties({"title": shortened(workshop.name, 100), "created": at.replace(tzinfo=None)})
    writer = _BookWriter(book, shortened(workshop.name, 60), _SHEET_SIZES[size])
    for table in tables_of(workshop, workload, plan, tuple(verdicts), state or State()):
        writer.add(table)
    book.close()
    return out.getvalue()


class _BookWriter:
    def __init__(self, book: Any, name: str, size: int) -> None:
        self.book, self.name, self.size = book, name, size
        plain = {"valign": "top", "text_wrap": True}
        self.formats = {
            "text": book.add_format(plain),
            "number": book.add_format({**plain, "num_format": "0"}),
            "money": book.add_format({**plain, "num_format": "#,##0.00"}),
            "date": book.add_format({**plain, "num_format": "yyyy-mm-dd"}),
        }
        self.heads = {
            "text": book.add_format({"bold": True, "bottom": 2, "valign": "bottom", "text_wrap": True}),
            "number": book.add_format(
                {"bold": True, "bottom": 2, "valign": "bottom", "text_wrap": True, "align": "right"}
            ),
        }
        self.heads |= {"money": self.heads["number"], "date": self.heads["text"]}
        total = {"bold": True, "top": 1, "valign": "top"}
        self.totals = dict.fromkeys(self.formats, book.add_format({**total, "num_format": "0"}))
        self.totals["money"] = book.add_format({**total, "num_format": "#,##0.00"})

    def add(self, table: Table) -> None:
        page = self.book.add_worksheet(table.name)
        for at, column in enumerate(table.columns):
            page.write_string(0, at, column.head, self.heads[column.kind])
            page.set_column(at, at, _width(column, [row[at] for row in table.rows]))
        for line, row in enumerate(table.rows, start=1):
            looks = self.totals if line - 1 in table.totals else self.formats
            for at, (column, cell) in enumerate(zip(table.columns, row, strict=True)):
                self._cell(page, line, at, cell, looks[column.kind])
        page.freeze_panes(1, table.frozen)
        if len(table.rows) > len(table.totals):
            page.autofilter(0, 0, len(table.rows) - len(table.totals), len(table.columns) - 1)
        page.set_landscape()
        page.set_paper(self.size)
        page.set_margins(left=0.5, right=0.5, top=0.6, bottom=0.7)
        page.fit_to_pages(1, 0)
        page.repeat_rows(0)
        page.set_footer(f"&L{self.name.replace('&', '&&')}, {table.name.lower()}&RPage &P of &N")

    def _cell(self, page: Any, line: int, at: int, cell: Cell, look: Any) -> None:
        if cell is None:
            page.write_blank(line, at, None, look)
        elif isinstance(cell, Formula):
            page.write_formula(line, at, cell.text.format(row=line + 1), look, cell.value)
        elif isinstance(cell, dt.date):
            if cell >= FIRST_DAY:
                page.write_datetime(line, at, cell, look)
            else:
                page.write_string(line, at, cell.isoformat(), self.formats["text"])
        elif isinstance(cell, str):
            text = cell if len(cell) <= MAX_CELL else f"{cell[: MAX_CELL - 8]}… (cut)"
            page.write_string(line, at, text, look)
        else:
            page.write_number(line, at, cell, look)


def _width(column: Column, cells: Sequence[Cell]) -> float:
    """Letters that most of a column needs; longer text is wrapped."""
    if column.kind == "date":
        return 11
    longest = max((len(cell) for cell in cells if isinstance(cell, str)), default=0)
    figures = 12 if column.kind == "money" else 0
    words = max((len(word) for word in column.head.split()), default=0) + 3  # room for the filter's button
    return min(WIDEST, max(NARROWEST, words, longest + 1, figures))
