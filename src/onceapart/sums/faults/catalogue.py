"""The fault-finding sum."""

from __future__ import annotations

from onceapart.sums.faults.fault_sum import FAULT

TITLE = "Fault finding"
SUMS = (FAULT,)
