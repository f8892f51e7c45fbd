"""One stop: how warm the discs get."""

from __future__ import annotations

from dataclasses import replace
from typing import NamedTuple

from onceapart.errors import SumError
from onceapart.sums.brakes import heat, sources
from onceapart.sums.brakes.asks import (
    AMBIENT,
    DISC_IRON,
    DISC_MASS,
    DISCS,
    FACE_INNER,
    FACE_OUTER,
    FRONT_SHARE,
    MASS,
)
from onceapart.sums.inputs import QuantityInput
from onceapart.sums.present import show_value
from onceapart.sums.registry import Sum
from onceapart.sums.result import Band, Output, Result


class Iron(NamedTuple):
    """Iron that takes the heat."""

    kg: float
    basis: str
    """How it is known, in words."""


LEAST_IRON_KG = 0.5
"""A face lighter than this was measured wrong: our judgement."""


def iron_of_disc(
    disc_mass_kg: float | None, iron_mm: float | None, outer_mm: float | None, inner_mm: float | None
) -> Iron:
    """Mass that takes the heat, as weighed or from the measures."""
    if disc_mass_kg is not None:
        return Iron(disc_mass_kg, "Mass of the disc as given.")
    if iron_mm is None or outer_mm is None or inner_mm is None:
        raise SumError("disc mass: give it, or the iron's thickness and the face's diameters")
    mass = heat.ring_mass_kg(outer_mm, inner_mm, iron_mm)
    if not LEAST_IRON_KG <= mass <= DISC_MASS.high:
        rule = f"must be {LEAST_IRON_KG:g} to {DISC_MASS.high:g} kg; measure thickness and face again"
        raise SumError(f"iron under the face reckoned at {mass:.2g} kg: {rule}")
    return Iron(mass, f"Iron under the face reckoned at {mass:.2g} kg; vanes and hat are left out.")


def heat_answer(
    mass_kg: float,
    speed_kmh: float,
    end_speed_kmh: float,
    descent_m: float,
    front_share_percent: float,
    discs: int,
    disc_mass_kg: float | None,
    iron_mm: float | None,
    face_outer_mm: float | None,
    face_inner_mm: float | None,
    start_degc: float,
) -> Result:
    """Rise of one front disc in one stop, with no time to cool."""
    if end_speed_kmh >= speed_kmh and not descent_m:
        raise SumError(
            f"end speed {end_speed_kmh:g} km/h: must be below {speed_kmh:g} km/h, or nothing is braked"
        )
    iron, basis = iron_of_disc(disc_mass_kg, iron_mm, face_outer_mm, face_inner_mm)
    motion = heat.motion_energy_kj(mass_kg, speed_kmh, end_speed_kmh)
    energy = motion + (heat.descent_energy_kj(mass_kg, descent_m) if descent_m else 0.0)
    share = front_share_percent / 100 / discs
    rise = heat.rise_band_k(energy * share, iron)
    screen = heat.rise_band_k(heat.motion_energy_kj(mass_kg, heat.SCREEN_KMH) * share, iron)
    reasons = [
        basis,
        "Mean of the disc; the rubbed face is hotter for a moment. Nothing is taken off for cooling or drag.",
        f"A full stop from {heat.SCREEN_KMH:g} km/h would add {show_value(screen, 'Δ°C', 2)}; a "
        "maker's design note "
        f"keeps that under {heat.SCREEN_RISE_K:g} °C, fully laden.",
    ]
    warnings = []
    if screen.typical >= heat.SCREEN_RISE_K:
        warnings.append("The discs are light for this car: expect fade when it is laden.")
    if descent_m:
        warnings.append("Downhill use a low gear: the engine then takes most of this, and the discs cool.")
    return Result(
        values={
            "energy": energy,
            "disc_energy": energy * share,
            "rise": rise,
            "end_temperature": Band(start_degc + rise.low, start_degc + rise.typical, start_degc + rise.high),
            "screen_rise": screen,
        },
        reasons=tuple(reasons),
        warnings=tuple(warnings),
    )


HEAT = Sum(
    name="brake-heat",
    title="Heat of one stop",
    question="How much warmer do the front discs get in one stop?",
    inputs=(
        MASS,
        QuantityInput(name="speed", label="Speed", unit="km/h", low=5, high=250, example="100 km/h"),
        QuantityInput(
            name="end-speed",
            label="Speed at the end",
            unit="km/h",
            low=0,
            high=250,
            default="0 km/h",
            example="30 km/h",
        ),
        QuantityInput(
            name="descent",
            label="Height lost while braking",
            unit="m",
            low=0,
            high=3000,
            kind="distance",
            default="0 m",
            example="75 m",
        ),
        FRONT_SHARE,
        DISCS,
        DISC_MASS,
        DISC_IRON,
        replace(FACE_OUTER, optional=True),
        replace(FACE_INNER, optional=True),
        replace(AMBIENT, name="start", label="Temperature of the disc before", high=800),
    ),
    outputs=(
        Output(name="energy", label="Energy taken up by all brakes", unit="kJ"),
        Output(name="disc_energy", label="Of it, by one disc and its pads", unit="kJ"),
        Output(name="rise", label="The disc gets warmer by", unit="Δ°C", digits=2),
        Output(name="end_temperature", label="Disc afterwards", unit="°C", digits=2),
        Output(name="screen_rise", label="For comparison, a stop from 128 km/h", unit="Δ°C", digits=2),
    ),
    sources=(sources.HEAT, sources.IRON, sources.INTO_DISC, sources.SCREEN),
    example={"mass": "1400 kg", "speed": "100 km/h", "disc-mass": "6.5 kg"},
    cautions=(sources.CHECKED, sources.HOT),
    answer=heat_answer,
)
