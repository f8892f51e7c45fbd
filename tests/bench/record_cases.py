"""Entries for the tests of the record, and any entry at all."""

from __future__ import annotations

import datetime as dt

from hypothesis import strategies as st

from onceapart.bench.entries import (
    ENTRY_KINDS,
    SNAG_KINDS,
    Limits,
    Noted,
    Ordered,
    StopgapFitted,
    SumCheck,
)

ZONE = dt.timezone(dt.timedelta(hours=1))
START = dt.datetime(2026, 3, 7, 9, tzinfo=ZONE)


def at(minute: int) -> dt.datetime:
    """A time on the Saturday of the tests, or after it. [min]"""
    return START + dt.timedelta(minutes=minute)


def note(words: str, minute: int) -> Noted:
    return Noted(time=at(minute), words=words)


_ids = st.from_regex(r"[a-z0-9]{1,6}(?:[-/][a-z0-9]{1,6}){0,2}", fullmatch=True)
_entry_ids = st.from_regex(r"[a-z0-9]{1,16}", fullmatch=True)
_words = (
    st.text(st.characters(exclude_categories=["Cc", "Cs", "Zl", "Zp", "Cf"]), min_size=1, max_size=30)
    .filter(str.strip)
    .map(str.strip)
)
_notes = st.lists(_words, min_size=1, max_size=3).map("\n".join)
_steps = st.one_of(
    st.builds(
        "{}:{}".format, st.sampled_from(["off", "on", "aftercare", "check", "loosen", "tighten"]), _ids
    ),
    st.builds("do:{}:{}".format, _ids, _ids),
)
_odometers = st.builds("{} {}".format, st.integers(0, 9_999_999), st.sampled_from(["km", "mi"]))
_values = st.sampled_from(["2.4 mm", "110 Nm", "3/32 in", "2,2 bar", "61 lb-ft"])
_times = st.datetimes(
    dt.datetime(2000, 1, 1),
    dt.datetime(2090, 1, 1),
    timezones=st.integers(-24, 28).map(lambda half: dt.timezone(dt.timedelta(minutes=30 * half))),
).map(lambda time: time.replace(microsecond=0))
_limits = st.builds(
    Limits,
    until=st.none() | st.dates(),
    distance=st.none() | _odometers,
    speed=st.none() | st.just("60 km/h"),
    do_not_drive=st.just(True),
)
_checks = st.builds(SumCheck, sum=_words, inputs=st.dictionaries(_words, _words, max_size=3), verdict=_words)
_FIELDS = {
    "time": _times,
    "id": _entry_ids,
    "who": _words,
    "car": _ids,
    "odometer": st.none() | _odometers,
    "step": _steps,
    "stint": st.none() | _words,
    "value": _values,
    "fastener": _words,
    "torque": _values,
    "job": _ids,
    "words": _notes,
    "photo": st.none() | st.just("disc.jpg"),
    "part": _ids,
    "pieces": st.integers(1, 100),
    "state": st.sampled_from(["right", "wrong", "bad"]),
    "offer": st.none() | _ids,
    "price": st.none() | st.integers(0, 10_000),
    "seller": st.none() | _ids,
    "units": st.integers(1, 9),
    "parts": st.dictionaries(_ids, st.integers(1, 9), max_size=2),
    "tool": st.none() | _ids,
    "delivery": st.integers(0, 1_000),
    "arrives": st.dates(),
    "placed": st.none() | st.dates(),
    "snag": _entry_ids,
    "dangerous": st.booleans(),
    "blocks": st.lists(_steps, max_size=3).map(tuple),
    "way": _words,
    "minutes": st.none() | st.integers(0, 600),
    "how": _notes,
    "what": _words,
    "where": _words,
    "system": st.sampled_from(["brakes", "exhaust", "seat-belts"]),
    "limits": _limits,
    "place": st.none() | st.just("front-left"),
    "signed_by": _words,
    "check": st.none() | _checks,
    "stopgap": _entry_ids,
    "by": _ids | _steps,
    "answer": st.sampled_from(["yes", "no"]),
    "checks": st.lists(_ids, max_size=3).map(tuple),
    "why": _notes,
    "entry": _entry_ids,
    "lines": st.lists(st.integers(1, 99), min_size=1, max_size=3).map(tuple),
    "kept_as": st.just("garage.record.jsonl.damaged-1"),
}


def entries() -> st.SearchStrategy:
    """Any entry of any kind."""
    return st.one_of(*[_of(kind) for kind in ENTRY_KINDS])


def _of(kind) -> st.SearchStrategy:
    fields = {name: _FIELDS[name] for name in kind.model_fields if name not in ("kind", "number")}
    if kind.model_fields["kind"].default == "snag opened":
        fields["snag"] = st.sampled_from(SNAG_KINDS)
    elif kind.model_fields["kind"].default == "check answered":
        fields["check"] = _ids
    elif kind is Ordered:
        fields |= {
            "price": st.integers(0, 10_000),
            "parts": st.dictionaries(_ids, st.integers(1, 9), min_size=1, max_size=2),
            "tool": st.none(),
        }
    elif kind is StopgapFitted:
        fields["odometer"] = _odometers
    return st.builds(kind, **fields)
