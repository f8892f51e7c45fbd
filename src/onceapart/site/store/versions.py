"""The workshop as it is now, and changing it: whole versions, one after the other, none ever lost.

A change names the entries it was made from by their *marks*, so that what somebody else has changed
meanwhile is never written over; and it is checked as a whole, as a file would be.
"""

from __future__ import annotations

import datetime as dt
import zlib
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from itertools import pairwise

from onceapart.errors import OnceapartError, Problem, WorkshopFileError
from onceapart.site.store.locking import BusyError, Kept, writing
from onceapart.site.store.models import Version
from onceapart.site.store.parsed import remember, worked_out_from, workshop_from
from onceapart.site.store.refs import (
    HEAD,
    SHELF,
    NothingThereError,
    Ref,
    TouchedLaterError,
    entries_of,
    entry,
    mark,
    refs_of,
    touched_refs,
    with_entry,
    without_change,
    without_entry,
)
from onceapart.trade import apply_recipes
from onceapart.workshop import Workshop, parse_with_lines, write_workshop
from onceapart.workshop.tree import decode

__all__ = [
    "HEAD",
    "SHELF",
    "BusyError",
    "Change",
    "ChangeRefusedError",
    "ChangedMeanwhileError",
    "Current",
    "NothingThereError",
    "Ref",
    "change",
    "changes",
    "checked_text",
    "current",
    "entries_of",
    "entry",
    "mark",
    "refs_of",
    "take_in",
    "touched_refs",
    "undo",
    "version_of",
    "with_entry",
    "without_change",
    "without_entry",
    "workshop_of",
]

LOOKED_BACK = 12
"""How many versions are looked through for who changed an entry meanwhile."""


@dataclass(frozen=True)
class Current:
    """A version of the workshop."""

    number: int
    workshop: Workshop
    text: str
    """The workshop file."""

    @property
    def worked_out(self) -> Workshop:
        """The workshop with its recipes applied; raises WorkshopFileError if they no longer fit."""
        return worked_out_from(self.text)


@dataclass(frozen=True)
class Change:
    """A line of the list of changes."""

    number: int
    at: dt.datetime
    who: str
    what: str
    undoes: int | None
    """The change that this one took back."""
    is_undone: bool
    """Whether it was taken back, and that has not been taken back in turn."""


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
        did = f" ({by.what})" if by else ""
        super().__init__(f"{ref} was changed meanwhile by {who}{did}; look at it and do your change again")


def workshop_of(version: Version) -> Workshop:
    """The workshop of a version."""
    return workshop_from(version.text)


def current() -> Current | None:
    """The workshop as it is now; None before the first one."""
    version = Version.objects.order_by("-number").first()
    return None if version is None else _as_current(version)


def version_of(number: int) -> Current:
    """A version by its number; raises NothingThereError."""
    version = Version.objects.filter(pk=number).first()
    if version is None:
        raise NothingThereError(f"version {number}: there is none")
    return _as_current(version)


def _as_current(version: Version) -> Current:
    text = version.text
    return Current(version.number, workshop_from(text), text)


def changes(before: int | None = None, most: int = 50) -> tuple[Change, ...]:
    """The last changes, the newest first; ``before`` a number, for the next page of them."""
    rows = Version.objects.order_by("-number").defer("packed")
    if before is not None:
        rows = rows.filter(number__lt=before)
    undone_by = dict(Version.objects.exclude(undoes=None).values_list("undoes_id", "number"))
    return tuple(
        Change(row.number, row.at, row.who, row.what, row.undoes_id, _is_undone(row.number, undone_by))
        for row in rows[:most]
    )


