"""A page of lines and tables, built part by part and then shown."""

from __future__ import annotations

import sys
from collections.abc import Iterable, Sequence
from typing import TYPE_CHECKING

from onceapart.cli.screen import show, width_of
from onceapart.cli.wrapping import wrapped

if TYPE_CHECKING:
    from rich.console import RenderableType


class Page:
    """What a command prints: headings, facts with a label, lists and tables, in the width of the screen."""

    def __init__(self) -> None:
        self.width = width_of(sys.stdout)
        self.parts: list[RenderableType] = []

    def show(self) -> None:
        """Print the page."""
        show(self.parts)

    def add(self, part: RenderableType) -> None:
        """Add anything Rich can print."""
        self.parts.append(part)

    def heading(self, text: str, beside: str = "") -> None:
        """An empty line and a heading; ``beside`` follows it in plain letters."""
        if self.parts:
            self.parts.append("")
        self.line(text, f"({beside})" if beside else "")

    def line(self, text: str, beside: str = "", indent: int = 0) -> None:
        """A line in bold, with more beside it in plain letters."""
        lead = " " * indent
        self._styled(wrapped(f"{text} {beside}".strip(), self.width, lead, lead + "  "), len(lead + text))

    def fact(self, label: str, text: str, label_width: int, indent: int = 0) -> None:
        """A label, and beside it text that wraps; in bold where it stands at the edge."""
        lead = f"{' ' * indent}{label.ljust(label_width)}  "
        self._styled(wrapped(text, self.width, lead, " " * len(lead)), 0 if indent else len(lead))

    def items(self, label: str, items: Sequence[str], label_width: int, indent: int = 0) -> None:
        """A label, and items in a row with commas between; nothing if there are none."""
        if items:
            self.fact(label, ", ".join(items), label_width, indent)

    def sentences(self, sentences: Iterable[str]) -> None:
        """Each sentence as an item of a list."""
        for sentence in sentences:
            self._styled(wrapped(sentence, self.width, "  - ", "    "), 0)

    def below(self, text: str, indent: int = 4) -> None:
        """Text that belongs to the line above, set in."""
        self._styled(wrapped(text, self.width, " " * indent, " " * indent), 0)

    def paragraph(self, text: str) -> None:
        """An empty line, and text that wraps."""
        if self.parts:
            self.parts.append("")
        self._styled(wrapped(text, self.width), 0)

    def _styled(self, text: str, bold: int) -> None:
        """Wrapped text, its first letters bold."""
        from rich.text import Text

        found = Text(text)
        found.stylize("bold", 0, bold)
        self.parts.append(found)
