"""What people type, checked by the workshop's own models, with the wording that a file gets.

A form is a list of fields, each named by its key in the workshop file::

    FIELDS = (
        Field("name", "Name", wanted=True),
        Field("inspection.due", "Inspection due", "date"),
        Field("rust", "Rust", "choice", choices=(("light", "Light"), ("heavy", "Heavy"))),
        Field("marks", "Limits stamped on it", "pairs", hint="One a line, name: value"),
    )
    Form(Car, FIELDS)                               # empty
    Form(Car, FIELDS, of=car)                       # as an entry has it
    Form(Car, FIELDS, typed=request.POST)           # read: .model, or .problems by field
    Form(Car, FIELDS, typed=request.POST, of=car)   # the same; what the form does not show stays as it was
    Form(Car, FIELDS, fixed={"id": "wren"})         # keys that nobody types

In a template: ``{% include "parts/form_problems.html" %}`` above, and a field by its name, dots and dashes
being underscores: ``{% include "parts/field.html" with field=form.inspection_due %}``; or all of them by
``{% for field in form.fields %}``. What was typed is shown again as it was typed.
"""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any, Generic, Literal, TypeVar

from django.http import QueryDict
from pydantic import BaseModel, ValidationError

from onceapart.errors import Problem
from onceapart.workshop.money import format_money
from onceapart.workshop.tree import where_of
from onceapart.workshop.values import MAX_ID, Plain, suggest_id
from onceapart.workshop.wording import describe

Kind = Literal[
    "text",
    "long",
    "id",
    "money",
    "whole",
    "minutes",
    "date",
    "measured",
    "choice",
    "flag",
    "words",
    "pairs",
    "two",
]
"""How a field is typed. ``long``: several lines; ``id``: also as a name, ``Spring compressor``; ``whole``:
days, pieces; ``minutes``: also as ``2 h 30``; ``measured``: a number with its unit; ``words``: several, with
commas or on lines; ``pairs``: ``key: value`` a line; ``two``: minutes in the good and in the bad case."""
Model = TypeVar("Model", bound=BaseModel)

MAX_TYPED = 20_000
"""Letters of one field at most."""
_TEXTS = frozenset({"text", "long", "id", "measured", "choice"})
_LONG = frozenset({"long", "words", "pairs"})
_SHORT = frozenset({"money", "whole", "minutes", "date", "measured", "two"})
_INPUT_MODES = {"money": "decimal", "whole": "numeric"}
_HOURS = re.compile(r"([0-9]{1,5})\s*(?:h|hours?|:)\s*(?:([0-9]{1,2})\s*(?:min|minutes|m)?)?", re.I)
_PART_HOURS = re.compile(r"([0-9]{1,5})[.,]([0-9]{1,2})\s*(?:h|hours?)", re.I)


@dataclass(frozen=True)
class Field:
    """A field of a form. ``key`` is that of the file, with a dot where one is inside another."""

    key: str
    label: str
    kind: Kind = "text"
    hint: str = ""
    choices: Sequence[tuple[str, str]] = ()
    wanted: bool = False
    """Shown as wanted; whether it is, the model says."""
    suggestions: Sequence[str] = ()
    rows: int = 4
    typed: str = ""
    problems: tuple[Problem, ...] = ()

    @property
    def name(self) -> str:
        """Its name in the form that is sent."""
        return re.sub(r"[^a-z0-9]+", "_", self.key)

    @property
    def id(self) -> str:
        return f"f-{self.name}"

    @property
    def is_long(self) -> bool:
        return self.kind in _LONG

    @property
    def is_short(self) -> bool:
        return self.kind in _SHORT

    @property
    def is_short_choice(self) -> bool:
        """Whether the choices are shown all at once rather than in a list to open."""
        return len(self.choices) <= 5

    @property
    def has_long_choices(self) -> bool:
        """Whether they need a line each."""
        return any(len(label) > 18 for _, label in self.choices)

    @property
    def input_type(self) -> str:
        return "date" if self.kind == "date" else "text"

    @property
    def inputmode(self) -> str:
        return _INPUT_MODES.get(self.kind, "")

    @property
    def describedby(self) -> str:
        """Ids of hint and error, as ``aria-describedby`` wants them."""
        ids = [f"{self.id}-hint"] if self.hint else []
        return " ".join([*ids, f"{self.id}-error"] if self.problems else ids)


