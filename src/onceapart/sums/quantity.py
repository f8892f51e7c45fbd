"""Read what people type: ``1 3/4 in``, ``45 lb-ft``, ``12,5 mm``, ``5' 3"``, ``½"``, ``20 °C``, ``8.8``.

The number has its own small grammar and the unit comes from a closed list, so nothing typed is ever
evaluated; text longer than ``LONGEST`` is refused before it is looked at.
"""

from __future__ import annotations

import re
from dataclasses import dataclass

from onceapart.errors import QuantityError
from onceapart.sums.units import KINDS, UNITS, convert, kind_of, plain_spelling, spellings_of

LONGEST = 60
"""Characters in the longest text read as a quantity."""

EXAMPLES = {
    "length": '12.5 mm, 3/4", 1 3/4 in or 5 ft 3 in',
    "distance": "87000 km, 35 m or 120 mi",
    "area": "84.3 mm² or 0.13 in²",
    "volume": "350 ml, 4.2 l or 21 in³",
    "mass": "1280 kg or 2800 lb",
    "force": "250 N, 2.4 kN or 55 lbf",
    "torque": "61 Nm, 45 lb-ft or 6 kgf·m",
    "pressure": "2.2 bar, 32 psi, 220 kPa or 580 MPa",
    "speed": "90 km/h, 60 mph or 25 m/s",
    "acceleration": "6.4 m/s² or 0.65 g",
    "temperature": "20 degC, 20 °C or 68 F",
    "temperature difference": "15 K or 27 F",
    "angle": "2.5 deg, 2.5° or 1° 30'",
    "time": "90 s, 45 min, 2 h, 3 months or 15 years",
    "rotation speed": "3000 rpm",
    "stiffness": "28 N/mm or 160 lb/in",
    "roll stiffness": "500 Nm/deg or 28650 Nm/rad",
    "power": "55 kW, 75 PS or 74 hp",
    "energy": "450 kJ",
    "wear rate": "0.18 mm/1000 km",
    "corrosion rate": "0.05 mm/year or 50 µm/year",
    "density": "7200 kg/m3",
    "specific heat": "460 J/(kg K)",
    "heat transfer": "60 W/(m2 K)",
    "temperature coefficient": "0.0005 1/K",
    "number": "0.2, 1/3 or 20 %",
    "money": "450 or 89.90 (in your own currency)",
    "money an hour": "12 or 12 /h",
    "money a month": "80, 80 /month or 960 /year",
}
"""For each kind, what works: shown by every refusal."""

_PAIRS = {
    ("ft", "in"): 12,
    ("°", "′"): 60,
    ("′", "″"): 60,
    ("h", "min"): 60,
    ("min", "s"): 60,
    ("lb", "oz"): 16,
}
"""Units that may follow one another (``5' 3"``), and how many of the second make one of the first."""

_LIKE = str.maketrans(
    {
        **dict.fromkeys("\u00a0\u2009\u202f\u2007\t", " "),
        "−": "-",
        "⁄": "/",
        "∕": "/",
        "×": "x",
        "⋅": "·",
        "′": "'",
        "’": "'",
        "″": '"',
        "”": '"',
        "“": '"',
        "º": "°",
        "½": " 1/2",
        "⅓": " 1/3",
        "⅔": " 2/3",
        "¼": " 1/4",
        "¾": " 3/4",
        "⅛": " 1/8",
        "⅜": " 3/8",
        "⅝": " 5/8",
        "⅞": " 7/8",
    }
)

_NUMBER = r"""
    (?: (?P<whole{n}>\d{{1,6}}) [ -] (?P<top{n}>\d{{1,4}}) / (?P<bottom{n}>\d{{1,4}})
      | (?P<over{n}>\d{{1,6}}) / (?P<under{n}>\d{{1,6}})
      | (?P<grouped{n}>\d{{1,3}}(?:\ \d{{3}})+(?:[.,]\d{{1,15}})?)
      | (?P<plain{n}>(?:\d{{1,15}}(?:[.,]\d{{1,15}})?|[.,]\d{{1,15}})(?:[eE][+-]?\d{{1,2}})?)
    )(?![\d.,])"""
_ONE = re.compile(
    rf"(?P<sign>[+-]?)\ ?{_NUMBER.format(n=1)}(?P<unit>(?:\ *[^\d\ .,+-].*|\ +1/[a-zA-Z].*)?)",
    re.VERBOSE | re.ASCII,
)
_TWO = re.compile(
    rf"(?P<sign>[+-]?)\ ?{_NUMBER.format(n=1)}\ *(?P<unit1>[a-zA-Z°]{{1,8}}|'|\")\.?\ *"
    rf"{_NUMBER.format(n=2)}\ *(?P<unit2>[a-zA-Z°]{{1,8}}\.?|'|''|\"|)",
    re.VERBOSE | re.ASCII,
)
_AMBIGUOUS = re.compile(r"[1-9]\d{0,2},\d{3}", re.ASCII)


