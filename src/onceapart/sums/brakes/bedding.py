"""Which schedule beds the pads without overheating them or boiling the fluid."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

from onceapart.errors import SumError
from onceapart.sums.brakes.cooling import Corner
from onceapart.sums.brakes.history import History, temperatures
from onceapart.sums.brakes.schedules import Leg, Schedule, legs_of
from onceapart.sums.brakes.tables import read_table
from onceapart.sums.result import Band

SUITS, TOO_COOL, TOO_HOT, FLUID_HOT = "suits", "too cool to bed", "too hot", "fluid too near boiling"
FLUID_MARGIN_K = 20.0
"""Least margin at the worst guess: our judgement."""


@dataclass(frozen=True)
class Window:
    """Disc temperatures between which linings bed."""

    from_degc: float
    to_degc: float

    def __post_init__(self) -> None:
        if self.from_degc >= self.to_degc:
            raise SumError(
                f"bedding from {self.from_degc:g} to {self.to_degc:g} °C: the first must be lower; check both"
            )


@cache
def linings() -> dict[str, tuple[Window, str]]:
    """Kinds of lining, with their window (from memory) and meaning."""
    return {
        row["name"]: (Window(float(row["bed_from"]), float(row["bed_to"])), row["meaning"])
        for row in read_table("linings")
    }


@dataclass(frozen=True)
class Afterwards:
    """What the car does when the schedule is over."""

    seconds: float
    kmh: float
    """0: it is parked hot."""


@dataclass(frozen=True)
class Trial:
    """A schedule tried on one corner of a car."""

    schedule: Schedule
    legs: tuple[Leg, ...]
    history: History
    margin_k: Band
    """Boiling point less hottest fluid."""
    verdict: str

    @property
    def minutes(self) -> float:
        """Time of the slow-downs and gaps, without what comes afterwards."""
        return sum(leg.seconds for leg in self.legs[:-1]) / 60

    @property
    def kilometres(self) -> float:
        """Road it takes, likewise."""
        return sum(leg.metres for leg in self.legs[:-1]) / 1000


def try_schedule(
    schedule: Schedule,
    corner: Corner,
    window: Window,
    boiling_degc: Band,
    ambient_degc: float,
    afterwards: Afterwards,
) -> Trial:
    """Run a schedule and judge it.

    It suits if the typical guess reaches the window, the hottest one does not leave it, and the fluid keeps
    its margin even where it boils lowest and gets hottest.
    """
    legs = legs_of(schedule, afterwards.seconds, afterwards.kmh)
    history = temperatures(corner, legs, ambient_degc)
    disc, fluid = history.disc_peak_degc, history.fluid_peak_degc
    margin = Band(
        boiling_degc.low - fluid.high, boiling_degc.typical - fluid.typical, boiling_degc.high - fluid.low
    )
    if margin.low < FLUID_MARGIN_K:
        verdict = FLUID_HOT
    elif disc.high > window.to_degc:
        verdict = TOO_HOT
    elif disc.typical < window.from_degc:
        verdict = TOO_COOL
    else:
        verdict = SUITS
    return Trial(schedule, legs, history, margin, verdict)
