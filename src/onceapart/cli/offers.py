"""``onceapart offers``: offers out of a table, shown first as they were understood."""

from __future__ import annotations

import json
import sys
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, NoReturn

import typer

from onceapart.cli.files import UNUSABLE, read, say_problems
from onceapart.cli.screen import say
from onceapart.errors import FileProblemsError

if TYPE_CHECKING:
    from onceapart.paper.sheet_in import TableIn
    from onceapart.workshop import ParsedWorkshop, Workshop
    from onceapart.workshop.offer_heads import Meaning
    from onceapart.workshop.offer_rows import Names
    from onceapart.workshop.offers_in import OffersIn


def add_to(app: typer.Typer) -> None:
    """Add the command."""
    app.command("offers")(offers)


def offers(
    file: Annotated[str, typer.Argument(metavar="FILE", help="A workshop file.")],
    table: Annotated[
        str,
        typer.Argument(metavar="TABLE", help="A CSV or .xlsx file; `-` reads CSV from standard input."),
    ],
    write: Annotated[
        bool, typer.Option("--write", help="Add the offers that are new to the workshop file.")
    ] = False,
    seller: Annotated[
        str | None, typer.Option("--seller", metavar="ID", help="Seller of rows that name none.")
    ] = None,
    sheet: Annotated[
        str | None,
        typer.Option(
            "--sheet", metavar="NAME", help="Sheet of an .xlsx file; by default offers, or the first one."
        ),
    ] = None,
    column: Annotated[
        list[str] | None,
        typer.Option(
            "--column",
            metavar="HEAD=WHAT",
            help="What the column with this head, or this number, holds: part, pieces, seller, price, days, "
            "limit, deposit, title, id or nothing. May be given again.",
        ),
    ] = None,
    part: Annotated[
        list[str] | None,
        typer.Option(
            "--part",
            metavar="NAME=ID",
            help="Which part a name in the table stands for; nothing behind the = leaves its rows out. May "
            "be given again.",
        ),
    ] = None,
    as_json: Annotated[
        bool, typer.Option("--json", help="Print what was understood as JSON and nothing else.")
    ] = False,
) -> None:
    """Take in offers from a spreadsheet or CSV.

    It shows how each column was understood, which offers are new or other than before, and what is wrong with
    which row. Nothing is changed without --write; then new offers are added to the file and all else in it
    stays as it is. Offers that the file has already are never written over. Exit status 2 if nothing of the
    table can be used.
    """
    if write and file == "-":
        _refuse("-: there is no file to add to; name the workshop file")
    if file == "-" and table == "-":
        _refuse("-: workshop and table can't both come from standard input; name one of them")
    parsed, workshop = _workshop(file)
    got = _table(table, sheet)
    if seller is not None and seller not in {one.id for one in workshop.sellers}:
        there = ", ".join(one.id for one in workshop.sellers) or "none"
        _refuse(f"--seller {seller}: there is no such seller; there is {there}. Add it to the file first.")
    found = _understood(got, workshop, seller, column or [], _names(part or [], workshop))
    if as_json:
        from onceapart.cli.offers_page import to_json

        typer.echo(json.dumps(to_json(found, got), indent=2, ensure_ascii=False))
    else:
        from onceapart.cli.offers_page import show_offers

        show_offers(found, got, workshop, table)
    if found.problems or not found.usable:
        raise typer.Exit(UNUSABLE)
    if write:
        _write(file, parsed, found)
    elif not as_json and any(row.change == "new" for row in found.usable):
        say(f"Nothing was changed. To add what is new to {file}, give --write.")


def _workshop(file: str) -> tuple[ParsedWorkshop, Workshop]:
    from onceapart.trade import apply_recipes

    try:
        parsed = read(file)
        return parsed, apply_recipes(parsed.workshop, source=parsed.source, line_of=parsed.line_of)
    except FileProblemsError as error:
        say_problems(error)
        raise typer.Exit(UNUSABLE) from None


