"""Points and lines of the front view.

A point is a complex number, millimetres out from the middle of the car plus millimetres up from the road
times ``1j``: turning is then multiplying. A line or a point that may lie at infinity is three homogeneous
figures.
"""

from __future__ import annotations

import cmath
import math

from onceapart.errors import SumError

Line = tuple[float, float, float]
"""a, b, c of the line a y + b z + c = 0; also (Y, Z, W) of the point (Y/W, Z/W)."""


class UnreachableError(SumError):
    """No position of the linkage is like that."""


def turn_between(before: complex, after: complex) -> float:
    r"""Angle by which one direction was turned into another.

    Parameters
    ----------
    before, after : complex
        Directions, of any length.

    Returns
    -------
    float
        Turn, anticlockwise, within half a turn either way. [rad]

    Notes
    -----
    :math:`\arg(a / b)`.

    Examples
    --------
    >>> round(turn_between(1, 1j), 4)
    1.5708

    References
    ----------
    .. [1] Geometry; no document.
    """
    return cmath.phase(after / before)


def circle_crossings(
    centre: complex, radius_mm: float, other: complex, other_radius_mm: float
) -> tuple[complex, complex]:
    """Where two circles cross: first the crossing to the left of the way from centre to other.

    Raises
    ------
    UnreachableError
        The circles do not cross: a link is too short or too long to reach.
    """
    apart = abs(other - centre)
    if apart == 0:
        raise SumError("two joints lie on the same spot; check the coordinates")
    along = (radius_mm**2 - other_radius_mm**2 + apart**2) / (2 * apart)
    square = radius_mm**2 - along**2
    if square < 0:
        raise UnreachableError("the arms do not reach that far")
    across = math.sqrt(square)
    unit = (other - centre) / apart
    return centre + complex(along, across) * unit, centre + complex(along, -across) * unit


def line_through(first: complex, second: complex) -> Line:
    """The line through two points."""
    return cross((first.real, first.imag, 1.0), (second.real, second.imag, 1.0))


def line_across(point: complex, direction: complex) -> Line:
    """The line through a point at right angles to a direction."""
    return direction.real, direction.imag, -(direction.real * point.real + direction.imag * point.imag)


def cross(first: Line, second: Line) -> Line:
    """The point where two lines meet, or the line through two points."""
    (a, b, c), (d, e, f) = first, second
    return b * f - c * e, c * d - a * f, a * e - b * d
