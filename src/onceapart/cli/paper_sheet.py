"""``onceapart paper sheet``: the workshop as a spreadsheet."""

from __future__ import annotations

import typer

from onceapart.cli.files import UNUSABLE, File, prepare, read, say_problems
from onceapart.cli.inspect_load import PackOption
from onceapart.cli.paper_calendar import AtOption, made_at
from onceapart.cli.paper_files import (
    OutOption,
    PlanOption,
    Sheet,
    SheetOption,
    check_out,
    record_beside,
    size_of,
    write_new,
)
from onceapart.cli.plan import AimName, AimOption


def add_to(app: typer.Typer) -> None:
    """Add the command."""
    app.command("sheet")(sheet)


def sheet(
    file: File,
    out: OutOption,
    paper: SheetOption = Sheet.A4,
    aim: AimOption = AimName.BALANCE,
    plan: PlanOption = None,
    pack: PackOption = None,
    at: AtOption = None,
) -> None:
    """Write the workshop as a spreadsheet (.xlsx).

    Findings, verdicts, jobs, offers, plan, orders and money, each on a sheet of its own; sums are formulas.
    `onceapart offers` reads its sheet of offers back. It plans first, or takes a saved plan.
    """
    from onceapart.bench.release_work import work_of
    from onceapart.bench.state import fold
    from onceapart.cli.card import planned, saved_plan
    from onceapart.cli.inspect_load import inspect_parsed
    from onceapart.errors import FileProblemsError
    from onceapart.paper.sheet import sheet_xlsx

    path, time = check_out(out, ".xlsx"), made_at(at)
    try:
        parsed = read(file)
        verdicts = inspect_parsed(parsed, None, pack).verdicts
        found = prepare(parsed)
    except FileProblemsError as error:
        say_problems(error)
        raise typer.Exit(UNUSABLE) from None
    state = fold(record_beside(file), work_of(found.workshop).job_steps)
    chosen = planned(found, aim) if plan is None else saved_plan(found, plan)
    content = sheet_xlsx(
        found.workshop, found.workload, chosen, verdicts, state, at=time, size=size_of(paper)
    )
    write_new(path, content)
