"""What the commands of ``onceapart paper`` have in common: where they write, sheets, fonts, the record."""

from __future__ import annotations

from enum import StrEnum
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, NoReturn

import typer

from onceapart.cli.files import UNUSABLE, say_problems

if TYPE_CHECKING:
    from onceapart.bench.entries import Entry
    from onceapart.paper.typst_run import PaperSize

OutOption = Annotated[
    str,
    typer.Option("--out", metavar="PATH", help="Write it to this file; one that is there is left alone."),
]


class Sheet(StrEnum):
    """Sheets that papers are laid out for."""

    A4 = "a4"
    LETTER = "letter"


SheetOption = Annotated[
    Sheet, typer.Option("--paper", metavar="a4|letter", help="Sheet to lay it out for; a4 by default.")
]
FontsOption = Annotated[
    list[str] | None,
    typer.Option(
        "--fonts",
        metavar="FOLDER",
        help="A folder with fonts for letters that those that come along don't have, such as Chinese. May be "
        "given again.",
    ),
]
PlanOption = Annotated[
    str | None,
    typer.Option(
        "--plan",
        metavar="SAVED.json",
        help="Take this plan, which `onceapart plan --json` wrote, in place of planning now.",
    ),
]


def check_out(out: str, *endings: str) -> Path:
    """Where to write; exits at once if nothing can be written there, before anything is worked out."""
    path = Path(out)
    if path.suffix.lower() not in endings:
        refuse(f"--out {out}: this paper is written as {' or '.join(endings)}; give a name that ends so")
    if path.exists():
        refuse(f"{out}: there is a file of this name already; it was left alone. Give another name.")
    if not path.parent.is_dir():
        refuse(f"{out}: there is no folder {path.parent}; make it first, or name another.")
    return path


def write_new(path: Path, content: bytes) -> None:
    """Write a file, never over another one, and say so; exits with 2 if that can't be done."""
    from onceapart.cli.screen import say

    try:
        with path.open("xb") as file:
            file.write(content)
    except FileExistsError:
        refuse(f"{path}: there is a file of this name already; it was left alone. Give another name.")
    except (OSError, ValueError) as error:
        what = error.strerror if isinstance(error, OSError) and error.strerror else str(error)
        refuse(f"{path}: it cannot be written ({what}); check the name, the folder and its permissions.")
    say(f"{path} written.")


def size_of(sheet: Sheet) -> PaperSize:
    """The sheet as the papers take it."""
    from onceapart.paper.typst_run import PaperSize

    return PaperSize(sheet.value)


def folders_of(names: list[str] | None) -> list[Path]:
    """Folders of fonts; exits if one has none."""
    from onceapart.paper.fonts import FontsError, usable_folder

    try:
        return [usable_folder(name) for name in names or []]
    except FontsError as error:
        refuse(f"--fonts {error}")


def record_beside(path: str) -> tuple[Entry, ...]:
    """The record that stands beside a workshop file, empty if there is none; exits if it can't be read."""
    from onceapart.bench.record import RecordError, RecordFile, record_path
    from onceapart.errors import FileProblemsError

    if path == "-":
        return ()
    try:
        return RecordFile(record_path(path)).look().entries
    except FileProblemsError as error:
        say_problems(error)
        raise typer.Exit(UNUSABLE) from None
    except RecordError as error:
        refuse(str(error))


def refuse(message: str) -> NoReturn:
    """Say why something can't be done, and exit with 2."""
    from onceapart.cli.screen import say

    say(message)
    raise typer.Exit(UNUSABLE)
