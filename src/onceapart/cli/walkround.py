"""``onceapart walkround``: the list to go round the car with."""

from __future__ import annotations

import json
from typing import Annotated

import typer

from onceapart.cli.files import File
from onceapart.cli.inspect_load import CarOption, PackOption, inspected
from onceapart.cli.plan import JsonOption


def add_to(app: typer.Typer) -> None:
    """Add the command."""
    app.command("walkround")(walkround)


def walkround(
    file: File,
    car: CarOption = None,
    pack: PackOption = None,
    everything: Annotated[
        bool,
        typer.Option("--all", help="Everything, and not only what is not checked or worth another look."),
    ] = False,
    form: Annotated[
        bool, typer.Option("--form", help="Print findings with blanks, to fill in and put into the file.")
    ] = False,
    as_json: JsonOption = False,
) -> None:
    """List what to look at, in the order of going round the car.

    Each wheel comes off once, the car goes up once, in as few walks as can be; each thing with how to look
    at it and a blank to write in. A form line whose blank is not filled in is refused, not read as sound.
    """
    from onceapart.inspection.walking import walk_round

    found = inspected(file, car, pack)
    walks = [(one, walk_round(one, everything=everything)) for one in found.verdicts]
    if as_json:
        from onceapart.inspection.plain import walk_to_json

        data = [{"car": one.car.id, "rules": one.pack.id, "walks": walk_to_json(legs)} for one, legs in walks]
        typer.echo(
            json.dumps({"format": "onceapart-walkround/1", "cars": data}, indent=2, ensure_ascii=False)
        )
        return
    if form:
        from onceapart.inspection.form import form_text

        typer.echo(form_text(walks), nl=False)
        return
    from onceapart.cli.page import Page
    from onceapart.cli.walkround_page import add_safety, add_walks

    page = Page()
    for one, legs in walks:
        add_walks(page, one, legs, everything=everything)
    if any(legs for _, legs in walks):
        add_safety(page, walks)
    page.show()
