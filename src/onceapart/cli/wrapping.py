"""Breaking text into lines: between words, and long ids after a stroke or a hyphen."""

from __future__ import annotations

import re
from collections.abc import Iterator

TIE = "\N{NO-BREAK SPACE}"
"""Keeps two words on one line; it is printed as a blank."""
_PIECES = re.compile(rf"[^/\-{TIE}]*[/\-{TIE}]|[^/\-{TIE}]+")


def tied(*words: str) -> str:
    """Words that stay on one line if they can."""
    return TIE.join(words)


def wrapped(text: str, width: int, first: str = "", rest: str = "") -> str:
    """Text in lines of at most ``width`` cells.

    Parameters
    ----------
    text : str
        Its own line breaks are kept. Words stay whole where they fit on a line; a longer one is broken after
        a ``/``, ``-`` or tie, or else anywhere.
    width : int
        Cells of the screen; a wide letter takes two.
    first, rest : str
        What the first line and those after it begin with.

    Examples
    --------
    >>> print(wrapped("one two three-four-five", 10, "- ", "  "))
    - one two
      three-
      four-
      five
    """
    lines: list[str] = []
    for paragraph in text.split("\n"):
        room = max(1, width - max(_cells(first), _cells(rest)))
        for line in _lines(paragraph, room) or [""]:
            lines.append((rest if lines else first) + line.replace(TIE, " "))
    return "\n".join(line.rstrip() for line in lines)


def _lines(paragraph: str, room: int) -> list[str]:
    lines: list[str] = []
    line = ""
    for word in paragraph.split(" "):
        for piece, glue in _fitting(word, room):
            if not line:
                line = piece
            elif _cells(line + glue + piece) <= room:
                line += glue + piece
            else:
                lines.append(line)
                line = piece
    return [*lines, line] if line else lines


def _fitting(word: str, room: int) -> Iterator[tuple[str, str]]:
    """Pieces of a word that fit on a line, each with what joins it to the piece before."""
    if not word:
        return
    glue = " "
    for piece in [word] if _cells(word) <= room else _PIECES.findall(word):
        rest = piece
        while _cells(rest) > room:
            most = room
            while _cells(rest[:most]) > room and most > 1:
                most -= 1
            yield rest[:most], glue
            rest, glue = rest[most:], ""
        yield rest, glue
        glue = ""


def _cells(text: str) -> int:
    if text.isascii():
        return len(text)
    from rich.cells import cell_len

    return cell_len(text)
