"""The demo workshop: two invented cars with a few Saturdays to go, as an example of the file format."""

from __future__ import annotations

from importlib.resources import files
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from onceapart.workshop import ParsedWorkshop

__all__ = ["demo_text", "read_demo"]


def demo_text() -> str:
    """The demo workshop's file as it stands, with the comments that tell its story."""
    return (files("onceapart.demo") / "workshop.yaml").read_text(encoding="utf-8")


def read_demo() -> ParsedWorkshop:
    """The demo workshop, read and checked like any file.

    >>> read_demo().workshop.name
    'Weir Street'
    """
    from onceapart.workshop import parse_with_lines

    return parse_with_lines(demo_text(), "demo workshop")
