"""Where the figures of this family come from, each with how far it was seen."""

from __future__ import annotations

from onceapart.sums.registry import Source, Status

LINKAGE = Source("geometry", "", Status.DERIVED, "positions of the linkage: rigid links in the front view")
CENTRES = Source(
    "Milliken and Milliken, Race Car Vehicle Dynamics",
    "ch. 17",
    Status.VERIFIED,
    "construction of instant centre and roll centre (in text; the formulas are derived)",
)
STRUT_CENTRE = Source(
    "suspension textbooks", "", Status.FROM_MEMORY, "strut: line across its axis at the top mount"
)
MOTION_RATIO = Source("geometry", "", Status.DERIVED, "lift from the motion ratio")
WHEEL_RATE = Source(
    "Milliken and Milliken, Race Car Vehicle Dynamics",
    "",
    Status.FROM_MEMORY,
    "wheel rate is rate times ratio squared",
)
USUAL_RATIOS = Source(
    "trade", "", Status.COMMON_PRACTICE, "motion ratios: strut 0.95 to 1, spring on the lower arm 0.5 to 0.7"
)
FIXED_JOINT = Source(
    "driveshaft maker's article and an explainer", "", Status.VERIFIED, "outer fixed joint 47 to 50° at most"
)
TRIPOD = Source("driveshaft explainer", "", Status.VERIFIED, "tripod joint about 26° (one page)")
BALL = Source("trade", "", Status.FROM_MEMORY, "plunging ball joint 22 to 23°; 5 to 8° for a long life")
BALL_JOINT = Source(
    "trade", "", Status.FROM_MEMORY, "suspension ball joint 20 to 30° either way: always measure"
)
SHAFT = Source("geometry", "", Status.DERIVED, "shaft angle, plunge and angle at lock")
CROSS = Source(
    "driveshaft maker's article", "", Status.VERIFIED, "cross joint runs about 15% ahead and behind at 30°"
)
TRACK_ROD = Source(
    "geometry", "", Status.DERIVED, "toe by travel, in the front view and for small steering angles"
)
SSF = Source(
    "NHTSA rollover rating", "", Status.VERIFIED, "static stability factor, track over twice the height"
)
SSF_USUAL = Source(
    "NHTSA rollover rating, 2001 programme, 66 FR 3388",
    "",
    Status.FROM_MEMORY,
    "usual factors, and the factors that made one to five stars",
)
TRANSFER = Source("geometry", "", Status.DERIVED, "load transfer: moment about the line of the wheels")
TRANSFER_PARTS = Source(
    "Gillespie, Fundamentals of Vehicle Dynamics, ch. 6; Milliken ch. 18",
    "",
    Status.FROM_MEMORY,
    "load transfer by axle in three parts",
)
TRANSFER_EXAMPLE = Source(
    "Barton and Fieldhouse, Automotive Chassis Engineering",
    "worked examples, pp. 160 and 174",
    Status.VERIFIED,
    "load transfer of a car and of an axle; a printed sum of 1919 N should be 1909",
)
US_SPRINGS = Source(
    "49 CFR 570.8", "(a)", Status.VERIFIED, "springs not above design height; spacers only in pairs"
)
WASHINGTON = Source("RCW 46.37.375", "(5)", Status.VERIFIED, "Washington: springs not extended by spacers")
EU = Source(
    "Directive 2014/45/EU",
    "Annex I 5.3.1(d), 5.3.3(c)",
    Status.VERIFIED,
    "unsafe modification of springs and arms (2014 print, quoted row by row)",
)
JUDGEMENT = Source("our judgement", "", Status.COMMON_PRACTICE, "close means nine tenths of a limit")

SPRING_KILLS = (
    "A spring under load kills: use a proper compressor, both hooks in place, never an impact gun, or let a "
    "workshop do it. Never work under a car on a jack."
)
APPROVAL = (
    "Raising changes handling, braking, insurance and approval: ask the insurer and an inspector first, and "
    "have it entered in the papers where the law wants it."
)
ALIGN = (
    "Afterwards have wheel alignment and headlamps set and the work checked by a licensed mechanic and an "
    "inspector; brake hoses and wires must reach at full droop."
)
LIMITS = (
    "No joint, shaft or arm may work past its limit; a figure from memory is no licence, measure your own "
    "parts and go by the car's manual."
)
FRONT_VIEW = (
    "Front view only: arms that swing about slanted axes, soft bushes and body roll make the real figures "
    "differ."
)
