"""What a sum asks for: each input reads typed text into a checked value, or refuses it with a way out."""

from __future__ import annotations

import difflib
import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any

from onceapart.errors import QuantityError, SumError
from onceapart.sums.present import round_significant, show_value
from onceapart.sums.quantity import EXAMPLES, Quantity, parse_quantity, shorten
from onceapart.sums.result import Reading
from onceapart.sums.units import UNITS, kind_of


@dataclass(frozen=True, kw_only=True)
class Input:
    """One input of a sum. A kind of input says how it reads; ``run.run_sum`` passes the value to the sum."""

    name: str
    """What people type it as: lower case, hyphens."""
    label: str
    example: str
    """Typed text that works."""
    help: str = ""
    """Where on the car or in the manual it is found."""
    default: str | None = None
    """Typed text taken when nothing is given, and said to be so."""
    optional: bool = False
    """May be left out with no default; the sum then gets None."""
    argument: str = ""
    """Name of the sum's argument; default: the name, and the unit's suffix (``grip_mm``)."""

    @property
    def python_name(self) -> str:
        """The keyword the sum is called with."""
        return self.argument or "_".join(filter(None, [self.name.replace("-", "_"), self.suffix]))

    @property
    def suffix(self) -> str:
        """The unit in Python names; empty without a unit."""
        return ""

    @property
    def accepts(self) -> str:
        """What may be typed, in words, for help and forms."""
        raise NotImplementedError

    def value_of(self, text: str) -> tuple[Any, str, str]:
        """The value, the value in words, and a note about what was taken for granted."""
        raise NotImplementedError

    def read(self, text: str | None) -> Reading:
        """Read typed text, or the default if there is none; blank counts as none."""
        if text is None or not text.strip():
            if self.default is not None:
                value, words, _ = self.value_of(self.default)
                return Reading(self.name, self.label, "", value, words, "not given, so taken as this")
            if self.optional:
                return Reading(self.name, self.label, "", None, "not given")
            raise SumError(f"not given, but needed; for instance {self.example}")
        return Reading(self.name, self.label, text.strip(), *self.value_of(text))


@dataclass(frozen=True, kw_only=True)
class QuantityInput(Input):
    """A figure with a unit, from ``low`` to ``high`` (both allowed, in ``unit``)."""

    unit: str
    low: float
    high: float
    kind: str = ""
    """Default: the first kind in ``units.KINDS`` that has the unit."""
    whole: bool = False
    """A count: whole numbers only."""

    @property
    def unit_kind(self) -> str:
        """The kind of quantity, which settles the units accepted."""
        return self.kind or kind_of(self.unit)

    @property
    def suffix(self) -> str:
        return UNITS[self.unit].suffix

    @property
    def accepts(self) -> str:
        low, high = (round_significant(edge, 6) for edge in (self.low, self.high))
        return f"{low} to {high} {UNITS[self.unit].label}".rstrip()

    def value_of(self, text: str) -> tuple[Any, str, str]:
        quantity = parse_quantity(text, self.unit, self.unit_kind)
        words = show_value(quantity.value, self.unit, 6)
        if not self.low <= quantity.value <= self.high:
            raise SumError(f"{_as_typed(quantity, words)}: must be {self.accepts}; {self._way_out(quantity)}")
        if self.whole and not quantity.value.is_integer():
            raise SumError(f"{shorten(quantity.typed)}: must be a whole number; write it like {self.example}")
        value = int(quantity.value) if self.whole else quantity.value
        bare = not quantity.has_typed_unit and bool(UNITS[self.unit].label)
        return value, words, f"no unit typed, so taken as {UNITS[self.unit].label}" if bare else ""

    def _way_out(self, quantity: Quantity) -> str:
        if not UNITS[self.unit].label:
            return "check the figure"
        if quantity.has_typed_unit:
            return "measure again or check the unit"
        return f"measure again, or add the unit: {EXAMPLES[self.unit_kind]}"


def _as_typed(quantity: Quantity, words: str) -> str:
    typed = shorten(quantity.typed)
    return typed if quantity.typed == words else f"{typed} ({words})"


