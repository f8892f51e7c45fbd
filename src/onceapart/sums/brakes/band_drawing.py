"""Draw the face of a disc to scale: the whole rubbed face, and the band the pad really touches."""

from __future__ import annotations

import math

from onceapart.sums.brakes.faces import wear_radius_mm
from onceapart.sums.svg import Drawing, Point

SIZE = 300.0
MARGIN = 14.0
FOOT = 58.0


def _ring(centre: Point, outer: float, inner: float) -> list[Point]:
    """A ring as one closed line: round outside, in, and back round inside."""
    turn = [math.tau * step / 120 for step in range(121)]
    return [
        (centre[0] + radius * math.cos(angle), centre[1] - radius * math.sin(angle))
        for radius, angles in ((outer, turn), (inner, turn[::-1]))
        for angle in angles
    ]


def draw_band(face: tuple[float, float], band: tuple[float, float]) -> str:
    """The picture as SVG text; each pair is outer and inner radius in mm."""
    scale = (SIZE - 2 * MARGIN) / (2 * face[0])
    centre = (SIZE / 2, SIZE / 2)
    drawing = Drawing(
        SIZE,
        SIZE + FOOT,
        "Face of the disc and the band the pad touches",
        f"Face {2 * face[1]:g} to {2 * face[0]:g} mm across, band {2 * band[1]:g} to {2 * band[0]:g} "
        "mm, to scale.",
    )
    hatch = drawing.hatch("rubbed-band", gap=5)
    drawing.polygon(_ring(centre, band[0] * scale, band[1] * scale), width=0, hatch=hatch)
    for radius in face:
        drawing.circle(centre, radius * scale, width=1.4)
    for radius in band:
        drawing.circle(centre, radius * scale, width=0.9)
    mean = wear_radius_mm(*band) * scale
    drawing.circle(centre, mean, width=1.2, dash="8 4")
    drawing.circle(centre, wear_radius_mm(*face) * scale, width=1, dash="2 4")
    for start, end in (
        ((centre[0] - 8, centre[1]), (centre[0] + 8, centre[1])),
        ((centre[0], centre[1] - 8), (centre[0], centre[1] + 8)),
    ):
        drawing.line(start, end, width=0.8)
    x, y = MARGIN, SIZE + 10
    drawing.rect(x, y - 8, 22, 10, stroke=0.8, hatch=hatch)
    drawing.text((x + 30, y), f"touched: {2 * band[1]:g} to {2 * band[0]:g} mm across", size=11)
    for number, (dash, words) in enumerate(
        (("8 4", "effective radius of the band"), ("2 4", "effective radius of the whole face"))
    ):
        at = y + 18 * (number + 1)
        drawing.line((x, at - 4), (x + 22, at - 4), width=1.2, dash=dash)
        drawing.text((x + 30, at), words, size=11)
    return drawing.render()
