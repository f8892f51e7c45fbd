"""How much of a bolt is thread, and what thickness it can therefore clamp."""

from __future__ import annotations

import math
from dataclasses import dataclass

from onceapart.errors import SumError
from onceapart.sums.bolts.threads import MM_PER_INCH, Thread

RUNOUT_PITCHES = 5
"""Pitches between the last full thread and the full shank at most; ISO 4014 table notes, from memory."""
HEAD_GAP_PITCHES = 3
"""Pitches left plain under the head of a bolt threaded to the head, at most; ISO 4017, from memory."""
LEAST_PROTRUSION_PITCHES = 1
"""Naval Ships' Technical Manual ch. 075 (two pages quote it): at least one thread past the nut."""
MOST_PROTRUSION_PITCHES = 10
"""Same: never more than ten; up to five where practicable."""


A_HAIR_MM = 1e-6
"""Differences below this are rounding of the computer."""


@dataclass(frozen=True)
class Threaded:
    """Where the thread of a bolt is, measured from under the head."""

    shank_mm: float
    """Full plain shank, at least."""
    thread_from_mm: float
    """The last full thread towards the head is no further from it than this, at most."""


def thread_length_mm(diameter_mm: float, length_mm: float) -> float:
    r"""Thread length of a metric bolt with a plain shank.

    Parameters
    ----------
    diameter_mm, length_mm : float
        Nominal thread diameter; nominal length under the head. [mm]

    Returns
    -------
    float
        Nominal length of thread b, measured from the end. [mm]

    Notes
    -----
    :math:`b = 2d + 6` up to 125 mm, :math:`2d + 12` up to 200 mm, :math:`2d + 25` above [1]_.

    Examples
    --------
    >>> thread_length_mm(10, 60), thread_length_mm(10, 150)
    (26, 32)

    References
    ----------
    .. [1] ISO 4014, table of dimensions; M5 to M10 seen in an AS 1110.1 / ISO 4014 table, the rest by the
       formula.
    """
    if not 0 < diameter_mm < length_mm:
        raise SumError(
            f"length {length_mm:g} mm: less than the {diameter_mm:g} mm across; measure under the head"
        )
    extra = 6 if length_mm <= 125 else 12 if length_mm <= 200 else 25
    return 2 * diameter_mm + extra


def unified_thread_length_mm(diameter_mm: float, length_mm: float) -> float:
    r"""Thread length of an inch cap screw with a plain shank.

    Parameters
    ----------
    diameter_mm, length_mm : float
        Nominal thread diameter; nominal length under the head. [mm]

    Returns
    -------
    float
        Nominal length of thread, measured from the end. [mm]

    Notes
    -----
    :math:`2D + 1/4` in up to 6 in, :math:`2D + 1/2` in above [1]_.

    Examples
    --------
    >>> round(unified_thread_length_mm(9.525, 50.8), 2)
    25.4

    References
    ----------
    .. [1] ASME B18.2.1 (from memory).
    """
    if not 0 < diameter_mm < length_mm:
        raise SumError(
            f"length {length_mm:g} mm: less than the {diameter_mm:g} mm across; measure under the head"
        )
    return 2 * diameter_mm + (0.25 if length_mm <= 6 * MM_PER_INCH else 0.5) * MM_PER_INCH


def threaded(
    thread: Thread, length_mm: float, *, is_fully_threaded: bool, measured_mm: float | None = None
) -> Threaded:
    """Where the thread is, by the standard or from a measured thread length.

    Parameters
    ----------
    thread : Thread
        The bolt's thread.
    length_mm : float
        Length under the head. [mm]
    is_fully_threaded : bool
        Threaded to the head (ISO 4017) rather than with a plain shank (ISO 4014).
    measured_mm : float, optional
        Length of full thread measured from the end; goes before the standard. [mm]

    Examples
    --------
    >>> from onceapart.sums.bolts.designation import parse_bolt
    >>> threaded(parse_bolt("M10").thread, 60, is_fully_threaded=False)
    Threaded(shank_mm=26.5, thread_from_mm=34.0)
    """
    pitch = thread.pitch_mm
    head_gap = HEAD_GAP_PITCHES * pitch
    if measured_mm is not None:
        if measured_mm > length_mm:
            raise SumError(
                f"thread {measured_mm:g} mm: more than the {length_mm:g} mm bolt; measure from its end"
            )
        start = length_mm - measured_mm
    elif is_fully_threaded:
        start = 0.0
    else:
        formula = thread_length_mm if thread.system == "metric" else unified_thread_length_mm
        start = length_mm - formula(thread.diameter_mm, length_mm)
    if start <= head_gap:  # threaded to the head, or as good as
        return Threaded(0.0, head_gap)
    return Threaded(max(0.0, start - RUNOUT_PITCHES * pitch), start)


def protrusion_mm(length_mm: float, stack_mm: float, nut_mm: float) -> float:
    r"""How far the end of a bolt stands out of its nut.

    Parameters
    ----------
    length_mm, stack_mm, nut_mm : float
        Bolt length under the head; thickness between head and nut, washers included; nut height. [mm]

    Returns
    -------
    float
        Length showing past the nut; below nought the nut is not full. [mm]

    Notes
    -----
    At least one thread should show, as the end of a bolt is incomplete; up to five where practicable and
    never more than ten [1]_.

    Examples
    --------
    >>> round(protrusion_mm(40, 22 + 2 * 2.2, 8.4), 1)
    5.2

    References
    ----------
    .. [1] Naval Ships' Technical Manual, ch. 075 (two pages quote it).
    """
    return length_mm - stack_mm - nut_mm


def least_length_mm(stack_mm: float, nut_mm: float, pitch_mm: float, pitches: float = 2.0) -> float:
    r"""Bolt length needed to fill a nut and show some thread.

    Parameters
    ----------
    stack_mm, nut_mm, pitch_mm : float
        Thickness between head and nut, washers included; nut height; thread pitch. [mm]
    pitches : float
        Threads that should show. [-]

    Returns
    -------
    float
        Least length under the head; take the next length sold. [mm]

    Notes
    -----
    :math:`l = t + m + nP`; two full threads is the trade's rule [1]_, one the least [2]_.

    Examples
    --------
    >>> round(least_length_mm(22 + 2 * 2.2, 8.4, 1.5), 1)
    37.8

    References
    ----------
    .. [1] Fastener trade rule, common practice (seen in a technical page).
    .. [2] Naval Ships' Technical Manual, ch. 075 (two pages quote it).
    """
    return stack_mm + nut_mm + pitches * pitch_mm


def washers_to_take_up(shortfall_mm: float, washer_mm: float) -> int:
    r"""Washers that take up a length.

    Parameters
    ----------
    shortfall_mm, washer_mm : float
        Length to take up; thickness of one washer. [mm]

    Returns
    -------
    int
        Least number of washers; none if nothing is to be taken up. [-]

    Notes
    -----
    The quotient rounded up; a thousandth of a millimetre is let pass.

    Examples
    --------
    >>> washers_to_take_up(4.2, 2.0), washers_to_take_up(-1, 2.0)
    (3, 0)

    References
    ----------
    .. [1] Geometry; no document.
    """
    if washer_mm <= 0:
        raise SumError(f"washer {washer_mm:g} mm: must be thicker than nought; measure one")
    return max(0, math.ceil((shortfall_mm - 1e-3) / washer_mm))
