"""No text is lost on paper: any letters, marks of the typesetter, words too long for a line, own fonts."""

from __future__ import annotations

import datetime as dt
import unicodedata
from pathlib import Path

import pypdfium2
import pytest
from fontTools.fontBuilder import FontBuilder  # type: ignore[import-untyped]
from fontTools.pens.ttGlyphPen import TTGlyphPen  # type: ignore[import-untyped]
from hypothesis import given, settings
from hypothesis import strategies as st
from pdf_reading import faults_of, flat, missing_from, outside, overlapping, pages_of, sizes_of, text_of

from onceapart.paper.fonts import FontsError, Letters, usable_folder
from onceapart.paper.order_files import orders_pdf
from onceapart.paper.order_sheets import OrderJob, OrderLine, OrderPart, Orders, OrderSheet
from onceapart.paper.typst_run import PaperSize

DAY = dt.date(2026, 3, 2)
NOTE = "Some letters are in no font at hand"


def sheet_with(*texts: str) -> Orders:
    """Orders in which each text is a title of a line, of a part, of a job and of a car."""
    lines = tuple(
        OrderLine(
            f"o{n}", text, 1, 100, 0, DAY, (OrderPart("p", text, 1),), (OrderJob("j", text, text, DAY),)
        )
        for n, text in enumerate(texts)
    )
    return Orders("Quay Lane", "EUR", DAY, (OrderSheet("s", "A seller", lines, 0),))


@given(st.text(max_size=80))
@settings(deadline=None)
def test_each_letter_stands_as_itself_or_as_its_number(text: str) -> None:
    rest = Letters().text(text)
    for letter in text:
        chooses_a_look = 0xFE00 <= ord(letter) <= 0xFE0F
        found = [one for one in (letter, f"[U+{ord(letter):04X}]") if one in rest]
        assert found or chooses_a_look
        if found:
            rest = rest[min(rest.index(one) for one in found) :]


@given(st.lists(st.text(min_size=1, max_size=120), min_size=1, max_size=6))
@settings(max_examples=12, deadline=None)
def test_any_text_at_all_makes_a_sound_paper(texts: list[str]) -> None:
    pdf = orders_pdf(sheet_with(*texts))
    assert faults_of(pdf) == []
    assert outside(pdf) == []


READABLE = st.text(
    st.characters(codec="ascii", categories=("L", "N", "P", "S"))
    | st.sampled_from("äßøçñЖщюλΩπՀայქარ中文かな한국 "),
    min_size=1,
    max_size=200,
)


@given(st.lists(READABLE, min_size=1, max_size=4))
@settings(max_examples=8, deadline=None)
def test_text_is_on_the_paper_letter_by_letter(texts: list[str]) -> None:
    letters = Letters()
    pdf = orders_pdf(sheet_with(*texts))
    assert missing_from(pdf, [letters.text(one) for one in texts]) == []
    assert (NOTE in text_of(pdf).replace("\n", " ")) == bool(letters.missing)


@pytest.mark.parametrize(
    "text",
    ["-" * 200, "/" * 200, "1/" * 100, "1-" * 100, "." * 200, "(" * 200, "W" * 200, "é" * 200, "_" * 200,
     "م" * 200, "\u00a0" * 50 + "x" * 100, "a\u00a0" * 100],
    ids=lambda text: f"{ord(text[0]):04X} {text[1]!r}",
)  # fmt: skip
def test_a_word_that_no_line_holds_is_broken(text: str) -> None:
    pdf = orders_pdf(sheet_with(text))
    assert outside(pdf) == []
    assert overlapping(pdf) == [] or unicodedata.bidirectional(text[0]) == "AL"
    found = text_of(pdf)
    for letter in set(flat(text)):
        assert found.count(letter) >= 4 * text.count(letter), "line, part, job and car have the text"


