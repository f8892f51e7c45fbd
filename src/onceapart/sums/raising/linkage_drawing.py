"""Draw the right-hand corner from behind, before and after raising, on one road and to one scale."""

from __future__ import annotations

import math

from onceapart.sums.raising.linkage import DoubleWishbone, Strut
from onceapart.sums.raising.motion import road_mm
from onceapart.sums.raising.travel import Setting
from onceapart.sums.svg import Drawing, Point

WIDTH = 520.0
MARGIN = 16.0
TOP = 34.0
FOOT = 66.0
TALLEST = 400.0
DASH = "5 3"


class _View:
    """Millimetres from the middle of the car and up from the road, to picture units."""

    def __init__(self, drawing: Drawing, left: float, road_y: float, scale: float) -> None:
        self.drawing, self.left, self.road_y, self.scale = drawing, left, road_y, scale

    def at(self, point: complex) -> Point:
        return self.left + point.real * self.scale, self.road_y - point.imag * self.scale

    def line(self, first: complex, second: complex, *, width: float, dash: str = "") -> None:
        self.drawing.line(self.at(first), self.at(second), width=width, dash=dash)

    def joint(self, point: complex, radius: float, *, width: float = 1.2) -> None:
        self.drawing.circle(self.at(point), radius, width=width)


def draw_linkage(before: Setting, after: Setting) -> str:
    """The picture as SVG text: before dashed, after in full lines."""
    corner = before.corner
    hub = before.shaft.outer.imag if before.shaft else 1.5 * corner.lower_joint.imag
    highest = corner.top.imag if isinstance(corner, Strut) else 2 * hub
    lift = -road_mm(after.corner, after.ride)
    tall = max(highest, 2 * hub) + max(lift, 0) + 30
    wide = corner.foot.real + 130
    scale = min((WIDTH - 2 * MARGIN - 20) / wide, TALLEST / tall)
    road = TOP + tall * scale
    drawing = Drawing(
        WIDTH,
        road + FOOT,
        "Front view before and after raising",
        f"Right-hand corner from behind, to scale: the body rises by {lift:.0f} mm.",
    )
    left = MARGIN + 20
    view = _View(drawing, left, road, scale)
    hatch = drawing.hatch("road", gap=7, angle=45)
    drawing.rect(MARGIN, road, WIDTH - 2 * MARGIN, 6, stroke=0.01, hatch=hatch)
    drawing.line((MARGIN, road), (WIDTH - MARGIN, road), width=1.6)
    drawing.line((left, TOP - 8), (left, road), width=0.6, dash="10 3 2 3")
    drawing.text((left + 5, TOP), "middle of the car", size=12)
    _corner(view, before, hub, dash=DASH)
    _corner(view, after, hub, dash="")
    _roll_centres(view, before, after, tall)
    _legend(drawing, road)
    drawing.dimension(
        (WIDTH - MARGIN - 200 * scale, road + 52), (WIDTH - MARGIN, road + 52), "200 mm", size=12
    )
    return drawing.render()


def _corner(view: _View, setting: Setting, hub_mm: float, *, dash: str) -> None:
    """One state, set on the road."""
    corner, pose = setting.corner, setting.ride
    onto_road = -1j * road_mm(corner, pose)
    width = 1.2 if dash else 2.0
    pivot, lower = corner.pivot + onto_road, pose.lower_joint + onto_road
    view.line(pivot, lower, width=width, dash=dash)
    joints = [pivot, lower]
    tread = pose.moved(corner.tread) + onto_road
    lean = math.radians(setting.at_ride.camber_deg)
    up = complex(math.sin(lean), math.cos(lean))
    across = complex(up.imag, -up.real)
    reach = 2 * (hub_mm + corner.tyre_gain_mm)
    wall = 85.0
    corners = [
        tread + side * wall * across + height * up
        for side, height in ((-1, 12), (1, 12), (1, reach - 12), (-1, reach - 12))
    ]
    view.drawing.polygon([view.at(point) for point in corners], width=0.8 if dash else 1.2, dash=dash)
    view.line(tread, tread + reach * up, width=0.5, dash="9 3 2 3")
    if isinstance(corner, DoubleWishbone):
        upper_pivot = corner.upper_pivot + onto_road
        upper = pose.moved(corner.upper_joint) + onto_road
        view.line(upper_pivot, upper, width=width, dash=dash)
        view.line(lower, upper, width=width, dash=dash)
        joints += [upper_pivot, upper]
    elif isinstance(corner, Strut):
        top = corner.top - 1j * corner.top_drop_mm + onto_road
        foot = pose.moved(corner.axis_point) + onto_road
        view.line(top, foot, width=width, dash=dash)
        view.line(foot, lower, width=width, dash=dash)
        joints.append(top)
    if setting.shaft is not None:
        inner = setting.shaft.inner + onto_road
        outer = pose.moved(setting.shaft.outer) + onto_road
        view.line(inner, outer, width=0.7 if dash else 1.1, dash="2 2" if dash else "9 2 2 2 2 2")
        joints += [inner, outer]
    for joint in joints:
        view.joint(joint, 2.2 if dash else 3.2)


def _roll_centres(view: _View, before: Setting, after: Setting, tall: float) -> None:
    marks = []
    for setting, size in ((before, 3.5), (after, 5.0)):
        height = setting.at_ride.roll_centre_mm
        if -30 <= height <= tall:
            x, y = view.at(complex(0, height))
            diamond = [(x - size, y), (x, y - size), (x + size, y), (x, y + size)]
            view.drawing.polygon(diamond, width=1.2, hatch="currentColor" if setting is after else "")
            marks.append(height)
    if marks:
        x, y = view.at(complex(0, sum(marks) / len(marks)))
        view.drawing.text((x + 9, y - 6), "roll centre", size=12)


def _legend(drawing: Drawing, road: float) -> None:
    y = road + 26
    drawing.line((MARGIN, y - 4), (MARGIN + 30, y - 4), width=1.2, dash=DASH)
    drawing.text((MARGIN + 36, y), "before", size=13)
    drawing.line((MARGIN + 96, y - 4), (MARGIN + 126, y - 4), width=2)
    drawing.text((MARGIN + 132, y), "after", size=13)
    drawing.line((MARGIN + 182, y - 4), (MARGIN + 212, y - 4), width=1.1, dash="9 2 2 2 2 2")
    drawing.text((MARGIN + 218, y), "driveshaft", size=13)
    drawing.text((MARGIN, y + 24), "right-hand side from behind; tyre only sketched", size=12)
