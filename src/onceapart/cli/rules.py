"""``onceapart rules``: the rule packs, and checking one of one's own."""

from __future__ import annotations

import json
from typing import Annotated

import typer

from onceapart.cli.files import UNUSABLE, say_problems

Json = Annotated[bool, typer.Option("--json", help="Print JSON and nothing else.")]


def add_to(app: typer.Typer) -> None:
    """Add the command with those below it."""
    from onceapart.cli.app import plain_app

    below = plain_app(no_args_is_help=True, help=_HELP)
    below.command("list")(list_packs)
    below.command("show")(show)
    below.command("check")(check)
    app.add_typer(below, name="rules")


_HELP = """List rule packs, show one, or check your own.

A pack says what to look at on a car and what an inspection would say of what is found, row by row, with
clause, source and status. It advises; the law and an inspector decide.
"""


def list_packs(as_json: Json = False) -> None:
    """List the rule packs, with how many of their rows are from memory."""
    from onceapart.cli.rules_page import list_page
    from onceapart.trade.rules import load_pack, pack_ids

    packs = [load_pack(one) for one in pack_ids()]
    if as_json:
        typer.echo(
            json.dumps(
                [
                    {
                        "id": one.id,
                        "title": one.title,
                        "about": one.about,
                        "lineage": list(one.lineage),
                        "items": len(one.ruled_items),
                        "rows": len(one.rules),
                    }
                    for one in packs
                ],
                indent=2,
            )
        )
        return
    list_page(packs).show()


def show(
    pack_id: Annotated[str, typer.Argument(metavar="ID", help="The pack to show.")],
    item_id: Annotated[
        str,
        typer.Option("--item", metavar="ITEM", help="Show this item in full: how to check it, and its rows."),
    ] = "",
    as_json: Json = False,
) -> None:
    """Show the rows of a pack, worst class first.

    Each row with its clause, source and status. With --item: how to check one item at home, what its words
    mean, cautions, cures, and its rows with their notes.
    """
    from onceapart.cli.rules_page import item_page, pack_page
    from onceapart.errors import Problem, TradeDataError
    from onceapart.trade.rules import load_pack
    from onceapart.trade.rules.describe import describe_item, describe_pack
    from onceapart.workshop.values import nearest

    try:
        pack = load_pack(pack_id)
    except TradeDataError as error:
        say_problems(error)
        raise typer.Exit(UNUSABLE) from None
    item = pack.item(item_id)
    if item_id and item is None:
        known = [one.id for one in pack.items]
        near = nearest(item_id, known) or next((one for one in known if item_id in one), "")
        way_out = f"did you mean {near}?" if near else "`onceapart rules show items` lists them all"
        problem = Problem(None, "item", item_id, f"{pack_id} has no item with this id", way_out)
        say_problems(TradeDataError(f"packs/{pack_id}", [problem]))
        raise typer.Exit(UNUSABLE)
    if as_json:
        typer.echo(json.dumps(describe_item(item, pack) if item else describe_pack(pack), indent=2))
    else:
        (item_page(item, pack) if item else pack_page(pack)).show()


def check(
    file: Annotated[str, typer.Argument(metavar="FILE", help="A rule pack of your own.")],
) -> None:
    """Check a rule pack of your own, and say all that is wrong with it.

    A pack may extend one that is shipped and change single rows or items of it.
    """
    from onceapart.cli.rules_page import checked_page
    from onceapart.errors import TradeDataError
    from onceapart.trade.rules import load_pack, load_pack_file

    try:
        pack = load_pack_file(file)
    except TradeDataError as error:
        say_problems(error)
        raise typer.Exit(UNUSABLE) from None
    checked_page(pack, load_pack(pack.extends) if pack.extends else None).show()
