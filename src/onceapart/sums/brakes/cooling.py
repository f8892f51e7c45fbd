"""How a disc loses its heat: to the air, by radiation, and through the lining into the caliper and its fluid.

Only the convection formula has a source, and that from memory. Areas, lining and caliper are our estimates,
so every answer built on them is a band; the schedule sum takes a measured figure instead where there is one.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from onceapart.errors import SumError
from onceapart.sums.brakes.heat import INTO_DISC, IRON_HEAT_J_PER_KGK
from onceapart.sums.result import Band

AIR_CONDUCTIVITY_W_PER_MK = 0.026
AIR_VISCOSITY_M2_PER_S = 1.5e-5
"""Air at 20 °C, handbook, from memory."""
TURBULENT_FROM = 2.4e5
"""Reynolds number, Limpert, from memory."""
STILL_FILM_W_PER_M2K = 7.0
"""Plates in still air, from memory."""
VANES = 1.8
"""Cooled area of a vented disc over that of its faces: our estimate."""
EMISSIVITY = 0.55
"""Worn iron face, from memory."""
STEFAN_BOLTZMANN = 5.670374419e-8
"""W/(m²·K⁴), CODATA."""
ZERO_DEGC_K = 273.15
LINING_CONDUCTIVITY_W_PER_MK = Band(0.5, 1.0, 1.8)
"""Organic to metallic lining, from memory."""
COOLING_SPREAD = Band(0.6, 1.0, 1.5)
"""How far off the cooling may be, as a factor: our estimate (dust shields, wheels, wind)."""
CALIPER_AREA_M2 = 0.06
CALIPER_FILM = (10.0, 1.3)
"""W/(m²·K) in still air, and more for each m/s: our estimate, as is the area."""
CALIPER_HEAT_J_PER_KGK = 460.0
"""Iron; aluminium has twice that and half the mass."""
MOST_BRAKED_A_KG = 1000.0
"""Mass stopped by each kilogram of disc: a car has about 100, our judgement of what is a slip."""


@dataclass(frozen=True)
class Corner:
    """One disc with its caliper, as heat sees them."""

    braked_kg: float
    """Share of the car's mass that this disc has to stop."""
    disc_kg: float
    outer_mm: float
    inner_mm: float
    """Diameters of the rubbed face."""
    vented: bool = True
    lining_mm: float = 10.0
    pad_cm2: float = 45.0
    """Area of one lining."""
    caliper_kg: float = 5.0
    film_w_per_m2k: float | None = None
    """Convection of the disc if measured, at every speed; None: reckoned."""
    emissivity: float = EMISSIVITY

    def __post_init__(self) -> None:
        figures = (self.braked_kg, self.disc_kg, self.inner_mm, self.lining_mm, self.pad_cm2, self.caliper_kg)
        if min(figures) <= 0 or self.inner_mm >= self.outer_mm:
            raise SumError(
                "disc and caliper: masses, lining and pad must be above 0 and the inside diameter "
                "less than the "
                "outside one; check them"
            )

        if self.braked_kg > MOST_BRAKED_A_KG * self.disc_kg:
            rule = f"at most {MOST_BRAKED_A_KG:g} kg for each kilogram of disc, or the iron melts; check both"
            raise SumError(
                f"{self.braked_kg:.0f} kg to be stopped by a disc of {self.disc_kg:.2g} kg: {rule}"
            )

    @property
    def face_m2(self) -> float:
        """Both faces of the disc."""
        return 2 * math.pi / 4 * (self.outer_mm**2 - self.inner_mm**2) / 1e6

    @property
    def cooled_m2(self) -> float:
        """Faces, and vanes if any."""
        return self.face_m2 * (VANES if self.vented else 1.0)

    @property
    def disc_j_per_k(self) -> float:
        """Heat that warms the disc by one degree."""
        return self.disc_kg * IRON_HEAT_J_PER_KGK

    @property
    def caliper_j_per_k(self) -> float:
        """Heat that warms the caliper with its fluid by one degree."""
        return self.caliper_kg * CALIPER_HEAT_J_PER_KGK

    def film_at(self, speed_mps: float) -> float:
        """Convection from the disc at a speed, W/(m²·K)."""
        if self.film_w_per_m2k is not None:
            return self.film_w_per_m2k
        return air_film_w_per_m2k(3.6 * speed_mps, self.outer_mm)

    @property
    def jump_mps(self) -> float | None:
        """Speed at which the reckoned convection jumps from one formula to the other; None if measured."""
        if self.film_w_per_m2k is not None:
            return None
        return TURBULENT_FROM * AIR_VISCOSITY_M2_PER_S / (self.outer_mm / 1000)


