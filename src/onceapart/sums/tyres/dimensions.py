"""Outer dimensions of a tyre from its size."""

from __future__ import annotations

import math

from onceapart.errors import SumError
from onceapart.sums.result import Band

INCH_MM = 25.4
HEIGHT_LEAST = 0.97
"""Share of the section height in the smallest diameter, UN R30 clause 6.1.4, from memory."""
HEIGHT_MOST = {"radial": 1.04, "diagonal": 1.08}
"""Share of the section height in the largest diameter, UN R30 clause 6.1.4, from memory."""
WIDTH_MOST = {"radial": 1.04, "diagonal": 1.06}
"""Measured over design section width, UN R30 clause 6.1.4, from memory."""
WIDTH_PER_RIM = 0.4
"""Section width gained per rim width gained, UN R30 clause 6.1.1 (seen in a treaty amendment)."""
ROLLING = 3.05
"""Rolling circumference at 60 km/h over the diameter, ETRTO and DIN 70020, from memory."""
LOADED_HEIGHT = 0.79
"""Section height left under load, middle of the 0.78 to 0.80 of ETRTO, from memory."""
NEW_TREAD_MM = 8.0
"""Tread depth of a new summer tyre: common practice, no source."""
WORN_TREAD_MM = 1.6
"""Tread-wear indicator, Directive 89/459/EEC."""


def rim_diameter_mm(rim_code: float) -> float:
    r"""Nominal rim diameter that tyre sizes are reckoned with.

    Parameters
    ----------
    rim_code : float
        Rim diameter as marked. [in]

    Returns
    -------
    float
        Nominal diameter, rounded to the millimetre. [mm]

    Notes
    -----
    :math:`25.4 \cdot code`, rounded; the conventional figures of the regulation are these.

    Examples
    --------
    >>> rim_diameter_mm(15), rim_diameter_mm(16)
    (381.0, 406.0)

    References
    ----------
    .. [1] UN R30 clause 2, nominal rim diameters (15 and 16 seen in an example, the others from memory).
    """
    if not 8 <= rim_code <= 30:
        raise SumError(f"rim {rim_code:g}: must be 8 to 30 inches; read it from the sidewall, after the R")
    return float(math.floor(rim_code * INCH_MM + 0.5))


def section_height_mm(section_mm: float, aspect_percent: float) -> float:
    r"""Section height: from the rim to the tread.

    Parameters
    ----------
    section_mm : float
        Section width as marked. [mm]
    aspect_percent : float
        Height over width as marked. [%]

    Returns
    -------
    float
        Section height, rounded to the millimetre, a half upwards. [mm]

    Notes
    -----
    :math:`H = S \cdot Ra / 100`.

    Examples
    --------
    >>> section_height_mm(195, 65), section_height_mm(155, 70)
    (127.0, 109.0)

    References
    ----------
    .. [1] UN R30 clause 6.1.2 (from memory).
    """
    if not (50 <= section_mm <= 500 and 20 <= aspect_percent <= 120):
        raise SumError(
            f"section {section_mm:g}/{aspect_percent:g}: must be 50 to 500 mm and 20 to 120 %; "
            "read the size from the sidewall"
        )
    return float(math.floor(section_mm * aspect_percent / 100 + 0.5))


def overall_diameter_mm(section_mm: float, aspect_percent: float, rim_code: float) -> float:
    r"""Nominal overall diameter, new and unloaded.

    Parameters
    ----------
    section_mm : float
        Section width as marked. [mm]
    aspect_percent : float
        Height over width as marked. [%]
    rim_code : float
        Rim diameter as marked. [in]

    Returns
    -------
    float
        Overall diameter. [mm]

    Notes
    -----
    :math:`D = d + 2H`. Makers' tables differ by 1 to 2 mm, as they round at another place.

    Examples
    --------
    >>> overall_diameter_mm(195, 65, 15)
    635.0

    References
    ----------
    .. [1] UN R30 clause 6.1.2 (from memory; agrees with ten published diameters within 2 mm).
    """
    return rim_diameter_mm(rim_code) + 2 * section_height_mm(section_mm, aspect_percent)


def diameter_band_mm(rim_mm: float, height_mm: float, construction: str = "radial") -> Band:
    r"""Overall diameter a new tyre may have and still be of its size.

    Parameters
    ----------
    rim_mm : float
        Nominal rim diameter. [mm]
    height_mm : float
        Nominal section height. [mm]
    construction : str
        ``radial`` or ``diagonal``.

    Returns
    -------
    Band
        Smallest, nominal and largest overall diameter. [mm]

    Notes
    -----
    :math:`d + 2 a H` with a = 0.97 and 1.04, for a diagonal tyre 1.08. Special and snow tyres may have 1 to
    2% more.

    Examples
    --------
    >>> band = diameter_band_mm(381, 127)
    >>> round(band.low, 1), band.typical, round(band.high, 1)
    (627.4, 635, 645.2)

    References
    ----------
    .. [1] UN R30 clauses 6.1.4 and 6.1.5 (from memory).
    """
    low, high = (rim_mm + 2 * share * height_mm for share in (HEIGHT_LEAST, HEIGHT_MOST[construction]))
    return Band(low, rim_mm + 2 * height_mm, high)


