"""Temperatures of disc and fluid over a drive, integrated with SciPy."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from onceapart.sums.brakes.cooling import (
    CALIPER_AREA_M2,
    CALIPER_FILM,
    GUESSES,
    STEFAN_BOLTZMANN,
    ZERO_DEGC_K,
    Corner,
    Guess,
    lining_w_per_k,
)
from onceapart.sums.brakes.schedules import Leg
from onceapart.sums.result import Band

RELATIVE_ERROR = 1e-6
ABSOLUTE_ERROR_K = 1e-3
MOMENTS_A_LEG = 5
SECONDS_A_MOMENT = 20.0
"""Moments kept of each leg besides its beginning: at least so many, and at least one in so long."""


@dataclass(frozen=True)
class History:
    """Temperatures over time, one row for each guess, in °C."""

    seconds: tuple[float, ...]
    disc_degc: tuple[tuple[float, ...], ...]
    fluid_degc: tuple[tuple[float, ...], ...]

    @property
    def disc_peak_degc(self) -> Band:
        """Hottest the disc gets, coolest to hottest guess."""
        return _band([max(row) for row in self.disc_degc])

    @property
    def fluid_peak_degc(self) -> Band:
        """Hottest the fluid gets, coolest to hottest guess."""
        return _band([max(row) for row in self.fluid_degc])


def _band(figures: Sequence[float]) -> Band:
    low, *_, high = sorted(figures)
    return Band(low, figures[len(figures) // 2], high)


def temperatures(
    corner: Corner,
    legs: Sequence[Leg],
    ambient_degc: float,
    start_degc: float | None = None,
    guesses: Sequence[Guess] = GUESSES,
) -> History:
    """Integrate disc and fluid temperature over the legs of a drive, for each guess.

    Two bodies a guess, the disc and the caliper with its fluid, each at one temperature. The disc takes the
    braking power less what goes into the pads, and loses heat to the air, by radiation, and through the
    linings to the caliper, which loses it to the air. Each leg is integrated by itself, so that no step leaps
    over a stop.
    """
    import numpy as np
    from scipy.integrate import solve_ivp

    start = ambient_degc if start_degc is None else start_degc
    count = len(guesses)
    into_disc = np.array([each.into_disc for each in guesses])
    cooling = np.array([each.cooling for each in guesses])
    lining = np.array(
        [lining_w_per_k(corner.pad_cm2, corner.lining_mm, each.lining_w_per_mk) for each in guesses]
    )
    radiation = corner.emissivity * STEFAN_BOLTZMANN * corner.face_m2
    ambient_fourth = (ambient_degc + ZERO_DEGC_K) ** 4
    still, per_mps = CALIPER_FILM

    def slope(t: float, state: Any, leg: Leg) -> Any:
        disc, caliper = state[:count], state[count:]
        speeding = (leg.to_mps - leg.from_mps) / leg.seconds
        speed = leg.from_mps + speeding * t
        power = corner.braked_kg * -speeding * speed if leg.is_braked else 0.0
        through = lining * (disc - caliper)
        lost = corner.film_at(max(speed, 0.0)) * corner.cooled_m2 * cooling * (disc - ambient_degc)
        shone = radiation * ((disc + ZERO_DEGC_K) ** 4 - ambient_fourth)
        aired = (still + per_mps * speed) * CALIPER_AREA_M2 * cooling * (caliper - ambient_degc)
        return np.concatenate(
            [
                (power * into_disc - lost - shone - through) / corner.disc_j_per_k,
                (through - aired) / corner.caliper_j_per_k,
            ]
        )

    state = np.concatenate([np.full(count, start), np.full(count, ambient_degc)])
    times, states, clock = [0.0], [state], 0.0
    for leg in legs:
        moments = max(MOMENTS_A_LEG, math.ceil(leg.seconds / SECONDS_A_MOMENT))
        solved = solve_ivp(
            slope,
            (0.0, leg.seconds),
            state,
            t_eval=np.linspace(0, leg.seconds, moments + 1)[1:],
            rtol=RELATIVE_ERROR,
            atol=ABSOLUTE_ERROR_K,
            args=(leg,),
        )
        if not solved.success:
            raise ArithmeticError(solved.message)
        times += [clock + float(t) for t in solved.t]
        states += list(solved.y.T)
        state = solved.y[:, -1]
        clock += leg.seconds
    table = np.array(states).T.tolist()
    return History(
        tuple(times),
        tuple(tuple(row) for row in table[:count]),
        tuple(tuple(row) for row in table[count:]),
    )
