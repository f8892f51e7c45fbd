"""What is needed against what is offered: parts down, sellers across, kits by letter, the plan marked."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from onceapart.site.pages.jobs.names import Names
from onceapart.site.pages.parts.stock import Counted, PartNeed, Sold
from onceapart.workshop import Offer, Seller, format_money

SHOWN = 2
"""Offers of one seller for one part that are shown, besides kits and what the plan buys."""
KITS_SHOWN = 12
"""Kits of one seller for one part that are shown at most."""


@dataclass(frozen=True)
class Kit:
    """An offer of several parts, with its letter. [minor units]"""

    letter: str
    offer: Offer
    seller: Seller
    arrives: dt.date
    needed: tuple[tuple[str, int], ...]
    """Parts in it that are short, in words, with the pieces in it."""
    others: tuple[str, ...]
    """Parts in it that nothing needs."""
    singly: int | None
    """What the needed pieces cost one by one by the same day; None where that can't be had."""
    units: int
    """Units that the plan buys."""


@dataclass(frozen=True)
class Price:
    """An offer of one part in a cell. [minor units]"""

    offer: str
    each: int
    pieces: int
    price: int
    arrives: dt.date
    is_late: bool
    limit: int | None
    deposit: int
    is_least: bool
    units: int
    """Units that the plan buys."""

    @property
    def said(self) -> str:
        """All of it but the price of a piece, in words; here rather than in the page, as there are many."""
        found = f"{self.arrives:%a} {self.arrives.day} {self.arrives:%b}"
        if self.pieces > 1:
            found = f"{format_money(self.price)} for {self.pieces} {found}"
        if self.is_late:
            found += ": too late"
        if self.limit is not None:
            found += f", only {self.limit}"
        if self.deposit:
            found += f", and {format_money(self.deposit)} deposit"
        return found

    @property
    def piece(self) -> str:
        """Price of a piece, as it is written."""
        return format_money(self.each)


@dataclass(frozen=True)
class Cell:
    """What one seller has of one part."""

    seller: Seller
    prices: tuple[Price, ...] = ()
    kits: tuple[Kit, ...] = ()
    more: int = 0
    """Further offers, dearer ones."""

    @property
    def is_empty(self) -> bool:
        return not self.prices and not self.kits

    @property
    def is_bought(self) -> bool:
        """Whether the plan buys something of it."""
        return any(one.units for one in self.prices) or any(kit.units for kit in self.kits)

    @property
    def is_least(self) -> bool:
        """Whether the cheapest piece is here."""
        return any(one.is_least for one in self.prices)


@dataclass(frozen=True)
class Row:
    """A part that is short."""

    need: PartNeed
    title: str
    car: str
    cells: tuple[Cell, ...]

    @property
    def is_unsold(self) -> bool:
        return all(cell.is_empty for cell in self.cells)


@dataclass(frozen=True)
class Matrix:
    """Parts that are short against the sellers that have any of them."""

    sellers: tuple[Seller, ...]
    rows: tuple[Row, ...]
    kits: tuple[Kit, ...]
    dear_kits: int
    """Kits that cost more than their pieces one by one by the same day, and so are not shown."""


def matrix_of(
    counted: Counted,
    names: Names,
    units: Mapping[str, int],
    needs: Iterable[PartNeed],
    shown: int = SHOWN,
) -> Matrix:
    """The matrix for some parts.

    Parameters
    ----------
    counted : Counted
    names : Names
    units : mapping
        Units of each offer that the plan buys and that are not ordered yet.
    needs : iterable of PartNeed
        Parts that are short.
    shown : int, optional
        Offers of one seller for one part at most, besides kits and what the plan buys.
    """
    short = {need.part: need for need in needs if need.short}
    sold = {part: counted.sold.get(part, ()) for part in short}
    least = {part: _least(counted, offers, short[part]) for part, offers in sold.items()}
    kits, dear = _kits(counted, names, units, short, sold)
    by_offer = {kit.offer.id: kit for kit in kits}
    used = {
        one.seller.id
        for offers in sold.values()
        for one in offers
        if not one.is_kit or one.offer.id in by_offer
    }
    sellers = sorted(
        (seller for seller in counted.applied.sellers if seller.id in used),
        key=lambda one: (one.days, one.name),
    )
    rows = tuple(
        Row(
            need,
            names.part(part),
            names.car(names.car_in(part)),
            _cells(counted, sellers, sold[part], need, least[part], units, by_offer, shown),
        )
        for part, need in short.items()
    )
    return Matrix(tuple(sellers), rows, kits, dear)


