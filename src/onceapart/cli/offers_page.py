"""What a table of offers was understood as: its columns, its offers, and what is wrong with which row."""

from __future__ import annotations

import sys
from collections.abc import Iterator
from typing import Any

from onceapart.cli.screen import show, table, width_of
from onceapart.cli.wrapping import wrapped
from onceapart.paper.sheet_in import TableIn
from onceapart.paper.words import count
from onceapart.workshop import Offer, Workshop
from onceapart.workshop.money import format_money
from onceapart.workshop.offer_rows import OfferRow
from onceapart.workshop.offers_in import OffersIn
from onceapart.workshop.writing import given_keys

MOST_SHOWN = 60
"""Rows of a kind that are listed."""
ORDER = ("new", "changed", "same")


def show_offers(found: OffersIn, got: TableIn, workshop: Workshop, name: str) -> None:
    """Print it."""
    width = width_of(sys.stdout)
    lines: list[Any] = [wrapped(note, width) for note in got.notes]
    wrong = [row for row in found.rows if row.offer is None]
    counts = [f"{count(len(found.rows), 'row')} in {name}"]
    counts += [f"{n} {change}" for change in ORDER if (n := sum(row.change == change for row in found.rows))]
    counts += [f"{len(wrong)} that can't be used"] if wrong else []
    lines += [wrapped(": ".join([counts[0], ", ".join(counts[1:])]) if counts[1:] else counts[0], width), ""]
    if found.columns:
        lines += _columns(found, width)
    lines += [line for problem in found.problems for line in _problem(problem, width)]
    for change in ORDER[:2]:
        rows = [row for row in found.usable if row.change == change]
        if rows:
            lines += ["", "New" if change == "new" else "Other than in the file, which is left as it is"]
            lines += _offers(rows, workshop, width)
    if wrong and not found.problems:
        lines += ["", "Can't be used"]
        for row in wrong[:MOST_SHOWN]:
            lines += [line for problem in row.problems for line in _problem(problem, width)]
        lines += _more(wrong, width)
    show([*lines, *_ways_on(found, width)])


def _ways_on(found: OffersIn, width: int) -> Iterator[str]:
    """How to say on the command line what the table does not."""
    ways = []
    meant = [column.meaning for column in found.columns]
    if found.problems and found.columns:
        ways.append("Say what a column holds with --column HEAD=WHAT.")
    if "seller" not in meant and found.problems:
        ways.append("Name the seller of all rows with --seller ID.")
    if found.unknown_parts:
        ways.append(f"Say which part is meant with --part, as in --part '{found.unknown_parts[0]}=ID'.")
    if found.unknown_sellers:
        ways.append("A seller has to be in the file first, under `sellers`.")
    if ways:
        yield ""
        yield wrapped(" ".join(ways), width)


def _columns(found: OffersIn, width: int) -> Iterator[Any]:
    rows = [
        (column.head or f"column {at}", column.meaning or "not used", column.example)
        for at, column in enumerate(found.columns, start=1)
    ]
    first = min(28, max(len(row[0]) for row in (*rows, ("column", "", ""))))
    yield table(("column", "taken for", "as in"), rows, (first, 9, width - first - 9 - 4))


def _offers(rows: list[OfferRow], workshop: Workshop, width: int) -> Iterator[Any]:
    cells = [_cells(row, workshop) for row in rows[:MOST_SHOWN]]
    heads = ("row", "part", "seller", "price", "days")
    seller = min(16, max(len("seller"), *(len(row[2]) for row in cells)))
    price = max(len("price"), *(len(row[3]) for row in cells))
    part = width - 4 - seller - price - 4 - 4 * 2
    yield table(heads, cells, (4, part, seller, price, 4), numbers=(0, 3, 4))
    yield from _more(rows, width)


def _cells(row: OfferRow, workshop: Workshop) -> tuple[str, ...]:
    offer = row.offer
    assert offer is not None
    parts = ", ".join(f"{pieces} x {part}" if pieces > 1 else part for part, pieces in offer.parts.items())
    title = f"{offer.title}: " if offer.title else ""
    more = [f"limit {offer.limit}"] if offer.limit is not None else []
    more += [f"deposit {format_money(offer.deposit)}"] if offer.deposit else []
    was = _differences(row.before, offer) if row.change == "changed" and row.before else []
    what = title + parts + (f" ({', '.join(more)})" if more else "")
    if was:
        what += f"; the file's {row.before.id if row.before else ''} has {', '.join(was)}"
    days = workshop.delivery_days(offer)
    return str(row.line), what, offer.seller, format_money(offer.price), str(days)


def _differences(before: Offer, after: Offer) -> list[str]:
    """What the file has otherwise."""
    found = []
    for key in ("title", "parts", "price", "limit", "days", "deposit"):
        old, new = getattr(before, key), getattr(after, key)
        if old != new:
            words = format_money(old) if key in ("price", "deposit") else old
            found.append(f"no {key}" if old is None else f"{key} {words}")
    return found


def _problem(problem: Any, width: int) -> Iterator[str]:
    value = f": {problem.value}" if problem.value else ""
    if problem.where or value:
        yield wrapped(f"{problem.where or 'table'}{value}", width, "  ", "    ")
    yield wrapped(f"{problem.rule}; {problem.way_out}", width, "    ", "    ")


def _more(rows: list[OfferRow], width: int) -> Iterator[str]:
    if len(rows) > MOST_SHOWN:
        yield wrapped(f"and {len(rows) - MOST_SHOWN} more", width, "  ", "  ")


def to_json(found: OffersIn, got: TableIn) -> dict[str, Any]:
    """The same as data. Money in minor units, as everywhere."""
    return {
        "sheet": got.sheet or None,
        "notes": list(got.notes),
        "columns": [{"head": column.head, "taken_for": column.meaning} for column in found.columns],
        "problems": [_problem_json(one) for one in found.problems],
        "rows": [
            {
                "row": row.line,
                "change": row.change,
                "offer": given_keys(row.offer) if row.offer is not None else None,
                "before": row.before.id if row.before is not None else None,
                "problems": [_problem_json(one) for one in row.problems],
            }
            for row in found.rows
        ],
        "unknown_parts": list(found.unknown_parts),
        "unknown_sellers": list(found.unknown_sellers),
    }


def _problem_json(problem: Any) -> dict[str, str]:
    return {"value": problem.value, "rule": problem.rule, "way_out": problem.way_out}
