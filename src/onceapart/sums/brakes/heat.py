"""Heat of one stop: the energy of motion, and how much warmer it makes a disc."""

from __future__ import annotations

import math

from onceapart.errors import SumError
from onceapart.sums.brakes.performance import GRAVITY_MPS2
from onceapart.sums.result import Band

IRON_HEAT_J_PER_KGK = 460.0
"""Grey cast iron, from memory; an open textbook's table has 452 for iron and steel, a problem 448 (seen)."""
IRON_DENSITY_KG_PER_M3 = 7200.0
"""Grey cast iron, from memory."""
INTO_DISC = Band(0.90, 0.95, 0.99)
"""Share of a stop's heat that goes into the disc; the rest goes into the pads. From memory."""
SCREEN_KMH, SCREEN_RISE_K = 128.0, 230.0
"""A maker's design note (seen): the rise in a full stop from this speed at 0.7 g, fully laden, is less."""


def motion_energy_kj(mass_kg: float, from_kmh: float, to_kmh: float = 0.0) -> float:
    r"""Energy the brakes take out of a car's motion.

    Parameters
    ----------
    mass_kg : float
        Mass of the car. [kg]
    from_kmh, to_kmh : float
        Speed at the beginning, and at the end. [km/h]

    Returns
    -------
    float
        Energy, if nothing else slows the car. [kJ]

    Notes
    -----
    :math:`E = m (v_1^2 - v_2^2) / 2`. Drag and the engine's braking are left out, which errs on the hot
    side; turning parts, a few per cent more, are left out too.

    Examples
    --------
    >>> motion_energy_kj(1500, 108)
    675.0

    References
    ----------
    .. [1] Mechanics; open-textbook problem with 1500 kg and 30 m/s (inputs seen).
    """
    if mass_kg <= 0:
        raise SumError(f"mass {mass_kg:g} kg: must be above 0; take it from the papers")
    if not 0 <= to_kmh <= from_kmh:
        rule = f"must be at least 0 and at most the {from_kmh:g} km/h at the beginning"
        raise SumError(f"end speed {to_kmh:g} km/h: {rule}; check both speeds")
    return mass_kg * (from_kmh * from_kmh - to_kmh * to_kmh) / 3.6**2 / 2000


def descent_energy_kj(mass_kg: float, height_m: float) -> float:
    r"""Energy the brakes take up on the way down a hill at even speed.

    Parameters
    ----------
    mass_kg : float
        Mass of the car. [kg]
    height_m : float
        Height lost. [m]

    Returns
    -------
    float
        Energy, if neither engine nor air brakes the car. [kJ]

    Notes
    -----
    :math:`E = m g h`.

    Examples
    --------
    >>> round(descent_energy_kj(10000, 75))
    7355

    References
    ----------
    .. [1] OpenStax, College Physics, 14.2.
    """
    if mass_kg <= 0 or height_m < 0:
        raise SumError(f"{mass_kg:g} kg down {height_m:g} m: needs a mass above 0 and a height of 0 or more")
    return mass_kg * GRAVITY_MPS2 * height_m / 1000


def temperature_rise_k(
    energy_kj: float, iron_kg: float, into_iron: float = 1.0, heat_j_per_kgk: float = IRON_HEAT_J_PER_KGK
) -> float:
    r"""Rise of the mean temperature of iron that takes up some energy.

    Parameters
    ----------
    energy_kj : float
        Energy set free. [kJ]
    iron_kg : float
        Mass that warms up. [kg]
    into_iron : float
        Share of the energy that goes into it. [-]
    heat_j_per_kgk : float
        Specific heat. [J/(kg·K)]

    Returns
    -------
    float
        Rise of the mean, with no time to cool. [K]

    Notes
    -----
    :math:`\Delta T = f E / (m c)`. For a moment the rubbed face is hotter than the mean.

    Examples
    --------
    >>> round(temperature_rise_k(216, 15, heat_j_per_kgk=450))
    32

    References
    ----------
    .. [1] OpenStax, College Physics, 14.2; exercise pages with the same form (seen).
    """
    if energy_kj < 0 or iron_kg <= 0 or heat_j_per_kgk <= 0:
        raise SumError(
            "energy, mass and specific heat: none may be below 0, and only the energy 0; check them"
        )
    if not 0 < into_iron <= 1:
        raise SumError(
            f"share {into_iron:g} into the disc: must be above 0 and at most 1; 0.90 to 0.99 is usual"
        )
    return 1000 * into_iron * energy_kj / (iron_kg * heat_j_per_kgk)


def rise_band_k(energy_kj: float, iron_kg: float) -> Band:
    r"""Rise of a disc for the usual shares of heat that go into it.

    Parameters
    ----------
    energy_kj : float
        Energy that this disc's brake takes up. [kJ]
    iron_kg : float
        Mass of the disc. [kg]

    Returns
    -------
    Band
        Rise of the mean with 90, 95 and 99 % of the heat in the disc. [K]

    Notes
    -----
    :func:`temperature_rise_k` with ``INTO_DISC`` and grey iron.

    Examples
    --------
    >>> round(rise_band_k(202.5, 6.5).low, 1)
    61.0

    References
    ----------
    .. [1] OpenStax, College Physics, 14.2; shares from memory.
    """
    low, typical, high = (
        temperature_rise_k(energy_kj, iron_kg, share)
        for share in (INTO_DISC.low, INTO_DISC.typical, INTO_DISC.high)
    )
    return Band(low, typical, high)


def ring_mass_kg(outer_mm: float, inner_mm: float, iron_mm: float) -> float:
    r"""Mass of the iron under the rubbed face of a disc.

    Parameters
    ----------
    outer_mm, inner_mm : float
        Diameter where the face ends, and where it begins. [mm]
    iron_mm : float
        Iron in the thickness: all of a solid disc, both cheeks of a vented one. [mm]

    Returns
    -------
    float
        Mass, without vanes and hat, which warm up later. [kg]

    Notes
    -----
    :math:`\rho \pi (D^2 - d^2) t / 4`.

    Examples
    --------
    >>> round(ring_mass_kg(280, 180, 14), 2)
    3.64

    References
    ----------
    .. [1] Geometry; density of grey iron from memory.
    """
    if not 0 <= inner_mm < outer_mm or iron_mm <= 0:
        rule = "the inside diameter must be less than the outside one, and the thickness above 0"
        raise SumError(f"ring {inner_mm:g} to {outer_mm:g} mm, {iron_mm:g} mm: {rule}; measure again")
    return IRON_DENSITY_KG_PER_M3 * math.pi / 4 * (outer_mm**2 - inner_mm**2) * iron_mm / 1e9
