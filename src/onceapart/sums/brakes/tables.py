"""Read the data files of this family: CSV with comment lines that say where the figures come from."""

from __future__ import annotations

import csv
from functools import cache
from importlib.resources import files


@cache
def read_table(name: str) -> tuple[dict[str, str], ...]:
    """Rows of ``data/NAME.csv`` as they stand, by column name."""
    text = (files("onceapart.sums.brakes") / "data" / f"{name}.csv").read_text("utf-8")
    lines = [line for line in text.splitlines() if not line.startswith("#")]
    return tuple(csv.DictReader(lines))
