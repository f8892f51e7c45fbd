"""Adding entries to a workshop file that somebody wrote by hand, leaving all else in it as it is.

The new lines are put in by their place in the text. Then the text is read again: unless it says exactly
what it said before and the new entries besides, it is not handed out.
"""

from __future__ import annotations

import datetime as dt
import os
import re
from collections.abc import Mapping, Sequence
from decimal import Decimal
from pathlib import Path
from typing import Any

from pydantic import BaseModel

from onceapart.errors import WorkshopFileError
from onceapart.workshop.files import replace_file
from onceapart.workshop.money import format_money
from onceapart.workshop.putting import put_in
from onceapart.workshop.reading import LISTS, ParsedWorkshop, parse_with_lines, read_bytes
from onceapart.workshop.tree import shown, whole_file
from onceapart.workshop.values import Plain
from onceapart.workshop.writing import MONEY_KEYS, flow, given_keys

Entry = Mapping[str, Any] | BaseModel
"""A model such as ``Finding``, or the keys and values of one as they stand in a file."""

_DATE_KEYS = frozenset({"date", "by", "registered"})
_DATE = re.compile(r"[0-9]{4}-[0-9]{2}-[0-9]{2}", re.ASCII)


def with_entries(text: str, key: str, entries: Sequence[Entry], source: str = "workshop file") -> str:
    """The text of a workshop file with entries added at the end of one of its lists.

    Parameters
    ----------
    text : str
        A workshop file that can be used, YAML or JSON.
    key : str
        The list: ``jobs``, ``findings``, ``stints`` and so on. It is made if it is not there.
    entries : sequence
        Models, or maps of keys and values as they stand in a file: text, whole numbers, true and
        false, dates, lists, maps, and ``Decimal`` for money (``Decimal("12.50")``). None leaves a key out.
    source : str
        Names the file in errors.

    Returns
    -------
    str
        All of the text, character for character, with the entries put in between. (An empty ``[]`` gives
        way to the list.) Line ends, indents and brackets are those of the text.

    Raises
    ------
    WorkshopFileError
        If the text is no workshop file that can be used, if it would not be one with the entries, or if
        they cannot be put into it without touching anything else.
    ValueError, TypeError
        If there is no such list, or an entry holds something that no file can hold.

    Examples
    --------
    >>> print(with_entries(
    ...     "format: onceapart-workshop/1\\nname: Quay Lane\\ncurrency: EUR\\nhour_worth: 12.00\\n"
    ...     "stints:\\n  - {date: 2026-03-07, minutes: 300}    # until dusk\\n",
    ...     "stints", [{"date": dt.date(2026, 3, 14), "minutes": 150}]).partition("12.00\\n")[2], end="")
    stints:
      - {date: 2026-03-07, minutes: 300}    # until dusk
      - {date: 2026-03-14, minutes: 150}
    """
    if key not in LISTS:
        raise ValueError(f"{key!r} is no list of a workshop file; use one of {', '.join(LISTS)}")
    new = [_in_file_terms(entry) for entry in entries]
    before = parse_with_lines(text, source)
    if not new:
        return text
    mark = "\ufeff" if text.startswith("\ufeff") else ""
    added = mark + put_in(text.removeprefix(mark), key, new)
    after = parse_with_lines(added, f"{source}, with what is to be added to its `{key}`")
    if not _is_added(before, after, key, new):
        rule = f"nothing can be added to `{key}` without touching something else in the file"
        way_out = f"write `{key}` as lines that start with `- `, or add it by hand: {flow('', new[0])}"
        raise WorkshopFileError(source, [whole_file("", rule, way_out)])
    return added


def add_entries(path: str | os.PathLike[str], key: str, entries: Sequence[Entry]) -> str:
    """Add entries to a workshop file on disk, as ``with_entries`` does, in one step.

    Parameters
    ----------
    path : str or path-like
        The file. It is left as it is if anything goes wrong, or if it is changed meanwhile.
    key : str
        The list.
    entries : sequence
        What to add at its end.

    Returns
    -------
    str
        The new text.

    Raises
    ------
    WorkshopFileError, ValueError, TypeError
        As ``with_entries``, ``read_workshop`` and ``write_workshop``.
    """
    source = shown(os.fspath(path))
    data = read_bytes(path)
    parse_with_lines(data, source)
    text = with_entries(data.decode("utf-8"), key, entries, source)
    if entries:
        replace_file(Path(path), text.encode(), was=data)
    return text


def _in_file_terms(entry: Any, key: str = "", *, from_model: bool = False) -> Any:
    """An entry as the reader gives it: maps, lists, text, and ``Plain`` for what has no quotes."""
    value = entry
    if isinstance(value, BaseModel):
        value, from_model = given_keys(value), True
    if isinstance(value, Mapping):
        # Below the keys of an entry the names are ids, also if one looks like a key for money.
        return {
            str(name): _in_file_terms(one, "" if key else str(name), from_model=from_model)
            for name, one in value.items()
            if one is not None
        }
    if isinstance(value, list | tuple):
        return [_in_file_terms(one, from_model=from_model) for one in value]
    if isinstance(value, bool):
        return Plain("true" if value else "false")
    if isinstance(value, int):
        if key not in MONEY_KEYS or value == 0:
            return Plain(value)
        if from_model:
            return Plain(format_money(value))
        raise TypeError(f"{key}: {value}: money in a map is a Decimal, so that no one takes it for cents")
    if isinstance(value, Decimal):
        return Plain(f"{value:f}")
    if isinstance(value, dt.date) and not isinstance(value, dt.datetime):
        return Plain(value.isoformat())
    if isinstance(value, str):
        is_date = key in _DATE_KEYS and _DATE.fullmatch(value)
        return Plain(value) if is_date or isinstance(value, Plain) else str(value)
    raise TypeError(f"{key or 'entry'}: {shown(value)}: a workshop file holds no {type(value).__name__}")


def _is_added(before: ParsedWorkshop, after: ParsedWorkshop, key: str, new: Sequence[Any]) -> bool:
    """Whether a file says what it said before and the entries besides, and nothing else."""
    kept = {key: getattr(after.workshop, key)[: len(getattr(before.workshop, key))]}
    return (
        after.workshop.model_copy(update=kept) == before.workshop
        and after.raw.get(key) == [*before.raw.get(key, []), *new]
        and {**after.raw, key: None} == {**before.raw, key: None}
    )
