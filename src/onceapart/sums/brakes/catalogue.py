"""The brake sums, in the order a reader wants them."""

from __future__ import annotations

from onceapart.sums.brakes.balance_sum import BALANCE
from onceapart.sums.brakes.band_sum import BAND
from onceapart.sums.brakes.bed_in_sum import BED_IN
from onceapart.sums.brakes.disc_sum import DISC
from onceapart.sums.brakes.fluid_sum import FLUID
from onceapart.sums.brakes.heat_sum import HEAT
from onceapart.sums.brakes.pedal_sum import PEDAL
from onceapart.sums.brakes.retract_sum import RETRACT
from onceapart.sums.brakes.road_test_sum import ROAD_TEST
from onceapart.sums.brakes.rollers_sum import ROLLERS
from onceapart.sums.brakes.stop_sum import STOP

TITLE = "Brakes"
SUMS = (RETRACT, PEDAL, DISC, BAND, ROLLERS, ROAD_TEST, STOP, BALANCE, HEAT, BED_IN, FLUID)
