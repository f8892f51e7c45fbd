"""Reading a workshop file: all its problems at once, or a workshop."""

from __future__ import annotations

import os
import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any, TypeVar

from pydantic import BaseModel, ValidationError

from onceapart.errors import Problem, WorkshopFileError
from onceapart.workshop.check import check_workshop
from onceapart.workshop.model import (
    Access,
    Aftercare,
    Car,
    Finding,
    Job,
    Offer,
    Seller,
    Stint,
    Tool,
    Workshop,
)
from onceapart.workshop.salvage import salvage
from onceapart.workshop.tree import (
    MAX_BYTES,
    SPOILED,
    Loc,
    RawList,
    RawMap,
    UnreadableError,
    build_tree,
    decode,
    shown,
    where_of,
    whole_file,
)
from onceapart.workshop.values import is_null
from onceapart.workshop.wording import describe

FORMAT = "onceapart-workshop/1"
MAX_PROBLEMS = 200
"""How many problems one error carries; a file with more is mended in more than one go."""

AnyModel = TypeVar("AnyModel", bound=BaseModel)

_SECTIONS: Mapping[str, type[BaseModel]] = {
    "cars": Car,
    "findings": Finding,
    "tools": Tool,
    "access": Access,
    "aftercare": Aftercare,
    "jobs": Job,
    "sellers": Seller,
    "offers": Offer,
    "stints": Stint,
}
LISTS: tuple[str, ...] = tuple(_SECTIONS)
"""The keys of a workshop file that hold lists of entries."""


@dataclass(frozen=True)
class ParsedWorkshop:
    """A workshop with the lines of its file."""

    workshop: Workshop
    source: str
    """The file's name, for errors found later."""
    raw: RawMap
    """What stood in the file, as text."""

    def line_of(self, where: str) -> int | None:
        """Line of a value, counted from 1.

        Parameters
        ----------
        where : str
            Path such as ``jobs[3].access[0]`` or ``shelf.wren/front/drop-link``.

        Returns
        -------
        int or None
            For a key that is not there the line of what it would stand in; None if there is no such entry.
        """
        return _line_at(self.raw, _steps(where))


def read_workshop(path: str | os.PathLike[str]) -> Workshop:
    """Read and check a workshop file.

    Parameters
    ----------
    path : str or path-like
        A file of at most 1 MB in the format of docs/workshop-file.md.

    Returns
    -------
    Workshop
        Money in minor units, time in minutes.

    Raises
    ------
    WorkshopFileError
        With all problems at once; also if the file cannot be read at all.
    """
    return read_with_lines(path).workshop


def parse_workshop(text: str | bytes, source: str = "workshop file") -> Workshop:
    """Read and check the text of a workshop file as ``read_workshop`` does; ``source`` names it in errors."""
    return parse_with_lines(text, source).workshop


def read_with_lines(path: str | os.PathLike[str]) -> ParsedWorkshop:
    """As ``read_workshop``, with the lines for checks that come after."""
    return parse_with_lines(read_bytes(path), os.fspath(path))


def read_bytes(path: str | os.PathLike[str]) -> bytes:
    """What a file holds, up to one byte more than a workshop file may have; errors as ``read_workshop``."""
    source = os.fspath(path)
    try:
        with Path(source).open("rb") as file:
            return file.read(MAX_BYTES + 1)
    except (OSError, ValueError) as error:  # ValueError: a NUL in the name
        raise WorkshopFileError(shown(source), [_cannot_open(error)]) from None


def parse_with_lines(text: str | bytes, source: str = "workshop file") -> ParsedWorkshop:
    """As ``parse_workshop``, with the lines for checks that come after."""
    try:
        root, problems = build_tree(decode(text))
    except UnreadableError as error:
        raise WorkshopFileError(source, [error.problem]) from None
    if not isinstance(root, RawMap):
        raise WorkshopFileError(source, _in_order([*problems, _no_map(root)]))
    reader = _Reader(root, problems)
    workshop = reader.read()
    if reader.problems or workshop is None:
        raise WorkshopFileError(source, _in_order(reader.problems))
    return ParsedWorkshop(workshop, source, root)


def _no_map(root: object) -> Problem:
    way_out = f"start it with `format: {FORMAT}`"
    if is_null(root):
        return whole_file("", "the file is empty", way_out)
    return whole_file(shown(root), "a workshop file is a map of keys, such as `cars:` and `jobs:`", way_out)


