"""Packs, items and rules in plain words, and as plain data."""

from __future__ import annotations

from typing import Any

from onceapart.trade.placing import condition_in_words
from onceapart.trade.rules.limits import MARKED, Limit
from onceapart.trade.rules.schema import SOUND, Cure, Item, Pack, Rule, RuleWhen
from onceapart.trade.schema import When

AT_WORDS = {"corner": "at each corner", "axle": "on each axle", "car": "once"}
HOW_WORDS = {
    "look": "looked at",
    "shake": "tried by hand",
    "measure": "measured",
    "drive": "found by driving",
    "listen": "listened to",
}
STAGE_WORDS = {
    "cold": "before the engine has run",
    "on-the-ground": "on the ground, engine off",
    "engine-running": "with the engine running",
    "on-the-road": "on the road",
    "on-stands": "on stands",
    "wheel-off": "with the wheel off",
}
STATUS_WORDS = {
    "verified": "verified",
    "from memory": "from memory, check",
    "common practice": "common practice",
}


def limit_in_words(limit: Limit) -> str:
    """A limit as a person says it.

    >>> from onceapart.trade.rules.limits import read_limit
    >>> limit_in_words(read_limit("2/32 in")), limit_in_words(read_limit("marked x 1.5"))
    ('2/32 in', "1.5 times the car's own figure")
    """
    if limit.of is None:
        return limit.text
    what = "the car's own figure" if limit.of == MARKED else f"the {limit.of}"
    _, _, factor = limit.text.partition(" x ")
    return f"{factor} times {what}" if factor else what


def rule_in_words(rule: Rule) -> str:
    """What makes the item fail, and on which cars; clause, source and status are not in it.

    Parameters
    ----------
    rule : Rule

    Returns
    -------
    str
        Such as ``below 1.6 mm`` or ``cut or bulge``.
    """
    if rule.below:
        test = f"below {limit_in_words(rule.below)}"
    elif rule.above:
        test = f"above {limit_in_words(rule.above)}"
    else:
        test = " or ".join(part for part in (", ".join(rule.seen[:-1]), rule.seen[-1]) if part)
    condition = when_in_words(rule.when) if rule.when else ""
    return f"{test}, {condition}" if condition else test


def when_in_words(when: RuleWhen) -> str:
    """Which cars and places a rule is for."""
    said = []
    layout = {key: value for key in When.model_fields if (value := getattr(when, key)) not in ((), None)}
    if layout:
        said.append(f"for {condition_in_words((When(**layout),))}")
    if when.registered:
        if when.registered.from_:
            said.append(f"registered from {when.registered.from_.isoformat()}")
        if when.registered.before:
            said.append(f"registered before {when.registered.before.isoformat()}")
    for name, test in when.fact.items():
        if test.one_of:
            said.append(f"{name} {' or '.join(test.one_of)}")
        else:
            bounds = [f"over {test.over}"] * bool(test.over) + [f"up to {test.up_to}"] * bool(test.up_to)
            said.append(f"{name} {' and '.join(bounds)}")
    return ", ".join(said)


def item_in_words(item: Item) -> str:
    """Where, how and when an item is looked at."""
    where = AT_WORDS[item.at]
    if item.at == "car" and item.place != "all":
        where = f"once, {item.place}"
    unit = f" in {item.unit}" if item.unit else ""
    how = f"{HOW_WORDS['measure']}{unit}" if item.is_measured else HOW_WORDS[item.how]
    suits = f", for {condition_in_words(item.suits)}" if item.suits else ""
    return f"{where}, {how}, {STAGE_WORDS[item.stage]}{suits}"


def cure_in_words(cure: Cure) -> str:
    """Which recipe, where, and for which of the words seen."""
    where = {
        "corner": "at both corners of the axle" if cure.pair else "at that corner",
        "axle": "at that axle",
        "car": f"at {cure.place}",
    }[cure.at]
    words = f", for {', '.join(cure.for_)}" if cure.for_ else ""
    condition = f", on {condition_in_words(cure.when)}" if cure.when else ""
    return f"{cure.recipe} {where}{words}{condition}"


def describe_pack(pack: Pack) -> dict[str, Any]:
    """All of a pack as plain data, items without rules apart.

    Parameters
    ----------
    pack : Pack

    Returns
    -------
    dict
        Text, numbers, lists and dicts only, ready for JSON.
    """
    return {
        "id": pack.id,
        "title": pack.title,
        "about": pack.about,
        "lineage": list(pack.lineage),
        "notes": list(pack.notes),
        "sources": {key: one.model_dump(exclude_none=True) for key, one in pack.sources.items()},
        "facts": {key: one.model_dump(exclude_none=True) for key, one in pack.facts.items()},
        "items": [describe_item(item, pack) for item in pack.items],
    }


def describe_item(item: Item, pack: Pack) -> dict[str, Any]:
    """An item with its rules as plain data."""
    told = item.model_dump(
        mode="json", by_alias=True, exclude_defaults=True, exclude={"words", "suits", "cures"}
    )
    if not item.is_measured:
        told["words"] = {SOUND: "nothing wrong", **item.words}
    if item.suits:
        told["suits"] = condition_in_words(item.suits)
    told["cures"] = [cure_in_words(cure) for cure in item.cures]
    told["rules"] = [
        {
            "id": rule.id,
            "class": rule.class_,
            "fails": rule_in_words(rule),
            "clause": rule.clause,
            "source": rule.source,
            "status": rule.status,
            **({"note": rule.note} if rule.note else {}),
        }
        for rule in pack.rules_of(item.id)
    ]
    return told
