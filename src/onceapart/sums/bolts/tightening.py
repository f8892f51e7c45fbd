"""Preload and torque: K is a band, so the answer is one too."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

from onceapart.errors import SumError
from onceapart.sums.bolts.tables import read_table
from onceapart.sums.result import Band

REUSED_SHARE = 0.75
PERMANENT_SHARE = 0.90
"""Preload over proof load for joints that are taken apart again, and for those that are not: Shigley, eq.
8-31 and 8-32 (two pages quote the pair)."""


@dataclass(frozen=True)
class Friction:
    """The nut factor of a surface, as a band."""

    name: str
    nut_factor: Band
    basis: str
    status: str
    meaning: str


@cache
def friction_conditions() -> dict[str, Friction]:
    """Surfaces known, by name."""
    return {
        row["condition"]: Friction(
            row["condition"],
            Band(float(row["low"]), float(row["typical"]), float(row["high"])),
            row["basis"],
            row["status"],
            row["meaning"],
        )
        for row in read_table("friction")
    }


def preload_n(proof_load_n: float, share: float = REUSED_SHARE) -> float:
    r"""Clamping force to aim for when tightening a bolt.

    Parameters
    ----------
    proof_load_n : float
        Proof load of the bolt. [N]
    share : float
        Share of the proof load: 0.75 if it comes apart again, 0.90 if not. [-]

    Returns
    -------
    float
        Preload. [N]

    Notes
    -----
    :math:`F_i = 0.75 F_p` for reused and :math:`0.90 F_p` for permanent joints [1]_.

    Examples
    --------
    >>> round(preload_n(48900))
    36675

    References
    ----------
    .. [1] Shigley's Mechanical Engineering Design, eq. 8-31 and 8-32 (quoted on two pages).
    """
    if not 0 < share <= 1:
        raise SumError(f"share {share:g} of the proof load: must be above 0 and at most 1; 0.75 is usual")
    return share * proof_load_n


def torque_nm(nut_factor: float, preload_n: float, diameter_mm: float) -> float:
    r"""Tightening torque for a preload.

    Parameters
    ----------
    nut_factor : float
        K, for thread and bearing face together. [-]
    preload_n : float
        Clamping force. [N]
    diameter_mm : float
        Nominal thread diameter. [mm]

    Returns
    -------
    float
        Torque on the nut or head, without any running torque. [N·m]

    Notes
    -----
    :math:`T = K F d`. About half of it goes into the bearing face, four tenths into the thread and a tenth
    into stretching the bolt, so small changes of friction change the preload much.

    Examples
    --------
    >>> round(torque_nm(0.2, 34200, 12), 1)
    82.1

    References
    ----------
    .. [1] Shigley's Mechanical Engineering Design, ch. 8, and Bowman, Fastener Facts (1985).
    """
    return nut_factor * preload_n * diameter_mm / 1000


def preload_from_torque_n(torque_nm: float, nut_factor: float, diameter_mm: float) -> float:
    r"""Preload that a torque gives.

    Parameters
    ----------
    torque_nm : float
        Torque that turns the thread against the load: reading less running torque. [N·m]
    nut_factor : float
        K, for thread and bearing face together. [-]
    diameter_mm : float
        Nominal thread diameter. [mm]

    Returns
    -------
    float
        Clamping force. [N]

    Notes
    -----
    :math:`F = T / (K d)`.

    Examples
    --------
    >>> round(preload_from_torque_n(82, 0.3, 12) / 1000, 1)
    22.8

    References
    ----------
    .. [1] Shigley's Mechanical Engineering Design, ch. 8.
    """
    if not 0.03 <= nut_factor <= 1:
        raise SumError(f"nut factor {nut_factor:g}: must be 0.03 to 1; 0.2 is usual")
    return torque_nm / (nut_factor * diameter_mm / 1000)


def torque_band_nm(nut_factor: Band, preload_n: float, diameter_mm: float) -> Band:
    r"""Torque for a preload, as wide as the friction is uncertain.

    Parameters
    ----------
    nut_factor : Band
        K as a band. [-]
    preload_n : float
        Clamping force. [N]
    diameter_mm : float
        Nominal thread diameter. [mm]

    Returns
    -------
    Band
        Torque if friction is low, typical and high. [N·m]

    Notes
    -----
    :func:`torque_nm` at each end of the band.

    Examples
    --------
    >>> round(torque_band_nm(Band(0.15, 0.2, 0.3), 34200, 12).high, 1)
    123.1

    References
    ----------
    .. [1] Shigley's Mechanical Engineering Design, ch. 8.
    """
    return nut_factor.scaled(preload_n * diameter_mm / 1000)


def preload_band_n(torque_nm: float, nut_factor: Band, diameter_mm: float) -> Band:
    r"""Preload that a torque gives, as wide as the friction is uncertain.

    Parameters
    ----------
    torque_nm : float
        Torque that turns the thread against the load. [N·m]
    nut_factor : Band
        K as a band. [-]
    diameter_mm : float
        Nominal thread diameter. [mm]

    Returns
    -------
    Band
        Preload if friction is high, typical and low. [N]

    Notes
    -----
    :func:`preload_from_torque_n` at each end of the band: the low preload comes from the high K.

    Examples
    --------
    >>> band = preload_band_n(82, Band(0.15, 0.2, 0.3), 12)
    >>> [round(force / 1000, 1) for force in (band.low, band.typical, band.high)]
    [22.8, 34.2, 45.6]

    References
    ----------
    .. [1] Shigley's Mechanical Engineering Design, ch. 8.
    """
    low, typical, high = (
        preload_from_torque_n(torque_nm, factor, diameter_mm)
        for factor in (nut_factor.high, nut_factor.typical, nut_factor.low)
    )
    return Band(low, typical, high)


@dataclass(frozen=True)
class RunningTorque:
    """Running torque of a new locking nut of class 8, N·m."""

    first_on_most_nm: float
    first_off_least_nm: float
    fifth_off_least_nm: float


def running_torque_of(size: str) -> RunningTorque | None:
    """ISO 2320 running torque for a metric size, from memory; None where we have none."""
    for row in read_table("locking_nuts"):
        if row["size"] == size:
            return RunningTorque(
                float(row["first_on_most"]), float(row["first_off_least"]), float(row["fifth_off_least"])
            )
    return None
