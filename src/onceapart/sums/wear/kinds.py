"""Kinds of wearing part and their usual limits, from the data files of this family."""

from __future__ import annotations

import csv
from dataclasses import dataclass
from functools import cache
from importlib.resources import files

from onceapart.errors import SumError
from onceapart.sums.quantity import shorten


@dataclass(frozen=True)
class Limit:
    """A figure at which a part is worn out, and who says so."""

    limit_mm: float
    what: str
    status: str
    document: str = ""
    place: str = ""

    @property
    def words(self) -> str:
        """The limit in words, with how far it can be trusted."""
        return f"{self.what} ({self.status})" if self.status else self.what


@dataclass(frozen=True)
class Kind:
    """A kind of wearing part."""

    name: str
    meaning: str
    grows: bool
    """Whether the figure gets more with wear, as the diameter of a drum does."""
    least_mm: float
    most_mm: float
    new_mm: tuple[float, float] | None
    """Lowest and highest figure as new, where there is a usual one."""
    new_status: str
    gauge_mm: float
    """95 of 100 readings are within this of the truth."""
    gauge_words: str
    limits: tuple[Limit, ...]
    """The one the answer is about comes first."""


def _rows(name: str) -> list[dict[str, str]]:
    text = (files("onceapart.sums.wear") / "data" / f"{name}.csv").read_text("utf-8")
    return list(csv.DictReader(line for line in text.splitlines() if not line.startswith("#")))


@cache
def kinds() -> dict[str, Kind]:
    """Every kind of wearing part, by name."""
    rows = sorted(_rows("limits"), key=lambda row: row["first"] != "yes")
    return {
        row["kind"]: Kind(
            name=row["kind"],
            meaning=row["meaning"],
            grows=row["grows"] == "yes",
            least_mm=float(row["least"]),
            most_mm=float(row["most"]),
            new_mm=(float(row["new_low"]), float(row["new_high"])) if row["new_low"] else None,
            new_status=row["new_status"],
            gauge_mm=float(row["gauge"]),
            gauge_words=row["gauge_words"],
            limits=tuple(
                Limit(
                    float(limit["limit"]), limit["what"], limit["status"], limit["document"], limit["place"]
                )
                for limit in rows
                if limit["kind"] == row["kind"]
            ),
        )
        for row in _rows("kinds")
    }


def find_kind(name: str) -> Kind:
    """The kind of that name, or an error that lists them."""
    try:
        return kinds()[name]
    except KeyError:
        raise SumError(f"{shorten(name)}: no such kind; choose from {', '.join(kinds())}") from None
