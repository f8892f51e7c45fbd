"""The sum that says whether a car is worth keeping."""

from __future__ import annotations

from onceapart.sums.worth.worth_sum import WORTH

TITLE = "Worth it"
SUMS = (WORTH,)
