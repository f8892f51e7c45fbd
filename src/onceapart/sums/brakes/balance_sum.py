"""Brake balance: axle loads at a stop, adhesion used, and which axle locks first."""

from __future__ import annotations

from typing import TYPE_CHECKING

from onceapart.errors import SumError
from onceapart.sums.brakes import axles, sources, stopping
from onceapart.sums.brakes.asks import MASS
from onceapart.sums.brakes.axles import Stance
from onceapart.sums.brakes.performance import GRAVITY_MPS2
from onceapart.sums.inputs import ChoiceInput, QuantityInput
from onceapart.sums.registry import Sum
from onceapart.sums.result import Output, Result, Table

if TYPE_CHECKING:
    from matplotlib.figure import Figure

FRONT, REAR = "front locks first", "rear locks first"
TABLE_G = (0.2, 0.4, 0.6, 0.8, 1.0)


def balance_answer(
    mass_kg: float,
    front_weight_percent: float,
    wheelbase_mm: float,
    height_mm: float,
    front_share_percent: float | None,
    front_force_kn: float | None,
    rear_force_kn: float | None,
    deceleration_mps2: float,
    surface: str,
    friction: float | None,
) -> Result:
    """Loads and adhesion at a deceleration, and what locks on a road."""
    stance = Stance(mass_kg, front_weight_percent / 100, wheelbase_mm, height_mm)
    share = _front_share(front_share_percent, front_force_kn, rear_force_kn)
    wanted = deceleration_mps2 / GRAVITY_MPS2
    load = axles.front_load_share(stance, wanted)
    front_used, rear_used = axles.adhesion_used(stance, share, wanted)
    road = stopping.surfaces()[surface].friction.typical if friction is None else friction
    front_locks, rear_locks = axles.lock_deceleration_g(stance, share, road)
    reached = min(front_locks, rear_locks)
    critical = axles.critical_deceleration_g(stance, share)
    lifts = (1 - stance.front_static) / stance.slope
    verdict = REAR if rear_locks < front_locks else FRONT
    reasons = [
        f"On this road (friction {road:g}) the {verdict.split()[0]} wheels lock at {reached:.2f} g.",
        _who_locks(critical, lifts),
        "The share is taken as the same at every pressure; a valve or anti-lock for the rear changes it.",
    ]
    warnings = []
    if verdict == REAR:
        warnings.append(
            "Locked rear wheels spin the car round: have the rear valve and the front brakes checked before "
            "driving on."
        )
    if max(front_used, rear_used) > road:
        warnings.append(f"{wanted:.2f} g asks more than this road gives: a wheel would lock before.")
    rows = [
        (each, axles.front_load_share(stance, each), *axles.adhesion_used(stance, share, each))
        for each in sorted({*TABLE_G, wanted})
        if stance.front_static + each * stance.slope < 1
    ]

    def plot() -> Figure:
        return _plot(stance, share, wanted)

    return Result(
        values={
            "transfer": axles.load_transfer_kg(mass_kg, wanted, height_mm, wheelbase_mm),
            "front_load": axles.kilonewtons(mass_kg * load),
            "rear_load": axles.kilonewtons(mass_kg * (1 - load)),
            "brake_share": 100 * share,
            "ideal_share": 100 * load,
            "front_adhesion": front_used,
            "rear_adhesion": rear_used,
            "reached": reached,
            "grip_used": 100 * reached / road,
            "critical": critical if 0 < critical < lifts else None,
        },
        verdict=verdict,
        reasons=tuple(reasons),
        warnings=tuple(warnings),
        tables=(
            Table(
                "Adhesion used by deceleration",
                (
                    Output(name="deceleration", label="Deceleration", unit="gₙ", digits=2),
                    Output(name="load", label="Front load, ideal share", unit="", digits=2),
                    Output(name="front", label="Front uses", unit="", digits=2),
                    Output(name="rear", label="Rear uses", unit="", digits=2),
                ),
                tuple(rows),
            ),
        ),
        plot=plot,
    )


def _who_locks(critical: float, lifts: float) -> str:
    if critical <= 0:
        return "The rear locks first at every deceleration."
    if critical >= lifts:
        return "The front locks first at every deceleration."
    return f"Up to {critical:.2f} g the front locks first, above it the rear."


def _front_share(share: float | None, front: float | None, rear: float | None) -> float:
    if share is not None:
        if front is not None or rear is not None:
            raise SumError("front share: given besides the forces; give one or the other")
        return share / 100
    if front is None or rear is None:
        raise SumError("front share: give it, or the braking force of both axles")
    if front + rear == 0:
        raise SumError("front force: both forces are 0, so they have no share; read the rollers again")
    return front / (front + rear)


