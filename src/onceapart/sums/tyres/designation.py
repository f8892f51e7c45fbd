"""Read a tyre size off the sidewall: ``195/60 R14 86H``, ``165R13``, ``P235/75R15``, ``31x10.5R15``."""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import cached_property

from onceapart.errors import SumError
from onceapart.sums.quantity import shorten
from onceapart.sums.result import Band
from onceapart.sums.tyres import dimensions
from onceapart.sums.tyres.load import load_indices, speed_symbols

UNMARKED_ASPECT = 81.0
"""A size without an aspect ratio is of the 80 to 82 series (seen); the middle."""

_SIZE = re.compile(
    r"""(?P<prefix>P|LT)?\ ?
    (?: (?P<overall>\d\d(?:\.\d{1,2})?)\ ?X\ ?(?P<inches>\d{1,2}(?:\.\d{1,2})?)
      | (?P<section>\d{3})\ ?(?:/\ ?(?P<aspect>\d{2,3}))? )
    \ ?(?P<old_symbol>[SHVZ]?)(?P<kind>R|D|B|-)\ ?(?P<rim>\d{1,3}(?:\.5)?)(?P<commercial>C?)
    (?:\ ?\(?(?P<load>\d{2,3})(?:/\d{2,3})?\ ?(?P<symbol>\(Y\)|[A-Z]|)\)?)?
    (?P<rest>(?:\ ?(?:XL|RF|EXTRA\ LOAD|REINFORCED|M\+S|TL|TT|3PMSF))*)""",
    re.VERBOSE | re.ASCII,
)
_EXAMPLES = "195/60 R14 86H, 165R13 82S or 31x10.5R15"


@dataclass(frozen=True)
class Tyre:
    """A tyre as its sidewall describes it."""

    section_mm: float
    rim_code: float
    """Rim diameter. [in]"""
    aspect_percent: float | None = None
    """None where the sidewall has none: 80 to 82 series, or a size in inches overall."""
    construction: str = "radial"
    load_index: int | None = None
    speed_symbol: str | None = None
    prefix: str = ""
    """P: United States passenger; LT: light truck."""
    is_commercial: bool = False
    is_reinforced: bool = False
    overall_in: float | None = None
    """Overall diameter, for sizes that are marked with it. [in]"""

    @property
    def size(self) -> str:
        """The size without load and speed, as ``195/60R14``."""
        letter = "R" if self.construction == "radial" else "-"
        rim = f"{self.rim_code:g}{'C' if self.is_commercial else ''}"
        if self.overall_in is not None:
            width = self.section_mm / dimensions.INCH_MM
            return f"{self.prefix}{self.overall_in:g}x{width:.4g}{letter}{rim}"
        aspect = "" if self.aspect_percent is None else f"/{self.aspect_percent:g}"
        return f"{self.prefix}{self.section_mm:g}{aspect}{letter}{rim}"

    def __str__(self) -> str:
        load = "" if self.load_index is None else f" {self.load_index}"
        symbol = self.speed_symbol or ""
        return f"{self.size}{load}{symbol if load or not symbol else ' ' + symbol}"

    @cached_property
    def rim_mm(self) -> float:
        """Nominal rim diameter, mm."""
        return dimensions.rim_diameter_mm(self.rim_code)

    @cached_property
    def height_mm(self) -> float:
        """Section height, mm."""
        if self.overall_in is not None:
            return (self.overall_in * dimensions.INCH_MM - self.rim_mm) / 2
        return dimensions.section_height_mm(self.section_mm, self.series_percent)

    @cached_property
    def series_percent(self) -> float:
        """Aspect ratio, marked or as good as marked, %."""
        if self.overall_in is not None:
            return 100 * self.height_mm / self.section_mm
        return UNMARKED_ASPECT if self.aspect_percent is None else self.aspect_percent

    @cached_property
    def diameter_mm(self) -> Band:
        """Overall diameter: smallest, nominal and largest of this size, new, mm."""
        return dimensions.diameter_band_mm(self.rim_mm, self.height_mm, self.construction)

    def width_mm(self, rim_width_in: float) -> Band:
        """Width on a rim: design and most, mm."""
        width = dimensions.section_on_rim_mm(self.section_mm, self.series_percent, rim_width_in)
        return dimensions.width_band_mm(width, self.construction)


