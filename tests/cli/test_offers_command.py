"""``onceapart offers``: what it understood, what it says is wrong, and what it writes."""

from __future__ import annotations

import json
from pathlib import Path

import openpyxl
import pytest
from cli_cases import SMALL, Run

from onceapart.workshop import read_workshop

TABLE = """\
Teil;Händler;Preis (€);Lieferzeit;Bemerkung
wren/bulb;Parts counter;3,90;2-4 Tage;halogen
wren/fuse;Parts counter;1,00;;
wren/bulb;Nobody;2,00;;
"""


@pytest.fixture
def file(tmp_path: Path) -> Path:
    path = tmp_path / "mine.yaml"
    path.write_text(SMALL.replace("stints:", "# until dusk\nstints:"), encoding="utf-8")
    return path


def table(tmp_path: Path, text: str = TABLE, name: str = "t.csv") -> str:
    path = tmp_path / name
    path.write_text(text, encoding="utf-8")
    return str(path)


def test_it_shows_what_it_understood_and_changes_nothing(run: Run, file: Path, tmp_path: Path) -> None:
    before = file.read_bytes()
    ran = run("offers", str(file), table(tmp_path))
    assert ran.status == 0
    lines = ran.out.splitlines()
    assert all(len(line) <= 80 for line in lines)
    assert "Preis (€)   price      3,90" in lines
    assert "Bemerkung   not used   halogen" in lines
    assert "row 3: wren/fuse" in ran.out
    assert "row 4: Nobody" in ran.out
    assert "1 changed, 2 that can't be used" in ran.out.replace("\n", " ")
    assert "--part 'wren/fuse=ID'" in ran.out.replace("\n", " ")
    assert file.read_bytes() == before


def test_a_column_is_what_a_person_says(run: Run, file: Path, tmp_path: Path) -> None:
    ran = run("offers", str(file), table(tmp_path), "--column", "Bemerkung=title", "--json")
    found = json.loads(ran.out)
    assert found["columns"][4] == {"head": "Bemerkung", "taken_for": "title"}
    assert found["rows"][0]["offer"]["title"] == "halogen"
    by_number = run("offers", str(file), table(tmp_path), "--column", "5=title", "--json")
    assert json.loads(by_number.out) == found


def test_new_offers_are_added_and_all_else_stays(run: Run, file: Path, tmp_path: Path) -> None:
    before = file.read_text(encoding="utf-8")
    text = TABLE.replace(
        "wren/bulb;Parts counter;3,90;2-4 Tage;halogen", "2 x wren/bulb;Parts counter;6,50;1;"
    )
    ran = run("offers", str(file), table(tmp_path, text), "--write")
    assert ran.status == 0
    said = " ".join(ran.err.split())
    assert "1 offer added" in said
    assert "2 of the table's rows" in said
    after = file.read_text(encoding="utf-8")
    assert set(before.splitlines()) <= set(after.splitlines())
    old, new = read_workshop(file).offers
    assert (old.id, old.price) == ("counter-bulb", 450)
    assert (new.parts, new.price, new.days) == ({"wren/bulb": 2}, 650, 1)
    again = run("offers", str(file), table(tmp_path, text), "--write")
    assert "No row is a new offer" in again.err
    assert file.read_text(encoding="utf-8") == after


def test_an_offer_of_the_file_is_never_written_over(run: Run, file: Path, tmp_path: Path) -> None:
    ran = run("offers", str(file), table(tmp_path), "--write")
    assert "counter-bulb has price 4.50" in " ".join(ran.out.split())
    assert [one.price for one in read_workshop(file).offers] == [450]


def test_a_name_stands_for_a_part(run: Run, file: Path, tmp_path: Path) -> None:
    text = "part,seller,price,pieces\nLamp H4,counter,2.50,2\n"
    ran = run("offers", str(file), table(tmp_path, text), "--part", "Lamp H4=wren/bulb", "--write")
    assert ran.status == 0
    assert [(one.parts, one.price) for one in read_workshop(file).offers][-1] == ({"wren/bulb": 2}, 250)


def test_a_spreadsheet_is_read(run: Run, file: Path, tmp_path: Path) -> None:
    book = openpyxl.Workbook()
    for line in (("Part", "Price"), ("wren/bulb", 3.25)):
        book.active.append(line)
    book.save(tmp_path / "t.xlsx")
    ran = run("offers", str(file), str(tmp_path / "t.xlsx"), "--seller", "counter", "--json")
    assert json.loads(ran.out)["rows"][0]["offer"]["price"] == 325


@pytest.mark.parametrize(
    ("text", "options", "says"),
    [
        ("a,b\n1,2\n", (), "no column is taken for price"),
        ("", (), "there is no row in it"),
        ("part,price\nwren/bulb,2\n", (), "Name the seller of all rows with --seller ID"),
        (TABLE, ("--seller", "nobody"), "there is no such seller; there is counter"),
        (TABLE, ("--column", "Teil=colour"), "write it as HEAD=WHAT"),
        (TABLE, ("--column", "Farbe=title"), "no column has this head"),
        (TABLE, ("--part", "x=wren/bulp"), "did you mean wren/bulb?"),
        (TABLE, ("--sheet", "x"), "a CSV file has no sheets"),
    ],
)
def test_what_cannot_be_used_is_said(
    run: Run, file: Path, tmp_path: Path, text: str, options: tuple[str, ...], says: str
) -> None:
    before = file.read_bytes()
    ran = run("offers", str(file), table(tmp_path, text), "--write", *options)
    assert ran.status == 2
    assert says in " ".join((ran.out + ran.err).split())
    assert file.read_bytes() == before


def test_files_that_are_not_there(run: Run, file: Path, tmp_path: Path) -> None:
    assert "cannot be read" in run("offers", str(file), str(tmp_path / "none.csv")).err
    assert run("offers", str(tmp_path / "none.yaml"), table(tmp_path)).status == 2
    assert "no file to add to" in run("offers", "-", table(tmp_path), "--write").err
