"""How much thread must be engaged so that the bolt breaks before a thread strips."""

from __future__ import annotations

import math
from dataclasses import dataclass

from onceapart.errors import SumError
from onceapart.sums.bolts.limits import limits_of
from onceapart.sums.bolts.threads import Thread

STRIP_SHARE = 0.5
"""Shear over tensile strength of a thread, as the engagement formula of FED-STD-H28/2B takes it (its factor
2)."""
FLANK = 0.57735
"""tan 30 degrees, of a 60-degree thread."""


@dataclass(frozen=True)
class Metal:
    """What a hole is tapped in."""

    name: str
    tensile_mpa: float
    """Low figure for the kind of metal, from memory; give the real one if it is known."""
    rule: tuple[float, float]
    """Engagement by rule of thumb, in diameters."""


METALS = {
    each.name: each
    for each in (
        Metal("tapped-steel", 370, (1.0, 1.25)),
        Metal("tapped-iron", 200, (1.25, 1.5)),
        Metal("tapped-aluminium", 200, (1.5, 2.0)),
    )
}
"""Strengths: mild steel, grey iron, cast aluminium (from memory). Rules: steel about 1 d, softer 1.5 to 2
d; an engine maker's guide says 1.25 d in steel and iron, 2 d in aluminium (seen on two pages)."""

NUT_CLASSES = {"5": 500.0, "6": 600.0, "8": 800.0, "9": 900.0, "10": 1000.0, "12": 1200.0}
"""Property class of a nut: a hundredth of the tensile strength, MPa, of the strongest bolt it goes with:
ISO 898-2, from memory. Used as the strength of the nut's own thread, which is our simplification."""
THIN_NUT_MPA = 500.0
"""A thin nut is class 04 or 05 whatever bolt it is on: proof 380 or 500 MPa; ISO 898-2, from memory."""


def bolt_thread_area_mm2(thread: Thread, engaged_mm: float) -> float:
    r"""Area along which the bolt's own thread would strip.

    Parameters
    ----------
    thread : Thread
        A thread of the tables, with limits of 6g/6H or 2A/2B.
    engaged_mm : float
        Length of full thread engaged. [mm]

    Returns
    -------
    float
        Shear area at the nut's minor diameter. [mm²]

    Notes
    -----
    :math:`\pi n L K_n \, [1/(2n) + 0.57735 (E_s - K_n)]` with n = 1/P, the largest minor diameter of the nut
    :math:`K_n` and the least pitch diameter of the bolt :math:`E_s`.

    Examples
    --------
    >>> from onceapart.sums.bolts.designation import parse_bolt
    >>> round(bolt_thread_area_mm2(parse_bolt("M10").thread, 7.45))
    116

    References
    ----------
    .. [1] FED-STD-H28/2B, and Machinery's Handbook, 24th ed. (formula quoted); limits from memory.
    """
    slack = limits_of(thread)
    overlap = thread.pitch_mm / 2 + FLANK * (slack.bolt_pitch_min_mm - slack.nut_minor_max_mm)
    return math.pi / thread.pitch_mm * engaged_mm * slack.nut_minor_max_mm * overlap


def hole_thread_area_mm2(thread: Thread, engaged_mm: float) -> float:
    r"""Area along which the thread of the hole or nut would strip.

    Parameters
    ----------
    thread : Thread
        A thread of the tables, with limits of 6g/6H or 2A/2B.
    engaged_mm : float
        Length of full thread engaged. [mm]

    Returns
    -------
    float
        Shear area at the bolt's major diameter. [mm²]

    Notes
    -----
    :math:`\pi n L D_s \, [1/(2n) + 0.57735 (D_s - E_n)]` with n = 1/P, the least major diameter of the bolt
    :math:`D_s` and the largest pitch diameter of the nut :math:`E_n`.

    Examples
    --------
    >>> from onceapart.sums.bolts.designation import parse_bolt
    >>> round(hole_thread_area_mm2(parse_bolt("M10").thread, 7.45))
    161

    References
    ----------
    .. [1] FED-STD-H28/2B, and Machinery's Handbook (this form from memory).
    """
    slack = limits_of(thread)
    overlap = thread.pitch_mm / 2 + FLANK * (slack.bolt_major_min_mm - slack.nut_pitch_max_mm)
    return math.pi / thread.pitch_mm * engaged_mm * slack.bolt_major_min_mm * overlap


