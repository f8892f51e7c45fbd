"""What is known of a search that was broken off: the bound it had shown by then."""

from __future__ import annotations

import math
from dataclasses import replace

from onceapart.planning.answer import Answer, Progress
from onceapart.planning.plan import Aim, Status

FIRST_FIGURE = {Aim.THRIFT: "money", Aim.LEAST_WORK: "minutes"}
"""The figure that the search for an aim makes small first, where it is not the total."""
UNKNOWN = -(10**11)
"""A bound as low as this says nothing."""


def with_bound(answer: Answer, last: Progress | None) -> Answer:
    """An answer whose search was broken off, with the bound that the search had shown by then.

    Parameters
    ----------
    answer : Answer
    last : Progress, optional
        What the search said last. A stage is the figure that it makes small, ``root`` the start of the first.
    """
    if answer.status is not Status.GOOD or answer.bound > UNKNOWN or last is None or last.bound is None:
        return answer
    if not abs(last.bound) < -UNKNOWN:
        return answer
    figure = FIRST_FIGURE.get(answer.aim, "total") if last.stage == "root" else last.stage
    return replace(answer, bound=math.ceil(last.bound - 1e-4), bound_of=figure)
