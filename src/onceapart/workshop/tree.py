"""YAML text to a plain tree of maps, lists and text that knows its lines, with nothing guessed.

ruamel.yaml's event level is used, so that a value stays the text it was: no ``12:30`` becomes a number and
no ``no`` becomes false. Everything the format has no need of (anchors, tags, merge keys, further documents)
is refused, and so is what would take long to read.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import Any, Final

from ruamel.yaml import YAML
from ruamel.yaml.error import MarkedYAMLError
from ruamel.yaml.events import (
    AliasEvent,
    CollectionEndEvent,
    CollectionStartEvent,
    DocumentEndEvent,
    DocumentStartEvent,
    MappingStartEvent,
    ScalarEvent,
)

from onceapart.errors import Problem
from onceapart.workshop.values import Plain

MAX_BYTES = 1_000_000
"""Largest file read: ten times that of five cars with eighty jobs and nine hundred offers."""
MAX_VALUES = 100_000
MAX_DEPTH = 16
MAX_KEY = 120

Loc = tuple[int | str, ...]


class Spoiled:
    """Stands where a value was refused already, so that nothing more is said about it."""

    def __repr__(self) -> str:
        return "SPOILED"


SPOILED: Final = Spoiled()


class RawMap(dict[str, Any]):
    """A map from the file: where it starts, and where each of its keys stands."""

    def __init__(self, line: int) -> None:
        super().__init__()
        self.line = line
        self.lines: dict[str, int] = {}


class RawList(list[Any]):
    """A list from the file: where it starts, and where each of its entries starts."""

    def __init__(self, line: int) -> None:
        super().__init__()
        self.line = line
        self.lines: list[int] = []


class UnreadableError(Exception):
    """The text ends the reading at once, for this problem."""

    def __init__(self, problem: Problem) -> None:
        super().__init__(problem)
        self.problem = problem


# Everything but the printable characters of YAML 1.2 (section 5.1); a byte order mark only starts a file.
_NOT_PRINTABLE = re.compile(
    "[^\t\n\r\x20-\x7e\x85\xa0-\ud7ff\ue000-\ufefe\uff00-\ufffd\U00010000-\U0010ffff]"
)


def decode(data: str | bytes) -> str:
    """Text of a file, without a byte order mark; raises UnreadableError if it can't be a workshop file."""
    if len(data) > MAX_BYTES:
        raise UnreadableError(
            whole_file("", f"a workshop file has at most {MAX_BYTES:,} bytes", "keep other things elsewhere")
        )
    if isinstance(data, bytes):
        try:
            text = data.decode("utf-8-sig")
        except UnicodeDecodeError as error:
            line = data.count(b"\n", 0, error.start) + 1
            value = f"byte 0x{data[error.start]:02x}"
            problem = Problem(line, "file", value, "a workshop file is UTF-8 text", "save it as UTF-8")
            raise UnreadableError(problem) from None
    else:
        text = data.removeprefix("\ufeff")
    found = _NOT_PRINTABLE.search(text)
    if found:
        line = text.count("\n", 0, found.start()) + 1
        value = f"character U+{ord(found.group()):04X}"
        rule = "a workshop file holds printable text only"
        raise UnreadableError(Problem(line, "file", value, rule, "take the character out"))
    return text


def whole_file(value: str, rule: str, way_out: str) -> Problem:
    """A problem of the file as a whole, which no line can be named for."""
    return Problem(None, "file", value, rule, way_out)


def build_tree(text: str) -> tuple[Any, list[Problem]]:
    """Tree of the one document in the text, and what was refused on the way.

    Returns
    -------
    tuple
        A RawMap, a RawList or text (``Plain`` if unquoted), and the problems: duplicate keys,
        anchors, tags and the like, at whose places SPOILED stands.

    Raises
    ------
    UnreadableError
        If the text is no YAML, is empty, nests too deeply or holds too many values.
    """
    builder = _Builder()
    for event in _events(text):
        builder.take(event)
    if builder.root is None:
        raise UnreadableError(
            whole_file("", "the file is empty", "start it with `format: onceapart-workshop/1`")
        )
    return builder.root, builder.problems


def _events(text: str) -> Iterator[Any]:
    events = YAML(typ="safe", pure=True).parse(text)
    while True:
        try:
            event = next(events)
        except StopIteration:
            return
        except MarkedYAMLError as error:
            raise UnreadableError(_not_yaml(error)) from None
        except Exception as error:  # the parser lets go of ValueError, AssertionError and others on odd text
            what = str(error).splitlines()[0][:80] if str(error) else type(error).__name__
            raise UnreadableError(
                whole_file("", f"not readable as YAML 1.2 ({what})", "take out what is unusual in it")
            ) from None
        yield event


def _not_yaml(error: MarkedYAMLError) -> Problem:
    mark = error.problem_mark or error.context_mark
    line = mark.line + 1 if mark is not None else None
    what = " ".join(str(part).strip() for part in (error.context, error.problem) if part)
    if error.context_mark is not None and mark is not None and error.context_mark.line != mark.line:
        what += f", begun on line {error.context_mark.line + 1}"
    way_out = "check indents, quotes and brackets on this line and the one before it"
    if "'\\t'" in what:
        way_out = "indent with spaces, not with tabs"
    elif "mapping values are not allowed" in what:
        way_out = "check the indent, and put text that holds a colon in quotes"
    elif "cannot start any token" in what:
        way_out = "put the text in quotes"
    return Problem(line, "file", "", f"not readable as YAML 1.2 ({what})", way_out)


