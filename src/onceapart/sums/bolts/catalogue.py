"""The bolt sums, in the order a reader wants them."""

from __future__ import annotations

from onceapart.sums.bolts.corrosion_sum import CORROSION
from onceapart.sums.bolts.engagement_sum import ENGAGEMENT
from onceapart.sums.bolts.grip_sum import GRIP
from onceapart.sums.bolts.shear_sum import SHEAR
from onceapart.sums.bolts.substitute_sum import SUBSTITUTE
from onceapart.sums.bolts.thread_sum import THREAD
from onceapart.sums.bolts.torque_sum import TORQUE

TITLE = "Bolts"
SUMS = (THREAD, GRIP, TORQUE, ENGAGEMENT, SHEAR, CORROSION, SUBSTITUTE)
