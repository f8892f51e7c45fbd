"""Naming the entries of a workshop, telling two workshops apart, and taking one change out of several.

All of it is plain functions of workshops. An entry is named by its id; what has none by what it is: a stint
by its date, a finding by date, car, item and place. Where several are alike, they are counted.
"""

from __future__ import annotations

import hashlib
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from pydantic import BaseModel

from onceapart.errors import OnceapartError
from onceapart.workshop import Finding, Stint, Workshop
from onceapart.workshop.reading import LISTS
from onceapart.workshop.writing import item_lines


@dataclass(frozen=True, order=True)
class Ref:
    """Names an entry: its list and its key in it. Without a key: the whole of a section."""

    section: str
    key: str = ""

    def __str__(self) -> str:
        return f"{self.section}/{self.key}" if self.key else self.section


HEAD = Ref("workshop")
"""Name, currency, today and what an hour is worth; with a key, one of them."""
SHELF = Ref("shelf")
"""Pieces in hand; with a key, those of one part."""
HEAD_KEYS = tuple(name for name in Workshop.model_fields if name != "shelf" and name not in LISTS)
SECTIONS = (HEAD.section, SHELF.section, *LISTS)


class NothingThereError(OnceapartError):
    """There is no such entry or version."""


class TouchedLaterError(OnceapartError):
    """A change can't be taken out, for a later one touched the same entry."""

    def __init__(self, ref: Ref) -> None:
        self.ref = ref
        super().__init__(f"{ref} was changed again since; undo that first")


def keys_of(entries: Iterable[BaseModel]) -> tuple[str, ...]:
    """Keys of the entries of a list, in its order; no two are alike.

    >>> import datetime as dt
    >>> saturday = Stint(date=dt.date(2026, 3, 7), minutes=300)
    >>> keys_of([saturday, saturday, Stint(date=dt.date(2026, 3, 8), minutes=60, id="late")])
    ('2026-03-07', '2026-03-07~2', 'late')
    """
    seen: dict[str, int] = {}
    keys = []
    for one in entries:
        key = _name_of(one)
        seen[key] = count = seen.get(key, 0) + 1
        keys.append(key if count == 1 else f"{key}~{count}")
    return tuple(keys)


def _name_of(one: BaseModel) -> str:
    if isinstance(one, Finding):
        return ":".join(str(part) for part in (one.date, one.car, one.item, one.place) if part is not None)
    if isinstance(one, Stint):
        return one.id or str(one.date)
    return str(getattr(one, "id", ""))


def entries_of(workshop: Workshop, section: str) -> dict[str, Any]:
    """Entries of a section by key: of a list, of the shelf (pieces by part) or of the head.

    Raises
    ------
    NothingThereError
        If there is no such section.
    """
    if section == HEAD.section:
        return {name: getattr(workshop, name) for name in HEAD_KEYS}
    if section == SHELF.section:
        return dict(workshop.shelf)
    if section not in LISTS:
        raise NothingThereError(f"{section}: there is no such list")
    entries = getattr(workshop, section)
    return dict(zip(keys_of(entries), entries, strict=True))


def entry(workshop: Workshop, ref: Ref) -> Any:
    """What a reference names; all entries of the section by key where it has no key.

    Raises
    ------
    NothingThereError
        If there is no such entry.
    """
    entries = entries_of(workshop, ref.section)
    if not ref.key:
        return entries
    if ref.key not in entries:
        raise NothingThereError(f"{ref}: there is no such entry; it may have been taken out meanwhile")
    return entries[ref.key]


def refs_of(workshop: Workshop, section: str) -> tuple[Ref, ...]:
    """References of the entries of a section, in their order."""
    return tuple(Ref(section, key) for key in entries_of(workshop, section))


def mark(workshop: Workshop, ref: Ref) -> str:
    """A short text that changes when the entry does; forms carry it. "" where there is no such entry."""
    try:
        return _mark_of(entry(workshop, ref))
    except NothingThereError:
        return ""


def _mark_of(one: Any) -> str:
    return hashlib.sha256(_said(one).encode()).hexdigest()[:16]


