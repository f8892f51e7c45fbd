"""``onceapart propose``: jobs for what fails, and what they cost."""

from __future__ import annotations

import json
from typing import TYPE_CHECKING, Annotated

import typer

from onceapart.cli.files import UNUSABLE, File, say_problems
from onceapart.cli.inspect_load import CarOption, PackOption, inspected
from onceapart.cli.plan import JsonOption

if TYPE_CHECKING:
    from onceapart.inspection.proposing import Proposals


def add_to(app: typer.Typer) -> None:
    """Add the command."""
    app.command("propose")(propose)


def propose(
    file: File,
    car: CarOption = None,
    pack: PackOption = None,
    write: Annotated[
        bool, typer.Option("--write", help="Write the new jobs into the file; everything else in it stays.")
    ] = False,
    as_json: JsonOption = False,
) -> None:
    """Propose jobs for what fails, with what passing costs.

    Each job once, however much it puts right; those that are in the file are named and not proposed again.
    What each costs by itself, and all of them in one plan. With --write the new jobs go into the file;
    then plan it. Exit status 2 if the file, the rule pack or a recipe cannot be used.
    """
    from onceapart.cli.propose_cost import costs_of
    from onceapart.errors import FileProblemsError
    from onceapart.inspection.proposing import propose as jobs_for

    found = inspected(file, car, pack)
    proposals = jobs_for(found.workshop, found.verdicts)
    try:
        costs = costs_of(found.parsed, proposals)
        if write:
            _write(file, proposals)
    except FileProblemsError as error:
        say_problems(error)
        raise typer.Exit(UNUSABLE) from None
    if as_json:
        from onceapart.cli.propose_cost import costs_to_json
        from onceapart.inspection.plain import proposals_to_json

        data = {
            "format": "onceapart-proposals/1",
            **proposals_to_json(proposals),
            "costs": costs_to_json(costs),
            "written": write and bool(proposals.new),
        }
        typer.echo(json.dumps(data, indent=2, ensure_ascii=False))
        return
    from onceapart.cli.page import Page
    from onceapart.cli.propose_page import add_proposals, add_written

    page = Page()
    add_proposals(page, found, proposals, costs)
    if write:
        add_written(page, file, proposals)
    page.show()


def _write(file: str, proposals: Proposals) -> None:
    """Put the new jobs, and the tools they ask for, into the file, in one step."""
    from pathlib import Path

    from onceapart.errors import Problem, WorkshopFileError
    from onceapart.workshop.files import replace_file
    from onceapart.workshop.insert import with_entries
    from onceapart.workshop.reading import read_bytes

    if file == "-":
        problem = Problem(None, "--write", "-", "standard input can't be written to", "name a file")
        raise WorkshopFileError("standard input", [problem])
    if not proposals.new:
        return
    was = read_bytes(file)
    text = with_entries(was.decode("utf-8"), "jobs", proposals.entries(), file)
    if proposals.tools:
        text = with_entries(text, "tools", [{"id": tool} for tool in proposals.tools], file)
    replace_file(Path(file), text.encode(), was=was)
