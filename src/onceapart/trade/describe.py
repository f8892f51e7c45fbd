"""Telling what a recipe holds: as data, in one line, and in full as plain text."""

from __future__ import annotations

import textwrap
from collections.abc import Iterable, Iterator
from typing import Any

from onceapart.trade.fitting import FittedAccess, FittedRecipe, all_access, fit_recipe, suited_places, unique
from onceapart.trade.library import Library
from onceapart.trade.placing import condition_in_words
from onceapart.trade.schema import NO_MINUTES, Condition, Fastener, Recipe, Spread
from onceapart.workshop import Layout

USUAL_LAYOUTS = (Layout(), Layout(drive="rear", rear_suspension="live-axle"))
"""The small old hatchback, and the old saloon with its engine in front and its drive behind."""

_PER = {"corner": "each corner", "axle": "each axle", "car": "the car", "job": "the job"}


def describe_recipe(recipe: Recipe, layout: Layout | None = None) -> dict[str, Any]:
    """Everything a recipe says, with what its names stand for, as maps, lists, text and numbers.

    Parameters
    ----------
    recipe : Recipe
        Shipped or one's own.
    layout : Layout, optional
        How the car is built that the example is worked out for; by default as a ``Layout`` is, or where the
        recipe suits no such car, with rear drive and a live axle.

    Returns
    -------
    dict
        Fit for JSON. ``example`` is the recipe at the first place that suits it on a car so built, ids
        without the car; None if no place suits. Minutes come as good, typical and bad. Cautions and release
        checks take in those of what comes off in the example. Every figure has its ``basis``. [min]
    """
    layout = layout or _usual_layout(recipe)
    library = Library([recipe.defines])
    places = suited_places(recipe, layout)
    fitted = fit_recipe(recipe, "car", places[0], layout, library) if places else None
    access = all_access(fitted, library) if fitted else ()
    return {
        "id": recipe.id,
        "title": recipe.title,
        "cures": recipe.cures,
        "basis": recipe.basis,
        "places": list(recipe.places),
        "suits": condition_in_words(recipe.suits),
        "touches": list(recipe.touches),
        "example": _example(fitted, access, library) if fitted else None,
        "operations": [
            {
                "id": one.id,
                "do": one.do,
                "per": one.per,
                "when": condition_in_words(one.when),
                "minutes": one.minutes.model_dump(),
                "basis": one.basis or recipe.basis,
            }
            for one in recipe.operations
        ],
        "parts": [
            {
                "role": role,
                "title": part.title,
                "pieces": part.pieces,
                "per": part.per,
                "named": part.named or part.per,
                "when": condition_in_words(part.when),
                "basis": part.basis or recipe.basis,
            }
            for role, part in recipe.parts.items()
        ],
        "fasteners": _fasteners(recipe, access),
        "tools": _tools(recipe, access, library),
        "hand_tools": list(recipe.hand_tools),
        "consumables": list(recipe.consumables),
        "cautions": [
            {"id": one.id, "title": one.title, "text": one.text}
            for one in library.cautions.values()
            if one.id in {*recipe.cautions, *(name for item in access for name in item.work.cautions)}
        ],
        "measurements": [
            {
                "id": one.id,
                "what": one.what,
                "quantity": one.quantity,
                "unit": one.unit,
                "per": one.per,
                "limit": one.limit,
            }
            for one in recipe.measurements
        ],
        "release": _release(recipe, access, library),
    }


def _usual_layout(recipe: Recipe) -> Layout:
    """The first of the two common old cars that a recipe suits somewhere."""
    return next((one for one in USUAL_LAYOUTS if suited_places(recipe, one)), USUAL_LAYOUTS[0])


def recipe_line(recipe: Recipe) -> str:
    """A recipe in one line: id, title and where it is done.

    >>> from onceapart.trade import load_recipe
    >>> recipe_line(load_recipe("cv-boot"))
    'cv-boot: CV boot (corner)'
    """
    return f"{recipe.id}: {recipe.title} ({', '.join(recipe.places)})"


def recipe_text(recipe: Recipe, layout: Layout | None = None, width: int = 80) -> str:
    """A recipe in full, as plain text of lines no wider than ``width``. [letters]"""
    told = describe_recipe(recipe, layout)
    title = f"{told['title']} ({told['id']})"
    lines = [*textwrap.wrap(title, width), *textwrap.wrap(told["cures"], width), ""]
    facts = [("Places", ", ".join(told["places"])), ("For", told["suits"]), ("Basis", told["basis"])]
    if told["touches"]:
        facts.insert(2, ("Touches", ", ".join(told["touches"])))
    lines += [line for name, fact in facts if fact for line in _item(fact, f"{name}: ", width)]
    for heading, items in _sections(told):
        shown = list(items)
        if shown:
            lines += ["", *textwrap.wrap(heading, width)]
            lines += [line for item in shown for line in _item(item, "  - ", width)]
    return "\n".join(lines) + "\n"


