"""Stability: centre of gravity, static stability factor and load transfer, before and after."""

from __future__ import annotations

from typing import TYPE_CHECKING

from onceapart.sums.inputs import QuantityInput
from onceapart.sums.plots import new_plot
from onceapart.sums.raising import sources, stability
from onceapart.sums.registry import Source, Status, Sum
from onceapart.sums.result import Output, Result

if TYPE_CHECKING:
    from matplotlib.figure import Figure

MASS = QuantityInput(
    name="mass",
    label="Mass of the car, loaded as driven",
    unit="kg",
    low=300,
    high=6000,
    example="1100 kg",
)
LIFT = QuantityInput(
    name="lift",
    label="Raised at the springs by",
    unit="mm",
    low=-100,
    high=250,
    default="0 mm",
    example="40 mm",
    help="Below nought if lowered.",
)
TYRE_GAIN = QuantityInput(
    name="tyre-gain",
    label="Tyre larger in radius by",
    unit="mm",
    low=-60,
    high=120,
    default="0 mm",
    example="11 mm",
    help="Half the change in diameter.",
)
CORNERING = QuantityInput(
    name="cornering",
    label="Cornering",
    unit="gₙ",
    low=0.05,
    high=1.2,
    default="0.5 g",
    example="0.6 g",
    help="Brisk driving reaches 0.4 g, an emergency swerve 0.8 g: common practice.",
)


def stability_answer(
    mass_kg: float,
    cg_height_mm: float,
    track_mm: float,
    track_after_mm: float | None,
    lift_mm: float,
    tyre_gain_mm: float,
    sprung_share_percent: float,
    cornering_gn: float,
    wheelbase_mm: float | None,
    braking_gn: float,
) -> Result:
    """The car as a stiff block, before and after raising."""
    raised = stability.raised_cg_mm(cg_height_mm, lift_mm, tyre_gain_mm, sprung_share_percent / 100)
    tracks = (track_mm, track_mm if track_after_mm is None else track_after_mm)
    heights = (cg_height_mm, raised)
    both = list(zip(heights, tracks, strict=True))
    factors = [stability.static_stability_factor(track, height) for height, track in both]
    sideways = cornering_gn * stability.GRAVITY
    transfers = [stability.load_transfer_n(mass_kg, sideways, height, track) for height, track in both]
    weight = mass_kg * stability.GRAVITY
    pitched = [
        None
        if wheelbase_mm is None
        else stability.load_transfer_n(mass_kg, braking_gn * stability.GRAVITY, height, wheelbase_mm)
        for height in heights
    ]
    stars = [stability.rollover_stars(factor) for factor in factors]
    return Result(
        values={
            **_pair("cg", heights),
            **_pair("factor", factors),
            "factor_change": 100 * (factors[1] / factors[0] - 1),
            **_pair("tips", [stability.tipping_angle_deg(factor) for factor in factors]),
            **_pair("transfer", transfers),
            **_pair("outer", [min(100.0, 50 + 100 * transfer / weight) for transfer in transfers]),
            **_pair("braking", pitched),
        },
        reasons=(
            f"On the scale of 2001 the factor made {stars[0]} of 5 stars, and then {stars[1]} (from memory).",
            "Usual: cars 1.30 to 1.50, utility vehicles 1.00 to 1.30 (from memory).",
            "Springs and tyres give way, so a real car lifts its wheels before these figures.",
        ),
        warnings=tuple(_warnings(factors, cornering_gn)),
        plot=lambda: _plot(factors),
    )


def _pair(
    name: str, values: tuple[float | None, ...] | list[float | None] | list[float]
) -> dict[str, float | None]:
    return {f"{name}_before": values[0], f"{name}_after": values[1]}