@dataclass(frozen=True, kw_only=True)
class ChoiceInput(Input):
    """One word of a list; ``choices`` says what each word means."""

    choices: Mapping[str, str]

    @property
    def accepts(self) -> str:
        return ", ".join(self.choices)

    def value_of(self, text: str) -> tuple[Any, str, str]:
        wanted = _as_word(text[:60])
        for word in self.choices:
            if _as_word(word) == wanted:
                return word, word, ""
        near = difflib.get_close_matches(wanted, self.choices, 1)
        hint = f"did you mean {near[0]}? " if near else ""
        raise SumError(f"{shorten(text)}: not one of the choices; {hint}choose from {self.accepts}")


def _as_word(text: str) -> str:
    return re.sub(r"[\s_-]+", "-", text.strip()).lower()


@dataclass(frozen=True, kw_only=True)
class YesNoInput(Input):
    """Yes or no; the sum gets a bool."""

    @property
    def accepts(self) -> str:
        return "yes or no"

    def value_of(self, text: str) -> tuple[Any, str, str]:
        word = text.strip().lower()
        if word in {"yes", "y", "true", "1", "on"}:
            return True, "yes", ""
        if word in {"no", "n", "false", "0", "off"}:
            return False, "no", ""
        raise SumError(f"{shorten(text)}: not yes or no; write yes or no")


@dataclass(frozen=True, kw_only=True)
class TextInput(Input):
    """Text with a grammar of its own, such as a thread; ``parse`` raises SumError on what it refuses."""

    parse: Callable[[str], Any]
    what: str
    """What is expected, in words: ``thread designation``."""
    longest: int = 120

    @property
    def accepts(self) -> str:
        return f"{self.what}, such as {self.example}"

    def value_of(self, text: str) -> tuple[Any, str, str]:
        if len(text) > self.longest:
            raise SumError(
                f"{shorten(text)}: longer than {self.longest} characters; write it like {self.example}"
            )
        value = self.parse(text.strip())
        return value, str(value), ""


@dataclass(frozen=True, kw_only=True)
class RowsInput(Input):
    """Several readings: rows set apart by ``;`` or a new line, columns by ``:``.

    ``0 km: 8.0 mm; 5000 km: 7.1 mm`` gives a tuple of tuples; with one column, a tuple of values. The last
    columns may be left out if they are optional or have a default.
    """

    columns: tuple[Input, ...]
    least: int = 1
    most: int = 200

    @property
    def suffix(self) -> str:
        return self.columns[0].suffix if len(self.columns) == 1 else ""

    @property
    def accepts(self) -> str:
        each = " : ".join(f"{column.label.lower()} ({column.accepts})" for column in self.columns)
        return f"{self.least} to {self.most} rows, each {each}"

    def value_of(self, text: str) -> tuple[Any, str, str]:
        if len(text) > 20000:
            raise SumError(f"{shorten(text)}: longer than 20000 characters; split it into several sums")
        rows = [row for row in re.split(r"[;\n]", text) if row.strip()]
        if not self.least <= len(rows) <= self.most:
            raise SumError(
                f"{len(rows)} rows: must be {self.least} to {self.most}; for instance {self.example}"
            )
        read = [self._row(number, row) for number, row in enumerate(rows, 1)]
        values = tuple(tuple(cell.value for cell in row) for row in read)
        notes = sorted({cell.note for row in read for cell in row if cell.typed and cell.note})
        words = "; ".join(": ".join(cell.words for cell in row if cell.value is not None) for row in read)
        if len(self.columns) == 1:
            return tuple(row[0] for row in values), words, "; ".join(notes)
        return values, words, "; ".join(notes)

    def _row(self, number: int, row: str) -> list[Reading]:
        cells: list[str | None] = [*row.split(":")]
        if len(cells) > len(self.columns):
            rule = f"at most {len(self.columns)}; for instance {self.example}"
            raise SumError(f"row {number}: {len(cells)} columns: {rule}")
        cells += [None] * (len(self.columns) - len(cells))
        read = []
        for column, cell in zip(self.columns, cells, strict=True):
            try:
                read.append(column.read(cell))
            except SumError as error:
                raise SumError(f"row {number}, {column.label.lower()}: {error}") from error
        return read


__all__ = [
    "ChoiceInput",
    "Input",
    "QuantityError",
    "QuantityInput",
    "RowsInput",
    "TextInput",
    "YesNoInput",
]
