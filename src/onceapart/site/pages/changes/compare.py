"""What a change did, entry by entry and key by key, in words."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from pydantic import BaseModel

from onceapart.site.pages.words import day_and_year, minutes
from onceapart.site.store.versions import NothingThereError, Ref, entries_of, touched_refs
from onceapart.workshop import Finding, Stint, Workshop, format_money
from onceapart.workshop.writing import MONEY_KEYS, given_keys

NOUNS = {
    "workshop": "workshop",
    "shelf": "shelf",
    "cars": "car",
    "findings": "finding",
    "tools": "tool",
    "access": "access",
    "aftercare": "aftercare",
    "jobs": "job",
    "sellers": "seller",
    "offers": "offer",
    "stints": "stint",
}
MINUTE_KEYS = frozenset({"minutes", "between"})


@dataclass(frozen=True)
class ChangedKey:
    """A key of an entry before and after; "" where there was or is nothing."""

    key: str
    before: str
    after: str


@dataclass(frozen=True)
class ChangedEntry:
    """What happened to one entry: ``put in``, ``taken out`` or ``changed``."""

    noun: str
    name: str
    what: str
    keys: tuple[ChangedKey, ...]


def changed_entries(old: Workshop | None, new: Workshop) -> tuple[ChangedEntry, ...]:
    """All entries in which two workshops differ, in the order of the workshop file.

    Parameters
    ----------
    old : Workshop or None
        None for the first version: everything is put in.
    new : Workshop
    """
    if old is None:
        old = Workshop(name=new.name, currency=new.currency, hour_worth=new.hour_worth, today=new.today)
    refs = sorted(touched_refs(old, new), key=lambda ref: list(NOUNS).index(ref.section))
    return tuple(_changed(ref, old, new) for ref in refs)


@dataclass(frozen=True)
class Group:
    """Entries of one kind to which the same happened."""

    noun: str
    what: str
    entries: tuple[ChangedEntry, ...]

    @property
    def noun_in_words(self) -> str:
        """One and several of it, as the filter ``count`` takes them."""
        if self.noun == "shelf":
            return "part on the shelf,parts on the shelf"
        if self.noun == "workshop":
            return "figure of the workshop,figures of the workshop"
        return f"{self.noun},{self.noun if self.noun in ('access', 'aftercare') else self.noun + 's'}"


def grouped(entries: tuple[ChangedEntry, ...]) -> tuple[Group, ...]:
    """Changed entries by kind and by what happened to them, in their order."""
    found: dict[tuple[str, str], list[ChangedEntry]] = {}
    for one in entries:
        found.setdefault((one.noun, one.what), []).append(one)
    return tuple(Group(noun, what, tuple(several)) for (noun, what), several in found.items())


def _changed(ref: Ref, old: Workshop, new: Workshop) -> ChangedEntry:
    before, after = _keys_at(old, ref), _keys_at(new, ref)
    if before is None:
        what = "put in"
    elif after is None:
        what = "taken out"
    else:
        what = "changed"
    keys = tuple(_changed_keys(before or {}, after or {}, new.currency))
    return ChangedEntry(NOUNS[ref.section], _name_of(ref, old, new), what, keys)


def _name_of(ref: Ref, old: Workshop, new: Workshop) -> str:
    """What a person calls an entry: its name or title if it has one, else its key."""
    for workshop in (new, old):
        one = _entry_at(workshop, ref)
        if isinstance(one, Finding):
            return ", ".join(filter(None, [one.item, one.place, f"on {one.car}", day_and_year(one.date)]))
        if isinstance(one, Stint):
            return day_and_year(one.date) + (f" ({one.id})" if one.id else "")
        name = isinstance(one, BaseModel) and (getattr(one, "name", None) or getattr(one, "title", None))
        if name and name != ref.key:
            return f"{name} ({ref.key})"
    return {"hour_worth": "worth of an hour", "today": "day to count from"}.get(ref.key, ref.key)


def _entry_at(workshop: Workshop, ref: Ref) -> Any:
    try:
        return entries_of(workshop, ref.section).get(ref.key)
    except NothingThereError:
        return None


def _keys_at(workshop: Workshop, ref: Ref) -> dict[str, Any] | None:
    one = _entry_at(workshop, ref)
    if one is None:
        return None
    if isinstance(one, BaseModel):
        return given_keys(one)
    return {ref.key if ref.section == "workshop" else "pieces": one}


def _changed_keys(before: Mapping[str, Any], after: Mapping[str, Any], currency: str) -> Iterator[ChangedKey]:
    for key in dict.fromkeys([*before, *after]):
        if key == "id" and before and after:
            continue
        if before.get(key) != after.get(key) or (key in before) != (key in after):
            yield ChangedKey(
                key.replace("_", " "),
                in_words(key, before.get(key), currency),
                in_words(key, after.get(key), currency),
            )


def in_words(key: str, value: Any, currency: str = "") -> str:
    """A value as a person reads it.

    >>> in_words("price", 1490, "EUR"), in_words("parts", {"wren/boot": 2}), in_words("minutes", 75)
    ('14.90 EUR', 'wren/boot: 2', '1 h 15')
    """
    if value is None:
        return ""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, int):
        if key in MONEY_KEYS:
            return f"{format_money(value)} {currency}".strip()
        return minutes(value) if key in MINUTE_KEYS else str(value)
    if isinstance(value, dt.date):
        return day_and_year(value)
    if isinstance(value, BaseModel):
        value = given_keys(value)
    if isinstance(value, Mapping):
        return (
            ", ".join(f"{name}: {in_words(str(name), one, currency)}" for name, one in value.items())
            or "none"
        )
    if isinstance(value, tuple | list):
        return (" to " if key == "between" else ", ").join(
            in_words(key, one, currency) for one in value
        ) or "none"
    return str(value)
