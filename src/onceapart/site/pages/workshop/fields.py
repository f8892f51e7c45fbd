"""The forms of a workshop: its head, cars, stints and special tools."""

from __future__ import annotations

from collections.abc import Iterator
from functools import cache
from typing import Any, get_args

from onceapart.errors import OnceapartError
from onceapart.site.pages.forms import Field
from onceapart.trade.rules import Pack, load_pack, pack_ids
from onceapart.workshop import Layout

NOT_LAW = "home-"
"""Rule packs of which the law knows nothing begin so."""

HEAD_FIELDS = (
    Field("name", "Name of the workshop", wanted=True),
    Field(
        "hour_worth",
        "What an hour of your own time is worth to you",
        "money",
        "The plan weighs money against hours by it. Nought is allowed: then only money counts.",
        wanted=True,
    ),
    Field("currency", "Currency", hint="Three capital letters, as in EUR or GBP.", wanted=True),
    Field(
        "today",
        "The day to count from",
        "date",
        "Leave it empty and it is always the real day. Set it to try things out.",
    ),
)

STINT_FIELDS = (
    Field("date", "Day", "date", wanted=True),
    Field("minutes", "How long", "minutes", "As in 5 h, 2 h 30 or 150 min.", wanted=True),
    Field("id", "Name", "id", "Only where two are on one day, as in morning and evening."),
)

TOOL_FIELDS = (
    Field("have", "It is there already", "flag"),
    Field("hire", "Price to hire it for a stint", "money", "Leave it empty if it can't be hired."),
    Field("buy", "Price to buy it", "money", "Leave it empty if it can't be bought."),
)
NEW_TOOL_FIELDS = (
    Field("id", "Tool", "id", "As the jobs name it, as in spring-compressor.", wanted=True),
    *TOOL_FIELDS,
)

_WORDS = {
    "front-brakes": "Front brakes",
    "rear-brakes": "Rear brakes",
    "front-suspension": "Front suspension",
    "rear-suspension": "Rear suspension",
    "drive": "Driven wheels",
    "fuel": "Fuel",
}


@cache
def rule_packs() -> tuple[tuple[str, str], ...]:
    """Rule packs to inspect by: id and title, those of the law first."""
    packs = [load_pack(one) for one in pack_ids() if one != "items"]
    ordered = sorted(packs, key=lambda pack: (pack.id.startswith(NOT_LAW), pack.id))
    return tuple((pack.id, pack.title) for pack in ordered)


def pack_of(rules: str | None) -> Pack | None:
    """A rule pack by its id; None if there is none."""
    try:
        return load_pack(rules) if rules else None
    except OnceapartError:
        return None


def car_fields(rules: str | None, *, is_new: bool = False) -> tuple[Field, ...]:
    """Fields of a car that is inspected by a rule pack: with the facts that the pack asks for."""
    return tuple(_car_fields(rules, is_new))


def _car_fields(rules: str | None, is_new: bool) -> Iterator[Field]:
    yield Field("name", "Name", hint="What you call it.", wanted=True)
    if is_new:
        hint = "Lower-case words. Parts and access of the car are named by it; it can't be changed later."
        yield Field("id", "Short name", "id", hint + " Left empty, it is made from the name.")
    yield Field("inspection.due", "Inspection due on", "date")
    known = dict(rule_packs())
    packs = tuple(known.items()) if rules in (None, *known) else ((str(rules), str(rules)), *known.items())
    yield Field("inspection.rules", "Inspected by", "choice", choices=(("", "not said"), *packs))
    yield Field("registered", "First registered on", "date")
    yield Field("mass", "Mass as it is inspected", "measured", "With its unit, as in 980 kg or 2160 lb.")
    yield Field(
        "rust",
        "Rust",
        "choice",
        "How readily its fasteners come loose, or break.",
        choices=(("light", "light"), ("medium", "medium"), ("heavy", "heavy")),
    )
    hint = "A plan may leave something off from one stint to the next; then the car stands. Empty: nothing."
    yield Field("off_road", "What a day costs on which it can't be driven", "money", hint)
    pack = pack_of(rules)
    for name, fact in (pack.facts if pack else {}).items():
        if fact.words:
            words = tuple((word, f"{word}: {means}") for word, means in fact.words.items())
            choices = (("", "not known yet"), *words)
            yield Field(f"facts.{name}", fact.title, "choice", fact.ask, choices=choices)
        else:
            yield Field(f"facts.{name}", fact.title, "measured", f"{fact.ask} With its unit.")
    hint = (
        "Stamped on the part or given by its maker, one a line: place/item: limit, "
        "as in front/disc-thickness: 9.8 mm"
    )
    yield Field("marks", "Limits of this very car", "pairs", hint, rows=3)
    yield from _layout_fields()


def _layout_fields() -> Iterator[Field]:
    for name, info in Layout.model_fields.items():
        alias = info.alias or name
        words: tuple[Any, ...] = get_args(info.annotation)
        choices = tuple((word, str(word).replace("-", " ")) for word in words)
        yield Field(f"layout.{alias}", _WORDS[alias], "choice", choices=choices)
