"""The order in which to go round a car: each wheel off once, the car up once, and as few walks as can be."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from enum import StrEnum

from onceapart.inspection.judging import Verdict
from onceapart.inspection.verdicts import CarVerdict, ItemVerdict
from onceapart.trade.placing import suits
from onceapart.trade.rules import STAGES, Item, Stage, places_of_item
from onceapart.workshop import CORNERS, Layout, corners_of

RING = (
    "cabin",
    "engine-bay",
    "front",
    "front-left",
    "left",
    "rear-left",
    "rear",
    "boot",
    "rear-right",
    "right",
    "front-right",
    "underside",
    "all",
)
"""Places as one comes by them walking once round the car; what is underneath, and the car as such, last."""


class Why(StrEnum):
    """Why something is looked at on a walk."""

    NEW = "not checked yet"
    OPEN = "something of the car is not known"
    FLAGGED = "its reading can't be right"
    OLD = "last looked at over a year ago"
    WEARS = "may reach its limit by the inspection"
    AGAIN = "looked at before"


@dataclass(frozen=True)
class Task:
    """One thing to look at, at one place."""

    item: Item
    place: str
    why: Why
    last: ItemVerdict | None = None
    """What is known of it, with its limits."""


@dataclass(frozen=True)
class Stop:
    """One place on a walk, with what is looked at there, and what then with the wheel off."""

    place: str
    tasks: tuple[Task, ...]
    wheel_off: tuple[Task, ...] = ()
    takes_wheel_off: bool = False
    """Whether the wheel comes off here; it goes on again when all has been looked at."""


@dataclass(frozen=True)
class Leg:
    """One walk round the car, or one drive, with the car as it then stands."""

    state: str
    """``cold``, ``on-the-ground``, ``engine-running``, ``on-the-road`` or ``on-stands``."""
    stops: tuple[Stop, ...]

    @property
    def tasks(self) -> tuple[Task, ...]:
        """Everything looked at on it, in order."""
        return tuple(task for stop in self.stops for task in (*stop.tasks, *stop.wheel_off))

    @property
    def wheels_off(self) -> tuple[str, ...]:
        """Corners whose wheel comes off, in order."""
        return tuple(stop.place for stop in self.stops if stop.takes_wheel_off)


def walk_round(verdict: CarVerdict, *, everything: bool = False) -> tuple[Leg, ...]:
    """What to look at on a car, in the order in which to go round it.

    Parameters
    ----------
    verdict : CarVerdict
    everything : bool
        All items of the pack, and not only what is not checked, in doubt, old or close to its limit.

    Returns
    -------
    tuple of Leg
        Cold first, then engine running, on the road, and last on stands, where each wheel comes off at most
        once. What is seen on the ground with the engine off is taken along on the cold walk, if there is one.
        Empty if there is nothing to look at.
    """
    return legs_of(tasks_for(verdict, everything=everything))


def tasks_for(verdict: CarVerdict, *, everything: bool = False) -> tuple[Task, ...]:
    """What to look at, in the order of the pack."""
    layout = verdict.car.layout or Layout()
    found: dict[tuple[str, str], Task] = {
        one.key: Task(one.item, one.place, Why.NEW, one) for one in verdict.unchecked
    }
    flagged = {(flag.finding.item, flag.finding.place) for flag in verdict.flagged}
    for key, task in found.items():
        if any(item == key[0] and place in (None, "all", key[1]) for item, place in flagged):
            found[key] = Task(task.item, task.place, Why.FLAGGED, task.last)
    for one in verdict.verdicts:
        place = one.place if one.place in places_of_item(one.item) else _whole(one)
        why = _why(one)
        if why is not None or everything:
            found.setdefault((one.item.id, place), Task(one.item, place, why or Why.AGAIN, one))
    order = {item.id: at for at, item in enumerate(verdict.pack.items)}
    tasks = [task for task in found.values() if suits(task.item.suits, layout, task.place)]
    return tuple(sorted(tasks, key=lambda task: (order[task.item.id], RING.index(task.place))))


def _whole(one: ItemVerdict) -> str:
    """The place of the item that a part of it belongs to."""
    return one.readings[-1].spots[0] if one.readings else one.place


def _why(one: ItemVerdict) -> Why | None:
    """Why to look again at something that was looked at; None if there is no need."""
    if one.verdict is Verdict.NOT_CHECKED:
        return Why.OPEN
    if one.projection is not None and one.projection.becomes.rank <= one.verdict.rank:
        return Why.WEARS
    if one.is_old and one.verdict is Verdict.PASSES:
        return Why.OLD
    return None


def legs_of(tasks: Iterable[Task]) -> tuple[Leg, ...]:
    """Tasks laid out into as few walks as can be, in the order in which the car changes how it stands."""
    by_stage: dict[Stage, list[Task]] = {stage: [] for stage in STAGES}
    for task in tasks:
        by_stage[task.item.stage].append(task)
    if by_stage["cold"]:
        by_stage["cold"] += by_stage.pop("on-the-ground")
    legs = [
        Leg(stage, _stops(found))
        for stage, found in by_stage.items()
        if found and stage not in ("on-stands", "wheel-off")
    ]
    up = _stops_on_stands(by_stage["on-stands"], by_stage["wheel-off"])
    return (*legs, *([Leg("on-stands", up)] if up else []))


def _stops(tasks: Sequence[Task]) -> tuple[Stop, ...]:
    """Tasks by place, in walking order."""
    places = sorted({task.place for task in tasks}, key=RING.index)
    return tuple(Stop(place, tuple(task for task in tasks if task.place == place)) for place in places)


def _stops_on_stands(tasks: Sequence[Task], wheel_off: Sequence[Task]) -> tuple[Stop, ...]:
    """Corners first, each with its wheel on and then off, then what is underneath.

    What takes several wheels off is looked at where the last of them comes off.
    """
    bare: dict[str, list[Task]] = {}
    for task in wheel_off:
        corners = [corner for corner in RING if corner in (corners_of(task.place) or CORNERS)]
        for corner in corners:
            bare.setdefault(corner, [])
        bare[corners[-1]].append(task)
    places = {*(task.place for task in tasks), *bare}
    return tuple(
        Stop(
            place,
            tuple(task for task in tasks if task.place == place),
            tuple(bare.get(place, ())),
            place in bare,
        )
        for place in sorted(places, key=lambda place: (place not in CORNERS, RING.index(place)))
    )
