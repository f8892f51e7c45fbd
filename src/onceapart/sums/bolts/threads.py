"""Threads: the sizes we know, and the basic profile of a 60-degree thread."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cache

from onceapart.errors import SumError
from onceapart.sums.bolts.tables import inches, read_table

MM_PER_INCH = 25.4

METRIC_AREA_FACTOR = 0.9382
"""ISO 898-1:2013; two thread reference pages citing it, a third prints 0.938194: verified."""
UNIFIED_AREA_FACTOR = 0.9743
"""ASME B1.1, from memory; reproduces the area of 5/8-11 printed in SAND2008-0371 App. C."""


@dataclass(frozen=True)
class Thread:
    """A 60-degree thread of the tables."""

    system: str
    """``metric`` or ``unified``."""
    diameter_mm: float
    pitch_mm: float
    series: str
    """``coarse``, ``fine``, ``UNC`` or ``UNF``."""
    size: str
    """The diameter as people write it: ``10`` or ``3/8``."""
    pitch: str
    """The pitch as people write it: ``1.25`` mm, or ``16`` to the inch."""

    def __str__(self) -> str:
        if self.system == "metric":
            return f"M{self.size}x{self.pitch}"
        return f"{self.size}-{self.pitch} {self.series}"

    @property
    def stress_area_mm2(self) -> float:
        """Tensile stress area, mm²."""
        return stress_area_mm2(self.diameter_mm, self.pitch_mm, area_factor(self.system))


@cache
def known_threads() -> tuple[Thread, ...]:
    """Every thread of the table, metric before unified, by size and coarse first."""
    threads = []
    for row in read_table("threads"):
        if row["system"] == "metric":
            diameter, pitch = float(row["diameter"]), float(row["pitch"])
        else:
            diameter, pitch = inches(row["diameter"]) * MM_PER_INCH, MM_PER_INCH / float(row["pitch"])
        threads.append(Thread(row["system"], diameter, pitch, row["series"], row["diameter"], row["pitch"]))
    return tuple(sorted(threads, key=lambda each: (each.system, each.diameter_mm, -each.pitch_mm)))


def area_factor(system: str) -> float:
    r"""Pitches taken off the diameter for the stress area.

    Parameters
    ----------
    system : str
        ``metric`` or ``unified``.

    Returns
    -------
    float
        Factor of :func:`stress_area_mm2`. [-]

    Examples
    --------
    >>> area_factor("metric")
    0.9382

    References
    ----------
    .. [1] ISO 898-1:2013; ASME B1.1 (from memory).
    """
    return METRIC_AREA_FACTOR if system == "metric" else UNIFIED_AREA_FACTOR


def stress_area_mm2(diameter_mm: float, pitch_mm: float, factor: float = METRIC_AREA_FACTOR) -> float:
    r"""Tensile stress area of a 60-degree thread.

    Parameters
    ----------
    diameter_mm, pitch_mm : float
        Nominal thread diameter; thread pitch, the smaller of the two. [mm]
    factor : float
        Pitches taken off the diameter: 0.9382 for ISO metric threads, 0.9743 for unified inch threads. [-]

    Returns
    -------
    float
        Area that carries the tension. [mm²]

    Notes
    -----
    :math:`A_s = \pi/4 \, (d - f P)^2`. The metric factor is the mean of pitch and root diameter [1]_, the
    unified one is that of [2]_.

    Examples
    --------
    >>> round(stress_area_mm2(12, 1.75), 1)
    84.3
    >>> round(stress_area_mm2(9.525, 25.4 / 16, UNIFIED_AREA_FACTOR) / 25.4**2, 4)
    0.0775

    References
    ----------
    .. [1] ISO 898-1:2013, stress areas of Tables 4 to 7.
    .. [2] ASME B1.1, tensile stress area (from memory).
    """
    if not 0 < pitch_mm < diameter_mm:
        raise SumError(
            f"pitch {pitch_mm:g} mm: does not suit a {diameter_mm:g} mm thread; give diameter, then pitch"
        )
    return math.pi / 4 * (diameter_mm - factor * pitch_mm) ** 2


def pitch_diameter_mm(diameter_mm: float, pitch_mm: float) -> float:
    r"""Basic pitch diameter of a 60-degree thread, where ridge and groove are equally wide.

    Parameters
    ----------
    diameter_mm, pitch_mm : float
        Nominal thread diameter; thread pitch. [mm]

    Returns
    -------
    float
        Basic pitch diameter, of bolt and nut alike. [mm]

    Notes
    -----
    :math:`d_2 = d - 0.649519 P`.

    Examples
    --------
    >>> round(pitch_diameter_mm(10, 1.5), 3)
    9.026

    References
    ----------
    .. [1] ISO 724, basic dimensions (seen in a torque reference page citing it).
    """
    return diameter_mm - 0.649519 * pitch_mm


def nut_minor_diameter_mm(diameter_mm: float, pitch_mm: float) -> float:
    r"""Basic minor diameter of the nut: the hole before the thread is cut, without tolerance.

    Parameters
    ----------
    diameter_mm, pitch_mm : float
        Nominal thread diameter; thread pitch. [mm]

    Returns
    -------
    float
        Basic minor diameter of the internal thread. [mm]

    Notes
    -----
    :math:`D_1 = d - 1.082532 P`.

    Examples
    --------
    >>> round(nut_minor_diameter_mm(10, 1.5), 3)
    8.376

    References
    ----------
    .. [1] ISO 724, basic dimensions (seen in a CAD help page).
    """
    return diameter_mm - 1.082532 * pitch_mm


def root_diameter_mm(diameter_mm: float, pitch_mm: float) -> float:
    r"""Root diameter of the bolt: what is left in the bottom of the thread.

    Parameters
    ----------
    diameter_mm, pitch_mm : float
        Nominal thread diameter; thread pitch. [mm]

    Returns
    -------
    float
        Root diameter of the external thread. [mm]

    Notes
    -----
    :math:`d_3 = d - 1.226869 P`; ISO metric profile, near enough for unified threads.

    Examples
    --------
    >>> round(root_diameter_mm(10, 1.5), 3)
    8.16

    References
    ----------
    .. [1] ISO 898-1 and DIN 13 (from memory).
    """
    return diameter_mm - 1.226869 * pitch_mm