class _Builder:
    """Puts one event after another into the tree."""

    def __init__(self) -> None:
        self.root: Any = None
        self.problems: list[Problem] = []
        self.documents = 0
        self.values = 0
        # The maps and lists not yet closed, with the step that leads to each from the one before.
        self.open: list[RawMap | RawList] = []
        self.path: list[int | str] = []
        # For each open map, the key that waits for its value; None: a key comes next.
        self.keys: list[str | Spoiled | None] = []

    def take(self, event: Any) -> None:
        line = event.start_mark.line + 1
        if isinstance(event, ScalarEvent):
            self._check_node(event, line)
            if event.ctag is not None:
                self._refuse_tag(event, line)
            self._put(Plain(event.value) if event.style is None else event.value, line)
        elif isinstance(event, CollectionStartEvent):
            self._start(event, line)
        elif isinstance(event, CollectionEndEvent):
            self.open.pop()
            self.keys.pop()
            self.path.pop()
        elif isinstance(event, AliasEvent):
            self._check_node(None, line)
            rule = "the format has no aliases"
            self._refuse(line, f"*{event.anchor}", rule, "write the value out where it is wanted")
            self._put(SPOILED, line)
        elif isinstance(event, DocumentStartEvent):
            self._start_document(event, line)
        elif isinstance(event, DocumentEndEvent) and self.root is None:
            self.root = Plain("")

    def _start_document(self, event: DocumentStartEvent, line: int) -> None:
        self.documents += 1
        if self.documents > 1:
            rule = "a workshop file is one document"
            raise UnreadableError(
                Problem(line, "file", "---", rule, "put each workshop in a file of its own")
            )
        if event.version not in (None, (1, 2)) or event.tags:
            rule = "a workshop file is plain YAML 1.2"
            self._refuse(1, "%", rule, "leave the lines out that start with %")

    def _start(self, event: CollectionStartEvent, line: int) -> None:
        self._check_node(event, line)
        if event.ctag is not None:
            self._refuse_tag(event, line)
        if len(self.open) == MAX_DEPTH:
            rule = f"nothing nests deeper than {MAX_DEPTH} levels"
            raise UnreadableError(Problem(line, "file", "", rule, "check the brackets and indents"))
        new = RawMap(line) if isinstance(event, MappingStartEvent) else RawList(line)
        step = self._here()[-1:] or ("",)
        self._put(new, line)
        self.open.append(new)
        self.keys.append(None)
        self.path.extend(step)

    def _check_node(self, event: Any, line: int) -> None:
        self.values += 1
        if self.values > MAX_VALUES:
            rule = f"a workshop file holds at most {MAX_VALUES:,} values"
            raise UnreadableError(Problem(line, "file", "", rule, "keep other things elsewhere"))
        if event is not None and event.anchor is not None:
            rule = "the format has no anchors"
            self._refuse(line, f"&{event.anchor}", rule, "take the & and the name after it out")

    def _refuse_tag(self, event: Any, line: int) -> None:
        self._refuse(line, str(event.tag), "the format has no tags", "take the ! and what follows it out")

    def _refuse(self, line: int, value: str, rule: str, way_out: str, where: Loc | None = None) -> None:
        at = where_of(self._here() if where is None else where)
        self.problems.append(Problem(line, at, shown(value), rule, way_out))

    def _here(self) -> Loc:
        """Where the next value goes."""
        if not self.open:
            return ()
        holder, key = self.open[-1], self.keys[-1]
        step = len(holder) if isinstance(holder, RawList) else key if isinstance(key, str) else ""
        return (*self.path[1:], step)

    def _put(self, value: Any, line: int) -> None:
        if not self.open:
            self.root = value
            return
        holder = self.open[-1]
        if isinstance(holder, RawList):
            holder.append(value)
            holder.lines.append(line)
        elif self.keys[-1] is None:
            self.keys[-1] = self._key(holder, value, line)
        else:
            key, self.keys[-1] = self.keys[-1], None
            if isinstance(key, str):
                holder[key] = value

    def _key(self, holder: RawMap, value: Any, line: int) -> str | Spoiled:
        if not isinstance(value, str):
            if value is not SPOILED:
                self._refuse(line, shown(value), "a key is one word", "check the indent and the colons")
            return SPOILED
        where = (*self.path[1:], value[:MAX_KEY])
        if value == "<<" and isinstance(value, Plain):
            self._refuse(line, "<<", "the format has no merge keys", "write the keys out", where)
            return SPOILED
        if len(value) > MAX_KEY:
            self._refuse(line, value, f"keys have at most {MAX_KEY} letters", "shorten it", where)
            return SPOILED
        if value in holder.lines:
            rule = f"the key stands there already, on line {holder.lines[value]}"
            self._refuse(line, value, rule, "keep one of the two", where)
            return SPOILED
        holder.lines[value] = line
        return value


def shown(value: object) -> str:
    """A value as it is named in a problem: short, on one line, and what it is rather than all of it."""
    if isinstance(value, dict):
        return "a map"
    if isinstance(value, list | tuple):
        return "a list"
    text = str(value)
    text = text if len(text) <= 60 else f"{text[:40]}... ({len(text)} letters)"
    return text if text.isprintable() else text.encode("unicode_escape").decode("ascii")


def where_of(loc: Loc) -> str:
    """Path of a value as people write it.

    >>> where_of(("jobs", 3, "access", 0))
    'jobs[3].access[0]'
    """
    path = ""
    for step in loc:
        if isinstance(step, int):
            path += f"[{step}]"
        elif step:
            path += f".{shown(step)}" if path else shown(step)
    return path or "file"
