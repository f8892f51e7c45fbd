"""The closed list of places on a car, and how they contain one another.

Left and right are those of a person sitting in the car and looking ahead (common practice, no source).
"""

from __future__ import annotations

CORNERS: tuple[str, ...] = ("front-left", "front-right", "rear-left", "rear-right")
"""The four wheels, in the order in which everything lists them."""

PLACES: tuple[str, ...] = (
    *CORNERS,
    "front",
    "rear",
    "left",
    "right",
    "all",
    "engine-bay",
    "underside",
    "cabin",
    "boot",
)
"""Every place there is: a corner, an axle, a side, the whole car, or a part of it without wheels."""


def corners_of(place: str) -> tuple[str, ...]:
    """Corners that a place takes in; none for a place without wheels.

    Parameters
    ----------
    place : str
        One of ``PLACES``.

    Returns
    -------
    tuple of str
        In the order of ``CORNERS``.

    Raises
    ------
    ValueError
        If there is no such place.

    Examples
    --------
    >>> corners_of("front"), corners_of("rear-left"), corners_of("boot")
    (('front-left', 'front-right'), ('rear-left',), ())
    >>> corners_of("left")
    ('front-left', 'rear-left')
    """
    if place not in PLACES:
        raise ValueError(f"place {place!r} is not known; use one of {', '.join(PLACES)}")
    if place == "all":
        return CORNERS
    return tuple(corner for corner in CORNERS if place == corner or place in corner.split("-"))


def axle_of(place: str) -> str | None:
    """``front`` or ``rear``, for a corner or an axle; None for a place that has no single axle.

    >>> axle_of("rear-left"), axle_of("front"), axle_of("left")
    ('rear', 'front', None)
    """
    axles = {corner.split("-")[0] for corner in corners_of(place)}
    return axles.pop() if len(axles) == 1 else None


def side_of(place: str) -> str | None:
    """``left`` or ``right``, for a corner or a side; None for a place that has no single side.

    >>> side_of("rear-left"), side_of("right"), side_of("front")
    ('left', 'right', None)
    """
    sides = {corner.split("-")[1] for corner in corners_of(place)}
    return sides.pop() if len(sides) == 1 else None


def other_side(place: str) -> str | None:
    """The same place across the car, for a corner or a side; None for any other.

    >>> other_side("front-left"), other_side("right"), other_side("front")
    ('front-right', 'left', None)
    """
    side = side_of(place)
    if side is None:
        return None
    return place.replace(side, "right" if side == "left" else "left")
