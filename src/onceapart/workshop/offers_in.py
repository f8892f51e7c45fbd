"""Offers pasted from a spreadsheet: columns told by their heads, rows read one by one, problems per row.

Nothing is changed here: what was understood is given back, to be looked at and then put in.
"""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from onceapart.errors import Problem
from onceapart.workshop.model import Offer, Workshop
from onceapart.workshop.money import format_money
from onceapart.workshop.offer_heads import MEANING_OF, MEANINGS, Meaning, meaning_of
from onceapart.workshop.offer_rows import Column, Names, OfferRow, RowReading
from onceapart.workshop.pasted import (
    MAX_PASTED,
    MAX_ROWS,
    Line,
    best_separator,
    lines_of,
    plain_words,
)
from onceapart.workshop.values import MAX_ID


@dataclass(frozen=True)
class OffersIn:
    """A pasted table as it was understood."""

    separator: str
    has_heads: bool
    columns: tuple[Column, ...]
    rows: tuple[OfferRow, ...]
    problems: tuple[Problem, ...] = ()
    """What is wrong with the table as such."""
    unknown_parts: tuple[str, ...] = ()
    """Names of parts that are not known, as they stand there."""
    unknown_sellers: tuple[str, ...] = ()

    @property
    def usable(self) -> tuple[OfferRow, ...]:
        """Rows that make an offer."""
        return tuple(row for row in self.rows if row.offer is not None)

    @property
    def offers(self) -> tuple[Offer, ...]:
        """The offers that are new or not as they were."""
        return tuple(row.offer for row in self.rows if row.offer is not None and row.change != "same")


def offers_in(
    text: str,
    workshop: Workshop,
    *,
    seller: str | None = None,
    meanings: Sequence[Meaning | None] | None = None,
    names: Names | None = None,
    today: dt.date | None = None,
) -> OffersIn:
    """Understand a table of offers.

    Parameters
    ----------
    text : str
        Rows on lines; cells apart by tabs, semicolons, bars or commas; with heads in the first row or not.
    workshop : Workshop
        With its recipes applied: its jobs say which parts there are. A row for an offer that it has already
        (the same id, or the same seller and pieces) changes that one.
    seller : str, optional
        Seller of rows that name none.
    meanings : sequence, optional
        What each column holds, where a person has said so; else it is told by the heads.
    names : Names, optional
    today : date, optional
        Day from which dates of arrival are counted.

    Returns
    -------
    OffersIn
        Problems are named by row; amounts are in minor units.
    """
    if len(text) > MAX_PASTED:
        rule = f"a pasted table has at most {MAX_PASTED:,} letters"
        return OffersIn("\t", False, (), (), (Problem(None, "", "", rule, "paste it in parts"),))
    separator = best_separator(text, lambda cells: sum(meaning_of(cell) is not None for cell in cells))
    lines = lines_of(text, separator)
    if not lines:
        problem = Problem(None, "", "", "there is no row in it", "paste rows with a part and a price")
        return OffersIn(separator, False, (), (), (problem,))
    has_heads = _are_heads(lines)
    body = lines[1:] if has_heads else lines
    columns = _columns(lines, has_heads, meanings)
    problems = list(_missing(columns, seller, workshop))
    if len(body) > MAX_ROWS:
        rule = f"a pasted table has at most {MAX_ROWS:,} rows"
        problems.append(Problem(None, "", "", rule, "paste the others after these"))
    reading = RowReading(workshop, columns, seller, names or Names(), today)
    reading.is_comma = separator == ","
    rows = tuple(reading.row(line) for line in body[:MAX_ROWS])
    if not body:
        problems.append(Problem(None, "", "", "there are heads and no row", "paste the rows, too"))
    return OffersIn(
        separator,
        has_heads,
        columns,
        rows,
        tuple(problems),
        tuple(reading.unknown_parts),
        tuple(reading.unknown_sellers),
    )


def with_offers(workshop: Workshop, rows: Iterable[OfferRow]) -> Workshop:
    """The workshop with the offers of a table: new ones behind, changed ones in their places."""
    changed = {row.before.id: row.offer for row in rows if row.before is not None and row.offer is not None}
    taken = {offer.id for offer in workshop.offers}
    new = []
    for row in rows:
        if row.offer is not None and row.before is None:
            one = row.offer.model_copy(update={"id": free_id(row.offer.id, taken)})
            taken.add(one.id)
            new.append(one)
    kept = tuple(changed.get(offer.id, offer) for offer in workshop.offers)
    return workshop.model_copy(update={"offers": (*kept, *new)})


