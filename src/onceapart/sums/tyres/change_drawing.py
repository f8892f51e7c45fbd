"""Draw the wheel in its arch from the side, now and with the new tyre, to one scale."""

from __future__ import annotations

import math

from onceapart.sums.result import Band
from onceapart.sums.svg import Drawing, Point
from onceapart.sums.tyres.change import Change, Room, Wheel
from onceapart.sums.tyres.dimensions import NEW_TREAD_MM

WIDTH = 600.0
MARGIN = 14.0
CAPTION = 40.0
FOOT = 92.0
"""Room below the road for dimensions and the scale."""
TALLEST = 300.0
LEAST_ARCH_MM = 40.0
"""Room kept around a tyre where no gap was measured."""


class _Side:
    """One of the two pictures: millimetres across from the hub and up from the road, to picture units."""

    def __init__(self, drawing: Drawing, hub_x: float, road_y: float, scale: float, half_mm: float) -> None:
        self.drawing, self.hub_x, self.road_y, self.scale = drawing, hub_x, road_y, scale
        self.half_mm = half_mm
        """From the hub to the edge of the picture."""

    def at(self, across_mm: float, up_mm: float) -> Point:
        return self.hub_x + across_mm * self.scale, self.road_y - up_mm * self.scale

    def circle(self, up_mm: float, radius_mm: float, *, width: float = 1.0, dash: str = "") -> None:
        self.drawing.circle(self.at(0, up_mm), radius_mm * self.scale, width=width, dash=dash)

    def arc(
        self, up_mm: float, radius_mm: float, start: float, end: float, *, width: float, dash: str = ""
    ) -> None:
        """From one angle above the level to another, degrees."""
        angles = [math.radians(start + (end - start) * step / 48) for step in range(49)]
        points = [self.at(radius_mm * math.cos(a), up_mm + radius_mm * math.sin(a)) for a in angles]
        self.drawing.polyline(points, width=width, dash=dash)


def draw_change(change: Change, room: Room, ground_clearance_mm: float | None) -> str:
    """The picture as SVG text: the wheel now on the left, the new one on the right."""
    now, then = change.fitted_diameter_mm, change.wanted_diameter_mm
    arch_mm = None if room.over_mm is None else now.typical / 2 + room.over_mm
    widest = max(now.high, then.high) / 2
    half = max(widest, arch_mm or widest + LEAST_ARCH_MM) + 45
    height = max(widest * 2, (arch_mm or widest + LEAST_ARCH_MM) + then.typical / 2) + 15
    scale = min((WIDTH - 2 * MARGIN) / (4 * half), TALLEST / height)
    road = CAPTION + height * scale
    drawing = Drawing(
        WIDTH,
        road + FOOT,
        f"{change.wanted.tyre.size} in place of {change.fitted.tyre.size}",
        f"The wheel from the side, to scale: {now.typical:.0f} mm across now, {then.typical:.0f} mm then.",
    )
    sides = [_Side(drawing, WIDTH * (0.25 if first else 0.75), road, scale, half) for first in (True, False)]
    road_hatch = drawing.hatch("road", gap=7, angle=45)
    drawing.rect(MARGIN, road, WIDTH - 2 * MARGIN, 7, stroke=0.01, hatch=road_hatch)
    drawing.line((MARGIN, road), (WIDTH - MARGIN, road), width=1.8)
    for side, wheel, diameter, caption in zip(
        sides, (change.fitted, change.wanted), (now, then), ("Now", "New"), strict=True
    ):
        drawing.text((side.hub_x, 22), f"{caption}: {wheel.tyre.size}", size=15, anchor="middle", bold=True)
        _wheel(side, wheel, diameter)
        raised = (diameter.typical - now.typical) / 2
        if arch_mm is not None:
            _arch(side, diameter.typical / 2, arch_mm, room.bump_mm)
        if ground_clearance_mm is not None:
            _sill(side, ground_clearance_mm + raised, diameter.typical / 2, arch_mm)
        _dimension(side, diameter)
    _gain(drawing, sides, now, then)
    _scale_bar(drawing, scale, road + FOOT - 14, shows_stop=arch_mm is not None and room.bump_mm > 0)
    return drawing.render()


