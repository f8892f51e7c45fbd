"""The tyre sums, in the order a reader wants them."""

from __future__ import annotations

from onceapart.sums.tyres.change_sum import CHANGE
from onceapart.sums.tyres.size_sum import SIZE
from onceapart.sums.tyres.speedometer_sum import SPEEDOMETER

TITLE = "Tyres"
SUMS = (SIZE, CHANGE, SPEEDOMETER)
