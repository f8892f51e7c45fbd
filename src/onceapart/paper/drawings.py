"""Pictures to go by at the bench: makeshift bolts drawn to scale beside what they stand in for."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from onceapart.bench.state import Stopgap
from onceapart.bench.stopgap import CHECKED_BY
from onceapart.errors import SumError
from onceapart.sums.run import run_sum


@dataclass(frozen=True)
class Drawing:
    """A picture as SVG; ``tells`` says in words what is on it."""

    title: str
    svg: str
    tells: str = ""


def stopgap_drawings(stopgaps: Iterable[Stopgap]) -> tuple[Drawing, ...]:
    """Drawings of those stopgaps that were checked as substitute bolts; the sum is run again to draw them."""
    found = []
    for one in stopgaps:
        check = one.fitted.check
        if check is None or check.sum != CHECKED_BY:
            continue
        try:
            result = run_sum(check.sum, dict(check.inputs))
        except SumError:
            continue  # the stopgap itself says that its check has no answer
        if result.drawing:
            title = f"{one.fitted.what}, {one.fitted.where}: {result.verdict}"
            found.append(Drawing(title, result.drawing, f"Drawn to scale: {title}"))
    return tuple(found)
