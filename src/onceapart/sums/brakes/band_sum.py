"""The band of the disc that the pad really touches, against the whole face."""

from __future__ import annotations

from dataclasses import replace

from onceapart.errors import SumError
from onceapart.sums.brakes import faces, hydraulics, sources
from onceapart.sums.brakes.asks import CALIPER, FACE_INNER, FACE_OUTER, PISTONS
from onceapart.sums.brakes.band_drawing import draw_band
from onceapart.sums.inputs import QuantityInput
from onceapart.sums.registry import Sum
from onceapart.sums.result import Band, Output, Result

LITTLE = 0.75
"""Share of the face below which we warn: our judgement."""


def band_answer(
    face_outer_mm: float,
    face_inner_mm: float,
    band_outer_mm: float,
    band_inner_mm: float,
    pistons: tuple[tuple[float, int], ...] | None,
    caliper: str,
    pressure_bar: float,
    friction: float | None,
    pad_angle_deg: float,
) -> Result:
    """Effective radii, torque and pressure of the band and of the whole face."""
    face = _ring("face", face_outer_mm, face_inner_mm)
    band = _ring("band", band_outer_mm, band_inner_mm)
    if band[0] > face[0] or band[1] < face[1]:
        raise SumError(
            f"band {band_inner_mm:g} to {band_outer_mm:g} mm: must lie within the face, {face_inner_mm:g} to "
            f"{face_outer_mm:g} mm; measure both across the disc"
        )
    wear = faces.wear_radius_mm(*band), faces.wear_radius_mm(*face)
    pressure = faces.pressure_radius_mm(*band), faces.pressure_radius_mm(*face)
    area = faces.face_area_cm2(*band) / faces.face_area_cm2(*face)
    raised = faces.pad_pressure_mpa(1, pad_angle_deg, *band) / faces.pad_pressure_mpa(1, pad_angle_deg, *face)
    torque = peak = None
    if pistons is not None:
        one_side = hydraulics.pistons_area_mm2(pistons) / (2 if caliper == "fixed" else 1)
        force = faces.clamp_force_kn(pressure_bar, one_side)
        grip = Band(0.30, 0.38, 0.45) if friction is None else Band(friction, friction, friction)
        torque = tuple(
            Band(*(faces.disc_torque_nm(each, force, radius) for each in (grip.low, grip.typical, grip.high)))
            for radius in wear
        )
        peak = faces.pad_pressure_mpa(1000 * force, pad_angle_deg, *band)
    reasons = [
        "Torque hangs on where the pad touches, not on how wide: the clamping force is the same.",
        f"But the touched part works {raised:.2f} times as hard and takes all the heat: it wears, fades and "
        "cracks sooner.",
        "Go by uniform wear once the pads have bedded; new stiff pads are nearer uniform pressure.",
    ]
    warnings = []
    if area < LITTLE:
        warnings.append(
            f"Only {area:.0%} of the face is touched (we warn below {LITTLE:.0%}, our judgement): look for a "
            "seized piston or slide, pads tight in the carrier, or a rusted disc past cleaning up."
        )
    warnings.append("Measure the thickness within the band: rust and lips elsewhere read too thick.")
    return Result(
        values={
            "wear_radius": wear[0],
            "wear_radius_full": wear[1],
            "pressure_radius": pressure[0],
            "pressure_radius_full": pressure[1],
            "torque_share_wear": 100 * wear[0] / wear[1],
            "torque_share_pressure": 100 * pressure[0] / pressure[1],
            "area_share": 100 * area,
            "pressure_raised": raised,
            "torque": torque[0] if torque else None,
            "torque_full": torque[1] if torque else None,
            "peak_pressure": peak,
        },
        reasons=tuple(reasons),
        warnings=tuple(warnings),
        drawing=draw_band(face, band),
    )


def _ring(what: str, outer_mm: float, inner_mm: float) -> tuple[float, float]:
    """Radii from diameters."""
    if inner_mm >= outer_mm:
        rule = f"must be less than the outside one of {outer_mm:g} mm"
        raise SumError(f"{what}: inside diameter {inner_mm:g} mm {rule}; measure both across the disc")
    return outer_mm / 2, inner_mm / 2


BAND = Sum(
    name="brake-band",
    title="Band the pad touches",
    question="The pad touches only part of the disc: what does that cost in torque and in pressure?",
    inputs=(
        FACE_OUTER,
        FACE_INNER,
        QuantityInput(
            name="band-outer",
            label="Outside diameter of the band touched",
            unit="mm",
            low=60,
            high=450,
            example="272 mm",
            help="Across the disc, where the bright part ends.",
        ),
        QuantityInput(
            name="band-inner",
            label="Inside diameter of the band touched",
            unit="mm",
            low=50,
            high=440,
            example="220 mm",
        ),
        replace(PISTONS, optional=True, help="Only for the torque. " + PISTONS.help),
        CALIPER,
        QuantityInput(
            name="pressure",
            label="Pressure in the line",
            unit="bar",
            low=1,
            high=250,
            default="60 bar",
            example="60 bar",
            help="Firm braking is somewhere near 60 bar (from memory).",
        ),
        QuantityInput(
            name="friction",
            label="Friction of pad on disc, if known",
            unit="",
            low=0.1,
            high=0.8,
            optional=True,
            example="0.4",
            help="Code on the pad, cold then hot: E 0.25 to 0.35, F 0.35 to 0.45, G 0.45 to 0.55 "
            "(from memory).",
        ),
        QuantityInput(
            name="pad-angle",
            label="Angle the pad covers",
            unit="°",
            low=10,
            high=180,
            default="55°",
            example="55°",
            help="Seen from the middle of the disc; only for the highest pressure.",
        ),
    ),
    outputs=(
        Output(name="torque_share_wear", label="Torque left, uniform wear", unit="%"),
        Output(name="torque_share_pressure", label="Torque left, uniform pressure", unit="%"),
        Output(name="area_share", label="Part of the face touched", unit="%", digits=2),
        Output(name="pressure_raised", label="Pressure on it, times that of a full face", unit="", digits=3),
        Output(name="wear_radius", label="Band: effective radius, uniform wear", unit="mm"),
        Output(name="wear_radius_full", label="Whole face: effective radius, uniform wear", unit="mm"),
        Output(name="pressure_radius", label="Band: effective radius, uniform pressure", unit="mm"),
        Output(
            name="pressure_radius_full", label="Whole face: effective radius, uniform pressure", unit="mm"
        ),
        Output(name="torque", label="Band: torque of the disc", unit="N·m", digits=2),
        Output(name="torque_full", label="Whole face: torque of the disc", unit="N·m", digits=2),
        Output(name="peak_pressure", label="Highest pressure on the pad", unit="MPa", digits=2),
    ),
    sources=(
        sources.UNIFORM_WEAR,
        sources.UNIFORM_PRESSURE,
        sources.CLAMP,
        sources.LINING_FRICTION,
        sources.BAND_JUDGEMENT,
    ),
    example={
        "face-outer": "280 mm",
        "face-inner": "180 mm",
        "band-outer": "252 mm",
        "band-inner": "186 mm",
        "pistons": "54 mm",
    },
    cautions=(sources.CHECKED, sources.DUST, sources.INSPECTOR),
    answer=band_answer,
)
