"""The sums of on-board diagnostics."""

from __future__ import annotations

from onceapart.sums.diagnostics.codes_sum import CODES
from onceapart.sums.diagnostics.readiness_sum import READINESS
from onceapart.sums.diagnostics.vin_sum import VIN

TITLE = "On-board diagnostics"
SUMS = (READINESS, CODES, VIN)
