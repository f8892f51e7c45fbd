"""``onceapart paper card``: the job card of a stint as a PDF."""

from __future__ import annotations

from typing import Annotated

import typer

from onceapart.cli.files import File, load
from onceapart.cli.paper_files import (
    FontsOption,
    OutOption,
    PlanOption,
    Sheet,
    SheetOption,
    check_out,
    folders_of,
    record_beside,
    refuse,
    size_of,
    write_new,
)
from onceapart.cli.plan import AimName, AimOption


def add_to(app: typer.Typer) -> None:
    """Add the command."""
    app.command("card")(card)


def card(
    file: File,
    stint: Annotated[
        str, typer.Option("--stint", metavar="DATE|ID", help="Which stint: its date, or its id.")
    ],
    out: OutOption,
    sheet: SheetOption = Sheet.A4,
    aim: AimOption = AimName.BALANCE,
    plan: PlanOption = None,
    site: Annotated[
        str | None,
        typer.Option(
            "--site",
            metavar="ADDRESS",
            help="Address of your site, as in http://garage.local:8000: each step gets a QR code to its "
            "page there.",
        ),
    ] = None,
    fonts: FontsOption = None,
) -> None:
    """Write the job card of a stint as a PDF, to tick at the car.

    Large boxes, blanks for measurements and torques, cautions where they apply, the car from above with its
    places in working order. Open stopgaps from the record beside the file stand on top. It plans first, or
    takes a saved plan.
    """
    from onceapart.bench.card import job_card
    from onceapart.bench.state import fold
    from onceapart.bench.stopgap import open_stopgaps
    from onceapart.cli.card import find_stint, planned, saved_plan
    from onceapart.paper.drawings import stopgap_drawings
    from onceapart.paper.job_card import job_card_pdf
    from onceapart.paper.links import AddressError, steps_on

    path, folders = check_out(out, ".pdf"), folders_of(fonts)
    try:
        address = steps_on(site) if site is not None else None
    except AddressError as error:
        refuse(f"--site {error}")
    found = load(file)
    state = fold(record_beside(file))
    at = find_stint(found, stint)
    chosen = planned(found, aim) if plan is None else saved_plan(found, plan, at)
    made = job_card(found.workshop, chosen, at, workload=found.workload)
    texts = [text for car in made.cars for text in open_stopgaps(state, car, on=made.date)]
    if texts:
        made = job_card(found.workshop, chosen, at, workload=found.workload, open_stopgaps=texts)
    drawings = stopgap_drawings(one for one in state.open_stopgaps() if one.fitted.car in made.cars)
    write_new(
        path, job_card_pdf(made, size=size_of(sheet), address=address, drawings=drawings, fonts=folders)
    )
