"""Roller readings: efficiency, imbalance, share of the axles."""

from __future__ import annotations

from onceapart.errors import SumError
from onceapart.sums.brakes import performance, sources
from onceapart.sums.brakes.asks import rules_table
from onceapart.sums.brakes.limits import RuleRow, limits_for
from onceapart.sums.inputs import ChoiceInput, QuantityInput, YesNoInput
from onceapart.sums.registry import Sum
from onceapart.sums.result import Output, Result

WHEELS = ("front left", "front right", "rear left", "rear right")
EFFORT = ("EU 2014/45 Annex I 1.2.1(a)", "effort at each wheel (none: dangerous)")
"""2014 print, quoted row by row (seen)."""


def rollers_answer(
    front_left_kn: float,
    front_right_kn: float,
    rear_left_kn: float,
    rear_right_kn: float,
    park_left_kn: float | None,
    park_right_kn: float | None,
    mass_kg: float,
    mass_is: str,
    locked: bool,
) -> Result:
    """Service and parking brake from the readings."""
    front, rear = front_left_kn + front_right_kn, rear_left_kn + rear_right_kn
    if front + rear == 0:
        raise SumError("no braking force at any wheel: nothing to reckon; read the rollers again")
    service = performance.efficiency_percent(front + rear, mass_kg)
    unequal = {
        "Front": _imbalance(front_left_kn, front_right_kn),
        "Rear": _imbalance(rear_left_kn, rear_right_kn),
    }
    parking = parking_unequal = None
    if (park_left_kn is None) != (park_right_kn is None):
        raise SumError("parking brake: give both wheels, or neither")
    if park_left_kn is not None and park_right_kn is not None:
        parking = performance.efficiency_percent(park_left_kn + park_right_kn, mass_kg)
        parking_unequal = _imbalance(park_left_kn, park_right_kn)
    warnings = [f"{axle} axle: no force at either wheel." for axle, each in unequal.items() if each is None]
    forces = (front_left_kn, front_right_kn, rear_left_kn, rear_right_kn)
    dead = [wheel for wheel, force in zip(WHEELS, forces, strict=True) if force == 0]
    if dead:
        warnings.append(f"No braking at all: {', '.join(dead)}. Do not drive it like this.")
    if parking_unequal is not None and parking_unequal == 100:
        warnings.append("The parking brake works on one side only.")
    reasons = ["Imbalance is the difference over the stronger wheel; over the mean it would be larger."]
    if locked:
        reasons.append(
            "The wheels locked before the brakes gave all they can, so the efficiency is a floor; "
            "many testers "
            "accept locking on both sides (national rule, from memory)."
        )
    if mass_is == "presented":
        reasons.append(
            "The EU takes the highest permitted mass (from memory); an empty car on rollers shows a "
            "higher figure."
        )
    rows: list[RuleRow] = [(*EFFORT, f"{wheel} none", False, "verified") for wheel in dead]
    for axle, each in unequal.items():
        if each is not None:
            kinds = ("imbalance", "imbalance-steered") if axle == "Front" else ("imbalance",)
            rows += [
                limit.row(each, f"{axle.lower()} {each:.0f} %")
                for kind in kinds
                for limit in limits_for(kind)
            ]
    rows += [limit.row(service, f"{service:.0f} %") for limit in limits_for("efficiency")]
    if parking is not None:
        rows += [limit.row(parking, f"{parking:.0f} %") for limit in limits_for("parking")]
    return Result(
        values={
            "efficiency": service,
            "front_imbalance": unequal["Front"],
            "rear_imbalance": unequal["Rear"],
            "front_share": 100 * front / (front + rear),
            "parking": parking,
            "parking_imbalance": parking_unequal,
        },
        reasons=tuple(reasons),
        warnings=tuple(warnings),
        tables=(rules_table(tuple(rows)),),
    )


def _imbalance(left_kn: float, right_kn: float) -> float | None:
    return performance.imbalance_percent(left_kn, right_kn) if left_kn or right_kn else None


def _force(
    name: str, label: str, example: str, *, optional: bool = False, help_text: str = ""
) -> QuantityInput:
    return QuantityInput(
        name=name, label=label, unit="kN", low=0, high=25, optional=optional, example=example, help=help_text
    )


ROLLERS = Sum(
    name="brake-rollers",
    title="Roller readings",
    question="What do the roller readings say about efficiency and imbalance?",
    inputs=(
        _force(
            "front-left", "Front left", "2.4 kN", help_text="Highest force; rollers read in kN, daN or kgf."
        ),
        _force("front-right", "Front right", "230 daN"),
        _force("rear-left", "Rear left", "1.2 kN"),
        _force("rear-right", "Rear right", "120 kgf"),
        _force("park-left", "Parking brake, left", "1.1 kN", optional=True),
        _force("park-right", "Parking brake, right", "1 kN", optional=True),
        QuantityInput(
            name="mass",
            label="Mass to be stopped",
            unit="kg",
            low=300,
            high=5000,
            example="1180 kg",
            help="The EU takes the highest permitted mass from the papers.",
        ),
        ChoiceInput(
            name="mass-is",
            label="That mass is",
            choices={"maximum": "the highest permitted one", "presented": "of the car as it stood there"},
            default="maximum",
            example="presented",
        ),
        YesNoInput(name="locked", label="The wheels locked on the rollers", default="no", example="yes"),
    ),
    outputs=(
        Output(name="efficiency", label="Efficiency, service brake", unit="%"),
        Output(name="front_imbalance", label="Imbalance, front", unit="%", digits=2),
        Output(name="rear_imbalance", label="Imbalance, rear", unit="%", digits=2),
        Output(name="front_share", label="Front axle's share", unit="%", digits=2),
        Output(name="parking", label="Efficiency, parking brake", unit="%"),
        Output(name="parking_imbalance", label="Imbalance, parking brake", unit="%", digits=2),
    ),
    sources=(sources.EFFICIENCY, sources.IMBALANCE, sources.LIMITS),
    example={
        "front-left": "2.4 kN",
        "front-right": "2.1 kN",
        "rear-left": "1.2 kN",
        "rear-right": "1.3 kN",
        "park-left": "1.0 kN",
        "park-right": "1.1 kN",
        "mass": "1180 kg",
    },
    cautions=(sources.CHECKED, sources.INSPECTOR),
    answer=rollers_answer,
)
