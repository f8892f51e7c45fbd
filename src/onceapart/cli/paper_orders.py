"""``onceapart paper orders``: order sheets as a PDF or as CSV."""

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
    refuse,
    size_of,
    write_new,
)
from onceapart.cli.plan import AimName, AimOption


def add_to(app: typer.Typer) -> None:
    """Add the command."""
    app.command("orders")(orders)


def orders(
    file: File,
    out: OutOption,
    sheet: SheetOption = Sheet.A4,
    aim: AimOption = AimName.BALANCE,
    plan: PlanOption = None,
    seller: Annotated[
        str | None, typer.Option("--seller", metavar="ID", help="The sheet of this seller alone.")
    ] = None,
    fonts: FontsOption = None,
) -> None:
    """Write the orders of a plan: a PDF with a sheet a seller, or CSV.

    What, how many, at which price, for which job, when it comes and when it is needed; what to look at when
    it comes; deposits to get back. The ending of PATH decides: .pdf or .csv. It plans first, or takes a saved
    plan.
    """
    from onceapart.cli.card import planned, saved_plan
    from onceapart.paper.order_files import orders_csv, orders_pdf
    from onceapart.paper.order_sheets import orders_of

    path, folders = check_out(out, ".pdf", ".csv"), folders_of(fonts)
    found = load(file)
    chosen = planned(found, aim) if plan is None else saved_plan(found, plan)
    made = orders_of(found.workshop, found.workload, chosen)
    if seller is not None:
        there = ", ".join(one.seller for one in made.sheets) or "nobody"
        try:
            made = made.of(seller)
        except KeyError:
            refuse(f"--seller {seller}: the plan orders nothing there; it orders from {there}")
    if path.suffix.lower() == ".csv":
        write_new(path, orders_csv(made).encode())
    else:
        write_new(path, orders_pdf(made, size=size_of(sheet), fonts=folders))
