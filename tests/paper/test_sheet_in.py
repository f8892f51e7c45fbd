"""Tables that come in as files: CSV in the letters people use, .xlsx with its traps and bombs."""

from __future__ import annotations

import datetime as dt
import zipfile
from io import BytesIO
from typing import Any

import openpyxl
import pytest

from onceapart.paper import sheet_in
from onceapart.paper.sheet_in import SheetInError, table_in


def xlsx(*lines: tuple[Any, ...], sheets: dict[str, list[tuple[Any, ...]]] | None = None) -> bytes:
    book = openpyxl.Workbook()
    pages = sheets or {"Sheet": list(lines)}
    book.remove(book.active)
    for name, content in pages.items():
        page = book.create_sheet(name)
        for line in content:
            page.append(line)
    out = BytesIO()
    book.save(out)
    return out.getvalue()


def repacked(content: bytes, changed: dict[str, bytes]) -> bytes:
    out = BytesIO()
    with zipfile.ZipFile(BytesIO(content)) as old, zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as new:
        for name in [*old.namelist(), *(one for one in changed if one not in old.namelist())]:
            new.writestr(name, changed[name] if name in changed else old.read(name))
    return out.getvalue()


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16"])
def test_csv_in_unicode(encoding: str) -> None:
    text = "Teil;Preis\nBürste €;14,90\n"
    found = table_in(text.encode(encoding))
    assert (found.text, found.sheet, found.notes) == (text, "", ())


def test_csv_of_an_older_program_is_read_and_said() -> None:
    found = table_in("Teil;Preis\nBürste €;14,90\n".encode("cp1252"))
    assert "Bürste €" in found.text
    assert "Windows-1252" in found.notes[0]


def test_cells_are_as_a_person_would_write_them() -> None:
    day = dt.datetime(2026, 3, 9)
    content = xlsx(
        ("part", "price", "days", "x", "y"), ("a", 14.9, day, True, 3), ("b", 1e15, None, 0.1 + 0.2, None)
    )
    assert table_in(content).text.split("\n")[:3] == [
        "part\tprice\tdays\tx\ty",
        "a\t14.9\t2026-03-09\tyes\t3",
        "b\t1000000000000000\t\t0.3",
    ]


def test_line_numbers_are_the_sheets_own() -> None:
    content = xlsx(("part", "price"), (), ('two\nlines\t"quoted"', 2), ("last", 3))
    assert table_in(content).text.split("\n") == [
        "part\tprice", "", '"two ; lines ""quoted"""\t2', "last\t3", ""
    ]  # fmt: skip


def test_of_formulas_the_value_is_taken_that_was_saved() -> None:
    from xlsxwriter import Workbook  # type: ignore[import-untyped]

    out = BytesIO()
    book = Workbook(out, {"in_memory": True})
    page = book.add_worksheet()
    page.write_string(0, 0, "price")
    page.write_formula(1, 0, "=1+1", None, 14.9)
    book.close()
    assert table_in(out.getvalue()).text == "price\n14.9\n"


def test_which_sheet_is_read() -> None:
    content = xlsx(sheets={"First": [("a",)], "OFFERS": [("b",)], "Third": [("c",)]})
    found = table_in(content)
    assert (found.text, found.sheet) == ("b\n", "OFFERS")
    assert "First, Third" in found.notes[0]
    assert table_in(content, "third").text == "c\n"
    with pytest.raises(SheetInError, match="there is First, OFFERS, Third"):
        table_in(content, "Fourth")
    assert table_in(xlsx(sheets={"P": [("p",)], "Q": [("q",)]})).text == "p\n"


@pytest.mark.parametrize(
    ("content", "says"),
    [
        (b"PK\x03\x04 and then nothing", "damaged"),
        (b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1", "old kind"),
        (b"\x00\x01\x02\x00\x00", "no text"),
        (repacked(xlsx(("a",)), {"xl/workbook.xml": b"<broken"}), "save it anew"),
        (repacked(xlsx(("a",)), {"xl/worksheets/sheet1.xml": b"<broken"}), "save it anew"),
        (
            repacked(xlsx(("a",)), {"xl/sharedStrings.xml": b'<!DOCTYPE x [<!ENTITY a "b">]><x/>'}),
            "document type",
        ),
    ],
)  # fmt: skip
def test_what_is_no_table_is_refused(content: bytes, says: str) -> None:
    with pytest.raises(SheetInError, match=says):
        table_in(content)


def test_an_archive_that_is_no_spreadsheet_is_refused() -> None:
    out = BytesIO()
    with zipfile.ZipFile(out, "w") as archive:
        archive.writestr("readme.txt", "hello")
    with pytest.raises(SheetInError, match=r"no \.xlsx"):
        table_in(out.getvalue())


def test_csv_has_no_sheets() -> None:
    with pytest.raises(SheetInError, match="has no sheets"):
        table_in(b"a,b\n", "x")


def test_a_bomb_is_not_unpacked() -> None:
    bomb = repacked(xlsx(("a",)), {"xl/media/big.bin": bytes(sheet_in.MAX_UNPACKED)})
    assert len(bomb) < 100_000
    with pytest.raises(SheetInError, match="unpacks to over"):
        table_in(bomb)
    many = repacked(xlsx(("a",)), {f"x/{n}": b"" for n in range(sheet_in.MAX_MEMBERS)})
    with pytest.raises(SheetInError, match="unpacks to over"):
        table_in(many)


def test_sizes_are_bounded(monkeypatch: pytest.MonkeyPatch) -> None:
    with pytest.raises(SheetInError, match="MB"):
        table_in(bytes(sheet_in.MAX_FILE + 1))
    with pytest.raises(SheetInError, match="letters"):
        table_in(b"a" * (4 * sheet_in.MAX_PASTED + 1))
    with pytest.raises(SheetInError, match="letters"):
        table_in(xlsx(*[("a" * 30_000,)] * 14))
    monkeypatch.setattr(sheet_in, "MAX_LINES", 3)
    found = table_in(xlsx(*[(str(n),) for n in range(5)]))
    assert found.text == "0\n1\n2\n"
    assert "line 3" in found.notes[0]
    assert table_in(xlsx(("1",), ("2",), ("3",))).notes == ()


def test_a_cell_at_the_far_corner_costs_nothing() -> None:
    book = openpyxl.Workbook()
    book.active["A1"], book.active["XFD1048576"] = "part", "far"
    out = BytesIO()
    book.save(out)
    found = table_in(out.getvalue())
    assert found.text == "part\n"
    assert "below it" in found.notes[0]
