"""Driveshaft or propeller shaft: its angle and length before and after, from two measurements."""

from __future__ import annotations

from onceapart.sums.inputs import ChoiceInput, QuantityInput
from onceapart.sums.present import show_value
from onceapart.sums.raising import asks, limits, shafts, sources
from onceapart.sums.raising.limits import BEYOND, UNKNOWN, VERDICTS, Bound
from onceapart.sums.registry import Sum
from onceapart.sums.result import Output, Result

ROUGH_SWING_PERCENT = 1.0
"""Speed swing of a cross joint that can be felt: our judgement, about 8°."""


def driveshaft_answer(
    span_mm: float,
    drop_mm: float,
    lift_mm: float,
    droop_mm: float,
    shaft_sweep_mm: float,
    lock_deg: float,
    inner_joint: str,
    inner_limit_deg: float | None,
    outer_limit_deg: float | None,
    plunge_limit_mm: float | None,
) -> Result:
    """Angles and plunge standing and at full droop, the joints a fixed distance apart across the car."""
    is_cross = inner_joint == "cross"
    standing, hanging = drop_mm + lift_mm, drop_mm + lift_mm + droop_mm
    # Where the outer joint starts above the inner one the angle may have been worse before.
    worst = max(standing, hanging, key=abs)
    before, after, most = (
        shafts.shaft_angle_deg(drop, span_mm, shaft_sweep_mm) for drop in (drop_mm, standing, worst)
    )
    lengths = [shafts.shaft_length_mm(drop, span_mm, shaft_sweep_mm) for drop in (drop_mm, standing, worst)]
    locks = [
        shafts.outer_angle_deg(drop, span_mm, shaft_sweep_mm, lock_deg) for drop in (drop_mm, standing, worst)
    ]
    plunges = (lengths[1] - lengths[0], lengths[2] - lengths[0])
    outer_words = "Outer joint" if lock_deg == 0 else "Outer joint at full lock"
    checks = (
        ("Inner joint", most, Bound(inner_limit_deg, shafts.INNER_LIMIT_DEG.get(inner_joint))),
        (outer_words, locks[2], Bound(outer_limit_deg, None if is_cross else shafts.FIXED_LIMIT_DEG)),
        ("Drawn out", max(plunges), Bound(plunge_limit_mm, unit="mm")),
    )
    verdict = limits.verdict(bound.grade(worst) for _, worst, bound in checks)
    return Result(
        values={
            "angle_before": before,
            "angle_after": after,
            "angle_most": most,
            "lock_before": locks[0],
            "lock_after": locks[1],
            "lock_most": locks[2],
            "plunge_after": plunges[0],
            "plunge_most": plunges[1],
            "swing_before": shafts.speed_swing_percent(before) if is_cross else None,
            "swing_after": shafts.speed_swing_percent(after) if is_cross else None,
        },
        verdict=verdict,
        reasons=tuple(
            f"{words}: {show_value(worst, bound.unit)} at worst, {bound.describe(worst)}."
            for words, worst, bound in checks
        ),
        warnings=tuple(_warnings(verdict, after, is_cross=is_cross)),
    )


def _warnings(verdict: str, after_deg: float, *, is_cross: bool) -> list[str]:
    warnings = []
    if verdict == BEYOND:
        warnings.append("Do not drive it like this: a joint past its limit breaks or locks.")
    if verdict == UNKNOWN:
        warnings.append("Usual figures are in part from memory: they can condemn a shaft, not clear it.")
    if is_cross and shafts.speed_swing_percent(after_deg) > ROUGH_SWING_PERCENT:
        warnings.append(
            "A cross joint at this angle shakes unless the one at the other end stands at the same angle."
        )
    if not is_cross and after_deg > shafts.CONTINUOUS_LIMIT_DEG:
        warnings.append("More than about 8° straight ahead wears joints out early (from memory).")
    return warnings


DRIVESHAFT = Sum(
    name="raising-driveshaft",
    title="Driveshaft of a raised car",
    question="What angle do the driveshaft joints run at, and how far does the shaft draw out?",
    inputs=(
        QuantityInput(
            name="span",
            label="From joint to joint, level",
            unit="mm",
            low=100,
            high=2500,
            example="380 mm",
            help="Between the middles of the joints, along the axle (propeller shaft: along the car).",
        ),
        QuantityInput(
            name="drop",
            label="Outer joint lies lower by",
            unit="mm",
            low=-300,
            high=300,
            example="26.6 mm",
            help="Before raising; below nought if it lies higher. Propeller shaft: the joint at the axle.",
        ),
        QuantityInput(
            name="lift",
            label="Raised at the springs by",
            unit="mm",
            low=0,
            high=250,
            example="40 mm",
            help="Larger tyres do not count: they take both joints up.",
        ),
        QuantityInput(
            name="droop",
            label="Droop after raising",
            unit="mm",
            low=0,
            high=300,
            default="0 mm",
            example="50 mm",
            help="From the new ride height; joints must stand that as well.",
        ),
        asks.SWEEP,
        asks.LOCK,
        ChoiceInput(
            name="inner-joint",
            label="Inner joint",
            choices={**asks.INNER_KIND.choices, "cross": "universal joint, as on a propeller shaft"},
            default="unknown",
            example="tripod",
        ),
        asks.INNER_LIMIT,
        asks.OUTER_LIMIT,
        asks.PLUNGE_LIMIT,
    ),
    outputs=(
        Output(name="angle_before", label="Shaft from level, before", unit="°"),
        Output(name="angle_after", label="Shaft from level, after", unit="°"),
        Output(name="angle_most", label="Shaft from level, at worst", unit="°"),
        Output(name="lock_before", label="Outer joint at full lock, before", unit="°"),
        Output(name="lock_after", label="Outer joint at full lock, after", unit="°"),
        Output(name="lock_most", label="Outer joint at full lock, at worst", unit="°"),
        Output(name="plunge_after", label="Drawn out, standing", unit="mm", digits=2),
        Output(name="plunge_most", label="Drawn out, at worst", unit="mm", digits=2),
        Output(name="swing_before", label="Speed swing of a cross joint, before", unit="%", digits=2),
        Output(name="swing_after", label="Speed swing of a cross joint, after", unit="%", digits=2),
    ),
    sources=(
        sources.SHAFT,
        sources.FIXED_JOINT,
        sources.TRIPOD,
        sources.BALL,
        sources.CROSS,
        sources.JUDGEMENT,
    ),
    example={
        "span": "380 mm",
        "drop": "26.6 mm",
        "lift": "40 mm",
        "droop": "50 mm",
        "lock": "35 deg",
        "inner-joint": "tripod",
        "plunge-limit": "15 mm",
    },
    cautions=(sources.LIMITS, sources.APPROVAL, sources.ALIGN),
    verdicts=VERDICTS,
    answer=driveshaft_answer,
)
