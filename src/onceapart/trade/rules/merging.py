"""Entries of a pack laid over those of the pack it extends: only the keys that are given replace others."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from typing import Any, Generic, TypeVar

from onceapart.errors import Problem
from onceapart.trade.datafile import DataFile
from onceapart.trade.rules.schema import Item, Rule
from onceapart.workshop.tree import Loc, RawList, RawMap
from onceapart.workshop.values import nearest

Entry = TypeVar("Entry", Item, Rule)

ONE_OF: dict[str, tuple[frozenset[str], ...]] = {
    "items": (frozenset({"quantity", "unit", "plausible", "wears"}), frozenset({"words"})),
    "rules": (frozenset({"below"}), frozenset({"above"}), frozenset({"seen"})),
}
"""Groups of keys of which an entry has one: giving a key of one group takes the others' out."""
ADDED_TO = frozenset({"words"})
"""Keys that hold a map which is added to, word by word."""


@dataclass(frozen=True)
class Here:
    """Where an entry stands: in which file, and where in it."""

    data: DataFile
    loc: Loc

    def problem(self, more: Loc, value: object, rule: str, way_out: str) -> Problem:
        """A problem at the entry, or at something in it."""
        return self.data.problem((*self.loc, *more), value, rule, way_out)


@dataclass
class Section(Generic[Entry]):
    """All entries of one kind: checked, as they were written, and where those of the pack itself stand."""

    checked: dict[str, Entry] = field(default_factory=dict)
    raw: dict[str, Mapping[str, Any]] = field(default_factory=dict)
    own: dict[str, Here] = field(default_factory=dict)
    dropped: set[str] = field(default_factory=set)

    def extended(self) -> Section[Entry]:
        """A copy to lay further entries over."""
        return Section(dict(self.checked), dict(self.raw))


def lay_over(
    section: Section[Entry],
    model: type[Entry],
    kind: str,
    files: Iterable[DataFile],
    base: str | None,
    *,
    partial: bool = False,
) -> Iterator[Problem]:
    """Put the entries of some files into a section; what is wrong with them comes out.

    Parameters
    ----------
    section : Section
        With the entries of the pack that is extended; changed.
    model : type of Item or Rule
    kind : {"items", "rules"}
    files : iterable of DataFile
    base : str or None
        Id of the pack that is extended.
    partial : bool
        The pack that is extended can't be had, so that nothing is said about keys that are missing.
    """
    before = frozenset(section.raw)
    for data in files:
        entries = data.root.get(kind)
        if not isinstance(entries, RawList):
            continue  # said by the head of the file
        for index, raw in enumerate(entries):
            here = Here(data, (kind, index))
            name = raw.get("id") if isinstance(raw, RawMap) else None
            if isinstance(name, str) and (name in section.own or name in section.dropped):
                yield here.problem(("id",), name, "another entry has this id", "give each an id of its own")
                continue
            if isinstance(raw, RawMap) and "drop" in raw:
                yield from _drop(section, raw, here, base, before, quiet=partial)
                continue
            inherited = section.raw.get(name, {}) if isinstance(name, str) else {}
            merged = _merged(raw, inherited, kind)
            found, problems = data.read(model, merged, here.loc)
            if found is None:
                if base and not inherited and isinstance(name, str) and isinstance(raw, RawMap):
                    problems = _with_hint(problems, name, kind, base, before)
                yield from (one for one in problems if not (partial and one.rule.endswith("is missing")))
                if isinstance(name, str) and not inherited:
                    section.own.setdefault(name, here)  # so that a second one is said to be that
                continue
            section.checked[found.id] = found
            section.raw[found.id] = merged if isinstance(merged, Mapping) else {}
            section.own[found.id] = here


def _merged(raw: Any, inherited: Mapping[str, Any], kind: str) -> Any:
    """An entry with the keys of the one it replaces that it does not give."""
    if not inherited or not isinstance(raw, RawMap):
        return raw
    given = [group for group in ONE_OF[kind] if group & raw.keys()]
    ruled_out = {key for group in ONE_OF[kind] if given and group not in given for key in group}
    merged = RawMap(raw.line)
    merged.update({key: value for key, value in inherited.items() if key not in ruled_out})
    for key, value in raw.items():
        if key in ADDED_TO and isinstance(value, RawMap) and isinstance(merged.get(key), Mapping):
            value = {**merged[key], **value}
        merged[key] = value
    return merged


def _drop(
    section: Section[Entry],
    raw: RawMap,
    here: Here,
    base: str | None,
    before: frozenset[str],
    *,
    quiet: bool,
) -> Iterator[Problem]:
    name = raw.get("id")
    if raw["drop"] not in ("true", "True", "TRUE"):
        way_out = "write `drop: true`, or take it out"
        yield here.problem(("drop",), raw["drop"], "an entry is dropped or it is not", way_out)
        return
    for key in raw:
        if key not in ("id", "drop"):
            rule = "an entry that is dropped has nothing but its id"
            yield here.problem((key,), key, rule, "take this out, or `drop`")
    if not isinstance(name, str):
        yield here.problem((), "", "`id` is missing", "say what to drop")
    elif name in before:
        section.checked.pop(name, None)
        section.raw.pop(name, None)
        section.dropped.add(name)
    elif base is None and not quiet:
        rule = "only what comes from another pack can be dropped"
        yield here.problem(("drop",), name, rule, "take the entry out, or say which pack this one `extends`")
    elif not quiet:
        near = nearest(name, sorted(before))
        way_out = f"did you mean {near}?" if near else "take the entry out"
        yield here.problem(("id",), name, f"{base} has nothing with this id to drop", way_out)


def _with_hint(
    problems: list[Problem], name: str, kind: str, base: str, before: frozenset[str]
) -> list[Problem]:
    """An entry that lacks much and is near another by its id was most likely meant to change that one."""
    near = nearest(name, sorted(before))
    missing = [one for one in problems if one.rule.endswith("is missing")]
    if not missing:
        return problems
    first = missing[0]
    if near:
        rule = f"{base} has no {kind[:-1]} with this id whose other keys it could take over"
        hint = Problem(
            first.line, f"{first.where.rpartition('.')[0]}.id", name, rule, f"did you mean {near}?"
        )
        return [hint, *(one for one in problems if one not in missing)]
    lacking = ", ".join(one.rule.split("`")[1] for one in missing)
    rule = f"{base} has no {kind[:-1]} with this id, and a new one needs {lacking}, too"
    hint = Problem(
        first.line, f"{first.where.rpartition('.')[0]}.id", name, rule, "check the id, or add them"
    )
    return [hint, *(one for one in problems if one not in missing)]
