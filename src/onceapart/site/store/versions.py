"""The workshop as it is now, and changing it: whole versions, one after the other, none ever lost.

A change names the entries it was made from by their *marks*, so that what somebody else has changed
meanwhile is never written over; and it is checked as a whole, as a file would be.
"""

from __future__ import annotations

import datetime as dt
import hashlib
import zlib
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from functools import lru_cache
from typing import Any

from django.db import IntegrityError, transaction
from pydantic import BaseModel

from onceapart.errors import OnceapartError, Problem, WorkshopFileError
from onceapart.site.store.models import Version
from onceapart.trade import apply_recipes
from onceapart.workshop import Workshop, parse_with_lines, parse_workshop, write_workshop
from onceapart.workshop.reading import LISTS

TRIES = 5
"""How often a change is made anew because another came first."""


@dataclass(frozen=True, order=True)
class Ref:
    """Names an entry: its list and its id, or its place in the list where it has none; "" for the rest."""

    section: str
    key: str = ""

    def __str__(self) -> str:
        return f"{self.section}/{self.key}" if self.key else self.section


HEAD = Ref("workshop")
"""Name, currency, today and what an hour is worth."""
SHELF = Ref("shelf")


@dataclass(frozen=True)
class Current:
    """A version of the workshop."""

    number: int
    workshop: Workshop


class ChangeRefusedError(OnceapartError):
    """A change that would leave a workshop that can't be used; nothing was changed."""

    def __init__(self, problems: Iterable[Problem]) -> None:
        self.problems = tuple(problems)
        super().__init__("; ".join(str(problem) for problem in self.problems))


class ChangedMeanwhileError(OnceapartError):
    """Somebody else changed the same entry; nothing was changed."""

    def __init__(self, ref: Ref, by: Version | None) -> None:
        self.ref, self.by = ref, by
        who = (by.who or "somebody else") if by else "somebody else"
        super().__init__(f"{ref} was changed meanwhile by {who}; look at it and do your change again")


class NothingThereError(OnceapartError):
    """There is no such entry or version."""


@lru_cache(maxsize=16)
def _parsed(text: str) -> Workshop:
    return parse_workshop(text)


def workshop_of(version: Version) -> Workshop:
    """The workshop of a version."""
    return _parsed(version.text)


def current() -> Current | None:
    """The workshop as it is now; None before the first one."""
    version = Version.objects.order_by("-number").first()
    return None if version is None else Current(version.number, workshop_of(version))


def entry(workshop: Workshop, ref: Ref) -> Any:
    """What a reference names.

    Raises
    ------
    NothingThereError
        If there is no such entry.
    """
    if ref == HEAD:
        return {name: getattr(workshop, name) for name in ("name", "today", "currency", "hour_worth")}
    if ref == SHELF:
        return dict(workshop.shelf)
    if ref.section not in LISTS:
        raise NothingThereError(f"{ref}: there is no such list")
    for at, one in enumerate(getattr(workshop, ref.section)):
        if ref_of(ref.section, at, one) == ref:
            return one
    raise NothingThereError(f"{ref}: there is no such entry; it may have been taken out meanwhile")


def ref_of(section: str, at: int, one: BaseModel) -> Ref:
    """The reference of an entry of a list: by its id, a finding's or stint's by its place."""
    return Ref(section, str(at) if section in ("findings", "stints") else str(getattr(one, "id", at)))


def mark(workshop: Workshop, ref: Ref) -> str:
    """A short text that changes when the entry does; forms carry it. "" where there is no such entry."""
    try:
        one = entry(workshop, ref)
    except NothingThereError:
        return ""
    said = one.model_dump_json(by_alias=True) if isinstance(one, BaseModel) else repr(sorted(one.items()))
    return hashlib.sha256(said.encode()).hexdigest()[:16]


def change(
    what: str,
    edit: Callable[[Workshop], Workshop],
    *,
    at: dt.datetime,
    who: str = "",
    marks: Mapping[Ref, str] | None = None,
) -> Version:
    """Change the workshop and keep the new version.

    Parameters
    ----------
    what : str
        The change in words, for the list of changes.
    edit : callable
        From the workshop as it is now to the new one. It may be called more than once.
    at : datetime
        When, with time zone.
    who : str, optional
    marks : mapping, optional
        Marks of the entries the change was made from, as they were shown.

    Raises
    ------
    ChangedMeanwhileError
        One of them is not as it was any more.
    ChangeRefusedError
        The new workshop breaks a rule of the workshop file.
    """
    for _ in range(TRIES):
        now = current()
        if now is None:
            raise NothingThereError("there is no workshop yet; take in a workshop file first")
        for ref, shown in (marks or {}).items():
            if mark(now.workshop, ref) != shown:
                raise ChangedMeanwhileError(ref, Version.objects.order_by("-number").first())
        text = checked_text(edit(now.workshop))
        try:
            return _keep(now.number + 1, text, what, at, who)
        except IntegrityError:
            continue  # another change came first: once more, from what it left
    raise ChangedMeanwhileError(next(iter(marks or {HEAD: ""})), None)