def test_text_from_right_to_left_keeps_its_words_and_turns_nothing_around_it() -> None:
    pdf = orders_pdf(sheet_with("مرحبا بالعالم", "שלום"))
    found = text_of(pdf)
    assert all(word in found for word in ("بالعالم", "שלום"))
    assert NOTE not in found
    assert (
        Letters().text("نص (نص), 2 Mar").replace("\u2068", "<").replace("\u2069", ">") == "<نص> (<نص>), 2 Mar"
    )
    # What stands behind the names on a line is printed to the right of them.
    (line,) = (one for one in lines_of(pdf) if one.startswith("For") and "ש" in one)
    assert line.endswith("2 Mar 2026.")


def test_what_turns_or_hides_text_is_shown_as_what_it_is() -> None:
    letters = Letters()
    assert letters.text("gpj\u202egnp.exe") == "gpj[U+202E]gnp.exe"
    assert letters.text("a\u200bb\ufeff\x07") == "a[U+200B]b[U+FEFF][U+0007]"
    assert letters.text("می\u200cخواهم").strip("\u2066\u2067\u2068\u2069") == "می\u200cخواهم"
    assert letters.missing == {}


def test_letters_that_no_font_has_are_told_on_the_paper() -> None:
    pdf = orders_pdf(sheet_with("Seilzug 中文 ไทย"))
    found = " ".join(pages_of(pdf)[-1].split())
    assert NOTE in found
    for letter in "中文ไทย":
        assert f"[U+{ord(letter):04X}]" in found
    assert "CJK UNIFIED IDEOGRAPH" in found


def test_letters_of_a_folder_of_ones_own_are_printed(tmp_path: Path) -> None:
    plain, own = orders_pdf(sheet_with("Seilzug 中")), tmp_path / "own"
    own.mkdir()
    make_font(own / "own.ttf", "中")
    pdf = orders_pdf(sheet_with("Seilzug 中"), fonts=[usable_folder(str(own))])
    assert "中" not in text_of(plain)
    assert "中" in text_of(pdf)
    assert NOTE not in text_of(pdf)
    assert faults_of(pdf) == []


def lines_of(pdf: bytes) -> list[str]:
    """Letters as they stand from left to right, line by line."""
    rows: dict[int, list[tuple[float, str]]] = {}
    page = pypdfium2.PdfDocument(pdf)[0].get_textpage()
    for at in range(page.count_chars()):
        left, bottom, _, top = page.get_charbox(at, loose=True)
        rows.setdefault(round((bottom + top) / 8), []).append((left, page.get_text_range(at, 1)))
    return ["".join(letter for _, letter in sorted(row)).strip() for row in rows.values()]


def make_font(path: Path, letters: str) -> None:
    """A font with a square for each of these letters."""
    pen = TTGlyphPen(None)
    for at, point in enumerate([(0, 0), (800, 0), (800, 800), (0, 800)]):
        (pen.lineTo if at else pen.moveTo)(point)
    pen.closePath()
    square = pen.glyph()
    names = [".notdef", *(f"u{ord(letter):04X}" for letter in letters)]
    font = FontBuilder(1000, isTTF=True)
    font.setupGlyphOrder(names)
    font.setupCharacterMap({ord(letter): f"u{ord(letter):04X}" for letter in letters})
    font.setupGlyf(dict.fromkeys(names, square))
    font.setupHorizontalMetrics(dict.fromkeys(names, (1000, 0)))
    font.setupHorizontalHeader(ascent=800, descent=-200)
    font.setupNameTable({"familyName": "Own Squares", "styleName": "Regular"})
    font.setupOS2(sTypoAscender=800, usWinAscent=800, usWinDescent=200)
    font.setupPost()
    font.save(path)


@pytest.mark.parametrize(("make", "rule"), [(False, "no such folder"), (True, "no font in this folder")])
def test_a_folder_without_fonts_is_refused(tmp_path: Path, make: bool, rule: str) -> None:
    if make:
        (tmp_path / "none").mkdir()
    with pytest.raises(FontsError, match=rule):
        usable_folder(str(tmp_path / "none"))


def test_both_sheets_have_their_size() -> None:
    assert sizes_of(orders_pdf(sheet_with("x"))) == {(210, 297)}
    assert sizes_of(orders_pdf(sheet_with("x"), size=PaperSize.LETTER)) == {(216, 279)}
