"""``onceapart inspect``: what an inspection would say of the cars."""

from __future__ import annotations

import json

import typer

from onceapart.cli.files import File
from onceapart.cli.inspect_load import CarOption, PackOption, inspected
from onceapart.cli.plan import JsonOption


def add_to(app: typer.Typer) -> None:
    """Add the command."""
    app.command("inspect")(inspect)


def inspect(file: File, car: CarOption = None, pack: PackOption = None, as_json: JsonOption = False) -> None:
    """Say what an inspection would make of what was found.

    The worst first, each with its clause; then what wears out before the inspection, what can't be told
    yet, and what was not looked at. An inspector decides. Exit status 0 whatever the outcome, 2 if the
    file or the rule pack cannot be used.
    """
    found = inspected(file, car, pack)
    if as_json:
        from onceapart.inspection.plain import inspection_to_json

        typer.echo(json.dumps(inspection_to_json(found.verdicts), indent=2, ensure_ascii=False))
        return
    from onceapart.cli.inspect_page import add_advice, add_car, add_sources
    from onceapart.cli.page import Page

    page = Page()
    if not found.verdicts:
        page.line(f"{found.workshop.name}: there is no car in the file.")
    for verdict in found.verdicts:
        add_car(page, verdict)
    add_sources(page, found.verdicts)
    add_advice(page)
    page.show()