class Form(Generic[Model]):
    """Fields with what was typed into them, and what came of it.

    Attributes
    ----------
    model : Model or None
        The entry that was typed; None while the form is empty or something is wrong with it.
    others : list of Problem
        What is wrong and belongs to no field.
    """

    def __init__(
        self,
        model: type[Model],
        fields: Sequence[Field],
        *,
        typed: Mapping[str, Any] | QueryDict | None = None,
        of: Model | None = None,
        fixed: Mapping[str, Any] | None = None,
    ) -> None:
        self._type = model
        self._fields = {one.key: one for one in fields}
        self._fixed = dict(fixed or {})
        self._of = of
        self.model: Model | None = None
        self.others: list[Problem] = []
        if typed is not None:
            self._fill({one.key: _typed(typed, one) for one in fields})
            self._read()
        elif of is not None:
            self._fill({one.key: _shown_of(of, one) for one in fields})

    @property
    def fields(self) -> list[Field]:
        """All fields, in order."""
        return list(self._fields.values())

    @property
    def has_problems(self) -> bool:
        return bool(self.others) or any(one.problems for one in self._fields.values())

    @property
    def problems(self) -> dict[str, tuple[Problem, ...]]:
        """Field key -> what is wrong with it; fields with nothing wrong are left out."""
        return {key: one.problems for key, one in self._fields.items() if one.problems}

    def __getitem__(self, name: str) -> Field:
        for one in self._fields.values():
            if name in (one.name, one.key):
                return one
        raise KeyError(name)

    def add_problems(self, problems: Sequence[Problem], section: str = "", index: int | None = None) -> None:
        """Say what is wrong besides, as the check of the whole workshop found it.

        Parameters
        ----------
        problems : sequence of Problem
            Their ``where`` is as in ``cars[1].inspection.due``.
        section, index : str and int, optional
            List of the file that the entry is in, and its place there; without an index its last place.
        """
        for problem in problems:
            self.model = None
            match = re.fullmatch(r"([a-z_]+)\[([0-9]+)\]\.?(.*)", problem.where)
            key = ""
            if match and match[1] == section and index in (None, int(match[2])):
                key = self._key_of(re.split(r"\.|\[", match[3]))
            self._add(key, replace(problem, line=None))

    def set_choices(self, key: str, choices: Sequence[tuple[str, str]]) -> None:
        """Give a field its choices, where they depend on the workshop."""
        self._fields[key] = replace(self._fields[key], choices=tuple(choices))

    def set_typed(self, key: str, typed: str) -> None:
        """Fill a field in beforehand."""
        self._fill({key: typed})

    def _fill(self, typed: Mapping[str, str]) -> None:
        for key, text in typed.items():
            self._fields[key] = replace(self._fields[key], typed=text)

    def _add(self, key: str, problem: Problem) -> None:
        if key in self._fields:
            one = self._fields[key]
            self._fields[key] = replace(one, problems=(*one.problems, problem))
        else:
            self.others.append(problem)

    def _key_of(self, steps: Sequence[Any]) -> str:
        """The field that a place in the entry belongs to; "" if there is none."""
        for length in range(len(steps), 0, -1):
            key = ".".join(str(step) for step in steps[:length])
            if key in self._fields:
                return key
        first = str(steps[0]) if steps else ""
        return next((key for key in self._fields if key.split(".")[0] == first), "")

    def _read(self) -> None:
        raw = self._kept()
        raw.update(self._fixed)
        for key, one in self._fields.items():
            try:
                value = typed_value(one.typed, one.kind)
            except _TypedError as error:
                self._add(key, Problem(None, key, error.value, error.rule, error.way_out))
                continue
            _put(raw, key.split("."), value)
        try:
            read = self._type.model_validate(raw, by_alias=True, by_name=False)
        except ValidationError as error:
            for one_error in error.errors(include_url=False):
                self._add_refused(dict(one_error))
            return
        if not self.has_problems:
            self.model = read

    def _add_refused(self, error: dict[str, Any]) -> None:
        loc = error["loc"]
        if loc and loc[-1] == "[key]":
            loc, error["type"] = loc[:-1], "broken_key"
        key = self._key_of(loc)
        if key and self._fields[key].problems:
            return  # it could not be read at all, which is said already
        value, rule, way_out = describe(self._type, loc, error)
        if error["type"] == "missing":
            rule, way_out = "it may not be left empty", f"write it{way_out.partition(',')[2] or ' in'}"
            way_out = re.sub(r"as in `[^:`]+: (.*)`", r"as in \1", way_out)
        way_out = re.sub(r",? or take the (key|line) out", ", or leave the field empty", way_out)
        self._add(key, Problem(None, where_of(loc), value, rule, way_out))

    def _kept(self) -> dict[str, Any]:
        """What the entry has and the form does not show."""
        return {} if self._of is None else _kept(self._of, [key.split(".") for key in self._fields])


def typed_value(text: str, kind: Kind) -> Any:
    """What was typed as a file would give it: text, lists and maps of text; None for an empty field.

    >>> typed_value("14,90", "money"), typed_value("", "date"), typed_value("torn, play", "words")
    ('14.90', None, ('torn', 'play'))
    >>> typed_value("2 h 30", "minutes"), typed_value("Spring compressor", "id")
    ('150', 'spring-compressor')
    >>> typed_value("front/disc-thickness: 9.8 mm", "pairs")
    {'front/disc-thickness': '9.8 mm'}
    """
    text = text.strip()
    if kind == "flag":
        return text == "true"
    if not text:
        return None
    if kind == "words":
        return tuple(word for word in re.split(r"[,;\s]+", text) if word)
    if kind == "two":
        return tuple(Plain(word) for word in re.split(r"[^0-9]+", text) if word)
    if kind == "pairs":
        return _pairs(text)
    if kind == "money":
        text = re.sub(r"^([0-9]+),([0-9]{1,2})$", r"\1.\2", text)  # some phones have no point on their keys
    elif kind == "minutes":
        text = _in_minutes(text)
    elif kind == "id" and len(text) <= MAX_ID:
        text = suggest_id(text) or text
    return text if kind in _TEXTS else Plain(text)


