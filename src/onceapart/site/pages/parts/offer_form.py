"""The form of an offer: what is in it, who sells it, and for how much."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any

from django.http import QueryDict

from onceapart.errors import Problem
from onceapart.site.pages.forms import Field, Form
from onceapart.site.pages.jobs.names import Names
from onceapart.workshop import Offer, Workshop
from onceapart.workshop.offer_rows import offer_id
from onceapart.workshop.offers_in import free_id
from onceapart.workshop.part_names import PartNames, known_parts
from onceapart.workshop.values import MAX_PIECES, suggest_id

MAX_SHOWN = 2000
"""Letters of a field that are shown again."""
ROWS = 6
"""Different parts that a form has room for; more can be pasted."""
FIELDS = (
    Field("seller", "Seller", "choice", wanted=True),
    Field("price", "Price of one unit", "money", wanted=True),
    Field("title", "What it is called", hint="As in pair of drop links. Left empty, it goes by its part."),
    Field("limit", "Units that can be had", "whole", "Left empty, there is no end to it."),
    Field("days", "Days to arrive", "whole", "Left empty, as long as the seller takes."),
    Field("deposit", "Deposit on one unit", "money", "Handed back for the old part; cash, not cost."),
)
SELLER_FIELDS = (
    Field("name", "Name", wanted=True),
    Field("delivery", "Delivery for one order", "money", "Nought over the counter.", wanted=True),
    Field("free_from", "Delivery is free from", "money", "Worth of goods; left empty, it is never free."),
    Field("days", "Days to arrive", "whole", "Nought if it is there today.", wanted=True),
)


@dataclass(frozen=True)
class PartRow:
    """A part of an offer as it is typed."""

    number: int
    part: str = ""
    pieces: str = ""
    problem: Problem | None = None

    @property
    def is_blank(self) -> bool:
        return not self.part.strip() and self.pieces.strip() in ("", "1")


class OfferForm:
    """The form of one offer.

    Parameters
    ----------
    applied : Workshop
        With its recipes applied.
    names : Names
    of : Offer, optional
        The offer as it is.
    typed : QueryDict, optional
    part, seller : str, optional
        Filled in beforehand.
    """

    def __init__(
        self,
        applied: Workshop,
        names: Names,
        *,
        of: Offer | None = None,
        typed: QueryDict | None = None,
        part: str = "",
        seller: str = "",
    ) -> None:
        self.known = {
            one: f"{names.part(one)} ({names.car(names.car_in(one))})" for one in known_parts(applied)
        }
        self._names = PartNames(self.known, names.parts_and_cars(self.known))
        self._by_words = {words: one for one, words in self.known.items()}
        self.rows: list[PartRow] = []
        parts: dict[str, Any] = {}
        if typed is not None:
            parts = self._read(typed)
        elif of is not None:
            rows = [(self.known[one], str(pieces)) for one, pieces in of.parts.items()]
            self.rows = [PartRow(at, words, pieces) for at, (words, pieces) in enumerate(rows, start=1)]
        elif part:
            self.rows = [PartRow(1, self.known.get(part, part), "1")]
        self.rows += [PartRow(at) for at in range(len(self.rows) + 1, max(ROWS, len(self.rows) + 1) + 1)]
        chosen = (typed or QueryDict()).get("seller", seller)
        fixed: dict[str, Any] = {"parts": parts}
        if of is None:
            fixed["id"] = free_id(offer_id(suggest_id(chosen) or "offer", parts or ["part"]), _ids(applied))
        ready = typed.copy() if typed is not None else None
        self.form: Form[Offer] = Form(
            Offer, FIELDS, typed=ready, of=of, fixed=fixed if typed is not None else None
        )
        if typed is None and of is None:
            self.form.set_typed("seller", seller)
        choices = [(one.id, one.name) for one in applied.sellers]
        blank = [("", "choose one")] if len(choices) > 5 else []
        self.form.set_choices("seller", [*blank, *choices])
        self._say_parts(parts, typed is not None)

    @property
    def model(self) -> Offer | None:
        return self.form.model

    @property
    def first(self) -> PartRow:
        return self.rows[0]

    @property
    def others(self) -> list[PartRow]:
        return self.rows[1:]

    @property
    def is_kit(self) -> bool:
        return any(not row.is_blank for row in self.others)

    def _read(self, typed: QueryDict) -> dict[str, Any]:
        parts: dict[str, int] = {}
        numbers = sorted(
            {int(match[1]) for key in typed if (match := re.fullmatch(r"part_([0-9]{1,2})", key))}
        )
        for number in numbers:
            row = PartRow(
                number,
                typed.get(f"part_{number}", "")[:MAX_SHOWN],
                typed.get(f"pieces_{number}", "")[:MAX_SHOWN],
            )
            if not row.is_blank:
                part, pieces, problem = self._row(row)
                row = replace(row, problem=problem)
                if problem is None:
                    parts[part] = parts.get(part, 0) + pieces
            self.rows.append(row)
        return parts

    def _row(self, row: PartRow) -> tuple[str, int, Problem | None]:
        name = row.part.strip()
        pieces = row.pieces.strip() or "1"
        if not name:
            return "", 0, Problem(None, "", "", "there are pieces of no part", "say of which part")
        if not pieces.isascii() or not pieces.isdigit() or not 1 <= int(pieces[:9]) <= MAX_PIECES:
            rule = f"pieces are a whole number from 1 to {MAX_PIECES}"
            return "", 0, Problem(None, "", pieces[:20], rule, "write digits only")
        found = (self._by_words[name],) if name in self._by_words else self._names.find(name)
        if len(found) == 1:
            return found[0], int(pieces), None
        if not found and "/" in name and suggest_id(name):
            return suggest_id(name), int(pieces), None
        if found:
            some = "; ".join(self.known[one] for one in found[:3])
            return "", 0, Problem(None, "", name[:60], "it may be one of several", f"choose which: {some}")
        way_out = "choose one of the list, or write a new one as in wren/front/brake-disc"
        return "", 0, Problem(None, "", name[:60], "no part is called so", way_out)

    def _say_parts(self, parts: Mapping[str, Any], is_typed: bool) -> None:
        if not is_typed:
            return
        wrong = [row.problem for row in self.rows if row.problem is not None]
        if not parts and not wrong:
            wrong = [Problem(None, "", "", "there is no part in it", "say which part it is")]
            self.rows[0] = replace(self.rows[0], problem=wrong[0])
        if wrong:
            self.form.model = None
            self.form.others = [one for one in self.form.others if not one.where.startswith("parts")]
            self.form.others += [replace(one, where="Parts") for one in wrong]


def _ids(workshop: Workshop) -> list[str]:
    return [offer.id for offer in workshop.offers]
