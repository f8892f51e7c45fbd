"""Pieces of parts: what is there and what comes, after orders, arrivals, wrong pieces and use."""

from __future__ import annotations

import datetime as dt

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from replan_cases import numbered
from snag_cases import at

from onceapart.bench.entries import Arrived, Entry, Ordered, SnagOpened
from onceapart.bench.replan_stock import Stock, orders_noted, stock_of

TODAY = dt.date(2026, 3, 14)
LATER = dt.date(2026, 3, 20)


def ordered(pieces: int, arrives: dt.date = LATER, part: str = "arm", **more: object) -> Ordered:
    return Ordered(time=at(), parts={part: pieces}, price=100, arrives=arrives, **more)  # type: ignore[arg-type]


def came(pieces: int, state: str = "right", part: str = "arm", **more: object) -> Arrived:
    return Arrived(time=at(), part=part, pieces=pieces, state=state, **more)  # type: ignore[arg-type]


def wrong(part: str = "arm") -> SnagOpened:
    return SnagOpened(time=at(), car="wren", snag="wrong part", words="no", dangerous=False, part=part)


def after(*entries: Entry, shelf: dict[str, int] | None = None, used: dict[str, int] | None = None) -> Stock:
    kept = numbered(entries)
    return stock_of(
        shelf or {},
        orders_noted([one for one in kept if isinstance(one, Ordered)]),
        [one for one in kept if isinstance(one, Arrived)],
        [one for one in kept if isinstance(one, SnagOpened)],
        used or {},
        TODAY,
    )


def pieces(stock: Stock, part: str = "arm") -> tuple[int, int]:
    """In the house, and to come."""
    return stock.shelf.get(part, 0), sum(one.parts.get(part, 0) for one in stock.coming)


@pytest.mark.parametrize(
    ("entries", "expected"),
    [
        ([ordered(2)], (0, 2)),
        ([ordered(2), came(1)], (1, 1)),
        ([ordered(2), came(2)], (2, 0)),
        ([ordered(2), came(1, "wrong")], (0, 1)),
        ([ordered(2, TODAY)], (2, 0)),  # due, and taken as come
        ([came(1)], (1, 0)),  # bought without an order
        ([ordered(1), came(1), wrong()], (0, 0)),
        ([ordered(1), wrong()], (0, 0)),  # it has come, though nobody noted that
        ([ordered(1), came(1, "wrong"), wrong()], (0, 0)),
        ([ordered(2), wrong(), came(1, "wrong")], (0, 1)),  # one piece, said twice
        ([ordered(1), came(1), wrong(), ordered(1)], (0, 1)),  # the new one is not the wrong one
        ([ordered(1), came(1), wrong(), came(1)], (1, 0)),  # exchanged over the counter
        ([wrong(), came(1)], (1, 0)),
    ],
)
def test_pieces_that_count(entries: list[Entry], expected: tuple[int, int]) -> None:
    assert pieces(after(*entries)) == expected


def test_what_is_used_comes_from_the_house_first_and_then_off_what_comes() -> None:
    assert pieces(after(ordered(3), shelf={"arm": 2}, used={"arm": 1})) == (1, 3)
    assert pieces(after(ordered(3), shelf={"arm": 2}, used={"arm": 4})) == (0, 1)
    assert after(shelf={"arm": 1}, used={"arm": 2}).lacking == {"arm": 1}


def test_of_a_kit_the_rest_still_comes() -> None:
    kit = Ordered(time=at(), offer="kit", parts={"disc": 2, "pads": 1}, price=100, arrives=LATER)
    stock = after(kit, came(2, part="disc"))
    assert [dict(one.parts) for one in stock.coming] == [{"pads": 1}]
    assert stock.bought == 0


def test_an_arrival_goes_to_its_own_offer_and_costs_only_without_an_order() -> None:
    first, second = ordered(1, offer="dear"), ordered(1, dt.date(2026, 3, 25), offer="cheap")
    stock = after(first, second, came(1, offer="cheap", price=500))
    assert [one.order.offer for one in stock.coming] == ["dear"]
    assert stock.bought == 0
    assert after(came(1, price=500)).bought == 500


@given(
    st.lists(
        st.one_of(
            st.builds(ordered, st.integers(1, 4), st.sampled_from([TODAY, LATER])),
            st.builds(came, st.integers(1, 3), st.sampled_from(["right", "wrong", "bad"])),
        ),
        max_size=8,
    ),
    st.integers(0, 3),
    st.integers(0, 6),
)
@settings(max_examples=150)
def test_no_piece_is_lost_or_made(entries: list[Entry], shelf: int, used: int) -> None:
    entries.sort(key=lambda one: isinstance(one, Arrived))  # orders first: nothing comes that nobody ordered
    hand, outstanding = shelf, 0
    for entry in entries:  # one part, no offers: pieces come off whatever is outstanding
        if isinstance(entry, Ordered):
            outstanding += entry.parts["arm"]
        elif isinstance(entry, Arrived):
            outstanding -= min(outstanding, entry.pieces)
            hand += entry.pieces if entry.state == "right" else 0
    stock = after(*entries, shelf={"arm": shelf}, used={"arm": used})
    lacks = stock.lacking.get("arm", 0)
    assert lacks == max(0, used - hand - outstanding)
    assert sum(pieces(stock)) == hand + outstanding - used + lacks
