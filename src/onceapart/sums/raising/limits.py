"""What the joints and shafts stand, and whether raising goes past it."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass

from onceapart.sums.present import show_value
from onceapart.sums.raising.travel import Setting, State

WITHIN = "within the limits given"
UNKNOWN = "limits not all known"
BEYOND = "beyond a limit"
VERDICTS = (WITHIN, UNKNOWN, BEYOND)
CLOSE = 0.9
"""Share of a limit from which a warning is due: our judgement."""


@dataclass(frozen=True)
class Bound:
    """What a part stands: as given, or between the least and the most that is usual for its kind."""

    given: float | None
    usual: tuple[float, float] | None = None
    unit: str = "°"

    @property
    def most(self) -> float | None:
        """Past this it is beyond its limit for certain; None if nothing is known."""
        if self.given is not None:
            return self.given
        return None if self.usual is None else self.usual[1]

    def grade(self, worst: float) -> str:
        """The verdict on a figure. Only a limit that was given can make it a good one."""
        if self.most is not None and worst > self.most:
            return BEYOND
        return UNKNOWN if self.given is None else WITHIN

    def describe(self, worst: float) -> str:
        """How the figure stands to the limit, in words."""
        if self.given is not None:
            place = "beyond" if worst > self.given else "close to" if worst > CLOSE * self.given else "within"
            return f"{place} {show_value(self.given, self.unit)} (given)"
        if self.usual is None:
            return "no limit given"
        least, most = (show_value(edge, self.unit) for edge in self.usual)
        words = least if least == most else f"{least} to {most}"
        place = "within"
        if worst > self.usual[1]:
            place = "beyond"
        elif worst > self.usual[0]:
            place = "perhaps beyond"
        return f"{place} {words} (usual, measure the joint)"


@dataclass(frozen=True)
class Limit:
    """A bound that holds for some figure at every position."""

    words: str
    of: Callable[[State], float | None]
    bound: Bound


@dataclass(frozen=True)
class Found:
    """A limit against the worst that the travel brings."""

    limit: Limit
    worst: float
    at: State
    before: float
    """The worst it was before raising."""

    @property
    def grade(self) -> str:
        """The verdict on it."""
        return self.limit.bound.grade(self.worst)

    def describe(self, where: str) -> str:
        """One line for the reader."""
        bound = self.limit.bound
        worst, before = (show_value(value, bound.unit) for value in (self.worst, self.before))
        return f"{self.limit.words}: {worst} {where} (before: {before}), {bound.describe(self.worst)}."


def find(limits: list[Limit], before: Setting, after: Setting) -> list[Found]:
    """The worst of each limit through the travel after raising; those without a figure are left out."""
    found = []
    for limit in limits:
        values = [(value, state) for state in after.samples if (value := limit.of(state)) is not None]
        if not values:
            continue
        worst, at = max(values, key=lambda pair: pair[0])
        earlier = max(value for state in before.samples if (value := limit.of(state)) is not None)
        found.append(Found(limit, worst, at, earlier))
    return found


def place_of(state: State, after: Setting) -> str:
    """Where in the travel a position is, in words."""
    above = state.travel_mm - after.at_ride.travel_mm
    if abs(above) < 0.5:
        return "at ride height"
    if state is after.samples[0]:
        return "at full droop"
    if state is after.samples[-1]:
        return "at full bump"
    return f"at {abs(above):.0f} mm of {'bump' if above > 0 else 'droop'}"


def verdict(grades: Iterable[str]) -> str:
    """The worst of the verdicts; nothing checked is nothing known."""
    return max(grades, key=VERDICTS.index, default=UNKNOWN)
