"""Speedometer: how large a tyre it allows."""

from __future__ import annotations

from onceapart.sums.inputs import QuantityInput, RowsInput, TextInput
from onceapart.sums.registry import Sum
from onceapart.sums.result import Output, Result, Table
from onceapart.sums.tyres import sources
from onceapart.sums.tyres.designation import Tyre, parse_tyre
from onceapart.sums.tyres.speedometer import (
    SpeedReading,
    assumed_readings,
    largest_ratio,
    most_shown_kmh,
    smallest_ratio,
)

READINGS = RowsInput(
    name="readings",
    label="Speedometer against true speed",
    columns=(
        QuantityInput(name="true", label="True", unit="km/h", low=10, high=300, example="50 km/h"),
        QuantityInput(name="shown", label="Shown", unit="km/h", low=1, high=360, example="52 km/h"),
    ),
    most=30,
    optional=True,
    example="50 km/h: 52 km/h; 90 km/h: 95 km/h",
    help="On the tyres the car has; the true speed from satellite navigation, held steady on a level road.",
)
OVER_READING = QuantityInput(
    name="over-reading",
    label="Speedometer reads high by",
    unit="%",
    low=0,
    high=20,
    default="0 %",
    example="3 %",
    help="Only used without readings. 0 takes it to be exact, the safe side for a larger tyre.",
)
READING_COLUMNS = (
    Output(name="true", label="True now", unit="km/h", digits=4),
    Output(name="shown", label="Shown", unit="km/h", digits=4),
)


def readings_of(
    typed: tuple[tuple[float, float], ...] | None, over_reading: float
) -> tuple[SpeedReading, ...]:
    """The readings taken, or those of an assumed error."""
    if typed:
        return tuple(SpeedReading(true, shown) for true, shown in typed)
    return assumed_readings(over_reading)


def speedometer_answer(
    tyre: Tyre, readings: tuple[tuple[float, float], ...] | None, over_reading_percent: float
) -> Result:
    """Smallest and largest tyre that keep the speedometer within UN R39."""
    known = readings_of(readings, over_reading_percent)
    largest, smallest = largest_ratio(known), smallest_ratio(known)
    diameter = tyre.diameter_mm.typical
    is_possible = smallest <= largest
    reasons = ["UN R39: never less than the true speed, never more than a tenth and 4 km/h above it."]
    warnings = []
    if not readings:
        warnings.append("Reckoned with an assumed error: take readings before you buy tyres by it.")
    if not is_possible:
        warnings.append("No tyre sets this speedometer right: have it repaired or adjusted.")
    elif largest < 1:
        warnings.append("It shows too little already, on the tyres the car has.")
    elif smallest > 1:
        warnings.append("It shows too much already, on the tyres the car has.")
    return Result(
        values={
            "diameter": diameter,
            "largest_change": 100 * (largest - 1) if is_possible else None,
            "smallest_change": 100 * (smallest - 1) if is_possible else None,
            "largest": diameter * largest if is_possible else None,
            "smallest": diameter * smallest if is_possible else None,
        },
        reasons=tuple(reasons),
        warnings=tuple(warnings),
        tables=(
            Table(
                "Readings on the tyres the car has",
                (*READING_COLUMNS, Output(name="most", label="May show", unit="km/h", digits=4), _ALLOWED),
                tuple(
                    (each.true_kmh, each.shown_kmh, most_shown_kmh(each.true_kmh), each.is_allowed_with(1.0))
                    for each in known
                ),
            ),
        ),
    )


_ALLOWED = Output(name="allowed", label="Allowed", unit=None)

SPEEDOMETER = Sum(
    name="tyre-speedometer",
    title="Largest tyre by the speedometer",
    question="How much larger may the tyres be before the speedometer shows too little?",
    inputs=(
        TextInput(
            name="tyre",
            label="Tyre on the car",
            parse=parse_tyre,
            what="tyre size",
            example="185/60 R14",
            help="The size the readings were taken on.",
        ),
        READINGS,
        OVER_READING,
    ),
    outputs=(
        Output(name="diameter", label="Overall diameter now", unit="mm", digits=4),
        Output(name="largest_change", label="Larger by at most", unit="%", digits=2),
        Output(name="largest", label="Largest overall diameter", unit="mm", digits=4),
        Output(name="smallest_change", label="Smallest change (below nought: smaller)", unit="%", digits=2),
        Output(name="smallest", label="Smallest overall diameter", unit="mm", digits=4),
    ),
    sources=(sources.R39, sources.DIAMETER, sources.GEOMETRY),
    example={"tyre": "185/60 R14 82H", "readings": "50 km/h: 52 km/h; 90 km/h: 94 km/h; 110 km/h: 115 km/h"},
    cautions=(sources.APPROVAL,),
    answer=speedometer_answer,
)
