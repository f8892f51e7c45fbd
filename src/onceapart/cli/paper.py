"""``onceapart paper``: what is printed, or read by other programs, from a workshop file."""

from __future__ import annotations

from importlib import import_module

import typer

PAPERS: tuple[str, ...] = (
    "onceapart.cli.paper_card",
    "onceapart.cli.paper_orders",
    "onceapart.cli.paper_dossier",
    "onceapart.cli.paper_calendar",
    "onceapart.cli.paper_sheet",
    "onceapart.cli.paper_write_up",
)
"""Modules in the order of the help. Each has ``add_to(app: typer.Typer)``, which adds one paper by
``app.command(name)``, and loads what it needs only when it is asked for."""

_HELP = """Write job cards, order sheets, a dossier and more to files.

They are made from the same data as everything else, and a file that is there already is left alone.
"""


def add_to(app: typer.Typer) -> None:
    """Add the command with those below it."""
    from onceapart.cli.app import plain_app

    below = plain_app(no_args_is_help=True, help=_HELP)
    for name in PAPERS:
        import_module(name).add_to(below)
    app.add_typer(below, name="paper")
