"""All commands by name, each loaded when it is first asked for."""

from __future__ import annotations

from collections.abc import Callable
from importlib import import_module
from typing import Annotated, Any

import typer
from typer.core import TyperGroup

COMMANDS: dict[str, str] = {
    "check": "onceapart.cli.check",
    "inspect": "onceapart.cli.inspect",
    "walkround": "onceapart.cli.walkround",
    "propose": "onceapart.cli.propose",
    "plan": "onceapart.cli.plan",
    "chance": "onceapart.cli.chance",
    "card": "onceapart.cli.card",
    "tick": "onceapart.cli.tick",
    "release": "onceapart.cli.release",
    "record": "onceapart.cli.record",
    "paper": "onceapart.cli.paper",
    "snag": "onceapart.cli.snag",
    "offers": "onceapart.cli.offers",
    "order": "onceapart.cli.order",
    "replan": "onceapart.cli.replan",
    "compare": "onceapart.cli.compare",
    "recipes": "onceapart.cli.recipes",
    "rules": "onceapart.cli.rules",
    "sum": "onceapart.cli.sums",
    "serve": "onceapart.cli.serve",
    "demo": "onceapart.cli.demo",
}
"""Command -> module, in the order of the help. The module has ``add_to(app: typer.Typer)``, which adds just
that command, by ``app.command(name)`` or ``app.add_typer``."""


class LazyCommands(TyperGroup):
    """Commands out of ``COMMANDS``, so that one of them does not wait for the others to load."""

    def list_commands(self, ctx: Any) -> list[str]:
        return list(COMMANDS)

    def get_command(self, ctx: Any, cmd_name: str) -> Any:
        if cmd_name in COMMANDS:
            self._load(cmd_name)
        else:
            for name in COMMANDS:  # what there is, for the suggestion after a slip of the keyboard
                self._load(name)
        return super().get_command(ctx, cmd_name)

    def _load(self, name: str) -> None:
        if name not in self.commands:
            self.commands[name] = loaded(name)


def plain_app(**settings: Any) -> typer.Typer:
    """A Typer app as all of ours are: help in plain text (Rich is slow to import), no shell set-up."""
    return typer.Typer(
        add_completion=False,
        rich_markup_mode=None,
        pretty_exceptions_enable=False,
        context_settings={"help_option_names": ["-h", "--help"]},
        **settings,
    )


def loaded(name: str) -> Any:
    """The command of that name, from its module."""
    app = plain_app()
    import_module(COMMANDS[name]).add_to(app)
    found = typer.main.get_command(app)
    return found.commands[name] if isinstance(found, TyperGroup) else found


def command() -> Callable[..., Any]:
    """The whole command line as one callable."""
    app = plain_app(cls=LazyCommands, no_args_is_help=True)
    app.callback()(_onceapart)
    return typer.main.get_command(app)


def _show_version(wanted: bool) -> None:
    if wanted:
        from importlib.metadata import version

        typer.echo(f"onceapart {version('onceapart')}")
        raise typer.Exit


def _onceapart(
    version: Annotated[
        bool,
        typer.Option("--version", callback=_show_version, is_eager=True, help="Show the version and exit."),
    ] = False,
) -> None:
    """Get an old car through its inspection for the least money and the least taking-apart.

    A workshop file says what has to be done, who sells the parts and when there is time; the plan says
    what to buy, what to do when, what to leave, and how good it is proven to be. `onceapart demo` shows
    one. The tool advises; the car's manual, the law and the inspector decide.
    """
