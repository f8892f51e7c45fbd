"""Double wishbone: the corner before and after raising."""

from __future__ import annotations

from onceapart.sums.inputs import ChoiceInput, QuantityInput
from onceapart.sums.raising import asks, linkage_sum, sources
from onceapart.sums.raising.asks import point
from onceapart.sums.raising.limits import VERDICTS
from onceapart.sums.raising.linkage import DoubleWishbone
from onceapart.sums.raising.linkage_sum import Bounds, linkage_result, rod_of, shaft_of
from onceapart.sums.raising.travel import as_it_was, raised
from onceapart.sums.registry import Sum
from onceapart.sums.result import Result


def wishbone_answer(
    lower_pivot: complex,
    lower_joint: complex,
    upper_pivot: complex,
    upper_joint: complex,
    track_mm: float,
    camber_deg: float,
    droop_mm: float,
    bump_mm: float,
    lift_mm: float,
    by: str,
    pivot_drop_mm: float,
    tyre_gain_mm: float,
    shaft_inner: complex | None,
    shaft_outer: complex | None,
    shaft_sweep_mm: float,
    lock_deg: float,
    rod_inner: complex | None,
    rod_outer: complex | None,
    steering_arm_mm: float,
    rod_side: str,
    joint_limit_deg: float | None,
    inner_joint: str,
    inner_limit_deg: float | None,
    outer_limit_deg: float | None,
    plunge_limit_mm: float | None,
    plunge_in_limit_mm: float | None,
    camber_least_deg: float | None,
    camber_most_deg: float | None,
) -> Result:
    """Wheel and joints of a double wishbone corner, before and after raising."""
    linkage_sum.check_order(lower_pivot, lower_joint, track_mm)
    linkage_sum.check_upper(upper_pivot, upper_joint, lower_joint)
    corner = DoubleWishbone(
        lower_pivot=lower_pivot,
        lower_joint=lower_joint,
        upper_pivot=upper_pivot,
        upper_joint=upper_joint,
        foot=complex(track_mm / 2, 0),
        camber_deg=camber_deg,
    )
    before = as_it_was(
        corner,
        droop_mm,
        bump_mm,
        shaft_of(shaft_inner, shaft_outer, shaft_sweep_mm),
        rod_of(rod_inner, rod_outer, steering_arm_mm, rod_side),
        lock_deg,
    )
    after = raised(
        before,
        lift_mm,
        shifts_travel=by == "top-spacer",
        pivot_drop_mm=pivot_drop_mm,
        tyre_gain_mm=tyre_gain_mm,
    )
    bounds = Bounds(
        joint_limit_deg,
        inner_joint,
        inner_limit_deg,
        outer_limit_deg,
        plunge_limit_mm,
        plunge_in_limit_mm,
        camber_least_deg,
        camber_most_deg,
    )
    return linkage_result(before, after, bounds, is_strut=False)


WISHBONE = Sum(
    name="raising-wishbone",
    title="Raising on double wishbones",
    question="What becomes of camber, track, roll centre, ball joints and driveshafts on double wishbones?",
    inputs=(
        asks.LOWER_PIVOT,
        asks.LOWER_JOINT,
        point("upper-pivot", "Inner pivot of the upper arm", "400 mm: 430 mm"),
        point("upper-joint", "Upper ball joint", "615 mm: 445 mm"),
        *asks.WHEEL,
        QuantityInput(
            name="lift",
            label="Raised at the springs by",
            unit="mm",
            low=0,
            high=200,
            example="40 mm",
            help="What the body rises without the tyres; raising-lift gives it from spring or spacer.",
        ),
        ChoiceInput(
            name="by",
            label="Raised by",
            choices={
                "spring": "spring or spacer at the spring; the dampers keep their ends",
                "top-spacer": "spacer above spring and damper together; both ends of the travel go down",
            },
            default="spring",
            example="spring",
        ),
        *asks.EXTRAS,
    ),
    outputs=linkage_sum.OUTPUTS,
    sources=tuple(each for each in linkage_sum.SOURCES if each is not sources.STRUT_CENTRE),
    example={
        "lower-pivot": "330 mm: 205 mm",
        "lower-joint": "650 mm: 190 mm",
        "upper-pivot": "400 mm: 430 mm",
        "upper-joint": "615 mm: 445 mm",
        "track": "1400 mm",
        "camber": "-0.5 deg",
        "droop": "90 mm",
        "bump": "80 mm",
        "lift": "40 mm",
        "shaft-inner": "240 mm: 285 mm",
        "shaft-outer": "630 mm: 280 mm",
        "lock": "33 deg",
        "rod-inner": "345 mm: 245 mm",
        "rod-outer": "640 mm: 235 mm",
        "joint-limit": "25 deg",
        "inner-joint": "tripod",
    },
    cautions=linkage_sum.CAUTIONS,
    verdicts=VERDICTS,
    answer=wishbone_answer,
)
