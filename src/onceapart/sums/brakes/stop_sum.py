"""Stopping distance by speed, surface and efficiency."""

from __future__ import annotations

from typing import TYPE_CHECKING

from onceapart.sums.brakes import sources, stopping
from onceapart.sums.brakes.performance import GRAVITY_MPS2
from onceapart.sums.inputs import ChoiceInput, QuantityInput
from onceapart.sums.registry import Sum
from onceapart.sums.result import Band, Output, Result, Table

if TYPE_CHECKING:
    from matplotlib.figure import Figure

TABLE_KMH = (30.0, 50.0, 80.0, 100.0, 130.0)


def stop_answer(
    speed_kmh: float,
    reaction_s: float,
    surface: str,
    friction: float | None,
    efficiency_percent: float | None,
    gradient_percent: float,
) -> Result:
    """Stopping distance, as wide as the road is uncertain."""
    road = stopping.surfaces()[surface].friction if friction is None else Band(friction, friction, friction)
    grip = road.scaled(GRAVITY_MPS2)
    if efficiency_percent is not None:
        most = efficiency_percent / 100 * GRAVITY_MPS2
        grip = Band(min(grip.low, most), min(grip.typical, most), min(grip.high, most))

    def braking(speed: float) -> Band:
        low, typical, high = (
            stopping.braking_distance_m(speed, each, gradient_percent)
            for each in (grip.high, grip.typical, grip.low)
        )
        return Band(low, typical, high)

    def total(speed: float) -> Band:
        before, after = stopping.reaction_distance_m(speed, reaction_s), braking(speed)
        return Band(before + after.low, before + after.typical, before + after.high)

    before = stopping.reaction_distance_m(speed_kmh, reaction_s)
    speeds = sorted({*TABLE_KMH, speed_kmh})
    rows = tuple(
        (each, stopping.reaction_distance_m(each, reaction_s), braking(each), total(each)) for each in speeds
    )
    limited = efficiency_percent is not None and efficiency_percent / 100 < road.typical
    reasons = [
        f"The {'brakes' if limited else 'road'} set the limit: {grip.typical:.3g} m/s² on the level.",
    ]
    design = stopping.reaction_distance_m(
        speed_kmh, stopping.DESIGN_REACTION_S
    ) + stopping.braking_distance_m(speed_kmh, stopping.DESIGN_DECELERATION_MPS2, gradient_percent)
    if design >= total(speed_kmh).high:
        reasons.append("Roads are laid out for the longer distance in the last row.")
    if speed_kmh <= 100:
        least = stopping.approval_distance_m(speed_kmh)
        reasons.append(
            f"At its approval a new car with cold brakes must do it in {least:.0f} m from the touch "
            "of the pedal "
            "(FMVSS 135 S7.5.3)."
        )
    warnings = [
        "Worn tyres on a wet road can have less than half of this friction: treat it as the best case."
    ]
    if efficiency_percent is not None and not limited:
        warnings.append("Brakes stronger than the road's grip lock the wheels, unless the car has anti-lock.")

    def plot() -> Figure:
        from onceapart.sums.plots import new_plot

        figure, axes = new_plot("Stopping distance by speed", "Speed, km/h", "Distance, m")
        end = max(130.0, 1.1 * speed_kmh)
        steps = [end * step / 60 for step in range(61)]
        bands = [total(step) for step in steps]
        axes.fill_between(
            steps, [band.low for band in bands], [band.high for band in bands], color="0.85", label="spread"
        )
        axes.plot(steps, [band.typical for band in bands], label="to standstill")
        axes.plot(
            steps,
            [stopping.reaction_distance_m(step, reaction_s) for step in steps],
            label="before the brake bites",
        )
        axes.plot([speed_kmh], [total(speed_kmh).typical], "o", color="black")
        axes.set(xlim=(0, end), ylim=(0, None))
        axes.legend()
        return figure

    return Result(
        values={
            "reaction_distance": before,
            "braking_distance": braking(speed_kmh),
            "stopping_distance": total(speed_kmh),
            "deceleration": grip,
            "design_distance": design,
        },
        reasons=tuple(reasons),
        warnings=tuple(warnings),
        tables=(
            Table(
                "Stopping distance by speed",
                (
                    Output(name="speed", label="Speed", unit="km/h"),
                    Output(name="reaction", label="Before braking", unit="m", digits=2),
                    Output(name="braking", label="Braking", unit="m", digits=2),
                    Output(name="total", label="Together", unit="m", digits=2),
                ),
                rows,
            ),
        ),
        plot=plot,
    )


STOP = Sum(
    name="brake-stop",
    title="Stopping distance",
    question="How far does the car go before it stands?",
    inputs=(
        QuantityInput(name="speed", label="Speed", unit="km/h", low=5, high=250, example="50 mph"),
        QuantityInput(
            name="reaction",
            label="Time before the brake bites",
            unit="s",
            low=0,
            high=6,
            default="2.5 s",
            example="1.5 s",
            help="Seeing, deciding, foot, pedal. 2.5 s is what roads are laid out for.",
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
        QuantityInput(
            name="efficiency",
            label="Efficiency of the brakes, if measured",
            unit="%",
            low=5,
            high=130,
            optional=True,
            example="58 %",
        ),
        QuantityInput(
            name="gradient",
            label="Slope of the road, uphill above 0",
            unit="%",
            low=-30,
            high=30,
            default="0 %",
            example="-6 %",
        ),
    ),
    outputs=(
        Output(name="reaction_distance", label="Driven before the brake bites", unit="m"),
        Output(name="braking_distance", label="Driven while braking", unit="m", digits=2),
        Output(name="stopping_distance", label="Stopping distance", unit="m", digits=2),
        Output(name="deceleration", label="Deceleration on the level", unit="m/s²", digits=2),
        Output(name="design_distance", label="Distance roads are laid out for", unit="m", digits=3),
    ),
    sources=(sources.SIGHT_DISTANCE, sources.REACTION, sources.ROAD_FRICTION, sources.APPROVAL_STOP),
    example={"speed": "80 km/h", "surface": "wet", "efficiency": "58 %"},
    cautions=(sources.CHECKED, sources.ROAD),
    answer=stop_answer,
)
