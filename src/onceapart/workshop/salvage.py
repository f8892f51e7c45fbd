"""What can be used of a broken entry, so that all that is wrong with a file comes out at once."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache
from typing import Annotated, Any, TypeVar

from pydantic import BaseModel, TypeAdapter

from onceapart.workshop.model import Finding, Job, Need
from onceapart.workshop.tree import Loc, RawList
from onceapart.workshop.values import suggest_id

AnyModel = TypeVar("AnyModel", bound=BaseModel)

# Stand in for what could not be read; ``workshop.check`` says nothing about them.
_BLANKS: Mapping[str, Any] = {
    "id": "",
    "car": "",
    "seller": "",
    "item": "",
    "value": "",
    "seen": ("",),
    "date": None,
    "need": Need.WISH,
}


def salvage(model: type[AnyModel], raw: Mapping[str, Any], bad: Mapping[str, set[Loc]]) -> AnyModel:
    """The good values of a broken entry, for checking references only.

    Parameters
    ----------
    model : type
        What the entry should have been.
    raw : mapping
        The entry as it stood in the file.
    bad : mapping
        The keys that were refused, each with the places in it that were.

    Returns
    -------
    model
        Not to be used as such: it lacks values. A refused id is taken as it was suggested, so that
        what names it so is not called dangling as well.
    """
    values: dict[str, Any] = {}
    for name, field in model.model_fields.items():
        key = field.alias or name
        if key in raw and key not in bad:
            values[name] = _adapter(model, name).validate_python(raw[key], by_alias=True, by_name=False)
        elif key == "id" and isinstance(raw.get(key), str):
            values[name] = suggest_id(raw[key])
        elif key == "between":
            continue  # its order is looked at only if both numbers are good
        elif isinstance(raw.get(key), RawList) and (key,) not in bad[key]:
            values[name] = tuple("" if (key, i) in bad[key] else str(one) for i, one in enumerate(raw[key]))
        elif key in _BLANKS and (field.is_required() or key in bad):
            values[name] = _BLANKS[key]
    if model is Job and ("recipe" in bad or not raw):
        values["recipe"] = ""  # it had one, or may have had
    if model is Job and "minutes" in bad:
        values["minutes"] = 0
    if "minutes" in bad:
        values.pop("between", None)
    if model is Finding and not raw:
        values["value"] = ""  # it had one, or may have had
    return model.model_construct(**values)


@cache
def _adapter(model: type[BaseModel], name: str) -> TypeAdapter[Any]:
    field = model.model_fields[name]
    annotation: Any = field.annotation
    for rule in field.metadata:
        annotation = Annotated[annotation, rule]
    return TypeAdapter(annotation)
