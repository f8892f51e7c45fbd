"""The wear sum."""

from __future__ import annotations

from onceapart.sums.wear.wear_sum import WEAR

TITLE = "Wear"
SUMS = (WEAR,)
