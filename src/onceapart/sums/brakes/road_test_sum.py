"""Road test: efficiency from a decelerometer, or from a measured stop."""

from __future__ import annotations

from onceapart.errors import SumError
from onceapart.sums.brakes import performance, sources, stopping
from onceapart.sums.brakes.asks import rules_table
from onceapart.sums.brakes.limits import RuleRow, limits_for
from onceapart.sums.inputs import QuantityInput, YesNoInput
from onceapart.sums.registry import Sum
from onceapart.sums.result import Output, Result

TWENTY_MPH_KMH = 32.18688


def road_test_answer(
    deceleration_mps2: float | None,
    speed_kmh: float | None,
    distance_m: float | None,
    time_s: float | None,
    gradient_percent: float,
    parking_mps2: float | None,
    pulls: bool,
) -> Result:
    """Efficiency of the service brake, and of the parking brake if measured."""
    measured, how = _deceleration(deceleration_mps2, speed_kmh, distance_m, time_s)
    efficiency = performance.deceleration_efficiency_percent(measured, gradient_percent)
    if efficiency <= 0:
        rule = "the slope alone would give this deceleration"
        raise SumError(
            f"deceleration {measured:.3g} m/s² uphill at {gradient_percent:g} %: {rule}; check both"
        )
    level = efficiency * performance.GRAVITY_MPS2 / 100
    parking = None
    rows: list[RuleRow] = [limit.row(efficiency, f"{efficiency:.0f} %") for limit in limits_for("efficiency")]
    rows += [limit.row(level, f"{level:.2f} m/s²") for limit in limits_for("deceleration")]
    from_twenty = stopping.braking_distance_m(TWENTY_MPH_KMH, level)
    near_test = speed_kmh is not None and is_like_the_us_test(speed_kmh, gradient_percent)
    if near_test:
        rows += [limit.row(from_twenty, f"{from_twenty:.1f} m") for limit in limits_for("stop-from-20-mph")]
    if parking_mps2 is not None:
        parking = performance.deceleration_efficiency_percent(parking_mps2, gradient_percent)
        held = parking * performance.GRAVITY_MPS2 / 100
        rows += [limit.row(parking, f"{parking:.0f} %") for limit in limits_for("parking")]
        rows += [limit.row(held, f"{held:.2f} m/s²") for limit in limits_for("parking-deceleration")]
    reasons = [
        how,
        "A decelerometer cannot show the imbalance of an axle: that takes rollers, or each wheel by itself.",
    ]
    if deceleration_mps2 is not None:
        reasons.append(
            "The 25 ft of 49 CFR 570.5(d)(2) count from the touch of the pedal, so a decelerometer "
            "cannot judge them."
        )
    elif not near_test:
        reasons.append("49 CFR 570.5(d)(2) is not judged: it asks for a stop from 20 mph on level road.")
    warnings = []
    if pulls:
        warnings.append(
            "It pulls to one side: have each wheel measured on rollers. Deviating excessively on the "
            "road is a "
            "major fault under EU 2014/45 Annex I 1.2.1(b), and the inspector judges it."
        )
    return Result(
        values={
            "deceleration": level,
            "efficiency": efficiency,
            "from_twenty": from_twenty,
            "parking": parking,
        },
        reasons=tuple(reasons),
        warnings=tuple(warnings),
        tables=(rules_table(tuple(rows)),),
    )


def is_like_the_us_test(speed_kmh: float, gradient_percent: float) -> bool:
    """Near 20 mph and within 1 % of level, as 49 CFR 570.5(d)(2) has it."""
    return abs(speed_kmh / TWENTY_MPH_KMH - 1) <= 0.1 and abs(gradient_percent) <= 1


def _deceleration(
    read: float | None, speed: float | None, distance: float | None, time: float | None
) -> tuple[float, str]:
    """Exactly one way of knowing it, and that way in words."""
    if read is not None:
        if (speed, distance, time) != (None, None, None):
            raise SumError("deceleration: given besides a measured stop; give one or the other")
        return read, "As the decelerometer read; its highest value is more than the mean of the stop."
    if speed is None or (distance is None) == (time is None):
        raise SumError("stop: give the deceleration, or the speed with either the distance or the time")
    if distance is not None:
        return (
            performance.mean_deceleration_mps2(speed, distance),
            "Mean over the distance, with the time the brake takes to bite.",
        )
    assert time is not None
    return speed / 3.6 / time, "Mean over the time, with the time the brake takes to bite."


ROAD_TEST = Sum(
    name="brake-road-test",
    title="Road test",
    question="How efficient are the brakes by a decelerometer, or by a measured stop?",
    inputs=(
        QuantityInput(
            name="deceleration",
            label="Deceleration read",
            unit="m/s²",
            low=0.1,
            high=13,
            optional=True,
            example="0.62 g",
            help="A reading of 62 % is 0.62 g.",
        ),
        QuantityInput(
            name="speed",
            label="Speed at the touch of the pedal",
            unit="km/h",
            low=5,
            high=130,
            optional=True,
            example="20 mph",
        ),
        QuantityInput(
            name="distance",
            label="Distance from there to standstill",
            unit="m",
            low=0.5,
            high=500,
            kind="distance",
            optional=True,
            example="22 ft",
        ),
        QuantityInput(
            name="time",
            label="Time from there to standstill",
            unit="s",
            low=0.2,
            high=60,
            optional=True,
            example="2.1 s",
        ),
        QuantityInput(
            name="gradient",
            label="Slope of the road, uphill above 0",
            unit="%",
            low=-20,
            high=20,
            default="0 %",
            example="1 %",
        ),
        QuantityInput(
            name="parking",
            label="Deceleration with the parking brake",
            unit="m/s²",
            low=0,
            high=8,
            optional=True,
            example="0.2 g",
        ),
        YesNoInput(name="pulls", label="The car pulls to one side", default="no", example="yes"),
    ),
    outputs=(
        Output(name="deceleration", label="Deceleration on the level", unit="m/s²"),
        Output(name="efficiency", label="Efficiency, service brake", unit="%"),
        Output(name="from_twenty", label="At that, 20 mph (32.2 km/h) to standstill", unit="m"),
        Output(name="parking", label="Efficiency, parking brake", unit="%"),
    ),
    sources=(sources.MEAN_DECELERATION, sources.LIMITS),
    example={"speed": "20 mph", "distance": "22 ft"},
    cautions=(sources.CHECKED, sources.ROAD, sources.PEDAL_FIRST, sources.INSPECTOR),
    answer=road_test_answer,
)
