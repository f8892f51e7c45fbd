"""A finding typed at a place of the car: checked by its item at once, with its verdict."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from django.http import QueryDict
from pydantic import ValidationError

from onceapart.inspection.reading import readings
from onceapart.inspection.wording import flag_words
from onceapart.trade.rules import SOUND, Item, Pack
from onceapart.workshop import Finding, Workshop
from onceapart.workshop.values import Plain
from onceapart.workshop.wording import describe


@dataclass(frozen=True)
class Typed:
    """What was typed for an item, what is wrong with it, and the finding it makes."""

    value: str = ""
    seen: tuple[str, ...] = ()
    date: str = ""
    odometer: str = ""
    note: str = ""
    errors: tuple[str, ...] = ()
    finding: Finding | None = None
    flags: tuple[str, ...] = field(default=())
    """What makes it odd but not wrong: it is kept and not judged."""


def empty(today: dt.date, odometer: str = "") -> Typed:
    """A form nobody has typed into."""
    return Typed(date=today.isoformat(), odometer=odometer)


def read(
    workshop: Workshop,
    pack: Pack,
    car: str,
    place: str,
    item: Item,
    typed: QueryDict | Mapping[str, Any],
    today: dt.date,
) -> Typed:
    """Read a form; wrong is what its item can't be, whatever else is known."""
    seen = tuple(typed.getlist("seen")) if isinstance(typed, QueryDict) else tuple(typed.get("seen", ()))
    given = {name: str(typed.get(name, "")).strip()[:2000] for name in ("value", "date", "odometer", "note")}
    data: dict[str, Any] = {"car": car, "item": item.id, "date": Plain(given["date"] or today.isoformat())}
    if item.at != "car":
        data["place"] = place
    if item.is_measured:
        data["value"] = Plain(_with_unit(given["value"], item))
    else:
        data["seen"] = tuple(Plain(word) for word in seen)
    for name in ("odometer", "note"):
        if given[name]:
            data[name] = given[name]
    back = Typed(given["value"], seen, given["date"], given["odometer"], given["note"])
    errors = _missing(item, given["value"], seen)
    finding = None
    if not errors:
        try:
            finding = Finding.model_validate(data)
        except ValidationError as error:
            errors = [_refused(dict(one)) for one in error.errors(include_url=False)]
    if finding is None:
        return _with(back, errors=tuple(errors))
    more = workshop.model_copy(update={"findings": (*workshop.findings, finding)})
    flags = [
        f for f in readings(more, pack, car=car, today=today).flagged if f.index == len(workshop.findings)
    ]
    wrong = tuple(flag_words(flag) for flag in flags if flag.doubt.is_error)
    odd = tuple(flag_words(flag) for flag in flags if not flag.doubt.is_error)
    return _with(back, errors=wrong, flags=odd, finding=None if wrong else finding)


def _with(back: Typed, **more: Any) -> Typed:
    return Typed(**{**back.__dict__, **more})


def _with_unit(text: str, item: Item) -> str:
    """A bare number is in the unit of the item, as the form says beside the field."""
    bare = text.replace(",", ".").replace(" ", "")
    return f"{text} {item.unit}" if item.unit and bare.replace(".", "", 1).isdigit() else text


def _missing(item: Item, value: str, seen: tuple[str, ...]) -> list[str]:
    if item.is_measured and not value:
        return [f"nothing typed: measure it and write the figure, in {item.unit or 'plain numbers'}"]
    if not item.is_measured and not seen:
        return [f"nothing chosen: choose what you saw, or “{SOUND}” if nothing is wrong"]
    if SOUND in seen and len(seen) > 1:
        return [f"“{SOUND}” says that nothing is wrong; leave it out, or the others"]
    return []


def _refused(error: dict[str, Any]) -> str:
    value, rule, way_out = describe(Finding, error["loc"], error)
    return f"{value}: {rule}; {way_out}" if value else f"{rule}; {way_out}"
