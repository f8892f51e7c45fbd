"""Ways on from what goes otherwise than planned, as checked data (``ways/*.yaml``).

What each means for a car, its parts and its plan is worked out in ``bench``; here is what one does, how
long it takes, what it costs and what to mind. Figures are common practice, without a source.
"""

from __future__ import annotations

import os
from functools import cache
from importlib.resources import files
from pathlib import Path
from typing import Annotated, Literal, TypeAlias, get_args

from pydantic import Field, model_validator

from onceapart.errors import Problem
from onceapart.trade.datafile import DataFile
from onceapart.trade.library import Library
from onceapart.trade.schema import (
    Name,
    Price,
    Share,
    Spread,
    System,
    Words,
    _Frozen,
    broken,
)
from onceapart.workshop.values import nearest

GUIDE = "docs/snags.md"
SnagName: TypeAlias = Literal[
    "broken fastener",
    "seized fastener",
    "wrong part",
    "bad part",
    "short of time",
    "damage found",
    "left unfinished",
    "missing tool",
]
SNAGS: tuple[str, ...] = get_args(SnagName)
Act: TypeAlias = Literal[
    "work",
    "substitute",
    "stopgap",
    "order",
    "counter",
    "return",
    "borrow",
    "hire",
    "buy",
    "elsewhere",
    "job",
    "longer",
    "stop",
    "put-off",
    "leave",
]
"""What choosing a way does.

``work``: minutes are added to the job. ``substitute``: another fastener, checked by the bolt sum.
``stopgap``: a makeshift with limits. ``order``, ``counter``: a new part by post, or today. ``return``: the
part goes back, and another is ordered. ``borrow``, ``hire``, ``buy``: a tool. ``elsewhere``: somebody else
does the job. ``job``: a new job. ``longer``: today's stint is drawn out. ``stop``: today's stint ends, the
car stays as it is. ``put-off``: the job is not done on that day. ``leave``: the job is not done at all.
"""


class Way(_Frozen):
    """One way on from some kinds of snag. Minutes are those it adds; the price is a decimal in the
    workshop's currency, for what it uses up."""

    id: Name
    title: Words
    snags: Annotated[tuple[SnagName, ...], Field(alias="for", min_length=1)]
    do: Words
    act: Act = "work"
    minutes: Spread
    price: Price = "0"
    works: Share | None = None
    """How often it comes to a good end."""
    takes_new: bool = False
    """A new fastener or part goes in at the end."""
    not_for: tuple[System, ...] = ()
    """Systems in which it is not to be tried."""
    after: Words | None = None
    """What it leaves behind, or what to do when it does not work."""
    days: Annotated[int, Field(ge=1, le=365)] | None = None
    """How many days a makeshift may stay at most."""
    cautions: tuple[Name, ...] = ()
    basis: Words | None = None

    @model_validator(mode="after")
    def _check_days(self) -> Way:
        if (self.act == "stopgap") != (self.days is not None):
            raise broken("a stopgap, and nothing else, has an end", "give `days` with `act: stopgap` only")
        return self


class WaysFile(_Frozen):
    format: Literal["onceapart-ways/1"]
    basis: Words
    ways: Annotated[tuple[Way, ...], Field(min_length=1)]


@cache
def all_ways() -> dict[str, Way]:
    """Every way that comes with the program, by id, in the order of the files.

    >>> all_ways()["drill-out"].act
    'work'
    """
    folder = files("onceapart.trade") / "ways"
    paths = sorted((one for one in folder.iterdir() if one.name.endswith(".yaml")), key=lambda one: one.name)
    found: dict[str, Way] = {}
    for path in paths:
        data = DataFile(path, f"ways/{path.name}", GUIDE)
        found.update({way.id: way for way in _checked(data, found)})
    return found


def ways_of(snag: str) -> tuple[Way, ...]:
    """The ways on from a kind of snag, those that go on with the work first.

    >>> [way.id for way in ways_of("missing tool")][:3]
    ['borrow', 'hire', 'buy']
    """
    return tuple(way for way in all_ways().values() if snag in way.snags)


def load_ways_file(path: str | os.PathLike[str]) -> tuple[Way, ...]:
    """Ways of one's own; raises TradeDataError with all problems of the file at once."""
    source = os.fspath(path)
    return _checked(DataFile(Path(source), source, GUIDE), {})


def _checked(data: DataFile, before: dict[str, Way]) -> tuple[Way, ...]:
    read = data.checked(WaysFile)
    known, problems = Library().cautions, list[Problem]()
    seen = set(before)
    for at, way in enumerate(read.ways):
        if way.id in seen:
            rule = "another way has this id"
            problems.append(data.problem(("ways", at, "id"), way.id, rule, "give it an id of its own"))
        seen.add(way.id)
        for place, caution in enumerate(way.cautions):
            if caution not in known:
                near = nearest(caution, list(known))
                way_out = f"did you mean {near}?" if near else "use one of shared/cautions.yaml"
                where = ("ways", at, "cautions", place)
                problems.append(data.problem(where, caution, "there is no caution with this id", way_out))
    if problems:
        raise data.error(problems)
    return tuple(way if way.basis else way.model_copy(update={"basis": read.basis}) for way in read.ways)
