"""What the joints and shafts stand, and whether raising goes past it."""

from __future__ import annotations

from collections.abc import Callable
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
class Limit:
    """A limit that holds for some figure at every position."""

    words: str
    of: Callable[[State], float | None]
    most: float | None
    """None: neither given nor known."""
    is_given: bool
    """By the user, rather than a usual figure."""
    unit: str = "°"


@dataclass(frozen=True)
class Found:
    """A limit against the worst that the travel brings."""

    limit: Limit
    worst: float
    at: State
    before: float
    """The worst it was before raising."""

    @property
    def is_beyond(self) -> bool:
        """Past the limit."""
        return self.limit.most is not None and self.worst > self.limit.most

    @property
    def is_close(self) -> bool:
        """Not past it, but nearly there."""
        return self.limit.most is not None and not self.is_beyond and self.worst > CLOSE * self.limit.most

    def describe(self, where: str) -> str:
        """One line for the reader."""
        worst, before = (show_value(value, self.limit.unit) for value in (self.worst, self.before))
        if self.limit.most is None:
            return f"{self.limit.words}: {worst} {where} (before: {before}); no limit given."
        verdict = "beyond" if self.is_beyond else "close to" if self.is_close else "within"
        most = show_value(self.limit.most, self.limit.unit)
        kind = "given" if self.limit.is_given else "usual, measure the joint"
        return f"{self.limit.words}: {worst} {where} (before: {before}), {verdict} {most} ({kind})."


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


def verdict(found: list[Found]) -> str:
    """The verdict; only limits the user gave can make it a good one."""
    if any(each.is_beyond for each in found):
        return BEYOND
    if not found or any(not each.limit.is_given for each in found):
        return UNKNOWN
    return WITHIN