def _least(counted: Counted, offers: Sequence[Sold], need: PartNeed) -> str | None:
    """The offer whose piece is cheapest, of those that come in time if any does."""
    single = [one for one in offers if not one.is_kit]
    in_time = [one for one in single if not counted.is_too_late(one, need)]
    return next((one.offer.id for one in in_time or single), None)


def _kits(
    counted: Counted,
    names: Names,
    units: Mapping[str, int],
    short: Mapping[str, PartNeed],
    sold: Mapping[str, Sequence[Sold]],
) -> tuple[tuple[Kit, ...], int]:
    offers: dict[str, Sold] = {}
    for part in short:
        for one in sold[part]:
            if one.is_kit:
                offers.setdefault(one.offer.id, one)
    found, dear = [], 0
    for one in sorted(offers.values(), key=lambda one: (one.seller.days, one.seller.name, one.offer.price)):
        singly = _singly(one, short, sold)
        bought = units.get(one.offer.id, 0)
        if singly is not None and singly <= one.offer.price and not bought:
            dear += 1
            continue
        found.append((one, singly, bought))
    kits = []
    for at, (one, singly, bought) in enumerate(found):
        parts = one.offer.parts
        kits.append(
            Kit(
                letter=letters(at),
                offer=one.offer,
                seller=one.seller,
                arrives=one.arrives,
                needed=tuple((names.part(part), pieces) for part, pieces in parts.items() if part in short),
                others=tuple(names.part(part) for part in parts if part not in short),
                singly=singly,
                units=bought,
            )
        )
    return tuple(kits), dear


def _singly(kit: Sold, short: Mapping[str, PartNeed], sold: Mapping[str, Sequence[Sold]]) -> int | None:
    """What the pieces of a kit that are short cost one by one, if they come as early. [minor units]"""
    total = 0
    for part, pieces in kit.offer.parts.items():
        if part in short:
            single = (one for one in sold[part] if not one.is_kit and one.arrives <= kit.arrives)
            cheapest = next(single, None)
            if cheapest is None:
                return None
            total += min(pieces, short[part].short) * cheapest.each
    return total


def letters(at: int) -> str:
    """A, B, ... Z, AA, AB ...

    >>> letters(0), letters(25), letters(26), letters(52)
    ('A', 'Z', 'AA', 'BA')
    """
    text = ""
    at += 1
    while at:
        at, rest = divmod(at - 1, 26)
        text = chr(ord("A") + rest) + text
    return text


def _cells(
    counted: Counted,
    sellers: Sequence[Seller],
    offers: Sequence[Sold],
    need: PartNeed,
    least: str | None,
    units: Mapping[str, int],
    kits: Mapping[str, Kit],
    shown: int,
) -> tuple[Cell, ...]:
    prices: dict[str, list[Price]] = {}
    in_kits: dict[str, list[Kit]] = {}
    more: dict[str, int] = {}
    for one in offers:
        seller, name = one.seller.id, one.offer.id
        if one.is_kit:
            if name in kits:
                in_kits.setdefault(seller, []).append(kits[name])
            continue
        bought = units.get(name, 0)
        if len(prices.get(seller, ())) >= shown and not bought and name != least:
            more[seller] = more.get(seller, 0) + 1
            continue
        prices.setdefault(seller, []).append(
            Price(
                name,
                one.each,
                one.pieces,
                one.offer.price,
                one.arrives,
                counted.is_too_late(one, need),
                one.offer.limit,
                one.offer.deposit,
                name == least,
                bought,
            )
        )
    return tuple(
        Cell(
            seller,
            tuple(prices.get(seller.id, ())),
            tuple(in_kits.get(seller.id, ())[:KITS_SHOWN]),
            more.get(seller.id, 0),
        )
        for seller in sellers
    )
