"""``onceapart paper dossier``: all that is known of a car, and what is not, as a PDF."""

from __future__ import annotations

import datetime as dt
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from onceapart.cli.files import UNUSABLE, File, read, say_problems
from onceapart.cli.inspect_load import PackOption
from onceapart.cli.paper_files import (
    FontsOption,
    OutOption,
    Sheet,
    SheetOption,
    check_out,
    folders_of,
    record_beside,
    refuse,
    size_of,
    write_new,
)

if TYPE_CHECKING:
    from onceapart.bench.entries import Entry
    from onceapart.workshop import Car, Workshop

MOST_PHOTO_BYTES = 50_000_000
"""No camera's photo is as large."""


def add_to(app: typer.Typer) -> None:
    """Add the command."""
    app.command("dossier")(dossier)


def dossier(
    file: File,
    out: OutOption,
    car: Annotated[
        str | None, typer.Option("--car", metavar="ID", help="Which car; not needed where there is one.")
    ] = None,
    sheet: SheetOption = Sheet.A4,
    pack: PackOption = None,
    photos: Annotated[
        str | None,
        typer.Option("--photos", metavar="FOLDER", help="Where the photos are that findings and notes name."),
    ] = None,
    date: Annotated[
        str | None,
        typer.Option(
            "--date",
            metavar="DATE",
            help="How it stood on this day, as in 2026-03-07; by default today, the file's or the real one.",
        ),
    ] = None,
    fonts: FontsOption = None,
) -> None:
    """Write a car's dossier for the inspector or a buyer.

    Work done, parts, measurements with plots, verdicts today and before, open stopgaps, photos; and plainly
    what was not checked. From the workshop file and the record beside it. An inspector decides.
    """
    from onceapart.bench.release_work import work_of
    from onceapart.cli.inspect_load import inspect_parsed
    from onceapart.errors import FileProblemsError
    from onceapart.paper.dossier import dossier_pdf
    from onceapart.trade import apply_recipes

    path, folders = check_out(out, ".pdf"), folders_of(fonts)
    asked = _day(date) if date is not None else None
    try:
        parsed = read(file)
        chosen = _car(parsed.workshop, car)
        (verdict,) = inspect_parsed(parsed, chosen.id, pack).verdicts
        workshop = apply_recipes(parsed.workshop, source=parsed.source, line_of=parsed.line_of)
    except FileProblemsError as error:
        say_problems(error)
        raise typer.Exit(UNUSABLE) from None
    entries = record_beside(file)
    content = dossier_pdf(
        work_of(workshop),
        chosen.id,
        verdict.pack,
        entries,
        today=asked or _today(workshop, entries),
        photos=_photos(photos, workshop, entries) if photos is not None else None,
        size=size_of(sheet),
        fonts=folders,
    )
    write_new(path, content)


def _car(workshop: Workshop, wanted: str | None) -> Car:
    from onceapart.workshop.values import nearest

    cars = {one.id: one for one in workshop.cars}
    there = ", ".join(cars) or "none"
    if wanted is None and len(cars) == 1:
        return next(iter(cars.values()))
    if wanted is None:
        refuse(f"a dossier is of one car; name it with --car: there is {there}")
    if wanted not in cars:
        near = nearest(wanted, list(cars))
        way_out = f"did you mean {near}?" if near else f"there is {there}"
        refuse(f"--car {wanted}: there is no such car; {way_out}")
    return cars[wanted]


def _day(text: str) -> dt.date:
    try:
        return dt.date.fromisoformat(text)
    except ValueError:
        refuse(f"--date {text}: no such day; write it as in 2026-03-07")


def _today(workshop: Workshop, entries: tuple[Entry, ...]) -> dt.date:
    """The file's day or the real one, and no earlier than what the record already tells of."""
    day = workshop.today or dt.date.today()
    return max([day, *(one.day for one in entries)])


def _photos(folder: str, workshop: Workshop, entries: tuple[Entry, ...]) -> dict[str, bytes]:
    """Photos that are named somewhere and are in the folder; what is not there, the dossier says itself."""
    where = Path(folder)
    if not where.is_dir():
        refuse(f"--photos {folder}: there is no such folder")
    named = [one.photo for one in workshop.findings] + [getattr(one, "photo", None) for one in entries]
    found: dict[str, bytes] = {}
    for name in dict.fromkeys(one for one in named if one):
        photo = where / name
        if photo.is_file() and photo.stat().st_size <= MOST_PHOTO_BYTES:
            try:
                found[name] = photo.read_bytes()
            except OSError as error:
                refuse(f"{photo}: it cannot be read ({error.strerror}); check its permissions")
    return found
