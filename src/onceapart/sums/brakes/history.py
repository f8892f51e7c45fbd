"""Temperatures of disc and fluid over a drive.

Integrated twice from one and the same law. An answer takes fixed Runge-Kutta steps in plain Python, because
loading SciPy takes longer than all the rest of a sum together; the plot, which loads much anyway, takes
SciPy. Tests hold the two to :data:`AGREEMENT_K` of one another.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise
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

RELATIVE_ERROR = 1e-8
ABSOLUTE_ERROR_K = 1e-6
"""Asked of SciPy; with a hundred times more, the jump of the air film between its formulas costs 0.8 K."""
STEP_SHARE = 0.1
"""Longest step over the shortest time in which disc or caliper would cool: the error of one step goes with
its fifth power over 120."""
STEP_S = 0.5
"""Longest step while the speed changes."""
HAIR = 1e-9
"""Share of a leg left out either side of where the air film jumps, so that no step sees both sides."""
AGREEMENT_K = 0.05
"""How far the two integrations may lie apart."""
MOMENTS_A_LEG = 5
SECONDS_A_MOMENT = 20.0
"""Moments kept of each leg besides its beginning: at least so many, and at least one in so long."""

Slope = Callable[[float, float, float], tuple[float, float]]
"""Time in the leg, disc and caliper -> how fast the two warm, K/s."""


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
    """Integrate disc and fluid temperature over the legs of a drive, for each guess, without SciPy.

    Two bodies a guess, the disc and the caliper with its fluid, each at one temperature. The disc takes the
    braking power less what goes into the pads, and loses heat to the air, by radiation, and through the
    linings to the caliper, which loses it to the air. Each leg is integrated by itself, so that no step leaps
    over a stop.
    """
    return _history(_by_runge_kutta, corner, legs, ambient_degc, start_degc, guesses)


def temperatures_by_scipy(
    corner: Corner,
    legs: Sequence[Leg],
    ambient_degc: float,
    start_degc: float | None = None,
    guesses: Sequence[Guess] = GUESSES,
) -> History:
    """The same as :func:`temperatures`, with the step control of ``scipy.integrate.solve_ivp``."""
    return _history(_by_scipy, corner, legs, ambient_degc, start_degc, guesses)


def _history(
    integrate: Callable[..., list[tuple[float, float]]],
    corner: Corner,
    legs: Sequence[Leg],
    ambient: float,
    start: float | None,
    guesses: Sequence[Guess],
) -> History:
    seconds = [0.0]
    for leg in legs:
        begun = seconds[-1]
        seconds += [begun + moment for moment in _moments(leg)]
    discs, fluids = [], []
    for guess in guesses:
        states = [(ambient if start is None else start, ambient)]
        for leg in legs:
            states += integrate(corner, guess, leg, ambient, states[-1])
        disc, fluid = zip(*states, strict=True)
        discs.append(disc)
        fluids.append(fluid)
    return History(tuple(seconds), tuple(discs), tuple(fluids))


def _moments(leg: Leg) -> Iterator[float]:
    """Times in a leg at which its temperatures are kept, the end among them, s."""
    count = max(MOMENTS_A_LEG, math.ceil(leg.seconds / SECONDS_A_MOMENT))
    return (leg.seconds * (number / count) for number in range(1, count + 1))


def _slope_of(corner: Corner, guess: Guess, leg: Leg, ambient: float) -> Slope:
    """How fast disc and caliper warm during a leg."""
    speeding = (leg.to_mps - leg.from_mps) / leg.seconds
    braking = -corner.braked_kg * speeding * guess.into_disc if leg.is_braked else 0.0
    lining = lining_w_per_k(corner.pad_cm2, corner.lining_mm, guess.lining_w_per_mk)
    disc_air = corner.cooled_m2 * guess.cooling
    caliper_air = CALIPER_AREA_M2 * guess.cooling
    radiation = corner.emissivity * STEFAN_BOLTZMANN * corner.face_m2
    ambient_fourth = (ambient + ZERO_DEGC_K) ** 4
    still, per_mps = CALIPER_FILM
    disc_j_per_k, caliper_j_per_k = corner.disc_j_per_k, corner.caliper_j_per_k

    def slope(t: float, disc: float, caliper: float) -> tuple[float, float]:
        speed = max(leg.from_mps + speeding * t, 0.0)
        through = lining * (disc - caliper)
        lost = corner.film_at(speed) * disc_air * (disc - ambient)
        shone = radiation * ((disc + ZERO_DEGC_K) ** 4 - ambient_fourth)
        aired = (still + per_mps * speed) * caliper_air * (caliper - ambient)
        return (braking * speed - lost - shone - through) / disc_j_per_k, (through - aired) / caliper_j_per_k

    return slope


def _longest_step_s(corner: Corner, guess: Guess, leg: Leg, hottest_degc: float) -> float:
    """A step short beside the time in which disc or caliper would cool at the most in this leg."""
    fastest = max(leg.from_mps, leg.to_mps)
    lining = lining_w_per_k(corner.pad_cm2, corner.lining_mm, guess.lining_w_per_mk)
    film = corner.film_at(fastest) * corner.cooled_m2 * guess.cooling
    glow = 4 * corner.emissivity * STEFAN_BOLTZMANN * corner.face_m2 * (hottest_degc + ZERO_DEGC_K) ** 3
    still, per_mps = CALIPER_FILM
    aired = (still + per_mps * fastest) * CALIPER_AREA_M2 * guess.cooling
    disc_s = corner.disc_j_per_k / (lining + film + glow)
    longest = STEP_SHARE * min(disc_s, corner.caliper_j_per_k / (lining + aired))
    return longest if leg.from_mps == leg.to_mps else min(longest, STEP_S)


def _by_runge_kutta(
    corner: Corner, guess: Guess, leg: Leg, ambient: float, state: tuple[float, float]
) -> list[tuple[float, float]]:
    """Temperatures at the moments of a leg, by the classic method of fourth order."""
    slope = _slope_of(corner, guess, leg, ambient)
    disc, caliper = state
    energy = corner.braked_kg * abs(leg.from_mps**2 - leg.to_mps**2) / 2 if leg.is_braked else 0.0
    rise = energy / corner.disc_j_per_k
    hair = HAIR * leg.seconds
    kept, begun = [], 0.0
    for moment in _moments(leg):
        longest = _longest_step_s(corner, guess, leg, max(disc, caliper) + rise)
        for start, end in pairwise([begun, *_jumps(corner, leg, begun, moment), moment]):
            length = end - start - 2 * hair
            steps = max(1, math.ceil(length / longest))
            h = length / steps
            for step in range(steps):
                t = start + hair + step * h
                a, p = slope(t, disc, caliper)
                b, q = slope(t + h / 2, disc + h / 2 * a, caliper + h / 2 * p)
                c, r = slope(t + h / 2, disc + h / 2 * b, caliper + h / 2 * q)
                d, s = slope(t + h, disc + h * c, caliper + h * r)
                disc += h / 6 * (a + 2 * b + 2 * c + d)
                caliper += h / 6 * (p + 2 * q + 2 * r + s)
        begun = moment
        kept.append((disc, caliper))
    return kept


def _jumps(corner: Corner, leg: Leg, start: float, end: float) -> list[float]:
    """When the air film jumps between two times of a leg, s: once or never."""
    if corner.jump_mps is None or leg.from_mps == leg.to_mps:
        return []
    at = leg.seconds * (corner.jump_mps - leg.from_mps) / (leg.to_mps - leg.from_mps)
    hair = 2 * HAIR * leg.seconds
    return [at] if start + hair < at < end - hair else []


def _by_scipy(
    corner: Corner, guess: Guess, leg: Leg, ambient: float, state: tuple[float, float]
) -> list[tuple[float, float]]:
    from scipy.integrate import solve_ivp

    slope = _slope_of(corner, guess, leg, ambient)

    def both(t: float, now: Any) -> tuple[float, float]:
        return slope(t, float(now[0]), float(now[1]))

    solved = solve_ivp(
        both,
        (0.0, leg.seconds),
        state,
        t_eval=list(_moments(leg)),
        rtol=RELATIVE_ERROR,
        atol=ABSOLUTE_ERROR_K,
    )
    if not solved.success:
        raise ArithmeticError(solved.message)
    return [(float(disc), float(caliper)) for disc, caliper in solved.y.T]
