"""Amounts of items, limits and facts as numbers in one unit, through the units that sums read."""

from __future__ import annotations

import math
import re

from onceapart.errors import QuantityError
from onceapart.sums.present import round_significant
from onceapart.sums.quantity import parse_quantity
from onceapart.sums.units import convert, plain_spelling, spellings_of
from onceapart.trade.rules import Amount, Fact, Item

_SYMBOLS = {"deg": "°", "degC": "°C", "degF": "°F", "m/s2": "m/s²", "Nm": "N·m"}
_SYMBOLS_OF = {("acceleration", "g"): "gₙ"}
"""Units of rule packs that the sums write otherwise."""

_COUNT = re.compile(r"(?P<number>[0-9][0-9.,]{0,14}) ?(?P<counted>[A-Za-z ]{0,30}|1/m)", re.ASCII)
_NOT_COUNTED = ("length", "distance", "mass", "force", "pressure", "temperature", "angle", "speed", "torque")
COUNTED = "counted"
"""What may stand after a plain number, as a value in a workshop file has something after it."""


def symbol(quantity: str, unit: str) -> str:
    """The unit as the sums name it.

    >>> symbol("length", "mm"), symbol("acceleration", "g"), symbol("mass", "g")
    ('mm', 'gₙ', 'g')
    """
    return _SYMBOLS_OF.get((quantity, unit)) or _SYMBOLS.get(unit, unit)


def read_typed(text: str, of: Item | Fact) -> float:
    """What was written down for something that is measured, in its own unit.

    Parameters
    ----------
    text : str
        As typed, such as ``3/32 in``.
    of : Item or Fact
        With a quantity and a unit.

    Returns
    -------
    float
        [unit of the item or fact]

    Raises
    ------
    QuantityError
        If it is no amount of that quantity, or has no unit where one is wanted.
    """
    assert of.quantity is not None
    unit = symbol(of.quantity, of.unit or "")
    if of.quantity == "number" and not unit:
        return _read_count(text)
    found = parse_quantity(text, unit, of.quantity)
    if unit and not found.has_typed_unit:
        raise QuantityError(f"{text!r}: the unit is missing; write it as in {text.strip()} {of.unit}")
    return found.value


def _read_count(text: str) -> float:
    """A plain number, after which may stand what was counted: ``2 swings``, ``12 years``, ``1.2 1/m``."""
    found = _COUNT.fullmatch(text.strip())
    counted = plain_spelling(found["counted"]) if found else ""
    if found is None or any(counted in spellings_of(kind) for kind in _NOT_COUNTED):
        raise QuantityError(f"{text!r}: a plain number is wanted; write it as in 2 or 2 {COUNTED}")
    return parse_quantity(found["number"], "", "number").value


def is_plausible(value: float, of: Item | Fact) -> bool:
    """Whether a reading can be at all."""
    least, most = of.plausible or (-math.inf, math.inf)
    return least <= value <= most


def amount_in(amount: Amount, of: Item | Fact) -> float:
    """An amount of a rule in the unit of an item or fact."""
    assert of.quantity is not None
    there = symbol(of.quantity, of.unit or "")
    return convert(float(amount.number), symbol(of.quantity, amount.unit) or there, there)


def is_beyond(value: float, limit: float, *, above: bool) -> bool:
    """Whether a reading fails a limit; the limit itself passes.

    >>> is_beyond(1.6, 1.6, above=False), is_beyond(1.59, 1.6, above=False), is_beyond(31, 30, above=True)
    (False, True, True)
    """
    # The last bits of a float turn no reading at the limit into one beyond it.
    if math.isclose(value, limit, rel_tol=1e-9, abs_tol=1e-12):
        return False
    return value > limit if above else value < limit


def in_words(value: float, of: Item | Fact, digits: int = 3) -> str:
    """An amount as a person reads it."""
    unit = of.unit or ""
    number = round_significant(value, digits)
    unit = {"deg": "°", "degC": "°C", "degF": "°F", "m/s2": "m/s²"}.get(unit, unit)
    return f"{number}{unit}" if unit == "°" else f"{number} {unit}".rstrip()