def _sections(told: dict[str, Any]) -> Iterator[tuple[str, Iterable[str]]]:
    """Headings, and what stands below each."""
    yield "Cautions", (f"{one['title']}: {one['text']}" for one in told["cautions"])
    yield (
        "Operations (minutes: good / typical / bad case)",
        (f"{one['do']} {_minutes(one['minutes'])}{_each(one)}" for one in told["operations"]),
    )
    example = told["example"]
    if example:
        at = example["place"]
        yield (
            f"Comes off first, at {at}",
            (f"{one['title']} ({one['id']}) {_minutes(one['minutes'])}" for one in example["access"]),
        )
        yield (
            f"Time in all, at {at}",
            [f"{_minutes(example['minutes'])} and {_minutes(example['access_minutes'])} for what comes off"],
        )
        yield f"Part ids, at {at}", (f"{name}: {pieces}" for name, pieces in example["parts"].items())
        yield (
            f"Aftercare, at {at}",
            (
                f"{one['title']} ({one['id']}) {one['minutes']['typical']} min, {one['price']}"
                for one in example["aftercare"]
            ),
        )
    yield "Parts", (f"{one['title']}: {one['pieces']}{_each(one)}" for one in told["parts"])
    yield "Special tools", (f"{one['title']} ({one['id']}){_if(one)}: {one['use']}" for one in told["tools"])
    yield "Other tools", told["hand_tools"]
    yield "Consumables", told["consumables"]
    yield (
        "Fasteners (likely to seize on a car with light / medium / heavy rust)",
        (
            f"{one['what']}, {one['thread']}, {one['drive']}: {_shares(one['seize'])}{_if(one)}"
            f"{', new ones go in' if one['renew'] else ''}"
            for one in told["fasteners"]
        ),
    )
    yield (
        "Measure while it is apart",
        (
            f"{one['what']} [{one['unit']}]" + (f"; limit: {one['limit']}" if one["limit"] else "")
            for one in told["measurements"]
        ),
    )
    yield "Before the car moves", (f"{one['title']}: {one['check']}" for one in told["release"])


def _example(fitted: FittedRecipe, access: tuple[FittedAccess, ...], library: Library) -> dict[str, Any]:
    aftercare = unique([*fitted.aftercare, *(name for one in access for name in one.aftercare)])
    works = [(name, library.aftercare[name.rpartition("/")[2]]) for name in aftercare]
    total = sum((one.work.minutes for one in access), NO_MINUTES)
    return {
        "place": fitted.place,
        "minutes": fitted.minutes.model_dump(),
        "access_minutes": total.model_dump(),
        "access": [
            {
                "id": _without_car(one.id),
                "title": one.work.title,
                "do": one.work.do,
                "minutes": one.work.minutes.model_dump(),
                "basis": one.work.basis or fitted.recipe.basis,
            }
            for one in access
        ],
        "parts": {_without_car(name): pieces for name, pieces in fitted.parts.items()},
        "tools": list(unique([*fitted.tools, *(name for one in access for name in one.tools)])),
        "aftercare": [
            {
                "id": _without_car(name),
                "title": work.title,
                "do": work.do,
                "minutes": work.minutes.model_dump(),
                "price": work.price,
                "basis": work.basis or fitted.recipe.basis,
            }
            for name, work in works
        ],
    }


def _fasteners(recipe: Recipe, access: tuple[FittedAccess, ...]) -> list[dict[str, Any]]:
    """Those of what comes off, each once, and then the recipe's own."""
    works = {one.work.id: one.work for one in access}
    found: list[tuple[Fastener, str]] = [
        (one, work.basis or recipe.basis) for work in works.values() for one in work.fasteners
    ]
    found += [(one, recipe.basis) for one in recipe.fasteners]
    return [
        {
            "id": one.id,
            "what": one.what,
            "thread": one.thread,
            "drive": one.drive,
            "count": one.count,
            "per": one.per,
            "renew": one.renew,
            "when": condition_in_words(one.when),
            "seize": one.seize.model_dump(),
            "basis": one.basis or basis,
        }
        for one, basis in found
    ]


def _tools(recipe: Recipe, access: tuple[FittedAccess, ...], library: Library) -> list[dict[str, str]]:
    """The recipe's special tools and those of what comes off, each once."""
    when: dict[str, Condition] = {ref.id: ref.when for ref in recipe.tools}
    when |= {name: () for item in access for name in item.tools}
    return [
        {"id": one.id, "title": one.title, "use": one.use, "when": condition_in_words(when[one.id])}
        for one in library.tools.values()
        if one.id in when
    ]


def _release(recipe: Recipe, access: tuple[FittedAccess, ...], library: Library) -> list[dict[str, str]]:
    """The recipe's checks and those of what comes off, each once, in the library's order."""
    named = {ref.id.rpartition("/")[2]: ref.when for ref in recipe.release}
    when: dict[str, Condition] = {one.what.id: () for item in access for one in item.release} | named
    return [
        {"id": one.id, "title": one.title, "check": one.check, "when": condition_in_words(when[one.id])}
        for one in library.release.values()
        if one.id in when
    ]


def _without_car(full_id: str) -> str:
    return full_id.partition("/")[2]


def _item(text: str, lead: str, width: int) -> list[str]:
    indent = " " * (len(lead) if lead.startswith(" ") else 2)
    return textwrap.wrap(lead + text, width, subsequent_indent=indent, break_on_hyphens=False)


def _minutes(minutes: dict[str, int]) -> str:
    spread = Spread(**minutes)
    return f"[{spread.good} / {spread.typical} / {spread.bad} min]"


def _shares(seize: dict[str, float]) -> str:
    return " / ".join(f"{share:.0%}" for share in seize.values())


def _each(one: dict[str, Any]) -> str:
    return (f" for {_PER[one['per']]}" if one["per"] != "job" else "") + _if(one)


def _if(one: dict[str, Any]) -> str:
    return f" (if {one['when']})" if one["when"] else ""
