"""Rule packs by id, and those of one's own: read, laid over the pack they extend, and checked."""

from __future__ import annotations

import os
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from functools import cache
from importlib.resources import files
from importlib.resources.abc import Traversable
from pathlib import Path

from onceapart.errors import Problem, TradeDataError
from onceapart.trade.datafile import DataFile
from onceapart.trade.rules.merging import Section, lay_over
from onceapart.trade.rules.schema import (
    Item,
    ItemSystem,
    Pack,
    PackHead,
    PackPart,
    Rule,
)
from onceapart.workshop.values import nearest

GUIDE = "docs/rules.md"
HEAD = "pack.yaml"
"""The first file of a pack that is kept in a folder."""
SYSTEMS: tuple[str, ...] = ItemSystem.__args__  # type: ignore[attr-defined]


@dataclass
class Assembled:
    """A pack, and its entries as they were written, for packs that extend it and for checking it."""

    pack: Pack
    head: DataFile
    items: Section[Item] = field(default_factory=Section)
    rules: Section[Rule] = field(default_factory=Section)


def pack_ids() -> tuple[str, ...]:
    """Ids of the packs that come with the program, in the order of the alphabet.

    >>> "us-570" in pack_ids()
    True
    """
    return tuple(sorted(_pack_files()))


def load_pack(pack_id: str) -> Pack:
    """One of the packs that come with the program, with all that it extends.

    Parameters
    ----------
    pack_id : str
        One of ``pack_ids()``.

    Returns
    -------
    Pack
        Frozen; the same object each time.

    Raises
    ------
    TradeDataError
        If there is no such pack, or a file of it breaks the schema.

    Examples
    --------
    >>> load_pack("us-570-ohio").lineage
    ('us-570-ohio', 'us-570', 'items')
    """
    return shipped(pack_id).pack


def load_pack_file(path: str | os.PathLike[str]) -> Pack:
    """A pack of one's own, in the form of docs/rules.md.

    Parameters
    ----------
    path : str or path-like
        A YAML file of at most 200 kB.

    Returns
    -------
    Pack

    Raises
    ------
    TradeDataError
        With all problems of the file at once: what is no YAML or breaks the schema; items, words, sources,
        facts, cautions and recipes that are not there; units that do not fit; cures that do not suit.
    """
    from onceapart.trade.rules.checking import check_pack

    source = os.fspath(path)
    data = DataFile(Path(source), source, GUIDE)
    base, problems = _base_of(data)
    own = data.root.get("id")
    if isinstance(own, str) and own in _pack_files():
        way_out = "give it an id of its own, and the shipped one as `extends` to change that"
        problems.append(data.problem(("id",), own, "a pack that is shipped has this id", way_out))
    assembled, more = _assemble([data], base, partial=bool(problems))
    problems += more
    if assembled is not None:
        problems += check_pack(assembled)
    if problems or assembled is None:
        raise data.error(dict.fromkeys(problems))
    return assembled.pack


@cache
def shipped(pack_id: str) -> Assembled:
    """A shipped pack with its entries as they were written; raises TradeDataError as ``load_pack`` does."""
    found = _pack_files().get(pack_id)
    if found is None:
        problem = Problem(None, "pack", pack_id, *unknown_pack(pack_id))
        raise TradeDataError("rule packs", [problem])
    paths = [found]
    if found.name == HEAD:
        folder = files("onceapart.trade") / "packs" / pack_id
        more = [one for one in folder.iterdir() if one.name.endswith(".yaml") and one.name != HEAD]
        paths += sorted(more, key=lambda one: one.name)
    read = [DataFile(path, f"packs/{pack_id} ({path.name})", GUIDE) for path in paths]
    for part in read[1:]:
        named = part.checked(PackPart)
        if named.part_of != pack_id:
            problem = part.problem(
                ("part-of",), named.part_of, f"it lies in the folder of {pack_id}", "move it"
            )
            raise part.error([problem])
    base, problems = _base_of(read[0])
    # What it names is there, as the tests check; looking it up would read every recipe.
    assembled, more_problems = _assemble(read, base, partial=bool(problems))
    if problems or more_problems or assembled is None:
        raise read[0].error([*problems, *more_problems])
    return assembled


def unknown_pack(pack_id: str) -> tuple[str, str]:
    """Rule and way out for a pack that is not there, with the one that may have been meant."""
    known = pack_ids()
    near = nearest(pack_id, known) or next((one for one in known if pack_id and pack_id in one), "")
    way_out = f"did you mean {near}?" if near else f"use one of {', '.join(known)}"
    return "there is no rule pack with this id", way_out


@cache
def _pack_files() -> dict[str, Traversable]:
    """Pack id -> its file, or the first file of its folder."""
    folder = files("onceapart.trade") / "packs"
    found = {}
    for one in folder.iterdir():
        if one.name.endswith(".yaml"):
            found[one.name.removesuffix(".yaml")] = one
        elif (one / HEAD).is_file():
            found[one.name] = one / HEAD
    return found


def _base_of(data: DataFile) -> tuple[Assembled | None, list[Problem]]:
    """The pack that a file extends, if it does."""
    wanted = data.root.get("extends")
    if not isinstance(wanted, str):
        return None, []  # a list or map there is refused by the schema
    if wanted not in _pack_files():
        return None, [data.problem(("extends",), wanted, *unknown_pack(wanted))]
    return shipped(wanted), []


def _assemble(
    read: Sequence[DataFile], base: Assembled | None, *, partial: bool
) -> tuple[Assembled | None, list[Problem]]:
    """The files of one pack laid over the pack it extends; no pack if its head is no good."""
    data = read[0]
    head, problems = data.read(PackHead, data.root)
    items = base.items.extended() if base else Section[Item]()
    rules = base.rules.extended() if base else Section[Rule]()
    name = base.pack.id if base else None
    problems += lay_over(items, Item, "items", read, name, partial=partial)
    for rule_id in [one for one, rule in rules.checked.items() if rule.item in items.dropped]:
        del rules.checked[rule_id]  # its item is gone
    problems += lay_over(rules, Rule, "rules", read, name, partial=partial)
    if head is None:
        return None, problems
    before = base.pack if base else None
    ordered = sorted(items.checked.values(), key=lambda item: SYSTEMS.index(item.system))
    place = {item.id: at for at, item in enumerate(ordered)}
    pack = Pack(
        id=head.id,
        title=head.title,
        about=head.about,
        extends=head.extends,
        lineage=(head.id, *(before.lineage if before else ())),
        notes=(*head.notes, *(before.notes if before else ())),
        sources={**(before.sources if before else {}), **head.sources},
        facts={**(before.facts if before else {}), **head.facts},
        cautions=tuple(
            {one.id: one for one in (*(before.cautions if before else ()), *head.cautions)}.values()
        ),
        items=tuple(ordered),
        rules=tuple(sorted(rules.checked.values(), key=lambda rule: place.get(rule.item, len(place)))),
    )
    return Assembled(pack, data, items, rules), problems


def problems_of_shipped(pack_id: str) -> Iterator[Problem]:
    """What names, units and cures of a shipped pack are wrong; the tests hold it to nothing."""
    from onceapart.trade.rules.checking import check_pack

    yield from check_pack(shipped(pack_id))
