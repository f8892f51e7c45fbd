"""The closed list of units people may type, and conversion between them.

Factors are exact by definition or taken to double precision; a test compares every one with pint, so that
running a sum need not import pint (slow, and not safe on raw user text).
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cache

from onceapart.errors import SumError


@dataclass(frozen=True)
class Unit:
    """One unit: ``value * factor + offset`` is the value in the SI unit of its dimension."""

    symbol: str
    """As shown, and as named by a sum's inputs and outputs."""
    factor: float
    suffix: str
    """The unit in Python names: ``torque_nm``."""
    pint: str
    """The same unit in pint's words; read only by the test that compares the factors."""
    spellings: str
    """What people type, separated by spaces, after :func:`plain_spelling`."""
    offset: float = 0.0
    imperial: str = ""
    """The unit shown instead to someone who wants inches and pounds; empty: the same."""
    shown: str | None = None
    """What a person sees where it differs from the symbol, which has to be unique."""

    @property
    def label(self) -> str:
        """The unit as a person sees it, such as ``g`` for both grams and standard gravity."""
        return self.symbol if self.shown is None else self.shown


_LBF = 4.4482216152605
_FT = 0.3048
_YEAR = 365.25 * 86400

_UNITS = (
    # length and distance, m
    Unit("mm", 1e-3, "mm", "mm", "mm millimetre millimetres millimeter millimeters", imperial="in"),
    Unit("µm", 1e-6, "um", "um", "um micron microns micrometre micrometres", imperial="thou"),
    Unit("cm", 1e-2, "cm", "cm", "cm centimetre centimetres centimeter centimeters", imperial="in"),
    Unit("m", 1.0, "m", "m", "m metre metres meter meters", imperial="ft"),
    Unit("km", 1e3, "km", "km", "km kms kilometre kilometres kilometer kilometers", imperial="mi"),
    Unit("in", 0.0254, "in", "inch", 'in inch inches "'),
    Unit("thou", 0.0254e-3, "thou", "thou", "thou mil mils"),
    Unit("ft", _FT, "ft", "ft", "ft foot feet '"),
    Unit("yd", 0.9144, "yd", "yard", "yd yds yard yards"),
    Unit("mi", 1609.344, "mi", "mile", "mi mile miles"),
    # area, m²
    Unit("mm²", 1e-6, "mm2", "mm**2", "mm2 sqmm", imperial="in²"),
    Unit("cm²", 1e-4, "cm2", "cm**2", "cm2 sqcm", imperial="in²"),
    Unit("m²", 1.0, "m2", "m**2", "m2 sqm", imperial="ft²"),
    Unit("in²", 0.0254**2, "in2", "inch**2", "in2 sqin"),
    Unit("ft²", _FT**2, "ft2", "ft**2", "ft2 sqft"),
    # volume, m³
    Unit("ml", 1e-6, "ml", "ml", "ml cc cm3 ccm millilitre millilitres milliliter milliliters"),
    Unit("l", 1e-3, "l", "liter", "l litre litres liter liters dm3"),
    Unit("in³", 0.0254**3, "in3", "inch**3", "in3 cuin ci"),
    # mass, kg
    Unit("kg", 1.0, "kg", "kg", "kg kgs kilo kilos kilogram kilograms", imperial="lb"),
    Unit("g", 1e-3, "g", "gram", "g gram grams", imperial="oz"),
    Unit("t", 1e3, "t", "metric_ton", "t tonne tonnes", imperial="lb"),
    Unit("lb", 0.45359237, "lb", "pound", "lb lbs pound pounds"),
    Unit("oz", 0.028349523125, "oz", "ounce", "oz ounce ounces"),
    # force, N
    Unit("N", 1.0, "n", "N", "n newton newtons", imperial="lbf"),
    Unit("kN", 1e3, "kn", "kN", "kn", imperial="lbf"),
    Unit("daN", 10.0, "dan", "daN", "dan", imperial="lbf"),
    Unit("kgf", 9.80665, "kgf", "kgf", "kgf kp kg", imperial="lbf"),
    Unit("lbf", _LBF, "lbf", "lbf", "lbf lb lbs pound pounds"),
    # torque, N·m
    Unit("N·m", 1.0, "nm", "N*m", "nm newtonmetre newtonmetres newtonmeter newtonmeters", imperial="lb·ft"),
    Unit("daN·m", 10.0, "danm", "daN*m", "danm mdan", imperial="lb·ft"),
    Unit("kgf·m", 9.80665, "kgfm", "kgf*m", "kgfm kgm mkg mkgf mkp kpm", imperial="lb·ft"),
    Unit("lb·ft", _LBF * _FT, "lbft", "lbf*ft", "lbft lbfft ftlb ftlbs ftlbf lbsft footpound footpounds"),
    Unit(
        "lb·in", _LBF * 0.0254, "lbin", "lbf*inch", "lbin lbfin inlb inlbs inlbf lbsin inchpound inchpounds"
    ),
    # pressure and stress, Pa
    Unit("MPa", 1e6, "mpa", "MPa", "mpa n/mm2 megapascal", imperial="psi"),
    Unit("kPa", 1e3, "kpa", "kPa", "kpa kilopascal", imperial="psi"),
    Unit("bar", 1e5, "bar", "bar", "bar bars", imperial="psi"),
    Unit("psi", _LBF / 0.0254**2, "psi", "psi", "psi lb/in2 lbf/in2"),
    Unit("ksi", 1e3 * _LBF / 0.0254**2, "ksi", "ksi", "ksi kpsi"),
    # speed, m/s
    Unit("km/h", 1 / 3.6, "kmh", "km/hour", "km/h kmh kph kmph", imperial="mph"),
    Unit("mph", 0.44704, "mph", "mile/hour", "mph mi/h mileperhour milesperhour"),
    Unit("m/s", 1.0, "mps", "m/s", "m/s", imperial="ft/s"),
    Unit("ft/s", _FT, "fps", "ft/s", "ft/s fps"),
    # acceleration, m/s²
    Unit("m/s²", 1.0, "mps2", "m/s**2", "m/s2", imperial="ft/s²"),
    Unit("gₙ", 9.80665, "gn", "standard_gravity", "g gn gee", shown="g"),
    Unit("ft/s²", _FT, "fps2", "ft/s**2", "ft/s2"),
    # temperature, K
    Unit("°C", 1.0, "degc", "degC", "°c degc c celsius", offset=273.15, imperial="°F"),
    Unit("°F", 5 / 9, "degf", "degF", "°f degf f fahrenheit", offset=459.67 * 5 / 9),
    Unit("K", 1.0, "k", "K", "k kelvin", imperial="°F"),
    # temperature difference, K
    Unit("Δ°C", 1.0, "k", "delta_degC", "°c degc c k kelvin δ°c", imperial="Δ°F", shown="°C"),
    Unit("Δ°F", 5 / 9, "degf", "delta_degF", "°f degf f δ°f", shown="°F"),
    # angle, rad
    Unit("°", math.pi / 180, "deg", "degree", "° deg degree degrees"),
    Unit("′", math.pi / 10800, "arcmin", "arcminute", "' arcmin minute minutes"),
    Unit("″", math.pi / 648000, "arcsec", "arcsecond", '" arcsec'),
    Unit("rad", 1.0, "rad", "radian", "rad radian radians"),
    # time, s
    Unit("s", 1.0, "s", "s", "s sec secs second seconds"),
    Unit("ms", 1e-3, "ms", "ms", "ms"),
    Unit("min", 60.0, "min", "minute", "min mins minute minutes"),
    Unit("h", 3600.0, "h", "hour", "h hr hrs hour hours"),
    Unit("day", 86400.0, "day", "day", "d day days"),
    Unit("week", 604800.0, "week", "week", "week weeks wk"),
    Unit("month", _YEAR / 12, "month", "month", "month months"),
    Unit("year", _YEAR, "year", "year", "year years yr yrs a"),
    # rotation, rad/s
    Unit("rpm", math.pi / 30, "rpm", "revolutions_per_minute", "rpm r/min rev/min 1/min"),
    # stiffness, N/m and N·m/rad
    Unit("N/mm", 1e3, "n_per_mm", "N/mm", "n/mm kn/m", imperial="lbf/in"),
    Unit("kgf/mm", 9806.65, "kgf_per_mm", "kgf/mm", "kgf/mm kg/mm", imperial="lbf/in"),
    Unit("lbf/in", _LBF / 0.0254, "lbf_per_in", "lbf/inch", "lbf/in lb/in lbs/in"),
    Unit("N·m/°", 180 / math.pi, "nm_per_deg", "N*m/degree", "nm/° nm/deg", imperial="lb·ft/°"),
    Unit("N·m/rad", 1.0, "nm_per_rad", "N*m/radian", "nm/rad", imperial="lb·ft/°"),
    Unit("lb·ft/°", _LBF * _FT * 180 / math.pi, "lbft_per_deg", "lbf*ft/degree", "lbft/° lbft/deg"),
    # power, W; energy, J
    Unit("W", 1.0, "w", "W", "w watt watts"),
    Unit("kW", 1e3, "kw", "kW", "kw", imperial="hp"),
    Unit("hp", _LBF * _FT * 550, "hp", "horsepower", "hp bhp"),
    Unit("PS", 735.49875, "ps", "metric_horsepower", "ps cv ch pk", imperial="hp"),
    Unit("J", 1.0, "j", "J", "j joule joules"),
    Unit("kJ", 1e3, "kj", "kJ", "kj"),
    # wear (m per m) and corrosion (m per s)
    Unit("mm/1000 km", 1e-9, "mm_per_1000km", "mm/(1000*km)", "mm/1000km", imperial="in/1000 mi"),
    Unit("in/1000 mi", 0.0254 / 1609344, "in_per_1000mi", "inch/(1000*mile)", "in/1000mi"),
    Unit("mm/year", 1e-3 / _YEAR, "mm_per_year", "mm/year", "mm/year mm/yr mm/a", imperial="thou/year"),
    Unit("µm/year", 1e-6 / _YEAR, "um_per_year", "um/year", "um/year um/yr um/a", imperial="thou/year"),
    Unit("thou/year", 0.0254e-3 / _YEAR, "thou_per_year", "thou/year", "thou/year thou/yr mil/year"),
    # material
    Unit("kg/m³", 1.0, "kg_per_m3", "kg/m**3", "kg/m3"),
    Unit("J/(kg·K)", 1.0, "j_per_kgk", "J/(kg*K)", "j/kgk"),
    Unit("W/(m²·K)", 1.0, "w_per_m2k", "W/(m**2*K)", "w/m2k"),
    Unit("1/K", 1.0, "per_k", "1/K", "1/k"),
    # plain numbers
    Unit("", 1.0, "", "", ""),
    Unit("%", 0.01, "percent", "percent", "% percent pc"),
    # money stays in the user's own currency, so it has no conversion
    Unit("money", 1.0, "", "", "", shown=""),
    Unit("money/h", 1.0, "per_h", "1/hour", "/h /hour perhour anhour", shown="/h"),
    Unit("money/month", 1.0, "per_month", "12/year", "/month permonth amonth", shown="/month"),
    Unit("money/year", 1 / 12, "per_year", "1/year", "/year peryear ayear", shown="/year"),
)
# Money rates convert among months and years only; an hour of one's own time is a different thing.
UNITS = {unit.symbol: unit for unit in _UNITS}