def _wheel(side: _Side, wheel: Wheel, diameter: Band) -> None:
    hub = diameter.typical / 2
    side.circle(hub, hub, width=2.2)
    side.circle(hub, wheel.tyre.diameter_mm.typical / 2 - NEW_TREAD_MM, width=0.6)
    side.circle(hub, wheel.tyre.rim_mm / 2, width=1.4)
    side.circle(hub, 35, width=1)
    for turn in range(5):
        angle = math.radians(90 + 72 * turn)
        out = wheel.tyre.rim_mm / 2 - 12
        points = [
            side.at(reach * math.cos(angle), hub + reach * math.sin(angle)) for reach in (35, max(out, 36))
        ]
        side.drawing.line(points[0], points[1], width=0.8)
    if diameter.high > diameter.typical + 0.5:
        # Standing on the same road, so the largest allowed reaches higher by the whole of its diameter.
        side.circle(diameter.high / 2, diameter.high / 2, width=0.9, dash="5 3")


def _arch(side: _Side, hub_mm: float, arch_mm: float, bump_mm: float) -> None:
    side.arc(hub_mm, arch_mm, 0, 180, width=1.8)
    if bump_mm > 0:
        side.arc(hub_mm + bump_mm, hub_mm, 8, 172, width=0.9, dash="2 3")


def _sill(side: _Side, clearance_mm: float, hub_mm: float, arch_mm: float | None) -> None:
    """Underside of the body beside the arch, which ends where it meets the sill."""
    edge = side.half_mm
    if arch_mm is None or abs(clearance_mm - hub_mm) >= arch_mm:
        inner = hub_mm + LEAST_ARCH_MM
    else:
        inner = arch_mm if clearance_mm < hub_mm else math.sqrt(arch_mm**2 - (clearance_mm - hub_mm) ** 2)
    for sign in (-1, 1):
        side.drawing.line(
            side.at(sign * min(inner, edge - 5), clearance_mm), side.at(sign * edge, clearance_mm), width=1.8
        )
        if arch_mm is not None and clearance_mm < hub_mm:
            side.drawing.line(
                side.at(sign * arch_mm, hub_mm), side.at(sign * arch_mm, clearance_mm), width=1.8
            )


def _dimension(side: _Side, diameter: Band) -> None:
    y = side.road_y + 26
    left, right = (side.at(sign * diameter.typical / 2, 0)[0] for sign in (-1, 1))
    for x in (left, right):
        side.drawing.line((x, side.road_y + 9), (x, y + 3), width=0.5)
    spread = "" if diameter.low == diameter.high else f" ({diameter.low:.0f} to {diameter.high:.0f})"
    side.drawing.dimension((left, y), (right, y), f"{diameter.typical:.0f} mm{spread}", size=13, below=True)


def _gain(drawing: Drawing, sides: list[_Side], now: Band, then: Band) -> None:
    """Level of the top of the tyre now, carried across, and what the new one gains."""
    top_now = sides[0].at(0, now.typical)
    top_then = sides[1].at(0, then.typical)
    drawing.line(top_now, (top_then[0] + 30, top_now[1]), width=0.6, dash="8 3 2 3")
    drawing.line((top_then[0] - 30, top_then[1]), (top_then[0] + 30, top_then[1]), width=0.6)
    gained = then.typical - now.typical
    words = f"{gained:+.3g} mm over all, {gained / 2:+.3g} mm under the car"
    drawing.text((WIDTH / 2, sides[0].road_y + 58), words, size=13, anchor="middle")


def _scale_bar(drawing: Drawing, scale: float, y: float, *, shows_stop: bool) -> None:
    drawing.dimension((MARGIN, y), (MARGIN + 200 * scale, y), "")
    drawing.text((MARGIN + 200 * scale + 8, y + 4), "200 mm", size=12)
    words = "dashed: largest of its size" + ("; dotted: on the bump stop" if shows_stop else "")
    drawing.text((WIDTH - MARGIN, y + 4), words, size=12, anchor="end")
