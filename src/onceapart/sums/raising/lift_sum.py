"""Lift: how far spring, spacer and tyre raise the body, and what an inspection says to it."""

from __future__ import annotations

from onceapart.errors import SumError
from onceapart.sums.inputs import ChoiceInput, QuantityInput, TextInput
from onceapart.sums.raising import lift, sources
from onceapart.sums.raising.asks import PAIRED
from onceapart.sums.raising.clauses import RULE_COLUMNS, Changes, rule_rows
from onceapart.sums.registry import Sum
from onceapart.sums.result import Band, Output, Result, Table
from onceapart.sums.tyres.arch import radius_gain_mm
from onceapart.sums.tyres.designation import Tyre, parse_tyre
from onceapart.sums.tyres.sources import DIAMETER, ENVELOPE

NONE = Band(0.0, 0.0, 0.0)


def lift_answer(
    suspension: str,
    end: str,
    motion_ratio: float | None,
    spring_distance_mm: float | None,
    wheel_distance_mm: float | None,
    spring_lean_deg: float,
    spacer_mm: float,
    top_spacer_mm: float,
    longer_mm: float,
    rate_n_per_mm: float | None,
    new_rate_n_per_mm: float | None,
    spring_load_n: float | None,
    tyre: Tyre | None,
    new_tyre: Tyre | None,
    droop_mm: float | None,
    bump_mm: float | None,
    clearance_mm: float | None,
    paired: bool,
    wheelbase_mm: float | None,
    other_end_mm: float,
) -> Result:
    """Lift from every part, what is left of the travel, and the clauses that speak of it."""
    ratio = _ratio(suspension, motion_ratio, spring_distance_mm, wheel_distance_mm, spring_lean_deg)
    _refuse_halves(rate_n_per_mm, new_rate_n_per_mm, spring_load_n, tyre, new_tyre)
    if new_tyre is None and rate_n_per_mm is None and spacer_mm == top_spacer_mm == longer_mm == 0:
        raise SumError(
            "nothing given that raises the car; give spacer, top-spacer, longer, new-rate or new-tyre"
        )
    new_spring = lift.spring_gain_mm(longer_mm, spring_load_n, rate_n_per_mm, new_rate_n_per_mm)
    at_spring = lift.lift_band_mm(spacer_mm + new_spring, ratio)
    over_unit = lift.lift_band_mm(top_spacer_mm, ratio)
    from_tyre = NONE
    if tyre is not None and new_tyre is not None:
        from_tyre = radius_gain_mm(tyre.diameter_mm, new_tyre.diameter_mm)
    suspended = _sum(at_spring, over_unit)
    whole = _sum(suspended, from_tyre)
    droop = None if droop_mm is None else _less(droop_mm, at_spring)
    bump = None if bump_mm is None else _sum(Band(bump_mm, bump_mm, bump_mm), at_spring)
    changes = Changes(
        new_spring=new_spring > 0.5,
        spacer=spacer_mm > 0 or top_spacer_mm > 0,
        tyre=from_tyre.typical != 0,
        paired=paired,
    )
    nose = None
    if wheelbase_mm is not None:
        ends = (whole.typical, other_end_mm) if end == "front" else (other_end_mm, whole.typical)
        nose = lift.nose_up_deg(*ends, wheelbase_mm)
    rates = (rate_n_per_mm, new_rate_n_per_mm)
    rates_at_wheel = [
        None if rate is None else lift.wheel_rate_n_per_mm(rate, ratio.typical) for rate in rates
    ]
    return Result(
        values={
            "lift": whole,
            "from_springs": suspended,
            "from_tyres": from_tyre if tyre is not None else None,
            "ratio": ratio,
            "clearance": None if clearance_mm is None else _sum(Band(*[clearance_mm] * 3), whole),
            "axle_clearance": from_tyre if tyre is not None else 0.0,
            "droop": droop,
            "bump": bump,
            "rate_before": rates_at_wheel[0],
            "rate_after": rates_at_wheel[1],
            "nose_up": nose,
        },
        reasons=tuple(_reasons(suspension, motion_ratio, spring_distance_mm, top_spacer_mm, spacer_mm)),
        warnings=tuple(_warnings(changes, droop, nose, whole, suspension)),
        tables=(Table("What the rules say", RULE_COLUMNS, rule_rows(changes)),),
    )


