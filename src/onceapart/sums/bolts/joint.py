"""A bolt in its place: what it clamps, how much of it is engaged, what shows."""

from __future__ import annotations

from dataclasses import dataclass

from onceapart.errors import SumError
from onceapart.sums.bolts import corrosion, engagement, shear
from onceapart.sums.bolts.designation import Bolt
from onceapart.sums.bolts.engagement_sum import metal_in_mpa
from onceapart.sums.bolts.hardware import nut_height_mm
from onceapart.sums.bolts.lengths import A_HAIR_MM, Threaded, threaded
from onceapart.sums.bolts.strength import Strength
from onceapart.sums.bolts.threads import Thread, area_factor

CRITICAL = {
    "steering": "track rods, rack, column",
    "suspension": "arms, dampers, hubs, anti-roll bars",
    "brakes": "calipers, carriers, cylinders, pedals",
    "wheels": "wheel bolts, studs, hub nuts",
    "driveline": "drive and propeller shafts",
    "seat-belts": "belts, buckles, seats",
    "airbags": "airbags and their sensors",
    "towing": "tow bar, towing eye",
    "fuel": "tank, lines, pump",
}
"""What it can hold where a failure can kill, with examples."""
ORDINARY = {
    "engine": "ancillaries, covers, mounts",
    "exhaust": "flanges, hangers, shields",
    "bodywork": "wings, bumpers, hinges",
    "bracket": "small brackets and clips",
    "trim": "interior, undertray",
}


@dataclass(frozen=True)
class Fitted:
    """A bolt as it is, with what was measured of it."""

    bolt: Bolt
    is_fully_threaded: bool = False
    measured_thread_mm: float | None = None
    loss_mm: float = 0.0

    @property
    def strength(self) -> Strength:
        """Its class, which the caller has made sure is given."""
        if self.bolt.strength is None:
            raise SumError(f"{self.bolt}: class missing; add the mark on the head, or 'unmarked'")
        return self.bolt.strength

    @property
    def length_mm(self) -> float:
        """Its length, which the caller has made sure is given."""
        if self.bolt.length_mm is None:
            raise SumError(f"{self.bolt}: length missing; add it, measured under the head")
        return self.bolt.length_mm

    @property
    def where(self) -> Threaded:
        """Where its thread is."""
        return threaded(
            self.bolt.thread,
            self.length_mm,
            is_fully_threaded=self.is_fully_threaded,
            measured_mm=self.measured_thread_mm,
        )

    @property
    def stress_area_mm2(self) -> float:
        """Stress area that rust has left, mm²."""
        thread = self.bolt.thread
        return corrosion.rusted_stress_area_mm2(
            thread.diameter_mm, thread.pitch_mm, self.loss_mm, area_factor(thread.system)
        )

    def shear_load_at_n(self, plane_mm: float) -> float:
        """Load that shears it in a plane so far under the head, N."""
        thread = self.bolt.thread
        if plane_mm <= self.where.shank_mm:
            left = corrosion.rusted_shank_share(thread.diameter_mm, self.loss_mm)
            area = shear.shank_area_mm2(thread.diameter_mm) * left
        else:
            area = self.stress_area_mm2
        return shear.shear_load_n(area, self.strength.tensile_mpa)


@dataclass(frozen=True)
class Joint:
    """What is held together."""

    thread: Thread
    """Thread of the nut or hole: the original bolt's."""
    holds: str
    grip_mm: float
    """Clamped parts, without washers."""
    washers: int
    washer_mm: float
    into: str
    """``nut``, or a tapped metal of ``engagement.METALS``."""
    nut: str
    nut_class: str | None
    hole_mm: float
    """Clearance hole through the parts."""
    hole_depth_mm: float | None
    """Full thread in a tapped hole, if measured."""
    shear_planes_mm: tuple[float, ...]
    """Where the parts can slide on each other, from under the head."""

    @property
    def is_critical(self) -> bool:
        """A failure here can kill."""
        return self.holds in CRITICAL

    @property
    def has_nut(self) -> bool:
        """A nut rather than a tapped hole."""
        return self.into == "nut"


@dataclass(frozen=True)
class Placed:
    """A bolt in the joint with so many washers more than the original had."""

    added_washers: int
    stack_mm: float
    """From the head to the nut or the tapped hole, washers included."""
    past_mm: float
    """Beyond the nut (below nought: the nut is not full), or into the tapped hole."""
    engaged_mm: float
    """Full thread engaged; the chamfered end does not count."""
    jam_mm: float
    """How far the nut or hole is from clamping when the thread ends; nought or less: it clamps."""
    bottom_mm: float
    """How far the head is from clamping when the bolt meets the bottom of the hole; nought or less: it does
    not."""


def place(fitted: Fitted, joint: Joint, added_washers: int = 0) -> Placed:
    """Put a bolt into the joint."""
    stack = joint.grip_mm + (joint.washers + added_washers) * joint.washer_mm
    pitch = fitted.bolt.thread.pitch_mm
    jam = fitted.where.thread_from_mm - stack
    if joint.has_nut:
        nut = nut_height_mm(fitted.bolt.thread, joint.nut)
        past = fitted.length_mm - stack - nut
        engaged = nut if past >= pitch - A_HAIR_MM else nut + past - pitch
        return Placed(added_washers, stack, past, max(0.0, engaged), jam, 0.0)
    past = fitted.length_mm - stack
    depth = joint.hole_depth_mm
    reach = past if depth is None else min(past, depth)
    bottom = 0.0 if depth is None else past - depth
    return Placed(added_washers, stack, past, max(0.0, reach - pitch), jam, bottom)


def metal_strength_mpa(fitted: Fitted, joint: Joint) -> float:
    r"""Strength of the metal a bolt is screwed into in this joint.

    Parameters
    ----------
    fitted : Fitted
        The bolt.
    joint : Joint
        The joint.

    Returns
    -------
    float
        Tensile strength of nut or tapped metal. [MPa]

    Examples
    --------
    >>> from onceapart.sums.bolts.designation import parse_bolt
    >>> bolt = parse_bolt("M10x40 8.8")
    >>> joint = Joint(bolt.thread, "bracket", 20, 1, 2, "tapped-iron", "standard", None, 11, None, ())
    >>> metal_strength_mpa(Fitted(bolt), joint)
    200

    References
    ----------
    .. [1] ISO 898-2 nut classes, and handbook strengths (from memory).
    """
    # A bolt of another thread brings a nut of its own, which then matches it.
    nut_class = joint.nut_class if fitted.bolt.thread == joint.thread else None
    return metal_in_mpa(fitted.bolt, joint.into, joint.nut, nut_class, None)


def needed_mm(fitted: Fitted, joint: Joint) -> float:
    r"""Engagement at which this bolt breaks before a thread strips.

    Parameters
    ----------
    fitted : Fitted
        The bolt.
    joint : Joint
        The joint.

    Returns
    -------
    float
        Length of full thread. [mm]

    Examples
    --------
    >>> from onceapart.sums.bolts.designation import parse_bolt
    >>> bolt = parse_bolt("M10x40 8.8")
    >>> joint = Joint(bolt.thread, "bracket", 20, 1, 2, "nut", "standard", "8", 11, None, ())
    >>> round(needed_mm(Fitted(bolt), joint), 1)
    7.5

    References
    ----------
    .. [1] FED-STD-H28/2B, as in :func:`engagement.engagement_needed_mm`.
    """
    metal = metal_strength_mpa(fitted, joint)
    return engagement.engagement_needed_mm(fitted.bolt.thread, fitted.strength.tensile_mpa, metal)