def theoretical_rim_mm(section_mm: float, aspect_percent: float) -> float:
    r"""Rim width on which a tyre has exactly the section width marked.

    Parameters
    ----------
    section_mm : float
        Section width as marked. [mm]
    aspect_percent : float
        Height over width as marked. [%]

    Returns
    -------
    float
        Theoretical rim width. [mm]

    Notes
    -----
    :math:`A_1 = x S_1`; the maker states x. Taken: 0.70, for series 45 0.85, below 0.90.

    Examples
    --------
    >>> round(theoretical_rim_mm(195, 65), 1)
    136.5

    References
    ----------
    .. [1] UN R30 clause 6.1.1 (factor x from memory).
    """
    share = 0.70 if aspect_percent >= 50 else 0.85 if aspect_percent >= 45 else 0.90
    return share * section_mm


def section_on_rim_mm(section_mm: float, aspect_percent: float, rim_width_in: float) -> float:
    r"""Section width on a rim of another width.

    Parameters
    ----------
    section_mm : float
        Section width as marked. [mm]
    aspect_percent : float
        Height over width as marked. [%]
    rim_width_in : float
        Width of the rim, between the flanges. [in]

    Returns
    -------
    float
        Section width, blown up. [mm]

    Notes
    -----
    :math:`S = S_1 + 0.4 (A - A_1)`: about 5 mm for each half inch.

    Examples
    --------
    >>> round(section_on_rim_mm(195, 65, 6.0))
    201

    References
    ----------
    .. [1] UN R30 clause 6.1.1 (seen in a treaty amendment; A1 is from memory).
    """
    rim = rim_width_in * INCH_MM
    return section_mm + WIDTH_PER_RIM * (rim - theoretical_rim_mm(section_mm, aspect_percent))


def width_band_mm(section_on_rim: float, construction: str = "radial") -> Band:
    """Width a tyre may have and still be of its size.

    Parameters
    ----------
    section_on_rim : float
        Design section width on the rim in use. [mm]
    construction : str
        ``radial`` or ``diagonal``.

    Returns
    -------
    Band
        Width: design twice, since only the most is limited, and the most. A rim protector may add 8 mm. [mm]

    Examples
    --------
    >>> width_band_mm(200).high
    208.0

    References
    ----------
    .. [1] UN R30 clause 6.1.4: 4% (radial), 6% (diagonal), from memory. 49 CFR 571.139 S6.1 allows 7% (seen).
    """
    return Band(section_on_rim, section_on_rim, section_on_rim * WIDTH_MOST[construction])


def rolling_circumference_mm(diameter_mm: float) -> float:
    r"""Way rolled in one turn.

    Parameters
    ----------
    diameter_mm : float
        Overall diameter, unloaded. [mm]

    Returns
    -------
    float
        Rolling circumference. [mm]

    Notes
    -----
    :math:`C = 3.05 D`, which is 0.971 of the circle.

    Examples
    --------
    >>> round(rolling_circumference_mm(635))
    1937

    References
    ----------
    .. [1] ETRTO and DIN 70020, at 60 km/h (from memory). A conversion page takes 0.96 of the circle (seen).
    """
    return ROLLING * diameter_mm


def turns_per_km(circumference_mm: float) -> float:
    """Turns of the wheel in a kilometre.

    Parameters
    ----------
    circumference_mm : float
        Rolling circumference. [mm]

    Returns
    -------
    float
        Turns in a kilometre. [-]

    Examples
    --------
    >>> round(turns_per_km(3.05 * 635))
    516

    References
    ----------
    .. [1] Geometry; no document.
    """
    if circumference_mm <= 0:
        raise SumError(f"circumference {circumference_mm:g} mm: must be above 0; measure again")
    return 1e6 / circumference_mm


def worn_diameter_mm(diameter_mm: float, tread_mm: float, new_tread_mm: float = NEW_TREAD_MM) -> float:
    r"""Overall diameter once the tread has worn.

    Parameters
    ----------
    diameter_mm : float
        Overall diameter, new. [mm]
    tread_mm, new_tread_mm : float
        Tread depth now, and when new. [mm]

    Returns
    -------
    float
        Overall diameter. [mm]

    Notes
    -----
    :math:`D - 2 (h_0 - h)`.

    Examples
    --------
    >>> round(worn_diameter_mm(635, 1.6), 1)
    622.2

    References
    ----------
    .. [1] Geometry; the 8 mm of a new tyre is common practice.
    """
    return diameter_mm - 2 * (new_tread_mm - tread_mm)


def loaded_radius_mm(rim_mm: float, height_mm: float) -> float:
    r"""Height of the hub above the road, car standing.

    Parameters
    ----------
    rim_mm : float
        Nominal rim diameter. [mm]
    height_mm : float
        Nominal section height. [mm]

    Returns
    -------
    float
        Static loaded radius. [mm]

    Notes
    -----
    :math:`d/2 + 0.79 H`, pressure and load as they should be.

    Examples
    --------
    >>> round(loaded_radius_mm(381, 127))
    291

    References
    ----------
    .. [1] ETRTO, static loaded radius, 0.78 to 0.80 H (from memory).
    """
    return rim_mm / 2 + LOADED_HEIGHT * height_mm