def offers_out(offers: Iterable[Offer], separator: str = "\t") -> str:
    """Offers as a table that ``offers_in`` reads back equal."""
    rows: list[list[str]] = [list(MEANINGS)]
    for one in offers:
        parts = " + ".join(f"{part} x{pieces}" if pieces > 1 else part for part, pieces in one.parts.items())
        rows.append(
            [
                parts,
                "",
                one.seller,
                format_money(one.price),
                "" if one.days is None else str(one.days),
                "" if one.limit is None else str(one.limit),
                format_money(one.deposit) if one.deposit else "",
                one.title or "",
                one.id,
            ]
        )
    return "".join(separator.join(_quoted(cell, separator) for cell in row) + "\n" for row in rows)


def _quoted(cell: str, separator: str) -> str:
    if separator in cell or '"' in cell or "\n" in cell:
        return '"' + cell.replace('"', '""') + '"'
    return cell


def free_id(wanted: str, taken: Iterable[str]) -> str:
    """An id that no other has: the one that is wanted, or with a number behind it.

    >>> free_id("post-a-boot", {"post-a-boot"})
    'post-a-boot-2'
    """
    known = set(taken)
    found, number = wanted[:MAX_ID].rstrip("-/"), 1
    while found in known:
        number += 1
        tail = f"-{number}"
        found = wanted[: MAX_ID - len(tail)].rstrip("-/") + tail
    return found


def _are_heads(lines: Sequence[Line]) -> bool:
    """Whether the first row is one of heads.

    One of them is known and none is an amount; or none has a figure in it, as the next row has.
    """
    first = lines[0].cells
    if any(meaning_of(cell) is not None for cell in first):
        return not any(re.search(r"[0-9][.,][0-9]{1,2}\b", cell) for cell in first)
    return len(lines) > 1 and not _has_figure(first) and _has_figure(lines[1].cells)


def _has_figure(cells: Iterable[str]) -> bool:
    return any(re.search("[0-9]", cell) for cell in cells)


def _columns(
    lines: Sequence[Line], has_heads: bool, meanings: Sequence[Meaning | None] | None
) -> tuple[Column, ...]:
    width = len(lines[0].cells) if has_heads else max(len(line.cells) for line in lines)
    heads = [*(lines[0].cells if has_heads else ()), *[""] * width][:width]
    example = next((line.cells for line in lines[has_heads:]), ())
    found = [meaning_of(head) if head else None for head in heads]
    if meanings is not None:
        found = [*meanings, *[None] * width][:width]
    else:
        if "part" not in found and "title" in found:  # then the description has to say which part it is
            found[found.index("title")] = "part"
        exact = {
            meaning: at
            for at, meaning in reversed([*enumerate(found)])
            if plain_words(heads[at]) in MEANING_OF
        }
        seen: set[Meaning] = set()
        for at, meaning in enumerate(found):
            if meaning is not None and (meaning in seen or exact.get(meaning, at) != at):
                found[at] = None
            elif meaning is not None:
                seen.add(meaning)
    return tuple(
        Column(head, meaning, example[at] if at < len(example) else "")
        for at, (head, meaning) in enumerate(zip(heads, found, strict=True))
    )


def _missing(columns: Sequence[Column], seller: str | None, workshop: Workshop) -> Iterable[Problem]:
    meant = [column.meaning for column in columns]
    for meaning in MEANINGS:
        if meant.count(meaning) > 1:
            yield Problem(None, "", "", f"two columns are taken for {meaning}", "choose one of the two")
    for wanted, way_out in (("part", "say which part it is"), ("price", "say what it costs")):
        if wanted not in meant:
            yield Problem(
                None, "", "", f"no column is taken for {wanted}", f"choose the one that has to {way_out}"
            )
    if "seller" not in meant and seller is None:
        way_out = "choose the seller of all rows" if workshop.sellers else "put the seller in first"
        yield Problem(None, "", "", "no column is taken for seller", way_out)
