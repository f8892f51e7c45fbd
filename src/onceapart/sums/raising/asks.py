"""Inputs that several of these sums ask for."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from onceapart.sums.inputs import ChoiceInput, Input, QuantityInput, RowsInput, YesNoInput


@dataclass(frozen=True, kw_only=True)
class PointInput(RowsInput):
    """A point of the front view, ``350 mm: 210 mm``: out from the middle of the car, then up from the road.

    The sum gets it as a complex number.
    """

    most: int = 1

    @property
    def accepts(self) -> str:
        return ", then ".join(f"{column.label.lower()} ({column.accepts})" for column in self.columns)

    def value_of(self, text: str) -> tuple[Any, str, str]:
        rows, words, note = super().value_of(text)
        ((out, up),) = rows
        return complex(out, up), words, note


def point(name: str, label: str, example: str, *, optional: bool = False, help_text: str = "") -> PointInput:
    """Ask for a point of the right-hand side, seen from behind."""
    columns = (
        QuantityInput(name="out", label="Out from the middle", unit="mm", low=0, high=1200, example="350 mm"),
        QuantityInput(name="up", label="Up from the road", unit="mm", low=20, high=1500, example="210 mm"),
    )
    return PointInput(
        name=name, label=label, columns=columns, example=example, optional=optional, help=help_text
    )


def limit(name: str, label: str, unit: str, high: float, example: str, help_text: str = "") -> QuantityInput:
    """Ask for what something stands at most."""
    return QuantityInput(
        name=name, label=label, unit=unit, low=0, high=high, optional=True, example=example, help=help_text
    )


LOWER_PIVOT = point(
    "lower-pivot", "Inner pivot of the lower arm", "330 mm: 205 mm", help_text="Middle of its bush."
)
LOWER_JOINT = point("lower-joint", "Lower ball joint", "650 mm: 190 mm", help_text="Middle of the ball.")
TRACK = QuantityInput(
    name="track",
    label="Track width",
    unit="mm",
    low=900,
    high=2200,
    example="1400 mm",
    help="From middle to middle of the tyres, on the road.",
)
CAMBER = QuantityInput(
    name="camber",
    label="Camber at ride height",
    unit="°",
    low=-6,
    high=6,
    default="0 deg",
    example="-0.5 deg",
    help="Below nought if the top of the wheel leans in.",
)
DROOP = QuantityInput(
    name="droop",
    label="Droop",
    unit="mm",
    low=5,
    high=300,
    example="90 mm",
    help="How far the wheel drops from ride height before the damper stops it, before raising.",
)
BUMP = QuantityInput(
    name="bump",
    label="Bump",
    unit="mm",
    low=5,
    high=300,
    example="80 mm",
    help="How far it comes up from ride height with the stop pressed, before raising.",
)
PIVOT_DROP = QuantityInput(
    name="pivot-drop",
    label="Lower pivot let down by",
    unit="mm",
    low=0,
    high=120,
    default="0 mm",
    example="30 mm",
    help="Spacers between subframe and body that take the inner pivot down with them.",
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
SHAFT_INNER = point("shaft-inner", "Inner driveshaft joint", "240 mm: 285 mm", optional=True)
SHAFT_OUTER = point("shaft-outer", "Outer driveshaft joint", "630 mm: 280 mm", optional=True)
SWEEP = QuantityInput(
    name="shaft-sweep",
    label="Outer joint before or behind the inner by",
    unit="mm",
    low=0,
    high=300,
    default="0 mm",
    example="15 mm",
)
LOCK = QuantityInput(
    name="lock",
    label="Steering angle at full lock",
    unit="°",
    low=0,
    high=55,
    default="0 deg",
    example="35 deg",
    help="Of the inner wheel; 0 for an axle that is not steered.",
)
ROD_INNER = point("rod-inner", "Inner track rod joint", "310 mm: 235 mm", optional=True)
ROD_OUTER = point("rod-outer", "Outer track rod joint", "625 mm: 225 mm", optional=True)
ROD_ARM = QuantityInput(
    name="steering-arm",
    label="Steering arm",
    unit="mm",
    low=40,
    high=300,
    default="120 mm",
    example="120 mm",
    help="From the outer track rod joint to the steering axis, along the car.",
)
ROD_SIDE = ChoiceInput(
    name="rod-side",
    label="The track rod lies",
    choices={"behind": "the axle", "ahead": "of the axle"},
    default="behind",
    example="behind",
)
JOINT_LIMIT = limit(
    "joint-limit",
    "Ball joints swing at most",
    "°",
    60,
    "25 deg",
    "Either way from how they stand at ride height; measure one in the vice.",
)
INNER_KIND = ChoiceInput(
    name="inner-joint",
    label="Inner driveshaft joint",
    choices={
        "tripod": "three rollers, plunging",
        "ball": "six balls, plunging",
        "unknown": "not looked yet",
    },
    default="unknown",
    example="tripod",
)
INNER_LIMIT = limit("inner-limit", "Inner driveshaft joint at most", "°", 60, "23 deg")
OUTER_LIMIT = limit("outer-limit", "Outer driveshaft joint at most", "°", 60, "47 deg")
PLUNGE_LIMIT = limit(
    "plunge-limit",
    "Inner joint may draw out",
    "mm",
    100,
    "12 mm",
    "From ride height before raising; pull it by hand.",
)
PLUNGE_IN_LIMIT = limit("plunge-in-limit", "Inner joint may go in", "mm", 100, "15 mm")
CAMBER_LEAST = QuantityInput(
    name="camber-least",
    label="Least camber allowed",
    unit="°",
    low=-10,
    high=10,
    optional=True,
    example="-1.5 deg",
    help="From the manual; it can be below nought.",
)
CAMBER_MOST = QuantityInput(
    name="camber-most",
    label="Most camber allowed",
    unit="°",
    low=-10,
    high=10,
    optional=True,
    example="0.5 deg",
)
PAIRED = YesNoInput(
    name="paired",
    label="The same on both sides of the axle",
    default="yes",
    example="yes",
)

WHEEL: tuple[Input, ...] = (TRACK, CAMBER, DROOP, BUMP)
EXTRAS: tuple[Input, ...] = (
    PIVOT_DROP,
    TYRE_GAIN,
    SHAFT_INNER,
    SHAFT_OUTER,
    SWEEP,
    LOCK,
    ROD_INNER,
    ROD_OUTER,
    ROD_ARM,
    ROD_SIDE,
    JOINT_LIMIT,
    INNER_KIND,
    INNER_LIMIT,
    OUTER_LIMIT,
    PLUNGE_LIMIT,
    PLUNGE_IN_LIMIT,
    CAMBER_LEAST,
    CAMBER_MOST,
)
"""What both kinds of corner ask for besides their own points."""