def _said(one: Any) -> str:
    """An entry as the file has it, so that what the file tells apart is told apart here."""
    if isinstance(one, BaseModel):
        return "\n".join(item_lines(one, in_block=True))
    if isinstance(one, Mapping):
        return "\n".join(f"{key}: {_said(value)}" for key, value in sorted(one.items()))
    return repr(one)


def touched_refs(old: Workshop, new: Workshop) -> tuple[Ref, ...]:
    """What differs between two workshops: entries that are new, gone or otherwise. Order does not count."""
    touched: list[Ref] = []
    for section in SECTIONS:
        before, after = entries_of(old, section), entries_of(new, section)
        keys = dict.fromkeys([*before, *after])
        touched.extend(Ref(section, key) for key in keys if not _same_at(key, before, after))
    return tuple(sorted(touched))


def _same_at(key: str, one: Mapping[str, Any], other: Mapping[str, Any]) -> bool:
    if key not in one or key not in other:
        return key not in one and key not in other
    return _said(one[key]) == _said(other[key])


def without_change(workshop: Workshop, old: Workshop, new: Workshop) -> Workshop:
    """The workshop without the change that once led from ``old`` to ``new``; what came after it stays.

    Entries that the change added are taken out, those it took out are put back where they stood, as near as
    can be told, and those it changed are as they were.

    Raises
    ------
    TouchedLaterError
        One of them is not as the change left it.
    """
    touched = touched_refs(old, new)
    here = {section: entries_of(workshop, section) for section in {ref.section for ref in touched}}
    left = {section: entries_of(new, section) for section in here}
    for ref in touched:
        if not _same_at(ref.key, here[ref.section], left[ref.section]):
            raise TouchedLaterError(ref)
    changes: dict[str, Any] = {}
    for section in SECTIONS:
        keys = {ref.key for ref in touched if ref.section == section}
        was, became = entries_of(old, section), entries_of(new, section)
        moved = _moved(list(was), list(became))
        if not keys and not moved:
            continue
        entries = entries_of(workshop, section)
        if moved:
            entries = _in_order(Ref(section), entries, moved, list(became))
        entries = _put_back(entries, was, keys)
        if section == HEAD.section:
            changes.update(entries)
        else:
            changes[section] = entries if section == SHELF.section else tuple(entries.values())
    return workshop.model_copy(update=changes)


def _put_back(here: Mapping[str, Any], was: Mapping[str, Any], keys: set[str]) -> dict[str, Any]:
    """Entries with those of some keys as they were."""
    order = [key for key in here if key not in keys or key in was]
    before: str | None = None
    for key in was:
        if key in keys and key not in here:
            order.insert(order.index(before) + 1 if before is not None else 0, key)
        if key in order:
            before = key
    return {key: was[key] if key in keys else here[key] for key in order}


def _moved(old: list[str], new: list[str]) -> list[str]:
    """Keys that both lists have, in the old order; none where that is the new one too."""
    both = set(old) & set(new)
    before = [key for key in old if key in both]
    return before if before != [key for key in new if key in both] else []


def _in_order(ref: Ref, entries: dict[str, Any], moved: list[str], left: list[str]) -> dict[str, Any]:
    """Entries with the moved ones in the order they had, if they stand as the change left them."""
    there = [key for key in entries if key in moved]
    if there != [key for key in left if key in set(there)]:
        raise TouchedLaterError(ref)
    back = iter([key for key in moved if key in set(there)])
    order = [next(back) if key in set(there) else key for key in entries]
    return {key: entries[key] for key in order}


def with_entry(workshop: Workshop, section: str, one: BaseModel, ref: Ref | None = None) -> Workshop:
    """The workshop with an entry added, or put in the place of another.

    Raises
    ------
    NothingThereError
        There is no such other.
    """
    entries = entries_of(workshop, section)
    if ref is None:
        return workshop.model_copy(update={section: (*entries.values(), one)})
    entry(workshop, ref)
    return workshop.model_copy(
        update={section: tuple(one if key == ref.key else other for key, other in entries.items())}
    )


def without_entry(workshop: Workshop, ref: Ref) -> Workshop:
    """The workshop without an entry of a list.

    Raises
    ------
    NothingThereError
        There is no such entry.
    """
    entry(workshop, ref)
    entries = entries_of(workshop, ref.section)
    return workshop.model_copy(
        update={ref.section: tuple(other for key, other in entries.items() if key != ref.key)}
    )