def _table(name: str, sheet: str | None) -> TableIn:
    from onceapart.paper.sheet_in import MAX_FILE, SheetInError, table_in

    try:
        if name == "-":
            data = sys.stdin.buffer.read(MAX_FILE + 1)
        else:
            with Path(name).open("rb") as opened:
                data = opened.read(MAX_FILE + 1)
        return table_in(data, sheet)
    except OSError as error:
        _refuse(f"{name}: it cannot be read ({error.strerror}); check the name and its permissions.")
    except ValueError:
        _refuse(f"{name!r}: no file can be called so; check the name")
    except SheetInError as error:
        _refuse(f"{name}: {error}")


def _understood(
    got: TableIn, workshop: Workshop, seller: str | None, columns: list[str], names: Names
) -> OffersIn:
    from onceapart.workshop.offers_in import offers_in

    day = workshop.today
    if day is None:
        import datetime as dt

        day = dt.date.today()
    found = offers_in(got.text, workshop, seller=seller, names=names, today=day)
    if not columns:
        return found
    meanings = _meanings(found, columns)
    return offers_in(got.text, workshop, seller=seller, names=names, today=day, meanings=meanings)


def _meanings(found: OffersIn, said: list[str]) -> list[Meaning | None]:
    """What each column holds: as it was understood, and where a person says otherwise, so."""
    from onceapart.workshop.offer_heads import MEANINGS

    meanings = [column.meaning for column in found.columns]
    heads = [column.head for column in found.columns]
    chosen: dict[int, Meaning | None] = {}
    for one in said:
        head, _, what = one.rpartition("=")
        meaning = next((known for known in MEANINGS if known == what), None)
        if not head or (meaning is None and what != "nothing"):
            _refuse(f"--column {one}: write it as HEAD=WHAT, where WHAT is {', '.join(MEANINGS)} or nothing")
        if head in heads:
            at = heads.index(head)
        elif head.isascii() and head.isdigit() and 1 <= int(head) <= len(heads):
            at = int(head) - 1
        else:
            there = ", ".join(filter(None, heads)) or f"none; give its number, 1 to {len(heads)}"
            _refuse(f"--column {one}: no column has this head; there is {there}")
        chosen[at] = meaning
    taken = set(chosen.values())
    return [chosen.get(at, None if meaning in taken else meaning) for at, meaning in enumerate(meanings)]


def _names(said: list[str], workshop: Workshop) -> Names:
    from onceapart.workshop.offer_rows import Names
    from onceapart.workshop.part_names import known_parts
    from onceapart.workshop.values import nearest

    known, parts = known_parts(workshop), {}
    for one in said:
        name, sign, part = one.rpartition("=")
        if not sign or not name:
            _refuse(f"--part {one}: write it as NAME=ID, as in 'Boot kit L=wren/front-left/cv-boot-kit'")
        if part and part not in known:
            near = nearest(part, list(known))
            way_out = f"did you mean {near}?" if near else "see the parts of the jobs in the file"
            _refuse(f"--part {one}: no job or offer has this part; {way_out}")
        parts[name] = part
    return Names(parts=parts)


def _write(file: str, parsed: ParsedWorkshop, found: OffersIn) -> None:
    from onceapart.workshop.insert import add_entries
    from onceapart.workshop.offers_in import with_offers

    new = [row for row in found.usable if row.change == "new"]
    if not new:
        say(f"No row is a new offer, so {file} stays as it is.")
        return
    added = with_offers(parsed.workshop, new).offers[len(parsed.workshop.offers) :]
    try:
        add_entries(file, "offers", added)
    except FileProblemsError as error:
        say_problems(error)
        raise typer.Exit(UNUSABLE) from None
    left = len(found.rows) - len(found.usable)
    out = f" {left} of the table's rows could not be used and {'was' if left == 1 else 'were'} left out."
    say(f"{len(added)} offer{'' if len(added) == 1 else 's'} added to {file}.{out if left else ''}")


def _refuse(message: str) -> NoReturn:
    say(message)
    raise typer.Exit(UNUSABLE)
