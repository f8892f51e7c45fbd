"""Tables that come in as a file, CSV or .xlsx, as the text that ``workshop.offers_in`` understands.

A spreadsheet is a packed archive from who knows where: what it may unpack to is bounded before it is opened.
"""

from __future__ import annotations

import datetime as dt
import warnings
import zipfile
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from decimal import Decimal
from io import BytesIO
from itertools import islice
from typing import Any

from onceapart.errors import OnceapartError
from onceapart.workshop.pasted import MAX_PASTED

MAX_FILE = 10_000_000
"""Bytes of a file."""
MAX_UNPACKED = 60_000_000
"""Bytes of all that a spreadsheet unpacks to."""
MAX_MEMBERS = 1_000
"""Files in a spreadsheet's archive."""
MAX_LINES = 5_000
"""Lines of a sheet that are read, empty ones counted."""
MAX_COLUMNS = 60
USUAL_SHEET = "offers"
"""The sheet that is read where several are there and none is named."""
_OLD_SPREADSHEET = b"\xd0\xcf\x11\xe0"


class SheetInError(OnceapartError):
    """A file with a table that can't be read; the message gives value, rule and way out."""


@dataclass(frozen=True)
class TableIn:
    """A table as text, and what is to be known of how it was read."""

    text: str
    """Rows on lines; line numbers are the sheet's own."""
    sheet: str = ""
    """Name of the sheet; "" for CSV."""
    sheets: tuple[str, ...] = ()
    """All sheets there are."""
    notes: tuple[str, ...] = ()


def table_in(data: bytes, sheet: str | None = None) -> TableIn:
    """Read a table from the bytes of a CSV or .xlsx file; which of the two, its first bytes say.

    Parameters
    ----------
    data : bytes
    sheet : str, optional
        Name of the sheet of a spreadsheet. By default the one called offers, or else the first.

    Returns
    -------
    TableIn
        Of formulas the values that they had when the file was saved; nothing is worked out here.

    Raises
    ------
    SheetInError
        It is too large, no such file, damaged, or has no such sheet.
    """
    if len(data) > MAX_FILE:
        raise SheetInError(f"it has over {MAX_FILE // 1_000_000} MB; save the offers alone as CSV")
    if data.startswith(b"PK"):
        return _from_xlsx(data, sheet)
    if data.startswith(_OLD_SPREADSHEET):
        raise SheetInError("it is a spreadsheet of the old kind (.xls) or locked; save it as .xlsx or CSV")
    if sheet is not None:
        raise SheetInError(f"--sheet {sheet}: a CSV file has no sheets; leave --sheet out")
    return _from_csv(data)


def _from_csv(data: bytes) -> TableIn:
    if len(data) > 4 * MAX_PASTED:
        raise SheetInError(f"a table has at most {MAX_PASTED:,} letters; save it in parts")
    notes: tuple[str, ...] = ()
    encoding = "utf-16" if data.startswith((b"\xff\xfe", b"\xfe\xff")) else "utf-8-sig"
    try:
        text = data.decode(encoding)
    except UnicodeDecodeError:
        text = data.decode("cp1252", errors="replace")
        notes = ("It is not UTF-8, so it was read as Windows-1252; check letters such as é and ü.",)
    if text.count("\x00") > 2:
        raise SheetInError("it is no text; give a CSV or an .xlsx file")
    return TableIn(text.replace("\x00", ""), notes=notes)


def _from_xlsx(data: bytes, wanted: str | None) -> TableIn:
    import openpyxl  # type: ignore[import-untyped]

    _check_archive(data)
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")  # of styles and the like, which nobody asked for
            book = openpyxl.load_workbook(BytesIO(data), read_only=True, data_only=True, keep_links=False)
    except Exception as error:  # the library lets through whatever its parsers raise
        raise SheetInError("it can't be read as a spreadsheet; open it, and save it anew as .xlsx") from error
    try:
        names = tuple(one.title for one in book.worksheets)
        page = book[_chosen(names, wanted)]
        rows, is_longer = _rows(page)
    except SheetInError:
        raise
    except Exception as error:
        raise SheetInError("the sheet is damaged; open the file, and save it anew as .xlsx") from error
    finally:
        book.close()
    notes = []
    if len(names) > 1 and wanted is None:
        others = ", ".join(name for name in names if name != page.title)
        notes.append(f"Read from the sheet {page.title}; there is also {others} (--sheet).")
    if is_longer:
        notes.append(
            f"Read up to line {MAX_LINES:,}; if there are offers below it, give them in another file."
        )
    return TableIn("".join(f"{_line(row)}\n" for row in rows), page.title, names, tuple(notes))


