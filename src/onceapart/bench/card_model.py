"""What a job card holds: what to lay out, and the steps of a stint in working order. Plain frozen data."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum
from functools import cached_property


class StepKind(StrEnum):
    """What a step is. All but the last two and ``measure`` may take minutes."""

    RAISE = "raise"
    OFF = "off"
    DO = "do"
    MEASURE = "measure"
    ON = "on"
    LOWER = "lower"
    AFTERCARE = "aftercare"
    CHECK = "check"
    LOOSEN = "loosen"
    """Cracked loose with the car still on its wheels; the minutes are those of taking it off."""
    TIGHTEN = "tighten"
    """Tightened for good with the car on its wheels again; the minutes are those of putting it on."""


class Phase(StrEnum):
    """Which part of the work on a car a step is in."""

    WORK = "work"
    CHECKS = "checks"
    ROAD = "road"


@dataclass(frozen=True)
class TorqueBand:
    """What the bolt sum says a torque may be, for looking across only. [N·m]"""

    low_nm: float
    high_nm: float


@dataclass(frozen=True)
class StepFastener:
    """Fasteners of one kind met in a step; ``renew``: new ones go in.

    ``is_tightened``: to the car manual's torque, in this step; there is a blank to fill.
    """

    id: str
    """Car, place and name, as in ``wren/front-left/hub-nut``."""
    place: str
    what: str
    thread: str
    drive: str
    count: int
    renew: bool
    is_tightened: bool
    band: TorqueBand | None = None


@dataclass(frozen=True)
class StepMeasurement:
    """A blank to fill; ``limit`` says where its limit is found."""

    id: str
    what: str
    quantity: str
    unit: str
    limit: str | None


@dataclass(frozen=True)
class StepCaution:
    id: str
    title: str
    text: str


@dataclass(frozen=True)
class Step:
    """One thing to do, with a box to tick.

    ``id`` stays the same however the card is ordered; the record and the release checks refer to it.
    ``needs`` are the steps before it that it hangs on directly. ``minutes`` is its share of what planning
    counts. [min]
    """

    id: str
    kind: StepKind
    car: str
    place: str
    title: str
    words: str
    minutes: int
    jobs: tuple[str, ...]
    phase: Phase = Phase.WORK
    needs: tuple[str, ...] = ()
    fasteners: tuple[StepFastener, ...] = ()
    measurements: tuple[StepMeasurement, ...] = ()
    cautions: tuple[StepCaution, ...] = ()
    """Those that matter for the first time here."""


@dataclass(frozen=True)
class CardTool:
    id: str
    title: str
    from_where: str
    """``have``, ``hire`` or ``buy``; empty where the plan does not say."""


@dataclass(frozen=True)
class PartSource:
    """Pieces from the shelf, or out of an offer bought; neither: the plan does not bring them by then."""

    pieces: int
    is_shelf: bool = False
    offer: str | None = None
    words: str = ""


@dataclass(frozen=True)
class CardPart:
    id: str
    title: str
    pieces: int
    sources: tuple[PartSource, ...]


@dataclass(frozen=True)
class CardJob:
    id: str
    car: str
    title: str
    place: str
    minutes: int


@dataclass(frozen=True)
class LayOut:
    """What lies ready before the car is touched."""

    tools: tuple[CardTool, ...] = ()
    hand_tools: tuple[str, ...] = ()
    drives: tuple[str, ...] = ()
    """Sockets, spanners and keys for the fasteners met."""
    parts: tuple[CardPart, ...] = ()
    new_fasteners: Mapping[str, int] | None = None
    """Fasteners used once, by name, with how many; they may come with the parts."""
    consumables: tuple[str, ...] = ()


@dataclass(frozen=True)
class Card:
    """A stint's work in one working order, cars one after the other.

    ``minutes`` is what planning counts for the stint, ``minutes_available`` how long it is. [min]
    ``walks``: how often one changes place; ``is_shortest``: no order has fewer.
    """

    workshop: str
    date: dt.date
    stint: str | None
    minutes_available: int
    minutes: int
    jobs: tuple[CardJob, ...]
    lay_out: LayOut
    steps: tuple[Step, ...]
    cautions: tuple[StepCaution, ...] = ()
    """Stands, eyes and dust: those to read before anything else, where they apply."""
    found_off: tuple[str, ...] = ()
    left_off: tuple[str, ...] = ()
    open_stopgaps: tuple[str, ...] = ()
    walks: int = 0
    is_shortest: bool = True
    car_names: Mapping[str, str] | None = None

    @cached_property
    def step(self) -> dict[str, Step]:
        """Steps by id."""
        return {step.id: step for step in self.steps}

    @property
    def cars(self) -> tuple[str, ...]:
        """Cars in the order in which they are worked on."""
        return tuple(dict.fromkeys(step.car for step in self.steps))
