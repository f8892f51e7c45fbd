"""Printing: tables as wide as the screen, and plain text where there is no screen."""

from __future__ import annotations

import sys
from collections.abc import Container, Iterable, Sequence
from typing import TYPE_CHECKING, TextIO

from onceapart.cli.wrapping import TIE, wrapped

if TYPE_CHECKING:
    from rich.console import Console, RenderableType
    from rich.table import Table

PLAIN_WIDTH = 80
"""Letters in a line where it is not a terminal that reads."""
WIDEST = 100
"""Longer lines are hard to read, however wide the terminal."""
NARROWEST = 40
GAP = 2
"""Blanks between columns."""


def width_of(stream: TextIO) -> int:
    """Letters to use of a line of this stream."""
    if not stream.isatty():
        return PLAIN_WIDTH
    import os

    try:
        width = os.get_terminal_size(stream.fileno()).columns
    except (OSError, ValueError):
        return PLAIN_WIDTH
    # A terminal that doesn't know says 0.
    return max(NARROWEST, min(width, WIDEST)) if width else PLAIN_WIDTH


def console_for(stream: TextIO) -> Console:
    """A Rich console that takes text as it is: no markup, no emoji, no colour unless it is a terminal."""
    from rich.console import Console

    is_terminal = stream.isatty()
    return Console(
        file=stream,
        width=width_of(stream),
        force_terminal=is_terminal,
        color_system="auto" if is_terminal else None,
        markup=False,
        emoji=False,
        highlight=False,
        legacy_windows=False,
    )


def show(renderables: Iterable[RenderableType], stream: TextIO | None = None) -> None:
    """Print one after the other. Lines end without blanks, so that plain output can be compared."""
    stream = stream or sys.stdout
    console = console_for(stream)
    with console.capture() as captured:
        for one in renderables:
            console.print(one)
    text = "".join(f"{line.rstrip()}\n" for line in captured.get().replace(TIE, " ").split("\n")[:-1])
    stream.write(text)
    stream.flush()


def table(
    headings: Sequence[str],
    rows: Iterable[Sequence[str]],
    widths: Sequence[int],
    numbers: Container[int] = (),
) -> Table:
    """A table without lines.

    Parameters
    ----------
    headings : sequence of str
        One a column, bold; empty for a table without.
    rows : iterable of sequences of str
    widths : sequence of int
        Cells a column; what is longer is wrapped.
    numbers : container of int
        Columns set to the right.
    """
    from rich.table import Table

    found = Table(
        box=None,
        show_header=bool(headings),
        pad_edge=False,
        padding=(0, GAP, 0, 0),
        collapse_padding=False,
        header_style="bold",
    )
    for at, width in enumerate(widths):
        heading = wrapped(headings[at], width) if headings else ""
        found.add_column(heading, width=width, justify="right" if at in numbers else "left")
    for row in rows:
        found.add_row(*(wrapped(cell, width) for cell, width in zip(row, widths, strict=True)))
    return found


def column_widths(rows: Sequence[Sequence[str]], width: int, text: Sequence[int]) -> list[int]:
    """Cells for each column of a table so that it fits.

    Parameters
    ----------
    rows : sequence of sequences of str
        All that will stand in the table, headings too.
    width : int
        Cells there are.
    text : sequence of int
        Columns that may be wrapped; the others get what they need. Of two, the second gives way first.

    Returns
    -------
    list of int
    """
    from rich.cells import cell_len

    widths = [max(map(cell_len, column)) for column in zip(*rows, strict=True)]
    room = width - sum(w for at, w in enumerate(widths) if at not in text) - GAP * (len(widths) - 1)
    for left, at in zip(range(len(text), 0, -1), text, strict=True):
        needed_after = sum(widths[other] for other in text[len(text) - left + 1 :])
        share = max(room - needed_after, room // left) if left > 1 else room
        widths[at] = max(4, min(widths[at], share))
        room -= widths[at]
    return widths


def say(message: str) -> None:
    """A sentence to the person, beside the result: on the error stream, wrapped."""
    print(wrapped(message, width_of(sys.stderr)), file=sys.stderr)
