"""Load transfer by axle, and roll of the body, before and after."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

from onceapart.errors import SumError
from onceapart.sums.inputs import QuantityInput
from onceapart.sums.raising import sources, stability
from onceapart.sums.raising.stability_sum import CORNERING, LIFT, TYRE_GAIN
from onceapart.sums.registry import Sum
from onceapart.sums.result import Output, Result, Table


@dataclass(frozen=True)
class Axle:
    """One axle with what it carries."""

    name: str
    sprung_kg: float
    unsprung_kg: float
    unsprung_height_mm: float
    roll_centre_mm: float
    stiffness_nm_per_rad: float
    track_mm: float


@dataclass(frozen=True)
class Transfer:
    """Load transfer of an axle in its three parts, N."""

    axle: Axle
    geometric_n: float
    elastic_n: float
    unsprung_n: float

    @property
    def total_n(self) -> float:
        """From the inner to the outer wheel."""
        return self.geometric_n + self.elastic_n + self.unsprung_n

    @property
    def wheel_n(self) -> float:
        """Load of one wheel, car standing."""
        return (self.axle.sprung_kg + self.axle.unsprung_kg) * stability.GRAVITY / 2

    @property
    def inner_n(self) -> float:
        """Load left on the inner wheel; nought if it is off the road."""
        return max(0.0, self.wheel_n - self.total_n)


@dataclass(frozen=True)
class Cornering:
    """A steady bend."""

    roll_deg: float
    front: Transfer
    rear: Transfer

    @property
    def axles(self) -> tuple[Transfer, Transfer]:
        """Front and rear."""
        return self.front, self.rear

    @property
    def total_n(self) -> float:
        """Load transfer of both axles."""
        return self.front.total_n + self.rear.total_n


def axis_height_mm(front: Axle, rear: Axle) -> float:
    r"""Height of the roll axis under the centre of gravity of the sprung mass.

    Parameters
    ----------
    front, rear : Axle
        The axles.

    Returns
    -------
    float
        Height above the road. [mm]

    Notes
    -----
    The line from one roll centre to the other, at the distance that the split of the sprung mass gives.

    Examples
    --------
    >>> axles = (Axle("", share * 1280, 0, 0, height, 0, 1460) for share, height in ((0.54, 70), (0.46, 320)))
    >>> round(axis_height_mm(*axles))
    185

    References
    ----------
    .. [1] Geometry; no document.
    """
    both = (front, rear)
    return sum(each.sprung_kg * each.roll_centre_mm for each in both) / sum(each.sprung_kg for each in both)


def cornering(front: Axle, rear: Axle, cg_mm: float, acceleration_gn: float) -> Cornering:
    """The car in a steady bend."""
    arm = cg_mm - axis_height_mm(front, rear)
    stiffness = front.stiffness_nm_per_rad + rear.stiffness_nm_per_rad
    sprung = front.sprung_kg + rear.sprung_kg
    roll = stability.roll_gradient_deg_per_g(sprung, arm, stiffness) * acceleration_gn
    sideways = acceleration_gn * stability.GRAVITY
    front_part, rear_part = (
        Transfer(
            axle,
            stability.geometric_transfer_n(axle.sprung_kg, sideways, axle.roll_centre_mm, axle.track_mm),
            stability.elastic_transfer_n(axle.stiffness_nm_per_rad, roll, axle.track_mm),
            stability.load_transfer_n(axle.unsprung_kg, sideways, axle.unsprung_height_mm, axle.track_mm),
        )
        for axle in (front, rear)
    )
    return Cornering(roll, front_part, rear_part)


def roll_answer(
    sprung_mass_kg: float,
    sprung_height_mm: float,
    front_share_percent: float,
    track_mm: float,
    roll_stiffness_nm_per_deg: float,
    front_stiffness_percent: float,
    front_roll_centre_mm: float,
    rear_roll_centre_mm: float,
    front_roll_centre_after_mm: float | None,
    rear_roll_centre_after_mm: float | None,
    front_unsprung_kg: float,
    rear_unsprung_kg: float,
    front_unsprung_height_mm: float,
    rear_unsprung_height_mm: float,
    lift_mm: float,
    tyre_gain_mm: float,
    cornering_gn: float,
) -> Result:
    """Load transfer by axle before and after raising, roll stiffness as it was."""
    stiffness = math.degrees(roll_stiffness_nm_per_deg)
    shares = (front_share_percent / 100, 1 - front_share_percent / 100)
    stiff = (front_stiffness_percent / 100, 1 - front_stiffness_percent / 100)
    before = [
        Axle(
            "front",
            sprung_mass_kg * shares[0],
            front_unsprung_kg,
            front_unsprung_height_mm,
            front_roll_centre_mm,
            stiffness * stiff[0],
            track_mm,
        ),
        Axle(
            "rear",
            sprung_mass_kg * shares[1],
            rear_unsprung_kg,
            rear_unsprung_height_mm,
            rear_roll_centre_mm,
            stiffness * stiff[1],
            track_mm,
        ),
    ]
    given = (front_roll_centre_after_mm, rear_roll_centre_after_mm)
    after = [
        replace(
            axle,
            unsprung_height_mm=axle.unsprung_height_mm + tyre_gain_mm,
            roll_centre_mm=axle.roll_centre_mm + tyre_gain_mm if height is None else height,
        )
        for axle, height in zip(before, given, strict=True)
    ]
    height_after = sprung_height_mm + lift_mm + tyre_gain_mm
    for height, axles, words in ((sprung_height_mm, before, "now"), (height_after, after, "after raising")):
        axis = axis_height_mm(axles[0], axles[1])
        if height <= axis:
            raise SumError(
                f"sprung-height: {height:.0f} mm {words} must lie above the roll axis at {axis:.0f} mm; "
                "check the heights"
            )
    now = cornering(before[0], before[1], sprung_height_mm, cornering_gn)
    then = cornering(after[0], after[1], height_after, cornering_gn)
    warnings = [
        f"The inner {part.axle.name} wheel is off the road, and the split no longer holds."
        for part in then.axles
        if part.inner_n == 0
    ]
    if None in given and lift_mm != 0:
        warnings.append(
            "Roll centre after raising not given, so taken as unmoved: raising-strut gives it, or "
            "raising-wishbone."
        )
    return Result(
        values={
            "roll_before": now.roll_deg,
            "roll_after": then.roll_deg,
            "transfer_before": now.total_n,
            "transfer_after": then.total_n,
            "change": 100 * (then.total_n / now.total_n - 1),
            "front_before": 100 * now.front.total_n / now.total_n,
            "front_after": 100 * then.front.total_n / then.total_n,
        },
        reasons=(
            "More than its share of the weight at the front makes the car run wide, at the rear swing round.",
            "Springs, anti-roll bars and dampers taken as they were.",
        ),
        warnings=tuple(warnings),
        tables=(_table("Before", now), _table("After", then)),
    )


def _table(words: str, bend: Cornering) -> Table:
    columns = (
        Output(name="axle", label="Axle", unit=None),
        Output(name="geometric", label="Through links", unit="N"),
        Output(name="elastic", label="Springs", unit="N"),
        Output(name="unsprung", label="Unsprung", unit="N"),
        Output(name="total", label="Together", unit="N", digits=4),
        Output(name="inner", label="Inner wheel left", unit="N", digits=4),
    )
    rows = tuple(
        (part.axle.name, part.geometric_n, part.elastic_n, part.unsprung_n, part.total_n, part.inner_n)
        for part in bend.axles
    )
    return Table(f"{words}: load transfer", columns, rows)


def _height(
    name: str, label: str, low: float, high: float, example: str, *, optional: bool = False
) -> QuantityInput:
    return QuantityInput(
        name=name, label=label, unit="mm", low=low, high=high, example=example, optional=optional
    )


def _mass(name: str, label: str, example: str) -> QuantityInput:
    return QuantityInput(name=name, label=label, unit="kg", low=10, high=800, example=example)


ROLL = Sum(
    name="raising-roll",
    title="Roll and load transfer by axle",
    question="How far does the raised car roll, and how is the shifted load split between the axles?",
    inputs=(
        QuantityInput(
            name="sprung-mass", label="Sprung mass", unit="kg", low=200, high=5000, example="1280 kg"
        ),
        _height("sprung-height", "Height of its centre of gravity", 200, 1600, "550 mm"),
        QuantityInput(
            name="front-share",
            label="Share of it on the front axle",
            unit="%",
            low=20,
            high=80,
            example="54 %",
        ),
        QuantityInput(name="track", label="Track width", unit="mm", low=700, high=2200, example="1460 mm"),
        QuantityInput(
            name="roll-stiffness",
            label="Roll stiffness of both axles",
            unit="N·m/°",
            low=50,
            high=5000,
            example="500 Nm/deg",
        ),
        QuantityInput(
            name="front-stiffness",
            label="Share of it at the front",
            unit="%",
            low=5,
            high=95,
            default="60 %",
            example="65 %",
        ),
        _height("front-roll-centre", "Front roll centre", -200, 600, "70 mm"),
        _height("rear-roll-centre", "Rear roll centre", -200, 600, "320 mm"),
        _height("front-roll-centre-after", "Front roll centre then", -200, 700, "110 mm", optional=True),
        _height("rear-roll-centre-after", "Rear roll centre then", -200, 700, "330 mm", optional=True),
        _mass("front-unsprung", "Unsprung mass, front", "70 kg"),
        _mass("rear-unsprung", "Unsprung mass, rear", "90 kg"),
        _height("front-unsprung-height", "Height of it, front", 100, 600, "280 mm"),
        _height("rear-unsprung-height", "Height of it, rear", 100, 600, "300 mm"),
        LIFT,
        TYRE_GAIN,
        CORNERING,
    ),
    outputs=(
        Output(name="roll_before", label="Roll, before", unit="°"),
        Output(name="roll_after", label="Roll, after", unit="°"),
        Output(name="transfer_before", label="Load shifted, before", unit="N", digits=4),
        Output(name="transfer_after", label="Load shifted, after", unit="N", digits=4),
        Output(name="change", label="Change", unit="%", digits=2),
        Output(name="front_before", label="Share of it at the front, before", unit="%"),
        Output(name="front_after", label="Share of it at the front, after", unit="%"),
    ),
    sources=(sources.TRANSFER, sources.TRANSFER_PARTS, sources.TRANSFER_EXAMPLE),
    example={
        "sprung-mass": "1280 kg",
        "sprung-height": "550 mm",
        "front-share": "54 %",
        "track": "1460 mm",
        "roll-stiffness": "28650 Nm/rad",
        "front-stiffness": "70 %",
        "front-roll-centre": "70 mm",
        "rear-roll-centre": "320 mm",
        "front-roll-centre-after": "115 mm",
        "front-unsprung": "140 kg",
        "rear-unsprung": "180 kg",
        "front-unsprung-height": "280 mm",
        "rear-unsprung-height": "300 mm",
        "lift": "40 mm",
        "cornering": "0.6 g",
    },
    cautions=(sources.APPROVAL, sources.ALIGN),
    answer=roll_answer,
)
