"""Entries of the release pages: made from what was typed, kept once; and what is wrong with them."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from django.http import HttpRequest
from pydantic import ValidationError

from onceapart.bench.entries import Entry, Noted, entry_of
from onceapart.bench.record import RecordError
from onceapart.bench.state import km_of
from onceapart.errors import OnceapartError
from onceapart.site.pages.bench.sending import moment
from onceapart.site.pages.shared import Now, who_is
from onceapart.site.store.record import DatabaseRecord


class NotKeptError(OnceapartError):
    """What was typed can't be kept; ``why`` gives value, rule and way out, ``field`` where it stands."""

    def __init__(self, field: str, why: str) -> None:
        self.field, self.why = field, why
        super().__init__(f"{field}: {why}")


def made(request: HttpRequest, now: Now, kind: str, *, more: str = "", **fields: Any) -> Entry:
    """An entry of a kind from typed fields, empty ones left out; raises NotKeptError.

    ``more`` tells the entries of one form apart: their ids follow from that of the form.
    """
    once = str(request.POST.get("once", ""))
    given = {"kind": kind, "time": moment(now), "who": who_is(request), **fields}
    if once:
        given["id"] = once + (f"-{more}" if more else "")
    given = {key: value.strip() if isinstance(value, str) else value for key, value in given.items()}
    try:
        return entry_of({key: value for key, value in given.items() if value not in (None, "")})
    except ValidationError as error:
        one = error.errors(include_url=False)[0]
        field = str(one["loc"][-1]) if one["loc"] else ""
        typed = one["input"] if isinstance(one["input"], str) else ""
        why = "it may not be left empty; write it" if one["type"] == "missing" else str(one["msg"])
        raise NotKeptError(field, f"“{typed[:60]}”: {why}" if typed else why) from None


def keep(entries: Sequence[Entry]) -> tuple[Entry, ...]:
    """Keep entries, all or none; raises NotKeptError."""
    try:
        return DatabaseRecord().append_all(list(entries))
    except RecordError as error:
        raise NotKeptError("", str(error)) from None


def typed_odometer(request: HttpRequest, now: Now, car: str) -> str | None:
    """The odometer as typed, if it was and does not go back; raises NotKeptError."""
    text = str(request.POST.get("odometer", "")).strip()
    if not text:
        return None
    read = made(request, now, "noted", words="read", car=car, odometer=text)
    assert isinstance(read, Noted)
    assert read.odometer is not None
    before = now.state.odometers.get(car)
    if before is not None and km_of(read.odometer) < before.km:
        raise NotKeptError(
            "odometer",
            f"“{text}”: it stood at {before.text} on {before.day}, and never goes back; read it again",
        )
    return read.odometer
