"""Reading a data file of the trade library: all its problems at once, with their lines, or a checked model.

Files are read like a workshop file, event by event (``onceapart.workshop.tree``): no anchors, tags or
duplicate keys, nothing guessed from the looks of a value, nothing that takes long to read.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import replace
from functools import cache
from importlib.resources.abc import Traversable
from pathlib import Path
from typing import Any, TypeVar

from pydantic import BaseModel, ValidationError

from onceapart.errors import Problem, TradeDataError
from onceapart.workshop.tree import (
    Loc,
    RawList,
    RawMap,
    UnreadableError,
    build_tree,
    decode,
    shown,
    where_of,
)
from onceapart.workshop.values import nearest

AnyModel = TypeVar("AnyModel", bound=BaseModel)

MAX_BYTES = 200_000
"""Largest data file read: twenty times the largest one shipped."""
MAX_PROBLEMS = 100


class DataFile:
    """The tree of one data file, and where things stand in it; ``guide`` is the page that tells of its keys.

    Raises
    ------
    TradeDataError
        If the file can't be read, is no YAML or holds what the format has no need of.
    """

    def __init__(self, path: Path | Traversable, source: str, guide: str = "docs/recipes.md") -> None:
        self.source = source
        self.guide = guide
        try:
            with path.open("rb") as file:
                data = file.read(MAX_BYTES + 1)
        except (OSError, ValueError) as error:  # ValueError: a NUL in the name
            what = error.strerror if isinstance(error, OSError) and error.strerror else str(error)
            raise self.error(
                [_whole(f"the file can't be read ({what})", "check its name and folder")]
            ) from None
        if len(data) > MAX_BYTES:
            raise self.error([_whole(f"a data file has at most {MAX_BYTES:,} bytes", "keep it shorter")])
        try:
            root, problems = build_tree(decode(data))
        except UnreadableError as error:
            raise self.error([_reworded(error.problem)]) from None
        if problems:
            raise self.error([_reworded(problem) for problem in problems])
        if not isinstance(root, RawMap):
            raise self.error([_whole("a data file is a map of keys", "start it with `format: ...`")])
        self.root: RawMap = root

    def error(self, problems: Iterable[Problem]) -> TradeDataError:
        """The error to raise for some problems of this file, in the order of their lines."""
        ordered = sorted(problems, key=lambda problem: problem.line or 0)
        return TradeDataError(self.source, ordered[:MAX_PROBLEMS])

    def problem(self, loc: Loc, value: object, rule: str, way_out: str) -> Problem:
        """A problem of the value at a place, with its line."""
        return Problem(self.line_of(loc), where_of(loc), shown(value), rule, way_out)

    def line_of(self, loc: Loc) -> int | None:
        """Line of a value, or of the innermost thing on the way to it that there is; counted from 1."""
        at: Any = self.root
        line = self.root.line
        for step in loc:
            if isinstance(at, RawMap) and step in at.lines:
                line, at = at.lines[str(step)], at.get(str(step))
            elif isinstance(at, RawList) and isinstance(step, int) and step < len(at):
                line, at = at.lines[step], at[step]
            # Any other step is one that pydantic adds, or a key that is missing.
        return line

    def checked(self, model: type[AnyModel]) -> AnyModel:
        """The file as a model; raises TradeDataError with every value that does not fit."""
        found, problems = self.read(model, self.root)
        if found is None:
            raise self.error(problems)
        return found

    def read(self, model: type[AnyModel], raw: object, at: Loc = ()) -> tuple[AnyModel | None, list[Problem]]:
        """A part of the file as a model, or None and every value that does not fit.

        Parameters
        ----------
        model : type of BaseModel
        raw : object
            The part, or what was made of it.
        at : tuple of str and int
            Where the part stands in the file; problems are said to be there.
        """
        try:
            return model.model_validate(raw), []
        except ValidationError as error:
            problems = []
            errors = error.errors(include_url=False)
            for one in errors:
                loc = one["loc"]
                # Entries that were refused are not counted, so that a list of them seems too short.
                inner = any(
                    len(other["loc"]) > len(loc) and other["loc"][: len(loc)] == loc for other in errors
                )
                if not (one["type"] == "too_short" and inner):
                    where = (*at, *(step for step in loc if step != "[key]"))
                    problems.append(self.problem(where, *_in_words(model, where, one, self.guide)))
            return None, problems


def _whole(rule: str, way_out: str) -> Problem:
    return Problem(None, "file", "", rule, way_out)


def _reworded(problem: Problem) -> Problem:
    """A problem found by the reader of workshop files, said of a data file."""
    rule = problem.rule.replace("a workshop file", "a data file")
    way_out = problem.way_out.replace("`format: onceapart-workshop/1`", "`format: ...`")
    return replace(problem, rule=rule, way_out=way_out.replace("each workshop", "each"))


def _in_words(
    model: type[BaseModel], loc: Loc, error: Mapping[str, Any], guide: str
) -> tuple[object, str, str]:
    """Value, rule and way out for one error of pydantic."""
    kind, value, ctx = error["type"], error["input"], error.get("ctx", {})
    match kind:
        case "missing":
            return "", f"`{loc[-1]}` is missing", "add it"
        case "extra_forbidden":
            near = nearest(str(loc[-1]), sorted(_all_keys(model)))
            return loc[-1], "this key is not known here", f"did you mean `{near}`?" if near else "take it out"
        case "broken_rule":
            return value, ctx["rule"], ctx["way_out"]
        case "literal_error":
            words = re.findall(r"'([^']+)'", ctx["expected"])
            near = nearest(str(value).lower(), words)
            way_out = f"did you mean {near}?" if near else "use one of these"
            return value, f"it is one of {', '.join(words)}", way_out
        case "int_parsing" | "int_type" | "int_from_float":
            return value, "a whole number is wanted", "write digits only, as in 12"
        case "float_parsing" | "float_type" | "finite_number":
            return value, "a number is wanted", "write it as in 0.25"
        case "bool_parsing" | "bool_type":
            return value, "it is either true or false", "write true or false"
        case "too_short":
            return "", "there is at least one", "add one"
        case "string_too_long":
            return value, f"text has at most {ctx['max_length']} letters", "shorten it"
        case "tuple_type" | "list_type":
            return value, "a list is wanted", "write it as in [wheel]"
        case "string_type":
            return value, "one text is wanted", "write it in plain words"
        case "model_type" | "model_attributes_type" | "dict_type":
            return value, "a map of keys is wanted", "write it as in {id: wheel}"
        case "greater_than_equal":
            return value, f"it is at least {ctx['ge']:g}", "give more"
        case "less_than_equal":
            return value, f"it is at most {ctx['le']:g}", "give less"
        case _:
            return value, str(error["msg"]), f"see {guide}"


@cache
def _all_keys(model: type[BaseModel]) -> frozenset[str]:
    """Every key that may stand anywhere in a file of this model."""
    keys: set[str] = set()

    def walk(schema: Mapping[str, Any]) -> None:
        keys.update(schema.get("properties", {}))
        for inner in schema.get("$defs", {}).values():
            walk(inner)

    walk(model.model_json_schema(by_alias=True))
    return frozenset(keys)
