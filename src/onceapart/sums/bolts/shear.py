"""Shear across a bolt, and how much of it the clamping carries by friction."""

from __future__ import annotations

import math

from onceapart.errors import SumError
from onceapart.sums.bolts.strength import Strength

SHEAR_SHARE = 0.577
"""Shear over tensile strength by distortion energy: seen for yield in a code excerpt; for ultimate, from
memory."""
EUROCODE_FACTOR = 1.25
"""gamma-M2 of EN 1993-1-8, from memory."""


def shank_area_mm2(diameter_mm: float) -> float:
    r"""Cross-section of the plain shank.

    Parameters
    ----------
    diameter_mm : float
        Shank diameter. [mm]

    Returns
    -------
    float
        Area. [mm²]

    Notes
    -----
    :math:`\pi d^2 / 4`.

    Examples
    --------
    >>> round(shank_area_mm2(10), 2)
    78.54

    References
    ----------
    .. [1] Geometry; no document.
    """
    return math.pi / 4 * diameter_mm**2


def shear_load_n(area_mm2: float, tensile_mpa: float, planes: int = 1) -> float:
    r"""Load that shears a bolt through.

    Parameters
    ----------
    area_mm2 : float
        Area in the plane of shear: shank, or stress area where the thread lies in it. [mm²]
    tensile_mpa : float
        Least tensile strength of the class. [MPa]
    planes : int
        Planes that share the load: 1, or 2 in a fork. [-]

    Returns
    -------
    float
        Least load across the bolt at which it shears. [N]

    Notes
    -----
    :math:`F_s = 0.577 R_m A n`, the share by distortion energy.

    Examples
    --------
    >>> round(shear_load_n(shank_area_mm2(10), 800) / 1000, 1)
    36.3

    References
    ----------
    .. [1] Distortion energy; 0.577 of the yield seen in a code excerpt, of the tensile strength from memory.
    """
    if planes < 1:
        raise SumError(f"{planes} planes of shear: must be 1 or more; a fork has 2")
    return SHEAR_SHARE * tensile_mpa * area_mm2 * planes


def eurocode_shear_n(strength: Strength, area_mm2: float, *, thread_in_plane: bool) -> float:
    r"""Design shear resistance of one plane, the figure a structural engineer would allow.

    Parameters
    ----------
    strength : Strength
        Class of the bolt.
    area_mm2 : float
        Area in the plane of shear. [mm²]
    thread_in_plane : bool
        Whether the thread lies in the plane of shear.

    Returns
    -------
    float
        Design resistance. [N]

    Notes
    -----
    :math:`F_{v,Rd} = \alpha_v f_{ub} A / 1.25`; :math:`\alpha_v` is 0.6, but 0.5 with the thread in the
    plane for classes 4.8, 5.8, 6.8 and 10.9 [1]_. The standard has no 9.8, 12.9 or stainless: 0.5 is taken
    for them.

    Examples
    --------
    >>> from onceapart.sums.bolts.designation import parse_bolt
    >>> bolt = parse_bolt("M10 8.8")
    >>> round(eurocode_shear_n(bolt.strength, 58.0, thread_in_plane=True))
    22272

    References
    ----------
    .. [1] EN 1993-1-8, Table 3.4 (from memory).
    """
    softer = {"4.6", "5.6", "8.8"}
    share = 0.6 if strength.name in softer or not thread_in_plane else 0.5
    return share * strength.tensile_mpa * area_mm2 / EUROCODE_FACTOR


def slip_load_n(preload_n: float, friction: float, faces: int = 1) -> float:
    r"""Load across a clamped joint that friction carries before the parts slip.

    Parameters
    ----------
    preload_n : float
        Clamping force. [N]
    friction : float
        Friction between the clamped parts: 0.15 to 0.20 for plain steel. [-]
    faces : int
        Rubbing faces that share the load. [-]

    Returns
    -------
    float
        Load at which the joint slips. [N]

    Notes
    -----
    :math:`F = \mu F_i n`. A sound joint works below this, and the bolt then feels no shear.

    Examples
    --------
    >>> slip_load_n(25000, 0.15)
    3750.0

    References
    ----------
    .. [1] Friction of plain steel 0.15 to 0.20 (from memory).
    """
    return friction * preload_n * faces
