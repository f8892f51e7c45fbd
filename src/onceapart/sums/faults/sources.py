"""Where the figures of this family come from, each with how far it was seen."""

from __future__ import annotations

from onceapart.sums.registry import Source, Status

COST = Source(
    "Heckerman, Breese and Rommelse, Decision-theoretic troubleshooting, CACM 38(3), 1995, 49-57",
    "",
    Status.FROM_MEMORY,
    "expected cost of an order, and the ratio rule",
)
RATIO = Source(
    "exchange of neighbours", "", Status.DERIVED, "the ratio rule is best where no access is shared"
)
SUBSETS = Source(
    "dynamic programming over subsets", "", Status.DERIVED, "what is left to pay depends on the set made only"
)
BAYES = Source("Bayes' rule", "", Status.DERIVED, "chances after a check")
LIKELIHOODS = Source(
    "the person asking", "", Status.COMMON_PRACTICE, "how likely causes are is your judgement"
)
