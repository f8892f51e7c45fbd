"""Where the figures of this family come from, each with how far it was seen, and what to be careful of."""

from __future__ import annotations

from onceapart.sums.registry import Source, Status

HYDRAULICS = Source("geometry", "", Status.DERIVED, "volume = area × travel; level = volume / area")
WORN_STATE = Source(
    "FMVSS 135 (49 CFR 571.135)",
    "S7.17",
    Status.VERIFIED,
    "the reservoir's volume is judged with linings worn out",
)
PUMPING = Source(
    "trade",
    "",
    Status.COMMON_PRACTICE,
    "2 to 3 strokes until the pedal is hard after pads on an axle; short strokes on an old cylinder",
)
LOST_MOTION = Source(
    "trade", "", Status.FROM_MEMORY, "1 to 2 mm before the port shuts; seals draw back 0.1 to 0.3 mm"
)
PEDAL_RESERVE = Source("49 CFR 570.5", "(c)", Status.VERIFIED, "pedal travel used: at most 80 % (copy seen)")

UNIFORM_WEAR = Source(
    "Ugural, Mechanical Engineering Design",
    "ch. 13, eq. 13.30 and example 13.6",
    Status.VERIFIED,
    "uniform wear: mean radius (r_o + r_i) / 2",
)
UNIFORM_PRESSURE = Source(
    "Shigley's Mechanical Engineering Design",
    "16-6",
    Status.FROM_MEMORY,
    "uniform pressure: 2/3 (r_o³ - r_i³) / (r_o² - r_i²)",
)
CLAMP = Source("engineering reference page", "", Status.VERIFIED, "torque 2 µ F r of a disc, F on each pad")
LINING_FRICTION = Source(
    "SAE J866", "codes D to G", Status.FROM_MEMORY, "friction of linings, 0.30 to 0.45 usual"
)
BAND_JUDGEMENT = Source(
    "our judgement", "", Status.COMMON_PRACTICE, "less than three quarters of the face is worth a look"
)

DISC_MINIMUM = Source(
    "49 CFR 570.5", "(f)", Status.VERIFIED, "not under the minimum stamped on the disc (copy seen)"
)
DISC_EU = Source(
    "Directive 2014/45/EU, Annex I",
    "1.1.14",
    Status.VERIFIED,
    "worn disc major, cracked or too worn dangerous (2014 print; a corrigendum of 2019 reprints the table)",
)
DISC_UK = Source(
    "UK inspection manual",
    "1.1.14",
    Status.VERIFIED,
    "under the maker's limit is not by itself a fail: it must be obviously worn",
)
DISC_SHAKE = Source(
    "trade", "", Status.FROM_MEMORY, "thickness variation 10 to 15 µm, run-out 0.05 to 0.10 mm at most"
)

EFFICIENCY = Source(
    "UK inspection manual (2012)", "", Status.VERIFIED, "efficiency: total effort / mass × 100"
)
IMBALANCE = Source(
    "Directive 2014/45/EU, Annex I",
    "1.2.1(a), (b)",
    Status.VERIFIED,
    "weaker against stronger wheel of an axle (2014 print; reprinted by the corrigendum of 2019)",
)
LIMITS = Source(
    "Directive 2014/45/EU, 49 CFR 570.5, StVZO § 41",
    "",
    Status.VERIFIED,
    "limits in the table, except where the row itself says from memory",
)
MEAN_DECELERATION = Source("mechanics", "", Status.DERIVED, "a = v² / 2s, a = v / t, z = a / g")

SIGHT_DISTANCE = Source(
    "AASHTO, A Policy on Geometric Design of Highways and Streets",
    "stopping sight distance",
    Status.VERIFIED,
    "s = 0.278 V t + V² / (254 (f + G)), 3.4 m/s² for design",
)
REACTION = Source("AASHTO, as above", "", Status.FROM_MEMORY, "reaction time 2.5 s for design")
ROAD_FRICTION = Source("handbooks", "", Status.FROM_MEMORY, "friction of tyre on road by surface")
APPROVAL_STOP = Source(
    "FMVSS 135 (49 CFR 571.135)",
    "S7.5.3",
    Status.VERIFIED,
    "approval, cold brakes: s at most 0.10 V + 0.0060 V² (copy seen; a new car, not a limit in use)",
)

