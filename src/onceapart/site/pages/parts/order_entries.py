"""Entries of the record for what was ordered, what came, what came back, and slips in any of it.

Each form carries an id of its own, so that what is sent twice is kept once, and the number of the last entry
it was shown with, so that two people do not mark the same order as placed.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from pydantic import ValidationError

from onceapart.bench.entries import Arrived, Corrected, Entry, Noted, Ordered
from onceapart.bench.state import State
from onceapart.errors import OnceapartError
from onceapart.site.pages.parts.orders import OrderToPlace, Placed, ToOrder
from onceapart.workshop import format_money
from onceapart.workshop.values import MAX_PIECES
from onceapart.workshop.wording import describe

STATES = ("right", "wrong", "bad")


class OrderError(OnceapartError):
    """Something about an order that can't be noted; ``rule; way out``."""


@dataclass(frozen=True)
class Sending:
    """What a form is sent with: its id, when and by whom, and the last entry it was shown with."""

    id: str
    time: dt.datetime
    who: str | None
    seen: int
    today: dt.date


def placed(order: OrderToPlace, chosen: Sequence[str], sending: Sending) -> list[Entry]:
    """Entries for some lines of an order to one seller, its delivery with the first.

    Raises
    ------
    OrderError
        No line is chosen.
    """
    lines = [line for line in order.lines if line.key in chosen]
    if not lines:
        raise OrderError("no line is ticked; tick those that you have ordered")
    return [
        _ordered(line, sending, at, seller=order.seller, delivery=order.delivery if at == 0 else 0)
        for at, line in enumerate(lines)
    ]


def tools_bought(tools: Sequence[ToOrder], chosen: Sequence[str], sending: Sending) -> list[Entry]:
    """Entries for tools that were bought; raises OrderError if none is chosen."""
    lines = [tool for tool in tools if tool.key in chosen]
    if not lines:
        raise OrderError("no tool is ticked; tick those that you have bought")
    return [_ordered(line, sending, at, is_tool=True) for at, line in enumerate(lines)]


def _ordered(
    line: ToOrder,
    sending: Sending,
    at: int,
    *,
    seller: str | None = None,
    delivery: int = 0,
    is_tool: bool = False,
) -> Entry:
    what: dict[str, Any] = {"tool": line.key} if is_tool else {"offer": line.key, "parts": dict(line.pieces)}
    return Ordered(
        id=f"{sending.id}-{at}",
        time=sending.time,
        who=sending.who,
        seller=seller,
        units=line.units,
        price=line.price,
        delivery=delivery,
        arrives=line.arrives,
        placed=sending.today,
        **what,
    )


def came(one: Placed, pieces: Mapping[str, str], state: str, words: str, sending: Sending) -> list[Entry]:
    """Entries for pieces of one order that came.

    Parameters
    ----------
    one : Placed
    pieces : mapping
        Part -> pieces as they were typed; nothing and 0 are none.
    state : str
        ``right``, ``wrong`` or ``bad``.
    words : str
        What there is to say of it.
    sending : Sending

    Raises
    ------
    OrderError
        With what can't be noted.
    """
    if state not in STATES:
        raise OrderError(f"“{state[:20]}”: they are right, wrong or bad; choose one")
    counts = {part.part: _count(pieces.get(part.part, ""), part.title) for part in one.parts}
    if not any(counts.values()):
        raise OrderError("no piece is given; say how many came")
    if state != "right" and not words.strip():
        raise OrderError("it is not said what is wrong; say it in a few words")
    found: list[Entry] = []
    for at, (part, count) in enumerate(counts.items()):
        if count:
            found.append(
                _made(
                    Arrived,
                    id=f"{sending.id}-{at}",
                    time=sending.time,
                    who=sending.who,
                    part=part,
                    pieces=count,
                    state=state,
                    offer=one.entry.offer,
                    words=words.strip() or None,
                )
            )
    return found