def checked_text(workshop: Workshop) -> str:
    """Text of a workshop that keeps all rules, recipes included.

    Raises
    ------
    ChangeRefusedError
        With all that is wrong.
    """
    try:
        text = write_workshop(workshop)
        parsed = parse_with_lines(text, "workshop")
        apply_recipes(parsed.workshop)
    except WorkshopFileError as error:
        raise ChangeRefusedError(error.problems) from None
    return text


def take_in(
    text: str | bytes, *, at: dt.datetime, who: str = "", what: str = "Workshop file taken in"
) -> Version:
    """Put a whole workshop file in the place of what there is; the old versions stay.

    Raises
    ------
    WorkshopFileError
        With all that is wrong with the file; nothing was changed.
    """
    parsed = parse_with_lines(text, "workshop file")
    apply_recipes(parsed.workshop)
    new = write_workshop(parsed.workshop)
    for _ in range(TRIES):
        last = Version.objects.order_by("-number").values_list("number", flat=True).first() or 0
        try:
            return _keep(last + 1, new, what, at, who)
        except IntegrityError:
            continue
    raise ChangedMeanwhileError(HEAD, None)


def undo(number: int, *, at: dt.datetime, who: str = "") -> Version:
    """Take back one change, whatever came after it: the entries it touched are as they were before.

    Raises
    ------
    NothingThereError
        There is no such change, or it is the first.
    ChangedMeanwhileError
        A later change touched the same entries; undo that one first.
    ChangeRefusedError
        Without the change something that came later breaks a rule.
    """
    version = Version.objects.filter(pk=number).first()
    before = Version.objects.filter(pk=number - 1).first()
    if version is None or before is None:
        raise NothingThereError(f"change {number} can't be undone: there is nothing before it")
    if hasattr(version, "undone_by"):
        raise NothingThereError(f"change {number} is undone already")
    old, new = workshop_of(before), workshop_of(version)
    touched = touched_refs(old, new)

    def edit(workshop: Workshop) -> Workshop:
        for ref in touched:
            if mark(workshop, ref) != mark(new, ref):
                later = Version.objects.filter(number__gt=number).order_by("-number").first()
                raise ChangedMeanwhileError(ref, later)
        return _with_entries_of(workshop, old, touched)

    for _ in range(TRIES):
        now = current()
        assert now is not None
        text = checked_text(old if now.number == number else edit(now.workshop))
        try:
            return _keep(now.number + 1, text, f"Undone: {version.what}"[:300], at, who, version)
        except IntegrityError:
            continue
    raise ChangedMeanwhileError(HEAD, None)


def _keep(
    number: int, text: str, what: str, at: dt.datetime, who: str, undoes: Version | None = None
) -> Version:
    packed = zlib.compress(text.encode())
    with transaction.atomic():
        return Version.objects.create(
            number=number, at=at, who=who[:60], what=what[:300], packed=packed, undoes=undoes
        )


def touched_refs(old: Workshop, new: Workshop) -> tuple[Ref, ...]:
    """What differs between two workshops."""
    refs = {HEAD, SHELF}
    for workshop in (old, new):
        for section in LISTS:
            refs.update(ref_of(section, at, one) for at, one in enumerate(getattr(workshop, section)))
    return tuple(sorted(ref for ref in refs if mark(old, ref) != mark(new, ref)))


def _with_entries_of(workshop: Workshop, source: Workshop, refs: Iterable[Ref]) -> Workshop:
    """The workshop with these entries as another has them: put back, changed back or taken out."""
    changes: dict[str, Any] = {}
    refs = tuple(refs)
    if HEAD in refs:
        changes.update(entry(source, HEAD))
    if SHELF in refs:
        changes["shelf"] = dict(source.shelf)
    for section in {ref.section for ref in refs} & set(LISTS):
        keys = {ref.key for ref in refs if ref.section == section}
        theirs = {ref_of(section, at, one).key: one for at, one in enumerate(getattr(source, section))}
        kept: list[tuple[str, BaseModel]] = []
        for at, one in enumerate(getattr(workshop, section)):
            key = ref_of(section, at, one).key
            if key not in keys:
                kept.append((key, one))
            elif key in theirs:
                kept.append((key, theirs[key]))
        there = [key for key, _ in kept]
        for at, (key, one) in enumerate(theirs.items()):
            if key in keys and key not in there:  # back to where it stood, as near as can be told
                kept.insert(min(at, len(kept)), (key, one))
        changes[section] = tuple(one for _, one in kept)
    return workshop.model_copy(update=changes)


def with_entry(workshop: Workshop, section: str, one: BaseModel, ref: Ref | None = None) -> Workshop:
    """The workshop with an entry added, or put in the place of another."""
    entries = list(getattr(workshop, section))
    if ref is None:
        entries.append(one)
    else:
        places = [at for at, other in enumerate(entries) if ref_of(section, at, other) == ref]
        if not places:
            raise NothingThereError(f"{ref}: there is no such entry; it may have been taken out meanwhile")
        entries[places[0]] = one
    return workshop.model_copy(update={section: tuple(entries)})


def without_entry(workshop: Workshop, ref: Ref) -> Workshop:
    """The workshop without an entry."""
    entry(workshop, ref)
    kept = (
        one for at, one in enumerate(getattr(workshop, ref.section)) if ref_of(ref.section, at, one) != ref
    )
    return workshop.model_copy(update={ref.section: tuple(kept)})
