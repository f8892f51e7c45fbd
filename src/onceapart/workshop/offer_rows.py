"""One row of a pasted table after the other: the offer it makes, or what is wrong with it."""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any, Literal

from pydantic import ValidationError

from onceapart.errors import Problem
from onceapart.workshop.model import Offer, Seller, Workshop
from onceapart.workshop.offer_heads import Meaning
from onceapart.workshop.part_names import PartNames, known_parts
from onceapart.workshop.pasted import (
    Line,
    amount_in,
    days_in,
    number_in,
    pieces_before_or_after,
    plain_words,
)
from onceapart.workshop.values import MAX_DAYS, MAX_ID, MAX_PIECES, nearest, suggest_id
from onceapart.workshop.wording import describe

Change = Literal["new", "changed", "same"]


@dataclass(frozen=True)
class Column:
    """A column as it was understood; ``head`` is "" where the table has none."""

    head: str
    meaning: Meaning | None
    example: str = ""


@dataclass(frozen=True)
class OfferRow:
    """One row: the offer it makes, or what is wrong with it."""

    line: int
    cells: tuple[str, ...]
    offer: Offer | None = None
    before: Offer | None = None
    """The offer of the workshop that it stands for, as it is now."""
    problems: tuple[Problem, ...] = ()

    @property
    def change(self) -> Change | None:
        """What it would do; None where it can't be used."""
        if self.offer is None:
            return None
        if self.before is None:
            return "new"
        return "same" if self.before == self.offer else "changed"


@dataclass(frozen=True)
class Names:
    """What names in a table stand for, besides those of the workshop: chosen by a person."""

    parts: Mapping[str, str] = field(default_factory=dict)
    """Name as it stands there -> part; "" leaves its rows out."""
    sellers: Mapping[str, str] = field(default_factory=dict)
    words: Mapping[str, str] = field(default_factory=dict)
    """Part -> what it is also called."""


def offer_id(seller: str, parts: Iterable[str]) -> str:
    """An id for a new offer: its seller, and the last word of its part's id.

    >>> offer_id("post-a", ["wren/front/brake-disc"]), offer_id("post-a", ["wren/horn", "wren/fuse"])
    ('post-a-brake-disc', 'post-a-horn-and-more')
    """
    names = [part.rpartition("/")[2] for part in parts]
    more = "-and-more" if len(names) > 1 else ""
    return f"{seller}-{names[0]}"[: MAX_ID - len(more)].rstrip("-/") + more


