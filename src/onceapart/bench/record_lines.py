"""The lines of a record file: how one is sealed, and what a file of them holds.

Each line ends in a checksum over the line before and itself (SHA-256, the first 32 hexadecimal digits), so
that a line changed, taken out or put in shows. It keeps honest people honest: whoever reckons all later
checksums anew leaves no trace, and lines cut off at the end show only to those who know the last checksum.
"""

from __future__ import annotations

import hashlib
import json
import re
from dataclasses import dataclass
from typing import Any

from pydantic import ValidationError

from onceapart.bench.entries import ENTRY_WORDS, Entry, entry_of, entry_to_json
from onceapart.errors import Problem
from onceapart.workshop.tree import shown, where_of
from onceapart.workshop.values import nearest

RECORD_FORMAT = "onceapart-record/1"
SUM_DIGITS = 32
MAX_PROBLEMS = 50
_SEALED = re.compile(rb'(\{.*),"sum":"([0-9a-f]{32})"\}', re.DOTALL)
_HEADER = f'{{"format":"{RECORD_FORMAT}"}}'
_PUT_BACK = (
    "put the file back from a copy, or keep what can be read of it with `onceapart record FILE --mend`"
)


@dataclass(frozen=True)
class Torn:
    """What stands behind the last whole line: a write that was cut off, and was never confirmed."""

    line: int
    data: bytes

    def __str__(self) -> str:
        return (
            f"line {self.line}: {len(self.data)} bytes of an entry that was cut off while it was written; "
            f"it was never confirmed, and all entries before it are whole"
        )


@dataclass(frozen=True)
class Lines:
    """What the bytes of a record file hold."""

    entries: tuple[Entry, ...]
    """Those that can be read, in the order of the file, with the numbers they have."""
    problems: tuple[Problem, ...]
    """Damage; empty for a sound record, torn or not."""
    torn: Torn | None
    end: int
    """Bytes up to the end of the last whole line."""
    last_sum: str
    """Checksum that the next line follows on; empty for a file without a header."""
    needs_break: bool
    """Whether only the line break is missing at the end."""


def seal(body: str, last_sum: str) -> bytes:
    """A line of the file, with its line break.

    Parameters
    ----------
    body : str
        A JSON object without line breaks.
    last_sum : str
        Checksum of the line before; empty for the first.
    """
    whole = body.encode()
    return whole[:-1] + f',"sum":"{_sum(whole, last_sum)}"}}\n'.encode()


def header() -> bytes:
    """The first line of a record."""
    return seal(_HEADER, "")


def sum_of(line: bytes) -> str:
    """The checksum that a sealed line carries."""
    found = _SEALED.fullmatch(line.removesuffix(b"\n"))
    if found is None:
        raise ValueError("the line is not sealed")
    return found[2].decode()


def entry_line(entry: Entry, last_sum: str) -> bytes:
    """The sealed line of an entry."""
    return seal(entry_to_json(entry), last_sum)


def read_lines(data: bytes) -> Lines:
    """Take the bytes of a record file apart; never raises, whatever they are."""
    reader = _Reader()
    at, tail = 0, data
    while (cut := data.find(b"\n", at)) >= 0:
        is_last = cut + 1 == len(data)
        if is_last and b"\0" in data[at:cut]:
            break  # what a loss of power leaves of a last write
        reader.take(data[at:cut])
        at = cut + 1
    tail = data[at:]
    needs_break = bool(tail) and reader.is_whole(tail)
    if needs_break:
        reader.take(tail)
        at, tail = len(data), b""
    torn = Torn(reader.line + 1, tail) if tail else None
    return Lines(
        entries=tuple(reader.entries),
        problems=tuple(reader.problems[:MAX_PROBLEMS]),
        torn=torn,
        end=at,
        last_sum=reader.last_sum,
        needs_break=needs_break,
    )


def _sum(body: bytes, last_sum: str) -> str:
    return hashlib.sha256(last_sum.encode() + b"\n" + body).hexdigest()[:SUM_DIGITS]


class _Reader:
    def __init__(self) -> None:
        self.line = 0
        self.last_sum = ""
        self.entries: list[Entry] = []
        self.ids: dict[str, int] = {}
        self.problems: list[Problem] = []

    def is_whole(self, line: bytes) -> bool:
        """Whether a line is sealed and follows on the one before."""
        found = _SEALED.fullmatch(line)
        return found is not None and _sum(found[1] + b"}", self.last_sum) == found[2].decode()

    def take(self, line: bytes) -> None:
        self.line += 1
        found = _SEALED.fullmatch(line)
        if self.line == 1 and not line.startswith(_HEADER[:-1].encode()):
            rule = f"a record starts with the line of its format, {RECORD_FORMAT}"
            self._report("format", line, rule, "name the record of this workshop, or put it back from a copy")
        if found is None:
            self._report("line", line, "this is no line of a record", _PUT_BACK)
            return
        if not self.is_whole(line):
            rule = (
                "the line and its checksum do not belong together: it, or the line before it, was changed, "
                "put in or taken out"
            )
            self._report("sum", found[2], rule, _PUT_BACK)
        self.last_sum = found[2].decode()
        if not found[1].startswith(b'{"format":'):
            self._take_entry(found[1] + b"}")

    def _take_entry(self, body: bytes) -> None:
        try:
            data = json.loads(body)
            entry = entry_of(data)
        except ValidationError as error:
            self._report_entry(data, error)
            return
        except (ValueError, RecursionError):
            self._report("line", body, "this is no JSON", _PUT_BACK)
            return
        last = self.entries[-1].number if self.entries else 0
        if entry.number <= last:
            rule = f"numbers of entries rise, and the one before is {last}"
            self._report("number", str(entry.number).encode(), rule, _PUT_BACK)
        elif entry.id in self.ids:
            rule = f"an entry stands in a record once, and this one is on line {self.ids[entry.id]} too"
            self._report("id", entry.id.encode(), rule, _PUT_BACK)
        else:
            self.entries.append(entry)
            self.ids[entry.id] = self.line

    def _report_entry(self, data: Any, error: ValidationError) -> None:
        first = error.errors(include_url=False)[0]
        kind = data.get("kind") if isinstance(data, dict) else None
        if first["type"].startswith("union_tag"):
            near = nearest(str(kind), ENTRY_WORDS)
            rule = "this kind of entry is not known here" + (f" (there is {near!r})" if near else "")
            self._report("kind", str(kind).encode(), rule, "read it with the version that wrote it, or later")
            return
        loc = tuple(step for step in first["loc"][1:] if "[" not in str(step))
        rule, _, way_out = str(first["msg"]).partition("; ")
        self._report(where_of(loc) or "entry", str(first["input"]).encode(), rule, way_out or _PUT_BACK)

    def _report(self, where: str, value: bytes, rule: str, way_out: str) -> None:
        text = shown(value[:200].decode("utf-8", errors="replace"))
        self.problems.append(Problem(self.line, where, text, rule, way_out))
