"""Order sheets as a PDF and as CSV."""

from __future__ import annotations

import csv
import datetime as dt
from collections.abc import Sequence
from io import StringIO
from pathlib import Path
from typing import Any

from onceapart.paper.order_sheets import OrderLine, OrderPart, Orders, OrderSheet
from onceapart.paper.typst_run import PaperSize, compile_pdf, shortened
from onceapart.paper.words import count, day, money
from onceapart.workshop.money import format_money

CHECKS = (
    "Count the pieces against this sheet before you sign for them.",
    "Numbers on box and part are those of the order, and the side is right: left, right, front, rear.",
    "Hold each new part beside the old one, or its picture, before the car is taken apart: size, holes, "
    "thread, plug.",
    "No dents, cracks or rust, no dried-out rubber; the caps of brake and fuel parts still sit.",
    "Fluids come in a sealed bottle and are of the kind that the car's manual names.",
    "Keep box and bill until the part is in and tried; with a deposit, keep the old part whole and clean.",
    "Anything wrong: do not fit it. Note it in the record and tell the seller the same day.",
)
"""What to look at when parts come: common practice, no source."""

CSV_COLUMNS = (
    "seller", "offer", "title", "units", "unit_price", "amount", "currency", "arrives", "needed", "for",
    "parts", "spare", "deposit", "on_arrival",
)  # fmt: skip
"""Columns of the CSV: money with two decimals, dates as 2026-03-07; ``amount`` adds up to the total."""

_LIVE = ("=", "+", "-", "@", "\t", "\r")
"""Text that begins so is taken for a formula by spreadsheets."""


def orders_pdf(orders: Orders, *, size: PaperSize = PaperSize.A4, fonts: Sequence[Path] = ()) -> bytes:
    """A sheet for each seller, and a last one with what the plan costs if all sellers are there.

    Parameters
    ----------
    orders : Orders
    size : PaperSize
    fonts : sequence of Path
        Folders with fonts for letters that those that come along don't have.

    Returns
    -------
    bytes
        A PDF, the same for the same orders.
    """
    placed = day(orders.placed)
    data = {
        "workshop": orders.workshop,
        "short": shortened(orders.workshop, 36),
        "placed": placed,
        "sheets": [_sheet(sheet, orders) for sheet in orders.sheets],
        "sums": [
            *([sheet.name, money(sheet.total, orders.currency)] for sheet in orders.sheets),
            *([what, money(amount, orders.currency)] for what, amount in orders.besides.items()),
        ],
        "money": money(orders.money, orders.currency) if orders.is_whole else "",
        "deposit": money(orders.deposit, orders.currency) if orders.deposit else "",
        "checks": list(CHECKS),
    }
    return compile_pdf("orders", f"Orders of {placed}, {orders.workshop}", data, size=size, fonts=fonts)


def _sheet(sheet: OrderSheet, orders: Orders) -> dict[str, Any]:
    def paid(amount: int) -> str:
        return money(amount, orders.currency)

    return {
        "seller": sheet.name,
        "short": shortened(sheet.name, 36),
        "lines": [
            {
                "title": line.title,
                "offer": line.offer,
                "units": str(line.units),
                "price": format_money(line.price),
                "amount": format_money(line.amount),
                "arrives": day(line.arrives),
                "needed": day(line.needed) if line.needed else "spare",
                "slack": _slack(line),
                "parts": [
                    {"words": f"{part.pieces} × {part.title}{_spare(part)}", "id": part.id}
                    for part in line.parts
                ],
                "jobs": [f"{job.title} ({job.car}), {day(job.date)}" for job in line.jobs],
                "deposit": f"Deposit {paid(line.units * line.deposit)}, back for the old part."
                if line.deposit
                else "",
            }
            for line in sheet.lines
        ],
        "currency": orders.currency,
        "goods": paid(sheet.goods),
        "delivery": paid(sheet.delivery),
        "total": paid(sheet.total),
        "deposit": paid(sheet.deposit) if sheet.deposit else "",
        "pay_now": paid(sheet.total + sheet.deposit),
    }


def _slack(line: OrderLine) -> str:
    if line.needed is None:
        return ""
    days = (line.needed - line.arrives).days
    if days < 0:
        return f"{count(-days, 'day')} too late"
    return "no day to spare" if days == 0 else f"{count(days, 'day')} to spare"


def _spare(part: OrderPart) -> str:
    return f" ({part.spare} left over)" if part.spare else ""


def orders_csv(orders: Orders) -> str:
    """The orders as CSV (RFC 4180): a row for each offer, and one for each delivery that is paid.

    Parameters
    ----------
    orders : Orders

    Returns
    -------
    str
        ``CSV_COLUMNS`` on top, lines ended by CR LF. An apostrophe stands before text that a
        spreadsheet would take for a formula.
    """
    out = StringIO(newline="")
    writer = csv.writer(out)  # commas, CR LF, quotes doubled: as RFC 4180 has it
    writer.writerow(CSV_COLUMNS)
    for sheet in orders.sheets:
        for line in sheet.lines:
            writer.writerow(_row(sheet, line, orders.currency))
        if sheet.delivery:
            row = dict.fromkeys(CSV_COLUMNS, "") | {
                "seller": as_text(sheet.name),
                "title": "delivery",
                "amount": format_money(sheet.delivery),
                "currency": orders.currency,
            }
            writer.writerow(row.values())
    return out.getvalue()


def _row(sheet: OrderSheet, line: OrderLine, currency: str) -> list[str]:
    return [
        as_text(sheet.name),
        line.offer,
        as_text(line.title),
        str(line.units),
        format_money(line.price),
        format_money(line.amount),
        currency,
        line.arrives.isoformat(),
        _iso(line.needed),
        as_text("; ".join(f"{job.id} {job.date.isoformat()}" for job in line.jobs)),
        "; ".join(f"{part.pieces} x {part.id}" for part in line.parts),
        "; ".join(f"{part.spare} x {part.id}" for part in line.parts if part.spare),
        format_money(line.units * line.deposit) if line.deposit else "",
        as_text(_on_arrival(line)),
    ]


def _on_arrival(line: OrderLine) -> str:
    pieces = sum(part.pieces for part in line.parts)
    sides = sorted({side for part in line.parts for side in ("left", "right") if side in _words_of(part.id)})
    asked = [f"count {count(pieces, 'piece')}", *(["the side: " + " and ".join(sides)] if sides else [])]
    return "; ".join([*asked, "no damage", *(["keep the old part for the deposit"] if line.deposit else [])])


def _words_of(part: str) -> set[str]:
    return set(part.replace("/", "-").split("-"))


def _iso(date: dt.date | None) -> str:
    return date.isoformat() if date else ""


def as_text(text: str) -> str:
    """Text for a cell that is no formula to any spreadsheet.

    >>> as_text("=1+1"), as_text(" @x"), as_text("bolt")
    ("'=1+1", "' @x", 'bolt')
    """
    return f"'{text}" if text.startswith(_LIVE) or text.lstrip().startswith(_LIVE) else text
