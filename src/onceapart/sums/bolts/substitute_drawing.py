"""Draw the original and the found bolt in their joint, both to one scale."""

from __future__ import annotations

from itertools import pairwise

from onceapart.sums.bolts.hardware import hardware_of, nut_height_mm
from onceapart.sums.bolts.joint import Fitted, Joint, Placed
from onceapart.sums.bolts.substitute import Substitution
from onceapart.sums.bolts.threads import root_diameter_mm
from onceapart.sums.svg import Drawing

WIDEST = 480.0
CAPTION_LETTER = 8.4
NOTE_LETTER = 7.2
"""Room for one letter of a caption, and of a note."""
NOTE_GAP = 8.0
TALLEST = 70.0
"""From the axis to the edge of the parts."""
MARGIN = 16.0
CAPTION = 44.0
"""Room above a bolt for its caption and its length."""
FOOT = 40.0
"""Room below a bolt for the dimensions of the joint."""
CORNERS = 1.1547
"""Across corners over across flats of a hexagon."""


class _Row:
    """One bolt in the joint: millimetres from under its head, and from its axis, to picture units."""

    def __init__(self, drawing: Drawing, left: float, axis: float, scale: float) -> None:
        self.drawing, self.left, self.axis, self.scale = drawing, left, axis, scale

    def x(self, along_mm: float) -> float:
        return self.left + along_mm * self.scale

    def box(self, start_mm: float, end_mm: float, radius_mm: float, *, stroke: float = 1.2) -> None:
        """A body of revolution seen from the side."""
        height = 2 * radius_mm * self.scale
        self.drawing.rect(
            self.x(start_mm),
            self.axis - height / 2,
            (end_mm - start_mm) * self.scale,
            height,
            stroke=stroke,
        )

    def halves(self, start_mm: float, end_mm: float, inner_mm: float, outer_mm: float, hatch: str) -> None:
        """A part cut through, with a hole: one piece above the bolt and one below."""
        depth = (outer_mm - inner_mm) * self.scale
        for top in (self.axis - outer_mm * self.scale, self.axis + inner_mm * self.scale):
            width = (end_mm - start_mm) * self.scale
            self.drawing.rect(self.x(start_mm), top, width, depth, stroke=1, hatch=hatch)

    def upright(self, along_mm: float, radius_mm: float, *, dash: str = "", width: float = 1.0) -> None:
        """A line across the axis."""
        x, reach = self.x(along_mm), radius_mm * self.scale
        self.drawing.line((x, self.axis - reach), (x, self.axis + reach), dash=dash, width=width)


def draw_substitute(original: Fitted, found: Fitted, joint: Joint, outcome: Substitution) -> str:
    """The picture as SVG text: the original above, the found bolt below, to one scale."""
    both = (original, found)
    captions = (f"Original {original.bolt}", f"Found {found.bolt}: {outcome.verdict}")
    heads = [hardware_of(each.bolt.thread) for each in both]
    head = max(each.head_height_mm for each in heads)
    beyond = 0.0 if joint.has_nut else 6.0
    longest = max(*(each.length_mm for each in both), *(_reach_mm(each, joint, outcome) for each in both))
    radius = max(each.washer_outside_mm for each in heads) / 2 + 4
    scale = min((WIDEST - 2 * MARGIN) / (head + longest + beyond), TALLEST / radius)
    row_height = CAPTION + 2 * radius * scale + FOOT
    notes = [_note(original, joint, outcome.original), _note(found, joint, outcome.found)]
    drawing = Drawing(
        max(
            2 * MARGIN + (head + longest + beyond) * scale,
            *(2 * MARGIN + CAPTION_LETTER * len(each) for each in captions),
            *(MARGIN + (head + at) * scale + NOTE_GAP + NOTE_LETTER * len(words) for at, words in notes),
        ),
        2 * row_height + 22,
        f"{found.bolt} in place of {original.bolt}",
        f"Both bolts in the joint, to scale. Verdict: {outcome.verdict}.",
    )
    hatches = (drawing.hatch("parts-one", angle=45), drawing.hatch("parts-two", angle=-45))
    dense = drawing.hatch("tapped-part", gap=4, angle=45)
    for number, (fitted, placed) in enumerate(((original, outcome.original), (found, outcome.found))):
        top = number * row_height
        axis = top + CAPTION + radius * scale
        row = _Row(drawing, MARGIN + head * scale, axis, scale)
        drawing.text((MARGIN, top + 18), captions[number], size=14, bold=True)
        _joint(row, joint, placed, radius, (*hatches, dense), fitted)
        _bolt(row, fitted)
        _dimensions(row, fitted, joint, placed, radius)
    _scale_bar(drawing, scale, 2 * row_height + 6)
    return drawing.render()


def _reach_mm(fitted: Fitted, joint: Joint, outcome: Substitution) -> float:
    stack = max(outcome.original.stack_mm, outcome.found.stack_mm)
    if not joint.has_nut:
        return max(stack + (joint.hole_depth_mm or 0), fitted.length_mm)  # the bolt's end marks the bottom
    return max(stack, fitted.where.thread_from_mm) + nut_height_mm(fitted.bolt.thread, joint.nut)


