"""What is in a PDF: its text, its structure, and where things stand on its pages."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable, Iterator
from functools import lru_cache
from io import BytesIO
from typing import Any

import pypdfium2
from pypdf import PdfReader
from pypdf.generic import ArrayObject, DictionaryObject, IndirectObject

EDGE_MM = 8.0
"""Nothing is printed nearer to the edge of a sheet: common printers can't. [mm]"""
_LIGATURE = re.compile("f[filjkbht]")
"""Letters of one shape have one box."""
_UNSEEN = re.compile(r"[\s\u200b\u2066-\u2069\u200e\u200f\xa0]")


def text_of(pdf: bytes) -> str:
    """All text of all pages."""
    return "\n".join(pages_of(pdf))


@lru_cache(maxsize=8)
def pages_of(pdf: bytes) -> list[str]:
    """The text of each page."""
    return [page.extract_text() for page in PdfReader(BytesIO(pdf)).pages]


def quick_text_of(pdf: bytes) -> str:
    """The same by another reader, for long papers."""
    return "\n".join(page.get_textpage().get_text_range() for page in pypdfium2.PdfDocument(pdf))


def flat(text: str) -> str:
    """Text without anything unseen, as line breaks and blanks are not kept in a PDF."""
    return _UNSEEN.sub("", unicodedata.normalize("NFC", text))


def missing_from(pdf: bytes, texts: Iterable[str]) -> list[str]:
    """Those of some texts that the PDF does not have, letter by letter."""
    found = flat(text_of(pdf))
    return [one for one in texts if flat(one) not in found]


def texts_in(data: Any) -> Iterator[str]:
    """Every text in some data."""
    if isinstance(data, str):
        yield data
    elif isinstance(data, dict):
        for one in data.values():
            yield from texts_in(one)
    elif isinstance(data, list | tuple):
        for one in data:
            yield from texts_in(one)


def faults_of(pdf: bytes) -> list[str]:
    """What is wrong with its structure: title, language, tags, fonts, references that lead nowhere."""
    reader = PdfReader(BytesIO(pdf), strict=True)
    root = reader.trailer["/Root"].get_object()
    faults = []
    if not (reader.metadata and reader.metadata.title):
        faults.append("no title")
    if root.get("/Lang") != "en":
        faults.append("no language")
    if "/StructTreeRoot" not in root or not root["/MarkInfo"].get_object().get("/Marked"):
        faults.append("not tagged")
    if "/CreationDate" in (reader.metadata or {}):
        faults.append("it has a date, so that it is another each day")
    if not root["/ViewerPreferences"].get_object().get("/DisplayDocTitle"):
        faults.append("readers are not told to show the title")
    faults += list(_broken(reader))
    for number, page in enumerate(reader.pages, 1):
        fonts = page["/Resources"].get_object().get("/Font", DictionaryObject()).get_object()
        for font in fonts.values():
            faults += _font_faults(number, font.get_object())
    return faults


def _font_faults(number: int, font: Any) -> Iterator[str]:
    if "/ToUnicode" not in font:
        yield f"page {number}: text that can't be copied out"
    inner = font["/DescendantFonts"].get_object()[0].get_object() if "/DescendantFonts" in font else font
    descriptor = inner["/FontDescriptor"].get_object()
    if not {"/FontFile", "/FontFile2", "/FontFile3"} & set(descriptor):
        yield f"page {number}: a font that is not in the file"


def _broken(reader: PdfReader) -> Iterator[str]:
    """References to objects that are not there."""
    seen: set[tuple[int, int]] = set()
    waiting: list[Any] = [reader.trailer]
    while waiting:
        one = waiting.pop()
        if isinstance(one, IndirectObject):
            key = (one.idnum, one.generation)
            if key in seen:
                continue
            seen.add(key)
            found = one.get_object()
            if found is None:
                yield f"object {one.idnum} is not there"
            waiting.append(found)
        elif isinstance(one, DictionaryObject):
            waiting.extend(one.raw_get(key) for key in one)
        elif isinstance(one, ArrayObject):
            waiting.extend(list.__iter__(one))


def outside(pdf: bytes) -> list[str]:
    """What stands in the edge of a sheet or beyond: letters by their place, all else by the printed page."""
    found = []
    for number, page in enumerate(pypdfium2.PdfDocument(pdf), 1):
        wide, high = page.get_size()
        edge = EDGE_MM / 25.4 * 72
        text = page.get_textpage()
        for at in range(text.count_chars()):
            left, bottom, right, top = text.get_charbox(at)
            if right > left and not (
                left >= edge and bottom >= edge and right <= wide - edge and top <= high - edge
            ):
                found.append(f"page {number}: {text.get_text_range(at, 1)!r} at {left:.0f}, {bottom:.0f}")
        image = page.render(scale=0.5).to_pil().convert("L")
        strip = round(edge * 0.5) - 1
        inner = image.copy()
        inner.paste(255, (strip, strip, image.width - strip, image.height - strip))
        if inner.getextrema()[0] < 200:
            found.append(f"page {number}: something is drawn in the edge")
    return found


def overlapping(pdf: bytes) -> list[str]:
    """Letters that are printed over each other."""
    found = []
    for number, page in enumerate(pypdfium2.PdfDocument(pdf), 1):
        text = page.get_textpage()
        boxes = [text.get_charbox(at) for at in range(text.count_chars())]
        rows: dict[int, list[tuple[float, float, float, float, int]]] = {}
        for at, (left, bottom, right, top) in enumerate(boxes):
            if right - left > 1 and top - bottom > 1:  # a blank has no height
                for row in range(int(bottom) // 10, int(top) // 10 + 1):
                    rows.setdefault(row, []).append((left, bottom, right, top, at))
        for row in rows.values():
            row.sort()
            for index, (_, bottom, right, top, at) in enumerate(row):
                for left2, bottom2, right2, top2, at2 in row[index + 1 :]:
                    if left2 >= right:
                        break
                    across = min(right, right2) - left2
                    along = min(top, top2) - max(bottom, bottom2)
                    pair = text.get_text_range(at, 1) + text.get_text_range(at2, 1)
                    if across > 1.5 and along > 1.5 and not _LIGATURE.fullmatch(pair):
                        found.append(f"page {number}: {pair!r} at {left2:.0f}, {bottom2:.0f}")
    return found


def sizes_of(pdf: bytes) -> set[tuple[int, int]]:
    """Sizes of the sheets. [mm]"""
    return {
        (round(float(page.mediabox.width) / 72 * 25.4), round(float(page.mediabox.height) / 72 * 25.4))
        for page in PdfReader(BytesIO(pdf)).pages
    }