KINDS: dict[str, tuple[str, ...]] = {
    "length": ("mm", "µm", "cm", "m", "in", "thou", "ft"),
    "distance": ("km", "m", "mi", "ft", "yd"),
    "area": ("mm²", "cm²", "m²", "in²", "ft²"),
    "volume": ("ml", "l", "in³"),
    "mass": ("kg", "g", "t", "lb", "oz"),
    "force": ("N", "kN", "daN", "kgf", "lbf"),
    "torque": ("N·m", "daN·m", "kgf·m", "lb·ft", "lb·in"),
    "pressure": ("MPa", "kPa", "bar", "psi", "ksi"),
    "speed": ("km/h", "mph", "m/s", "ft/s"),
    "acceleration": ("m/s²", "gₙ", "ft/s²"),
    "temperature": ("°C", "°F", "K"),
    "temperature difference": ("Δ°C", "Δ°F"),
    "angle": ("°", "′", "″", "rad"),
    "time": ("s", "ms", "min", "h", "day", "week", "month", "year"),
    "rotation speed": ("rpm",),
    "stiffness": ("N/mm", "kgf/mm", "lbf/in"),
    "roll stiffness": ("N·m/°", "N·m/rad", "lb·ft/°"),
    "power": ("W", "kW", "hp", "PS"),
    "energy": ("J", "kJ"),
    "wear rate": ("mm/1000 km", "in/1000 mi"),
    "corrosion rate": ("mm/year", "µm/year", "thou/year"),
    "density": ("kg/m³",),
    "specific heat": ("J/(kg·K)",),
    "heat transfer": ("W/(m²·K)",),
    "temperature coefficient": ("1/K",),
    "number": ("", "%"),
    "money": ("money",),
    "money an hour": ("money/h",),
    "money a month": ("money/month", "money/year"),
}
"""Kind -> the units accepted for it, the usual one first. A spelling is looked up within its kind only."""