def _joint(
    row: _Row, joint: Joint, placed: Placed, radius: float, hatches: tuple[str, str, str], fitted: Fitted
) -> None:
    goes_with = hardware_of(fitted.bolt.thread)
    washer = joint.washer_mm
    under_head = joint.washers + placed.added_washers if not joint.has_nut else max(0, joint.washers - 1)
    under_nut = joint.washers + placed.added_washers - under_head
    outer = goes_with.washer_outside_mm / 2
    bore = fitted.bolt.thread.diameter_mm / 2 + 0.3
    # A bolt that meets the bottom of its hole keeps its head off the parts, and the gap shows.
    gap = max(0.0, placed.bottom_mm)
    at = gap
    for _ in range(under_head):
        row.halves(at, at + washer, bore, outer, "")
        at += washer
    planes = [gap + plane for plane in joint.shear_planes_mm]
    edges = [at, *(plane for plane in planes if plane > at), at + joint.grip_mm]
    hole = max(joint.hole_mm, fitted.bolt.thread.diameter_mm) / 2
    for number, (start, end) in enumerate(pairwise(edges)):
        row.halves(start, end, hole, radius - 1, hatches[number % 2])
    for plane in planes:
        row.upright(plane, radius + 0.5, dash="7 2 1.5 2", width=1.3)
    at += joint.grip_mm
    for _ in range(under_nut):
        row.halves(at, at + washer, bore, outer, "")
        at += washer
    if joint.has_nut:
        # A nut that jams stays where the thread ends, and the gap shows.
        start = max(at, fitted.where.thread_from_mm)
        height = nut_height_mm(fitted.bolt.thread, joint.nut)
        row.halves(
            start,
            start + height,
            fitted.bolt.thread.diameter_mm / 2,
            goes_with.across_flats_mm * CORNERS / 2,
            "",
        )
    else:
        depth = joint.hole_depth_mm if joint.hole_depth_mm is not None else max(placed.past_mm, 0) + 3
        row.halves(at, at + depth, fitted.bolt.thread.diameter_mm / 2, radius - 1, hatches[2])
        row.upright(at + depth, radius - 1, width=1.2)


def _bolt(row: _Row, fitted: Fitted) -> None:
    thread = fitted.bolt.thread
    goes_with = hardware_of(thread)
    half, root = thread.diameter_mm / 2, root_diameter_mm(thread.diameter_mm, thread.pitch_mm) / 2
    corners = goes_with.across_flats_mm * CORNERS / 2
    row.box(-goes_with.head_height_mm, 0, corners, stroke=1.6)
    for side in (-0.5, 0.5):
        y = row.axis + side * corners * row.scale
        row.drawing.line((row.x(-goes_with.head_height_mm), y), (row.x(0), y), width=0.7)
    start = fitted.where.thread_from_mm
    chamfer = half - root
    outline = [(0, half), (fitted.length_mm - chamfer, half), (fitted.length_mm, root)]
    for side in (-1, 1):
        points = [(row.x(along), row.axis + side * radius * row.scale) for along, radius in outline]
        row.drawing.polyline(points, width=1.6)
    row.upright(fitted.length_mm, root, width=1.6)
    row.upright(start, half)
    _thread_lines(row, start, fitted.length_mm, thread.pitch_mm, half)
    left, right = row.x(-goes_with.head_height_mm) - MARGIN / 2, row.x(fitted.length_mm) + MARGIN / 2
    row.drawing.line((left, row.axis), (right, row.axis), dash="9 2.5 1.5 2.5", width=0.5)


def _thread_lines(row: _Row, start: float, end: float, pitch: float, half: float) -> None:
    """One slanted line a turn."""
    slant, reach = pitch / 4 * row.scale, half * row.scale
    for turn in range(1, int((end - start) / pitch + 0.5)):
        x = row.x(start + turn * pitch)
        row.drawing.line((x - slant, row.axis + reach), (x + slant, row.axis - reach), width=0.8)


def _dimensions(row: _Row, fitted: Fitted, joint: Joint, placed: Placed, radius: float) -> None:
    above = row.axis - radius * row.scale - 6
    below = row.axis + radius * row.scale + 8
    row.drawing.dimension((row.x(0), above), (row.x(fitted.length_mm), above), f"{fitted.length_mm:.3g} mm")
    gap = max(0.0, placed.bottom_mm)
    ends = (row.x(gap), below), (row.x(gap + placed.stack_mm), below)
    row.drawing.dimension(*ends, f"{placed.stack_mm:.3g} mm", size=12, below=True)
    if gap:
        row.drawing.dimension((row.x(0), below), (row.x(gap), below), "")
    elif placed.jam_mm > 0:
        jam = placed.stack_mm + placed.jam_mm
        row.drawing.dimension((row.x(placed.stack_mm), below), (row.x(jam), below), "")
    at_mm, words = _note(fitted, joint, placed)
    row.drawing.text((row.x(at_mm) + NOTE_GAP, below + 13), words, size=12)
    if joint.shear_planes_mm:
        shear = (row.x(gap + joint.shear_planes_mm[0]), below + 27)
        row.drawing.text(shear, "shear", size=11, anchor="middle")


def _note(fitted: Fitted, joint: Joint, placed: Placed) -> tuple[float, str]:
    """What to say beside the thickness, and from where, in mm."""
    if placed.bottom_mm > 0:
        return placed.bottom_mm + placed.stack_mm, f"bottoms {placed.bottom_mm:.2g} mm short"
    if placed.jam_mm > 0:
        return placed.stack_mm + placed.jam_mm, f"jams {placed.jam_mm:.2g} mm short"
    if not joint.has_nut:
        return placed.stack_mm, f"{placed.engaged_mm:.3g} mm engaged"
    if fitted.length_mm <= placed.stack_mm:
        return placed.stack_mm, "does not reach the nut"
    shown = placed.past_mm / fitted.bolt.thread.pitch_mm
    return placed.stack_mm, f"{shown:.2g} threads show" if shown >= 0 else "nut not full"


def _scale_bar(drawing: Drawing, scale: float, y: float) -> None:
    drawing.dimension((MARGIN, y + 8), (MARGIN + 20 * scale, y + 8), "")
    drawing.text((MARGIN + 20 * scale + 8, y + 12), "20 mm", size=12)
