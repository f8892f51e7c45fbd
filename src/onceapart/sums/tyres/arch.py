"""Room for the tyre in the wheel arch."""

from __future__ import annotations

import math

from onceapart.sums.result import Band
from onceapart.sums.tyres import dimensions


def radius_gain_mm(old_diameter_mm: Band, new_diameter_mm: Band) -> Band:
    r"""How much further the tread reaches out from the hub.

    Parameters
    ----------
    old_diameter_mm, new_diameter_mm : Band
        Overall diameters: least, expected, most. [mm]

    Returns
    -------
    Band
        Gain in radius: smallest new on largest old, as expected, largest new on smallest old. [mm]

    Notes
    -----
    :math:`(D_2 - D_1) / 2`.

    Examples
    --------
    >>> radius_gain_mm(Band(620, 620, 620), Band(628, 635, 645))
    Band(low=4.0, typical=7.5, high=12.5)

    References
    ----------
    .. [1] Geometry; no document.
    """
    return Band(
        (new_diameter_mm.low - old_diameter_mm.high) / 2,
        (new_diameter_mm.typical - old_diameter_mm.typical) / 2,
        (new_diameter_mm.high - old_diameter_mm.low) / 2,
    )


def fitted_diameter_mm(new: Band, tread_mm: float | None, measured_mm: float | None) -> Band:
    """Overall diameter of the tyre on the car, as well as it is known.

    Parameters
    ----------
    new : Band
        Diameter of its size when new. [mm]
    tread_mm : float or None
        Tread left, if measured. [mm]
    measured_mm : float or None
        Diameter, if measured with a tape. [mm]

    Returns
    -------
    Band
        Diameter: worn to the limit, or by its tread, or as measured. [mm]

    Notes
    -----
    Without a tread depth the least is the smallest of its size, worn to 1.6 mm.

    Examples
    --------
    >>> fitted_diameter_mm(Band(627, 635, 645), None, 631.0)
    Band(low=631.0, typical=631.0, high=631.0)

    References
    ----------
    .. [1] Geometry; new tread 8 mm is common practice.
    """
    if measured_mm is not None:
        return Band(measured_mm, measured_mm, measured_mm)
    if tread_mm is not None:
        loss = new.typical - dimensions.worn_diameter_mm(new.typical, tread_mm)
        return Band(new.low - loss, new.typical - loss, new.high - loss)
    most_loss = 2 * (dimensions.NEW_TREAD_MM - dimensions.WORN_TREAD_MM)
    return Band(new.low - most_loss, new.typical, new.high)


def sidewall_reach_mm(width_mm: float, offset_mm: float, *, inwards: bool) -> float:
    r"""How far the sidewall reaches from the face the wheel is bolted to.

    Parameters
    ----------
    width_mm : float
        Section width on its rim. [mm]
    offset_mm : float
        Offset of the wheel (ET): its middle lies so far inboard of the mounting face. [mm]
    inwards : bool
        Towards the strut rather than towards the wing.

    Returns
    -------
    float
        Reach. [mm]

    Notes
    -----
    Half the width, with the offset added inwards and taken off outwards.

    Examples
    --------
    >>> sidewall_reach_mm(200, 35, inwards=True), sidewall_reach_mm(200, 35, inwards=False)
    (135.0, 65.0)

    References
    ----------
    .. [1] Geometry; the sign of ET is common practice.
    """
    return width_mm / 2 + (offset_mm if inwards else -offset_mm)


def side_gap_mm(
    gap_mm: float,
    old_width_mm: Band,
    new_width_mm: Band,
    old_offset_mm: float,
    new_offset_mm: float,
    *,
    inwards: bool,
) -> Band:
    """Gap left beside the sidewall.

    Parameters
    ----------
    gap_mm : float
        Gap measured on the car as it is. [mm]
    old_width_mm, new_width_mm : Band
        Widths on their rims. [mm]
    old_offset_mm, new_offset_mm : float
        Offsets of the two wheels (ET). [mm]
    inwards : bool
        The gap to strut or spring rather than to the wing.

    Returns
    -------
    Band
        Gap: widest new tyre, both as designed, widest old tyre. [mm]

    Examples
    --------
    >>> side_gap_mm(20, Band(190, 190, 190), Band(200, 200, 208), 35, 35, inwards=True)
    Band(low=11.0, typical=15.0, high=15.0)

    References
    ----------
    .. [1] Geometry; no document.
    """

    def left(old: float, new: float) -> float:
        before = sidewall_reach_mm(old, old_offset_mm, inwards=inwards)
        return gap_mm + before - sidewall_reach_mm(new, new_offset_mm, inwards=inwards)

    return Band(
        left(old_width_mm.low, new_width_mm.high),
        left(old_width_mm.typical, new_width_mm.typical),
        left(old_width_mm.high, new_width_mm.low),
    )


