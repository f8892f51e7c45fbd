"""What the commands of the record share: the workshop, its record, and adding to it."""

from __future__ import annotations

import datetime as dt
import sys
from dataclasses import dataclass
from typing import TYPE_CHECKING, Annotated, NoReturn

import typer

from onceapart.cli.files import UNUSABLE, say_problems
from onceapart.cli.screen import say
from onceapart.errors import FileProblemsError

if TYPE_CHECKING:
    from onceapart.bench.entries import Entry
    from onceapart.bench.record import RecordFile
    from onceapart.bench.record_lines import Torn
    from onceapart.bench.release import CarRelease
    from onceapart.bench.release_work import Work
    from onceapart.bench.state import State
    from onceapart.workshop import Car, Workshop

File = Annotated[str, typer.Argument(metavar="FILE", help="A workshop file; its record stands beside it.")]
WhoOption = Annotated[str | None, typer.Option("--who", metavar="NAME", help="Who did it.")]
OdometerOption = Annotated[
    str | None, typer.Option("--odometer", metavar="READING", help='As in "143200 km" or "89400 mi".')
]


@dataclass
class Bench:
    """A workshop and its record as it was read; ``add`` keeps it up to date."""

    workshop: Workshop
    work: Work
    store: RecordFile
    entries: tuple[Entry, ...]

    @property
    def state(self) -> State:
        """How things stand."""
        from onceapart.bench.state import fold

        return fold(self.entries, self.work.job_steps)

    def add(self, entry: Entry) -> Entry:
        """Keep an entry; exits with its reason if that can't be done."""
        from onceapart.bench.record import RecordError

        try:
            kept = self.store.append(entry)
            self.entries = self.store.entries()
        except FileProblemsError as error:
            say_problems(error)
            raise typer.Exit(UNUSABLE) from None
        except RecordError as error:
            refuse(str(error))
        return kept

    def release(self, car: str, odometer: str | None = None) -> CarRelease:
        """How the release of a car stands today."""
        from onceapart.bench.release import release_of

        return release_of(self.entries, car, self.work, dt.date.today(), odometer)

    def car(self, car_id: str) -> Car:
        """A car by its id; exits if there is none."""
        from onceapart.workshop.values import nearest

        cars = {car.id: car for car in self.workshop.cars}
        if car_id not in cars:
            near = nearest(car_id, list(cars))
            way_out = f"did you mean {near}?" if near else f"there is {', '.join(cars) or 'none'}"
            refuse(f"{car_id}: there is no car with this id; {way_out}")
        return cars[car_id]


def at_bench(path: str) -> Bench:
    """Read a workshop file and its record; with problems, say them all and exit with 2."""
    from onceapart.bench.record import RecordError, RecordFile, record_path
    from onceapart.bench.release_work import work_of
    from onceapart.trade import apply_recipes
    from onceapart.workshop import read_with_lines

    if path == "-":
        refuse("-: a record stands beside its workshop file; name the file")
    try:
        parsed = read_with_lines(path)
        workshop = apply_recipes(parsed.workshop, source=parsed.source, line_of=parsed.line_of)
        store = RecordFile(record_path(path), on_repair=_say_repair)
        look = store.look()
    except FileProblemsError as error:
        say_problems(error)
        if type(error).__name__ == "RecordFileError":
            say("As long as its record can't be read, no car of this workshop is released.")
        raise typer.Exit(UNUSABLE) from None
    except RecordError as error:
        refuse(str(error))
    if look.torn:
        say(f"{store.path}: {look.torn}. It is put aside when the next entry is kept.")
    return Bench(workshop, work_of(workshop), store, look.entries)


def made(kind: type[Entry], **fields: object) -> Entry:
    """A new entry from what was typed; exits with every value that does not fit."""
    from pydantic import ValidationError

    from onceapart.bench.entries import new_id, now
    from onceapart.workshop.tree import shown

    try:
        return kind(id=new_id(), time=now(), **fields)
    except ValidationError as error:
        for one in error.errors(include_url=False):
            say(f"{one['loc'][0] if one['loc'] else ''} {shown(one['input'])}: {one['msg']}")
        raise typer.Exit(UNUSABLE) from None


def why_words(found: CarRelease) -> list[str]:
    """Why it is not released; of checks not answered, which are listed below, only how many there are."""
    from onceapart.bench.release_checks import AgainstKind
    from onceapart.cli.words import count

    still_open = [one for one in found.checks if one.state == "open"]
    told = {one.id for one in still_open}
    rest = [str(one) for one in found.against if one.kind is not AgainstKind.CHECK or one.of not in told]
    last = list(found.why[len(found.against) :])
    if still_open:
        verb = "is" if len(still_open) == 1 else "are"
        rest.append(
            f"{count(len(still_open), 'check')} {verb} not answered; answer with --yes CHECK or --no CHECK"
        )
    return [*rest, *last]


def refuse(message: str) -> NoReturn:
    """Say why something can't be done, and exit with 2."""
    say(message)
    raise typer.Exit(UNUSABLE)


def _say_repair(torn: Torn) -> None:
    print(f"line {torn.line} of the record was cut off and is put aside; nothing is lost", file=sys.stderr)