def _warnings(factors: list[float], cornering_gn: float) -> list[str]:
    before, after = factors
    warnings = []
    if after <= cornering_gn:
        warnings.append(f"At {cornering_gn:g} g the inside wheels are off the road: the car tips.")
    if after < 1.0:
        warnings.append("Below 1.0: it can tip on dry road before it slides. Do not drive it like this.")
    elif after < 1.13:
        warnings.append("As tall on its track as the worst utility vehicles: it can tip in a swerve.")
    if after < 0.95 * before:
        warnings.append(f"Stability falls by {1 - after / before:.0%}: brake for bends you used to take.")
    return warnings


def _plot(factors: list[float]) -> Figure:
    """Share of the weight on the outer wheels against cornering."""
    figure, axes = new_plot("Weight on the outer wheels", "cornering, g", "share of the weight, %")
    across = [step / 50 * 1.2 for step in range(51)]
    for factor, words, style in zip(factors, ("before", "after"), ("--", "-"), strict=True):
        shares = [min(100.0, 50 + 50 * each / factor) for each in across]
        axes.plot(across, shares, label=words, color="black", linestyle=style)
    axes.axhline(100, color="0.6", linewidth=0.8)
    axes.legend(loc="lower right")
    return figure


def _both(name: str, label: str, unit: str, digits: int = 3) -> tuple[Output, Output]:
    return (
        Output(name=f"{name}_before", label=f"{label}, before", unit=unit, digits=digits),
        Output(name=f"{name}_after", label=f"{label}, after", unit=unit, digits=digits),
    )


STABILITY = Sum(
    name="raising-stability",
    title="Stability of a raised car",
    question="How much sooner does the raised car tip, and how much load shifts in a bend?",
    inputs=(
        MASS,
        QuantityInput(
            name="cg-height",
            label="Height of the centre of gravity",
            unit="mm",
            low=200,
            high=1500,
            example="540 mm",
            help="About 0.38 to 0.40 of the roof height, for want of better: common practice, no source.",
        ),
        QuantityInput(
            name="track",
            label="Track width, mean of both axles",
            unit="mm",
            low=700,
            high=2200,
            example="1400 mm",
        ),
        QuantityInput(
            name="track-after",
            label="Track width then",
            unit="mm",
            low=700,
            high=2300,
            optional=True,
            example="1390 mm",
            help="As before if not given; raising-strut and raising-wishbone give it.",
        ),
        LIFT,
        TYRE_GAIN,
        QuantityInput(
            name="sprung-share",
            label="Sprung share of the mass",
            unit="%",
            low=50,
            high=100,
            default="88 %",
            example="88 %",
            help="Without wheels, hubs and axles: common practice, no source.",
        ),
        CORNERING,
        QuantityInput(
            name="wheelbase",
            label="Wheelbase",
            unit="mm",
            low=1200,
            high=5000,
            optional=True,
            example="2450 mm",
        ),
        QuantityInput(
            name="braking",
            label="Braking",
            unit="gₙ",
            low=0.05,
            high=1.2,
            default="0.8 g",
            example="0.8 g",
            help="Only used with the wheelbase.",
        ),
    ),
    outputs=(
        *_both("cg", "Centre of gravity above the road", "mm"),
        *_both("factor", "Static stability factor", ""),
        Output(name="factor_change", label="Change of the factor", unit="%", digits=2),
        *_both("tips", "Slope on which it would tip", "°"),
        *_both("transfer", "Load shifted to the outer wheels", "N"),
        *_both("outer", "Share of the weight on them", "%"),
        *_both("braking", "Load shifted to the front in braking", "N"),
    ),
    sources=(
        sources.SSF,
        sources.SSF_USUAL,
        sources.TRANSFER,
        sources.TRANSFER_EXAMPLE,
        Source(
            "trade",
            "",
            Status.COMMON_PRACTICE,
            "sprung share 88%, height of the centre of gravity from the roof",
        ),
    ),
    example={
        "mass": "1100 kg",
        "cg-height": "540 mm",
        "track": "1400 mm",
        "track-after": "1388 mm",
        "lift": "40 mm",
        "tyre-gain": "11 mm",
        "wheelbase": "2450 mm",
    },
    cautions=(sources.APPROVAL, sources.ALIGN),
    answer=stability_answer,
)