@dataclass(frozen=True)
class Guess:
    """One way the uncertain figures may fall."""

    into_disc: float
    cooling: float
    lining_w_per_mk: float


GUESSES = (
    Guess(INTO_DISC.low, COOLING_SPREAD.high, LINING_CONDUCTIVITY_W_PER_MK.low),
    Guess(INTO_DISC.typical, COOLING_SPREAD.typical, LINING_CONDUCTIVITY_W_PER_MK.typical),
    Guess(INTO_DISC.high, COOLING_SPREAD.low, LINING_CONDUCTIVITY_W_PER_MK.high),
)
"""Coolest, typical, hottest."""


def air_film_w_per_m2k(speed_kmh: float, diameter_mm: float) -> float:
    r"""Convection from the faces of a disc to the air.

    Parameters
    ----------
    speed_kmh : float
        Speed of the car. [km/h]
    diameter_mm : float
        Outside diameter of the disc. [mm]

    Returns
    -------
    float
        Heat transfer coefficient. [W/(m²·K)]

    Notes
    -----
    :math:`h = 0.70 (k/D) Re^{0.55}` below a Reynolds number of 240 000, :math:`0.04 (k/D) Re^{0.8}` above
    [1]_, and never less than still air; :math:`Re = v D / \nu`. A wheel with a dust shield gets less.

    Examples
    --------
    >>> round(air_film_w_per_m2k(72, 280))
    107

    References
    ----------
    .. [1] Limpert, Brake Design and Safety, convection from solid discs (from memory).
    """
    if speed_kmh < 0 or diameter_mm <= 0:
        raise SumError(
            f"{speed_kmh:g} km/h, {diameter_mm:g} mm: needs a speed of 0 or more and a disc; check them"
        )
    diameter = diameter_mm / 1000
    reynolds = speed_kmh / 3.6 * diameter / AIR_VISCOSITY_M2_PER_S
    laminar = reynolds < TURBULENT_FROM
    nusselt = 0.70 * math.pow(reynolds, 0.55) if laminar else 0.04 * math.pow(reynolds, 0.8)
    return max(STILL_FILM_W_PER_M2K, nusselt * AIR_CONDUCTIVITY_W_PER_MK / diameter)


def lining_w_per_k(pad_cm2: float, lining_mm: float, conductivity_w_per_mk: float) -> float:
    r"""Heat that the two linings of a brake let through to the caliper.

    Parameters
    ----------
    pad_cm2 : float
        Area of one lining. [cm²]
    lining_mm : float
        Thickness of one lining. [mm]
    conductivity_w_per_mk : float
        Conductivity of the lining. [W/(m·K)]

    Returns
    -------
    float
        Conductance of both. [W/K]

    Notes
    -----
    :math:`G = 2 k A / t`: half the lining lets twice the heat through. The pad is taken as touching all
    the time, which errs on the hot side for the fluid.

    Examples
    --------
    >>> round(lining_w_per_k(45, 10, 1.0), 2)
    0.9

    References
    ----------
    .. [1] Conduction through a plate; no document.
    """
    if min(pad_cm2, lining_mm, conductivity_w_per_mk) <= 0:
        raise SumError("lining: area, thickness and conductivity must be above 0; measure the pad")
    return 2 * conductivity_w_per_mk * pad_cm2 / 1e4 / (lining_mm / 1000)