def _in_minutes(text: str) -> str:
    """Hours as minutes; other text as it is."""
    if match := _HOURS.fullmatch(text):
        return str(60 * int(match[1]) + int(match[2] or 0))
    if match := _PART_HOURS.fullmatch(text):
        return str(round(60 * float(f"{match[1]}.{match[2]}")))
    return re.sub(r"\s*(?:min|minutes)$", "", text)


def shown(value: Any, kind: Kind) -> str:
    """A value of a model as it is typed; what ``typed_value`` reads back."""
    if value is None:
        return ""
    if kind == "money":
        return format_money(value)
    if kind == "flag":
        return "true" if value else ""
    if kind == "minutes" and value >= 60:
        return f"{value // 60} h {value % 60:02}" if value % 60 else f"{value // 60} h"
    if kind == "words":
        return ", ".join(value)
    if kind == "two":
        return " to ".join(str(one) for one in value)
    if kind == "pairs":
        return "\n".join(f"{key}: {one}" for key, one in value.items())
    if isinstance(value, dt.date):
        return value.isoformat()
    return str(value)


class _TypedError(Exception):
    def __init__(self, value: str, rule: str, way_out: str) -> None:
        super().__init__(rule)
        self.value, self.rule, self.way_out = value, rule, way_out


def _pairs(text: str) -> dict[str, Plain]:
    found: dict[str, Plain] = {}
    for line in text.splitlines():
        if not line.strip():
            continue
        key, colon, value = (part.strip() for part in line.partition(":"))
        if not colon or not key or not value:
            name, _, rest = line.strip().partition(" ")
            like = f"{name.strip(':') or 'name'}: {rest.strip() or 'value'}"[:60]
            raise _TypedError(
                line.strip()[:60], "each line is a name, a colon and a value", f"write it as in {like}"
            )
        if key in found:
            raise _TypedError(key[:60], "it stands there twice", "take one of the two lines out")
        found[key] = Plain(value)
    return found


def _typed(typed: Mapping[str, Any] | QueryDict, one: Field) -> str:
    """What was typed into a field; of several values of the same name all, as words."""
    if isinstance(typed, QueryDict) and one.kind == "words":
        text = ", ".join(str(value) for value in typed.getlist(one.name))
    else:
        text = str(typed.get(one.name, ""))
    return text.replace("\r\n", "\n")[:MAX_TYPED]


def _field_name(model: BaseModel, alias: str) -> str:
    for name, info in type(model).model_fields.items():
        if alias in (name, info.alias):
            return name
    raise KeyError(alias)


def _value_at(model: BaseModel, key: str) -> Any:
    value: Any = model
    for step in key.split("."):
        if value is None:
            return None
        value = value.get(step) if isinstance(value, Mapping) else getattr(value, _field_name(value, step))
    return value


def _shown_of(model: BaseModel, one: Field) -> str:
    """What an entry has, as it is typed; nothing where it says only what is so without it."""
    value = _value_at(model, one.key)
    info = type(model).model_fields.get(one.key)
    if one.kind in ("money", "whole", "minutes") and info is not None and not info.is_required():
        return "" if value == info.default else shown(value, one.kind)
    return shown(value, one.kind)


def _kept(model: BaseModel, keys: Sequence[Sequence[str]]) -> dict[str, Any]:
    found: dict[str, Any] = {}
    for name, info in type(model).model_fields.items():
        alias = info.alias or name
        inside = [key[1:] for key in keys if key[0] == alias]
        if name not in model.model_fields_set or [] in inside:
            continue
        value = getattr(model, name)
        if inside and isinstance(value, BaseModel):
            value = _kept(value, inside)
        elif inside and isinstance(value, Mapping):
            value = {key: one for key, one in value.items() if [key] not in inside}
        found[alias] = value
    return found


def _put(raw: dict[str, Any], steps: Sequence[str], value: Any) -> None:
    """Set a value inside; an empty field leaves its key out, and its map too if nothing else is in it."""
    first, rest = steps[0], steps[1:]
    if not rest:
        if value is None or value is False:
            raw.pop(first, None)
        else:
            raw[first] = value
        return
    if value is not None:
        raw.setdefault(first, {})
    if isinstance(raw.get(first), dict):
        _put(raw[first], rest, value)


__all__ = ["Field", "Form", "Kind", "shown", "typed_value"]
