"""Strut: the corner before and after raising."""

from __future__ import annotations

from onceapart.errors import SumError
from onceapart.sums.inputs import QuantityInput
from onceapart.sums.raising import asks, linkage_sum
from onceapart.sums.raising.asks import point
from onceapart.sums.raising.limits import VERDICTS
from onceapart.sums.raising.linkage import Strut
from onceapart.sums.raising.linkage_sum import Bounds, linkage_result, rod_of, shaft_of
from onceapart.sums.raising.travel import as_it_was, raised_strut
from onceapart.sums.registry import Sum
from onceapart.sums.result import Result


def strut_answer(
    lower_pivot: complex,
    lower_joint: complex,
    top: complex,
    strut_foot: complex | None,
    track_mm: float,
    camber_deg: float,
    droop_mm: float,
    bump_mm: float,
    top_spacer_mm: float,
    longer_spring_mm: float,
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
    """Wheel and joints of a strut corner, before and after raising."""
    linkage_sum.check_order(lower_pivot, lower_joint, track_mm)
    axis_point = lower_joint if strut_foot is None else strut_foot
    if top.imag - axis_point.imag < 100:
        raise SumError(
            f"top {top.imag:.0f} mm up: must be at least 100 mm above the other point of the strut at "
            f"{axis_point.imag:.0f} mm; measure both from the road"
        )
    corner = Strut(
        lower_pivot=lower_pivot,
        lower_joint=lower_joint,
        top=top,
        axis_point=axis_point,
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
    after = raised_strut(
        before,
        top_spacer_mm=top_spacer_mm,
        longer_mm=longer_spring_mm,
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
    return linkage_result(before, after, bounds, is_strut=True)


STRUT = Sum(
    name="raising-strut",
    title="Raising on struts",
    question="What becomes of camber, track, roll centre, ball joint and driveshaft on struts?",
    inputs=(
        asks.LOWER_PIVOT,
        asks.LOWER_JOINT,
        point("top", "Top mount of the strut", "560 mm: 780 mm", help_text="Middle of its bearing."),
        point(
            "strut-foot",
            "Another point on the strut's axis",
            "622 mm: 400 mm",
            optional=True,
            help_text="Middle of the damper tube, low down; taken to point at the ball joint if not given.",
        ),
        *asks.WHEEL,
        QuantityInput(
            name="top-spacer",
            label="Spacer over the top mount",
            unit="mm",
            low=0,
            high=120,
            default="0 mm",
            example="30 mm",
            help="Between the top mount and the body; the damper goes down with it.",
        ),
        QuantityInput(
            name="longer-spring",
            label="Spring stands longer by",
            unit="mm",
            low=0,
            high=120,
            default="0 mm",
            example="25 mm",
            help="Spring under the weight of the car, with any spacer on its seat; the damper draws out.",
        ),
        *asks.EXTRAS,
    ),
    outputs=linkage_sum.OUTPUTS,
    sources=linkage_sum.SOURCES,
    example={
        "lower-pivot": "330 mm: 210 mm",
        "lower-joint": "670 mm: 190 mm",
        "top": "560 mm: 780 mm",
        "strut-foot": "622 mm: 400 mm",
        "track": "1430 mm",
        "camber": "-0.4 deg",
        "droop": "85 mm",
        "bump": "80 mm",
        "top-spacer": "30 mm",
        "shaft-inner": "250 mm: 290 mm",
        "shaft-outer": "640 mm: 280 mm",
        "lock": "35 deg",
        "rod-inner": "330 mm: 235 mm",
        "rod-outer": "650 mm: 222 mm",
        "joint-limit": "25 deg",
        "inner-joint": "tripod",
        "inner-limit": "23 deg",
        "outer-limit": "47 deg",
        "plunge-limit": "14 mm",
        "plunge-in-limit": "14 mm",
    },
    cautions=linkage_sum.CAUTIONS,
    verdicts=VERDICTS,
    answer=strut_answer,
)
