"""Where the figures of this family come from, each with how far it was seen."""

from __future__ import annotations

from onceapart.sums.registry import Source, Status

DIAMETER = Source(
    "UN R30", "clauses 2 and 6.1.2", Status.FROM_MEMORY, "overall diameter; agrees with ten published ones"
)
ENVELOPE = Source("UN R30", "clauses 6.1.4, 6.1.5", Status.FROM_MEMORY, "tolerance of diameter and width")
SECTION = Source("UN R30", "clause 6.1.1", Status.VERIFIED, "width on another rim, 0.4 of the rim's gain")
THEORETICAL_RIM = Source(
    "UN R30", "clause 6.1.1", Status.FROM_MEMORY, "rim on which a tyre is as wide as marked"
)
US_WIDTH = Source(
    "49 CFR 571.139", "S6.1", Status.VERIFIED, "width at most 7% above the marked one (United States)"
)
RIM_CHART = Source(
    "rim and tyre width chart", "", Status.VERIFIED, "rims 5.0 to 8.0 in; 6 and 7 in two charts"
)
RIM_LIST = Source("ETRTO Standards Manual", "", Status.FROM_MEMORY, "rims of 16 sizes")
LOAD = Source(
    "UN R30", "Annex 4", Status.VERIFIED, "load index 60 to 119 in two public tables, 50 to 59 in one"
)
SPEED = Source("UN R30", "clause 2.29", Status.VERIFIED, "symbols Q T H V W Y (public handbook page)")
SPEED_REST = Source("UN R30", "clause 2.29", Status.FROM_MEMORY, "symbols L M N P R S U (Y)")
LOAD_AT_SPEED = Source(
    "UN R30", "", Status.VERIFIED, "less load at top speed for V and W (engineering notes)"
)
LOAD_AT_SPEED_Y = Source("UN R30", "", Status.FROM_MEMORY, "less load at top speed for Y")
ROLLING = Source("ETRTO, DIN 70020", "", Status.FROM_MEMORY, "rolling circumference 3.05 of the diameter")
LOADED = Source("ETRTO", "static loaded radius", Status.FROM_MEMORY, "0.78 to 0.80 of the section height")
TREAD = Source("trade", "", Status.COMMON_PRACTICE, "8 mm of tread on a new summer tyre")
SERIES = Source("tyre handbook page", "", Status.VERIFIED, "no aspect ratio marked means the 80 to 82 series")
R39 = Source("UN R39", "clause 5.3", Status.VERIFIED, "speedometer limits (quoted in two places)")
ERROR = Source(
    "encyclopedia example", "", Status.VERIFIED, "reading error from the diameters (seen in a copy)"
)
GEOMETRY = Source("geometry", "", Status.DERIVED, "distance, gearing and clearance from the diameters")
EU = Source(
    "Directive 2014/45/EU",
    "Annex I 5.2.2, 5.2.3",
    Status.VERIFIED,
    "defects of tyres and wheels (2014 print, quoted row by row)",
)
US = Source("49 CFR 570.9", "(b)", Status.VERIFIED, "same size and construction on an axle")
GERMAN = Source("StVZO", "§ 36(6)", Status.VERIFIED, "radial or diagonal tyres on all wheels")
MARGIN = Source("our judgement", "", Status.COMMON_PRACTICE, "margin around the tyre, grade of each finding")
LIGHT_TRUCK = Source(
    "49 CFR 571.110", "", Status.FROM_MEMORY, "P sizes carry a tenth less on light trucks and utilities"
)

APPROVAL = (
    "Another size changes speedometer, brakes, steering and stability, and may need approval: ask the "
    "insurer and an inspector before buying."
)
FITTING = (
    "Have tyres fitted and balanced by a tyre shop, wheel nuts set to the manual's torque and again after "
    "50 km; turn lock to lock and press each corner to its stop before driving."
)
SIDEWALL = (
    "The car's papers and the pressure table decide what may be fitted; this sum only does the arithmetic."
)