def _check_archive(data: bytes) -> None:
    """Look at what an archive says that it unpacks to; reading it never gives more than that."""
    try:
        with zipfile.ZipFile(BytesIO(data)) as archive:
            members = archive.infolist()
            if any(one.flag_bits & 1 for one in members):
                raise SheetInError("it is locked by a password; save it without one")
            if len(members) > MAX_MEMBERS or sum(one.file_size for one in members) > MAX_UNPACKED:
                most = MAX_UNPACKED // 1_000_000
                raise SheetInError(f"it unpacks to over {most} MB; save the offers alone as CSV")
            if "xl/workbook.xml" not in archive.namelist():
                raise SheetInError("it is an archive and no .xlsx file; save the table as .xlsx or CSV")
            for one in members:
                if one.filename.endswith((".xml", ".rels")) and _has_doctype(archive, one):
                    raise SheetInError("it holds a document type, which no .xlsx file has; save it anew")
    except (zipfile.BadZipFile, NotImplementedError, RuntimeError, EOFError, OSError, ValueError) as error:
        raise SheetInError("the file is damaged; open it, and save it anew as .xlsx") from error


def _has_doctype(archive: zipfile.ZipFile, member: zipfile.ZipInfo) -> bool:
    """Whether a file may define entities, which blow up when read; that has to stand at its top."""
    with archive.open(member) as file:
        top = file.read(4_096)
    return b"<!DOCTYPE" in top or b"<!ENTITY" in top or top.startswith((b"\xff\xfe", b"\xfe\xff"))


def _chosen(names: Sequence[str], wanted: str | None) -> str:
    if wanted is not None:
        found = next((one for one in names if one.casefold() == wanted.casefold()), None)
        if found is None:
            raise SheetInError(f"--sheet {wanted}: there is no such sheet; there is {', '.join(names)}")
        return found
    if not names:
        raise SheetInError("it has no sheet with cells; put the offers into one")
    return next((one for one in names if one.casefold() == USUAL_SHEET), names[0])


def _rows(page: Any) -> tuple[list[list[str]], bool]:
    """Cells of the lines of a sheet as text, and whether there are more lines than are read."""
    rows: list[list[str]] = []
    letters = 0
    lines: Iterable[tuple[Any, ...]] = page.iter_rows(
        max_row=MAX_LINES + 1, max_col=MAX_COLUMNS, values_only=True
    )
    for line in islice(lines, MAX_LINES + 1):
        rows.append([_text(cell) for cell in line])
        letters += sum(map(len, rows[-1]))
        if letters > MAX_PASTED:
            raise SheetInError(f"a table has at most {MAX_PASTED:,} letters; save it in parts")
    is_longer = len(rows) > MAX_LINES and (any(rows[-1]) or (page.max_row or 0) > len(rows))
    rows = rows[:MAX_LINES]
    while rows and not any(rows[-1]):
        rows.pop()
    return rows, is_longer


def _text(cell: Any) -> str:
    """What a cell holds, as a person would write it."""
    if cell is None:
        return ""
    if isinstance(cell, bool):
        return "yes" if cell else "no"
    if isinstance(cell, float):
        return f"{Decimal(f'{cell:.12g}'):f}"
    if isinstance(cell, dt.datetime):
        return cell.date().isoformat() if cell.time() == dt.time() else cell.isoformat(" ")
    if isinstance(cell, dt.date):
        return cell.isoformat()
    return " ; ".join(part for part in str(cell).splitlines() if part.strip())


def _line(cells: Sequence[str]) -> str:
    """A line of a table apart by tabs, always one line of text."""
    return "\t".join(_quoted(cell.replace("\t", " ")) for cell in cells).rstrip("\t")


def _quoted(cell: str) -> str:
    return '"' + cell.replace('"', '""') + '"' if '"' in cell else cell