class RowReading:
    """Rows read one after the other, knowing those before."""

    def __init__(
        self,
        workshop: Workshop,
        columns: Sequence[Column],
        seller: str | None,
        names: Names,
        today: dt.date | None,
    ) -> None:
        self.workshop = workshop
        self.columns = columns
        self.seller = seller
        self.names = names
        self.today = today
        self.is_comma = False
        """Whether commas stand between the cells, so that one of them may belong to an amount."""
        self.parts = PartNames(
            known_parts(workshop) | {part: "" for part in names.parts.values() if part}, names.words
        )
        self.sellers = _seller_names(workshop.sellers)
        self.by_id = {offer.id: offer for offer in workshop.offers}
        self.alike: dict[tuple[str, tuple[tuple[str, int], ...]], list[Offer]] = {}
        for offer in workshop.offers:
            self.alike.setdefault(_kind(offer), []).append(offer)
        self.first_line: dict[Any, int] = {}
        self.unknown_parts: dict[str, None] = {}
        self.unknown_sellers: dict[str, None] = {}

    def row(self, line: Line) -> OfferRow:
        problems: list[Problem] = []
        if any(line.cells[len(self.columns) :]):
            problems.append(self._problem(line, "", "the row has more cells than the heads", "look at it"))
        if self.is_comma:
            self._check_commas(line, problems)
        given = {
            column.meaning: cell
            for column, cell in zip(self.columns, line.cells, strict=False)
            if column.meaning is not None and cell
        }
        raw: dict[str, Any] = {}
        self._read_parts(line, given, raw, problems)
        self._read_seller(line, given, raw, problems)
        self._read_numbers(line, given, raw, problems)
        if "title" in given:
            raw["title"] = given["title"]
        if "price" not in given and not problems:
            problems.append(self._problem(line, "", "the row has no price", "add it, or leave the row out"))
        if problems:
            return OfferRow(line.number, line.cells, problems=tuple(problems))
        return self._made(line, given, raw)

    def _check_commas(self, line: Line, problems: list[Problem]) -> None:
        """An amount such as 14,90 without quotes is two cells, and would be read as 14."""
        for at, column in enumerate(self.columns[: len(line.cells) - 1]):
            if column.meaning not in ("price", "deposit"):
                continue
            whole, places = line.cells[at], line.cells[at + 1]
            if re.fullmatch(r"\D*[0-9]+", whole) and re.fullmatch(r"[0-9]{2}(?:\s*\D{1,4})?", places):
                rule = "it may be one amount with a decimal comma, or two cells"
                way_out = f'write "{whole},{places}" in quotes, or {whole}.00'
                problems.append(self._problem(line, f"{whole},{places}", rule, way_out))

    def _made(self, line: Line, given: Mapping[Meaning, str], raw: dict[str, Any]) -> OfferRow:
        before = self._before(given, raw)
        wanted = suggest_id(given.get("id", "")) or offer_id(raw["seller"], raw["parts"])
        data = {**(before.model_dump(exclude_unset=True) if before else {"id": wanted}), **raw}
        try:
            offer = Offer.model_validate(data)
        except ValidationError as error:
            found = []
            for one in error.errors(include_url=False):
                value, rule, way_out = describe(Offer, one["loc"], dict(one))
                found.append(self._problem(line, value, rule, way_out))
            return OfferRow(line.number, line.cells, problems=tuple(found))
        same = before.id if before else (*_kind(offer), offer.title, given.get("id"))
        if same in self.first_line:
            rule = f"line {self.first_line[same]} is of the same offer"
            problem = self._problem(line, "", rule, "take one of the two out, or give them different titles")
            return OfferRow(line.number, line.cells, problems=(problem,))
        self.first_line[same] = line.number
        return OfferRow(line.number, line.cells, offer, before)

    def _before(self, given: Mapping[Meaning, str], raw: Mapping[str, Any]) -> Offer | None:
        """The offer of the workshop that a row stands for."""
        named = suggest_id(given.get("id", ""))
        if named in self.by_id:
            return self.by_id[named] if self.by_id[named].seller == raw["seller"] else None
        alike = self.alike.get((raw["seller"], tuple(sorted(raw["parts"].items()))), [])
        titled = [offer for offer in alike if offer.title == raw.get("title")]
        if "title" in raw and titled:
            return titled[0]
        if named or ("title" in raw and any(offer.title for offer in alike)):
            return None
        return alike[0] if len(alike) == 1 else None

    def _read_parts(
        self, line: Line, given: Mapping[Meaning, str], raw: dict[str, Any], problems: list[Problem]
    ) -> None:
        said = given.get("part", "")
        if not said:
            problems.append(self._problem(line, "", "the row names no part", "add it, or leave the row out"))
            return
        parts: dict[str, int] = {}
        for one in self._split(said):
            pieces, name = (1, one) if one in self.names.parts else pieces_before_or_after(one)
            part, problem = self._part(line, name)
            if problem is not None:
                problems.append(problem)
            elif part:
                parts[part] = parts.get(part, 0) + pieces
        if "pieces" in given and parts:
            try:
                times = number_in(given["pieces"], MAX_PIECES)
                if not times:
                    raise ValueError("there is no piece in it; give 1 or more")
                parts = {part: pieces * times for part, pieces in parts.items()}
            except ValueError as error:
                problems.append(self._said(line, given["pieces"], error))
        raw["parts"] = parts

    def _split(self, said: str) -> list[str]:
        if said in self.names.parts:
            return [said]
        return [one.strip() for one in re.split(r"\s\+\s|\n|;", said) if one.strip()] or [said]

    def _part(self, line: Line, name: str) -> tuple[str, Problem | None]:
        if name in self.names.parts:
            part = self.names.parts[name]
            if part:
                return part, None
            return "", self._problem(line, name, "it is left out", "choose a part to take it in")
        found = self.parts.find(name)
        if len(found) == 1:
            return found[0], None
        self.unknown_parts.setdefault(name)
        if found:
            some = ", ".join(found[:3]) + (" and more" if len(found) > 3 else "")
            return "", self._problem(line, name, f"it may be {some}", "choose which, or write the id")
        near = nearest(suggest_id(name), list(self.parts.known))
        way_out = f"did you mean {near}? Else choose the part" if near else "choose the part, or leave it out"
        return "", self._problem(line, name, "no part is called so", way_out)

    def _read_seller(
        self, line: Line, given: Mapping[Meaning, str], raw: dict[str, Any], problems: list[Problem]
    ) -> None:
        said = given.get("seller")
        if said is None:
            if self.seller is None:
                problems.append(self._problem(line, "", "the row names no seller", "choose one for all rows"))
            raw["seller"] = self.seller or ""
            return
        found = self.names.sellers.get(said) or self.sellers.get(said) or self.sellers.get(plain_words(said))
        if found is None:
            self.unknown_sellers.setdefault(said)
            near = nearest(plain_words(said), list(self.sellers))
            way_out = (
                f"did you mean {near}? Else choose the seller" if near else "choose one, or put it in first"
            )
            problems.append(self._problem(line, said, "no seller is called so", way_out))
        raw["seller"] = found or ""

    def _read_numbers(
        self, line: Line, given: Mapping[Meaning, str], raw: dict[str, Any], problems: list[Problem]
    ) -> None:
        readers: dict[Meaning, Any] = {
            "price": lambda text: amount_in(text, self.workshop.currency),
            "deposit": lambda text: amount_in(text, self.workshop.currency),
            "limit": lambda text: number_in(text, MAX_PIECES),
            "days": lambda text: days_in(text, self.today, MAX_DAYS),
        }
        for meaning, read in readers.items():
            if meaning not in given:
                continue
            if given[meaning] in ("-", "–", "—") and meaning != "price":
                continue
            try:
                raw[meaning] = read(given[meaning])
            except ValueError as error:
                problems.append(self._said(line, given[meaning], error))

    def _said(self, line: Line, value: str, error: ValueError) -> Problem:
        rule, _, way_out = str(error).partition("; ")
        return self._problem(line, value, rule, way_out)

    def _problem(self, line: Line, value: str, rule: str, way_out: str) -> Problem:
        return Problem(line.number, f"row {line.number}", value[:60], rule, way_out)


def _kind(offer: Offer) -> tuple[str, tuple[tuple[str, int], ...]]:
    return offer.seller, tuple(sorted(offer.parts.items()))


def _seller_names(sellers: Iterable[Seller]) -> dict[str, str]:
    found: dict[str, str] = {}
    for seller in sellers:
        found.setdefault(plain_words(seller.name), seller.id)
    for seller in sellers:
        found[plain_words(seller.id)] = seller.id
    for seller in sellers:
        found[seller.id] = seller.id
    return found
