"""What is said about a value that a model refused: the rule and the way out, in the file's own terms."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from typing import Any

from pydantic import BaseModel

from onceapart.workshop.model import Finding, Inspection, Layout, Workshop
from onceapart.workshop.tree import Loc, shown
from onceapart.workshop.values import Plain, is_null, nearest

_NESTED: Mapping[str, type[BaseModel]] = {"inspection": Inspection, "layout": Layout}

_MONEY = "14.90"
_EXAMPLES = {
    "id": "wren/front-left/wheel",
    "name": "The Wren",
    "title": "Boot kit with clips",
    "today": "2026-03-02",
    "date": "2026-03-07",
    "due": "2026-04-11",
    "by": "2026-04-11",
    "currency": "EUR",
    "rules": "eu-2014-45",
    "need": "inspection",
    "recipe": "cv-boot",
    "place": "front-left",
    "car": "wren",
    "seller": "counter",
    "minutes": "40",
    "days": "6",
    "limit": "4",
    "have": "true",
    "inspection": "{due: 2026-04-11}",
    "layout": "{drive: front, fuel: petrol}",
    "registered": "1994-06-30",
    "mass": "980 kg",
    "facts": "{power-brakes: yes}",
    "marks": "{front/disc-thickness: 9.8 mm}",
    "rust": "medium",
    "item": "disc-thickness",
    "value": "2.4 mm",
    "seen": "[sound]",
    "odometer": "143200 km",
    "note": "worn on the inside",
    "photo": "disc.jpg",
    "between": "[30, 90]",
    "may_stand": "true",
    "parts": "{wren/front/drop-link: 1}",
    "shelf": "{wren/front/drop-link: 1}",
    "access": "[wren/front-left/wheel]",
    "under": "[wren/front-left/wheel]",
    "tools": "[spring-compressor]",
    "after": "[wren-cv-boot]",
    "aftercare": "[wren/wheel-alignment]",
    **dict.fromkeys(
        ("price", "hire", "buy", "delivery", "free_from", "deposit", "worth", "hour_worth", "off_road"),
        _MONEY,
    ),
}

_IN_MAPS = {"parts": "1", "shelf": "1", "facts": "yes", "marks": "9.8 mm"}


def describe(model: type[BaseModel], loc: Loc, error: Mapping[str, Any]) -> tuple[str, str, str]:
    """Put an error of pydantic into words.

    Parameters
    ----------
    model : type
        What was being read.
    loc : tuple
        Place of the value in it.
    error : mapping
        One entry of ``ValidationError.errors()``.

    Returns
    -------
    tuple of str
        The value as shown, the rule and the way out.
    """
    kind, value = error["type"], error["input"]
    if kind == "missing":
        return "", f"`{loc[-1]}` is missing", f"add it, as in `{loc[-1]}: {_example(loc)}`"
    if kind == "extra_forbidden":
        keys = _keys(_NESTED.get(str(loc[0]), model) if len(loc) > 1 else model)
        return shown(loc[-1]) or "an empty key", "this key is not known", _key_way_out(str(loc[-1]), keys)
    if kind == "broken_key":
        return shown(value), error["ctx"]["rule"], error["ctx"]["way_out"]
    if is_null(value):
        if kind == "list_type":
            return "", "there is nothing under this key", "list what there is, or take the key out"
        return shown(value), "there is no value", _null_way_out(model, loc)
    rule, way_out = _rule(kind, model, loc, value, error.get("ctx", {}))
    return shown(value), rule, way_out or f"write it as in {_example(loc)}"


def _rule(
    kind: str, model: type[BaseModel], loc: Loc, value: object, ctx: Mapping[str, Any]
) -> tuple[str, str]:
    """Rule and, unless an example will do, the way out."""
    quoted = isinstance(value, str) and not isinstance(value, Plain)
    match kind:
        case "broken_rule":
            return ctx["rule"], ctx["way_out"]
        case "int_type" | "bool_type":
            what = "a number" if kind == "int_type" else "true or false"
            rule = f"{what} is wanted" + (", and this is text in quotes" if quoted else "")
            return rule, "take the quotes off" if quoted and str(value).strip() else ""
        case "string_type":
            return "one text is wanted", ""
        case "date_type":
            return "a date is wanted", ""
        case "tuple_type":
            return "a list is wanted", f"write it as in [{shown(value)}]" if isinstance(value, str) else ""
        case "list_type":
            return "a list is wanted", "begin each entry on a line of its own with `- `"
        case "dict_type":
            maps = {"facts": "facts and what they are", "marks": "items and their limits"}
            return f"a map of {maps.get(str(loc[-1]), 'parts and pieces')} is wanted", ""
        case "model_type":
            way_out = "" if loc and loc[-1] in _EXAMPLES else "write its keys, as in {id: wren, ...}"
            if model is Finding and not loc:
                way_out = "write its keys, as in {car: wren, item: disc-thickness, ...}"
            return "a map of keys is wanted", way_out
        case "enum" | "literal_error":
            words = re.findall(r"'([^']+)'", ctx["expected"])
            near = nearest(str(value).lower(), words)
            return f"it is one of {', '.join(words)}", f"did you mean {near}?" if near else "use one of these"
        case "greater_than_equal":
            return f"it is at least {ctx['ge']}", "give more, or take it out"
        case "too_short":
            return (
                "an offer sells at least one piece",
                "name what one unit holds, as in {wren/front/drop-link: 1}",
            )
        case _:
            return "it does not fit here", ""


def _null_way_out(model: type[BaseModel], loc: Loc) -> str:
    if not loc or isinstance(loc[-1], int):
        return "take the - out, or write what belongs there"
    if (
        len(loc) == 1
        and str(loc[0]) in model.model_fields
        and not model.model_fields[str(loc[0])].is_required()
    ):
        return f"write one, as in {_example(loc)}, or take the key out"
    return f"write one, as in {_example(loc)}"


def _example(loc: Loc) -> str:
    """A value that would do at a place; in a list or a map of parts, one entry of it."""
    if not loc:
        return "{id: wren}"
    key = loc[-1]
    if isinstance(key, int):
        return _EXAMPLES.get(str(loc[-2]) if len(loc) > 1 else "", "[wren]").strip("[]").split(",")[0]
    if len(loc) > 1 and loc[-2] in _IN_MAPS:
        return _IN_MAPS[str(loc[-2])]
    return _EXAMPLES.get(key, "front")


def _keys(model: type[BaseModel]) -> list[str]:
    keys = [field.alias or name for name, field in model.model_fields.items()]
    return ["format", *keys] if model is Workshop else keys


def _key_way_out(key: str, keys: Sequence[str]) -> str:
    if re.fullmatch(r"[0-9]+( .*)?", key):
        return "write decimals with a point, not with a comma"
    word = key.split(":")[0]
    if word != key and word in keys:
        return f"put a space after the colon of `{word}:`"
    near = nearest(key.lower().replace("-", "_"), keys) or nearest(key.lower().replace("_", "-"), keys)
    if near:
        return f"did you mean `{near}`?"
    return f"take it out; known here are {', '.join(keys)}"
