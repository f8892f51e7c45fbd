"""A recipe fitted to a place of a car: what of it is done there, how often, and under which ids."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from itertools import groupby
from typing import Generic, NamedTuple, TypeVar

from onceapart.trade.checking import split_place
from onceapart.trade.library import Library
from onceapart.trade.placing import (
    holds,
    narrowed,
    placed_id,
    places_of,
    spots,
    suits,
)
from onceapart.trade.schema import (
    NO_MINUTES,
    AccessWork,
    AftercareWork,
    Fastener,
    Measurement,
    Operation,
    Recipe,
    Ref,
    ReleaseCheck,
    Spread,
)
from onceapart.workshop import Layout

T = TypeVar("T")
Sited = TypeVar("Sited", AccessWork, AftercareWork, ReleaseCheck)


class Placed(NamedTuple, Generic[T]):
    """An entry of the library at a place of the car; ``all`` is the car as such."""

    id: str
    """With car and place, as in ``wren/front-left/wheel``."""
    place: str
    what: T


@dataclass(frozen=True)
class FittedRecipe:
    """What a recipe means at one place of one car.

    ``minutes`` are for the job alone, without access and aftercare; ``access`` names what the job itself
    asks for, not what that is under. [min]
    """

    recipe: Recipe
    car: str
    place: str
    layout: Layout
    minutes: Spread
    operations: tuple[Placed[Operation], ...]
    access: tuple[str, ...]
    parts: dict[str, int]
    tools: tuple[str, ...]
    aftercare: tuple[str, ...]
    fasteners: tuple[Placed[Fastener], ...]
    measurements: tuple[Placed[Measurement], ...]
    release: tuple[Placed[ReleaseCheck], ...]


def fit_recipe(
    recipe: Recipe, car: str, place: str, layout: Layout | None = None, library: Library | None = None
) -> FittedRecipe:
    """Work a recipe out for a place of a car.

    Parameters
    ----------
    recipe : Recipe
        Shipped or one's own.
    car : str
        Id of the car, put before every id.
    place : str
        One of ``workshop.PLACES`` that suits the recipe (see ``why_not``); at any other, what the recipe
        has for that place, which may be nothing.
    layout : Layout, optional
        How the car is built; by default as a ``Layout`` is by default.
    library : Library, optional
        The shared data; by default with what the recipe defines itself.

    Returns
    -------
    FittedRecipe

    Examples
    --------
    >>> from onceapart.trade import load_recipe
    >>> fitted = fit_recipe(load_recipe("brake-pads"), "wren", "front")
    >>> fitted.parts, fitted.access
    ({'wren/front/brake-pad-set': 1}, ('wren/front-left/caliper', 'wren/front-right/caliper'))
    """
    layout = layout or Layout()
    library = library or Library([recipe.defines])
    operations = tuple(_in_working_order(recipe, car, place, layout))
    return FittedRecipe(
        recipe=recipe,
        car=car,
        place=place,
        layout=layout,
        minutes=sum((one.what.minutes for one in operations), NO_MINUTES),
        operations=operations,
        access=tuple(one.id for one in _refs(recipe.access, library.access, car, place, place, layout)),
        parts=_parts(recipe, car, place, layout),
        tools=unique(ref.id for ref in recipe.tools if holds(ref.when, layout, place, place)),
        aftercare=tuple(
            one.id for one in _refs(recipe.aftercare, library.aftercare, car, place, place, layout)
        ),
        fasteners=tuple(
            Placed(placed_id(car, spot, one.id), spot, one)
            for one in recipe.fasteners
            for spot in spots(one.per, place)
            if holds(one.when, layout, spot, place)
        ),
        measurements=tuple(
            Placed(placed_id(car, spot, one.id), spot, one)
            for one in recipe.measurements
            for spot in spots(one.per, place)
            if holds(one.when, layout, spot, place)
        ),
        release=_refs(recipe.release, library.release, car, place, place, layout),
    )


def why_not(recipe: Recipe, place: str | None, layout: Layout) -> str | None:
    """Why a recipe can't be done at a place: ``place`` or ``layout``; None if it can."""
    if place not in places_of(recipe.places):
        return "place"
    return None if suits(recipe.suits, layout, place) else "layout"


def suited_places(recipe: Recipe, layout: Layout) -> tuple[str, ...]:
    """Places of a car so built that a recipe can be done at."""
    return tuple(place for place in places_of(recipe.places) if suits(recipe.suits, layout, place))