_DROPPED = str.maketrans({**dict.fromkeys(" ·⋅*-_.^()"), "²": "2", "³": "3", "µ": "u", "μ": "u"})


def plain_spelling(text: str) -> str:
    """What is left of a typed unit once case, spaces, dots and hyphens are taken as equal.

    >>> plain_spelling("lb-ft"), plain_spelling("N·m"), plain_spelling("m/s^2")
    ('lbft', 'nm', 'm/s2')
    """
    return text.translate(_DROPPED).lower().replace("''", '"')


@cache
def spellings_of(kind: str) -> dict[str, Unit]:
    """Every spelling accepted for a kind, with its unit."""
    units = [UNITS[symbol] for symbol in KINDS[kind]]
    return {word: unit for unit in reversed(units) for word in unit.spellings.split()}


def kind_of(symbol: str) -> str:
    """The first kind that has the unit: ``mm`` is a length, ``km`` a distance."""
    for kind, symbols in KINDS.items():
        if symbol in symbols:
            return kind
    raise KeyError(f"unit {symbol!r} is not in the list; add it to units.py")


def convert(value: float, unit: str, to: str) -> float:
    """The same quantity in another unit of the same kind.

    >>> convert(1.75, "in", "mm")
    44.45
    >>> round(convert(68, "°F", "°C"), 9)
    20.0
    """
    if unit == to:
        return value
    if not any(unit in symbols and to in symbols for symbols in KINDS.values()) and not _same_length(
        unit, to
    ):
        raise SumError(f"{unit} cannot be turned into {to}: they measure different things; pick a like unit")
    here, there = UNITS[unit], UNITS[to]
    # 14 figures: so that 1 3/4 in is 44.45 mm and not 44.449999999999996, at the edge of a range too.
    return float(f"{(value * here.factor + here.offset - there.offset) / there.factor:.14g}")


def _same_length(unit: str, to: str) -> bool:
    return all(symbol in KINDS["length"] + KINDS["distance"] for symbol in (unit, to))