def _ratio(
    suspension: str, typed: float | None, spring_mm: float | None, wheel_mm: float | None, lean_deg: float
) -> Band:
    if (spring_mm is None) != (wheel_mm is None):
        raise SumError("spring-distance, wheel-distance: only one given; measure both from the pivot")
    if typed is not None:
        return Band(typed, typed, typed)
    if spring_mm is not None and wheel_mm is not None:
        ratio = lift.motion_ratio(spring_mm, wheel_mm, lean_deg)
        if not 0.1 <= ratio <= 2:
            raise SumError(
                f"spring-distance {spring_mm:g} mm, wheel-distance {wheel_mm:g} mm: give a motion ratio of "
                f"{ratio:.2g}, which must be 0.1 to 2; measure both from the pivot of the arm"
            )
        return Band(ratio, ratio, ratio)
    return lift.USUAL_RATIOS[suspension]


def _refuse_halves(
    rate: float | None, new_rate: float | None, load: float | None, tyre: Tyre | None, new_tyre: Tyre | None
) -> None:
    given = [each is not None for each in (rate, new_rate, load)]
    if any(given) and not all(given):
        raise SumError("rate, new-rate, spring-load: only some given; a stiffer spring needs all three")
    if (tyre is None) != (new_tyre is None):
        raise SumError("tyre, new-tyre: only one given; give both sizes, or neither")


def _sum(first: Band, second: Band) -> Band:
    return Band(first.low + second.low, first.typical + second.typical, first.high + second.high)


def _less(base: float, taken: Band) -> Band:
    return Band(base - taken.high, base - taken.typical, base - taken.low)


def _reasons(
    suspension: str, typed: float | None, distance: float | None, top_spacer_mm: float, spacer_mm: float
) -> list[str]:
    reasons = []
    if typed is not None:
        reasons.append("Motion ratio as you measured it.")
    elif distance is not None:
        reasons.append("Motion ratio from the two distances, to the first order.")
    elif suspension == "axle":
        reasons.append("Motion ratio 1: the spring stands on the axle and both wheels move together.")
    else:
        reasons.append(
            "Motion ratio usual for this kind (common practice): measure yours for a better figure."
        )
    if spacer_mm > 0:
        reasons.append("A spacer at the spring uses up droop: the damper ends where it did.")
    if top_spacer_mm > 0:
        reasons.append(
            "A spacer over spring and damper keeps the droop, but takes arms, joints and driveshafts "
            "lower at its end."
        )
    return reasons


def _warnings(
    changes: Changes, droop: Band | None, nose: float | None, whole: Band, suspension: str
) -> list[str]:
    warnings = []
    if not changes.paired:
        warnings.append("Not the same on both sides: the car pulls, leans and fails inspection. Do both.")
    if droop is not None and droop.low <= 0:
        sure = "The wheel" if droop.typical <= 0 else "At worst the wheel"
        warnings.append(f"{sure} hangs on its damper: less lift, or longer dampers made for the car.")
    elif droop is not None and droop.low < 15:
        warnings.append(f"Only {droop.low:.0f} mm of droop left at worst: the wheel lifts over bumps.")
    if nose is not None and abs(nose) >= 0.3:
        way = "up" if nose > 0 else "down"
        warnings.append(
            f"The nose goes {way} by {abs(nose):.2g}°: set the headlamps, and castor changes by as much."
        )
    if whole.high > 0 and suspension in {"strut", "arm"}:
        warnings.append(
            "See raising-strut or raising-wishbone for camber, joints and driveshafts before you buy."
        )
    if whole.high < 0:
        warnings.append("By these figures the car comes down, it does not rise.")
    return warnings


def _amount(name: str, label: str, example: str, help_text: str, *, low: float = 0) -> QuantityInput:
    return QuantityInput(
        name=name, label=label, unit="mm", low=low, high=150, default="0 mm", example=example, help=help_text
    )


def _optional(
    name: str, label: str, unit: str, high: float, example: str, help_text: str = ""
) -> QuantityInput:
    return QuantityInput(
        name=name, label=label, unit=unit, low=1, high=high, optional=True, example=example, help=help_text
    )


def _size(name: str, label: str, example: str) -> TextInput:
    return TextInput(
        name=name, label=label, parse=parse_tyre, what="tyre size", optional=True, example=example
    )


