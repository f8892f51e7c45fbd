"""What a recipe means at one place of one car: its corners and axles, conditions and ids."""

from __future__ import annotations

from collections.abc import Sequence

from onceapart.trade.schema import Condition, Kind, Per, PlaceOrKind, When
from onceapart.workshop import CORNERS, PLACES, Layout, axle_of, corners_of

AXLES = ("front", "rear")
_WORDS = {
    "strut": "struts",
    "double-wishbone": "double wishbones",
    "beam": "a beam axle",
    "live-axle": "a live axle",
    "trailing-arm": "trailing arms",
}


def axles_in(place: str) -> tuple[str, ...]:
    """Axles that a place touches, front first; none for a place without wheels.

    >>> axles_in("rear-left"), axles_in("left"), axles_in("cabin")
    (('rear',), ('front', 'rear'), ())
    """
    return tuple(dict.fromkeys(corner.split("-")[0] for corner in corners_of(place)))


def spots(per: Per, place: str) -> tuple[str, ...]:
    """Places that something is done at, or counted for, when a job is done at a place.

    Parameters
    ----------
    per : {"corner", "axle", "car", "job"}
        What one of it is for.
    place : str
        Where the job is done.

    Returns
    -------
    tuple of str
        ``all`` stands for the car as such.

    Examples
    --------
    >>> spots("corner", "front"), spots("axle", "front-left"), spots("car", "front-left")
    (('front-left', 'front-right'), ('front',), ('all',))
    """
    if per == "corner":
        return corners_of(place)
    if per == "axle":
        return axles_in(place)
    return ("all",) if per == "car" else (place,)


def placed_id(car: str, place: str, name: str) -> str:
    """Id of something at a place of a car; ``all`` is not written.

    >>> placed_id("wren", "front-left", "wheel"), placed_id("wren", "all", "wheel-alignment")
    ('wren/front-left/wheel', 'wren/wheel-alignment')
    """
    return f"{car}/{name}" if place == "all" else f"{car}/{place}/{name}"


def narrowed(kind: Kind | None, spot: str) -> str:
    """Place that names something at a spot: its corner, its axle, the car, or the spot as it is."""
    if kind == "car":
        return "all"
    if kind == "axle":
        return axle_of(spot) or spot
    return spot


def places_of(places: tuple[PlaceOrKind, ...]) -> tuple[str, ...]:
    """Every place that a recipe's ``places`` stand for, in the order of ``PLACES``."""
    meant = {*places}
    if "corner" in meant:
        meant |= {*CORNERS}
    if "axle" in meant:
        meant |= {*AXLES}
    return tuple(place for place in PLACES if place in meant)


def holds(condition: Condition, layout: Layout, spot: str, place: str) -> bool:
    """Whether a condition holds at a spot of a car, of a job that is done at a place.

    At a spot with both axles it is enough that it holds for one.
    """
    return not condition or any(_holds_on(condition, layout, axle, place) for axle in _axles_or_none(spot))


def suits(condition: Condition, layout: Layout, place: str) -> bool:
    """Whether a condition holds at a place, for both axles if it takes in both."""
    return not condition or all(_holds_on(condition, layout, axle, place) for axle in _axles_or_none(place))


def is_driven(layout: Layout, axle: str) -> bool:
    """Whether an axle is driven.

    >>> is_driven(Layout(), "front"), is_driven(Layout(), "rear")
    (True, False)
    """
    return layout.drive in (axle, "all")


def brakes_on(layout: Layout, axle: str) -> str:
    """``disc`` or ``drum``."""
    return layout.front_brakes if axle == "front" else layout.rear_brakes


def suspension_on(layout: Layout, axle: str) -> str:
    """Kind of suspension of an axle, as the layout names it."""
    return layout.front_suspension if axle == "front" else layout.rear_suspension


def condition_in_words(condition: Condition) -> str:
    """What a condition asks for; empty if nothing.

    >>> sprung = When(axle="rear", driven=True, suspension=("strut", "beam"))
    >>> condition_in_words((sprung, When(fuel="diesel")))
    'a driven rear axle with struts or a beam axle, or a diesel engine'
    """
    return ", or ".join(_when_in_words(when) for when in condition)


def layout_in_words(layout: Layout, place: str) -> str:
    """How the car is built at a place, as far as conditions ask for it."""
    said = [
        f"{axle}: {brakes_on(layout, axle)} brakes, "
        f"{'driven' if is_driven(layout, axle) else 'not driven'}, {_WORDS[suspension_on(layout, axle)]}"
        for axle in axles_in(place)
    ]
    return "; ".join([*said, layout.fuel])


def _axles_or_none(place: str) -> tuple[str | None, ...]:
    return axles_in(place) or (None,)


def _holds_on(condition: Condition, layout: Layout, axle: str | None, place: str) -> bool:
    return any(_when_holds(when, layout, axle, place) for when in condition)


def _when_holds(when: When, layout: Layout, axle: str | None, place: str) -> bool:
    if when.fuel and layout.fuel not in when.fuel:
        return False
    if when.place and place not in places_of(when.place):
        return False
    if axle is None:  # nothing can be said of wheels where there are none
        return not (when.axle or when.driven is not None or when.brakes or when.suspension)
    return (
        (not when.axle or axle in when.axle)
        and (when.driven is None or when.driven == is_driven(layout, axle))
        and (not when.brakes or brakes_on(layout, axle) in when.brakes)
        and (not when.suspension or suspension_on(layout, axle) in when.suspension)
    )


def _when_in_words(when: When) -> str:
    with_what = []
    if when.brakes:
        with_what.append(f"{_or(when.brakes)} brakes")
    if when.suspension:
        with_what.append(_or([_WORDS[kind] for kind in when.suspension]))
    of_the_car = []
    if when.fuel:
        of_the_car.append(f"a {_or(when.fuel)} engine")
    if when.place:
        of_the_car.append(f"the place {_or(when.place)}")
    if when.axle:
        axle = f"a {'driven ' if when.driven else ''}{_or(when.axle)} axle"
        axle += " that is not driven" if when.driven is False else ""
        return " and ".join([" with ".join([axle, *with_what]), *of_the_car])
    if when.driven is not None:
        with_what.insert(0, "driven wheels" if when.driven else "wheels that are not driven")
    return " and ".join([*with_what, *of_the_car])


def _or(words: Sequence[str]) -> str:
    """Words as one says them: "a", "a or b", "a, b or c"."""
    return " or ".join(part for part in (", ".join(words[:-1]), words[-1]) if part)
