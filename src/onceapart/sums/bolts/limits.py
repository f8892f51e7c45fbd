"""Limits of size of threads as made: the slackest bolt (6g, 2A) in the slackest nut (6H, 2B)."""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import pairwise

from onceapart.sums.bolts.threads import MM_PER_INCH, Thread, nut_minor_diameter_mm, pitch_diameter_mm

ISO_965_STEPS_MM = (0.99, 1.4, 2.8, 5.6, 11.2, 22.4, 45)
"""Ends of the diameter steps of ISO 965-1, from memory."""


@dataclass(frozen=True)
class Limits:
    """The four limits that decide how much thread overlaps, mm."""

    bolt_major_min_mm: float
    bolt_pitch_min_mm: float
    nut_minor_max_mm: float
    nut_pitch_max_mm: float


def limits_of(thread: Thread) -> Limits:
    """The slackest pair allowed: bolt 6g in nut 6H, or 2A in 2B.

    Tolerances are the formulas of ISO 965-1 and ASME B1.1 (from memory) without the standards' rounding,
    which moves a limit by up to about 0.01 mm.

    Examples
    --------
    >>> from onceapart.sums.bolts.designation import parse_bolt
    >>> slack = limits_of(parse_bolt("M10").thread)
    >>> round(slack.bolt_major_min_mm, 2), round(slack.nut_minor_max_mm, 2)
    (9.74, 8.68)
    """
    if thread.system == "metric":
        return _iso(thread.diameter_mm, thread.pitch_mm)
    return _unified(thread.diameter_mm, thread.pitch_mm)


def _iso(d: float, pitch: float) -> Limits:
    """ISO 965-1, tolerance position g, grade 6; the formulas give µm."""
    lower, upper = next((low, high) for low, high in pairwise(ISO_965_STEPS_MM) if d <= high)
    middle = math.sqrt(lower * upper)
    gap = (15 + 11 * pitch) / 1000
    major = (180 * pitch ** (2 / 3) - 3.15 / math.sqrt(pitch)) / 1000
    bolt_pitch = 90 * pitch**0.4 * middle**0.1 / 1000
    minor = (230 * pitch**0.7 if pitch >= 1 else 433 * pitch - 190 * pitch**1.22) / 1000
    return Limits(
        bolt_major_min_mm=d - gap - major,
        bolt_pitch_min_mm=pitch_diameter_mm(d, pitch) - gap - bolt_pitch,
        nut_minor_max_mm=nut_minor_diameter_mm(d, pitch) + minor,
        nut_pitch_max_mm=pitch_diameter_mm(d, pitch) + 1.32 * bolt_pitch,
    )


def _unified(diameter_mm: float, pitch_mm: float) -> Limits:
    """ASME B1.1, classes 2A and 2B, engagement one diameter; the formulas are in inches."""
    d, pitch = diameter_mm / MM_PER_INCH, pitch_mm / MM_PER_INCH
    bolt_pitch = 0.0015 * d ** (1 / 3) + 0.0015 * math.sqrt(d) + 0.015 * pitch ** (2 / 3)
    gap = 0.3 * bolt_pitch
    major = 0.060 * pitch ** (2 / 3)
    minor = 0.25 * pitch - 0.40 * pitch**2
    return Limits(
        bolt_major_min_mm=(d - gap - major) * MM_PER_INCH,
        bolt_pitch_min_mm=pitch_diameter_mm(diameter_mm, pitch_mm) - (gap + bolt_pitch) * MM_PER_INCH,
        nut_minor_max_mm=nut_minor_diameter_mm(diameter_mm, pitch_mm) + minor * MM_PER_INCH,
        nut_pitch_max_mm=pitch_diameter_mm(diameter_mm, pitch_mm) + 1.3 * bolt_pitch * MM_PER_INCH,
    )