def even_engagement_mm(thread: Thread) -> float:
    r"""Engagement at which bolt and hole of equal strength leave the bolt to break.

    Parameters
    ----------
    thread : Thread
        A thread of the tables.

    Returns
    -------
    float
        Length of full thread. [mm]

    Notes
    -----
    :math:`L_e = 2 A_t / \{\pi K_n [1/2 + 0.57735 n (E_s - K_n)]\}`: the bolt's thread area is then twice
    its stress area.

    Examples
    --------
    >>> from onceapart.sums.bolts.designation import parse_bolt
    >>> round(even_engagement_mm(parse_bolt("M10").thread), 1)
    7.5

    References
    ----------
    .. [1] FED-STD-H28/2B, and Machinery's Handbook, 24th ed. (formula quoted).
    """
    return 2 * thread.stress_area_mm2 / bolt_thread_area_mm2(thread, 1.0)


def engagement_needed_mm(thread: Thread, bolt_tensile_mpa: float, hole_tensile_mpa: float) -> float:
    r"""Engagement at which the bolt breaks before either thread strips.

    Parameters
    ----------
    thread : Thread
        A thread of the tables.
    bolt_tensile_mpa, hole_tensile_mpa : float
        Tensile strength of the bolt, and of the metal the hole or nut is in. [MPa]

    Returns
    -------
    float
        Length of full thread; the chamfered end of the bolt does not count. [mm]

    Notes
    -----
    :math:`J = A_s R_{m,bolt} / (A_n R_{m,hole})` compares the two threads at equal length; the length is
    :math:`L_e`, or :math:`J L_e` if the hole's thread is the weaker.

    Examples
    --------
    >>> from onceapart.sums.bolts.designation import parse_bolt
    >>> round(engagement_needed_mm(parse_bolt("M10").thread, 800, 250), 1)
    17.2

    References
    ----------
    .. [1] FED-STD-H28/2B, and Machinery's Handbook, 24th ed. (rule for J above 1 quoted; form of J from
       memory).
    """
    if bolt_tensile_mpa <= 0 or hole_tensile_mpa <= 0:
        raise SumError("strength of bolt and hole: must be above nought; give them in MPa")
    ratio = (bolt_thread_area_mm2(thread, 1.0) * bolt_tensile_mpa) / (
        hole_thread_area_mm2(thread, 1.0) * hole_tensile_mpa
    )
    return max(1.0, ratio) * even_engagement_mm(thread)


def stripping_load_n(
    thread: Thread, engaged_mm: float, bolt_tensile_mpa: float, hole_tensile_mpa: float
) -> float:
    r"""Load at which the weaker of the two threads strips.

    Parameters
    ----------
    thread : Thread
        A thread of the tables.
    engaged_mm : float
        Length of full thread engaged. [mm]
    bolt_tensile_mpa, hole_tensile_mpa : float
        Tensile strength of the bolt, and of the metal the hole or nut is in. [MPa]

    Returns
    -------
    float
        Least stripping load. [N]

    Notes
    -----
    Half the tensile strength times the shear area, as the engagement formula has it, of bolt and hole; the
    less of the two.

    Examples
    --------
    >>> from onceapart.sums.bolts.designation import parse_bolt
    >>> round(stripping_load_n(parse_bolt("M10").thread, 10, 800, 200) / 1000, 1)
    21.6

    References
    ----------
    .. [1] FED-STD-H28/2B, and Machinery's Handbook, 24th ed.
    """
    return STRIP_SHARE * min(
        bolt_tensile_mpa * bolt_thread_area_mm2(thread, engaged_mm),
        hole_tensile_mpa * hole_thread_area_mm2(thread, engaged_mm),
    )


def least_nut_class(strength_name: str) -> str:
    """The nut class that goes with a bolt class: its first number, rounded up to one there is.

    >>> least_nut_class("8.8"), least_nut_class("5.6"), least_nut_class("4.6")
    ('8', '5', '5')
    """
    head = strength_name.partition(".")[0]
    if not head.isdigit():
        return "5"
    return next(name for name in NUT_CLASSES if int(name) >= int(head))