def _is_undone(number: int, undone_by: Mapping[int, int]) -> bool:
    times = 0
    while number in undone_by:
        times, number = times + 1, undone_by[number]
    return times % 2 == 1


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
        From the workshop as it is now to the new one. Nobody else can change it meanwhile.
    at : datetime
        When, with time zone.
    who : str, optional
    marks : mapping, optional
        Marks of the entries the change was made from, as they were shown.

    Returns
    -------
    Version
        The new one; the present one if ``edit`` changes nothing.

    Raises
    ------
    ChangedMeanwhileError
        One of them is not as it was any more.
    ChangeRefusedError
        The new workshop breaks a rule of the workshop file.
    NothingThereError
        There is no workshop yet, or ``edit`` did not find what it changes.
    BusyError
        Others were writing for too long.
    """
    current()  # reads the last version, so that nobody has to wait while that is done
    with writing(Kept.WORKSHOP):
        now = Version.objects.order_by("-number").first()
        if now is None:
            raise NothingThereError("there is no workshop yet; take in a workshop file first")
        workshop = workshop_of(now)
        for ref, shown in (marks or {}).items():
            if mark(workshop, ref) != shown:
                raise ChangedMeanwhileError(ref, _changed_by(ref, now))
        edited = edit(workshop)
        if write_workshop(edited) == write_workshop(workshop):
            return now
        return _keep(now.number + 1, checked_text(edited), what, at, who)


def _changed_by(ref: Ref, now: Version) -> Version | None:
    """The version that changed an entry last, as far as it is worth looking."""
    rows = [now, *Version.objects.filter(number__lt=now.number).order_by("-number")[:LOOKED_BACK]]
    for version, before in pairwise(rows):
        if mark(workshop_of(version), ref) != mark(workshop_of(before), ref):
            return version
    return None


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
    remember(text, parsed.workshop)
    return text


def take_in(
    text: str | bytes, *, at: dt.datetime, who: str = "", what: str = "Workshop file taken in"
) -> Version:
    """Put a whole workshop file in the place of what there is; the old versions stay.

    The file is kept as it is, comments and all, until the next change.

    Raises
    ------
    WorkshopFileError
        With all that is wrong with the file; nothing was changed.
    """
    parsed = parse_with_lines(text, "workshop file")
    apply_recipes(parsed.workshop, source="workshop file", line_of=parsed.line_of)
    kept = text if isinstance(text, str) else decode(text)
    remember(kept, parsed.workshop)
    with writing(Kept.WORKSHOP):
        now = Version.objects.order_by("-number").first()
        if now is not None and now.text == kept:
            return now
        return _keep(now.number + 1 if now else 1, kept, what, at, who)


def undo(number: int, *, at: dt.datetime, who: str = "") -> Version:
    """Take back one change, whatever came after it: the entries it touched are as they were before.

    Undoing an undo does the change again; a change done again can be undone by its own number too.

    Raises
    ------
    NothingThereError
        There is no such change, it is the first, or it is undone already.
    ChangedMeanwhileError
        A later change touched the same entries; undo that one first.
    ChangeRefusedError
        Without the change something that came later breaks a rule.
    """
    with writing(Kept.WORKSHOP):
        version = _standing(number)
        before = Version.objects.get(pk=version.number - 1)
        now = Version.objects.order_by("-number").first()
        assert now is not None
        is_last = now.text == version.text
        text = before.text if is_last else checked_text(_without(now, before, version))
        return _keep(now.number + 1, text, _undone_words(version), at, who, version)


def _standing(number: int) -> Version:
    """The change of that number, or the one that did it again."""
    version = Version.objects.filter(pk=number).first()
    if version is None or number == 1:
        raise NothingThereError(f"change {number} can't be undone: there is nothing before it")
    while (by := getattr(version, "undone_by", None)) is not None:
        again: Version | None = getattr(by, "undone_by", None)
        if again is None:
            raise NothingThereError(f"change {number} is undone already; undo change {by.number} to redo it")
        version = again
    return version


def _without(now: Version, before: Version, version: Version) -> Workshop:
    try:
        return without_change(workshop_of(now), workshop_of(before), workshop_of(version))
    except TouchedLaterError as error:
        raise ChangedMeanwhileError(error.ref, _changed_by(error.ref, now)) from None


def _undone_words(version: Version) -> str:
    """``Undone: WHAT``, and for the undoing of that ``Done again: WHAT``."""
    depth, first = 1, version
    while first.undoes is not None:
        depth, first = depth + 1, first.undoes
    return f"{'Undone' if depth % 2 else 'Done again'}: {first.what}"


def _keep(
    number: int, text: str, what: str, at: dt.datetime, who: str, undoes: Version | None = None
) -> Version:
    packed = zlib.compress(text.encode())
    return Version.objects.create(
        number=number, at=at, who=who[:60], what=what[:300], packed=packed, undoes=undoes
    )
