"""``onceapart check``: is a workshop file usable?"""

from __future__ import annotations

from typing import TYPE_CHECKING

import typer

from onceapart.cli.files import UNUSABLE, File, Loaded, prepare, read, say_problems

if TYPE_CHECKING:
    from onceapart.errors import Problem
    from onceapart.planning.workload import Workload
    from onceapart.workshop import ParsedWorkshop


def add_to(app: typer.Typer) -> None:
    """Add the command."""
    app.command("check")(check)


def check(file: File) -> None:
    """Say everything that is wrong with a workshop file.

    Each problem comes with its line, the value, the rule it breaks and the way out. Findings are held to
    the rule pack of their car. Exit status 0 if the file can be used, 2 if not.
    """
    from onceapart.cli.words import count
    from onceapart.cli.wrapping import wrapped
    from onceapart.errors import FileProblemsError

    try:
        found, odd = checked(read(file))
    except FileProblemsError as error:
        say_problems(error)
        raise typer.Exit(UNUSABLE) from None
    typer.echo(wrapped(f"{found.workshop.name}: the file is fine. {contents(found)}", 80))
    notes = [
        *unsold_parts(found.workload),
        *tools_not_to_be_had(found.workload),
        *(f"{one.where}, {one.value}: {one.rule}; {one.way_out}" for one in odd),
    ]
    if notes:
        typer.echo(wrapped(f"Worth knowing before planning ({count(len(notes), 'thing')}):", 80))
        for note in notes:
            typer.echo(wrapped(note, 80, "  - ", "    "))


def checked(parsed: ParsedWorkshop) -> tuple[Loaded, tuple[Problem, ...]]:
    """A workshop ready to be planned, and what is odd about its findings.

    Raises
    ------
    WorkshopFileError
        With all problems at once: those of the findings, and those that show once recipes are applied.
    """
    import datetime as dt

    from onceapart.cli.inspect_load import pack_of, unknown_packs
    from onceapart.errors import WorkshopFileError
    from onceapart.inspection.checking import check_findings

    workshop = parsed.workshop
    wrong = list(unknown_packs(parsed))
    without = {problem.value for problem in wrong}
    found = check_findings(
        parsed,
        lambda car: None if _rules(parsed, car) in without else pack_of(workshop, car),
        dt.date.today(),
    )
    wrong += found.wrong
    try:
        loaded = prepare(parsed)
    except WorkshopFileError as error:
        wrong += error.problems
    if wrong:
        raise WorkshopFileError(parsed.source, sorted(wrong, key=lambda problem: problem.line or 0))
    return loaded, found.odd


def _rules(parsed: ParsedWorkshop, car: str) -> str | None:
    inspection = next(one.inspection for one in parsed.workshop.cars if one.id == car)
    return inspection.rules if inspection else None


def contents(found: Loaded) -> str:
    """What the file holds, in one sentence."""
    from onceapart.cli.words import count, day, listed

    workload = found.workload
    may_be_left = sum(not job.is_must for job in workload.jobs)
    words = [
        count(len(found.workshop.cars), "car"),
        f"{count(len(workload.jobs), 'job')} ({may_be_left} may be left)",
        f"{count(len(workload.offers), 'offer')} of {count(len(workload.sellers), 'seller')}",
    ]
    days = [stint.date for stint in workload.stints]
    stints = count(len(days), "stint")
    if days:
        stints += f" on {day(days[0])}" if days[0] == days[-1] else f" from {day(days[0])} to {day(days[-1])}"
    return f"It has {listed([*words, stints])}."


def unsold_parts(workload: Workload) -> list[str]:
    """Parts that a job needs and nobody sells, as far as the shelf does not hold them."""
    sold = {part for offer in workload.offers for part in offer.parts}
    notes = []
    for job in workload.jobs:
        for part, pieces in job.parts.items():
            have = workload.shelf.get(part, 0)
            if part not in sold and have < pieces:
                kept = "must be done, so no plan is possible" if job.is_must else "has to be left"
                notes.append(
                    f"job {job.id}: needs {pieces} of {part}, {have} on the shelf, and no offer has it; "
                    f"the job {kept}. Add an offer, or put it on the shelf."
                )
    return notes


def tools_not_to_be_had(workload: Workload) -> list[str]:
    """Tools that a job or what comes off for it names, and that can be neither hired nor bought."""
    notes = []
    for tool in workload.tools:
        if tool.have or tool.hire is not None or tool.buy is not None:
            continue
        for job in workload.jobs:
            if tool.id in workload.tools_for([job.id], workload.opened_for([job.id])):
                kept = "must be done, so no plan is possible" if job.is_must else "has to be left"
                notes.append(
                    f"job {job.id}: needs the tool {tool.id}, which is not there and has no price; "
                    f"the job {kept}. Give the tool `have: true`, or a `hire` or `buy` price."
                )
    return notes
