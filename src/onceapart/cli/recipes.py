"""``onceapart recipes``: what the trade library knows."""

from __future__ import annotations

import json
from typing import Annotated

import typer

from onceapart.cli.files import UNUSABLE, say_problems


def add_to(app: typer.Typer) -> None:
    """Add the command."""
    app.command("recipes")(recipes)


def recipes(
    recipe_id: Annotated[str, typer.Argument(metavar="[ID]", help="The recipe to show in full.")] = "",
    as_json: Annotated[bool, typer.Option("--json", help="Print JSON and nothing else.")] = False,
) -> None:
    """List the recipes of the trade library, or show one in full.

    In full: cautions, operations with their minutes, what comes off first, parts, tools, fasteners, what
    to measure, aftercare, and what is checked before the car moves.
    """
    from onceapart.errors import TradeDataError
    from onceapart.trade import describe_recipe, load_recipe, recipe_ids, recipe_text

    if not recipe_id:
        if as_json:
            typer.echo(json.dumps([describe_recipe(load_recipe(one)) for one in recipe_ids()], indent=2))
        else:
            _list()
        return
    try:
        recipe = load_recipe(recipe_id)
    except TradeDataError as error:
        say_problems(error)
        raise typer.Exit(UNUSABLE) from None
    if as_json:
        typer.echo(json.dumps(describe_recipe(recipe), indent=2))
    else:
        typer.echo(recipe_text(recipe), nl=False)


def _list() -> None:
    from onceapart.cli.page import Page
    from onceapart.cli.screen import column_widths, table
    from onceapart.trade import describe_recipe, load_recipe, recipe_ids

    page = Page()
    headings = ("Recipe", "Job", "Where", "Minutes", "With access")
    rows = []
    for recipe_id in recipe_ids():
        told = describe_recipe(load_recipe(recipe_id))
        example = told["example"]
        job = example["minutes"]["typical"] if example else 0
        access = example["access_minutes"]["typical"] if example else 0
        figures = (str(job), str(job + access)) if example else ("", "")
        rows.append((recipe_id, told["title"], ", ".join(told["places"]), *figures))
    widths = column_widths([headings, *rows], page.width, text=(1, 2))
    page.add(table(headings, rows, widths, numbers=(3, 4)))
    page.paragraph(
        "Minutes are typical for a home garage (common practice, no source), at the first place of a small "
        "old hatchback that the recipe suits, or else of an old saloon with rear drive; with access counts "
        "what comes off first. `onceapart recipes ID` shows one in full."
    )
    page.show()
