"""What must hold between a recipe and the library: names, cautions, places, and no going in circles."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from graphlib import CycleError, TopologicalSorter
from typing import Protocol, TypeAlias

from onceapart.trade.library import Library
from onceapart.trade.placing import places_of, spots
from onceapart.trade.schema import AccessWork, Condition, Defined, Per, Recipe, Ref
from onceapart.workshop import PLACES
from onceapart.workshop.tree import Loc
from onceapart.workshop.values import nearest

Found: TypeAlias = tuple[Loc, object, str, str]
"""Place in the file, value, rule and way out."""


class _HasId(Protocol):
    @property
    def id(self) -> str: ...


def check_recipe(recipe: Recipe) -> Iterator[Found]:
    """Everything wrong with a recipe that its schema does not see."""
    library = Library([recipe.defines])
    yield from _check_defined(recipe.defines, library)
    yield from _unknown(("access",), recipe.access, library.access, placed=True)
    yield from _unknown(("tools",), recipe.tools, library.tools)
    yield from _unknown(("aftercare",), recipe.aftercare, library.aftercare, placed=True)
    yield from _unknown(("release",), recipe.release, library.release, placed=True)
    yield from _unknown_names(("cautions",), recipe.cautions, library.cautions)
    yield from _twice(("operations",), recipe.operations)
    yield from _twice(("fasteners",), recipe.fasteners)
    yield from _twice(("measurements",), recipe.measurements)
    yield from _check_during(recipe)
    yield from _check_cautions(recipe, library)
    yield from _check_places(recipe, library)


def _check_during(recipe: Recipe) -> Iterator[Found]:
    """A measurement is taken in an operation that is there."""
    operations = [one.id for one in recipe.operations]
    for index, one in enumerate(recipe.measurements):
        if one.during is not None and one.during not in operations:
            near = nearest(one.during, operations)
            way_out = f"did you mean {near}?" if near else f"use one of {', '.join(operations)}"
            yield ("measurements", index, "during"), one.during, "there is no operation with this id", way_out


def _check_cautions(recipe: Recipe, library: Library) -> Iterator[Found]:
    """Work on a system carries each caution that is for that system."""
    for caution in library.cautions.values():
        systems = [system for system in recipe.touches if system in caution.for_systems]
        if systems and caution.id not in recipe.cautions:
            rule = f"work on {' and '.join(systems)} carries the caution {caution.id} ({caution.title})"
            yield ("cautions",), "", rule, f"add {caution.id} to `cautions`"


def _check_places(recipe: Recipe, library: Library) -> Iterator[Found]:
    """What is there once a corner or an axle has to be at a place that has one."""
    wanted: list[tuple[Loc, str, Per, str | None, Condition]] = []
    for index, operation in enumerate(recipe.operations):
        loc: Loc = ("operations", index, "per")
        wanted.append((loc, operation.id, operation.per, None, operation.when))
    for role, part in recipe.parts.items():
        wanted.append((("parts", role, "per"), role, part.per, None, part.when))
    for index, ref in enumerate(recipe.access):
        prefix, name = split_place(ref.id)
        if name in library.access:
            wanted.append((("access", index), ref.id, library.access[name].at, prefix, ref.when))
    for loc, name, per, prefix, condition in wanted:
        elsewhere = places_of(tuple(place for when in condition for place in when.place))
        for place in elsewhere or places_of(recipe.places):
            if place in places_of(recipe.places) and not spots(per, prefix or place):
                rule = f"{name} is one a {per}, and {prefix or place} has no {per}"
                yield loc, "", rule, f"say at which place, as in front/{name}, or do it at other places"
                break


def _check_defined(defined: Defined, library: Library) -> Iterator[Found]:
    shared = Library()
    sections: tuple[tuple[str, Iterable[_HasId], Collection[str]], ...] = (
        ("access", defined.access, shared.access),
        ("aftercare", defined.aftercare, shared.aftercare),
        ("cautions", defined.cautions, shared.cautions),
        ("tools", defined.tools, shared.tools),
        ("release", defined.release, shared.release),
    )
    for section, entries, taken in sections:
        loc: Loc = ("defines", section)
        yield from _twice(loc, entries)
        for index, entry in enumerate(entries):
            if entry.id in taken:
                rule = "the library has an entry with this id"
                yield (*loc, index, "id"), entry.id, rule, "give it another id, or use the library's"
    yield from check_access(defined.access, library, ("defines", "access"))


def check_together(recipes: Iterable[Recipe]) -> Iterator[tuple[str, str, str]]:
    """Entries that two recipes define differently under one id: the two recipes and the id."""
    first: dict[tuple[str, str], tuple[str, object]] = {}
    for recipe in recipes:
        for section in Defined.model_fields:
            for entry in getattr(recipe.defines, section):
                by, before = first.setdefault((section, entry.id), (recipe.id, entry))
                if before != entry:
                    yield by, recipe.id, f"{section}/{entry.id}"


def check_access(entries: Sequence[AccessWork], library: Library, loc: Loc) -> Iterator[Found]:
    """Names in access entries that are not there, and `under` that leads back to itself."""
    for index, entry in enumerate(entries):
        at = (*loc, index)
        yield from _unknown((*at, "under"), entry.under, library.access, placed=True)
        yield from _unknown((*at, "tools"), entry.tools, library.tools)
        yield from _unknown((*at, "aftercare"), entry.aftercare, library.aftercare, placed=True)
        yield from _unknown((*at, "release"), entry.release, library.release, placed=True)
        yield from _unknown_names((*at, "cautions"), entry.cautions, library.cautions)
        yield from _twice((*at, "fasteners"), entry.fasteners)
    graph = {one.id: [split_place(ref.id)[1] for ref in one.under] for one in library.access.values()}
    try:
        TopologicalSorter(graph).prepare()
    except CycleError as error:
        ring = list(reversed(error.args[1]))
        at = next(((*loc, index, "under") for index, one in enumerate(entries) if one.id in ring), loc)
        yield at, " > ".join(ring), "`under` leads back to where it started", "take one of these steps out"


def split_place(name: str) -> tuple[str | None, str]:
    """A name as recipes write it, taken apart: the place it may start with, and the rest.

    >>> split_place("front/undertray"), split_place("wheel")
    (('front', 'undertray'), (None, 'wheel'))
    """
    head, _, rest = name.partition("/")
    return (head, rest) if rest and head in PLACES else (None, name)


def _unknown(
    loc: Loc, refs: Iterable[Ref], known: Mapping[str, object], *, placed: bool = False
) -> Iterator[Found]:
    names = [split_place(ref.id)[1] if placed else ref.id for ref in refs]
    yield from _unknown_names(loc, names, known)
    seen = set()
    for index, ref in enumerate(refs):
        if (ref.id, ref.when) in seen:
            yield (*loc, index), ref.id, "it is named twice", "keep one of the two"
        seen.add((ref.id, ref.when))


def _unknown_names(loc: Loc, names: Iterable[str], known: Mapping[str, object]) -> Iterator[Found]:
    for index, name in enumerate(names):
        if name not in known:
            near = nearest(name, sorted(known))
            way_out = f"did you mean {near}?" if near else f"use another, or add it to `defines: {loc[-1]}`"
            yield (*loc, index), name, "there is no such entry in the library", way_out


def _twice(loc: Loc, entries: Iterable[_HasId]) -> Iterator[Found]:
    seen: set[str] = set()
    for index, entry in enumerate(entries):
        if entry.id in seen:
            yield (*loc, index, "id"), entry.id, "another entry has this id", "give each an id of its own"
        seen.add(entry.id)
