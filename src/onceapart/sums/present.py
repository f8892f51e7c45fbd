"""Figures as a person reads them (rounded, metric or imperial), and answers as plain data."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any, Literal

from onceapart.sums.result import Band, Output, Result, Value
from onceapart.sums.units import UNITS, convert

System = Literal["metric", "imperial"]


def round_significant(value: float, digits: int = 3) -> str:
    """A number to so many significant figures, without an exponent.

    >>> round_significant(48934.2), round_significant(0.049999), round_significant(84.3)
    ('48900', '0.05', '84.3')
    """
    if value == 0 or not math.isfinite(value):
        return "0" if value == 0 else str(value)
    decimals = digits - 1 - math.floor(math.log10(abs(value)))
    text = f"{round(value, decimals):.{max(decimals, 0)}f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


def show_value(value: Value, unit: str | None, digits: int = 3, system: System = "metric") -> str:
    """A value of an output in words, with its unit.

    >>> show_value(61.0, "N·m", 2), show_value(61.0, "N·m", 2, "imperial")
    ('61 N·m', '45 lb·ft')
    >>> show_value(Band(64.1, 82, 107), "N·m", 2)
    '82 N·m (64 to 110)'
    """
    if value is None:
        return "–"
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, str) or unit is None:
        return str(value)
    to = shown_unit(unit, system)
    label = UNITS[to].label
    if isinstance(value, Band):
        low, typical, high = (
            _number(convert(part, unit, to), to, digits) for part in (value.low, value.typical, value.high)
        )
        spread = f" ({low} to {high})" if low != high else ""
        return f"{_with_unit(typical, label)}{spread}"
    return _with_unit(_number(convert(value, unit, to), to, digits), label)


def shown_unit(unit: str, system: System) -> str:
    """The unit to show a figure in."""
    return (UNITS[unit].imperial or unit) if system == "imperial" else unit


def _number(value: float, unit: str, digits: int) -> str:
    return f"{value:.2f}" if unit.startswith("money") else round_significant(value, digits)


def _with_unit(number: str, label: str) -> str:
    if not label or label in {"°", "′", "″"}:
        return number + label
    plural = "s" if label in {"day", "week", "month", "year"} and number != "1" else ""
    return f"{number} {label}{plural}"


@dataclass(frozen=True)
class Line:
    """One answered output, ready to print."""

    label: str
    words: str


def shown_lines(outputs: tuple[Output, ...], result: Result, system: System = "metric") -> list[Line]:
    """The outputs of a sum in its own order; those with nothing to say are left out."""
    return [
        Line(output.label, show_value(result.values[output.name], output.unit, output.digits, system))
        for output in outputs
        if result.values.get(output.name) is not None
    ]


def shown_rows(result: Result, system: System = "metric") -> list[tuple[str, list[str], list[list[str]]]]:
    """Each table as title, headings and rows of words."""
    return [
        (
            table.title,
            [column.label for column in table.columns],
            [
                [
                    show_value(value, column.unit, column.digits, system)
                    for value, column in zip(row, table.columns, strict=True)
                ]
                for row in table.rows
            ],
        )
        for table in result.tables
    ]


def as_plain(outputs: tuple[Output, ...], result: Result) -> dict[str, Any]:
    """The answer as plain data for JSON: unrounded, each figure with its unit; no pictures."""
    return {
        "values": {
            output.name: {
                "label": output.label,
                "unit": output.unit,
                "value": _plain(result.values.get(output.name)),
            }
            for output in outputs
        },
        "verdict": result.verdict,
        "reasons": list(result.reasons),
        "warnings": list(result.warnings),
        "tables": [
            {
                "title": table.title,
                "columns": [
                    {"name": column.name, "label": column.label, "unit": column.unit}
                    for column in table.columns
                ],
                "rows": [[_plain(value) for value in row] for row in table.rows],
            }
            for table in result.tables
        ],
        "inputs": {
            reading.name: {"typed": reading.typed, "understood": reading.words, "note": reading.note}
            for reading in result.readings
        },
    }


def _plain(value: Value) -> Any:
    if isinstance(value, Band):
        return {"low": value.low, "typical": value.typical, "high": value.high}
    return value
