"""Writing a workshop file: readable, the same text for the same workshop, and read back equal."""

from __future__ import annotations

import datetime as dt
import json
import os
import re
from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from pydantic import BaseModel

from onceapart.errors import WorkshopFileError
from onceapart.workshop.files import replace_file
from onceapart.workshop.model import Job, Workshop
from onceapart.workshop.money import format_money
from onceapart.workshop.reading import FORMAT
from onceapart.workshop.tree import MAX_BYTES, shown, whole_file
from onceapart.workshop.values import Plain

WIDTH = 110
MONEY_KEYS = frozenset(
    {"price", "hire", "buy", "delivery", "free_from", "deposit", "worth", "hour_worth", "off_road"},
)
BLOCK_SECTIONS = frozenset({"cars", "jobs"})
"""Their entries are long and looked at most, so each key gets a line; other entries get one if they fit."""

# Text that needs no quotes, in a flow map neither, and that no YAML reader takes for anything but text.
_MEASURED = re.compile(r"[0-9]+(?:[./][0-9]+)? [a-zA-Z][a-zA-Z0-9/²³]*")
_PLAIN = re.compile(r"[^\W\d_](?:[\w ./'()+&-]*[\w./'()+&-])?")
_WORDS_WITH_MEANING = frozenset({"true", "false", "null", "yes", "no", "on", "off", "y", "n"})
_NOT_PRINTABLE = re.compile("[\x7f-\x9f\u2028\u2029\ufeff\ufffe\uffff]")


def write_workshop(workshop: Workshop, path: str | os.PathLike[str] | None = None) -> str:
    """Text of the workshop's file; put into a file too, if a path is given.

    Parameters
    ----------
    workshop : Workshop
        One that ``check_workshop`` finds nothing wrong with; then reading gives an equal one.
    path : str or path-like, optional
        The file appears whole or not at all; an old one stays until the new one is complete.

    Returns
    -------
    str
        YAML 1.2 in the format of docs/workshop-file.md. Keys that say what is so without them are left out.

    Raises
    ------
    WorkshopFileError
        If the text is larger than a workshop file may be, or the file cannot be written.
    """
    text = "".join(f"{line}\n" for line in _lines(workshop))
    data = text.encode()
    source = "workshop file" if path is None else shown(os.fspath(path))
    if len(data) > MAX_BYTES:
        rule = f"a workshop file has at most {MAX_BYTES:,} bytes"
        raise WorkshopFileError(source, [whole_file(f"{len(data):,} bytes", rule, "split the workshop")])
    if path is not None:
        replace_file(path, data)
    return text


def _lines(workshop: Workshop) -> Iterator[str]:
    yield f"format: {FORMAT}"
    for key, value in given_keys(workshop).items():
        if isinstance(value, Mapping):
            yield ""
            yield from _entry(key, value, indent=0)
        elif isinstance(value, tuple):
            yield ""
            yield f"{key}:"
            for item in value:
                yield from item_lines(item, in_block=key in BLOCK_SECTIONS)
        else:
            yield f"{key}: {_scalar(key, value)}"


def item_lines(item: BaseModel | Mapping[str, Any], *, in_block: bool) -> Iterator[str]:
    """Lines of one entry of a list, two spaces in."""
    keys = given_keys(item) if isinstance(item, BaseModel) else item
    line = f"  - {flow('', keys)}"
    if len(line) <= WIDTH and (not in_block or len(keys) <= 2):
        yield line
        return
    dash = "  - "
    for key, value in keys.items():
        for text in _entry(key, value, indent=4):
            yield dash + text.removeprefix("    ") if dash else text
            dash = ""


def _entry(key: str, value: Any, indent: int) -> Iterator[str]:
    """A key with its value: on one line, or if that gets too long on one line for each thing in it."""
    line = f"{' ' * indent}{key}: {flow(key, value)}"
    if len(line) <= WIDTH or not value or not isinstance(value, Mapping | list | tuple):
        yield line
        return
    yield f"{' ' * indent}{key}:"
    if isinstance(value, Mapping):
        for name, one in value.items():
            yield f"{' ' * indent}  {_text(name)}: {flow('', one)}"
    else:
        for one in value:
            yield f"{' ' * indent}  - {flow('', one)}"


def given_keys(model: BaseModel) -> dict[str, Any]:
    """Keys and values that have to be written: all but defaults, unless they override a recipe."""
    kept = model.overrides if isinstance(model, Job) and model.recipe is not None else frozenset()
    given: dict[str, Any] = {}
    for name, field in type(model).model_fields.items():
        value = getattr(model, name)
        if name in kept or field.is_required() or value != field.get_default():
            given[field.alias or name] = value
    return given


def flow(key: str, value: Any) -> str:
    """A value on one line, as it may stand within brackets or by itself behind its key."""
    if isinstance(value, BaseModel):
        value = given_keys(value)
    if isinstance(value, Mapping):
        # Within a key the names are ids of parts and the like, also if one looks like a key for money.
        pairs = ((name, flow("" if key else name, one)) for name, one in value.items())
        return "{" + ", ".join(f"{_text(name)}: {one}" for name, one in pairs) + "}"
    if isinstance(value, Sequence) and not isinstance(value, str):
        return "[" + ", ".join(flow("", one) for one in value) + "]"
    return _scalar(key, value)


def _scalar(key: str, value: Any) -> str:
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, int):
        return format_money(value) if key in MONEY_KEYS and value else str(value)
    if isinstance(value, dt.date):
        return value.isoformat()
    return _text(value if isinstance(value, Plain) else str(value))


def _text(text: str) -> str:
    if isinstance(text, Plain):
        return text
    if _MEASURED.fullmatch(text) or (_PLAIN.fullmatch(text) and text.lower() not in _WORDS_WITH_MEANING):
        return text
    return quoted(text)


def quoted(text: str) -> str:
    """A text in quotes, as YAML and JSON both read it."""
    marked = json.dumps(text, ensure_ascii=False)
    return _NOT_PRINTABLE.sub(lambda found: f"\\u{ord(found.group()):04x}", marked)
