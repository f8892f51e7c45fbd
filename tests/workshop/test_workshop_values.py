"""Money, places, and what the models take when they are not made from a file."""

from __future__ import annotations

import datetime as dt
import typing
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st
from pydantic import BaseModel, ValidationError

import onceapart.workshop as room
from onceapart.workshop import (
    CORNERS,
    MAX_MONEY,
    PLACES,
    Car,
    Finding,
    Job,
    Layout,
    Need,
    Offer,
    Stint,
    Tool,
    axle_of,
    corners_of,
    format_money,
    other_side,
    parse_money,
    side_of,
)


@given(st.integers(0, MAX_MONEY))
def test_printed_money_is_read_back(amount: int) -> None:
    assert parse_money(format_money(amount)) == amount


@given(
    st.decimals(0, 10_000_000, places=2) | st.decimals(0, 100, places=1) | st.integers(0, 9999).map(Decimal)
)
def test_money_is_what_exact_decimals_say(amount: Decimal) -> None:
    assert parse_money(f"{amount:f}") == amount * 100


@given(st.text(max_size=12) | st.from_regex(r"[-+]?[0-9_,.]*[eE]?[-+]?[0-9]*", fullmatch=True))
def test_what_is_no_amount_is_refused_with_rule_and_way_out(text: str) -> None:
    try:
        amount = parse_money(text)
    except ValueError as error:
        rule, _, way_out = str(error).partition("; ")
        assert rule.startswith("money ")
        assert way_out
    else:
        assert amount == Decimal(text) * 100
        assert 0 <= amount <= MAX_MONEY


@given(st.integers(-(10**12), 10**12))
def test_money_is_printed_with_two_places(amount: int) -> None:
    assert Decimal(format_money(amount)) * 100 == amount
    assert format_money(amount)[-3] == "."


def test_corners_axles_and_sides() -> None:
    # Written out by hand for every place there is.
    fl, fr, rl, rr = CORNERS
    by_hand = {
        "front-left": ((fl,), "front", "left", "front-right"),
        "front-right": ((fr,), "front", "right", "front-left"),
        "rear-left": ((rl,), "rear", "left", "rear-right"),
        "rear-right": ((rr,), "rear", "right", "rear-left"),
        "front": ((fl, fr), "front", None, None),
        "rear": ((rl, rr), "rear", None, None),
        "left": ((fl, rl), None, "left", "right"),
        "right": ((fr, rr), None, "right", "left"),
        "all": ((fl, fr, rl, rr), None, None, None),
        "engine-bay": ((), None, None, None),
        "underside": ((), None, None, None),
        "cabin": ((), None, None, None),
        "boot": ((), None, None, None),
    }
    assert tuple(by_hand) == PLACES
    for place, (corners, axle, side, across) in by_hand.items():
        assert (corners_of(place), axle_of(place), side_of(place), other_side(place)) == (
            corners,
            axle,
            side,
            across,
        )


@pytest.mark.parametrize("ask", [corners_of, axle_of, side_of, other_side])
def test_an_unknown_place_is_refused(ask: typing.Callable[[str], object]) -> None:
    with pytest.raises(ValueError, match="'offside' is not known; use one of front-left"):
        ask("offside")


@pytest.mark.parametrize(
    "make",
    [
        lambda: Tool(id="A"),
        lambda: Tool(id=""),
        lambda: Tool(id="a", hire=-1),
        lambda: Tool(id="a", hire=1.5),
        lambda: Tool(id="a", hire="1"),
        lambda: Tool(id="a", hire=True),
        lambda: Tool(id="a", have=1),
        lambda: Tool(id="a", have="yes"),
        lambda: Tool(id="a", lend=1),
        lambda: Car(id="a", name=" "),
        lambda: Car(id="a", name="x\ny"),
        lambda: Car(id="a", name="A", layout={"drive": "front", "brakes": "disc"}),
        lambda: Stint(date=dt.datetime(2026, 3, 7), minutes=1),
        lambda: Stint(date=1, minutes=1),
        lambda: Stint(date="2026-3-7", minutes=1),
        lambda: Stint(date=dt.date(2026, 3, 7), minutes=-1),
        lambda: Offer(id="a", seller="b", parts={}, price=1),
        lambda: Offer(id="a", seller="b", parts={"x": 0}, price=1),
        lambda: Offer(id="a", seller="b", parts={"x": 1}, price=MAX_MONEY + 1),
        lambda: Job(id="a", car="b", need="want", minutes=1),
        lambda: Job(id="a", car="b", need="wish", minutes=1, between=(1,)),
        lambda: Job(id="a", car="b", need="wish", minutes=1, between=(1, 2.5)),
        lambda: Job(id="a", car="b", need="wish", minutes=1, between="12"),
        lambda: Finding(car="a", item="b", date=dt.date(2026, 3, 7), value="2.4"),
        lambda: Finding(car="a", item="b", date=dt.date(2026, 3, 7), value=2.4),
        lambda: Finding(car="a", item="b", date=dt.date(2026, 3, 7), seen="sound"),
        lambda: Finding(car="a", item="b", date=dt.date(2026, 3, 7), odometer=143200),
        lambda: Finding(car="a", item="b", date=dt.date(2026, 3, 7), photo="../x"),
        lambda: Car(id="a", name="A", facts={"b": True}),
        lambda: Car(id="a", name="A", marks={"nowhere/b": "2 mm"}),
        lambda: Job(id="a", car="b", need="wish", minutes=1, place="nowhere"),
    ],
)
def test_models_refuse_what_is_no_such_value(make: typing.Callable[[], BaseModel]) -> None:
    with pytest.raises(ValidationError):
        make()


def test_models_are_frozen() -> None:
    tool = Tool(id="a")
    with pytest.raises(ValidationError, match="frozen"):
        tool.have = True  # type: ignore[misc]


def test_a_job_says_what_it_gives_itself() -> None:
    assert Job(id="a", car="b", need=Need.WISH, recipe="strut").overrides == set()
    assert Job(id="a", car="b", need=Need.WISH, recipe="strut", minutes=None).overrides == set()
    given_all = Job(id="a", car="b", need=Need.WISH, minutes=1, access=(), parts={}, tools=(), aftercare=())
    assert given_all.overrides == {"minutes", "access", "parts", "tools", "aftercare"}


def test_layout_takes_python_names_and_file_names() -> None:
    assert Layout(rear_brakes="disc") == Layout.model_validate({"rear-brakes": "disc"})
    assert Layout() == Layout(
        drive="front",
        front_brakes="disc",
        rear_brakes="drum",
        front_suspension="strut",
        rear_suspension="beam",
        fuel="petrol",
    )


def test_must_jobs_are_inspection_and_safety() -> None:
    assert [need for need in Need if need.is_must] == [Need.INSPECTION, Need.SAFETY]


def test_what_the_room_offers_is_there() -> None:
    assert len(set(room.__all__)) == len(room.__all__)
    assert all(hasattr(room, name) for name in room.__all__)
