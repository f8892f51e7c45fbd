"""Reading the workshop file of a command, and saying what is wrong with it."""

from __future__ import annotations

import datetime as dt
import sys
from dataclasses import dataclass
from typing import TYPE_CHECKING, Annotated

import typer

from onceapart.cli.screen import width_of
from onceapart.cli.wrapping import wrapped
from onceapart.errors import FileProblemsError, Problem

if TYPE_CHECKING:
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


def load(path: str) -> Loaded:
    """Read, check and prepare a workshop file; with problems, say them all and exit with 2."""
    try:
        return prepare(read(path))
    except FileProblemsError as error:
        say_problems(error)
        raise typer.Exit(UNUSABLE) from None


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