def _cannot_open(error: Exception) -> Problem:
    if isinstance(error, FileNotFoundError):
        return whole_file("", "there is no such file", "check the name and the folder")
    if isinstance(error, IsADirectoryError):
        return whole_file("", "this is a folder, not a file", "name the workshop file in it")
    if isinstance(error, PermissionError):
        return whole_file("", "the file may not be read", "change its permissions")
    what = error.strerror if isinstance(error, OSError) and error.strerror else str(error)
    return whole_file("", f"the file cannot be read ({what})", "check the name and the disk")


def _in_order(problems: list[Problem]) -> list[Problem]:
    ordered = sorted(problems, key=lambda problem: problem.line or 0)
    if len(ordered) <= MAX_PROBLEMS:
        return ordered
    more = f"there are {len(ordered) - MAX_PROBLEMS} more problems"
    return [*ordered[:MAX_PROBLEMS], whole_file("", more, "mend these and check again")]


def _steps(where: str) -> Loc:
    """Path as people write it to the steps of it."""
    steps: list[int | str] = []
    for index, key in re.findall(r"\[([0-9]{1,9})\]|([^.\[\]]+)", where):
        steps.append(int(index) if index else key)
    return tuple(steps)


def _line_at(root: RawMap, loc: Loc) -> int | None:
    """Line of the value at a place, or of the innermost map that it is missing from."""
    at: Any = root
    line: int | None = None
    for step in loc:
        if isinstance(at, RawMap) and isinstance(step, str):
            if step not in at.lines:
                return line if line is not None else 1
            line, at = at.lines[step], at.get(step)
        elif isinstance(at, RawList) and isinstance(step, int):
            if not 0 <= step < len(at):
                return None
            line, at = at.lines[step], at[step]
        else:
            return line
    return line


class _Reader:
    def __init__(self, root: RawMap, problems: list[Problem]) -> None:
        self.root = root
        self.problems = problems

    def read(self) -> Workshop | None:
        """The workshop; if there are problems, what of it could be read."""
        if not self._check_format():
            return None
        head = {key: value for key, value in self.root.items() if key not in _SECTIONS and key != "format"}
        sections = {section: tuple(self._items(section)) for section in _SECTIONS if section in self.root}
        workshop = self._validate(Workshop, head, ()).model_copy(update=sections)
        unreadable = [s for s in _SECTIONS if s in self.root and not isinstance(self.root[s], RawList)]
        self.problems += check_workshop(workshop, self._line_of, unreadable=unreadable)
        return workshop

    def _line_of(self, where: str) -> int | None:
        return _line_at(self.root, _steps(where))

    def _check_format(self) -> bool:
        """Whether the rest of the file is worth looking at."""
        found = self.root.get("format")
        if found == FORMAT or found is SPOILED:
            return True
        value = "" if found is None else shown(found)
        way_out = f"{'write' if 'format' in self.root else 'start the file with'} `format: {FORMAT}`"
        problem = Problem(
            _line_at(self.root, ("format",)), "format", value, f"the format is {FORMAT}", way_out
        )
        self.problems.append(problem)
        return not (isinstance(found, str) and re.fullmatch(r"onceapart-[a-z]+/[0-9]+", found, re.ASCII))

    def _items(self, section: str) -> Iterator[BaseModel]:
        """The entries of a section, each at its own index, even if little of it could be read."""
        model, raw = _SECTIONS[section], self.root[section]
        if not isinstance(raw, RawList):
            self._report(model, (section,), (section,), {"type": "list_type", "input": raw})
            return
        for index, item in enumerate(raw):
            if isinstance(item, RawMap):
                yield self._validate(model, item, (section, index))
            else:
                self._report(model, (section, index), (), {"type": "model_type", "input": item})
                yield salvage(model, {}, {})

    def _validate(self, model: type[AnyModel], raw: dict[str, Any], loc: Loc) -> AnyModel:
        """One model from its map; problems are reported at its place, and what is good is kept."""
        try:
            return model.model_validate(raw, by_alias=True, by_name=False)
        except ValidationError as error:
            bad: dict[str, set[Loc]] = {}
            for one in error.errors(include_url=False):
                inner = one["loc"]
                kind = one["type"]
                if inner[-1] == "[key]":
                    inner, kind = inner[:-1], "broken_key"
                bad.setdefault(str(inner[0]), set()).add(inner)
                self._report(model, (*loc, *inner), inner, {**one, "type": kind})
            return salvage(model, raw, bad)

    def _report(self, model: type[BaseModel], loc: Loc, inner: Loc, error: Mapping[str, Any]) -> None:
        if error["input"] is SPOILED:
            return
        value, rule, way_out = describe(model, inner, error)
        self.problems.append(Problem(_line_at(self.root, loc), where_of(loc), value, rule, way_out))
