"""Reading the workshop file of a command, and saying what is wrong with it."""

from __future__ import annotations

import datetime as dt
import sys
from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from onceapart.cli.screen import width_of
from onceapart.cli.wrapping import wrapped
from onceapart.errors import FileProblemsError, Problem

if TYPE_CHECKING:
    from onceapart.cli.page import Page
    from onceapart.planning.workload import Workload
    from onceapart.workshop import ParsedWorkshop, Workshop

UNUSABLE = 2
"""Exit status for a file that cannot be used."""

File = Annotated[
    str, typer.Argument(metavar="FILE", help="A workshop file; `-` reads it from standard input.")
]


@dataclass(frozen=True)
class Loaded:
    """A workshop with its recipes applied, and the planning problem it makes."""

    workshop: Workshop
    workload: Workload
    stopgaps: tuple[str, ...] = ()
    """What the record beside the file says of stopgaps that are open; their jobs must be done."""


def load(path: str) -> Loaded:
    """Read, check and prepare a workshop file; with problems, say them all and exit with 2.

    Open stopgaps in the record beside it come along, with the jobs that make them good.
    """
    try:
        parsed = read(path)
        found = prepare(parsed)
        if path != "-" and Path(path).with_suffix(".record.jsonl").exists():
            return _with_stopgaps(path, parsed, found)
        return found
    except FileProblemsError as error:
        say_problems(error)
        raise typer.Exit(UNUSABLE) from None


def _with_stopgaps(path: str, parsed: ParsedWorkshop, found: Loaded) -> Loaded:
    from onceapart.bench.record import RecordFile, record_path
    from onceapart.bench.release_work import work_of
    from onceapart.bench.replan_jobs import with_make_good
    from onceapart.bench.state import fold
    from onceapart.bench.stopgap import open_stopgaps

    state = fold(RecordFile(record_path(path)).entries(), work_of(found.workshop).job_steps)
    today = found.workload.today
    texts = tuple(text for car in found.workshop.cars for text in open_stopgaps(state, car.id, on=today))
    if not texts:
        return found
    workshop, _ = with_make_good(parsed.workshop, state, today)
    prepared = prepare(replace(parsed, workshop=workshop))
    return replace(prepared, stopgaps=texts)


def add_stopgaps(page: Page, texts: Sequence[str]) -> None:
    """Open stopgaps, on top of whatever is shown of their cars."""
    if texts:
        page.heading("OPEN STOPGAPS: makeshift, and not made good")
        page.sentences(texts)


def prepare(parsed: ParsedWorkshop) -> Loaded:
    """Apply the recipes of a workshop that was read.

    Raises
    ------
    WorkshopFileError
        With every problem that shows once the recipes are applied.
    """
    from onceapart.planning.workload import workload_from
    from onceapart.trade import apply_recipes

    workshop = apply_recipes(parsed.workshop, source=parsed.source, line_of=parsed.line_of)
    return Loaded(workshop, workload_from(workshop, dt.date.today()))


def read(path: str) -> ParsedWorkshop:
    """A workshop file with its lines; raises WorkshopFileError."""
    from onceapart.workshop import parse_with_lines, read_with_lines
    from onceapart.workshop.tree import MAX_BYTES

    if path != "-":
        return read_with_lines(path)
    return parse_with_lines(sys.stdin.buffer.read(MAX_BYTES + 1), "standard input")


def say_problems(error: FileProblemsError) -> None:
    """All problems of a file on the error stream: line and value, and below them rule and way out."""
    width = width_of(sys.stderr)
    n = len(error.problems)
    lines = [wrapped(f"{error.source}: {n} problem{'s' if n != 1 else ''}", width)]
    for problem in error.problems:
        if (problem.where, problem.value) != ("file", ""):
            lines.append(wrapped(_place(problem), width, "  ", "    "))
        lines.append(wrapped(f"{problem.rule}; {problem.way_out}", width, "    ", "    "))
    print("\n".join(lines), file=sys.stderr)


def _place(problem: Problem) -> str:
    line = f"line {problem.line}, " if problem.line is not None else ""
    value = f": {problem.value}" if problem.value else ""
    return f"{line}{problem.where}{value}"
