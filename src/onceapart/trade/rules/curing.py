"""Whether the recipe of a cure can be done wherever the item may be found."""

from __future__ import annotations

from collections.abc import Iterator
from functools import cache
from itertools import product

from onceapart.trade.library import load_recipe, recipe_ids, unknown_recipe
from onceapart.trade.placing import AXLES, condition_in_words, holds, places_of, suits
from onceapart.trade.rules.schema import Cure, Item
from onceapart.trade.schema import Recipe
from onceapart.workshop import CORNERS, Layout, axle_of
from onceapart.workshop.tree import Loc
from onceapart.workshop.values import nearest

Found = tuple[Loc, object, str, str]


def places_of_item(item: Item) -> tuple[str, ...]:
    """Places that an item has on a car of which nothing is known.

    Parameters
    ----------
    item : Item

    Returns
    -------
    tuple of str
        The corners, the axles, or the one place of an item of the car as such.
    """
    if item.at == "corner":
        return CORNERS
    return AXLES if item.at == "axle" else (item.place,)


def places_of_cure(cure: Cure, found_at: str) -> tuple[str, ...]:
    """Places at which a cure's recipe is done for an item found at a place.

    Parameters
    ----------
    cure : Cure
    found_at : str
        A corner, an axle or the place of an item of the car as such.

    Returns
    -------
    tuple of str
        The corner found, both corners of its axle if the cure is done in pairs or an axle was found, its
        axle, or the place of a job of the car as such. None if the item has no corner or axle.
    """
    axle = axle_of(found_at)
    if cure.at == "car":
        return (cure.place,)
    if axle is None:
        return ()
    if cure.at == "axle":
        return (axle,)
    if cure.pair or found_at == axle:
        return tuple(corner for corner in CORNERS if axle_of(corner) == axle)
    return (found_at,)


def check_cures(item: Item) -> Iterator[Found]:
    """What is wrong with the cures of an item."""
    for index, cure in enumerate(item.cures):
        at: Loc = ("cures", index)
        for number, word in enumerate(cure.for_):
            if word not in item.words:
                near = nearest(word, sorted(item.words))
                way_out = f"did you mean {near}?" if near else "take it out"
                yield (*at, "for", number), word, f"{item.id} has no such word", way_out
        if cure.recipe not in recipe_ids():
            yield (*at, "recipe"), cure.recipe, *unknown_recipe(cure.recipe)
        elif cure.at != "car" and item.at == "car":
            what = f"{item.id} is an item of the car, and its cure has no {cure.at}"
            yield (*at, "at"), cure.at, what, "write `at: car`, and the `place` of the job"
        else:
            yield from _check_fits(item, cure, load_recipe(cure.recipe), at)


def _check_fits(item: Item, cure: Cure, recipe: Recipe, at: Loc) -> Iterator[Found]:
    """Wherever the item and the condition of its cure hold, the recipe suits."""
    there = places_of(recipe.places)
    ever = False
    for found_at in places_of_item(item):
        for layout in _layouts(axle_of(found_at) if cure.at != "car" else None):
            if not (suits(item.suits, layout, found_at) and holds(cure.when, layout, found_at, found_at)):
                continue
            ever = True
            for place in places_of_cure(cure, found_at):
                if place not in there:
                    what = f"the recipe {recipe.id} is not done at {place}"
                    way_out = f"use {', '.join(recipe.places)}, or add a `when`"
                    yield (*at, "at"), cure.at, what, way_out
                    return
                if not suits(recipe.suits, layout, place):
                    what = f"the recipe {recipe.id} is for {condition_in_words(recipe.suits)} only"
                    way_out = f"add the same as `when` of the cure, or as `suits` of {item.id}"
                    yield at, found_at, what, way_out
                    return
            if not recipe.suits:
                break  # one car will do, as the recipe is for any
    if not ever:
        yield at, "", "there is no car and place for this cure", "check its `when`"


@cache
def _layouts(axle: str | None) -> tuple[Layout, ...]:
    """All ways a car can be built, or only those that differ on one axle."""
    fronts, rears = (
        ("strut", "double-wishbone"),
        ("beam", "strut", "double-wishbone", "live-axle", "trailing-arm"),
    )
    kinds = ("disc", "drum")
    return tuple(
        Layout.model_validate(
            {
                "drive": drive,
                "front-brakes": front_brakes,
                "rear-brakes": rear_brakes,
                "front-suspension": front,
                "rear-suspension": rear,
                "fuel": fuel,
            }
        )
        for drive, front_brakes, rear_brakes, front, rear, fuel in product(
            ("front", "rear", "all") if axle is None else ("front", "rear"),
            kinds if axle != "rear" else kinds[:1],
            kinds if axle != "front" else kinds[:1],
            fronts if axle != "rear" else fronts[:1],
            rears if axle != "front" else rears[:1],
            ("petrol", "diesel"),
        )
    )
