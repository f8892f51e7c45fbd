"""Strokes of the pedal until the pads touch again, and the stroke in use afterwards."""

from __future__ import annotations

from onceapart.errors import SumError
from onceapart.sums.brakes import hydraulics, sources
from onceapart.sums.brakes.asks import PISTONS, rules_table
from onceapart.sums.inputs import QuantityInput
from onceapart.sums.registry import Sum
from onceapart.sums.result import Output, Result, Table

USUAL, MANY, FAULT = "as usual", "more than usual", "look for air or a fault"


def pedal_answer(
    pistons: tuple[tuple[float, int], ...],
    calipers: int,
    gap_mm: float,
    bore_mm: float,
    stroke_mm: float,
    short_percent: float,
    lost_mm: float,
    clearance_mm: float,
    counted: int | None,
    free_pedal_mm: float | None,
    pressed_pedal_mm: float | None,
) -> Result:
    """Strokes reckoned, against common practice and against those counted."""
    area = hydraulics.pistons_area_mm2(pistons) * calipers
    volume = hydraulics.volume_moved_ml(area, gap_mm)
    full = hydraulics.strokes_to_touch(volume, bore_mm, stroke_mm, lost_mm)
    short_stroke = stroke_mm * short_percent / 100
    short = hydraulics.strokes_to_touch(volume, bore_mm, short_stroke, lost_mm)
    working = lost_mm + hydraulics.master_stroke_mm(hydraulics.volume_moved_ml(area, clearance_mm), bore_mm)
    least, most = hydraulics.USUAL_STROKES
    verdict = USUAL if full <= most else MANY
    reasons = [
        f"Common practice (no source) is {least} to {most} strokes after pads on an axle; this "
        f"reckons {full} "
        f"full or {short} short ones.",
        "One more makes the pedal hard if the last one ends just as the pads touch.",
    ]
    warnings = ["A pedal that is not hard and high, or that sinks, means: do not move the car."]
    if full > most:
        reasons.append("The pistons were pushed far back, or the cylinder is small: look at the reservoir.")
    if counted is not None and counted > short + 1:
        verdict = FAULT
        warnings.insert(
            0,
            f"{counted} strokes counted where {short} short ones should do: air, a leak, pads not seated, or "
            "a loose wheel bearing that knocks them back.",
        )
    if working > 0.5 * stroke_mm:
        warnings.append("In use more than half the stroke goes before the pads touch: check the clearance.")
    used, tables = _pedal_reserve(free_pedal_mm, pressed_pedal_mm)
    return Result(
        values={
            "volume": volume,
            "full_strokes": full,
            "short_strokes": short,
            "working_stroke": working,
            "pedal_used": used,
        },
        verdict=verdict,
        reasons=tuple(reasons),
        warnings=tuple(warnings),
        tables=tables,
    )


def _pedal_reserve(free_mm: float | None, pressed_mm: float | None) -> tuple[float | None, tuple[Table, ...]]:
    if free_mm is None and pressed_mm is None:
        return None, ()
    if free_mm is None or pressed_mm is None:
        raise SumError("pedal heights: give both the free and the pressed one, or neither")
    used = hydraulics.pedal_travel_used_percent(free_mm, pressed_mm)
    limit = hydraulics.MOST_PEDAL_TRAVEL_PERCENT
    row = (
        "49 CFR 570.5(c)",
        f"at most {limit:g} % of the travel",
        f"{used:.0f} %",
        used <= limit,
        "verified",
    )
    return used, (rules_table((row,)),)


PEDAL = Sum(
    name="brake-pedal",
    title="Strokes until the pads touch",
    question="How often must the pedal be pumped until the pads touch the disc again?",
    inputs=(
        PISTONS,
        QuantityInput(
            name="calipers",
            label="Calipers fed by one chamber",
            unit="",
            low=1,
            high=4,
            whole=True,
            default="2",
            example="2",
            help="Split front and rear: 2. Split crosswise: 1 at the front.",
        ),
        QuantityInput(
            name="gap",
            label="Each piston has to come out",
            unit="mm",
            low=0,
            high=60,
            example="2 mm",
            help="Gap between pads and disc; both sides together for a floating caliper.",
        ),
        QuantityInput(
            name="bore",
            label="Bore of the master cylinder",
            unit="mm",
            low=10,
            high=50,
            example="22.2 mm",
            help="Cast on it, often in inches: 7/8.",
        ),
        QuantityInput(
            name="stroke",
            label="Stroke of the chamber",
            unit="mm",
            low=3,
            high=60,
            example="16 mm",
            help="About half the pushrod's travel; the pushrod's is the pedal's over the pedal ratio.",
        ),
        QuantityInput(
            name="short",
            label="Part of the stroke used when pumping short",
            unit="%",
            low=20,
            high=100,
            default="50 %",
            example="50 %",
            help="An old cylinder is rough past its usual stroke and can cut its seal there.",
        ),
        QuantityInput(
            name="lost",
            label="Lost before the port shuts",
            unit="mm",
            low=0,
            high=6,
            default="1.5 mm",
            example="1.5 mm",
        ),
        QuantityInput(
            name="clearance",
            label="Each piston draws back when released",
            unit="mm",
            low=0,
            high=3,
            default="0.2 mm",
            example="0.2 mm",
        ),
        QuantityInput(
            name="counted",
            label="Strokes counted",
            unit="",
            low=0,
            high=200,
            whole=True,
            optional=True,
            example="3",
        ),
        QuantityInput(
            name="free-pedal",
            label="Free pedal to the floor",
            unit="mm",
            low=20,
            high=300,
            optional=True,
            example="150 mm",
        ),
        QuantityInput(
            name="pressed-pedal",
            label="Pressed pedal to the floor",
            unit="mm",
            low=0,
            high=300,
            optional=True,
            example="80 mm",
            help="Held hard, engine running if the brake is power-assisted.",
        ),
    ),
    outputs=(
        Output(name="volume", label="Fluid to send out", unit="ml"),
        Output(name="full_strokes", label="Full strokes until the pads touch", unit=""),
        Output(name="short_strokes", label="Short strokes until the pads touch", unit=""),
        Output(name="working_stroke", label="Stroke of the chamber in use, until they touch", unit="mm"),
        Output(name="pedal_used", label="Pedal travel used", unit="%", digits=2),
    ),
    sources=(sources.HYDRAULICS, sources.PUMPING, sources.LOST_MOTION, sources.PEDAL_RESERVE),
    example={"pistons": "54 mm", "gap": "2 mm", "bore": "22.2 mm", "stroke": "16 mm"},
    cautions=(sources.CHECKED, sources.PEDAL_FIRST, sources.FLUID, sources.INSPECTOR),
    verdicts=(USUAL, MANY, FAULT),
    answer=pedal_answer,
)
