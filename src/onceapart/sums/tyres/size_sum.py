"""Size: what the letters and figures on a sidewall mean."""

from __future__ import annotations

from onceapart.sums.inputs import QuantityInput, TextInput
from onceapart.sums.registry import Sum
from onceapart.sums.result import Output, Result
from onceapart.sums.tyres import dimensions, load, rims, sources
from onceapart.sums.tyres.designation import Tyre, parse_tyre


def size_answer(tyre: Tyre, rim_width_in: float | None, speed_kmh: float | None) -> Result:
    """Dimensions, rims, load and speed of a size."""
    usual = rims.usual_rim_in(tyre.section_mm, tyre.series_percent)
    rim = usual if rim_width_in is None else rim_width_in
    suits = rims.best_rim_range(tyre)
    diameter = tyre.diameter_mm
    rolling = dimensions.rolling_circumference_mm(diameter.typical)
    width = tyre.width_mm(rim)
    return Result(
        values={
            "diameter": diameter,
            "worn_diameter": dimensions.worn_diameter_mm(diameter.typical, dimensions.WORN_TREAD_MM),
            "sidewall": tyre.height_mm,
            "hub_height": dimensions.loaded_radius_mm(tyre.rim_mm, tyre.height_mm),
            "width": width.typical,
            "width_most": width.high,
            "rims": str(suits),
            "rolling": rolling,
            "turns": dimensions.turns_per_km(rolling),
            "carries": None if tyre.load_index is None else load.load_kg(tyre.load_index),
            "speed": _speed_words(tyre),
            "carries_at_speed": _carried_at_speed(tyre, speed_kmh),
        },
        reasons=tuple(_reasons(tyre, rim, rim_width_in, suits)),
        warnings=tuple(_warnings(tyre, rim_width_in, suits, speed_kmh)),
    )


def _speed_words(tyre: Tyre) -> str | None:
    if tyre.speed_symbol is None:
        return None
    above = "above " if tyre.speed_symbol == "(Y)" else "up to "
    return f"{above}{load.speed_kmh(tyre.speed_symbol):.0f} km/h"


def _carried_at_speed(tyre: Tyre, speed_kmh: float | None) -> float | None:
    if speed_kmh is None or tyre.load_index is None or tyre.speed_symbol is None:
        return None
    return load.load_at_speed_kg(tyre.load_index, tyre.speed_symbol, speed_kmh)


def _reasons(tyre: Tyre, rim: float, given_rim: float | None, suits: rims.RimRange) -> list[str]:
    own = "" if given_rim is not None else ", the usual rim"
    reasons = [f"Width on a {rim:g} in rim{own}; half an inch more makes the tyre about 5 mm wider."]
    listed = rims.listed_rims(tyre)
    if suits.source == rims.LISTED:
        reasons.append("Rims from a list recalled from the standard: check with a tyre fitter.")
    else:
        recalled = f"; a list recalled from the standard has {listed} for this size" if listed else ""
        reasons.append(f"Rims by section width, after a chart{recalled}.")
    if tyre.aspect_percent is None and tyre.overall_in is None:
        reasons.append("No aspect ratio marked means the 80 to 82 series; reckoned with 81.")
    if tyre.overall_in is not None:
        reasons.append("The tolerance of the regulation is applied to a size marked with its diameter too.")
    if tyre.construction == "diagonal":
        reasons.append("No R: a diagonal tyre, which may turn out 8% higher in the section.")
    return reasons


def _warnings(tyre: Tyre, rim_in: float | None, suits: rims.RimRange, speed_kmh: float | None) -> list[str]:
    warnings = []
    if rim_in is not None and suits.allows(rim_in) is False:
        warnings.append(f"A {rim_in:g} in rim does not suit this tyre: it takes {suits}.")
    if tyre.load_index is None or tyre.speed_symbol is None:
        warnings.append("Load index or speed symbol missing: read them off after the size, such as 86H.")
    elif speed_kmh is not None and speed_kmh > load.speed_kmh(tyre.speed_symbol):
        warnings.append(f"Not made for {speed_kmh:.0f} km/h.")
    if tyre.prefix == "P":
        warnings.append("On a light truck or utility a P size carries a tenth less (from memory).")
    if tyre.prefix == "LT":
        warnings.append("An LT size needs the pressure of its own table to carry its load (from memory).")
    return warnings


SIZE = Sum(
    name="tyre-size",
    title="Tyre size",
    question="What does the size on the sidewall mean?",
    inputs=(
        TextInput(
            name="tyre",
            label="Tyre",
            parse=parse_tyre,
            what="tyre size, with or without load index and speed symbol",
            example="195/60 R14 86H",
            help="On the sidewall.",
        ),
        QuantityInput(
            name="rim-width",
            label="Rim width",
            unit="in",
            low=3,
            high=14,
            optional=True,
            example="6 in",
            help="Stamped on the rim: 6Jx14 is 6 in wide.",
        ),
        QuantityInput(
            name="speed",
            label="Speed driven",
            unit="km/h",
            low=0,
            high=350,
            optional=True,
            example="180 km/h",
        ),
    ),
    outputs=(
        Output(name="diameter", label="Overall diameter, new", unit="mm", digits=4),
        Output(name="worn_diameter", label="Overall diameter, worn to 1.6 mm", unit="mm", digits=4),
        Output(name="sidewall", label="Section height", unit="mm"),
        Output(name="hub_height", label="Hub above the road, about", unit="mm"),
        Output(name="width", label="Section width on the rim", unit="mm"),
        Output(name="width_most", label="Section width, at most", unit="mm"),
        Output(name="rims", label="Rims that suit", unit=None),
        Output(name="rolling", label="Rolled in one turn", unit="mm", digits=4),
        Output(name="turns", label="Turns in a kilometre", unit=""),
        Output(name="carries", label="Carries", unit="kg", digits=4),
        Output(name="speed", label="Made for", unit=None),
        Output(name="carries_at_speed", label="Carries at the speed driven", unit="kg", digits=4),
    ),
    sources=(
        sources.DIAMETER,
        sources.ENVELOPE,
        sources.SECTION,
        sources.THEORETICAL_RIM,
        sources.US_WIDTH,
        sources.RIM_CHART,
        sources.RIM_LIST,
        sources.LOAD,
        sources.SPEED,
        sources.SPEED_REST,
        sources.LOAD_AT_SPEED,
        sources.LOAD_AT_SPEED_Y,
        sources.ROLLING,
        sources.LOADED,
        sources.TREAD,
        sources.SERIES,
        sources.LIGHT_TRUCK,
    ),
    example={"tyre": "195/60 R14 86H", "rim-width": "6 in"},
    cautions=(sources.SIDEWALL,),
    answer=size_answer,
)