def tread_gap_mm(gap_mm: float, gain_mm: Band, bump_mm: float = 0.0) -> Band:
    r"""Gap left over the tread.

    Parameters
    ----------
    gap_mm : float
        Gap measured on the car as it is, standing on its wheels. [mm]
    gain_mm : Band
        Gain in radius. [mm]
    bump_mm : float
        Travel left to the bump stop, pressed. [mm]

    Returns
    -------
    Band
        Gap with the suspension on its stop. [mm]

    Notes
    -----
    Measured gap less travel and gain. The wheel is taken to come up as far as the travel.

    Examples
    --------
    >>> tread_gap_mm(90, Band(4, 7.5, 12.5), bump_mm=60.5)
    Band(low=17.0, typical=22.0, high=25.5)

    References
    ----------
    .. [1] Geometry; no document.
    """
    room = gap_mm - bump_mm
    return Band(room - gain_mm.high, room - gain_mm.typical, room - gain_mm.low)


def shoulder_reach_mm(radius_mm: float, reach_mm: float) -> float:
    r"""How far the shoulder of the tyre swings out when the wheel is steered.

    Parameters
    ----------
    radius_mm : float
        Radius of the tread. [mm]
    reach_mm : float
        Distance of the sidewall from the mounting face, where the steering axis is taken to be. [mm]

    Returns
    -------
    float
        Distance of the shoulder from the middle it turns about. [mm]

    Notes
    -----
    :math:`\sqrt{R^2 + w^2}`.

    Examples
    --------
    >>> shoulder_reach_mm(300, 125)
    325.0

    References
    ----------
    .. [1] Geometry; the steering axis through the mounting face is our simplification.
    """
    return math.hypot(radius_mm, reach_mm)


def lock_gap_mm(
    gap_mm: float,
    old_radius_mm: Band,
    new_radius_mm: Band,
    old_width_mm: Band,
    new_width_mm: Band,
    old_offset_mm: float,
    new_offset_mm: float,
) -> Band:
    """Gap left at full lock, at the shoulder that gains most.

    Parameters
    ----------
    gap_mm : float
        Least gap at full lock, measured on the car as it is. [mm]
    old_radius_mm, new_radius_mm : Band
        Radii of the two tyres. [mm]
    old_width_mm, new_width_mm : Band
        Widths on their rims. [mm]
    old_offset_mm, new_offset_mm : float
        Offsets of the two wheels (ET). [mm]

    Returns
    -------
    Band
        Gap: largest new on smallest old, as expected, smallest new on largest old. [mm]

    Examples
    --------
    >>> same = Band(300, 300, 300), Band(300, 300, 300), Band(190, 190, 190), Band(190, 190, 190)
    >>> lock_gap_mm(15, *same, 35, 35).typical
    15.0

    References
    ----------
    .. [1] Geometry; no document.
    """

    def gain(old: tuple[float, float], new: tuple[float, float]) -> float:
        return max(
            shoulder_reach_mm(new[0], sidewall_reach_mm(new[1], new_offset_mm, inwards=inwards))
            - shoulder_reach_mm(old[0], sidewall_reach_mm(old[1], old_offset_mm, inwards=inwards))
            for inwards in (True, False)
        )

    most = gain((old_radius_mm.low, old_width_mm.low), (new_radius_mm.high, new_width_mm.high))
    usual = gain((old_radius_mm.typical, old_width_mm.typical), (new_radius_mm.typical, new_width_mm.typical))
    least = gain((old_radius_mm.high, old_width_mm.high), (new_radius_mm.low, new_width_mm.low))
    return Band(gap_mm - most, gap_mm - usual, gap_mm - least)