def all_came(one: Placed, sending: Sending) -> list[Entry]:
    """Entries that say all that was still to come of an order came, and is right.

    Raises
    ------
    OrderError
        Nothing of it is on its way any more.
    """
    found: list[Entry] = [
        Arrived(
            id=f"{sending.id}-{at}",
            time=sending.time,
            who=sending.who,
            part=part.part,
            pieces=part.left,
            offer=one.entry.offer,
        )
        for at, part in enumerate(one.parts)
        if part.left
    ]
    if not found:
        raise OrderError("nothing of it is on its way any more; look at what has come")
    return found


def comes_on(one: Placed, day: str, sending: Sending) -> list[Entry]:
    """Entries that say an order comes on another day: the old one no longer counts, a new one does."""
    try:
        date = dt.date.fromisoformat(day.strip())
    except ValueError:
        raise OrderError(f"“{day[:20]}”: it is no day; write it as in {one.entry.arrives}") from None
    if date == one.entry.arrives:
        return []
    old = one.entry
    fresh = old.model_copy(
        update={
            "id": f"{sending.id}-0",
            "time": sending.time,
            "number": 0,
            "arrives": date,
            "placed": old.placed or old.day,
        }
    )
    why = f"it comes on {date}"
    slip = Corrected(id=f"{sending.id}-1", time=sending.time, who=sending.who, entry=old.id, why=why)
    return [slip, fresh]


def slip(entry: str, sending: Sending) -> list[Entry]:
    """An entry that says an earlier one was a slip."""
    return [
        _made(
            Corrected,
            id=f"{sending.id}-0",
            time=sending.time,
            who=sending.who,
            entry=entry,
            why="a slip: it was not so",
        )
    ]


def deposit_back(amount: int, currency: str, title: str, note_id: str, sending: Sending) -> list[Entry]:
    """An entry that says a deposit came back."""
    words = f"Deposit of {format_money(amount)} {currency} came back: {title}"
    return [Noted(id=note_id, time=sending.time, who=sending.who, words=words)]


def check_not_meanwhile(new: Iterable[Entry], state: State, seen: int) -> None:
    """Refuse what somebody else noted since the form was shown.

    Raises
    ------
    OrderError
        The same offer was ordered, or pieces of the same part came, in an entry after ``seen``.
    """
    ids = {entry.id for entry in new}
    for entry in new:
        if isinstance(entry, Ordered):
            same = [
                one
                for one in state.ordered
                if one.number > seen
                and one.id not in ids
                and (one.offer, one.tool) == (entry.offer, entry.tool)
            ]
            what = "was marked as ordered"
        elif isinstance(entry, Arrived):
            same_part = [one for one in state.arrived if one.number > seen and one.id not in ids]
            if any(one.part == entry.part and one.offer == entry.offer for one in same_part):
                by = next(one for one in same_part if one.part == entry.part)
                raise OrderError(_meanwhile(entry.part, "was marked as come", by.who))
            continue
        else:
            continue
        if same and not any(isinstance(one, Corrected) for one in new):
            raise OrderError(_meanwhile(entry.offer or entry.tool or "", what, same[0].who))


def _meanwhile(name: str, what: str, who: str | None) -> str:
    return f"{name} {what} meanwhile by {who or 'somebody else'}; look at it and do yours again if it is more"


def _count(text: str, title: str) -> int:
    said = text.strip()
    if not said:
        return 0
    if not said.isascii() or not said.isdigit() or len(said) > 6:
        raise OrderError(f"“{said[:20]}”: pieces of {title} are a whole number; write digits only")
    if int(said) > MAX_PIECES:
        raise OrderError(f"“{said}”: pieces go up to {MAX_PIECES}; check the number")
    return int(said)


def _made(kind: type[Any], **values: Any) -> Any:
    try:
        return kind(**values)
    except ValidationError as error:
        first = error.errors(include_url=False)[0]
        value, rule, way_out = describe(kind, first["loc"], dict(first))
        raise OrderError(f"“{value}”: {rule}; {way_out}") from None
