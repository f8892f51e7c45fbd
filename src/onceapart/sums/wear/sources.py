"""Where the figures of this family come from, each with how far it was seen."""

from __future__ import annotations

from onceapart.sums.registry import Source, Status
from onceapart.sums.wear.kinds import kinds

SLOPE = Source(
    "Sen, J. Am. Stat. Assoc. 63 (1968) 1379-1389; Theil (1950)",
    "",
    Status.VERIFIED,
    "median of slopes, breakdown 29.3 % (as libraries of statistics document it)",
)
INTERVAL = Source(
    "Kendall, Rank Correlation Methods",
    "distribution of S",
    Status.FROM_MEMORY,
    "exact interval of the slope for a few readings",
)
STRAIGHT = Source("trade", "", Status.COMMON_PRACTICE, "a part wears on as it did")
GAUGES = Source("our judgement", "", Status.COMMON_PRACTICE, "how far a gauge may be off")
NEW_PADS = Source("trade pages", "", Status.VERIFIED, "new pads 8 to 12 mm")
NEW_TREAD = Source("trade", "", Status.FROM_MEMORY, "new tyres 7 to 9 mm")
LIMITS = tuple(
    dict.fromkeys(
        Source(limit.document, limit.place, Status(limit.status), f"{kind.name} {limit.limit_mm:g} mm")
        for kind in kinds().values()
        for limit in kind.limits
    )
)
