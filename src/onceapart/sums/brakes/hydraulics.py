"""Fluid moved by pistons: what goes back into the reservoir, and what the pedal must send out again."""

from __future__ import annotations

import math
from collections.abc import Iterable

from onceapart.errors import SumError

RUNNING_CLEARANCE_MM = 0.2
"""How far seals draw a piston back: 0.1 to 0.3 mm, from memory."""
LOST_MOTION_MM = 1.5
"""Travel before the master cylinder shuts its port: 1 to 2 mm, from memory."""
USUAL_STROKES = (2, 3)
"""Strokes until the pedal is hard after pads on an axle: common practice, no source."""
MOST_PEDAL_TRAVEL_PERCENT = 80.0
"""49 CFR 570.5(c), copy seen."""


def bore_area_mm2(diameter_mm: float) -> float:
    r"""Area of a piston or a bore.

    Parameters
    ----------
    diameter_mm : float
        Diameter of the piston. [mm]

    Returns
    -------
    float
        Area the fluid presses on. [mm²]

    Notes
    -----
    :math:`\pi d^2 / 4`.

    Examples
    --------
    >>> round(bore_area_mm2(54))
    2290

    References
    ----------
    .. [1] Geometry; no document.
    """
    if not 0 < diameter_mm < 1000:
        raise SumError(f"diameter {diameter_mm:g} mm: must be above 0 and below 1000 mm; measure the piston")
    return math.pi / 4 * diameter_mm * diameter_mm


def pistons_area_mm2(pistons: Iterable[tuple[float, int]]) -> float:
    r"""Area of all pistons of one caliper or wheel cylinder, both sides together.

    Parameters
    ----------
    pistons : iterable of (float, int)
        Diameter and how many of it. [mm, -]

    Returns
    -------
    float
        Sum of the areas. [mm²]

    Notes
    -----
    Each piston counts, also the ones opposite: all of them move fluid.

    Examples
    --------
    >>> round(pistons_area_mm2([(38, 2), (42, 2)]))
    5039

    References
    ----------
    .. [1] Geometry; no document.
    """
    return math.fsum(count * bore_area_mm2(diameter) for diameter, count in pistons)


def piston_travel_mm(lining_growth_mm: float, disc_growth_mm: float, caliper: str) -> float:
    r"""How far each piston is pushed back to let thicker pads and a thicker disc in.

    Parameters
    ----------
    lining_growth_mm : float
        Thickness of a new pad less that of the old one, mean of inner and outer pad. [mm]
    disc_growth_mm : float
        Thickness of the disc put on less that of the old one. [mm]
    caliper : str
        ``floating``: pistons on one side only. ``fixed``: pistons on both sides.

    Returns
    -------
    float
        Travel of each piston; below nought if the pistons come out further. [mm]

    Notes
    -----
    The pistons of a floating caliper make up for both pads and the whole disc, those of a fixed one each
    for their own pad and half the disc.

    Examples
    --------
    >>> piston_travel_mm(8, 1.5, "floating"), piston_travel_mm(8, 1.5, "fixed")
    (17.5, 8.75)

    References
    ----------
    .. [1] Geometry; no document.
    """
    both = 2 * lining_growth_mm + disc_growth_mm
    if caliper == "floating":
        return both
    if caliper == "fixed":
        return both / 2
    raise SumError(f"caliper {caliper!r}: not known; it is floating or fixed")


def volume_moved_ml(area_mm2: float, travel_mm: float) -> float:
    r"""Fluid moved by pistons.

    Parameters
    ----------
    area_mm2 : float
        Area of all the pistons that move together. [mm²]
    travel_mm : float
        How far each of them moves. [mm]

    Returns
    -------
    float
        Volume; its sign is that of the travel. [ml]

    Notes
    -----
    :math:`V = A s`. Hoses and seals give a little, which is left out.

    Examples
    --------
    >>> round(volume_moved_ml(2 * 2290, 0.5), 2)
    2.29

    References
    ----------
    .. [1] Geometry; no document.
    """
    if area_mm2 <= 0:
        raise SumError(f"area {area_mm2:g} mm²: must be above 0; give the pistons' diameters")
    return area_mm2 * travel_mm / 1000


