"""What the commands about inspection have in common: the file, the cars asked for, and their rule packs."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING, Annotated

import typer

from onceapart.cli.files import UNUSABLE, read, say_problems

if TYPE_CHECKING:
    from onceapart.inspection.verdicts import CarVerdict
    from onceapart.trade.rules import Pack
    from onceapart.workshop import ParsedWorkshop, Workshop

WITHOUT_RULES = "home-check"
"""The pack for a car that names none."""

CarOption = Annotated[str | None, typer.Option("--car", metavar="ID", help="This car alone.")]
PackOption = Annotated[
    str | None,
    typer.Option(
        "--pack",
        metavar="PACK",
        help="Go by this rule pack: its id, or a file of your own. By default the one that the car's "
        f"`inspection` names, or else {WITHOUT_RULES}.",
    ),
]


@dataclass(frozen=True)
class Inspected:
    """A workshop, and what an inspection would say of its cars."""

    parsed: ParsedWorkshop
    verdicts: tuple[CarVerdict, ...]

    @property
    def workshop(self) -> Workshop:
        """As in its file: no recipes applied."""
        return self.parsed.workshop


def inspected(path: str, car: str | None, pack: str | None) -> Inspected:
    """Read a workshop file and judge its cars; with problems, say them all and exit with 2."""
    from onceapart.errors import FileProblemsError

    try:
        return inspect_parsed(read(path), car, pack)
    except FileProblemsError as error:
        say_problems(error)
        raise typer.Exit(UNUSABLE) from None


def inspect_parsed(parsed: ParsedWorkshop, car: str | None = None, pack: str | None = None) -> Inspected:
    """Judge the cars of a workshop that was read.

    Raises
    ------
    WorkshopFileError
        There is no such car, or a car names a rule pack that is not there.
    TradeDataError
        The pack asked for is not there, or its file is no good.
    """
    from onceapart.errors import Problem, WorkshopFileError
    from onceapart.inspection.verdicts import inspect_car
    from onceapart.workshop.values import nearest

    workshop = parsed.workshop
    ids = [one.id for one in workshop.cars]
    if car is not None and car not in ids:
        near = nearest(car, ids)
        way_out = f"did you mean {near}?" if near else f"there is {', '.join(ids) or 'none'}"
        raise WorkshopFileError(
            parsed.source, [Problem(None, "--car", car, "there is no car with this id", way_out)]
        )
    asked = _pack(pack) if pack is not None else None
    problems = list(unknown_packs(parsed)) if asked is None else []
    if problems:
        raise WorkshopFileError(parsed.source, problems)
    today = dt.date.today()
    return Inspected(
        parsed,
        tuple(
            inspect_car(workshop, one.id, asked or pack_of(workshop, one.id), today=today)
            for one in workshop.cars
            if car in (None, one.id)
        ),
    )


def _pack(name: str) -> Pack:
    """A pack by its id, or from a file."""
    from onceapart.trade.rules import load_pack, load_pack_file, pack_ids

    is_file = name not in pack_ids() and ("/" in name or "\\" in name or "." in name)
    return load_pack_file(name) if is_file else load_pack(name)


def pack_of(workshop: Workshop, car: str) -> Pack:
    """The rule pack of a car, which has to be there."""
    from onceapart.trade.rules import load_pack

    inspection = next(one.inspection for one in workshop.cars if one.id == car)
    return load_pack(inspection.rules if inspection and inspection.rules else WITHOUT_RULES)


def unknown_packs(parsed: ParsedWorkshop) -> Iterator[Problem]:
    """A problem for each car that names a rule pack that is not there."""
    from onceapart.errors import Problem
    from onceapart.trade.rules import pack_ids
    from onceapart.trade.rules.loading import unknown_pack

    for index, car in enumerate(parsed.workshop.cars):
        rules = car.inspection.rules if car.inspection else None
        if rules is not None and rules not in pack_ids():
            where = f"cars[{index}].inspection.rules"
            yield Problem(parsed.line_of(where), where, rules, *unknown_pack(rules))


if TYPE_CHECKING:
    from onceapart.errors import Problem
