"""Turns data into a PDF by a template: the same data, the same bytes.

Data reaches Typst as JSON and is read there as plain strings; nothing of it ever stands in Typst source, so
that ``#``, ``$`` or ``<`` in a name are letters like any other.
"""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from enum import StrEnum
from functools import lru_cache
from importlib.resources import files as files_of
from pathlib import Path
from typing import Any

from onceapart.paper.fonts import Letters, font_book

STANDARD = "ua-1"
"""PDF/UA-1 (ISO 14289-1): tagged, with title and language. Typst refuses to write what breaks it."""
_LOOK = ("look.typ", "boxes.typ")


class PaperSize(StrEnum):
    """Sheets that everything is laid out for."""

    A4 = "a4"
    LETTER = "letter"


def compile_pdf(
    template: str,
    title: str,
    data: Mapping[str, Any],
    *,
    size: PaperSize = PaperSize.A4,
    pictures: Mapping[str, bytes] | None = None,
    fonts: Sequence[Path] = (),
) -> bytes:
    """Lay data out by a template.

    Parameters
    ----------
    template : str
        Name of a file of ``templates`` without its ending.
    title : str
        Title of the document, as a reader shows it.
    data : mapping
        What ``json.dumps`` takes; the template knows its shape.
    size : PaperSize
    pictures : mapping, optional
        File name -> bytes of a picture, which the data names.
    fonts : sequence of Path
        Folders of fonts besides those that come along.

    Returns
    -------
    bytes
        A PDF of the standard ``STANDARD``. Letters that no font has stand as ``[U+4E2D]``, and the last page
        says so.
    """
    import typst

    letters = Letters(tuple(fonts))
    whole = {
        "paper": {"a4": "a4", "letter": "us-letter"}[size.value],
        "title": letters.printed(title),
        "data": letters.printed(data),
    }
    whole["fonts"] = letters.families()
    whole["letters"] = letters.note()
    sources: dict[str, bytes] = {"main.typ": _source(f"{template}.typ")}
    sources |= {name: _source(name) for name in _LOOK}
    sources |= {f"pictures/{name}": content for name, content in (pictures or {}).items()}
    # Sources as a dict are in typst's documentation, but not in its type stubs.
    compiled: Any = typst.compile
    found: bytes = compiled(
        sources,
        font_paths=font_book(letters.folders),
        ignore_system_fonts=True,
        sys_inputs={"data": json.dumps(whole, ensure_ascii=False)},
        pdf_standards=STANDARD,
    )
    return found


@lru_cache(maxsize=16)
def _source(name: str) -> bytes:
    return (files_of("onceapart.paper") / "templates" / name).read_bytes()


def shortened(text: str, most: int = 40) -> str:
    """A text for a line that has room for so many letters; what stands there stands in full elsewhere.

    >>> shortened("The Wren"), shortened("W" * 50, 10)
    ('The Wren', 'WWWWWWWWW…')
    """
    return text if len(text) <= most else f"{text[: most - 1].rstrip()}…"
