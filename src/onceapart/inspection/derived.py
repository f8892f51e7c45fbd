"""Readings worked out from others: imbalance and efficiency of the brakes from the force at each wheel."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass

from onceapart.errors import SumError
from onceapart.inspection.amounts import in_words, is_plausible, symbol
from onceapart.inspection.latest import that_count
from onceapart.inspection.reading import Reading
from onceapart.sums.brakes.performance import efficiency_percent, imbalance_percent
from onceapart.sums.present import round_significant
from onceapart.sums.quantity import parse_quantity
from onceapart.sums.units import convert
from onceapart.trade.rules import Item, Pack
from onceapart.workshop import CORNERS, Car, corners_of

FORCE, PARKING_FORCE = "brake-force", "handbrake-force"
IMBALANCE = "brake-imbalance"
EFFICIENCY, PARKING_EFFICIENCY = "brake-efficiency", "handbrake-efficiency"


@dataclass(frozen=True)
class Worked:
    """What was worked out, and what could not be for want of something."""

    readings: tuple[Reading, ...]
    missing: Mapping[str, str]
    """Item id -> what it would take, where readings for it are there in part."""
    used: frozenset[str] = frozenset()
    """Items whose readings something was, or is to be, worked out from."""


def work_out(car: Car, pack: Pack, found: Sequence[Reading]) -> Worked:
    """Readings that follow from the brake forces of a car.

    Parameters
    ----------
    car : Car
        Its ``mass`` is what the forces have to stop.
    pack : Pack
        Only items it has are worked out.
    found : sequence of Reading
        Of this car.

    Returns
    -------
    Worked

    Notes
    -----
    Forces of one day are taken together, the latest such day. Imbalance is the difference over the stronger
    wheel, efficiency the sum over the weight: ``sums.brakes.performance``.
    """
    readings: list[Reading] = []
    missing: dict[str, str] = {}
    forces = _forces(found, FORCE)
    item = pack.item(IMBALANCE)
    if item is not None:
        for axle in ("front", "rear"):
            pair = _of_one_day(forces, corners_of(axle))
            if pair is not None and max(pair.values()) > 0:
                readings.append(_imbalance(item, axle, pair, forces))
    for name, source, corners in (
        (EFFICIENCY, forces, CORNERS),
        (PARKING_EFFICIENCY, _forces(found, PARKING_FORCE), corners_of("rear")),
    ):
        item = pack.item(name)
        if item is None or not source:
            continue
        day = _of_one_day(source, corners)
        mass = mass_kg(car)
        if day is None:
            missing[name] = f"the forces of all of {', '.join(corners)}, read on one day"
        elif mass is None:
            missing[name] = f"the car's mass: `mass: 980 kg` at the car {car.id}"
        else:
            readings.extend(_efficiency(item, day, mass, source))
    used = frozenset(one.item.id for one in found) & {FORCE, PARKING_FORCE}
    return Worked(tuple(readings), missing, used)


def mass_kg(car: Car) -> float | None:
    """The mass of a car; None if there is none that can be read. [kg]"""
    if car.mass is None:
        return None
    try:
        found = parse_quantity(car.mass, "kg", "mass")
    except SumError:
        return None
    return found.value if found.has_typed_unit and 100 <= found.value <= 10_000 else None


def _forces(found: Iterable[Reading], name: str) -> dict[str, Reading]:
    """The reading that counts at each corner, of those of the latest day."""
    at: dict[str, list[Reading]] = {}
    for one in found:
        if one.item.id == name and one.amount is not None:
            for spot in one.spots:
                at.setdefault(spot, []).append(one)
    return {spot: that_count(several)[-1] for spot, several in at.items()}


def _of_one_day(forces: Mapping[str, Reading], corners: Sequence[str]) -> dict[str, float] | None:
    """Forces at some corners, if all were read on one day. [kN]"""
    if not all(corner in forces for corner in corners):
        return None
    if len({forces[corner].date for corner in corners}) > 1:
        return None
    return {corner: _kn(forces[corner]) for corner in corners}


def _kn(reading: Reading) -> float:
    assert reading.amount is not None
    return convert(reading.amount, symbol("force", reading.item.unit or "N"), "kN")


def _imbalance(item: Item, axle: str, pair: Mapping[str, float], forces: Mapping[str, Reading]) -> Reading:
    value = imbalance_percent(*pair.values())
    said = " and ".join(f"{round_significant(force)} kN {corner}" for corner, force in pair.items())
    return _reading(item, axle, value, [forces[corner] for corner in pair], f"from {said}")


def _efficiency(
    item: Item, day: Mapping[str, float], mass: float, forces: Mapping[str, Reading]
) -> Iterator[Reading]:
    total = sum(day.values())
    value = efficiency_percent(total, mass)
    if is_plausible(value, item):
        said = f"from {round_significant(total)} kN in all on {round_significant(mass, 4)} kg"
        yield _reading(item, item.place, value, [forces[corner] for corner in day], said)


def _reading(item: Item, place: str, value: float, parts: Sequence[Reading], said: str) -> Reading:
    last = parts[-1]
    odometers = [one.odometer_km for one in parts if one.odometer_km is not None]
    return Reading(
        item=item,
        place=place,
        spots=(place,),
        amount=value,
        words=(),
        date=last.date,
        odometer_km=max(odometers, default=None),
        text=in_words(value, item),
        index=None,
        worked_out=said,
    )