@dataclass(frozen=True)
class Quantity:
    """A number read from typed text, already in the unit asked for."""

    value: float
    unit: str
    typed: str
    has_typed_unit: bool


def parse_quantity(text: str, unit: str, kind: str | None = None) -> Quantity:
    r"""Read typed text as a quantity of a kind, in the unit asked for.

    Parameters
    ----------
    text : str
        What was typed. A bare number is taken in ``unit``, and ``has_typed_unit`` is then False.
    unit : str
        Symbol from ``units.UNITS`` of the number wanted back.
    kind : str, optional
        Kind from ``units.KINDS``; default: the first one that has the unit.

    Raises
    ------
    QuantityError
        Anything that is not one number with a unit of this kind, with examples that work.

    Examples
    --------
    >>> parse_quantity("1 3/4 in", "mm").value
    44.45
    >>> round(parse_quantity("45 lb-ft", "N·m").value, 1)
    61.0
    >>> parse_quantity("12,5", "mm")
    Quantity(value=12.5, unit='mm', typed='12,5', has_typed_unit=False)
    """
    kind = kind or kind_of(unit)
    if len(text) > LONGEST:
        raise _refusal(text, f"longer than {LONGEST} characters", kind)
    plain = text.translate(_LIKE).strip()
    if not plain:
        raise _refusal(text, "nothing was typed", kind)
    if kind == "volume" and "oz" in plain.lower():
        raise _refusal(text, "a fluid ounce differs between countries", kind)
    found = _ONE.fullmatch(plain)
    if found is not None:
        typed_unit = found["unit"].strip()
        spelled = spellings_of(kind).get(plain_spelling(typed_unit)) if typed_unit else UNITS[unit]
        if spelled is not None:
            value = _sign(found) * _number(found, "1", text, kind)
            return Quantity(convert(value, spelled.symbol, unit), unit, text.strip(), bool(typed_unit))
    pair = _TWO.fullmatch(plain)
    if pair is not None:
        together = _pair(pair, unit, text, kind)
        if together is not None:
            return Quantity(together, unit, text.strip(), True)
    if found is not None:
        raise _refusal(text, f"{shorten(found['unit'].strip())} is not a unit of {kind} we know", kind)
    raise _refusal(text, "not one number with a unit", kind)


def _sign(found: re.Match[str]) -> int:
    return -1 if found["sign"] == "-" else 1


def _number(found: re.Match[str], n: str, text: str, kind: str) -> float:
    """The number of a match; decimals may be written with a point or a comma."""
    for whole, top, bottom in ((f"whole{n}", f"top{n}", f"bottom{n}"), (None, f"over{n}", f"under{n}")):
        if found[top] is not None:
            if int(found[bottom]) == 0:
                raise _refusal(text, "a fraction over nought", kind)
            return (int(found[whole]) if whole else 0) + int(found[top]) / int(found[bottom])
    digits = found[f"grouped{n}"] or found[f"plain{n}"]
    if _AMBIGUOUS.fullmatch(digits):
        one, other = digits.replace(",", ""), digits.replace(",", ".")
        raise QuantityError(f"{shorten(text)}: the comma could mean {one} or {other}; write one of these")
    return float(digits.replace(" ", "").replace(",", "."))


def _pair(found: re.Match[str], unit: str, text: str, kind: str) -> float | None:
    """``5' 3"`` and the like; None if the two units do not follow one another."""
    spellings = spellings_of(kind)
    first = spellings.get(plain_spelling(found["unit1"]))
    if first is None:
        return None
    follower = next((pair for pair in _PAIRS if pair[0] == first.symbol and pair[1] in KINDS[kind]), None)
    if follower is None:
        return None
    typed_second = plain_spelling(found["unit2"])
    if typed_second and spellings.get(typed_second) is not UNITS[follower[1]]:
        return None
    big, small = _number(found, "1", text, kind), _number(found, "2", text, kind)
    if not big.is_integer() or small >= _PAIRS[follower]:
        rule = f"a whole number of {follower[0]}, then less than {_PAIRS[follower]} {follower[1]}"
        raise _refusal(text, f"needs {rule}", kind)
    return _sign(found) * (convert(big, first.symbol, unit) + convert(small, follower[1], unit))


def _refusal(text: str, rule: str, kind: str) -> QuantityError:
    return QuantityError(f"{shorten(text)}: {rule}; write it like {EXAMPLES[kind]}")


def shorten(text: str, longest: int = 30) -> str:
    """The text as it can be shown in a message: quoted, shortened, no control characters."""
    return repr(text if len(text) <= longest else text[: longest - 1] + "…")
