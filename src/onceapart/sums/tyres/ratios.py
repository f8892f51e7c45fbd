"""What the ratio of two tyre diameters does to speed, distance and gearing."""

from __future__ import annotations

from onceapart.errors import SumError


def size_ratio(diameter_mm: float, new_diameter_mm: float) -> float:
    r"""How much further the car goes in one turn of the new wheel.

    Parameters
    ----------
    diameter_mm, new_diameter_mm : float
        Overall diameters of the tyre the car has and of the new one. [mm]

    Returns
    -------
    float
        Ratio, above 1 if the new tyre is larger. [-]

    Notes
    -----
    :math:`r = D_2 / D_1`; rolling circumferences have the same ratio.

    Examples
    --------
    >>> round(size_ratio(621.5, 634.5), 4)
    1.0209

    References
    ----------
    .. [1] Geometry; no document.
    """
    for diameter in (diameter_mm, new_diameter_mm):
        if not 200 <= diameter <= 1500:
            raise SumError(f"diameter {diameter:g} mm: must be 200 to 1500 mm; check the size")
    return new_diameter_mm / diameter_mm


def true_speed_kmh(shown_kmh: float, ratio: float, over_reading_percent: float = 0.0) -> float:
    r"""True speed behind what the speedometer shows on the new tyres.

    Parameters
    ----------
    shown_kmh : float
        Speed shown. [km/h]
    ratio : float
        New over old diameter. [-]
    over_reading_percent : float
        How much too much it showed on the old tyres. [%]

    Returns
    -------
    float
        True speed. [km/h]

    Notes
    -----
    :math:`v = r v_{shown} / (1 + e)`, as the wheel's turns are what is measured.

    Examples
    --------
    >>> round(true_speed_kmh(100, 634.5 / 621.5), 1)
    102.1

    References
    ----------
    .. [1] Geometry; no document.
    """
    return shown_kmh * ratio / (1 + over_reading_percent / 100)


def reading_error_percent(ratio: float) -> float:
    r"""By how much the instrument reads high (or low, below nought) after the change.

    Parameters
    ----------
    ratio : float
        New over old diameter. [-]

    Returns
    -------
    float
        Error, if it was right before. [%]

    Notes
    -----
    :math:`100 (D_1 / D_2 - 1)`; the same for the odometer.

    Examples
    --------
    >>> round(reading_error_percent(22.677 / 24.197), 1)  # 185/70R14 to 195/50R15
    6.7

    References
    ----------
    .. [1] A published encyclopedia example, 185/70R14 to 195/50R15 reads 6.7% high (seen in a copy).
    """
    return 100 * (1 / ratio - 1)


def engine_speed_rpm(engine_rpm: float, ratio: float) -> float:
    r"""Engine speed at the same true speed on the new tyres.

    Parameters
    ----------
    engine_rpm : float
        Engine speed on the old tyres. [rpm]
    ratio : float
        New over old diameter. [-]

    Returns
    -------
    float
        Engine speed. [rpm]

    Notes
    -----
    :math:`n / r`.

    Examples
    --------
    >>> round(engine_speed_rpm(3000, 634.5 / 621.5))
    2939

    References
    ----------
    .. [1] Geometry; no document.
    """
    return engine_rpm / ratio


def effective_final_drive(final_drive: float, ratio: float) -> float:
    r"""Final drive that would feel the same on the old tyres.

    Parameters
    ----------
    final_drive : float
        Ratio of the final drive. [-]
    ratio : float
        New over old diameter. [-]

    Returns
    -------
    float
        Effective ratio; below the real one the car pulls less and revs less. [-]

    Notes
    -----
    :math:`i / r`.

    Examples
    --------
    >>> round(effective_final_drive(4.10, 634.5 / 621.5), 2)
    4.02

    References
    ----------
    .. [1] Geometry; no document.
    """
    return final_drive / ratio
