"""The one list of sums. The command line, the pages and the docs are built from it and from nothing else.

A family is a package here with a ``catalogue`` module that has ``TITLE`` and ``SUMS``. Catalogues are found
by name and loaded only when asked for.
"""

from __future__ import annotations

import difflib
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from enum import StrEnum
from functools import cache
from importlib import import_module
from pathlib import Path

from onceapart.errors import SumError
from onceapart.sums.inputs import Input
from onceapart.sums.quantity import shorten
from onceapart.sums.result import Output, Result


class Status(StrEnum):
    """How far a figure can be trusted."""

    VERIFIED = "verified"
    """Seen in the document named, or in a copy or table of it."""
    FROM_MEMORY = "from memory"
    """Recalled, not seen at its source: check it before leaning on it."""
    COMMON_PRACTICE = "common practice"
    """What the trade does; no source."""
    DERIVED = "derived"
    """Follows from geometry or the other figures; no document says it."""


@dataclass(frozen=True)
class Source:
    """Where a figure or a formula comes from."""

    document: str
    place: str
    """Clause, table, equation or page; empty if the whole of it is meant or none is known."""
    status: Status
    gives: str = ""
    """What was taken from it."""

    def __str__(self) -> str:
        place = f", {self.place}" if self.place else ""
        gives = f": {self.gives}" if self.gives else ""
        return f"{self.document}{place}{gives} ({self.status})"


@dataclass(frozen=True, kw_only=True)
class Sum:
    """One engineering sum, described well enough to ask for its inputs and show its answer."""

    name: str
    """First word: the family without its plural s (``bolt-torque``); lower case, hyphens."""
    title: str
    question: str
    """What it answers, in plain words, ending in a question mark."""
    inputs: tuple[Input, ...]
    outputs: tuple[Output, ...]
    sources: tuple[Source, ...]
    example: Mapping[str, str]
    """Input name -> typed text, a case that runs."""
    answer: Callable[..., Result]
    """Called with one keyword for each input, ``Input.python_name``."""
    cautions: tuple[str, ...] = ()
    can_hurt: bool = True
    """Whether a wrong answer can hurt someone; then it needs a caution."""
    verdicts: tuple[str, ...] = ()
    """The verdict words it may give, best first; empty if it gives none."""


@dataclass(frozen=True)
class Family:
    """Sums that belong together."""

    name: str
    title: str
    sums: tuple[Sum, ...]


@cache
def family_names() -> tuple[str, ...]:
    """Every family shipped, without loading any."""
    return tuple(sorted(path.parent.name for path in Path(__file__).parent.glob("*/catalogue.py")))


@cache
def load_family(name: str) -> Family:
    """Load one family's catalogue."""
    catalogue = import_module(f"onceapart.sums.{name}.catalogue")
    return Family(name, catalogue.TITLE, tuple(catalogue.SUMS))


def all_sums() -> tuple[Sum, ...]:
    """Every sum, family by family."""
    return tuple(each for name in family_names() for each in load_family(name).sums)


def find_sum(name: str) -> Sum:
    """The sum of that name; loads its family only, if the name begins with it.

    Raises
    ------
    SumError
        No such sum; the message names the nearest ones.
    """
    first_word = name.partition("-")[0]
    likely = [family for family in family_names() if first_word and family.startswith(first_word)]
    for families in (likely, family_names()):
        for family in families:
            for each in load_family(family).sums:
                if each.name == name:
                    return each
    names = [each.name for each in all_sums()]
    near = difflib.get_close_matches(name[:60], names, 3, 0.5) or names
    raise SumError(f"{shorten(name)}: no such sum; there is {', '.join(near)}")
