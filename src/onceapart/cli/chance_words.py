"""Words and tables that pages about chances share."""

from __future__ import annotations

from collections.abc import Container, Sequence
from typing import TYPE_CHECKING

from rich.padding import Padding

from onceapart.cli.page import Page
from onceapart.cli.screen import column_widths, table
from onceapart.cli.wrapping import tied

if TYPE_CHECKING:
    from onceapart.planning.chance.odds import Odds
    from onceapart.planning.chance.risk import Risk
    from onceapart.planning.chance.trouble import Trouble
    from onceapart.planning.workload import Workload


def percent(share: float) -> str:
    """A chance in words that don't claim more than is known.

    >>> [percent(share).replace("\N{NO-BREAK SPACE}", " ") for share in (0.9999, 0.0, 0.183)]
    ['over 99 %', 'under 1 %', '18 %']
    """
    if share < 0.005:
        return tied("under", "1", "%")
    if share > 0.995:
        return tied("over", "99", "%")
    return tied(f"{share * 100:.0f}", "%")


def runs_words(odds: Odds) -> str:
    """How many runs a chance is of, and how sure it is."""
    low, high = odds.interval
    return f"{odds.runs:,} runs; 95 % sure between {low * 100:.1f} and {high * 100:.1f} %"


def risk_words(workload: Workload, trouble: Trouble, risk: Risk) -> str:
    """What would go as usual."""
    match risk.kind:
        case "all minutes":
            return "all work takes its typical minutes"
        case "all fasteners":
            return "no fastener breaks"
        case "fastener":
            return f"{_what(trouble, risk.name)} ({place_of(risk.name)}): none breaks"
        case kind:
            spread = trouble.spread(kind, risk.name, workload)
            return f"{risk.name} takes {spread.typical} min ({spread.good} to {spread.bad})"


def _what(trouble: Trouble, part: str) -> str:
    return next((one.what for one in trouble.fasteners if one.part == part and one.what), part)


def place_of(part: str) -> str:
    """Car and place in the id of a part.

    >>> place_of("pickle/rear/bleed-screw")
    'pickle rear'
    """
    return " ".join(part.split("/")[:-1]) or part


def indented(
    page: Page,
    headings: Sequence[str],
    rows: Sequence[Sequence[str]],
    *,
    numbers: Container[int],
    text: Sequence[int],
    indent: int = 2,
) -> None:
    """Add a table that begins some letters in."""
    every = [headings, *rows] if headings else list(rows)
    widths = column_widths(every, page.width - indent, text=text)
    page.add(Padding(table(headings, rows, widths, numbers=numbers), (0, 0, 0, indent)))
