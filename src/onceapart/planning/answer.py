"""What planning gives back: the plan, what it costs, and how good it is proven to be."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field

from onceapart.planning.cost import Cost
from onceapart.planning.plan import Aim, Plan, Status


@dataclass(frozen=True)
class Answer:
    """A plan for one aim, or why there is none.

    ``bound`` is a figure no plan can be below: of the cost's total when the status is ``proven`` (then
    they are equal), else of what ``bound_of`` names. [minor units, minutes; for ``ready`` an ordinal day]
    """

    aim: Aim
    status: Status
    plan: Plan | None = None
    cost: Cost | None = None
    bound: int = 0
    bound_of: str = "total"
    why: tuple[str, ...] = ()
    """Where it is impossible: a smallest set of wants that can't all hold, and what would free them."""
    work: dict[str, int] = field(default_factory=dict)
    """How much work the proof took: nodes of the search, linear programs solved, patterns priced."""


@dataclass(frozen=True)
class Progress:
    """Where a running search stands. Figures are of the total, in minor units; None: not known yet."""

    stage: str
    best: float | None
    bound: float | None
    nodes: int


ProgressCall = Callable[[Progress], None]
