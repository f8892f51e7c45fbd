"""Limits as a rule writes them: ``1.6 mm``, ``2/32 in``, ``2 1/4 in``, ``marked``, ``marked x 1.5``.

Only the shape is checked here and that the unit is one of the quantity's; turning a unit into another is for
whoever compares a reading with the limit.
"""

from __future__ import annotations

import re
from fractions import Fraction
from typing import Annotated, Any, TypeAlias

from pydantic import BaseModel, BeforeValidator, ConfigDict

from onceapart.trade.schema import broken

UNITS_OF: dict[str, tuple[str, ...]] = {
    "length": ("mm", "cm", "m", "in", "ft"),
    "angle": ("deg",),
    "pressure": ("bar", "kPa", "psi"),
    "temperature": ("degC", "degF"),
    "force": ("N", "kN", "lbf"),
    "acceleration": ("m/s2", "g"),
    "mass": ("kg", "g", "lb"),
    "time": ("s", "min"),
    "number": ("", "%"),
}
"""Quantities that can be measured on a car, and the units a pack may write them in; the usual one first.

A plain ``number`` is a count or a ratio; one in per cent is never compared with one that is not.
"""
MARKED = "marked"
"""The car's own figure, stamped on the part or given by its maker."""

_AMOUNT = re.compile(
    r"(?P<number>[0-9]{1,6}(?:\.[0-9]{1,6})?|(?:[0-9]{1,4} )?[0-9]{1,4}/[1-9][0-9]{0,3})"
    r"(?: ?(?P<unit>[A-Za-z%°][A-Za-z0-9/%]{0,9}))?",
    re.ASCII,
)
_OF = re.compile(
    r"(?P<of>[a-z][a-z0-9]*(?:-[a-z0-9]+)*)"
    r"(?: x (?P<factor>[0-9]{1,4}(?:\.[0-9]{1,4})?|[1-9][0-9]{0,3}/[1-9][0-9]{0,3}))?",
    re.ASCII,
)


class Amount(BaseModel):
    """A number with its unit, as written; ``number`` is exact."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    text: str
    number: Fraction
    unit: str

    def __str__(self) -> str:
        return self.text


class Limit(BaseModel):
    """What a reading is compared with: an amount, or the car's own figure or a fact of it times a factor."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    text: str
    """As written in the pack."""
    amount: Amount | None = None
    """None if the limit is a figure of the car."""
    of: str | None = None
    """``marked``, or the id of one of the pack's facts."""
    factor: Fraction = Fraction(1)

    def __str__(self) -> str:
        return self.text


def read_amount(text: str) -> Amount:
    """An amount from its text; raises ValueError if it has not the shape of one.

    >>> read_amount("2 1/4 in").number, read_amount("70%").unit
    (Fraction(9, 4), '%')
    """
    found = _AMOUNT.fullmatch(text.strip())
    if found is None:
        raise ValueError(f"{text!r} is no amount")
    number = sum((Fraction(part) for part in found["number"].split()), Fraction())
    return Amount(text=text.strip(), number=number, unit=found["unit"] or "")


def read_limit(text: str) -> Limit:
    """A limit from its text; raises ValueError if it has not the shape of one.

    >>> read_limit("2/32 in").amount.number, read_limit("marked x 1.5").factor
    (Fraction(1, 16), Fraction(3, 2))
    """
    found = _OF.fullmatch(text.strip())
    if found is None:
        return Limit(text=text.strip(), amount=read_amount(text))
    return Limit(text=text.strip(), of=found["of"], factor=Fraction(found["factor"] or 1))


def _checked_amount(value: Any) -> Any:
    if not isinstance(value, str):
        return value
    try:
        return read_amount(value)
    except ValueError:
        raise broken("an amount is a number with its unit", "write it as in 16 in or 370 mm") from None


def _checked_limit(value: Any) -> Any:
    if not isinstance(value, str):
        return value
    try:
        return read_limit(value)
    except ValueError:
        rule = "a limit is a number with its unit, `marked` or a fact, these two with a factor or without"
        raise broken(rule, "write it as in 1.6 mm, 2/32 in, marked or marked x 1.5") from None


AmountText: TypeAlias = Annotated[Amount, BeforeValidator(_checked_amount)]
LimitText: TypeAlias = Annotated[Limit, BeforeValidator(_checked_limit)]