def _plot(stance: Stance, share: float, wanted: float) -> Figure:
    from onceapart.sums.plots import new_plot

    figure, axes = new_plot("Adhesion used by each axle", "Deceleration, g", "Adhesion used")
    end = min(1.0, 0.97 * (1 - stance.front_static) / stance.slope)
    steps = [end * step / 80 for step in range(81)]
    used = [axles.adhesion_used(stance, share, step) for step in steps]
    axes.plot(steps, [front for front, _ in used], label="front axle")
    axes.plot(steps, [rear for _, rear in used], label="rear axle")
    axes.plot(steps, steps, label="ideal: both alike")
    rule = [0.1, min(0.52, end)] if end > 0.1 else []
    axes.plot(rule, [axles.approval_adhesion(step) for step in rule], label="most for approval (from memory)")
    axes.axvline(wanted, linewidth=0.8, linestyle=":", color="black", label="looked at")
    axes.set(xlim=(0, end), ylim=(0, 1.2))
    axes.legend(loc="upper left")
    return figure


def _roller(name: str, label: str, example: str) -> QuantityInput:
    return QuantityInput(
        name=name,
        label=label,
        unit="kN",
        low=0,
        high=50,
        optional=True,
        example=example,
        help="Both wheels added.",
    )


BALANCE = Sum(
    name="brake-balance",
    title="Brake balance and adhesion",
    question="How do the axles share a stop, and which locks first?",
    inputs=(
        MASS,
        QuantityInput(
            name="front-weight",
            label="Front axle's share of the weight, standing",
            unit="%",
            low=30,
            high=75,
            example="60 %",
            help="Weighbridge, or the axle loads in the papers.",
        ),
        QuantityInput(name="wheelbase", label="Wheelbase", unit="mm", low=1200, high=5000, example="2500 mm"),
        QuantityInput(
            name="height",
            label="Height of the centre of gravity",
            unit="mm",
            low=250,
            high=1200,
            default="550 mm",
            example="550 mm",
            help="Cars are near 500 to 600 mm (from memory); add what it was raised.",
        ),
        QuantityInput(
            name="front-share",
            label="Front axle's share of the braking",
            unit="%",
            low=20,
            high=100,
            optional=True,
            example="72 %",
            help="Or give the forces of both axles.",
        ),
        _roller("front-force", "Braking force of the front axle", "4.5 kN"),
        _roller("rear-force", "Braking force of the rear axle", "2.2 kN"),
        QuantityInput(
            name="deceleration",
            label="Deceleration looked at",
            unit="m/s²",
            low=0.1,
            high=12,
            default="0.6 g",
            example="0.7 g",
        ),
        ChoiceInput(
            name="surface",
            label="Road",
            choices={each.name: each.meaning for each in stopping.surfaces().values()},
            default="dry",
            example="wet",
        ),
        QuantityInput(
            name="friction",
            label="Friction of tyre on road, if known",
            unit="",
            low=0.05,
            high=1.3,
            optional=True,
            example="0.75",
        ),
    ),
    outputs=(
        Output(name="transfer", label="Load moved to the front axle", unit="kg"),
        Output(name="front_load", label="Front axle load", unit="kN"),
        Output(name="rear_load", label="Rear axle load", unit="kN"),
        Output(name="brake_share", label="Front share of the braking", unit="%", digits=2),
        Output(name="ideal_share", label="Share that would use both axles alike", unit="%", digits=2),
        Output(name="front_adhesion", label="Adhesion used, front", unit="", digits=2),
        Output(name="rear_adhesion", label="Adhesion used, rear", unit="", digits=2),
        Output(name="reached", label="First wheels lock at", unit="gₙ", digits=2),
        Output(name="grip_used", label="Of the road's grip used by then", unit="%", digits=2),
        Output(name="critical", label="Rear locks first above", unit="gₙ", digits=2),
    ),
    sources=(sources.LOAD_TRANSFER, sources.ADHESION_RULE, sources.ROAD_FRICTION),
    example={
        "mass": "1280 kg",
        "front-weight": "60 %",
        "wheelbase": "2500 mm",
        "front-share": "75 %",
    },
    cautions=(sources.CHECKED, sources.ROAD, sources.INSPECTOR),
    verdicts=(FRONT, REAR),
    answer=balance_answer,
)
