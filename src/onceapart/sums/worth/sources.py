"""Where the figures of this family come from, each with how far it was seen."""

from __future__ import annotations

from onceapart.sums.registry import Source, Status

COMPARISON = Source(
    "engineering economy, any textbook",
    "replacement: the one in hand against the next",
    Status.FROM_MEMORY,
    "what it would bring now counts as a cost of keeping it; what was paid once does not",
)
LOSS = Source("accounting, any textbook", "declining balance", Status.FROM_MEMORY, "value after some years")
LOSS_RATE = Source(
    "trade", "", Status.COMMON_PRACTICE, "an old car loses about a tenth of its value in a year"
)
TRIANGLE = Source(
    "triangular distribution",
    "",
    Status.DERIVED,
    "figures between a least, a likely and a most, drawn by chance",
)
VERDICTS = Source("our judgement", "", Status.COMMON_PRACTICE, "clear at three draws in four, either way")
