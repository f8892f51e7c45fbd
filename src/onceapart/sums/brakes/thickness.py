"""Thickness of a disc: how uneven, how far worn, how many sets of pads it has left."""

from __future__ import annotations

from collections.abc import Sequence

from onceapart.errors import SumError


def variation_um(readings_mm: Sequence[float]) -> float:
    r"""Thickness variation of a disc from readings round it.

    Parameters
    ----------
    readings_mm : sequence of float
        Thickness at places spread evenly round the disc, at one radius. [mm]

    Returns
    -------
    float
        Thickest less thinnest. [µm]

    Notes
    -----
    :math:`\max h - \min h`; a lower bound, as the true extremes may lie between the places.

    Examples
    --------
    >>> variation_um([21.43, 21.42, 21.44, 21.43])
    20.0

    References
    ----------
    .. [1] None: it is the meaning of the word.
    """
    if len(readings_mm) < 2:
        raise SumError(f"{len(readings_mm)} reading: variation needs at least 2; take 8 round the disc")
    # Rounded to far below any gauge, so that 10 µm read is 10 µm at a limit of 10.
    return round((max(readings_mm) - min(readings_mm)) * 1000, 6)


def share_worn(new_mm: float, now_mm: float, minimum_mm: float) -> float:
    r"""Share of a disc's wear allowance that is used up.

    Parameters
    ----------
    new_mm, now_mm, minimum_mm : float
        Thickness as new, at its thinnest now, and the minimum marked on it. [mm]

    Returns
    -------
    float
        0 as new, 1 at the minimum, more below it. [-]

    Notes
    -----
    :math:`(h_0 - h) / (h_0 - h_{min})`.

    Examples
    --------
    >>> share_worn(22, 21, 20)
    0.5

    References
    ----------
    .. [1] None: it is the meaning of the word.
    """
    if minimum_mm >= new_mm:
        rule = f"must be less than the {new_mm:g} mm of a new disc"
        raise SumError(f"minimum {minimum_mm:g} mm: {rule}; read the marks again")
    if now_mm > new_mm:
        rule = f"cannot be thicker than a new one of {new_mm:g} mm"
        raise SumError(f"disc {now_mm:g} mm: {rule}; measure in the band the pad touches, not at the lip")
    return (new_mm - now_mm) / (new_mm - minimum_mm)


def pad_sets_left(new_mm: float, now_mm: float, minimum_mm: float, sets_worn: float) -> float:
    r"""Sets of pads a disc outlasts if it goes on wearing as it did.

    Parameters
    ----------
    new_mm, now_mm, minimum_mm : float
        Thickness as new, at its thinnest now, and the minimum marked on it. [mm]
    sets_worn : float
        Sets of pads worn out on this disc so far. [-]

    Returns
    -------
    float
        Sets until the minimum; 0 at or below it. [-]

    Notes
    -----
    :math:`n (h - h_{min}) / (h_0 - h)`.

    Examples
    --------
    >>> pad_sets_left(22, 21, 20, 2)
    2.0

    References
    ----------
    .. [1] None: the wear so far is carried on.
    """
    worn = share_worn(new_mm, now_mm, minimum_mm)
    if sets_worn <= 0 or worn == 0:
        raise SumError("no wear yet: nothing to carry on from; leave out the sets of pads worn")
    return max(0.0, sets_worn * (1 - worn) / worn)