def parse_tyre(text: str) -> Tyre:
    """Read a tyre size, with or without load index and speed symbol.

    >>> tyre = parse_tyre("195/60 R14 86H")
    >>> str(tyre), tyre.load_index, tyre.speed_symbol, tyre.diameter_mm.typical
    ('195/60R14 86H', 86, 'H', 590.0)
    """
    plain = re.sub(r"\s+", " ", text.upper().replace("×", "X")).strip()
    plain = re.sub(r"(?<=\d),(?=\d)", ".", plain)
    found = _SIZE.fullmatch(plain)
    if found is None:
        raise SumError(f"{shorten(text)}: not a tyre size we read; write it like {_EXAMPLES}")
    rim = float(found["rim"])
    if not 8 <= rim <= 30:
        raise SumError(
            f"{shorten(text)}: rim {rim:g} is not in inches (8 to 30); rims in millimetres are not read"
        )
    load = int(found["load"]) if found["load"] else None
    symbol = found["symbol"] or found["old_symbol"] or None
    _check_markings(text, load, symbol)
    common = {
        "rim_code": rim,
        "construction": "radial" if found["kind"] == "R" else "diagonal",
        "load_index": load,
        "speed_symbol": None if symbol == "Z" else symbol,
        "prefix": found["prefix"] or "",
        "is_commercial": bool(found["commercial"]),
        "is_reinforced": any(word in found["rest"] for word in ("XL", "RF", "EXTRA", "REINF")),
    }
    if found["overall"]:
        return _in_inches(text, float(found["overall"]), float(found["inches"]), rim, common)
    section = float(found["section"])
    aspect = float(found["aspect"]) if found["aspect"] else None
    if not 105 <= section <= 405:
        raise SumError(
            f"{shorten(text)}: section {section:g} mm: must be 105 to 405; look at the sidewall again"
        )
    if aspect is not None and not 25 <= aspect <= 100:
        raise SumError(f"{shorten(text)}: aspect {aspect:g}: must be 25 to 100 %; look at the sidewall again")
    return Tyre(section_mm=section, aspect_percent=aspect, **common)  # type: ignore[arg-type]


def _check_markings(text: str, load: int | None, symbol: str | None) -> None:
    if load is not None and load not in load_indices():
        known = load_indices()
        rule = f"must be {min(known)} to {max(known)}"
        raise SumError(f"{shorten(text)}: load index {load}: {rule}; look at the sidewall again")
    if symbol is not None and symbol != "Z" and symbol not in speed_symbols():
        known_symbols = ", ".join(speed_symbols())
        raise SumError(f"{shorten(text)}: speed symbol {symbol}: must be one of {known_symbols}")


def _in_inches(text: str, overall: float, width: float, rim: float, common: dict[str, object]) -> Tyre:
    height = (overall - rim) / 2
    if not (4 <= width <= 16 and 0.25 * width <= height <= 1.2 * width):
        raise SumError(
            f"{shorten(text)}: {overall:g} inches over all does not go with a {rim:g} inch rim and a "
            f"width of {width:g} inches; look at the sidewall again"
        )
    return Tyre(section_mm=width * dimensions.INCH_MM, overall_in=overall, **common)  # type: ignore[arg-type]


def parse_marked_tyre(text: str) -> Tyre:
    """Read a tyre size that must have its load index and speed symbol."""
    tyre = parse_tyre(text)
    missing = [
        words
        for words, value in (("load index", tyre.load_index), ("speed symbol", tyre.speed_symbol))
        if value is None
    ]
    if missing:
        raise SumError(
            f"{tyre}: {' and '.join(missing)} missing; add it from the sidewall, as in 195/60R14 86H"
        )
    return tyre
