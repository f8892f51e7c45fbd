"""Looking things up in a long record: by text, car, kind and dates, newest first, a page at a time."""

from __future__ import annotations

import datetime as dt
import threading
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import islice

from onceapart.bench.entries import Corrected, Entry, on_car
from onceapart.bench.entries_words import entry_words

PAGE = 50
"""Entries on one page."""
FOUND_BY = ("car", "who", "stint", "job", "step", "part", "offer", "seller", "tool")
"""What entries are found by besides their words."""


@dataclass(frozen=True)
class Wanted:
    """What is looked for; what is empty is not asked for. Days are those of the entries, both included."""

    text: str = ""
    car: str = ""
    kind: str = ""
    since: dt.date | None = None
    until: dt.date | None = None
    before: int | None = None
    """Entries with a smaller number only: the next page."""


@dataclass(frozen=True)
class Row:
    """An entry in the list."""

    entry: Entry
    words: str
    car: str | None
    is_struck: bool


@dataclass(frozen=True)
class Page:
    """A page of the list. ``next_before`` leads to the next one; None if this is the last."""

    rows: tuple[Row, ...]
    next_before: int | None


@dataclass(frozen=True)
class _Line:
    """What an entry is found by."""

    entry: Entry
    words: str
    low: str
    car: str | None
    day: dt.date


class Index:
    """What the entries of a record are found by. It grows with the record and is made anew for another."""

    def __init__(self) -> None:
        self._lock = threading.Lock()
        self._lines: list[_Line] = []
        self._numbers: dict[str, int] = {}
        self._cars: dict[str, str | None] = {}
        self._corrections: list[Corrected] = []
        self._dead: tuple[int, frozenset[str]] = (0, frozenset())

    def look(self, entries: Sequence[Entry], wanted: Wanted) -> Page:
        """A page of what is looked for, the newest first."""
        lines = self._upto(entries)
        words = wanted.text.lower().split()
        found = (line for line in reversed(lines) if _suits(line, wanted, words))
        some = list(islice(found, PAGE + 1))
        dead = self.dead(entries)
        rows = tuple(Row(one.entry, one.words, one.car, one.entry.id in dead) for one in some[:PAGE])
        return Page(rows, some[PAGE - 1].entry.number if len(some) > PAGE else None)

    def dead(self, entries: Sequence[Entry]) -> frozenset[str]:
        """Ids of the entries that are struck; a correction may itself be corrected."""
        self._upto(entries)
        with self._lock:
            if self._dead[0] != len(self._corrections):
                self._dead = len(self._corrections), _dead(self._corrections)
            return self._dead[1]

    @property
    def numbers(self) -> Mapping[str, int]:
        """Entry id -> number."""
        return self._numbers

    def car_of(self, entry: Entry) -> str | None:
        """The car of an entry, or of the one that it goes back to."""
        return self._cars.get(entry.id)

    def _upto(self, entries: Sequence[Entry]) -> list[_Line]:
        with self._lock:
            had = len(self._lines)
            if had > len(entries) or (had and entries[had - 1] is not self._lines[-1].entry):
                self._lines, self._numbers, self._cars, self._corrections = [], {}, {}, []
                self._dead = (0, frozenset())
                had = 0
            for entry in entries[had:]:
                self._add(entry)
            return self._lines[: len(entries)] if len(self._lines) > len(entries) else self._lines

    def _add(self, entry: Entry) -> None:
        self._numbers[entry.id] = entry.number
        named = next((getattr(entry, key) for key in ("snag", "stopgap", "entry") if hasattr(entry, key)), "")
        car = on_car(entry) or self._cars.get(named)
        self._cars[entry.id] = car
        if isinstance(entry, Corrected):
            self._corrections.append(entry)
        words = entry_words(entry, self._numbers)
        more = [getattr(entry, key, None) for key in FOUND_BY]
        low = " ".join([words, *(str(one) for one in more if one)]).lower()
        self._lines.append(_Line(entry, words, low, car, entry.day))


def _suits(line: _Line, wanted: Wanted, words: Sequence[str]) -> bool:
    return (
        (wanted.before is None or line.entry.number < wanted.before)
        and (not wanted.car or line.car == wanted.car)
        and (not wanted.kind or line.entry.kind == wanted.kind)
        and (wanted.since is None or line.day >= wanted.since)
        and (wanted.until is None or line.day <= wanted.until)
        and all(word in line.low for word in words)
    )


def _dead(corrections: Sequence[Corrected]) -> frozenset[str]:
    """As ``state.dead_ids``, from the corrections alone: a store takes none of an entry that is not there."""
    dead: set[str] = set()
    for one in reversed(corrections):
        if one.id not in dead:
            dead.add(one.entry)
    return frozenset(dead)


INDEX = Index()
"""Of the record of this site."""
