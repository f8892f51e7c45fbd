"""``onceapart demo``: the plan of the demo workshop, and a copy to start from."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import Annotated

import typer

from onceapart.cli.files import prepare

WROTE_NOTHING = 2
"""Exit status where the copy could not be written."""


def add_to(app: typer.Typer) -> None:
    """Add the command."""
    app.command("demo")(demo)


def demo(
    write: Annotated[
        str | None,
        typer.Option(
            "--write", metavar="FILE", help="Write the demo's workshop file here, to start from; no plan."
        ),
    ] = None,
) -> None:
    """Plan the demo workshop: two old cars, two inspections due.

    Its jobs put right what was found on the cars; inspect and propose its file to see that. Everything in
    it is invented. With --write you get its file, with comments, to make your own from.
    """
    if write is not None:
        _write(write)
        return
    from onceapart.cli.plan import answer_for
    from onceapart.cli.screen import PLAIN_WIDTH
    from onceapart.cli.wrapping import wrapped
    from onceapart.demo import read_demo

    parsed = read_demo()
    found = len(parsed.workshop.findings)
    # Judging them here would double the wait for the plan.
    told = f"From {found} findings: `onceapart inspect` tells what an inspection would make of them."
    print(wrapped(f"{told} `onceapart demo --write FILE` gives the file.\n", PLAIN_WIDTH), flush=True)
    answer_for(prepare(parsed))


def _write(name: str) -> None:
    """Write a copy of the demo's file; never over another file."""
    from onceapart.cli.screen import say
    from onceapart.demo import demo_text

    try:
        with Path(name).open("x", encoding="utf-8") as file:
            file.write(demo_text())
    except FileExistsError:
        say(f"{name}: there is a file of this name already; it was left alone. Give another name.")
    except (OSError, ValueError) as error:
        what = error.strerror if isinstance(error, OSError) and error.strerror else str(error)
        say(f"{name}: the file cannot be written ({what}); check the name, the folder and its permissions.")
    else:
        print(f"{name} written. Change it to suit, then:")
        print(f"  onceapart check {name}")
        print(f"  onceapart inspect {name}")
        print(f"  onceapart plan {name}")
        sys.stdout.flush()
        return
    raise typer.Exit(WROTE_NOTHING)
