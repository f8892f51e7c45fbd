"""Read the data files of this family: CSV with comment lines that say where the figures come from."""

from __future__ import annotations

import csv
from functools import cache
from importlib.resources import files


@cache
def read_table(name: str) -> tuple[dict[str, str], ...]:
    """Rows of ``data/NAME.csv`` as they stand, by column name."""
    text = (files("onceapart.sums.bolts") / "data" / f"{name}.csv").read_text("utf-8")
    lines = [line for line in text.splitlines() if not line.startswith("#")]
    return tuple(csv.DictReader(lines))


def inches(text: str) -> float:
    r"""Figure of an inch table, written as a fraction or a decimal.

    Parameters
    ----------
    text : str
        Such as ``1 1/32`` or ``0.5781``.

    Returns
    -------
    float
        The figure. [in]

    Examples
    --------
    >>> inches("1 1/32")
    1.03125

    References
    ----------
    .. [1] None: it only reads.
    """
    whole, _, fraction = text.rpartition(" ")
    top, _, bottom = fraction.partition("/")
    return float(whole or 0) + float(top) / float(bottom or 1)