def level_rise_mm(volume_ml: float, reservoir_cm2: float) -> float:
    r"""Rise of the level in the reservoir.

    Parameters
    ----------
    volume_ml : float
        Fluid that comes back. [ml]
    reservoir_cm2 : float
        Area of the fluid's surface, with straight walls. [cm²]

    Returns
    -------
    float
        Rise. [mm]

    Notes
    -----
    :math:`h = V / A`. Where the walls slope, take the area between the level now and the brim.

    Examples
    --------
    >>> level_rise_mm(30, 40)
    7.5

    References
    ----------
    .. [1] Geometry; no document.
    """
    if reservoir_cm2 <= 0:
        raise SumError(f"reservoir {reservoir_cm2:g} cm²: must be above 0; measure length and width")
    return volume_ml / reservoir_cm2 * 10


def master_stroke_mm(volume_ml: float, bore_mm: float) -> float:
    r"""Stroke of the master cylinder that sends out a volume.

    Parameters
    ----------
    volume_ml : float
        Fluid to be sent out by one chamber. [ml]
    bore_mm : float
        Bore of the master cylinder. [mm]

    Returns
    -------
    float
        Stroke after the port has shut, hoses taken as stiff. [mm]

    Notes
    -----
    :math:`s = \sum V / A`. A wider bore shortens the stroke and takes more force, both by the square.

    Examples
    --------
    >>> round(master_stroke_mm(2.290, 22.2), 2)
    5.92

    References
    ----------
    .. [1] Geometry; no document.
    """
    if volume_ml < 0:
        raise SumError(f"volume {volume_ml:g} ml: cannot be below 0; give the gap the pads have to close")
    return volume_ml * 1000 / bore_area_mm2(bore_mm)


def strokes_to_touch(
    volume_ml: float, bore_mm: float, stroke_mm: float, lost_mm: float = LOST_MOTION_MM
) -> int:
    r"""Pedal strokes until the pads touch the disc.

    Parameters
    ----------
    volume_ml : float
        Fluid the pistons of one chamber need. [ml]
    bore_mm : float
        Bore of the master cylinder. [mm]
    stroke_mm : float
        Stroke of that chamber used each time. [mm]
    lost_mm : float
        Part of each stroke before the port shuts. [mm]

    Returns
    -------
    int
        Whole strokes, the last one not always to its end; 0 if nothing is to be closed. [-]

    Notes
    -----
    :math:`n = \lceil V / (A (s - s_0)) \rceil`. Without air; between strokes the reservoir refills the
    chamber and the pistons stay where they are. The stroke that first makes the pedal hard comes on top
    if the last one ends just as the pads touch.

    Examples
    --------
    >>> strokes_to_touch(9.16, 22.2, 16)
    2

    References
    ----------
    .. [1] Geometry; no document.
    """
    if not 0 <= lost_mm < stroke_mm:
        rule = f"must be more than the {lost_mm:g} mm lost before the port shuts"
        raise SumError(f"stroke {stroke_mm:g} mm: {rule}; measure the pushrod's travel")
    useful = stroke_mm - lost_mm
    # Forgive the last bit of a float: a gap of exactly two strokes takes two.
    return math.ceil(master_stroke_mm(volume_ml, bore_mm) / useful - 1e-9)


def pedal_travel_used_percent(free_mm: float, pressed_mm: float) -> float:
    r"""Share of the pedal's travel that is used up when it is pressed.

    Parameters
    ----------
    free_mm : float
        From the free pedal to the floor or stop. [mm]
    pressed_mm : float
        From the pressed pedal to the floor or stop. [mm]

    Returns
    -------
    float
        Travel used over travel there is. [%]

    Notes
    -----
    :math:`100 (A - B) / A` [1]_.

    Examples
    --------
    >>> pedal_travel_used_percent(150, 60)
    60.0

    References
    ----------
    .. [1] 49 CFR 570.5(c); the quotient is printed in 570.55(c) (copies seen).
    """
    if not 0 <= pressed_mm <= free_mm or free_mm == 0:
        rule = f"must be between 0 and the free height of {free_mm:g} mm"
        raise SumError(f"pressed height {pressed_mm:g} mm: {rule}; measure both from the floor")
    return 100 * (free_mm - pressed_mm) / free_mm
