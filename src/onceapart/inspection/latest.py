"""Which readings of an item count: the latest; what was seen on one day counts together."""

from __future__ import annotations

from collections.abc import Iterable

from onceapart.inspection.reading import Reading
from onceapart.workshop import CORNERS, corners_of


def in_order(found: Iterable[Reading]) -> list[Reading]:
    """Readings by day; on one day by odometer if all have one, else as in the file."""
    by_file = sorted(found, key=lambda one: (one.date, -1 if one.index is None else one.index))
    if any(one.odometer_km is None for one in by_file):
        return by_file
    return sorted(by_file, key=lambda one: (one.date, one.odometer_km or 0.0))


def that_count(found: Iterable[Reading]) -> tuple[Reading, ...]:
    """Those of the readings of one item at one spot that say how it stands now.

    A later reading takes the place of an earlier one. On one day faults add up until something is measured
    or said to be sound. On an item of an axle or the car, what was found at a part of it stays until that
    part, or the whole, is looked at again.
    """
    kept: list[Reading] = []
    for new in in_order(found):
        kept = [old for old in kept if not _replaces(new, old)]
        kept.append(new)
    return tuple(kept)


def _replaces(new: Reading, old: Reading) -> bool:
    if new.item.at != "corner" and not _covers(new, old):
        return False
    return new.date > old.date or new.amount is not None or new.is_sound or old.is_sound


def _covers(new: Reading, old: Reading) -> bool:
    """Whether a reading is of the same part of its item as another, or of more."""
    if is_of_the_whole(new) or new.place == old.place:
        return True
    inner = set(corners_of(old.place))
    return bool(inner) and inner <= set(corners_of(new.place))


def is_of_the_whole(reading: Reading) -> bool:
    """Whether a reading is of all of its item, and not of a part of it only."""
    if reading.item.at == "axle":
        return reading.place not in CORNERS
    return reading.item.at == "corner" or reading.place in ("all", reading.item.place)
