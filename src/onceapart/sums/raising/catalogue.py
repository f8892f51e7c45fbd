"""The sums about raising, in the order a reader wants them."""

from __future__ import annotations

from onceapart.sums.raising.driveshaft_sum import DRIVESHAFT
from onceapart.sums.raising.lift_sum import LIFT
from onceapart.sums.raising.roll_sum import ROLL
from onceapart.sums.raising.stability_sum import STABILITY
from onceapart.sums.raising.strut_sum import STRUT
from onceapart.sums.raising.wishbone_sum import WISHBONE

TITLE = "Raising a car"
SUMS = (LIFT, STRUT, WISHBONE, DRIVESHAFT, STABILITY, ROLL)