LIFT = Sum(
    name="raising-lift",
    title="Lift from spring, spacer or tyre",
    question="How far does this spring, spacer or tyre raise the car?",
    inputs=(
        ChoiceInput(
            name="suspension",
            label="Suspension",
            choices={
                "strut": "spring around the damper strut, which carries the wheel",
                "arm": "spring on a lower or trailing arm",
                "axle": "spring on a beam axle",
            },
            example="arm",
        ),
        ChoiceInput(
            name="end",
            label="End of the car",
            choices={"front": "front axle", "rear": "rear axle"},
            default="front",
            example="rear",
        ),
        QuantityInput(
            name="motion-ratio",
            label="Motion ratio, if measured",
            unit="",
            low=0.1,
            high=2,
            optional=True,
            example="0.62",
            help="Travel of the spring over travel of the wheel.",
        ),
        _optional("spring-distance", "Spring from the pivot", "mm", 1500, "180 mm", "Along the arm."),
        _optional("wheel-distance", "Ball joint or wheel from the pivot", "mm", 1500, "300 mm"),
        QuantityInput(
            name="spring-lean",
            label="Spring leans from square to the arm",
            unit="°",
            low=0,
            high=60,
            default="0 deg",
            example="12 deg",
            help="Only used with the two distances.",
        ),
        _amount("spacer", "Spacer at the spring", "20 mm", "Under or over the spring alone."),
        _amount("top-spacer", "Spacer over spring and damper", "30 mm", "Over the top mount."),
        _amount("longer", "Spring longer by", "25 mm", "Free length against the old one.", low=-150),
        _optional("rate", "Rate of the old spring", "N/mm", 500, "22 N/mm"),
        _optional("new-rate", "Rate of the new spring", "N/mm", 500, "26 N/mm"),
        _optional(
            "spring-load", "Load on the spring", "N", 30000, "3000 N", "Wheel load less hub, over the ratio."
        ),
        _size("tyre", "Tyre on the car", "185/60R14"),
        _size("new-tyre", "Tyre wanted", "195/60R14"),
        _optional("droop", "Droop", "mm", 400, "90 mm", "From ride height, before raising."),
        _optional("bump", "Bump", "mm", 400, "80 mm", "From ride height, before raising."),
        _optional("clearance", "Clearance under the car now", "mm", 600, "130 mm"),
        PAIRED,
        _optional("wheelbase", "Wheelbase", "mm", 5000, "2450 mm"),
        QuantityInput(
            name="other-end",
            label="Lift at the other axle",
            unit="mm",
            low=-100,
            high=200,
            default="0 mm",
            example="30 mm",
            help="Only used with the wheelbase.",
        ),
    ),
    outputs=(
        Output(name="lift", label="The body rises by", unit="mm"),
        Output(name="from_springs", label="of it from spring and spacer", unit="mm"),
        Output(name="from_tyres", label="of it from the tyres", unit="mm"),
        Output(name="ratio", label="Motion ratio", unit=""),
        Output(name="clearance", label="Clearance under the body then", unit="mm"),
        Output(name="axle_clearance", label="Gain under hubs and beam axle", unit="mm"),
        Output(name="droop", label="Droop left", unit="mm"),
        Output(name="bump", label="Bump then", unit="mm"),
        Output(name="rate_before", label="Rate at the wheel, before", unit="N/mm"),
        Output(name="rate_after", label="Rate at the wheel, after", unit="N/mm"),
        Output(name="nose_up", label="Nose goes up by", unit="°", digits=2),
    ),
    sources=(
        sources.MOTION_RATIO,
        sources.USUAL_RATIOS,
        sources.WHEEL_RATE,
        sources.US_SPRINGS,
        sources.WASHINGTON,
        sources.EU,
        DIAMETER,
        ENVELOPE,
    ),
    example={
        "suspension": "arm",
        "end": "rear",
        "spring-distance": "210 mm",
        "wheel-distance": "330 mm",
        "spacer": "20 mm",
        "tyre": "185/60R14",
        "new-tyre": "195/60R14",
        "droop": "90 mm",
        "bump": "80 mm",
        "clearance": "130 mm",
        "wheelbase": "2450 mm",
        "other-end": "30 mm",
    },
    cautions=(sources.SPRING_KILLS, sources.LIMITS, sources.APPROVAL, sources.ALIGN),
    answer=lift_answer,
)