LOAD_TRANSFER = Source(
    "mechanics", "", Status.DERIVED, "load transfer m a h / L; adhesion used = brake force / axle load"
)
ADHESION_RULE = Source(
    "UN R13-H",
    "Annex 5",
    Status.FROM_MEMORY,
    "approval: z at least 0.1 + 0.7 (k - 0.2); rear not above front for z of 0.15 to 0.8",
)

HEAT = Source(
    "OpenStax, College Physics",
    "14.2",
    Status.VERIFIED,
    "all the energy of motion goes into the brake's heat",
)
IRON = Source(
    "handbooks",
    "",
    Status.FROM_MEMORY,
    "grey iron 460 J/(kg·K) and 7200 kg/m³ (a textbook table has 452 for iron)",
)
INTO_DISC = Source("trade", "", Status.FROM_MEMORY, "0.90 to 0.99 of the heat goes into the disc")
SCREEN = Source(
    "a maker's design note", "", Status.VERIFIED, "rise under 230 K for a stop from 128 km/h, fully laden"
)

AIR_FILM = Source(
    "Limpert, Brake Design and Safety",
    "convection from discs",
    Status.FROM_MEMORY,
    "0.70 (k/D) Re^0.55 below Re 240 000, 0.04 (k/D) Re^0.8 above",
)
COOLING_ESTIMATE = Source(
    "our estimate",
    "",
    Status.COMMON_PRACTICE,
    "vanes, radiation, lining and caliper as set out in the code; spread 0.6 to 1.5 on the cooling",
)
SCHEDULES = Source("trade", "", Status.COMMON_PRACTICE, "the schedules; the pad maker's own goes first")
BED_WINDOW = Source(
    "trade", "", Status.FROM_MEMORY, "temperatures between which linings bed; the pad maker's go first"
)

BOILING = Source(
    "FMVSS 116 (49 CFR 571.116)",
    "S5.1.1 and S5.1.2",
    Status.VERIFIED,
    "least dry and wet boiling points of DOT 3, DOT 4, DOT 5 (copy seen); DOT 5.1 as DOT 5 (encyclopedia)",
)
WET_WATER = Source("encyclopedia", "", Status.VERIFIED, "'wet' is about 3.7 % water")
BOILING_CURVE = Source(
    "our interpolation", "", Status.DERIVED, "falls from dry through wet towards 100 °C, water's own"
)
WATER_RATE = Source("trade", "", Status.FROM_MEMORY, "1 to 3 % water a year; change every 2 years")
SILICONE = Source(
    "FMVSS 116 (49 CFR 571.116)", "S4", Status.VERIFIED, "DOT 5 is silicone; never mixed with the others"
)

CHECKED = (
    "Brakes can kill. The car's manual goes before any figure here; have the work checked by a licensed "
    "mechanic, and never drive with a makeshift repair in the brakes."
)
INSPECTOR = "Limits are named for orientation: local rules and the inspector at the test decide."
DUST = "Brake dust may hold asbestos: never blow it off; wet it, wear a mask for fine dust, bag the rags."
FLUID = (
    "Brake fluid strips paint and hurts eyes and skin: gloves, goggles, rinse with water. Only the kind the "
    "manual names, from a sealed bottle."
)
PEDAL_FIRST = "Pump the pedal until it is hard before the car moves an inch, and try it at walking pace."
HOT = "Discs stay hot enough to burn skin and light fuel or grease long after a drive."
ROAD = "Try brakes only on an empty, dry road where it is lawful, with nobody behind you."