@dataclass(frozen=True)
class FittedAccess:
    """One access at its place, with the ids of what it is under and what it asks for."""

    id: str
    place: str
    work: AccessWork
    under: tuple[str, ...]
    aftercare: tuple[str, ...]
    tools: tuple[str, ...]
    release: tuple[Placed[ReleaseCheck], ...]


def fit_access(access_id: str, car: str, layout: Layout, library: Library) -> FittedAccess | None:
    """The library's access of an id such as ``wren/front-left/wheel``; None if it has none for that place.

    Whether the access suits the car's layout is not asked here (see ``placing.suits``).
    """
    found = _taken_apart(access_id, car)
    if found is None:
        return None
    place, name = found
    work = library.access.get(name)
    if work is None or spots(work.at, place) != (place,):
        return None
    return FittedAccess(
        id=access_id,
        place=place,
        work=work,
        under=tuple(one.id for one in _refs(work.under, library.access, car, place, place, layout)),
        aftercare=tuple(
            one.id for one in _refs(work.aftercare, library.aftercare, car, place, place, layout)
        ),
        tools=unique(ref.id for ref in work.tools if holds(ref.when, layout, place, place)),
        release=_refs(work.release, library.release, car, place, place, layout),
    )


def fit_aftercare(aftercare_id: str, car: str, library: Library) -> AftercareWork | None:
    """The library's aftercare of an id such as ``wren/wheel-alignment``; None if it has none."""
    found = _taken_apart(aftercare_id, car)
    work = library.aftercare.get(found[1]) if found else None
    return work if work and found and spots(work.at, found[0]) == (found[0],) else None


def all_access(fitted: FittedRecipe, library: Library | None = None) -> tuple[FittedAccess, ...]:
    """Everything that comes off for a recipe, what comes off first in front."""
    library = library or Library([fitted.recipe.defines])
    found: dict[str, FittedAccess] = {}

    def take(access_id: str) -> None:
        if access_id in found:
            return
        access = fit_access(access_id, fitted.car, fitted.layout, library)
        if access is None:
            return
        for under in access.under:
            take(under)
        found[access_id] = access

    for access_id in fitted.access:
        take(access_id)
    return tuple(found.values())


def unique(names: Iterable[str]) -> tuple[str, ...]:
    """Names without the later of two that are the same."""
    return tuple(dict.fromkeys(names))


def _taken_apart(full_id: str, car: str) -> tuple[str, str] | None:
    """Place and name in an id of a car; ``all`` where no place is written."""
    if not full_id.startswith(f"{car}/"):
        return None
    place, name = split_place(full_id.removeprefix(f"{car}/"))
    return place or "all", name


def _in_working_order(recipe: Recipe, car: str, place: str, layout: Layout) -> Iterator[Placed[Operation]]:
    """Operations one after another; those of a corner are done together before the next corner."""
    for per, run in groupby(recipe.operations, key=lambda operation: operation.per):
        together = tuple(run)
        for spot in spots(per, place):
            for operation in together:
                if holds(operation.when, layout, spot, place):
                    yield Placed(placed_id(car, spot, operation.id), spot, operation)


def _parts(recipe: Recipe, car: str, place: str, layout: Layout) -> dict[str, int]:
    """Pieces by part id."""
    parts: dict[str, int] = {}
    for role, part in recipe.parts.items():
        for spot in spots(part.per, place):
            if holds(part.when, layout, spot, place):
                part_id = placed_id(car, narrowed(part.named, spot), role)
                parts[part_id] = parts.get(part_id, 0) + part.pieces
    return parts


def _refs(
    refs: Iterable[Ref],
    known: Mapping[str, Sited],
    car: str,
    spot: str,
    place: str,
    layout: Layout,
) -> tuple[Placed[Sited], ...]:
    """Entries named, each at every spot it is there for."""
    found: dict[str, Placed[Sited]] = {}
    for ref in refs:
        prefix, name = split_place(ref.id)
        entry = known.get(name)
        if entry is None:
            continue
        for at in spots(entry.at, prefix or spot):
            if holds(ref.when, layout, spot if at == "all" else at, place):
                full_id = placed_id(car, at, name)
                found.setdefault(full_id, Placed(full_id, at, entry))
    return tuple(found.values())
