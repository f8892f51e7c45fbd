"""Bed-in schedules: rows of slow-downs, turned into legs of even acceleration."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache

from onceapart.errors import SumError
from onceapart.sums.brakes.performance import GRAVITY_MPS2
from onceapart.sums.brakes.tables import read_table

REGAIN_MPS2 = 1.5
"""How fast an ordinary car gets up to speed again: common practice."""
MOST_REGAIN_MPS2 = 3.0
"""More than a family car can do: from memory."""
MOST_SLOWDOWNS = 120
MOST_HOURS = 6.0
"""Far beyond any bedding in."""


@dataclass(frozen=True)
class Slowdowns:
    """Some slow-downs that are alike, each followed by a time of driving on."""

    count: int
    from_kmh: float
    to_kmh: float
    deceleration_mps2: float
    gap_s: float

    def __post_init__(self) -> None:
        if not 0 <= self.to_kmh < self.from_kmh:
            rule = f"must be at least 0 and below the {self.from_kmh:g} km/h at the beginning"
            raise SumError(f"end speed {self.to_kmh:g} km/h: {rule}; check the row")
        if self.deceleration_mps2 <= 0 or self.gap_s < 0 or self.count < 1:
            raise SumError(
                "slow-downs: count and deceleration must be above 0, the gap at least 0; check the row"
            )

    @property
    def braking_s(self) -> float:
        """Time of one slow-down."""
        return (self.from_kmh - self.to_kmh) / 3.6 / self.deceleration_mps2

    @property
    def regain_mps2(self) -> float:
        """Acceleration that the gap asks for at least."""
        return (self.from_kmh - self.to_kmh) / 3.6 / self.gap_s if self.gap_s else float("inf")


@dataclass(frozen=True)
class Schedule:
    """A bed-in schedule."""

    name: str
    rows: tuple[Slowdowns, ...]
    meaning: str

    def __post_init__(self) -> None:
        if self.slowdowns > MOST_SLOWDOWNS:
            rule = f"at most {MOST_SLOWDOWNS}; split the schedule and let the brakes cool in between"
            raise SumError(f"{self.slowdowns} slow-downs: {rule}")
        hours = sum(row.count * (row.braking_s + row.gap_s) for row in self.rows) / 3600
        if hours > MOST_HOURS:
            raise SumError(f"schedule of {hours:.1f} hours: must be at most {MOST_HOURS:g}; shorten the gaps")

    @property
    def slowdowns(self) -> int:
        """How many in all."""
        return sum(row.count for row in self.rows)


@cache
def shipped_schedules() -> dict[str, Schedule]:
    """Schedules known, gentlest first: common practice, no source."""
    rows: dict[str, list[Slowdowns]] = {}
    meaning: dict[str, str] = {}
    for row in read_table("bed_in"):
        rows.setdefault(row["schedule"], []).append(
            Slowdowns(
                int(row["count"]),
                float(row["from_kmh"]),
                float(row["to_kmh"]),
                float(row["deceleration_g"]) * GRAVITY_MPS2,
                float(row["gap_s"]),
            )
        )
        meaning.setdefault(row["schedule"], row["meaning"])
    return {name: Schedule(name, tuple(each), meaning[name]) for name, each in rows.items()}


@dataclass(frozen=True)
class Leg:
    """A stretch of time with even acceleration."""

    seconds: float
    from_mps: float
    to_mps: float
    is_braked: bool

    @property
    def metres(self) -> float:
        """Distance driven."""
        return (self.from_mps + self.to_mps) / 2 * self.seconds


def legs_of(schedule: Schedule, cool_down_s: float, cool_down_kmh: float) -> tuple[Leg, ...]:
    """The schedule as legs, with a stretch at even speed (0: parked) after it."""
    each = [row for row in schedule.rows for _ in range(row.count)]
    legs: list[Leg] = []
    for row, following in zip(each, [*each[1:], None], strict=True):
        start, end = row.from_kmh / 3.6, row.to_kmh / 3.6
        legs.append(Leg(row.braking_s, start, end, True))
        if following is not None:
            legs += _gap(row.gap_s, end, following.from_kmh / 3.6)
    if cool_down_s > 0:
        speed = cool_down_kmh / 3.6
        legs.append(Leg(cool_down_s, speed, speed, False))
    return tuple(legs)


def _gap(seconds: float, start: float, end: float) -> Sequence[Leg]:
    """Up (or down, coasting) to speed, then on at it."""
    change = min(seconds, abs(end - start) / REGAIN_MPS2)
    legs = [Leg(change, start, end, False), Leg(seconds - change, end, end, False)]
    return [leg for leg in legs if leg.seconds > 0]
