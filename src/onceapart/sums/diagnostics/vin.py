"""The vehicle identification number: its check digit and model year."""

from __future__ import annotations

import re
from dataclasses import dataclass

from onceapart.errors import SumError
from onceapart.sums.quantity import shorten

VALUES = {
    **{str(figure): figure for figure in range(10)},
    **dict(zip("ABCDEFGH", range(1, 9), strict=True)),
    **dict(zip("JKLMN", range(1, 6), strict=True)),
    "P": 7,
    "R": 9,
    **dict(zip("STUVWXYZ", range(2, 10), strict=True)),
}
"""49 CFR 565.15(c), table III: what each character counts; verified in two copies."""
WEIGHTS = (8, 7, 6, 5, 4, 3, 2, 10, 0, 9, 8, 7, 6, 5, 4, 3, 2)
"""49 CFR 565.15(c), table IV: weight of each position; verified in two copies."""
YEAR_CODES = "ABCDEFGHJKLMNPRSTVWXY123456789"
"""Position 10 from model year 1980 on, again from 2010: verified in tables to 2020, later from memory."""
FIRST_YEAR = 1980
LOOK_ALIKE = ("5S", "8B", "2Z", "1L", "6G", "0D", "UV", "VY", "4A", "1T", "7T", "MN", "CG")
"""Characters that are mistaken for one another on a stamped plate: our own list."""


class Vin(str):
    """Seventeen characters, checked for length and alphabet only."""

    __slots__ = ()


def parse_vin(text: str) -> Vin:
    """Read a typed identification number.

    >>> parse_vin("1j9rp1a36 a1644345")
    '1J9RP1A36A1644345'
    """
    plain = "".join(each.upper() if each.isascii() else each for each in re.sub(r"[\s.\-]+", "", text))
    for letter, means in (("I", "the figure 1"), ("O", "the figure 0"), ("Q", "the figure 0 or 9")):
        if letter in plain:
            place = plain.index(letter) + 1
            raise SumError(
                f"{shorten(text)}: has {letter} at position {place}, which no such number has; is it {means}?"
            )
    strange = sorted(set(plain) - set(VALUES))
    if strange:
        raise SumError(f"{shorten(text)}: {strange[0]!r} is no letter or figure of such a number; check it")
    if len(plain) != 17:
        raise SumError(
            f"{shorten(text)}: {len(plain)} characters, must be 17 (cars before model year 1981 may have "
            "fewer, without a check digit); count again"
        )
    return Vin(plain)


def weighted_sum(vin: Vin) -> int:
    r"""Sum of each character's value times the weight of its position.

    Parameters
    ----------
    vin : Vin
        The number.

    Returns
    -------
    int
        The sum; position 9 weighs nought. [-]

    Examples
    --------
    >>> weighted_sum(parse_vin("1J9RP1A36A1644345"))
    314

    References
    ----------
    .. [1] 49 CFR 565.15(c), tables III and IV; the example is of NHTSA's guide for new manufacturers.
    """
    return sum(VALUES[each] * weight for each, weight in zip(vin, WEIGHTS, strict=True))


def check_digit(vin: Vin) -> str:
    """The check digit that should stand at position 9.

    Parameters
    ----------
    vin : Vin
        The number, with anything at position 9.

    Returns
    -------
    str
        A figure, or X for ten.

    Examples
    --------
    >>> check_digit(parse_vin("1J9RP1A36A1644345")), check_digit(parse_vin("11111111X11111110"))
    ('6', 'X')

    References
    ----------
    .. [1] 49 CFR 565.15(c).
    """
    rest = weighted_sum(vin) % 11
    return "X" if rest == 10 else str(rest)


@dataclass(frozen=True)
class ModelYears:
    """Model years a number allows."""

    likely: int | None
    """None if position 10 is no year, or nothing settles which of the two."""
    other: int | None
    why: str


def model_years(vin: Vin, *, north_american: bool, light: bool = True) -> ModelYears:
    """The model year, as far as the number tells.

    Parameters
    ----------
    vin : Vin
        The number.
    north_american : bool
        Whether the car was made for that market, where position 10 must be the year.
    light : bool
        Whether it is a car, or a van or truck up to 10,000 lb.

    Returns
    -------
    ModelYears
        The year, and the one thirty years off.

    Notes
    -----
    Codes come round every 30 years. For cars and light vans position 7 settles it: a figure up to 2009, a
    letter from 2010.

    Examples
    --------
    >>> model_years(parse_vin("1J9RP1A36A1644345"), north_american=True).likely
    2010

    References
    ----------
    .. [1] 49 CFR 565.15(b) and 565.25(b); year codes as four tables have them.
    """
    code = vin[9]
    if code not in YEAR_CODES:
        return ModelYears(None, None, f"Position 10 is {code}, which is no year code.")
    early = FIRST_YEAR + YEAR_CODES.index(code)
    late = early + len(YEAR_CODES)
    if not north_american:
        why = "Outside North America position 10 need not be the year; take it from the papers."
        return ModelYears(None, None, why)
    if not light:
        return ModelYears(None, None, f"Heavy vehicle: position 10 is {early} or {late}; take the papers'.")
    if vin[6].isdigit():
        return ModelYears(early, late, "Position 7 is a figure: up to 2009 (49 CFR 565.25(b)).")
    return ModelYears(late, early, "Position 7 is a letter: from 2010 (49 CFR 565.15(b)).")


def likely_misreadings(vin: Vin) -> list[Vin]:
    """Numbers one look-alike character away whose check digit agrees."""
    swaps: dict[str, set[str]] = {}
    for pair in LOOK_ALIKE:
        one, other = pair[0], pair[1]
        swaps.setdefault(one, set()).add(other)
        swaps.setdefault(other, set()).add(one)
    found = []
    for place, each in enumerate(vin):
        for instead in sorted(swaps.get(each, ())):
            other_vin = Vin(vin[:place] + instead + vin[place + 1 :])
            if check_digit(other_vin) == other_vin[8]:
                found.append(other_vin)
    return found
